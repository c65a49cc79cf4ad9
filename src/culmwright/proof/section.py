"""The section of a rod as it was glued: strips that are not quite alike round one centre, by exact polygons.

Every strip has its own n-th of the circle. In it lies its triangle of cane: apex ``p`` from the centre, face at ``a``,
``b = (a - p) tan(alpha/2)`` wide to either side; what it leaves of its wedge (half angle ``t = pi/n``, half width
``a tan t``) is filler: glue, and any void or gape. A drawn rod counts what lies between its strips as cane, so a
filler of 1, the default, keeps drawn and built comparable. Faces are flat, as the drawn polygon's are; a strip that
stands proud of its neighbour leaves its step in the seam.

Moments of an isosceles triangle with apex at p and base of half width b at a, area ``A = (a - p) b``, along its axis:
``A (p + 2a)/3``, ``A (p^2 + 2pa + 3a^2)/6``, and across it ``A b^2/6`` (integrated by hand; ``tests/proof`` checks
them by sympy's, shapely's and finite elements' moments).

Where the cane is graded (``design/grading.py``) every strip carries its own depth with it: at u from the centre it is
``scraped + a - u`` deep under the enamel. A strip planed thinner, or one that stands farther in, has so lost of its
soft inside; one scraped more has lost of its enamel. Stiffness is then over that under the enamel, in closed form.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import atan2, cos, pi, sin, tan
from typing import NamedTuple

import numpy as np

from culmwright.design.grading import Grading
from culmwright.design.polygon import half_angle
from culmwright.measure.errors import BadInput
from culmwright.measure.record import si
from culmwright.mechanics.beam import Array
from culmwright.mechanics.graded import share_moment


@dataclass(frozen=True, slots=True)
class Ring:
    """Strips in their ring at one station, in order: ``faces`` and ``apexes`` from the centre [m], ``half_angles`` half
    the strips' apex angles [rad], ``moduli`` [Pa] of their cane; ``filler`` [-] what the filler of a wedge has of its
    strip's modulus. With a ``grading`` the moduli are those under the enamel, of which the strips' faces have
    ``scraped`` off [m], nothing if it is empty.
    """

    faces: tuple[float, ...]
    apexes: tuple[float, ...]
    half_angles: tuple[float, ...]
    moduli: tuple[float, ...]
    filler: float = 1.0
    grading: Grading | None = None
    scraped: tuple[float, ...] = ()

    def __post_init__(self) -> None:
        """Refuse what cannot be a section."""
        n = len(self.faces)
        if n < 3 or not n == len(self.apexes) == len(self.half_angles) == len(self.moduli):
            raise BadInput("a section needs the same figures of every strip", where="ring")
        if not all(0 <= p < a for p, a in zip(self.apexes, self.faces, strict=True)):
            raise BadInput("a strip's face lies outside its apex, and its apex not beyond the centre", where="ring")
        if self.scraped and not (len(self.scraped) == n and all(one >= 0 for one in self.scraped)):
            raise BadInput("what was scraped off is told of every strip, and never below zero", where="ring")
        if not (all(one > 0 for one in self.moduli) and 0 <= self.filler <= 1):
            raise BadInput("a strip has a modulus, and its filler no greater one", where="ring")

    @property
    def sides(self) -> int:
        """How many strips it has."""
        return len(self.faces)


class Stiffness(NamedTuple):
    """What a section is to the beam, for one or any number of sections at once.

    ``area`` [m^2]; ``EA`` [N]; centroid ``x``, ``y`` [m], weighed by modulus; ``xx``, ``xy``, ``yy`` the tensor
    ``int E r r^T dA`` about it [N m^2]. Bending in the plane at angle phi meets ``xx cos^2 + 2 xy sin cos + yy sin^2``.
    """

    area: Array
    EA: Array
    x: Array
    y: Array
    xx: Array
    xy: Array
    yy: Array

    @property
    def mean(self) -> Array:
        """EI, the mean over all planes [N m^2]."""
        return (self.xx + self.yy) / 2

    @property
    def uneven(self) -> tuple[Array, Array]:
        """The tensor's two parts that a regular section has not, of its mean [-]: ``(xx - yy)/2`` and ``xy``.

        The plane at phi meets ``mean (1 + u cos 2 phi + v sin 2 phi)``.
        """
        return (self.xx - self.yy) / (2 * self.mean), self.xy / self.mean


def stiffness(
    faces: Array, modulus: Array | float = 1.0, grading: Grading | None = None, scraped: Array | float = 0.0
) -> Stiffness:
    """Sections whose filler counts as cane: ``faces`` [m] along the last axis, one ``modulus`` [Pa] or one a strip.

    With a ``grading`` that is the modulus under the enamel, of which ``scraped`` [m] is off the faces.
    """
    t = half_angle(faces.shape[-1])
    wedges = _moments(0.0 * faces, faces, faces * tan(t), grading, scraped)
    return _summed(np.stack([np.asarray(modulus * one) for one in wedges]), faces, tan(t))


def stiffness_of(ring: Ring) -> Stiffness:
    """The section of a ring with its own apexes, moduli and filler."""
    a, p, E = (np.array(one) for one in (ring.faces, ring.apexes, ring.moduli))
    t = tan(half_angle(ring.sides))
    b = np.minimum((a - p) * np.tan(np.array(ring.half_angles)), a * t)
    off = np.array(ring.scraped) if ring.scraped else 0.0
    cane, wedge = (np.stack(_moments(apex, a, wide, ring.grading, off)) for apex, wide in ((p, b), (0.0 * a, a * t)))
    return _summed(E * ((1 - ring.filler) * cane + ring.filler * wedge), a, t)


def _triangle(p: Array, a: Array, b: Array) -> tuple[Array, Array, Array, Array]:
    """Area, and its moments along the axis, along it twice, across it twice."""
    A = (a - p) * b
    return A, A * (p + 2 * a) / 3, A * (p**2 + 2 * p * a + 3 * a**2) / 6, A * b**2 / 6


def _moments(
    p: Array, a: Array, b: Array, grading: Grading | None, scraped: Array | float
) -> tuple[Array, Array, Array, Array]:
    """The same four, each times the share of the modulus under the enamel there.

    With v from the apex, ``M_k`` the integral of ``share v^k``, and the triangle ``2 s v`` wide, ``s = b/(a - p)``:
    ``2 s M_1``, ``2 s (M_2 + p M_1)``, ``2 s (M_3 + 2 p M_2 + p^2 M_1)`` and ``(2/3) s^3 M_3``.
    """
    if grading is None:
        return _triangle(p, a, b)
    s, height = b / (a - p), a - p
    one, two, three = (share_moment(power, height, scraped, grading) for power in (1, 2, 3))
    return (
        2 * s * one,
        2 * s * (two + p * one),
        2 * s * (three + 2 * p * two + p**2 * one),
        2 / 3 * s**3 * three,
    )


def _summed(strips: Array, faces: Array, t: float) -> Stiffness:
    """Every strip's own moments turned to where it stands and summed, about the centroid."""
    n = faces.shape[-1]
    angle = 2 * pi * np.arange(n) / n
    c, s = np.cos(angle), np.sin(angle)
    A, along, double, across = strips
    EA = A.sum(-1)
    x, y = (along * c).sum(-1) / EA, (along * s).sum(-1) / EA
    xx = (double * c**2 + across * s**2).sum(-1) - EA * x**2
    yy = (double * s**2 + across * c**2).sum(-1) - EA * y**2
    xy = ((double - across) * c * s).sum(-1) - EA * x * y
    return Stiffness((faces**2 * t).sum(-1), EA, x, y, xx, xy, yy)


@dataclass(frozen=True, slots=True)
class BuiltSection:
    """A section as glued and what a beam meets in it.

    ``stiffest`` and ``softest`` EI of its two principal planes [N m^2]; ``spine`` their difference over their mean [-];
    ``spine_direction`` [rad] of the stiffest plane, 0 to pi; ``centroid`` [m]; ``area`` [m^2] of the whole polygon.
    Angles are counted from the middle of the first strip's face towards the second.
    """

    area: float
    centroid: tuple[float, float] = si("m")
    stiffest: float = si("")
    softest: float = si("")
    spine: float = si("-")
    spine_direction: float = si("rad")


def section_of(ring: Ring) -> BuiltSection:
    """The section of a ``ring``, its principal planes from the exact moments [m^2, m, N m^2]."""
    found = stiffness_of(ring)
    u, v = (float(one) for one in found.uneven)
    mean, size = float(found.mean), float(np.hypot(u, v))
    return BuiltSection(
        float(found.area),
        (float(found.x), float(found.y)),
        mean * (1 + size),
        mean * (1 - size),
        2 * size,
        direction(u, v),
    )


def direction(u: float, v: float) -> float:
    """Angle [rad] of the stiffest plane, 0 to pi, where a section is uneven by ``u`` and ``v`` [-]."""
    return (atan2(v, u) / 2) % pi


def outline(ring: Ring) -> tuple[tuple[tuple[float, float], ...], ...]:
    """The wedge of every strip as corners [m], for a drawing: centre, one corner, the other."""
    t = half_angle(ring.sides)

    def corner(angle: float, radius: float) -> tuple[float, float]:
        return radius * cos(angle), radius * sin(angle)

    return tuple(
        ((0.0, 0.0), corner(2 * t * i - t, a / cos(t)), corner(2 * t * i + t, a / cos(t)))
        for i, a in enumerate(ring.faces)
    )


def cane(ring: Ring) -> tuple[tuple[tuple[float, float], ...], ...]:
    """The triangle of cane of every strip as corners [m]: apex, one corner, the other."""
    t = half_angle(ring.sides)
    found = []
    for i, (a, p, half) in enumerate(zip(ring.faces, ring.apexes, ring.half_angles, strict=True)):
        b = min((a - p) * tan(half), a * tan(t))
        c, s = cos(2 * t * i), sin(2 * t * i)
        found.append(tuple((x * c - y * s, x * s + y * c) for x, y in ((p, 0.0), (a, -b), (a, b))))
    return tuple(found)

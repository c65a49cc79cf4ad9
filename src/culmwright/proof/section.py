"""The section of a rod as it was glued: strips that are not quite alike round one centre, by exact polygons.

Every strip has its own n-th of the circle: a wedge with its apex at the centre, its face at ``a``, and
``b = a tan(pi/n)`` wide to either side. What lies between the strips counts as cane, as a drawn rod has it, so that
drawn and built stay comparable. Faces are flat, as the drawn polygon's are; a strip that stands proud of its neighbour
leaves its step in the seam.

Moments of a wedge, area ``A = a b``, along its axis: ``2 A a/3``, ``A a^2/2``, and across it ``A b^2/6`` (integrated by
hand; ``tests/proof`` checks them by sympy's, shapely's and finite elements' moments).

Where the cane is graded (``design/grading.py``) every strip carries its own depth with it: at u from the centre it is
``scraped + a - u`` deep under the enamel. A strip planed thinner, or one that stands farther in, has so lost of its
soft inside; one scraped more has lost of its enamel. Stiffness is then over that under the enamel, in closed form.
"""

from __future__ import annotations

from math import atan2, pi, tan
from typing import NamedTuple

import numpy as np

from culmwright.design.grading import Grading
from culmwright.design.polygon import half_angle
from culmwright.mechanics.beam import Array
from culmwright.mechanics.graded import share_moment


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
    t = tan(half_angle(faces.shape[-1]))
    wedges = _moments(faces, t, grading, scraped)
    return _summed(np.stack([np.asarray(modulus * one) for one in wedges]), faces, t)


def _moments(a: Array, t: float, grading: Grading | None, scraped: Array | float) -> tuple[Array, Array, Array, Array]:
    """Area, and its moments along the axis, along it twice, across it twice, each times the share of the modulus under
    the enamel there.

    With u from the centre, ``M_k`` the integral of ``share u^k``, and the wedge ``2 t u`` wide: ``2 t M_1``,
    ``2 t M_2``, ``2 t M_3`` and ``(2/3) t^3 M_3``.
    """
    if grading is None:
        A, b = a * a * t, a * t
        return A, A * 2 * a / 3, A * a**2 / 2, A * b**2 / 6
    one, two, three = (share_moment(power, a, scraped, grading) for power in (1, 2, 3))
    return 2 * t * one, 2 * t * two, 2 * t * three, 2 / 3 * t**3 * three


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


def direction(u: float, v: float) -> float:
    """Angle [rad] of the stiffest plane, 0 to pi, where a section is uneven by ``u`` and ``v`` [-]."""
    return (atan2(v, u) / 2) % pi

"""Invented rods whose truth is known: strips with waves between stations, glue and scraping that differ from the file,
a gauge that is out, and a hand that scatters. Nothing here is taken from the spreads it is there to test.
"""

from __future__ import annotations

from dataclasses import dataclass
from itertools import pairwise
from math import cos, pi, sin, sqrt, tan

import numpy as np

from culmwright.bench.targets import target
from culmwright.design.grading import Grading
from culmwright.mechanics.beam import Stretch, beam_of
from culmwright.mechanics.modes import first_modes
from culmwright.mechanics.statics import Load, bend_beam
from culmwright.proof.built import built_of
from culmwright.proof.evidence import strips_read
from culmwright.proof.section import stiffness


@dataclass(frozen=True)
class Ring:
    """Strips in their ring at one station, in order: ``faces`` from the centre [m], ``moduli`` [Pa] of their cane,
    under the enamel where there is a ``grading``, of which the faces have ``scraped`` off [m].
    """

    faces: tuple[float, ...]
    moduli: tuple[float, ...]
    grading: Grading | None = None
    scraped: tuple[float, ...] | float = 0.0

    @property
    def stiffness(self):
        return stiffness(np.array(self.faces), np.array(self.moduli), self.grading, np.array(self.scraped))

    @property
    def outline(self):
        """The wedge of every strip as corners [m]: centre, one corner, the other."""
        t = pi / len(self.faces)

        def corner(angle, radius):
            return radius * cos(angle), radius * sin(angle)

        return tuple(
            ((0.0, 0.0), corner(2 * t * i - t, a / cos(t)), corner(2 * t * i + t, a / cos(t)))
            for i, a in enumerate(self.faces)
        )


def principal(found):
    """EI of the softest and the stiffest plane of a section [N m^2]."""
    mean, size = float(found.mean), float(np.hypot(*found.uneven))
    return mean * (1 - size), mean * (1 + size)


FINE = 5  # places between two stations at which a strip has a wave of its own
WAVE = 12e-6  # [m]
STRIP = 25e-6  # [m] one strip against the next, alike along it


@dataclass(frozen=True)
class Truth:
    """What a rod really is: faces [m] at fine places [m], by section; the same at its nodes."""

    x: list[np.ndarray]
    faces: list[np.ndarray]

    @property
    def nodes(self) -> np.ndarray:
        return np.concatenate([one[::FINE] for one in self.faces])


def simulate(rod, doubt, seed, *, flats=False, bias=0.0):
    """A rod made to ``rod`` with ``bias`` [m] on every strip, as it is and as it was read."""
    rng = np.random.default_rng(seed)

    def even(sd):
        return rng.uniform(-sqrt(3), sqrt(3)) * sd

    n, making = rod.sides, rod.making
    gauge, caliper = even(doubt.gauge), even(doubt.caliper)
    hand = even(doubt.finish_rod)  # one hand scrapes them all
    xs, truths, parts = [], [], {}
    for section in rod.assembled():
        finish = making.finish.m + hand + even(doubt.finish)  # each section is scraped and glued by itself
        glue = making.glue_line.m + even(doubt.glue)
        stations = np.array([one.m for one in section.stations])
        fine = np.unique(np.concatenate([np.linspace(a, b, FINE + 1) for a, b in pairwise(stations)]))
        aim = np.interp(fine, stations, [target(rod, section, one).height for one in section.stations])
        heights = aim[:, None] + bias + STRIP * rng.standard_normal(n) + WAVE * rng.standard_normal((len(fine), n))
        read = heights[::FINE] + gauge + doubt.reading * rng.standard_normal((len(stations), n))
        scraped = finish + doubt.finish_each * rng.standard_normal(heights.shape)
        faces = heights + glue / (2 * sin(pi / n)) - scraped  # apex angle 360/n: k is 1
        xs.append(fine)
        truths.append(faces)
        seen = {}
        if flats:
            for j, station in enumerate(section.stations):
                for face in range(1, (n // 2 if n % 2 == 0 else n) + 1):
                    one = faces[j * FINE]
                    across = (
                        one[face - 1] + one[(face - 1 + n // 2) % n]
                        if n % 2 == 0
                        else one[face - 1] + (one[(face + n // 2 - 1) % n] + one[(face + n // 2) % n]) / 2 / cos(pi / n)
                    )
                    seen[station, face] = across + caliper + doubt.flat * rng.standard_normal()
        cells = {(station, i + 1): float(read[j, i]) for j, station in enumerate(section.stations) for i in range(n)}
        parts[section.name] = strips_read(rod, section, cells, flats=seen)
    return Truth(xs, truths), built_of(rod, parts, doubt)


def true_figures(rod, truth, load, line, moduli=None):
    """Drop under a load and a line, first rate: from the fine rod itself as its own beam, nothing of the proof in it
    but exact sections. ``moduli`` [Pa] of the strips by section, where they are not all the drawn one's.
    """
    E, rho, free = rod.cane.modulus.value, rod.cane.density.value, rod.length.m - rod.grip.m
    stretches = []
    for number, (x, faces) in enumerate(zip(truth.x, truth.faces, strict=True)):
        found = stiffness(faces, 1.0 if moduli is None else moduli[number] / E)
        coat = [
            rod.varnish_density.value * rod.sides * tan(pi / rod.sides) * ((a + rod.varnish.m) ** 2 - a**2)
            for a in faces.mean(-1)
        ]
        m = rho * found.area + coat
        for i in range(len(x) - 1):
            if x[i] > free - 1e-9:
                continue
            stretches.append(
                Stretch(
                    free - x[i + 1],
                    free - x[i],
                    (E * float(found.mean[i + 1]), E * float(found.mean[i])),
                    (m[i + 1], (m[i] + m[i + 1]) / 2, m[i]),
                )
            )
    stretches.sort(key=lambda one: one.start)
    masses = [(free - one.station.m, one.mass) for one in (*rod.guides, *rod.ferrules) if one.mass is not None]
    beam = beam_of(stretches, masses)
    return {
        "drop": bend_beam(beam, Load(load)).tip_drop,
        "line drop": bend_beam(beam, Load(line)).tip_drop,
        "rate": first_modes(beam)[0].frequency,
    }

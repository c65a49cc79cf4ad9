"""What is in doubt about a rod as built, and by how much: the sources of the spread of every figure of a proof.

Standard uncertainties in the sense of JCGM 100:2008 (GUM). What is alike for every reading moves all strips together
and does not average out; what is each reading's own does. The figures of :func:`usual` are own choices from the
limits named beside them, and stand until a shop has measured its own.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import sqrt

from culmwright.bench.passes import THOU
from culmwright.design.rod import Rod
from culmwright.measure.record import si

CALIPER_LIMIT = 20e-6
"""How far a digital caliper may be out [m], up to about 100 mm (DIN 862)."""
HAND = 0.3 * THOU
"""Scatter of one reading of a strip or section by hand [m], a standard deviation (own choice)."""


@dataclass(frozen=True, slots=True)
class Doubt:
    """Standard uncertainties of what a section was made out from.

    ``reading`` each strip's reading by itself, ``gauge`` what gauge and block zero are out by for all of them;
    ``flat`` and ``caliper`` the same for flats of the glued section; ``finish`` what scraping took off, alike for a
    section, ``finish_rod`` alike for the whole rod, which one hand scrapes, and ``finish_each`` unlike from flat to
    flat and place to place; ``glue`` the thickness of a section's seams.
    ``uneven`` how a strip departs from the straight line between stations, None to take it from its readings. Those
    that are alike for all are even between limits, the others normal.
    """

    reading: float = si("m")
    gauge: float = si("m")
    flat: float = si("m")
    caliper: float = si("m")
    finish: float = si("m")
    finish_rod: float = si("m")
    finish_each: float = si("m")
    glue: float = si("m")
    uneven: float | None = si("m", required=False)


def usual(rod: Rod) -> Doubt:
    """What is in doubt [m] in a shop that has not measured it.

    A gauge is even within the limits of a caliper. Scraping is as much in doubt as if it took between half of what the
    file says and half as much again, one half of that variance being the hand's, alike for all sections, one half each
    section's own; from flat to flat it is a quarter off. The seams are as thick within the same bounds (own choices).
    """
    gauge = CALIPER_LIMIT / sqrt(3)
    finish, glue = rod.making.finish.m, rod.making.glue_line.m
    scraping = finish / 2 / sqrt(3)
    return Doubt(
        reading=HAND,
        gauge=gauge,
        flat=HAND,
        caliper=gauge,
        finish=scraping / sqrt(2),
        finish_rod=scraping / sqrt(2),
        finish_each=finish / 4,
        glue=glue / 2 / sqrt(3),
    )

"""What a little more across is worth: one section of a rod after the other a step thicker, and bent again."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from culmwright.design.polygon import area
from culmwright.design.rod import Rod, Section
from culmwright.measure.record import si
from culmwright.mechanics.beam import SAME_PLACE, Array, Beam
from culmwright.mechanics.graded import cane_shares
from culmwright.mechanics.modes import first_modes
from culmwright.mechanics.rod_beam import free_length, rod_beam
from culmwright.mechanics.statics import Load, bend_beam


@dataclass(frozen=True, slots=True)
class Oversize:
    """A rod whose ``section`` came out a ``step`` [m] more across all along; the whole rod where no section is named.

    Its cane is ``thin_end`` [-] stiffer at the section's finer end and ``thick_end`` at the other; held level, its tip
    comes down by ``drop`` [m] more under a hanging load, and its first swing is faster by ``rate`` [Hz].
    """

    section: str
    step: float = si("m")
    thin_end: float = si("-")
    thick_end: float = si("-")
    drop: float = si("m")
    rate: float = si("Hz")


def oversize(rod: Rod, load: float, step: float, tip: int = 1) -> tuple[Oversize, ...]:
    """What ``step`` [m] more across is worth under ``load`` [N]: section by section from tip to butt, then the whole.

    A step short is worth as much the other way. The walls of a hollow stay. Raises :class:`AnswerIsNo` where no rest
    is found.
    """
    beam, sections = rod_beam(rod, tip), rod.assembled(tip)
    parts = [(one.name, _share(beam, rod, one)) for one in sections]
    if len(parts) > 1:
        parts.append(("", sum((share for _, share in parts), np.zeros(len(beam.s)))))
    drop, rate = _figures(beam, load)
    found = []
    for name, share in parts:
        other = _stouter(beam, rod, sections, share * step)
        stiffer = beam.compliance.mean(axis=1) / other.compliance.mean(axis=1) - 1
        inside = np.flatnonzero((share[1:] > 0) & (share[:-1] > 0))
        thin, thick = float(stiffer[inside[-1]]), float(stiffer[inside[0]])
        its_drop, its_rate = _figures(other, load)
        found.append(Oversize(name, step, thin, thick, its_drop - drop, its_rate - rate))
    return tuple(found)


def _figures(beam: Beam, load: float) -> tuple[float, float]:
    """Drop of the tip [m] under ``load`` [N], and first frequency [Hz]."""
    return bend_beam(beam, Load(load)).tip_drop, first_modes(beam)[0].frequency


def _share(beam: Beam, rod: Rod, section: Section) -> Array:
    """One at the nodes within a section, a half at its joints."""
    station = free_length(rod) - beam.s
    inside = (station > section.start.m - SAME_PLACE) & (station < section.end.m + SAME_PLACE)
    joint = np.zeros(len(station), bool)
    for end, last in ((section.start.m, 0.0), (section.end.m, rod.length.m)):
        joint |= (abs(station - end) < SAME_PLACE) & (abs(end - last) > SAME_PLACE)
    return np.where(joint, 0.5, 1.0) * inside


def _stouter(beam: Beam, rod: Rod, sections: tuple[Section, ...], more: Array) -> Beam:
    """``beam`` with so much ``more`` across at its nodes [m], the walls of a hollow and ferrules as they are.

    EI of cane and hollow go with the fourth power of their apothems and with what graded cane makes of them; a polygon
    of apothem a gains ``2 a da + da^2`` of the area of one of apothem 1, one whose wall stays ``2 wall da``. Stress is
    not asked of it: its fibre stays.
    """
    free, unit = free_length(rod), area(rod.sides, 1.0)
    stiffness, density = beam.stiffness.copy(), beam.density.copy()
    void = None if beam.void is None else beam.void.copy()
    for e, middle in enumerate((beam.s[:-1] + beam.s[1:]) / 2):
        section = next(one for one in reversed(sections) if one.start.m <= free - middle)
        hollow = rod.hollow if rod.hollow and rod.hollow.wall(float(free - middle)) is not None else None
        x = [max(free - float(s), 0.0) for s in (beam.s[e], middle, beam.s[e + 1])]
        across = [section.taper.at(one) for one in x]
        step = np.array([more[e], (more[e] + more[e + 1]) / 2, more[e + 1]])
        a, b = (
            np.array([rod.bare_apothem(d + up) for d, up in zip(across, by, strict=True)]) for by in (0 * step, step)
        )
        wall = np.array([hollow.thickness(one) for one in x]) if hollow else None
        i, j = (np.zeros(3), np.zeros(3)) if wall is None else (a - wall, b - wall)
        (thin, inside, _), (thick, within, _) = cane_shares(rod, a, i), cane_shares(rod, b, j)
        stiffness[e] *= (thick * b**4 / (thin * a**4))[::2]
        if void is not None and hollow is not None:
            void[e] *= (within * j**4 / (inside * i**4))[::2]
        cane, varnish = b**2 - a**2 - (j**2 - i**2), 2 * rod.varnish.m * (b - a)
        density[e] += unit * (rod.cane.density.value * cane + rod.varnish_density.value * varnish)
    return replace(beam, stiffness=stiffness, density=density, void=void)

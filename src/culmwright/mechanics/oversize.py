"""What a little more across is worth: one section of a rod after the other a step thicker, and bent again."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from culmwright.design.rod import Rod, Section
from culmwright.measure.record import si
from culmwright.mechanics.beam import SAME_PLACE, Array, Beam
from culmwright.mechanics.many import one_of
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
    thicker = _thicker(beam, rod, sections, step)
    drop, rate = _figures(beam, load)
    found = []
    for name, share in parts:
        other = one_of(beam, 1 + share * (thicker - 1))
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


def _thicker(beam: Beam, rod: Rod, sections: tuple[Section, ...], step: float) -> Array:
    """How many times as thick the bare cane is at the nodes with ``step`` more across."""
    times = []
    for station in np.clip(free_length(rod) - beam.s, 0.0, None):
        section = next(one for one in sections if station <= one.end.m + SAME_PLACE)
        across = section.taper.at(float(station))
        times.append(rod.bare_apothem(across + step) / rod.bare_apothem(across))
    return np.array(times)

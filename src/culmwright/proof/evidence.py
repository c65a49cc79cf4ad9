"""What was read of one section: every strip's height at every station, and flats of the glued section."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from culmwright.bench.targets import target
from culmwright.design.rod import Rod, Section
from culmwright.measure.errors import AnswerIsNo, BadInput
from culmwright.measure.lengths import Length
from culmwright.mechanics.beam import Array


@dataclass(frozen=True, slots=True)
class FlatRead:
    """A caliper over the bare, scraped section: ``across`` [m] at which of its stations, over which ``face`` from 1 on.

    Even sides: over faces ``face`` and the opposite one; odd: from ``face`` to the opposite corner.
    """

    station: int
    face: int
    across: float


@dataclass(frozen=True, slots=True, eq=False)
class StripsRead:
    """A section's strips in ring order as read: ``heights`` [m] by station and place in the ``ring``.

    ``filled`` marks heights that were not read: the departure from target goes straight between neighbours there.
    """

    section: Section
    ring: tuple[int, ...]
    heights: Array
    filled: NDArray[np.bool_]
    targets: Array
    flats: tuple[FlatRead, ...] = ()


def enough(read: int, stations: int) -> bool:
    """True where a strip was read at so many of its ``stations`` that what it came to can be told: half of them."""
    return 2 * read >= stations


def strips_read(
    rod: Rod,
    section: Section,
    heights: Mapping[tuple[Length, int], float],
    ring: Sequence[int] | None = None,
    flats: Mapping[tuple[Length, int], float] | None = None,
) -> StripsRead:
    """What is known of ``section``: ``heights`` [m] by station and strip, the strips' order in the ``ring``, and
    ``flats`` [m] by station and face.

    Without a ring order strips 1 to n stand as they were cut. Raises :class:`AnswerIsNo` for a strip of the ring that
    was read at fewer than half of its stations, :class:`BadInput` for a ring that is none.
    """
    order = tuple(ring) if ring is not None else tuple(range(1, rod.sides + 1))
    if len(order) != rod.sides or len(set(order)) != rod.sides:
        raise BadInput(
            f"{', '.join(f'S{one}' for one in order)} is no ring of {rod.sides} strips",
            where=f"section {section.name}",
            remedy=f"Name {rod.sides} of its strips, each once",
        )
    stations = section.stations
    targets = np.array([target(rod, section, station).height for station in stations])
    found = np.full((len(stations), rod.sides), np.nan)
    for j, station in enumerate(stations):
        for i, strip in enumerate(order):
            found[j, i] = heights.get((station, strip), np.nan)
    filled = np.isnan(found)
    for i, strip in enumerate(order):
        known = ~filled[:, i]
        if not enough(int(known.sum()), len(stations)):
            raise AnswerIsNo(
                f"strip S{strip} of {section.name} was read at {known.sum()} of {len(stations)} stations after its "
                "last pass, which is too few to say what it came to",
                remedy=f"Read it: culmwright read ROD --stage finish --section {section.name} --strip {strip}",
            )
        x = np.array([station.m for station in stations])
        found[:, i] = targets + np.interp(x, x[known], found[known, i] - targets[known])
    place = {station: j for j, station in enumerate(stations)}
    seen = tuple(
        FlatRead(place[station], face, across) for (station, face), across in (flats or {}).items() if station in place
    )
    most = rod.sides // 2 if rod.sides % 2 == 0 else rod.sides
    for one in seen:
        if not 1 <= one.face <= most:
            raise BadInput(
                f"a section of {rod.sides} sides is measured over {most} pairs, not over a pair {one.face}",
                where=f"section {section.name}",
                remedy=f"Number the pairs 1 to {most}",
            )
    return StripsRead(section, order, found, filled, targets, seen)

"""Where guides go: as listed, by common practice, and where the line of the bent rod turns evenly."""

from __future__ import annotations

from dataclasses import dataclass, replace
from fractions import Fraction
from itertools import pairwise
from math import inf

import numpy as np

from culmwright.design.fittings import CLEAR_OF_FERRULE, Guide, guide_place, propose_guides
from culmwright.design.rod import Rod
from culmwright.measure.errors import AnswerIsNo, BadInput
from culmwright.measure.lengths import NANOMETRES, Length
from culmwright.measure.record import si
from culmwright.mechanics.guide_places import even_places, line_turns
from culmwright.mechanics.rod_beam import free_length, rod_beam
from culmwright.mechanics.statics import DOWN, Bent, Load, bend_surely

SETTLED = 1e-5
"""Places and the bend they lead to agree when another round moves none by more than this [m]."""
ROUNDS = 40
SLOW = 0.7
"""A round that brings places no nearer than this share of the one before overshoots: from then on half as far."""


@dataclass(frozen=True, slots=True)
class GuideWay:
    """Guides placed one way: their stations [m] from the tip, and how far the line turns at each [rad], below zero
    where it turns against the bend of the whole rod.

    The tip-top and the last guide have no turn of their own: where the line goes there is not the rod's doing.
    """

    way: str
    stations: tuple[float, ...] = si("m")
    turns: tuple[float | None, ...] = si("rad")


@dataclass(frozen=True, slots=True)
class GuidePlan:
    """Ways to place the guides of a rod with one of its tips, each under a line at ``load`` [N] through its guides.

    ``reason`` says why there is no even way where there is none.
    """

    name: str
    tip: int
    load: float = si("N")
    attitude: float = si("rad")
    direction: float = si("rad")
    ways: tuple[GuideWay, ...] = ()
    reason: str = ""
    notes: tuple[str, ...] = ()
    warnings: tuple[str, ...] = ()


LISTED, PRACTICE, EVEN, AT_BENCH = "as listed", "common practice", "even turn", "even turn, to mark out"


def guide_plan(
    rod: Rod,
    load: float,
    attitude: float = 0.0,
    direction: float = DOWN,
    *,
    tip: int = 1,
    metric: bool | None = None,
) -> GuidePlan:
    """Places of the guides of ``rod`` with ``tip``, for a line at ``load`` [N] that leaves its top in ``direction``.

    Angles [rad] above the horizontal. As many guides as the file lists (else as common practice has), the last
    where it stands, are moved until the line turns by the same angle at all between; the rod is bent anew each time.
    To mark out, places are rounded to 1/8 in (5 mm if ``metric``) and kept clear of ferrules. Raises :class:`BadInput`
    for a load that does not pull; where the line cannot turn evenly the plan says so.
    """
    if not load > 0:
        raise BadInput(f"a line at {rod.display.load(load)} does not bend a rod", remedy="Give a load above zero")
    metric = rod.display.bare == "mm" if metric is None else metric
    asked = Load(load, direction, attitude, through_guides=True)
    proposed = propose_guides(rod.length, rod.ferrules, rod.grip, metric=metric)
    start = tuple(one.station for one in rod.guides) or proposed
    ways, reason = [], ""
    try:
        for way, stations in ((LISTED, start), (PRACTICE, proposed))[0 if rod.guides else 1 :]:
            ways.append(_way(way, stations, _bend(rod, tip, stations, asked)))
        even, bent = _even(rod, tip, start, asked)
        ways.append(_way(EVEN, even, bent))
        marked = tuple(
            guide_place(one.nanometres / NANOMETRES["in"], rod.ferrules, metric=metric) for one in even[1:-1]
        )
        marked = (even[0], *marked, even[-1])
        if any(b.nanometres <= a.nanometres for a, b in pairwise(marked)):
            raise AnswerIsNo("to mark out, two guides fall on one place", remedy="List fewer guides")
        ways.append(_way(AT_BENCH, marked, _bend(rod, tip, marked, asked)))
    except AnswerIsNo as none:
        reason = f"{none.what}. {none.remedy}"
    notes = (*_notes(rod, ways), *_off_ferrules(rod, ways, metric=metric))
    return GuidePlan(rod.name, tip, load, attitude, direction, tuple(ways), reason, notes, rod.warnings)


def _bend(rod: Rod, tip: int, stations: tuple[Length, ...], load: Load) -> Bent:
    """The rod at rest with its guides moved to ``stations``; each keeps its mass, if there are as many."""
    masses = [one.mass for one in rod.guides] if len(rod.guides) == len(stations) else [None] * len(stations)
    guides = tuple(Guide(station, mass) for station, mass in zip(stations, masses, strict=True))
    return bend_surely(rod_beam(replace(rod, guides=guides), tip), load)


def _even(rod: Rod, tip: int, start: tuple[Length, ...], load: Load) -> tuple[tuple[Length, ...], Bent]:
    """The even places and the bend that goes with them: places change the bend and the bend the places."""
    free, stations = free_length(rod), start
    share, before = 1.0, inf
    for _ in range(ROUNDS):
        bent = _bend(rod, tip, stations, load)
        places = np.array([one.m for one in stations])
        off = free - even_places(bent, len(start), free - start[-1].m) - places
        moved = np.abs(off).max()
        if moved < SETTLED:
            return stations, bent
        if moved > SLOW * before:
            share /= 2
        before = moved
        between = (Length(Fraction(round(place * 1e9))) for place in (places + share * off)[1:-1])
        stations = (start[0], *between, start[-1])
    raise AnswerIsNo("guide places and the bend they lead to do not settle", remedy="Try a smaller load")


def _way(way: str, stations: tuple[Length, ...], bent: Bent) -> GuideWay:
    places = np.array([bent.beam.length - one.m for one in stations])
    bends = 1.0 if bent.tip_angle >= 0 else -1.0
    turns = [None, *(bends * line_turns(bent, places)).tolist(), None]
    return GuideWay(way, tuple(one.m for one in stations), tuple(turns[-len(stations) :]))


def _notes(rod: Rod, ways: list[GuideWay]) -> tuple[str, ...]:
    notes = ["rings have no height and the line no friction: it turns at the rod's axis"]
    if not rod.guides:
        notes.append("the file lists no guides: their number and the place of the last are common practice, no source")
    usual = next((len(one.stations) for one in ways if one.way == PRACTICE), len(rod.guides))
    if usual != len(rod.guides) and any(one.mass for one in rod.guides):
        notes.append(
            f"common practice has {usual - 1} guides and the file lists {len(rod.guides) - 1}: those of common "
            "practice are taken without a mass"
        )
    even = next((one.stations for one in ways if one.way == EVEN), ())
    if len(even) > 2 and even[1] > even[2] - even[1]:
        notes.append(
            "a strong line pulls the rod's tip straight, so that even turns leave a long space behind the tip-top; "
            "common practice puts guides there all the same, to keep the line off the cane in a cast"
        )
    return tuple(notes)


def _off_ferrules(rod: Rod, ways: list[GuideWay], *, metric: bool) -> list[str]:
    """Why a guide to mark out stands further from its even place than rounding moves it."""
    by_way, show = {one.way: one.stations for one in ways}, rod.display.guide
    clear = Length.of(CLEAR_OF_FERRULE, "in").m
    said = []
    for even, marked in zip(by_way.get(EVEN, ()), by_way.get(AT_BENCH, ()), strict=False):
        near = [one.station.m for one in rod.ferrules if abs(one.station.m - even) < clear]
        if near and marked != even:
            said.append(
                f"to mark out, the guide at {show(even)} goes to {show(marked)}: its feet stay "
                f"{'50 mm' if metric else '2 in'} clear of the ferrule at {show(near[0])}"
            )
    return said

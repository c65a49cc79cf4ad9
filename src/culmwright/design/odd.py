"""What is possible but odd about a taper: a slipped decimal point, or the wrong unit."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import pairwise

from culmwright.design.taper import Taper
from culmwright.measure.lengths import Length

CLOSE = 0.3  # [m] an end station further than this from its neighbour is not judged by it
STEEPEST = 3.0  # times its neighbour, for an end station


def odd_across(place: str, stations: tuple[Length, ...], across: tuple[Length, ...]) -> Iterator[str]:
    """Warnings about an across its neighbours contradict, each naming ``place`` in the file, value and station.

    Inside, an across under half or over twice the straight line between its neighbours; at an end, one that differs
    from a close neighbour by more than three times; and a whole taper too thick or too thin for its unit.
    """
    for (s0, a0), (s1, a1), (s2, a2) in _triples(stations, across):
        expected = Taper((s0, s2), (a0, a2)).at(s1.m)
        if not 0.5 <= a1.m / expected <= 2:
            yield f"{place} across is {a1} at station {s1}, between {a0} and {a2}: is that a slip?"
    for end, beside in ((0, 1), (-1, -2)):
        close = abs(stations[end].m - stations[beside].m) < CLOSE
        if close and not 1 / STEEPEST <= across[end].m / across[beside].m <= STEEPEST:
            value, station = across[end], stations[end]
            yield f"{place} across is {value} at station {station}, beside {across[beside]}: is that a slip?"
    thickest = max(across, key=lambda one: one.nanometres)
    if thickest.m > 0.04:
        yield f"{place} across reaches {thickest}: is units set right?"
    elif thickest.m < 0.001:
        yield f"{place} across is nowhere over 1 mm: is units set right?"


Point = tuple[Length, Length]


def _triples(stations: tuple[Length, ...], across: tuple[Length, ...]) -> Iterator[tuple[Point, Point, Point]]:
    for before, after in pairwise(pairwise(zip(stations, across, strict=True))):
        yield before[0], before[1], after[1]

"""Sliding a strip along its own taper: the slides at which it is on or over a target everywhere, exactly.

Heights and targets are straight lines between their stations. Slid by s towards the tip, the strip's place
x + s serves the target's place x. Between two slides at which a bend of one line passes a bend of the other,
every condition is linear in s, so the slides that fit are found without search.
"""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property
from itertools import pairwise

from culmwright.bench.passes import SAME
from culmwright.measure.errors import BadInput


@dataclass(frozen=True)
class Line:
    """Heights [m] at places [m] along a piece, straight between them and on beyond its ends."""

    places: tuple[float, ...]
    heights: tuple[float, ...]

    def __post_init__(self) -> None:
        rising = all(left < right for left, right in pairwise(self.places))
        if len(self.places) < 2 or len(self.places) != len(self.heights) or not rising:
            raise BadInput(
                "heights along a strip need two stations or more, in order from its tip end",
                where="strip",
                remedy="Read the strip at another station",
            )

    @property
    def start(self) -> float:
        """The first place [m]."""
        return self.places[0]

    @property
    def end(self) -> float:
        """The last place [m]."""
        return self.places[-1]

    @cached_property
    def _slopes(self) -> tuple[float, ...]:
        points = pairwise(zip(self.places, self.heights, strict=True))
        return tuple((h1 - h0) / (x1 - x0) for (x0, h0), (x1, h1) in points)

    def at(self, x: float) -> float:
        """Height [m] at ``x`` [m].

        >>> Line((0.0, 2.0), (1.0, 3.0)).at(0.5)
        1.5
        """
        i = min(max(bisect_right(self.places, x) - 1, 0), len(self._slopes) - 1)
        return self.heights[i] + self._slopes[i] * (x - self.places[i])


def least_and_most(strip: Line, target: Line, slide: float) -> tuple[float, float]:
    """The least and the most the strip has over ``target`` [m] when slid by ``slide`` [m] towards the tip.

    The extremes of two lines with bends lie at their bends: those of ``strip(x + s) - target(x)``.
    """
    inside = [p - slide for p in strip.places if target.start < p - slide < target.end]
    over = [strip.at(x + slide) - target.at(x) for x in (*target.places, *inside)]
    return min(over), max(over)


def fitting_slides(
    strip: Line, target: Line, low: float, high: float, may_be_under: float = 0.0
) -> tuple[tuple[float, float], ...]:
    """All slides [m] from ``low`` to ``high`` at which the strip is nowhere more than ``may_be_under`` under.

    Closed intervals in order, touching ones joined; empty where no slide fits.
    """
    if high < low:
        return ()
    bends = {p - x for p in strip.places for x in target.places}
    edges = [low, *sorted(bend for bend in bends if low < bend < high), high]
    found: list[tuple[float, float]] = []
    for left, right in pairwise(edges):
        if interval := _fitting(strip, target, left, right, may_be_under):
            if found and interval[0] - found[-1][1] <= SAME:
                found[-1] = (found[-1][0], interval[1])
            else:
                found.append(interval)
    return tuple(found)


def nearest(slides: Sequence[tuple[float, float]], to: float) -> float | None:
    """The slide [m] nearest ``to`` [m] among intervals, None if there are none; of two alike, the larger."""
    best = [min(max(to, left), right) for left, right in slides]
    return min(best, key=lambda slide: (abs(slide - to), -slide)) if best else None


def _fitting(strip: Line, target: Line, left: float, right: float, under: float) -> tuple[float, float] | None:
    """The part of one stretch of slides, free of bends, where every condition holds; None if there is none.

    Each condition ``c(s) >= 0`` is linear, so its values at both ends of the stretch tell where it holds.
    """
    middle = (left + right) / 2
    ends = [
        (strip.at(x + left) - height, strip.at(x + right) - height)
        for x, height in zip(target.places, target.heights, strict=True)
    ] + [
        (height - target.at(p - left), height - target.at(p - right))
        for p, height in zip(strip.places, strip.heights, strict=True)
        if target.start < p - middle < target.end
    ]
    low, high = left, right
    for at_left, at_right in ends:
        spare_left, spare_right = at_left + under + SAME, at_right + under + SAME
        if spare_left < 0 and spare_right < 0:
            return None
        if (spare_left < 0) != (spare_right < 0):
            crossing = left + (right - left) * spare_left / (spare_left - spare_right)
            low, high = (max(low, crossing), high) if spare_left < 0 else (low, min(high, crossing))
    return (low, high) if low <= high else None

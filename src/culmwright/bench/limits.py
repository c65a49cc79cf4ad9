"""Two limits on each side of a target: beyond the first a maker is warned, beyond the second told to stop.

A side may have no limit: what is over can still be cut, what is under cannot be put back. A reading exactly
on a limit is in.
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import Enum
from math import isfinite

from culmwright.bench.passes import SAME, THOU
from culmwright.measure.errors import BadInput
from culmwright.measure.lengths import Length
from culmwright.measure.record import si


class Size(Enum):
    """On which side of on size a reading lies."""

    UNDER = "under"
    ON_SIZE = "on size"
    OVER = "over"


class Level(Enum):
    """How far out it lies: within the warn limit, beyond it, or beyond the stop limit."""

    IN = "in"
    WARN = "warn"
    STOP = "stop"


@dataclass(frozen=True, slots=True)
class Verdict:
    """A size and a level, and how they are told apart without colour: a sign, a shape and a sound."""

    size: Size
    level: Level

    @property
    def sign(self) -> str:
        """``+``, ``-`` or ``=``."""
        return {Size.UNDER: "-", Size.ON_SIZE: "=", Size.OVER: "+"}[self.size]

    @property
    def shape(self) -> str:
        """Name of the shape that shows it: a disc, or a triangle whose point tells the side."""
        if self.size is Size.ON_SIZE:
            return "disc"
        form = {Level.IN: "open triangle", Level.WARN: "triangle", Level.STOP: "barred triangle"}[self.level]
        return f"{form} {'up' if self.size is Size.OVER else 'down'}"

    @property
    def sound(self) -> str:
        """Name of the sound that tells it: a click, or notes rising or falling, more the farther out."""
        if self.size is Size.ON_SIZE:
            return "click"
        notes = {Level.IN: "one note", Level.WARN: "two notes", Level.STOP: "three notes"}[self.level]
        return f"{notes} {'rising' if self.size is Size.OVER else 'falling'}"


@dataclass(frozen=True, slots=True)
class Limits:
    """How far a reading may lie from its target, every one a distance above zero [m] or None for no limit.

    Within the warn limits a strip is on size; where a side has no warn limit its stop limit takes that part,
    and where it has neither, anything off the target is off size, at no level.
    """

    warn_under: float | None = si("m")
    stop_under: float | None = si("m")
    warn_over: float | None = si("m")
    stop_over: float | None = si("m")

    def __post_init__(self) -> None:
        for side, warn, stop in (
            ("under", self.warn_under, self.stop_under),
            ("over", self.warn_over, self.stop_over),
        ):
            if any(limit is not None and not (isfinite(limit) and limit >= 0) for limit in (warn, stop)):
                raise BadInput(
                    f"a limit {side} lies on the wrong side of the target",
                    where="limits",
                    remedy="Write limits under with a minus and limits over with a plus",
                )
            if warn is not None and stop is not None and warn > stop:
                raise BadInput(
                    f"the warn limit {side} lies beyond the stop limit",
                    where="limits",
                    remedy="Exchange the two",
                )

    @classmethod
    def typed(
        cls,
        warn_under: str | None = None,
        stop_under: str | None = None,
        warn_over: str | None = None,
        stop_over: str | None = None,
        bare: str | None = None,
    ) -> Limits:
        """Limits as typed, those under as minus and those over as plus numbers; ``bare`` is their unit if
        they have none.

        >>> Limits.typed(stop_under="-1 thou", warn_over="+1 thou").stop_under
        2.54e-05
        """
        under = [None if text is None else -Length.parse(text, bare).m for text in (warn_under, stop_under)]
        over = [None if text is None else Length.parse(text, bare).m for text in (warn_over, stop_over)]
        return cls(under[0], under[1], over[0], over[1])

    def verdict(self, deviation: float) -> Verdict:
        """What a reading ``deviation`` [m] above its target is; exactly on a limit is in."""
        size = Size.OVER if deviation > 0 else Size.UNDER
        warn, stop = (self.warn_over, self.stop_over) if size is Size.OVER else (self.warn_under, self.stop_under)
        off = abs(deviation)
        edge = warn if warn is not None else stop if stop is not None else 0.0
        if off <= edge + SAME:
            return Verdict(Size.ON_SIZE, Level.IN)
        if stop is not None and off > stop + SAME:
            return Verdict(size, Level.STOP)
        return Verdict(size, Level.IN if warn is None else Level.WARN)


FINISH_LIMITS = Limits(warn_under=0.5 * THOU, stop_under=1.0 * THOU, warn_over=1.0 * THOU, stop_over=None)
"""Limits of a finished strip: an edge cannot take off less than the thou it may be over (own choice)."""

ROUGH_LIMITS = Limits(warn_under=5.0 * THOU, stop_under=10.0 * THOU, warn_over=5.0 * THOU, stop_over=None)
"""Limits of a roughed strip, which has its whole allowance still to give (own choice)."""

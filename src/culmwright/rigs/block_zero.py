"""The zero of a V block: what the gauge reads at its virtual vertex, from pins or from a master strip.

A pin of radius r tops the vertex by ``r (1 + 1/sin(beta/2))``, so readings over several pins lie on a straight line
``reading = zero + slope r``; its slope tells the block's angle too. Pins touch the walls above the root, a strip's
apex reaches into it: if a master strip finds another zero, the root is not sharp. Least squares; *Machinery's
Handbook*, 31st ed., measurement over pins.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import asin, degrees, inf, sin, sqrt

from culmwright.measure.display import Display
from culmwright.measure.errors import BadInput
from culmwright.measure.reach import Size, must_reach
from culmwright.measure.record import si
from culmwright.rigs.budget import Budget, Part
from culmwright.rigs.vblock import pin_top

ANGLE_OFF = 0.0044  # [rad] a quarter of a degree
KNOWN = 1e6  # degrees of freedom beyond which a doubt is as good as known


@dataclass(frozen=True, slots=True)
class OverPin:
    """A pin of ``radius`` [m] in the block and what the gauge ``reading`` [m] was over it."""

    radius: float
    reading: float


@dataclass(frozen=True, slots=True)
class BlockZero:
    """The zero of a block and its standard uncertainty; ``residuals`` what each reading stands off the fit.

    ``angle`` is the block's angle as the pins find it, None with pins of one size or a master strip; ``freedom`` the
    degrees of freedom behind the uncertainty, infinite where it is the gauge's alone.
    """

    zero: float = si("m")
    uncertainty: float = si("m")
    freedom: float | None = si("-")
    angle: float | None = si("rad")
    angle_uncertainty: float | None = si("rad")
    residuals: tuple[float, ...] = si("m")
    warnings: tuple[str, ...] = ()

    def part(self) -> Part:
        """Its doubt [m] as a part of a reading's budget."""
        return Part("zero of the block", self.uncertainty, 1.0, inf if self.freedom is None else self.freedom)


def zero_from_pins(beta: float, over: Sequence[OverPin], gauge: Part, show: Display) -> BlockZero:
    """The zero [m] of a block of angle ``beta`` [rad] from readings over pins, each read with the doubt ``gauge``.

    The mean of ``reading - top`` and its standard error; the gauge's own error is common to all, no mean lessens it.
    """
    if not over:
        raise BadInput("no pin was read", where="pins", remedy="Read at least one pin of known size in the block")
    for one in over:
        if not one.radius > 0:
            raise BadInput("a pin has no size", where="pins", remedy="Give its diameter, above zero")
        must_reach(Size.PIN, 2 * one.radius, show.bare, "pins")
    zeros = [one.reading - pin_top(one.radius, beta) for one in over]
    count = len(zeros)
    zero = sum(zeros) / count
    residuals = tuple(one - zero for one in zeros)
    parts = [gauge]
    if count > 1:
        scatter = sqrt(sum(one**2 for one in residuals) / (count - 1))
        parts.append(Part.repeated("scatter over the pins", scatter, count, count - 1))
    budget = Budget(tuple(parts))
    angle, doubt = _angle(over)
    freedom = budget.freedom if budget.freedom < KNOWN else None
    return BlockZero(
        zero,
        budget.combined,
        freedom,
        angle,
        doubt,
        residuals,
        _pin_warnings(beta, angle, doubt, over, residuals, show),
    )


def _angle(over: Sequence[OverPin]) -> tuple[float | None, float | None]:
    """The block's angle [rad] from the slope of reading against radius, and its standard error; None where unknown."""
    count = len(over)
    mean_r, mean_y = (sum(values) / count for values in zip(*((one.radius, one.reading) for one in over), strict=True))
    spread = sum((one.radius - mean_r) ** 2 for one in over)
    if spread < 1e-12:
        return None, None
    slope = sum((one.radius - mean_r) * (one.reading - mean_y) for one in over) / spread
    if slope <= 2:
        return None, None
    angle = 2 * asin(1 / (slope - 1))
    if count < 3:
        return angle, None
    off = [one.reading - mean_y - slope * (one.radius - mean_r) for one in over]
    error = sqrt(sum(each**2 for each in off) / (count - 2) / spread)
    sine = 1 / (slope - 1)
    return angle, 2 * sine**2 / sqrt(1 - sine**2) * error


def _pin_warnings(
    beta: float,
    angle: float | None,
    doubt: float | None,
    over: Sequence[OverPin],
    residuals: Sequence[float],
    show: Display,
) -> tuple[str, ...]:
    said = []
    if angle is None and len({one.radius for one in over}) > 1:
        said.append("the readings do not rise with the pins as in any V: look for a slip of the key")
    if angle is not None and abs(angle - beta) > max(ANGLE_OFF, 3 * (doubt or 0.0)):
        said.append(
            f"the pins find a block of {degrees(angle):.1f} deg, not {degrees(beta):.4g}: is it the right block, or is "
            "a pin another size than given"
        )
    if len(over) == 1:
        said.append("one pin tells nothing of its own error: read three of different size")
    worst = max(residuals, key=abs)
    if abs(worst) > 25.4e-6:
        one = over[list(residuals).index(worst)]
        pin, off = show.across(2 * one.radius), show.small(abs(worst))
        said.append(f"the pin of {pin} stands {off} off the others: read it again")
    return tuple(said)


def zero_from_master(height: float, doubt: float, reading: float, gauge: Part) -> BlockZero:
    """The zero [m] from a master strip ``height`` [m] high, known within ``doubt`` [m], read at ``reading`` [m]."""
    if not (height > 0 and doubt >= 0):
        raise BadInput("a master strip needs a height above zero", where="master", remedy="Give its height as measured")
    budget = Budget((gauge, Part.within("height of the master strip", doubt)))
    return BlockZero(reading - height, budget.combined, None, None, None, (0.0,))


def root_words(pins: BlockZero, master: BlockZero, beta: float, show: Display) -> str:
    """What the difference of the two zeros says about the root of a block of ``beta`` [rad].

    A root worn to a radius holds a strip up by ``rho (1/sin(beta/2) - 1)``, so its zero is higher than the pins'.
    """
    off = master.zero - pins.zero
    if abs(off) <= 2 * sqrt(pins.uncertainty**2 + master.uncertainty**2):
        return "pins and master strip agree: the root is sharp as far as these readings tell"
    if off < 0:
        return (
            f"the master strip reads {show.small(-off)} low against the pins: its apex is worn, or the root "
            "is relieved; use the zero of the master strip"
        )
    radius = off / (1 / sin(beta / 2) - 1)
    return (
        f"the master strip is held up by {show.small(off)}: as by a root worn to a radius of {show.small(radius)}; "
        "use the zero of the master strip, for strips as sharp as it"
    )

"""Questions asked before a reading is kept: a double press, a unit mixed up, a value that cannot be.

A guard never changes a value. It returns None where there is nothing to ask, or what it holds the reading for
and the question in words; only the maker's answer, or another reading, settles it.
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import Enum

from culmwright.bench.passes import SAME, THOU
from culmwright.measure.display import Display
from culmwright.measure.lengths import NANOMETRES, Length

REPEAT_WITHIN = 0.7
"""Seconds [s] within which the same value is taken for a double press."""

INCH_IN_MM = 25.4
OFF_BY = 3.0
"""How many times too large or too small [-] a value has to be before a mixed-up unit is asked about."""

_ASK = "Keep it, or read again?"


class HeldFor(Enum):
    """Why a reading is held."""

    REPEAT = "repeat"
    OTHER_UNIT = "other unit"
    FAR_OFF = "far off"


@dataclass(frozen=True, slots=True)
class Held:
    """A reading that waits for an answer: the ``reason`` and the ``question`` in words."""

    reason: HeldFor
    question: str


@dataclass(frozen=True, slots=True)
class Reach:
    """How far from its target a reading can be in earnest: ``under`` and ``over`` [m]."""

    under: float
    over: float


REACH = Reach(under=20 * THOU, over=120 * THOU)
"""Reach of a strip that starts 100 thou over its target, with 20 thou to spare either way (own choice)."""


def repeat(value: Length, last: Length, elapsed: float) -> Held | None:
    """Hold ``value`` if it equals the ``last`` one kept, ``elapsed`` [s] ago or less than 0.7 s.

    The cell is not asked for: the first press has armed the next one already. Exactly 0.7 s is held.
    """
    if value != last or elapsed > REPEAT_WITHIN:
        return None
    return Held(
        HeldFor.REPEAT,
        f"{value} came twice within {REPEAT_WITHIN:g} s: was the gauge pressed twice? {_ASK}",
    )


def other_unit(value: Length, target: float, tolerance: float, display: Display) -> Held | None:
    """Hold ``value`` if 25.4 times it, or a 25.4th of it, is within ``tolerance`` [m] of ``target`` [m].

    The value itself has to be more than 3 times too large or too small. Nothing is converted.
    """
    if not _off(value.m, target):
        return None
    wanted = display.height(target)
    if abs(value.m / INCH_IN_MM - target) <= tolerance:
        guess = "That looks like millimetres on an inch gauge" if value.unit == "in" else "It is 25.4 times too large"
    elif abs(value.m * INCH_IN_MM - target) <= tolerance:
        guess = "That looks like inches on a millimetre gauge" if value.unit == "mm" else "It is 25.4 times too small"
    else:
        return None
    question = f"{value} came where {wanted} is wanted. {guess}. Read again in the right unit, or keep it as it is?"
    return Held(HeldFor.OTHER_UNIT, question)


def far_off(
    value: Length, target: float, display: Display, reach: Reach = REACH, tolerance: float = 5 * THOU
) -> Held | None:
    """Hold ``value`` if it lies farther from ``target`` [m] than ``reach``, or is not above zero.

    Where one leading digit more would bring it within ``tolerance`` [m] of the target, the question says so:
    some gauges drop the first digit of a long number.
    """
    deviation = value.m - target
    if value.m > 0 and -reach.under - SAME <= deviation <= reach.over + SAME:
        return None
    wanted = display.height(target)
    if digit := _missing_digit(value, target, tolerance):
        question = f"{value} came where {wanted} is wanted: has a leading {digit} been dropped? {_ASK}"
    elif value.m <= 0:
        question = f"{value} came where {wanted} is wanted: was the gauge zeroed in another place? {_ASK}"
    else:
        side = "over" if deviation > 0 else "under"
        question = f"{value} is {display.small(abs(deviation))} {side} the {wanted} wanted here. {_ASK}"
    return Held(HeldFor.FAR_OFF, question)


def _off(value: float, target: float) -> bool:
    return value > OFF_BY * target or value * OFF_BY < target


def _missing_digit(value: Length, target: float, tolerance: float) -> int | None:
    """The digit that, before ``value``'s own, would bring it to ``target`` [m]; None if no digit does."""
    if value.nanometres < 0:
        return None
    unit = NANOMETRES.get(value.unit, NANOMETRES["mm"]) * 1e-9
    for power in (1, 10, 100):
        if value.m >= power * unit:
            continue  # a digit in this place would not be the leading one
        for digit in range(1, 10):
            if abs(value.m + digit * power * unit - target) <= tolerance:
                return digit
    return None

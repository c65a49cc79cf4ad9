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
_CAME = "{value} came where {wanted} is wanted"
_UNIT = "Read again in the right unit, or keep it as it is?"
QUESTIONS = {
    "repeat": f"{{value}} came twice within {REPEAT_WITHIN:g} s: was the gauge pressed twice? {_ASK}",
    "mm on in": f"{_CAME}. That looks like millimetres on an inch gauge. {_UNIT}",
    "in on mm": f"{_CAME}. That looks like inches on a millimetre gauge. {_UNIT}",
    "too large": f"{_CAME}. It is {INCH_IN_MM} times too large. {_UNIT}",
    "too small": f"{_CAME}. It is {INCH_IN_MM} times too small. {_UNIT}",
    "digit": f"{_CAME}: has a leading {{digit}} been dropped? {_ASK}",
    "zero": f"{_CAME}: was the gauge zeroed in another place? {_ASK}",
    "over": f"{{value}} is {{by}} over the {{wanted}} wanted here. {_ASK}",
    "under": f"{{value}} is {{by}} under the {{wanted}} wanted here. {_ASK}",
}
"""Every question in words, with braces where the figures go."""


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
    return Held(HeldFor.REPEAT, QUESTIONS["repeat"].format(value=value))


def other_unit(value: Length, target: float, tolerance: float, display: Display) -> Held | None:
    """Hold ``value`` if 25.4 times it, or a 25.4th of it, is within ``tolerance`` [m] of ``target`` [m].

    The value itself has to be more than 3 times too large or too small. Nothing is converted.
    """
    if not _off(value.m, target):
        return None
    wanted = display.height(target)
    if abs(value.m / INCH_IN_MM - target) <= tolerance:
        guess = "mm on in" if value.unit == "in" else "too large"
    elif abs(value.m * INCH_IN_MM - target) <= tolerance:
        guess = "in on mm" if value.unit == "mm" else "too small"
    else:
        return None
    return Held(HeldFor.OTHER_UNIT, QUESTIONS[guess].format(value=value, wanted=wanted))


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
    digit, by = _missing_digit(value, target, tolerance), display.small(abs(deviation))
    which = "digit" if digit else "zero" if value.m <= 0 else "over" if deviation > 0 else "under"
    return Held(HeldFor.FAR_OFF, QUESTIONS[which].format(value=value, wanted=wanted, digit=digit, by=by))


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

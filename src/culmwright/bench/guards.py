"""Questions asked before a reading is kept: a double press, a unit mixed up, a value that cannot be, one astray.

A guard never changes a value. It returns None where there is nothing to ask, or what it holds the reading for
and the question in words; only the maker's answer, or another reading, settles it.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from enum import Enum

from culmwright.bench.judge import Aim, Stage
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
_THERE = "{there} at station {station} of this strip"
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
    "more": f"{{value}} is {{by}} more than goes with {_THERE}. {_ASK}",
    "less": f"{{value}} is {{by}} less than goes with {_THERE}. {_ASK}",
    "exchanged": f"{{value}} here and {_THERE} look exchanged: each fits the other's place. "
    "Keep it, or read both again?",
}
"""Every question in words, with braces where the figures go."""


class HeldFor(Enum):
    """Why a reading is held."""

    REPEAT = "repeat"
    OTHER_UNIT = "other unit"
    FAR_OFF = "far off"
    ASTRAY = "astray"
    EXCHANGED = "exchanged"


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


ASTRAY = {Stage.ROUGH: 30 * THOU, Stage.FINISH: 8 * THOU}
"""How far a reading may stand off its neighbours on the strip [m] before it is asked about (own choice).

Less, when finishing, than a figure mistyped in the hundredths of an inch. On an invented shop whose strips scatter from
station to station by 1 thou (5 roughed) and by 3 in 100 of what they stand over, tapered or not yet, a node of up to 4
thou (9 roughed) every 9 in, it and :func:`exchanged` ask about fewer than 1 good reading in 1000, and about 98 of 100
that are a tenth of an inch out (``tests/bench/test_neighbours.py`` plays it).
"""
ASTRAY_SHARE = 0.25
"""So much more [-] of what its neighbour is over may it stand off: what is yet to be cut is as rough as it came."""
EXCHANGED_SHARE = {Stage.ROUGH: 1.0, Stage.FINISH: 0.5}
"""Of the same [-], what two readings that look exchanged differ by at least: less will do, as more has to agree.
Roughed, with a tenth of an inch to give at every station, few taper so much: it would cost more questions than it
answers.
"""
EXCHANGED_FIT = 1 / 3
"""How far [-] of that difference each may stand from a third reading once they are exchanged."""
READ_TWICE, ALIKE = "read twice, it is so", 1 * THOU
"""What is asked about as astray and read again, to so much [m] the same, is answered: this is why it is kept."""
BESIDE = 2
"""A reading is weighed against so many on either side, and fits if it fits one: one that was kept astray is not asked
about again at its neighbours."""


@dataclass(frozen=True, slots=True)
class Beside:
    """Another reading of the same strip after the same pass: what was ``read`` where the gauge should show ``aim``."""

    aim: Aim
    read: Length

    @property
    def over(self) -> float:
        """How far it stands over its aim [m]."""
        return self.read.m - self.aim.reading


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


def exchanged(value: Length, aim: Aim, others: Sequence[Beside], display: Display) -> Held | None:
    """Hold ``value`` if it and the reading next to it, on either side, look exchanged.

    Readings a and b over aims A and B stand ``(a - A) - (b - B)`` apart: twice what the strip rises between, if they
    are. Exchanged they stand b - A and a - B over, both about as far as a third reading nearby.
    """
    near = _nearest(aim, others, BESIDE)
    for one in _nearest(aim, others, 1):
        apart = abs(value.m - aim.reading - one.over)
        here, there = one.read.m - aim.reading, value.m - one.aim.reading
        fits = EXCHANGED_FIT * apart + SAME
        third = any(max(abs(here - it.over), abs(there - it.over)) <= fits for it in near)
        if third and apart > EXCHANGED_SHARE[aim.stage] * _allowed(one) + SAME:
            return Held(HeldFor.EXCHANGED, _told("exchanged", value, one, 0.0, display))
    return None


def astray(value: Length, aim: Aim, others: Sequence[Beside], display: Display) -> Held | None:
    """Hold ``value`` if it stands far off every one of the readings near it on the strip, two on either side.

    Beside a reading b over its aim B a strip should read, where the aim is A, from b on (not tapered yet) to
    ``b + A - B`` (tapered as drawn); how far it may stand off that is :data:`ASTRAY` and a share of what b is over.
    """
    near = _nearest(aim, others, BESIDE)
    offs = [_beyond(value.m, one.read.m, one.read.m + aim.reading - one.aim.reading) for one in near]
    if not near or any(abs(off) <= _allowed(one) + SAME for off, one in zip(offs, near, strict=True)):
        return None
    return Held(HeldFor.ASTRAY, _told("more" if offs[0] > 0 else "less", value, near[0], offs[0], display))


def _nearest(aim: Aim, others: Sequence[Beside], count: int) -> Sequence[Beside]:
    """So many of the ``others`` towards the tip, the nearest first, then as many towards the butt."""
    ranked = sorted(others, key=lambda one: one.aim.station)
    tipward = [one for one in ranked if one.aim.station < aim.station]
    return (*reversed(tipward[-count:]), *[one for one in ranked if one.aim.station > aim.station][:count])


def _allowed(one: Beside) -> float:
    return ASTRAY[one.aim.stage] + ASTRAY_SHARE * max(one.over, 0.0)


def _beyond(value: float, one_end: float, other_end: float) -> float:
    """How far ``value`` lies beyond the nearer of two ends; 0 between them."""
    return value - min(max(value, min(one_end, other_end)), max(one_end, other_end))


def _told(which: str, value: Length, other: Beside, by: float, display: Display) -> str:
    there, station = display.height(other.read.m), display.station.number(other.aim.place.m)
    return QUESTIONS[which].format(value=value, by=display.small(abs(by)), there=there, station=station)


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

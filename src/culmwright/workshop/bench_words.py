"""What a page at the bench has to know to judge by itself while nobody answers: the verdicts as steps of the deviation,
the questions, and the grammar of readings. All of it is what the rooms say; the page only compares.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache

from culmwright.bench import gauge
from culmwright.bench.cuts import Cutting
from culmwright.bench.guards import (
    ALIKE,
    ASTRAY,
    ASTRAY_SHARE,
    BESIDE,
    EXCHANGED_FIT,
    EXCHANGED_SHARE,
    INCH_IN_MM,
    OFF_BY,
    QUESTIONS,
    READ_TWICE,
    REPEAT_WITHIN,
)
from culmwright.bench.judge import Aim, Stage, amount, judge
from culmwright.bench.limits import Limits
from culmwright.bench.passes import SAME, THOU
from culmwright.measure import lengths, numerals
from culmwright.measure.display import Display, Format, OnRule
from culmwright.workshop.taking import GUARD_WITHIN, Yardstick

NANO = 1e9  # [1/m]
REACHED = (20 * THOU, 150 * THOU)
"""How far under and over the aim [m] the steps go; beyond, a reading is asked about anyway."""
FINE = 0.02 * THOU  # [m] no step is narrower than this
_PLACE, _AT = Aim(Stage.FINISH, 0.0, 0.1, 0.1), "station 0"


@dataclass(frozen=True, slots=True)
class Verdict:
    """One verdict, its words with braces where the amount ``{by}`` and the place ``{where}`` go."""

    size: str
    level: str
    sign: str
    shape: str
    sound: str
    words: str
    note: str
    needs_reason: bool


@dataclass(frozen=True, slots=True)
class Scale:
    """Verdicts by deviation: from ``above[i]`` nanometres on (the first from minus infinity) stands
    ``verdicts[which[i]]``.
    """

    above: tuple[float, ...]
    which: tuple[int, ...]
    verdicts: tuple[Verdict, ...]


@dataclass(frozen=True, slots=True)
class Digits:
    """How a page shows a length: ``worth`` [nm] of a ``unit``, ``places`` after the point, zeros kept or not.

    ``ruled`` ones that stand on no 16th of the unit have two places.
    """

    unit: str
    worth: int
    places: int
    trimmed: bool
    ruled: bool = False


@dataclass(frozen=True, slots=True)
class Guards:
    """The figures of the questions asked before a reading is kept [nm], [s] or a plain number."""

    repeat_within: float
    inch_in_mm: float
    off_by: float
    unit_within: float
    digit_within: float
    reach_under: float
    same: float
    astray: float
    astray_share: float
    exchanged_share: float
    exchanged_fit: float
    beside: int
    alike: float
    read_twice: str
    questions: dict[str, str]
    say_why: str


@dataclass(frozen=True, slots=True)
class Grammar:
    """The grammar of what is typed, as patterns a browser reads."""

    patterns: dict[str, str]
    units: dict[str, int]
    spelt: dict[str, str]
    plain: dict[str, str]
    vulgar: dict[str, tuple[int, int]]
    longest: int
    remedy: str


def digits(of: Format) -> Digits:
    """A format of the display, for a page."""
    return Digits(of.unit, lengths.NANOMETRES[of.unit], of.places, of.trimmed, isinstance(of, OnRule))


def guards(yardstick: Yardstick) -> Guards:
    """The questions of a stage in figures and words."""
    return Guards(
        repeat_within=REPEAT_WITHIN,
        inch_in_mm=INCH_IN_MM,
        off_by=OFF_BY,
        unit_within=GUARD_WITHIN * NANO,
        digit_within=5 * THOU * NANO,
        reach_under=yardstick.reach(_PLACE).under * NANO,
        same=SAME * NANO,
        astray=ASTRAY[yardstick.stage] * NANO,
        astray_share=ASTRAY_SHARE,
        exchanged_share=EXCHANGED_SHARE[yardstick.stage],
        exchanged_fit=EXCHANGED_FIT,
        beside=BESIDE,
        alike=ALIKE * NANO,
        read_twice=READ_TWICE,
        questions=QUESTIONS,
        say_why="{words}. Read again, or keep it and say why",
    )


def grammar() -> Grammar:
    """The grammar of readings and lengths, from where it is told."""
    known = {**gauge.GRAMMAR, **lengths.GRAMMAR, **numerals.GRAMMAR}
    return Grammar(
        patterns={name: pattern.replace("(?P<", "(?<").replace(r"\Z", "$") for name, pattern in known.items()},
        units=dict(lengths.NANOMETRES),
        spelt=dict(lengths.SPELT),
        plain=dict(numerals.PLAIN),
        vulgar={mark: (value.numerator, value.denominator) for mark, value in numerals.VULGAR.items()},
        longest=numerals.LONGEST,
        remedy=gauge.REMEDY,
    )


def scale(yardstick: Yardstick) -> Scale:
    """The verdicts of a stage, step by step of the deviation."""
    return _scale(yardstick.limits, yardstick.cutting, yardstick.rod.display)


@lru_cache(maxsize=32)
def _scale(limits: Limits, cutting: Cutting, show: Display) -> Scale:
    low, high = -REACHED[0], REACHED[1]
    count = round((high - low) / FINE)
    places = [low + (high - low) * i / count for i in range(count + 1)]
    said = [_verdict(place, limits, cutting, show) for place in places]
    known: dict[Verdict, int] = {said[0]: 0}
    above, which = [low * NANO], [0]
    for i in range(count):
        if said[i] == said[i + 1]:
            continue
        a, b = places[i], places[i + 1]
        while b - a > 1e-14:
            middle = (a + b) / 2
            a, b = (middle, b) if _verdict(middle, limits, cutting, show) == said[i] else (a, middle)
        above.append(b * NANO)
        which.append(known.setdefault(said[i + 1], len(known)))
    return Scale(tuple(above), tuple(which), tuple(known))


def _verdict(deviation: float, limits: Limits, cutting: Cutting, show: Display) -> Verdict:
    one = judge(_PLACE.reading + deviation, _PLACE, limits, cutting, show)
    by = amount(one.deviation, show.small)
    words = one.words.replace(_AT, "{where}", 1)
    words = words.replace(by, "{by}", 1) if words.startswith(by) else words.replace(f", {by} ", ", {by} ", 1)
    return Verdict(one.size.value, one.level.value, one.sign, one.shape, one.sound, words, one.note, one.needs_reason)

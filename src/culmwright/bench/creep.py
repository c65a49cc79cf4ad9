"""Has the stop crept or the iron dulled: since which strip, by how much, and is it more than scatter?

Two simple stories are set against "nothing happened": from some strip on the height went steadily up or down
(a creeping stop, a dulling iron), or it changed at once and stayed (a stop that slipped). Each story at each
strip is a straight-line fit with one coefficient besides the level; the best one is told only where its
chance of coming from scatter alone, times the number of stories tried (Bonferroni), is small, and where the
last strip is not its only witness: one strip far out is for the run rules.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from enum import Enum
from math import atan, cos, pi, sin, sqrt
from statistics import fmean

from culmwright.bench.passes import SAME
from culmwright.measure.display import Display
from culmwright.measure.errors import BadInput
from culmwright.measure.record import si

FEWEST = 6
"""Strips below which no story is told: too few to part a drift from scatter (own choice)."""

FALSE_ALARM = 0.01
"""At most this share [-] of steady runs is told a story (own choice)."""

SEEN_BEFORE = 0.05
"""Chance [-] below which a story has to lie without the last strip too (own choice)."""


class Change(Enum):
    """How a height changed along a run."""

    CREPT = "crept"
    SLIPPED = "slipped"


@dataclass(frozen=True, slots=True)
class Creep:
    """What happened along a run, up to its last strip.

    ``size`` above zero means higher strips; ``since`` is the label of the strip it began at; ``chance`` [-] is
    that of a steady run telling any story as strong.
    """

    change: Change = si("")
    size: float = si("m")
    standard_error: float = si("m")
    since: str = si("")
    chance: float = si("-")
    words: str = si("")


def creep(labels: Sequence[str], values: Sequence[float], display: Display, resolution: float = 0.0) -> Creep | None:
    """The story of a run of strips cut at one stop, in the order cut; None if scatter explains it.

    ``values`` [m] are one a strip, such as its mean deviation; ``resolution`` [m] is the gauge's, 0 if not
    known.
    """
    n = len(values)
    if n != len(labels):
        raise BadInput(f"{len(labels)} labels for {n} strips", where="run", remedy="Give one label a strip")
    if n < FEWEST:
        return None
    stories = [(Change.CREPT, k, [float(max(i - k, 0)) for i in range(n)]) for k in range(n - 2)]
    stories += [(Change.SLIPPED, k, [float(i >= k) for i in range(n)]) for k in range(2, n - 1)]
    told = [_tell(change, k, pattern, values, resolution) for change, k, pattern in stories]
    best = min(told, key=lambda story: story.chance)
    chance = min(best.chance * len(told), 1.0)
    if chance > FALSE_ALARM or not _seen_before(best, values, resolution):
        return None
    error = _error_of_all(best, told, n)
    words = _words(best.change, best.size, error, labels[best.since], display)
    return Creep(best.change, best.size, error, labels[best.since], chance, words)


def two_sided(t: float, freedom: int) -> float:
    """Chance [-] of a Student's t beyond ``t`` either way: the finite sums of whole degrees of ``freedom``.

    Source: M. Abramowitz and I. A. Stegun, *Handbook of Mathematical Functions* (1964), 26.7.3 and 26.7.4.

    >>> round(two_sided(2.228, 10), 3)
    0.05
    """
    angle = atan(abs(t) / sqrt(freedom))
    c, term, total = cos(angle), 1.0, 1.0
    if freedom % 2 == 0:
        for k in range(2, freedom - 1, 2):
            term *= c * c * (k - 1) / k
            total += term
        return max(1 - sin(angle) * total, 0.0)
    if freedom == 1:
        return 1 - 2 * angle / pi
    for k in range(3, freedom - 1, 2):
        term *= c * c * (k - 1) / k
        total += term
    return max(1 - 2 / pi * (angle + sin(angle) * c * total), 0.0)


@dataclass(frozen=True, slots=True)
class _Story:
    """One story fitted: its size at the last strip, the error of that, what it leaves, its chance by itself."""

    change: Change
    since: int
    pattern: list[float]
    size: float
    error: float
    left: float
    chance: float


def _tell(change: Change, k: int, pattern: list[float], values: Sequence[float], resolution: float) -> _Story:
    rise, error, left = fit(pattern, values, resolution)
    size, error = rise * pattern[-1], error * pattern[-1]
    return _Story(change, k, pattern, size, error, left, _chance(size, error, len(values) - 2))


def _seen_before(best: _Story, values: Sequence[float], resolution: float) -> bool:
    """True if the story could be told, less surely, before the last strip: one strip alone is no story."""
    return _tell(best.change, best.since, best.pattern[:-1], values[:-1], resolution).chance <= SEEN_BEFORE


def _chance(size: float, error: float, freedom: int) -> float:
    """Chance [-] of a change as large as ``size`` by scatter alone; a change below all measure is none."""
    if abs(size) <= SAME:
        return 1.0
    return two_sided(size / error, freedom) if error > 0 else 0.0


def _error_of_all(best: _Story, told: Sequence[_Story], n: int) -> float:
    """Standard error of the best story's size, not knowing for certain that it is the right one.

    Each story weighs by its likelihood, ``RSS^(-n/2)``, and adds its own error and how far it is from the best:
    ``sqrt(sum w (e^2 + (size - best)^2)/sum w)``.
    """
    weights = [1.0 if one.left <= best.left else (best.left / one.left) ** (n / 2) for one in told]
    squares = [one.error**2 + (one.size - best.size) ** 2 for one in told]
    return sqrt(sum(w * square for w, square in zip(weights, squares, strict=True)) / sum(weights))


def fit(pattern: Sequence[float], values: Sequence[float], resolution: float = 0.0) -> tuple[float, float, float]:
    """Coefficient of ``pattern`` in ``values`` besides a level, its standard error, and the squares left over.

    The scatter is never taken to be less than rounding to ``resolution`` [m] alone makes it, ``q/sqrt 12``.
    """
    mean_x, mean_y = fmean(pattern), fmean(values)
    dx = [x - mean_x for x in pattern]
    dy = [y - mean_y for y in values]
    sxx = sum(x * x for x in dx)
    rise = sum(x * y for x, y in zip(dx, dy, strict=True)) / sxx
    left = sum((y - rise * x) ** 2 for x, y in zip(dx, dy, strict=True))
    return rise, sqrt(max(left / (len(values) - 2), resolution**2 / 12) / sxx), left


def _words(change: Change, size: float, error: float, since: str, display: Display) -> str:
    by, give = display.small(abs(size)), display.small.number(error)
    way = "up" if size > 0 else "down"
    if change is Change.SLIPPED:
        return f"the stop has slipped {way} by {by} (give or take {give}) at strip {since}"
    said = f"the stop has crept {way} {by} (give or take {give}) since strip {since}"
    return f"{said}, or the iron has dulled" if size > 0 else said

"""Run rules: patterns on a control chart that chance makes rarely, each with how rarely.

The rules are the classical ones (L. S. Nelson, "The Shewhart Control Chart: Tests for Special Causes", *J.
Quality Technology* 16 (1984) 237; ISO 7870-2), cited from memory, those left out that speak of mixed or
grouped readings. The rates are exact for normal points, independent, with centre and deviation known; with
limits estimated from few points false alarms are more frequent.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from itertools import pairwise
from math import comb, factorial

from culmwright.bench.control import Chart
from culmwright.bench.factors import normal_tail
from culmwright.measure.record import si


@dataclass(frozen=True, slots=True)
class RunRule:
    """One rule: it looks at the last ``span`` points, in standard deviations from the centre.

    ``false_alarm`` [-] is the chance that it holds at any one point of a process that does nothing but
    scatter.
    """

    words: str
    span: int
    false_alarm: float
    holds: Callable[[Sequence[float]], bool]


@dataclass(frozen=True, slots=True)
class Signal:
    """A rule that holds: from point ``first`` to point ``last`` [index], and what it says."""

    first: int = si("-")
    last: int = si("-")
    words: str = si("")
    false_alarm: float = si("-")


def _beyond(z: Sequence[float]) -> bool:
    return abs(z[0]) > 3


def _one_side(z: Sequence[float]) -> bool:
    return all(value > 0 for value in z) or all(value < 0 for value in z)


def _trend(z: Sequence[float]) -> bool:
    pairs = list(pairwise(z))
    return all(a < b for a, b in pairs) or all(a > b for a, b in pairs)


def _most_beyond(far: float, enough: int) -> Callable[[Sequence[float]], bool]:
    """At least ``enough`` points beyond ``far`` deviations on one side, the last one among them."""

    def holds(z: Sequence[float]) -> bool:
        side = 1 if z[-1] > 0 else -1
        return side * z[-1] > far and sum(side * value > far for value in z) >= enough

    return holds


def _rate_of_most(far: float, enough: int, span: int) -> float:
    """``2 p sum C(m, k) p^k (1-p)^(m-k)``, m = span - 1, k from ``enough - 1``: the last is among them."""
    p, m = normal_tail(far), span - 1
    return 2 * p * sum(comb(m, k) * p**k * (1 - p) ** (m - k) for k in range(enough - 1, m + 1))


RULES = (
    RunRule("one beyond 3 sigma", 1, 2 * normal_tail(3), _beyond),
    RunRule("9 in a row on one side of the centre", 9, 2 * 0.5**9, _one_side),
    RunRule("6 in a row rising or falling", 6, 2 / factorial(6), _trend),
    RunRule("2 of 3 beyond 2 sigma on one side", 3, _rate_of_most(2, 2, 3), _most_beyond(2, 2)),
    RunRule("4 of 5 beyond 1 sigma on one side", 5, _rate_of_most(1, 4, 5), _most_beyond(1, 4)),
)
"""The rules in use, and the chance of each at any one point: 0.27, 0.39, 0.28, 0.20 and 0.45 per cent."""


def signals(chart: Chart) -> tuple[Signal, ...]:
    """Every rule that holds anywhere on ``chart``, in the order of the points that complete them.

    A chart without scatter has none.
    """
    if not chart.sigma > 0:
        return ()
    z = [(point - chart.centre) / chart.sigma for point in chart.points]
    return tuple(
        Signal(last - rule.span + 1, last, rule.words, rule.false_alarm)
        for last in range(len(z))
        for rule in RULES
        if last + 1 >= rule.span and rule.holds(z[last - rule.span + 1 : last + 1])
    )

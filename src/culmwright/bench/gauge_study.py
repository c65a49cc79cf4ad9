"""A study of a gauge: how much readings differ when one hand reads again, and when another hand reads.

Average and range method of *Measurement Systems Analysis*, 4th ed. (AIAG, 2010; formulae from memory, constants
computed). ``d2*`` (A. J. Duncan, *Quality Control and Industrial Statistics*; from memory) is the root mean square of
the mean of g ranges of m normal values: ``sqrt(d2^2 + d3^2/g)``.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from math import sqrt
from typing import Any

from culmwright.bench.factors import d2, d3
from culmwright.measure.errors import BadInput
from culmwright.measure.record import si
from culmwright.rigs.budget import Part

TOLD_APART = 1.41
"""Root two as the handbook prints it: parts that differ by this many spreads of the gauge are told apart [-]."""
MANY = 15
"""Ranges beyond which their mean is taken as known, as the handbook's table is: d2* is then d2 [-]."""


def d2_star(m: int, g: int) -> float:
    """Divides the mean of ``g`` ranges of ``m`` normal values each to give their standard deviation [-].

    >>> round(d2_star(3, 1), 4), round(d2_star(5, 1), 4)
    (1.9115, 2.4812)
    """
    return d2(m) if g > MANY else sqrt(d2(m) ** 2 + d3(m) ** 2 / g)


@dataclass(frozen=True, slots=True)
class GaugeStudy:
    """What a study found, as standard deviations.

    ``repeatability`` EV of one hand reading again, ``reproducibility`` AV from hand to hand, ``gauge`` both together,
    ``parts`` PV from strip to strip, ``total`` all of it. ``share`` is gauge over total; ``categories`` how many sizes
    of strip it tells apart; ``unsteady`` the (hand, part) whose range lies beyond its limit. All of it comes from
    ``mean_range`` of a hand on a strip, and the ranges of the means of hands and of strips.
    """

    hands: int = si("-")
    strips: int = si("-")
    trials: int = si("-")
    repeatability: float = si("m")
    reproducibility: float = si("m")
    gauge: float = si("m")
    parts: float = si("m")
    total: float = si("m")
    share: float = si("-")
    categories: int = si("-")
    freedom: float = si("-")
    unsteady: tuple[tuple[int, int], ...] = si("")
    words: str = si("")
    mean_range: float = si("m")
    hand_range: float = si("m")
    part_range: float = si("m")

    def part(self) -> Part:
        """The scatter of one reading [m] as a part of a reading's budget."""
        return Part("repeatability and reproducibility (study)", self.gauge, 1.0, self.freedom)


def study(readings: Sequence[Sequence[Sequence[float]]]) -> GaugeStudy:
    """Study ``readings[hand][trial][part]`` [m]: at least two hands, two trials, two strips, none left out."""
    k, r, n = _shape(readings)
    ranges = [[_range([trial[part] for trial in hand]) for part in range(n)] for hand in readings]
    mean_range = sum(map(sum, ranges)) / (k * n)
    means = [sum(map(sum, hand)) / (r * n) for hand in readings]
    per_part = [sum(trial[part] for hand in readings for trial in hand) / (k * r) for part in range(n)]
    limit = mean_range * (1 + 3 * d3(r) / d2(r))
    unsteady = tuple((h + 1, p + 1) for h in range(k) for p in range(n) if ranges[h][p] > limit > 0)
    return study_of((k, n, r), mean_range, _range(means), _range(per_part), unsteady)


def study_of(
    asked: tuple[int, int, int],
    mean_range: float,
    hand_range: float,
    part_range: float,
    unsteady: tuple[tuple[int, int], ...] = (),
) -> GaugeStudy:
    """The study of so many hands, strips and trials ``asked``, from its three ranges [m]."""
    k, n, r = asked
    EV = mean_range / d2_star(r, k * n)
    AV = sqrt(max((hand_range / d2_star(k, 1)) ** 2 - EV**2 / (n * r), 0.0))
    PV = part_range / d2_star(n, 1)
    GRR = sqrt(EV**2 + AV**2)
    TV = sqrt(GRR**2 + PV**2)
    share = GRR / TV if TV else 0.0
    categories = int(TOLD_APART * PV / GRR) if GRR else 10**6
    return GaugeStudy(
        hands=k,
        strips=n,
        trials=r,
        repeatability=EV,
        reproducibility=AV,
        gauge=GRR,
        parts=PV,
        total=TV,
        share=share,
        categories=categories,
        freedom=k * n * (r - 1),
        unsteady=unsteady,
        words=_words(share, categories),
        mean_range=mean_range,
        hand_range=hand_range,
        part_range=part_range,
    )


def study_again(kept: Mapping[str, Any]) -> GaugeStudy | None:
    """A study that was kept, reckoned again from its ranges; None for one kept before they were."""
    if "ranges" not in kept:
        return None
    hands, strips, trials = kept["asked"]
    return study_of((hands, strips, trials), *kept["ranges"])


def _shape(readings: Sequence[Sequence[Sequence[float]]]) -> tuple[int, int, int]:
    """Hands, trials, parts; refuses what is no full table."""
    k = len(readings)
    r = len(readings[0]) if k else 0
    n = len(readings[0][0]) if r else 0
    if k < 2 or r < 2 or n < 2:
        raise BadInput(
            f"{k} hands, {r} trials and {n} strips make no study",
            where="gauge study",
            remedy="Let two hands or more read two strips or more twice or oftener; three, three and ten are usual",
        )
    if any(len(hand) != r or any(len(trial) != n for trial in hand) for hand in readings):
        raise BadInput("a reading is missing", where="gauge study", remedy="Every hand reads every strip every time")
    return k, r, n


def _range(values: Sequence[float]) -> float:
    return max(values) - min(values)


def _words(share: float, categories: int) -> str:
    """The handbook's rule of thumb: under a tenth good, up to three tenths may do."""
    if share < 0.1:
        return "the gauge is good: under a tenth of what is seen is its own scatter"
    told = "told from one another in " + (f"{categories} sizes" if categories > 1 else "no two sizes")
    if share <= 0.3:
        return f"the gauge may do: {share:.0%} of what is seen is its own scatter; strips are {told}"
    return (
        f"the gauge is too coarse for these strips: {share:.0%} of what is seen is its own scatter; strips are {told}"
    )

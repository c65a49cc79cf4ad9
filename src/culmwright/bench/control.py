"""A stop that is locked is a process: the control chart of the strips cut at it.

A chart says what the strips of one stop do by themselves; what falls outside its limits has a cause of its
own. Limits are 3 standard deviations either side, as in ISO 7870-2; formulas as in the NIST/SEMATECH
*e-Handbook of Statistical Methods*, 6.3.2 (charts).
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise
from statistics import fmean

from culmwright.bench.factors import A2, D3, D4, d2
from culmwright.measure.errors import BadInput
from culmwright.measure.record import si

FEWEST = 2  # points below which there is no chart at all
TRUSTED = 20
"""Points below which limits are themselves a rough estimate (common practice, no source)."""


@dataclass(frozen=True, slots=True)
class Chart:
    """One chart: its ``points`` in the order cut, the ``centre`` line and the two limits.

    ``sigma`` is the standard deviation of a point; the lower limit of a chart of ranges may be 0.
    """

    points: tuple[float, ...] = si("m")
    centre: float = si("m")
    lower: float = si("m")
    upper: float = si("m")
    sigma: float = si("m")


@dataclass(frozen=True, slots=True)
class ControlChart:
    """A pair of charts over the strips cut at one stop: where they lie, and how they scatter.

    ``sigma`` [m] is the standard deviation of single values behind the limits; ``labels`` name the points;
    ``provisional`` while there are too few of them for limits to be trusted.
    """

    labels: tuple[str, ...] = si("")
    place: Chart = si("")
    scatter: Chart = si("")
    sigma: float = si("m")
    provisional: bool = si("")


def individuals(labels: Sequence[str], values: Sequence[float]) -> ControlChart:
    """Individuals and moving range: one value [m] a strip, such as its mean deviation.

    ``sigma = MR/d2(2)``, ``limits = mean +/- 3 sigma``; of the moving range ``D3 MR`` and ``D4 MR``.
    """
    _check(labels, values)
    moving = tuple(abs(after - before) for before, after in pairwise(values))
    mean_range = fmean(moving)
    sigma = mean_range / d2(2)
    place = _chart(values, fmean(values), sigma)
    return ControlChart(tuple(labels), place, _ranges(moving, 2), sigma, len(values) < TRUSTED)


def means_and_ranges(labels: Sequence[str], strips: Sequence[Sequence[float]]) -> ControlChart:
    """X-bar and R: several deviations [m] a strip, the same stations on each.

    ``limits = mean +/- A2 R`` with ``A2 = 3/(d2 sqrt n)``; of the range ``D3 R`` and ``D4 R``; ``sigma =
    R/d2``.
    """
    _check(labels, strips)
    sizes = {len(strip) for strip in strips}
    if len(sizes) != 1:
        raise BadInput(
            "these strips were not read at the same number of stations",
            where="control chart",
            remedy="Chart only the stations that every strip was read at",
        )
    n = sizes.pop()
    ranges = tuple(max(strip) - min(strip) for strip in strips)
    sigma = fmean(ranges) / d2(n)
    means = tuple(fmean(strip) for strip in strips)
    place = _chart(means, fmean(means), A2(n) * fmean(ranges) / 3)
    return ControlChart(tuple(labels), place, _ranges(ranges, n), sigma, len(strips) < TRUSTED)


def _chart(points: Sequence[float], centre: float, sigma: float) -> Chart:
    return Chart(tuple(points), centre, centre - 3 * sigma, centre + 3 * sigma, sigma)


def _ranges(ranges: Sequence[float], n: int) -> Chart:
    mean = fmean(ranges)
    return Chart(tuple(ranges), mean, D3(n) * mean, D4(n) * mean, (D4(n) - 1) * mean / 3)


def _check(labels: Sequence[str], values: Sequence[object]) -> None:
    if len(values) < FEWEST:
        raise BadInput(
            "one strip makes no control chart",
            where="control chart",
            remedy="Cut and read another at this stop",
        )
    if len(labels) != len(values):
        raise BadInput(
            f"{len(labels)} labels for {len(values)} strips",
            where="control chart",
            remedy="Give one label a strip",
        )

"""Which stations of a measured taper were misread: each is judged by the others alone.

A smoothing spline is what is to be expected of a curve of which nothing is known but how much it bends: a straight line
and ``b`` times an integrated random walk, read with a standard uncertainty of ``c u`` (G. Wahba, *J. R. Statist. Soc.
B* 40 (1978) 364). Neither ``b`` nor ``c`` (1 or more: no rod is as smooth as a spline) is chosen: every pair of a grid
counts by the likelihood of the readings. With ``P`` the inverse of their covariance less what a line takes up, station
``i`` lies off the curve through the others by ``(P y)_i / P_ii``, with a variance of ``1 / P_ii`` (O. Dubrule, *Math.
Geology* 15 (1983) 687). How the pairs count is told by the others alone too: so a slip cannot hide behind the bend it
makes itself. The station least to be expected (its conditional predictive ordinate: L. I. Pettit, *J. R. Statist. Soc.
B* 52 (1990) 175) is the one that was misread if chance makes one like it less often than once in a thousand, a first
or last station once in five thousand; it is taken out and the rest judged again. Two slips that hide each other are
looked for together. All sources from memory.

Where its neighbour would be as good an answer, within odds of :data:`ODDS`, both are told, and neither accused.
"""

from __future__ import annotations

from dataclasses import dataclass
from itertools import combinations
from math import erfc, log, pi, sqrt

import numpy as np

from culmwright.mechanics.beam import Array

FEWEST = 6
"""Stations a piece needs for one of them to be judged by the others."""
BETWEEN, AT_AN_END, TWO = 1e-3, 2e-4, 1e-4
"""How often chance alone may accuse: a station between others, a first or last one, two at once [-]."""
ODDS = 100.0
"""A station is accused alone if its neighbour is this many times less likely to be the one [-]."""
BENDS = np.geomspace(0.05, 300.0, 16)
"""Bends tried: standard deviations of a second difference of neighbouring stations, over the doubt of a reading [-]."""
DOUBTS = np.array([1.0, 2.0, 4.0])
"""How many times the doubt of a reading the taper may be uneven by, from station to station [-]."""
NINE_IN_TEN = 1.2816
"""Standard deviations that nine values in ten do not fall short by [-]."""


@dataclass(frozen=True, slots=True)
class Misread:
    """A station, by its number, read ``off`` [m] over the curve through the others, which leaves ``doubt`` [m].

    ``rivals`` are the neighbours that may as well be the misread one.
    """

    station: int
    off: float
    doubt: float
    rivals: tuple[int, ...]


@dataclass(frozen=True, slots=True)
class Looked:
    """What was ``misread``; and at each of the others the ``least`` slip [m] that is found nine times in ten."""

    misread: tuple[Misread, ...]
    least: dict[int, float]


def look(x: Array, y: Array, u: float) -> Looked:
    """The misread among means ``y`` [m] at stations ``x`` [m], of standard uncertainty ``u`` [m]; a quarter at most."""
    kept, found = list(range(len(x))), list[Misread]()
    most = max(len(x) // 4, 1) if len(x) >= FEWEST else 0
    while len(found) < most and len(kept) >= FEWEST:
        each = _Each(x[kept], y[kept], u)
        out = _one(each) or (_two(each) if most - len(found) >= 2 else ())
        if not out:
            break
        found += [Misread(kept[i], off, doubt, tuple(kept[j] for j in rivals)) for i, off, doubt, rivals in out]
        kept = [station for station in kept if station not in {one.station for one in found}]
    if len(kept) < FEWEST:
        return Looked(tuple(found), {})
    each = _Each(x[kept], y[kept], u)
    return Looked(tuple(found), {station: each.least(i) for i, station in enumerate(kept)})


_Found = tuple[tuple[int, float, float, tuple[int, ...]], ...]


def _one(each: _Each) -> _Found:
    """The one that was misread, if any."""
    ordinates = [each.ordinate((i,)) for i in range(each.count)]
    worst = int(np.argmin(ordinates))
    seen = each.seen((worst,))
    if seen.chance[0] >= each.may(worst):
        return ()
    beside = (i for i in (worst - 1, worst + 1) if 0 <= i < each.count)
    rivals = tuple(i for i in beside if ordinates[i] - ordinates[worst] < log(ODDS))
    return ((worst, seen.off[0], seen.doubt[0], rivals),)


def _two(each: _Each) -> _Found:
    """Two that were misread, each by the curve through all but these two."""
    pair = min(combinations(range(each.count), 2), key=each.ordinate)
    seen = each.seen(pair)
    if max(seen.chance) >= TWO:
        return ()
    return tuple((i, off, doubt, ()) for i, off, doubt in zip(pair, seen.off, seen.doubt, strict=True))


@dataclass(frozen=True, slots=True)
class _Seen:
    """Stations as the others see them: ``off`` and ``doubt`` [m], and by which ``chance`` they would lie so far off."""

    off: tuple[float, ...]
    doubt: tuple[float, ...]
    chance: tuple[float, ...]


class _Each:
    """The readings of a piece under every bend and doubt tried: likelihood, ``P`` and ``P y`` of each."""

    def __init__(self, x: Array, y: Array, u: float) -> None:
        self.count = n = len(x)
        at = (x - x[0]) / (x[-1] - x[0])
        line = np.column_stack((np.ones(n), at))
        low, high = np.minimum.outer(at, at), np.maximum.outer(at, at)
        walk = low**2 * (3 * high - low) / 6  # covariance of an integrated random walk
        step = 2 / 3 / (n - 1) ** 3  # variance of its second difference at even spacing
        noise, bend = DOUBTS[:, None, None, None] ** 2, (BENDS**2 / step)[None, :, None, None]
        inverse = np.linalg.inv((noise * np.eye(n) + bend * walk).reshape(-1, n, n) * u**2)
        across = inverse @ line
        middle = line.T @ across
        self.p = inverse - across @ np.linalg.solve(middle, across.transpose(0, 2, 1))
        self.py = self.p @ y
        self.likely = (np.linalg.slogdet(inverse)[1] - np.linalg.slogdet(middle)[1] - self.py @ y) / 2

    def may(self, i: int) -> float:
        """How often chance may accuse this station."""
        return AT_AN_END if i in (0, self.count - 1) else BETWEEN

    def _by_others(self, out: tuple[int, ...]) -> tuple[Array, Array, Array]:
        """Of every bend and doubt tried: how it counts by the others, how far off ``out`` are, and their variances."""
        some = list(out)
        spread = np.linalg.inv(self.p[:, some][:, :, some])
        off = np.einsum("gij,gj->gi", spread, self.py[:, some])
        share = np.einsum("gi,gi->g", off, self.py[:, some]) + np.linalg.slogdet(spread)[1]
        own = -(share + len(out) * log(2 * pi)) / 2
        return self.likely - own, off, np.einsum("gii->gi", spread)

    def ordinate(self, out: tuple[int, ...]) -> float:
        """The logarithm of how much these readings are to be expected by the others."""
        others, _, _ = self._by_others(out)
        return float(np.logaddexp.reduce(self.likely) - np.logaddexp.reduce(others))

    def seen(self, out: tuple[int, ...]) -> _Seen:
        """These stations as all others see them."""
        likely, off, variance = self._by_others(out)
        weight = np.exp(likely - np.logaddexp.reduce(likely))
        mean = weight @ off
        doubt = np.sqrt(weight @ (variance + off**2) - mean**2)
        chance = [_beyond(weight, off[:, i], np.sqrt(variance[:, i]), 0.0) for i in range(len(out))]
        return _Seen(tuple(map(float, mean)), tuple(map(float, doubt)), tuple(chance))

    def least(self, i: int) -> float:
        """The least slip [m] at a station that is found nine times in ten."""
        likely, off, variance = self._by_others((i,))
        weight, spread = np.exp(likely - np.logaddexp.reduce(likely)), np.sqrt(variance[:, 0])
        off = off[:, 0] - weight @ off[:, 0]
        few, many = 0.0, 40 * float(spread.max())
        while many - few > 1e-3 * many:
            half = (few + many) / 2
            few, many = (half, many) if _beyond(weight, off, spread, half) > self.may(i) else (few, half)
        return many + NINE_IN_TEN * float(np.sqrt(weight @ (spread**2 + off**2)))


def _beyond(weight: Array, off: Array, spread: Array, more: float) -> float:
    """The chance of a reading as far off as one ``more`` [m] beyond ``off``, on either side, over what counts."""
    far = np.abs(off + more) / spread
    return float(sum(w * erfc(z / sqrt(2)) for w, z in zip(weight, far, strict=True)))

"""Curves that could run through the weighings of a bundle, as many as it takes to say what is not known.

Each is ``m + A left(t/T)`` with a shape of ``left``. A time constant T counts by its likelihood with the scatter left
open, ``(S + n floor^2)^-(n-2)/2 det(X'X)^-1/2 (1 - left(t_n/T))`` a step of ln T: S is the sum of squares that least
squares leave, floor the scatter of the scale's last digit; the last factor makes every loss up to the last weighing t_n
alike beforehand. m and A about it are Student's with n - 2 degrees of freedom.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import pi, sqrt
from typing import TYPE_CHECKING

import numpy as np

if TYPE_CHECKING:
    from numpy.typing import NDArray

    Floats = NDArray[np.float64]

RUNGS = 60  # of a ladder of time constants
ROUNDS = 4  # of narrowing it
UNLIKELY = 14.0  # of the logarithm of a likelihood: a millionth
DRAWS = 25  # of m and A on each rung
KEPT = 2000  # curves
TERMS = 60  # of the series
EARLY = 5e-3  # below this the root is better than the series
SEED = 7
BLENDS = (0.0, 0.25, 0.5, 0.75, 1.0)
"""Shares of the series in a shape of ``left``: 0 the plain tail, 1 the series, between them cane and air hold alike."""


@dataclass(frozen=True, slots=True, eq=False)
class Curves:
    """Curves of equal weight: settled mass ``m`` [kg], loss to come ``A`` [kg], constant ``T`` [s], and the share of
    the series in its shape, ``blend`` [-]; the likeliest one first. ``scatter`` [kg] is what weighings keep from it.
    """

    m: Floats
    A: Floats
    T: Floats
    blend: Floats
    scatter: float

    def mass(self, time: float) -> Floats:
        """Mass [kg] on every curve at ``time`` [s]."""
        x = time / self.T
        mass: Floats = self.m + self.A * _left(x, self.blend)
        return mass

    def when(self, target: Floats) -> Floats:
        """When [s] every curve comes to its ``target`` [kg]: infinite where it never does."""
        share = np.clip((target - self.m) / self.A, 0.0, 1.0)
        x = np.zeros_like(share)
        for blend in BLENDS:
            mine = self.blend == blend
            x[mine] = _reached(share[mine], blend)
        when: Floats = np.where(share <= 0, np.inf, x * self.T)
        return when


def series_left(x: Floats) -> Floats:
    """``6/pi^2 sum of exp(-k^2 x)/k^2`` [-]; early on, where it is slow, its limit ``1 - 6 sqrt(x)/pi^1.5 + 3 x/pi^2``.

    Share left in a sphere, or in an equilateral strip open on three sides, in its slowest time constant x.
    """
    k = np.arange(1, TERMS + 1)[:, None] ** 2
    flat = np.ravel(x)
    summed = 6 / pi**2 * (np.exp(-k * flat) / k).sum(axis=0)
    early = 1 - 6 * np.sqrt(flat) / pi**1.5 + 3 * flat / pi**2
    return np.asarray(np.where(flat < EARLY, early, summed).reshape(np.shape(x)))


def _left(x: Floats, blend: float | Floats) -> Floats:
    """The shape ``(1 - blend) exp(-x) + blend series(x)``."""
    left: Floats = (1 - blend) * np.exp(-x) + blend * series_left(x)
    return left


def _reached(share: Floats, blend: float) -> Floats:
    """Where a shape comes down to a ``share``, from a table in its own argument."""
    x = np.concatenate([[0.0], np.geomspace(1e-7, 40, 2000)])
    table = -np.log(_left(x, blend))
    reached: Floats = np.interp(-np.log(np.clip(share, 1e-16, 1.0)), table, x)
    return reached


@dataclass(frozen=True, slots=True, eq=False)
class _Rung:
    """One time constant tried: its likelihood, m and A as least squares leave them, and the share gone at the last."""

    T: float
    log: float
    at: Floats
    S: float
    inverse: Floats
    gone: float


def _rung(t: Floats, mass: Floats, T: float, blend: float, floor: float) -> _Rung | None:
    n = len(t)
    X = np.column_stack([np.ones(n), _left(t / T, blend)])
    normal = X.T @ X
    sign, logdet = np.linalg.slogdet(normal)
    if sign <= 0 or np.linalg.cond(normal) > 1e13:
        return None
    at = np.linalg.solve(normal, X.T @ mass)
    S = float(((mass - X @ at) ** 2).sum()) + n * floor**2
    return _Rung(T, float(-(n - 2) / 2 * np.log(S) - logdet / 2), at, S, np.linalg.inv(normal), 1 - float(X[-1, 1]))


def _ladder(t: Floats, mass: Floats, blend: float, floor: float) -> tuple[list[_Rung], float]:
    """The rungs that count, and the step of ln T between them."""
    low, high = float(np.diff(t).min()) / 5, 30 * float(t[-1])
    for _ in range(ROUNDS):
        tried = [_rung(t, mass, float(T), blend, floor) for T in np.geomspace(low, high, RUNGS)]
        rungs = [one for one in tried if one is not None]
        step = float(np.log(high / low)) / (RUNGS - 1)
        best = max(one.log for one in rungs)
        near = [one.T for one in rungs if one.log > best - UNLIKELY]
        low, high = max(low, near[0] * np.exp(-step)), min(high, near[-1] * np.exp(step))
    return rungs, step


def curves_through(t: Floats, mass: Floats, floor: float) -> Curves:
    """The curves through weighings ``mass`` [kg] at times ``t`` [s]; ``floor`` [kg] is the scatter of the last digit.

    The same weighings give the same curves.
    """
    random = np.random.default_rng(SEED)
    freedom = len(t) - 2
    columns, logs = [], []
    likeliest: tuple[float, _Rung, float] | None = None
    for blend in BLENDS:
        rungs, step = _ladder(t, mass, blend, floor)
        for one in rungs:
            spread = np.linalg.cholesky(one.inverse) * sqrt(one.S / freedom)
            student = random.standard_normal((2, DRAWS)) / np.sqrt(random.chisquare(freedom, DRAWS) / freedom)
            m, A = one.at[:, None] + spread @ student
            columns.append(np.stack([m, A, np.full(DRAWS, one.T), np.full(DRAWS, blend)]))
            logs.append(np.full(DRAWS, one.log + np.log(step * one.gone)))
            if _possible(one.at[0], one.at[1], mass) and (likeliest is None or likeliest[0] > one.S):
                likeliest = one.S, one, blend
    every, log = np.concatenate(columns, axis=1), np.concatenate(logs)
    weight = np.where(_possible(every[0], every[1], mass), np.exp(log - log.max()), 0.0)
    places = (np.arange(KEPT) + 0.5) / KEPT * weight.sum()
    drawn = every[:, np.searchsorted(np.cumsum(weight), places)]
    scatter = floor
    if likeliest is not None:
        S, one, blend = likeliest
        drawn[:, 0] = (*one.at, one.T, blend)
        scatter = sqrt(S / freedom)
    return Curves(drawn[0], drawn[1], drawn[2], drawn[3], scatter)


def _possible(m: Floats, A: Floats, mass: Floats) -> NDArray[np.bool_]:
    """True where a curve falls, and settles below the first weighing and not under half of the last."""
    return np.asarray((A > 0) & (m > mass[-1] / 2) & (m < mass[0]))

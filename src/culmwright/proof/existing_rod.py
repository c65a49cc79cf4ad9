"""A rod that exists, measured into a taper: readings in several directions, smoothed as far as their doubt allows.

Every station is read ``n`` times, once in each direction. Its mean has, of its own, ``u = s/sqrt(n)``, with ``s`` the
scatter within stations, pooled over all of them; what the caliper is out by is alike everywhere and is not smoothed
away. Between ferrules the taper is the curve that bends least of all that fit the readings:

    minimise  sum_i ((y_i - f(x_i)) / u)^2 + lam int f''^2

a cubic spline (C. H. Reinsch, "Smoothing by spline functions", *Numerische Mathematik* 10 (1967) 177), ``f = H y``.
With ``u`` known, the weight ``lam`` that leaves the curve nearest the truth is estimated by the least of

    C_p = sum_i ((y_i - f(x_i)) / u)^2 + 2 tr H

(C. L. Mallows, "Some comments on C_p", *Technometrics* 15 (1973) 661; both from memory). The doubt of the curve is
``u sqrt(diag(H H'))`` (JCGM 100:2008, 5.1.2). No ``u`` is less than what the caliper's last digit leaves in doubt.

A station that lies off the curve of the others is pointed out, and stays in: a slip of the key and a place where the
maker of the rod bent his taper look alike, and only reading it again tells them apart.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import sqrt

import numpy as np

from culmwright.measure.errors import BadInput
from culmwright.measure.record import si
from culmwright.mechanics.beam import Array

FEWEST = 5
"""Stations a piece of taper needs to be smoothed; with fewer it stays as read."""
FAR = 3.29
"""A station this many standard uncertainties off the curve of the others is pointed out [-]: 1 in 1000."""
NORMAL = 1.4826
"""Standard deviation of normal values to the median of their sizes [-]."""
COARSEST = 25.4e-6
"""A caliper shows steps no coarser than this [m]."""
WEIGHTS = tuple(10.0 ** (power / 2) for power in range(-20, 5))
"""Weights of bending that are tried, in lengths of the piece: from a curve through every point to almost a line."""


@dataclass(frozen=True, slots=True)
class Stretch:
    """One piece of a taper, between ferrules: ``stations`` [m] rising, and ``readings`` [m], one row a station."""

    stations: Array
    readings: Array

    def __post_init__(self) -> None:
        """Refuse what cannot be smoothed."""
        if len(self.stations) < 2 or np.any(np.diff(self.stations) <= 0):
            raise BadInput(
                "a piece is read at two stations or more, each further from the tip than the one before",
                where="stations",
                remedy="Put them in order, and read each only once",
            )


@dataclass(frozen=True, slots=True)
class Smoothed:
    """A station of a rod measured: ``read`` the mean as read, ``across`` on the smooth curve, ``doubt`` its standard
    uncertainty, ``uneven`` the range between directions [m]; ``far`` how much the reading lies over the curve through
    the other stations alone [m], None where that is no more than they do themselves.
    """

    station: float = si("m")
    read: float = si("m")
    across: float = si("m")
    doubt: float = si("m")
    uneven: float = si("m")
    far: float | None = si("m", required=False)


def smooth(pieces: tuple[Stretch, ...], gauge: float) -> tuple[Smoothed, ...]:
    """The taper of a rod from its ``pieces``, read with a ``gauge`` that is out by a standard uncertainty of [m].

    Raises :class:`BadInput` for stations read in one direction only: then nothing says how much to trust them.
    """
    scatter, step = _scatter(pieces), _step(pieces)
    return tuple(one for piece in pieces for one in _smooth(piece, scatter, step, gauge))


def _step(pieces: tuple[Stretch, ...]) -> float:
    """The step [m] the readings seem to be made in: the least by which two of them differ, a thou at most."""
    every = np.unique(np.concatenate([one.readings.ravel() for one in pieces]))
    apart = np.diff(every)
    apart = apart[apart > 1e-9]
    return min(float(apart.min()), COARSEST) if len(apart) else COARSEST


def _scatter(pieces: tuple[Stretch, ...]) -> float:
    """Standard deviation [m] of a reading within its station, pooled over all stations."""
    squares = sum(float(((one.readings - one.readings.mean(axis=1, keepdims=True)) ** 2).sum()) for one in pieces)
    free = sum(one.readings.size - len(one.readings) for one in pieces)
    if free < 1:
        raise BadInput(
            "every station was read in one direction only: nothing says how far to trust it",
            where="readings",
            remedy="Read two directions or more at each station",
        )
    return sqrt(squares / free)


def _smooth(piece: Stretch, scatter: float, step: float, gauge: float) -> tuple[Smoothed, ...]:
    x, y = piece.stations, piece.readings.mean(axis=1)
    u = max(scatter / sqrt(piece.readings.shape[1]), step / sqrt(12))
    hat = _hat(x, y, u, x)
    curve, far = hat @ y, _far(x, y, u)
    doubt = np.hypot(u * np.sqrt((hat**2).sum(axis=1)), gauge)
    uneven = piece.readings.max(axis=1) - piece.readings.min(axis=1)
    return tuple(
        Smoothed(float(x[i]), float(y[i]), float(curve[i]), float(doubt[i]), float(uneven[i]), far.get(i))
        for i in range(len(x))
    )


def _far(x: Array, y: Array, u: float) -> dict[int, float]:
    """By how much stations lie off the curve the others make [m], those that do so by more than chance.

    The one farthest off is left out of the curve first, and so on. What the others are off themselves counts as their
    doubt where it is more: no taper is as smooth as a spline. First and last station have neighbours on one side only.
    """
    far: dict[int, float] = {}
    scale = 0.0
    while len(x) - len(far) > max(FEWEST, 3 * len(x) // 4):
        kept = np.array([i for i in range(len(x)) if i not in far])
        hat = _hat(x[kept], y[kept], u, x[kept])
        own = np.diag(hat)
        free = np.maximum(1 - own, 1e-9)
        off = (y[kept] - hat @ y[kept]) / free  # from the curve through the others alone, at one weight
        doubt = u * np.sqrt(1 + ((hat**2).sum(axis=1) - own**2) / free**2)
        share = np.abs(off / doubt)[1:-1]
        farthest = int(np.argmax(share))
        scale = scale or max(NORMAL * float(np.median(share)), 1.0)
        if share[farthest] <= FAR * scale:
            break
        far[int(kept[farthest + 1])] = float(off[farthest + 1])
    return far


def _hat(x: Array, y: Array, u: float, where: Array) -> Array:
    """The matrix that takes readings at ``x`` to the curve at ``where``, of the weight tried that has the least C_p."""
    n = len(x)
    if n < FEWEST:
        return np.eye(n) if n == len(where) else _line(x, where)
    at, to = (x - x[0]) / (x[-1] - x[0]), (where - x[0]) / (x[-1] - x[0])
    best, least = _line(x, where), _misfit(_line(x, x), y, u)
    for weight in WEIGHTS:
        tried = _spline(at, at, weight)
        if (misfit := _misfit(tried, y, u)) < least:
            best, least = _spline(at, to, weight), misfit
    return best


def _misfit(hat: Array, y: Array, u: float) -> float:
    """Mallows' C_p but for a constant [-]."""
    return float((((y - hat @ y) / u) ** 2).sum() + 2 * np.trace(hat))


def _spline(at: Array, to: Array, weight: float) -> Array:
    """The matrix of the smoothing spline of one ``weight``, from places ``at`` to places ``to``."""
    from scipy.interpolate import make_smoothing_spline

    return np.asarray(make_smoothing_spline(at, np.eye(len(at)), lam=weight, axis=0)(to))


def _line(x: Array, where: Array) -> Array:
    """The matrix that takes readings at ``x`` to the straight line through them, at ``where``."""
    ones = np.column_stack((np.ones_like(x), x))
    return np.asarray(np.column_stack((np.ones_like(where), where)) @ np.linalg.pinv(ones))

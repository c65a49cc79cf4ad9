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

A station that lies off the curve of the others is pointed out (:mod:`culmwright.proof.misread`). A slip of the key and
a place where the maker of the rod bent his taper look alike, and only reading it again tells them apart. Until then the
curve goes by without it, where two others stand on either side (many tapers have a kink one station from the tip) and
no neighbour may as well be the one; else it stays in. So it does once it was read again and is trusted. Readings that
differ between directions more than the others do (W. G. Cochran, *Ann. Eugenics* 11 (1941) 47; ISO 5725-2:1994, 7.3.3,
at 1 %; from memory) are pointed out too, and say nothing of the scatter of the rest.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import sqrt

import numpy as np

from culmwright.measure.errors import BadInput
from culmwright.measure.record import si
from culmwright.mechanics.beam import Array
from culmwright.proof.misread import look

FEWEST = 5
"""Stations a piece of taper needs to be smoothed; with fewer it stays as read."""
OUTLYING = 0.01
"""How often chance alone may make the readings of one station of a rod differ so much from each other [-]."""
SAME = 1e-6
"""Stations no farther apart than this are one [m]."""
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
    uncertainty, ``uneven`` the range between directions [m], ``ragged`` where that is outlying.

    ``far`` is how much the reading lies over the curve through the other stations alone [m], None where that is no
    more than they do themselves; ``rivals`` are then the stations [m] that may as well be the misread one, and
    ``left_out`` says that the curve does without it. ``least`` is the slip [m] that would be found here nine times in
    ten; None where too few others stand in the piece.
    """

    station: float = si("m")
    read: float = si("m")
    across: float = si("m")
    doubt: float = si("m")
    uneven: float = si("m")
    far: float | None = si("m", required=False)
    rivals: tuple[float, ...] = si("m", default=(), required=False)
    least: float | None = si("m", required=False)
    left_out: bool = False
    ragged: bool = False


def smooth(pieces: tuple[Stretch, ...], gauge: float, trusted: tuple[float, ...] = ()) -> tuple[Smoothed, ...]:
    """The taper of a rod from its ``pieces``, read with a ``gauge`` that is out by a standard uncertainty of [m].

    Stations ``trusted`` [m] were read again: the curve keeps them. Raises :class:`BadInput` for stations read in one
    direction only: then nothing says how much to trust them.
    """
    step, (scatter, ragged) = _step(pieces), _scatter(pieces)
    return tuple(one for piece in pieces for one in _smooth(piece, scatter, step, gauge, trusted, ragged))


def _step(pieces: tuple[Stretch, ...]) -> float:
    """The step [m] the readings seem to be made in: the least by which two of them differ, a thou at most."""
    every = np.unique(np.concatenate([one.readings.ravel() for one in pieces]))
    apart = np.diff(every)
    apart = apart[apart > 1e-9]
    return min(float(apart.min()), COARSEST) if len(apart) else COARSEST


def _scatter(pieces: tuple[Stretch, ...]) -> tuple[float, float]:
    """Standard deviation [m] of a reading within its station, pooled; and from what on one station's own is outlying.

    Outlying stations are left out of the pool one by one, a quarter at most.
    """
    within = np.sort(np.concatenate([_within(one) for one in pieces if one.readings.shape[1] > 1] or [np.zeros(0)]))
    if not len(within):
        raise BadInput(
            "every station was read in one direction only: nothing says how far to trust it",
            where="readings",
            remedy="Read two directions or more at each station",
        )
    free = pieces[0].readings.shape[1] - 1
    count, fewest = len(within), max(len(within) - len(within) // 4, 2)
    while count > fewest and within[count - 1] > _outlying(count, free) * within[:count].sum():
        count -= 1
    limit = float(within[count]) if count < len(within) else float("inf")
    return sqrt(float(within[:count].mean())), sqrt(limit)


def _within(piece: Stretch) -> Array:
    """The variance [m^2] of the readings of each station."""
    apart = piece.readings - piece.readings.mean(axis=1, keepdims=True)
    return np.asarray((apart**2).sum(axis=1) / max(piece.readings.shape[1] - 1, 1))


def _outlying(count: int, free: int) -> float:
    """Cochran's C: the share of their sum the greatest of ``count`` variances seldom has (:data:`OUTLYING`) [-].

    Each has ``free`` degrees of freedom.
    """
    from scipy.special import fdtri

    ratio = float(fdtri(free, free * (count - 1), 1 - OUTLYING / count))
    return 1 / (1 + (count - 1) / ratio)


def _smooth(
    piece: Stretch, scatter: float, step: float, gauge: float, trusted: tuple[float, ...], ragged: float
) -> tuple[Smoothed, ...]:
    x, y = piece.stations, piece.readings.mean(axis=1)
    u = max(scatter / sqrt(piece.readings.shape[1]), step / sqrt(12))
    looked = look(x, y, u)
    stands = [any(abs(station - one) < SAME for one in trusted) for station in x]
    misread = {one.station: one for one in looked.misread if not stands[one.station]}
    out = {i: one.doubt for i, one in misread.items() if not one.rivals and 1 < i < len(x) - 2}
    kept = [i for i in range(len(x)) if i not in out]
    hat = _hat(x[kept], y[kept], u, x)
    curve = hat @ y[kept]
    own = u * np.sqrt((hat**2).sum(axis=1))
    own[list(out)] = list(out.values())
    doubt = np.hypot(own, gauge)
    uneven = piece.readings.max(axis=1) - piece.readings.min(axis=1)
    apart = np.sqrt(_within(piece)) >= ragged * (1 - 1e-9)
    return tuple(
        Smoothed(
            float(x[i]),
            float(y[i]),
            float(curve[i]),
            float(doubt[i]),
            float(uneven[i]),
            misread[i].off if i in misread else None,
            tuple(float(x[j]) for j in misread[i].rivals) if i in misread else (),
            looked.least.get(i),
            i in out,
            bool(apart[i]) and not stands[i],
        )
        for i in range(len(x))
    )


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

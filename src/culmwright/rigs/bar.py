"""How a bar bends between its adjusters: a continuous beam held at them, its ends free.

A bar of even stiffness that rests on its screws and carries nothing between them takes the shape of least bending: a
cubic between neighbours, slope and curvature without a break at each, no curvature at the first and last, straight
beyond them (Bernoulli and Euler's beam; Clapeyron's equation of three moments). Two bars that part bend alike, so what
opens between them has that shape too. Left out: the bar's own weight, play in the screws, steel that creeps.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]


@dataclass(frozen=True)
class Bar:
    """A bar held at ``places`` [m], two or more, in order."""

    places: tuple[float, ...]

    @cached_property
    def _x(self) -> Array:
        return np.array(self.places)

    @cached_property
    def curvatures(self) -> Array:
        """Curvature [1/m] at each place for a unit [m] at each screw, one column a screw.

        Three moments: ``h0 M0 + 2 (h0 + h1) M1 + h1 M2 = 6 [(u2 - u1)/h1 - (u1 - u0)/h0]``, ``M = 0`` at both ends.
        """
        count = len(self.places)
        h = np.diff(self._x)
        left, right = np.eye(count), np.zeros((count, count))
        for i in range(1, count - 1):
            left[i, i - 1 : i + 2] = h[i - 1], 2 * (h[i - 1] + h[i]), h[i]
            right[i, i - 1 : i + 2] = 6 / h[i - 1], -6 / h[i - 1] - 6 / h[i], 6 / h[i]
        return np.asarray(np.linalg.solve(left, right), dtype=np.float64)

    def matrix(self, x: Array) -> Array:
        """What a unit [m] at each screw does at each ``x`` [m], one row a place: ``deflection = matrix @ u``."""
        rows = np.zeros((len(x), len(self.places)))
        last = len(self.places) - 2
        i = np.clip(np.searchsorted(self._x, x, side="right") - 1, 0, last)
        h = self._x[i + 1] - self._x[i]
        t = (x - self._x[i]) / h
        at = np.arange(len(x))
        rows[at, i] += 1 - t
        rows[at, i + 1] += t
        inside = np.clip(t, 0.0, 1.0)  # beyond its ends the bar goes straight on, as steep as at the end
        bent = ((1 - inside) ** 3 - (1 - inside)) * h**2 / 6, (inside**3 - inside) * h**2 / 6
        rows += bent[0][:, None] * self.curvatures[i] + bent[1][:, None] * self.curvatures[i + 1]
        over = np.where(t < 0, t, np.where(t > 1, t - 1, 0.0)) * h
        start, end = self.curvatures[0:2], self.curvatures[last : last + 2]
        h0, h1 = self._x[1] - self._x[0], self._x[-1] - self._x[-2]
        steep0 = -h0 / 6 * (2 * start[0] + start[1])
        steep1 = h1 / 6 * (end[0] + 2 * end[1])
        rows += np.where(t < 0, over, 0.0)[:, None] * steep0 + np.where(t > 1, over, 0.0)[:, None] * steep1
        return rows

    def level_places(self, u: Array, starts: Array, ends: Array, slopes: Array) -> Array:
        """Where inside stretches, ``starts`` to ``ends`` [m], the bar set to ``u`` [m] is as steep as ``slopes`` [-].

        No stretch may reach over an adjuster. The slope of a cubic is a parabola: at most two places each.
        """
        middle = (starts + ends) / 2
        last = len(self.places) - 2
        i = np.clip(np.searchsorted(self._x, middle, side="right") - 1, 0, last)
        beyond = (middle < self._x[0]) | (middle > self._x[-1])
        h = self._x[i + 1] - self._x[i]
        M = self.curvatures @ u
        m0, m1 = np.where(beyond, 0.0, M[i]), np.where(beyond, 0.0, M[i + 1])
        straight = (u[i + 1] - u[i]) / h - h / 6 * (2 * m0 + m1) - slopes
        a, b, c = (m1 - m0) / (2 * h), m0, straight
        root = np.sqrt(np.maximum(b**2 - 4 * a * c, 0.0))
        q = -0.5 * (b + np.where(b >= 0, root, -root))  # Vieta: no digits lost where a is small
        found = []
        for top, bottom in ((q, a), (c, q)):
            there = np.abs(bottom) > 1e-300
            s = np.where(there, top / np.where(there, bottom, 1.0), np.nan)
            x = self._x[i] + s
            found.append(x[(b**2 >= 4 * a * c) & ~beyond & (x > starts) & (x < ends)])
        return np.concatenate(found)

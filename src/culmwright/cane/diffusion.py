"""How water leaves a section: the modes of diffusion in it, and what share of the water is still there.

Fick's law with one coefficient D, along the grain neglected, the outer faces at the moisture of the air from the start:
``left(t) = sum of share_i exp(-rate_i D t)``. The modes are those of linear triangles (Galerkin), so that any section
can be asked; J. Crank, *The Mathematics of Diffusion*, gives the series of the plane sheet, and an equilateral
triangle that dries on all three faces has that of a sphere whose diameter is its height.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cache
from math import exp, tan
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

FINENESS = 24  # divisions of a flank: the slowest rate is good to 0.6 %
FEWEST = 1e-7
"""A mode with a smaller share of the water than this [-] is left out."""


@dataclass(frozen=True, slots=True)
class Modes:
    """The modes of a section, slowest first: their ``rates`` [1/m^2] and their ``shares`` [-] of the water."""

    rates: tuple[float, ...]
    shares: tuple[float, ...]

    def left(self, dose: float) -> float:
        """The share [-] of what there is to lose that is left after a ``dose`` ``D t`` [m^2].

        1 at the start; the faces are at the air's moisture from then on.
        """
        if dose <= 0:
            return 1.0
        return sum(share * exp(-rate * dose) for rate, share in zip(self.rates, self.shares, strict=True))

    def dose(self, left: float) -> float:
        """The dose ``D t`` [m^2] after which the share ``left`` [-] is left, by halving; 0 for 1 or more."""
        if left >= self.left(0.0):
            return 0.0
        low, high = 0.0, 1 / self.rates[0]
        while self.left(high) > left:
            high *= 2
        while high - low > 1e-9 * high:
            middle = (low + high) / 2
            low, high = (middle, high) if self.left(middle) > left else (low, middle)
        return high

    def scaled(self, size: float) -> Modes:
        """The modes of the same shape ``size`` [m] times as large."""
        return Modes(tuple(rate / size**2 for rate in self.rates), self.shares)


def strip_modes(height: float, apex: float, *, enamel_open: bool) -> Modes:
    """The modes of a strip ``height`` [m] high with an ``apex`` angle [rad].

    Its flanks dry; the enamel too where ``enamel_open``, otherwise nothing leaves through it.
    """
    return _unit_strip(apex, enamel_open).scaled(height)


@cache
def _unit_strip(apex: float, enamel_open: bool) -> Modes:
    return modes(*triangle_mesh(apex, FINENESS, enamel_open=enamel_open))


def triangle_mesh(
    apex: float, n: int, *, enamel_open: bool
) -> tuple[list[tuple[float, float]], list[tuple[int, int, int]], list[int]]:
    """Points, triangles and drying points of a strip of height 1 [-], its ``apex`` angle [rad] at the origin.

    Row i of n has i + 1 points from flank to flank; the last row is the enamel.
    """
    slope = tan(apex / 2)
    points, triangles, drying = [], [], []
    first = [i * (i + 1) // 2 for i in range(n + 2)]
    for i in range(n + 1):
        for j in range(i + 1):
            points.append(((2 * j - i) / n * slope, i / n))
            if j in (0, i) or (enamel_open and i == n):
                drying.append(first[i] + j)
    for i in range(n):
        for j in range(i + 1):
            triangles.append((first[i] + j, first[i + 1] + j + 1, first[i + 1] + j))
            if j < i:
                triangles.append((first[i] + j, first[i] + j + 1, first[i + 1] + j + 1))
    return points, triangles, drying


def modes(
    points: Sequence[tuple[float, float]], triangles: Sequence[tuple[int, int, int]], drying: Sequence[int]
) -> Modes:
    """The modes of a section of ``triangles`` over ``points`` [m] that is at the air's moisture at ``drying`` points.

    ``K u = rate M u`` over the other points, by the Cholesky factor of M; the share of a mode is ``(1 M u)^2/A`` with
    ``u M u = 1`` and the section's area A.
    """
    import numpy as np

    K, M = _assembled(points, triangles)
    held = set(drying)
    inside = np.array([i for i in range(len(points)) if i not in held])
    area = float(M.sum())
    k, m = K[np.ix_(inside, inside)], M[np.ix_(inside, inside)]
    factor = np.linalg.inv(np.linalg.cholesky(m))
    rates, vectors = np.linalg.eigh(factor @ k @ factor.T)
    means = M[:, inside].sum(axis=0) @ (factor.T @ vectors)
    shares = means**2 / area
    kept = shares > FEWEST
    skin = 1.0 - float(shares[kept].sum())  # the steep skin of the first moment, finer than the mesh, goes at once
    return Modes((*map(float, rates[kept]), float(rates[-1])), (*map(float, shares[kept]), skin))


def _assembled(
    points: Sequence[tuple[float, float]], triangles: Sequence[tuple[int, int, int]]
) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    """Conductance and mass of all points, of linear triangles."""
    import numpy as np

    K, M = np.zeros((2, len(points), len(points)))
    mass = (np.ones((3, 3)) + np.eye(3)) / 12
    for corners in triangles:
        (ax, ay), (bx, by), (cx, cy) = (points[i] for i in corners)
        twice = (bx - ax) * (cy - ay) - (cx - ax) * (by - ay)
        gradient = np.array([[by - cy, cy - ay, ay - by], [cx - bx, ax - cx, bx - ax]]) / twice
        where = np.ix_(corners, corners)
        K[where] += abs(twice) / 2 * gradient.T @ gradient
        M[where] += abs(twice) / 2 * mass
    return K, M

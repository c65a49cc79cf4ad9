"""What the kernels of one bent rod and of many share: quadrature, shapes of the angle, sine and cosine, a small solver.

These are compiled into the kernels: after a change here, those kept in ``__pycache__`` have to be made anew.
"""

from __future__ import annotations

from math import floor, pi, sqrt
from typing import Any

from culmwright.mechanics.compiling import compiled

XI = (0.5 - sqrt(0.15), 0.5, 0.5 + sqrt(0.15))
"""Gauss's three points on 0 to 1: with cubics their error is of the order of the elements' own, h^6 at the nodes."""
WEIGHT = (5 / 18, 8 / 18, 5 / 18)
SHAPE = tuple((1 - x, x, x * x - x, 2 * x**3 - 3 * x * x + x) for x in XI)
"""The four shapes of an element's angle at the three points."""

Array = Any


@compiled
def sine_cosine(angle: float) -> tuple[float, float]:
    """Of an angle [rad], to 1e-14, many side by side: Taylor's series at a quarter of it, and twice that, twice."""
    part = 0.25 * (angle - 2 * pi * floor(angle / (2 * pi) + 0.5))
    z = part * part
    s = -1 / 39916800 + z * (1 / 6227020800 - z / 1307674368000)
    s = part * (1 + z * (-1 / 6 + z * (1 / 120 + z * (-1 / 5040 + z * (1 / 362880 + z * s)))))
    c = 1 / 479001600 + z * (-1 / 87178291200 + z / 20922789888000)
    c = 1 + z * (-1 / 2 + z * (1 / 24 + z * (-1 / 720 + z * (1 / 40320 + z * (-1 / 3628800 + z * c)))))
    s, c = 2 * s * c, 1 - 2 * s * s
    return 2 * s * c, 1 - 2 * s * s


@compiled
def eliminate(matrix: Array, vector: Array) -> int:
    """Solve a small symmetric system in place; how many pivots are negative [-] (Sylvester's law of inertia)."""
    size = len(vector)
    negative = 0
    for i in range(size):
        negative += matrix[i, i] < 0
        for k in range(i + 1, size):
            factor = matrix[k, i] / matrix[i, i]
            vector[k] -= factor * vector[i]
            for j in range(i, size):
                matrix[k, j] -= factor * matrix[i, j]
    for i in range(size - 1, -1, -1):
        for j in range(i + 1, size):
            vector[i] -= matrix[i, j] * vector[j]
        vector[i] /= matrix[i, i]
    return negative

"""Factors of control charts, computed from what they are: the range and the scatter of n normal readings.

Definitions as in ISO 7870-2 and the NIST/SEMATECH *e-Handbook of Statistical Methods*, 6.3.2: ``d2`` and
``d3`` are the mean and the standard deviation of the range of n standard normal values.
"""

from __future__ import annotations

from functools import cache
from math import erfc, exp, pi, sqrt

from culmwright.measure.errors import BadInput

MOST = 200
"""Largest sample [-] the factors are computed for."""

STEP = 0.1  # of the grid, in standard deviations
REACH = 8.5  # beyond this nothing is left to more digits than a float has


def normal_tail(z: float) -> float:
    """Share [-] of a normal distribution above ``z`` standard deviations: ``erfc(z/sqrt 2)/2``.

    >>> round(2 * normal_tail(3), 4)
    0.0027
    """
    return erfc(z / sqrt(2)) / 2


def d2(n: int) -> float:
    """Mean range [-] of ``n`` standard normal values: the integral of ``1 - (1 - F)^n - F^n``.

    >>> round(d2(6), 5)
    2.53441
    """
    return _mean_range(_sample(n))


def d3(n: int) -> float:
    """Standard deviation of the range [-] of ``n`` standard normal values: ``sqrt(E W^2 - d2^2)``.

    >>> round(d3(2), 4)
    0.8525
    """
    return sqrt(_mean_square_range(_sample(n)) - d2(n) ** 2)


def A2(n: int) -> float:
    """Half width of the limits of means of ``n`` over their mean range [-]: ``3/(d2 sqrt n)``."""
    return 3 / (d2(n) * sqrt(n))


def D3(n: int) -> float:
    """Lower limit of the range over its mean [-]: ``1 - 3 d3/d2``, never below zero."""
    return max(1 - 3 * d3(n) / d2(n), 0.0)


def D4(n: int) -> float:
    """Upper limit of the range over its mean [-]: ``1 + 3 d3/d2``."""
    return 1 + 3 * d3(n) / d2(n)


def _sample(n: int) -> int:
    if not 2 <= n <= MOST:
        raise BadInput(f"{n} readings are not a sample", where="control chart", remedy=f"Give 2 to {MOST} readings")
    return n


@cache
def _mean_range(n: int) -> float:
    """The integral of ``1 - (1 - F)^n - F^n``, by a sum that converges faster than any power of its step."""
    tails = [normal_tail(-REACH + STEP * i) for i in range(round(2 * REACH / STEP) + 1)]
    return STEP * sum(1 - tail**n - (1 - tail) ** n for tail in tails)


@cache
def _mean_square_range(n: int) -> float:
    """``E W^2 = 2 int w (1 - P(w)) dw`` with ``P(w) = n int f(x) (F(x + w) - F(x))^(n-1) dx``.

    The sum over w starts at 0 with slope 1, which costs it ``STEP^2/12`` (Euler and Maclaurin's first term).
    """
    count = round(2 * REACH / STEP) + 1
    x = [-REACH + STEP * i for i in range(count)]
    density = [exp(-(value**2) / 2) / sqrt(2 * pi) for value in x]
    tail = [normal_tail(value) for value in x] + [0.0] * count
    half = 0.0
    for j in range(1, count):
        inside = n * STEP * sum(density[i] * (tail[i] - tail[i + j]) ** (n - 1) for i in range(count))
        half += STEP * (j * STEP) * (1 - inside)
    return 2 * (half + STEP**2 / 12)

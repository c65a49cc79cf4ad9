"""What the kernels of one bent rod and of many share: quadrature, shapes of the angle, sine and cosine, one element."""

from __future__ import annotations

from math import pi, sqrt
from typing import Any

import numpy as np

from culmwright.mechanics.compiling import compiled_within

XI = (0.5 - sqrt(0.15), 0.5, 0.5 + sqrt(0.15))
"""Gauss's three points on 0 to 1: with cubics their error is of the order of the elements' own, h^6 at the nodes."""
WEIGHT = (5 / 18, 8 / 18, 5 / 18)
SHAPE = tuple((1 - x, x, x * x - x, 2 * x**3 - 3 * x * x + x) for x in XI)
"""The four shapes of an element's angle at the three points."""
(A0, B0, P0, Q0), (_, _, P1, _), (A2, B2, P2, Q2) = SHAPE
"""The same by name; in the middle they are 0.5, 0.5, P1, 0."""

Array = Any


@compiled_within
def sine_cosine(angle: float) -> tuple[float, float]:
    """Of an angle [rad], to 1e-14, many side by side: Taylor's series at a quarter of it, and twice that, twice."""
    part = 0.25 * (angle - 2 * pi * np.rint(angle * (0.5 / pi)))
    z = part * part
    s = -1 / 39916800 + z * (1 / 6227020800 - z * (1 / 1307674368000))
    s = part * (1 + z * (-1 / 6 + z * (1 / 120 + z * (-1 / 5040 + z * (1 / 362880 + z * s)))))
    c = 1 / 479001600 + z * (-1 / 87178291200 + z * (1 / 20922789888000))
    c = 1 + z * (-1 / 2 + z * (1 / 24 + z * (-1 / 720 + z * (1 / 40320 + z * (-1 / 3628800 + z * c)))))
    s, c = 2 * s * c, 1 - 2 * s * s
    return 2 * s * c, 1 - 2 * s * s


@compiled_within
def condensed(stiff: Any, along: Any, across: Any, bend: float, c1: float, c2: float) -> Any:
    """``V'`` and ``V''`` of an element, less its two inner unknowns, which go with the angles at its nodes.

    ``V'_i = int EI theta' phi_i' - F.n phi_i ds`` and ``V''_ij = int EI phi_i' phi_j' + F.t phi_i phi_j ds``, from the
    integrals of EI and weight times length times ``F.t`` and ``F.n`` at the three points [N m]; ``bend`` is the angle
    [rad] between its nodes a and b, c1 and c2 the inner unknowns [rad]. Gives V'' and -V' at a and b; the inner
    unknowns' own steps and what they lose by ``da`` and ``db``; their matrix inverted; how many of its pivots are
    negative.
    """
    i00, i01, i02, i11, i12, i22 = stiff
    t0, t1, t2 = along
    n0, n1, n2 = across
    moment = i00 * bend + i01 * c1 + i02 * c2
    r1 = i01 * bend + i11 * c1 + i12 * c2 - P0 * n0 - P1 * n1 - P2 * n2
    r2 = i02 * bend + i12 * c1 + i22 * c2 - Q0 * n0 - Q2 * n2
    a1 = -i01 + A0 * P0 * t0 + 0.5 * P1 * t1 + A2 * P2 * t2
    b1 = i01 + B0 * P0 * t0 + 0.5 * P1 * t1 + B2 * P2 * t2
    a2 = -i02 + A0 * Q0 * t0 + A2 * Q2 * t2
    b2 = i02 + B0 * Q0 * t0 + B2 * Q2 * t2
    k11 = i11 + P0 * P0 * t0 + P1 * P1 * t1 + P2 * P2 * t2
    k12 = i12 + P0 * Q0 * t0 + P2 * Q2 * t2
    k22 = i22 + Q0 * Q0 * t0 + Q2 * Q2 * t2
    det = k11 * k22 - k12 * k12
    over = 1 / det
    v11, v12, v22 = k22 * over, -k12 * over, k11 * over
    g1, g2 = v11 * r1 + v12 * r2, v12 * r1 + v22 * r2
    ga1, ga2 = v11 * a1 + v12 * a2, v12 * a1 + v22 * a2
    gb1, gb2 = v11 * b1 + v12 * b2, v12 * b1 + v22 * b2
    aa = i00 + A0 * A0 * t0 + 0.25 * t1 + A2 * A2 * t2 - a1 * ga1 - a2 * ga2
    ab = -i00 + A0 * B0 * t0 + 0.25 * t1 + A2 * B2 * t2 - a1 * gb1 - a2 * gb2
    bb = i00 + B0 * B0 * t0 + 0.25 * t1 + B2 * B2 * t2 - b1 * gb1 - b2 * gb2
    ra = moment + A0 * n0 + 0.5 * n1 + A2 * n2 + ga1 * r1 + ga2 * r2
    rb = -moment + B0 * n0 + 0.5 * n1 + B2 * n2 + gb1 * r1 + gb2 * r2
    negative = (1.0 if k11 < 0 else 0.0) + (1.0 if k11 * det < 0 else 0.0)
    return (aa, ab, bb, ra, rb), (g1, g2, ga1, ga2, gb1, gb2), (v11, v12, v22), negative

"""Compiled kernels of many rods at once: the same elements as of one rod, rods side by side in every step.

The equations are those of :mod:`culmwright.mechanics._kernels`, without a line in the guides. Rods differ in thickness
and modulus only, so that all share places, loads and the shape to start from; each value of a rod stands in one lane,
and a loop over the lanes is what the compiler turns into vector instructions. All rows of all nodes of a block of rods
stand at fixed distances in one flat array: only so does the compiler see that none runs into another.
"""

from __future__ import annotations

from typing import Any

import numpy as np

from culmwright.mechanics._element import A0, A2, B0, B2, P0, P1, P2, Q0, Q2, WEIGHT, XI, condensed, sine_cosine
from culmwright.mechanics.compiling import compiled_apart, compiled_within

LANES = 16
"""Rods side by side: two vectors of the widest machines, four of the usual ones."""
SETTLED = 1e-4
"""Newton stops after a step smaller than this [rad] in all lanes: what is left is a tenth of its square."""
FARTHEST = 1.0
"""The most [rad] a rod may turn from the one it starts from: beyond, it may have found another rest."""
BUDGET = 12
"""The most steps of Newton; three are usual for rods a few hundredths off the one they start from."""

THETA, C1, C2, RATIO, I00, I01, I02, I11, I12, I22, F0, F1, F2 = range(0, 13 * LANES, LANES)
"""Rows of a node and the element beyond it: angle, inner unknowns, thickness, integrals of EI, weights."""
G1, G2, GA1, GA2, GB1, GB2, DIAG, STEP, FACTOR, PIVOT, CHANGE, MOMENT, X, Y = range(13 * LANES, 27 * LANES, LANES)
"""What the solver works in, and what comes out."""
T0, T1, T2, N0, N1, N2 = G1, G2, GA1, GA2, GB1, GB2
"""The same rows before the element is condensed: weight times length times F.t, and F.n, at three points."""
E0, E1, E2, E3, E4 = G1, G2, GA1, GA2, GB1
"""The same rows before there are forces: EI at five points."""
BEYOND = STEP
"""Mass beyond a node."""
NEXT = 27 * LANES
"""From a row of a node to that of the next."""

Array = Any


@compiled_within
def _fourth(x: float) -> float:
    return x * x * (x * x)


@compiled_apart
def _stiffness(
    work: Array, h: Array, roots: Array, voids: Array, tube: Array, modulus: Array, points: Array, weights: Array
) -> None:
    """``int EI L_i L_j dxi/h`` by five points, ``EI = (R^4 - V^4) modulus + tube``; RATIO is by how much R is more.

    V of a hollow grows by as much as R of the rod, so that walls stay.
    """
    x0, x1, x2, x3, x4 = points
    l0, l1, l3, l4 = 2 * x0 - 1, 2 * x1 - 1, 2 * x3 - 1, 2 * x4 - 1
    m0, m1, m2 = 6 * x0 * x0 - 6 * x0 + 1, 6 * x1 * x1 - 6 * x1 + 1, -0.5
    l00, l11, m00, m11, m22 = l0 * l0, l1 * l1, m0 * m0, m1 * m1, m2 * m2
    for e in range(len(h)):
        w = work[e * NEXT : (e + 2) * NEXT]
        a, b, va, vb, t = roots[e, 0], roots[e, 1], voids[e, 0], voids[e, 1], tube[e]
        w0, w1, w2 = weights[0] / h[e], weights[1] / h[e], weights[2] / h[e]
        for i in range(LANES):
            ra, rb, E = a * w[RATIO + i], b * w[NEXT + RATIO + i], modulus[i]
            rise = rb - ra
            w[E0 + i] = E * _fourth(ra + x0 * rise) + t
            w[E1 + i] = E * _fourth(ra + x1 * rise) + t
            w[E2 + i] = E * _fourth(ra + x2 * rise) + t
            w[E3 + i] = E * _fourth(ra + x3 * rise) + t
            w[E4 + i] = E * _fourth(ra + x4 * rise) + t
        if va + vb > 0:
            for i in range(LANES):
                ra, rb, E = va + a * (w[RATIO + i] - 1), vb + b * (w[NEXT + RATIO + i] - 1), modulus[i]
                rise = rb - ra
                w[E0 + i] -= E * _fourth(max(ra + x0 * rise, 0.0))
                w[E1 + i] -= E * _fourth(max(ra + x1 * rise, 0.0))
                w[E2 + i] -= E * _fourth(max(ra + x2 * rise, 0.0))
                w[E3 + i] -= E * _fourth(max(ra + x3 * rise, 0.0))
                w[E4 + i] -= E * _fourth(max(ra + x4 * rise, 0.0))
        for i in range(LANES):
            e0, e1, e2, e3, e4 = w0 * w[E0 + i], w1 * w[E1 + i], w2 * w[E2 + i], w1 * w[E3 + i], w0 * w[E4 + i]
            w[I00 + i] = e0 + e1 + e2 + e3 + e4
            w[I01 + i] = e0 * l0 + e1 * l1 + e3 * l3 + e4 * l4
            w[I02 + i] = (e0 + e4) * m0 + (e1 + e3) * m1 + e2 * m2
            w[I11 + i] = (e0 + e4) * l00 + (e1 + e3) * l11
            w[I12 + i] = (e0 * l0 + e4 * l4) * m0 + (e1 * l1 + e3 * l3) * m1
            w[I22 + i] = (e0 + e4) * m00 + (e1 + e3) * m11 + e2 * m22


@compiled_apart
def _weights(work: Array, h: Array, roots: Array, density: Array, masses: Array, g: float) -> None:
    """Weight [N] outboard of the three Gauss points of every element; density goes with the square of thickness."""
    work[len(h) * NEXT + BEYOND : len(h) * NEXT + BEYOND + LANES] = 0.0
    for e in range(len(h) - 1, -1, -1):
        w = work[e * NEXT : (e + 2) * NEXT]
        share = roots[e, 1] / (roots[e, 0] + roots[e, 1])  # of the far end in the thickness at the middle
        a, m, b, he, mass = density[e, 0], density[e, 1], density[e, 2], h[e], masses[e + 1]
        for i in range(LANES):
            ra, rb = w[RATIO + i], w[NEXT + RATIO + i]
            rm = ra + share * (rb - ra)
            da, dm, db = a * ra * ra, m * rm * rm, b * rb * rb
            whole = w[NEXT + BEYOND + i] + mass + he * (1 / 6) * (da + 4 * dm + db)
            one, two, three = da, 0.5 * (4 * dm - 3 * da - db), (2 / 3) * (da - 2 * dm + db)
            w[F0 + i] = g * (whole - he * XI[0] * (one + XI[0] * (two + XI[0] * three)))
            w[F1 + i] = g * (whole - he * 0.5 * (one + 0.5 * (two + 0.5 * three)))
            w[F2 + i] = g * (whole - he * XI[2] * (one + XI[2] * (two + XI[2] * three)))
            w[BEYOND + i] = whole


@compiled_apart
def _step(work: Array, h: Array, px: float, py: float, couple: float) -> float:
    """One step of Newton in all lanes, ``V'' delta = -V'``; the largest change of an angle [rad].

    Elements are condensed and eliminated in one sweep from the clamp, whose own row stands on a huge pivot.
    """
    n = len(h)
    first, last = work[:NEXT], work[n * NEXT :]
    for i in range(LANES):
        first[DIAG + i], first[STEP + i], first[PIVOT + i] = 1e300, 0.0, 1e300
    for e in range(n):
        w = work[e * NEXT : (e + 2) * NEXT]
        w0, w1 = WEIGHT[0] * h[e], WEIGHT[1] * h[e]
        for i in range(LANES):
            ta, tb, c1, c2 = w[THETA + i], w[NEXT + THETA + i], w[C1 + i], w[C2 + i]
            s0, k0 = sine_cosine(A0 * ta + B0 * tb + P0 * c1 + Q0 * c2)
            s1, k1 = sine_cosine(0.5 * (ta + tb) + P1 * c1)
            s2, k2 = sine_cosine(A2 * ta + B2 * tb + P2 * c1 + Q2 * c2)
            f0, f1, f2 = py - w[F0 + i], py - w[F1 + i], py - w[F2 + i]
            w[T0 + i], w[N0 + i] = w0 * (px * k0 + f0 * s0), w0 * (f0 * k0 - px * s0)
            w[T1 + i], w[N1 + i] = w1 * (px * k1 + f1 * s1), w1 * (f1 * k1 - px * s1)
            w[T2 + i], w[N2 + i] = w0 * (px * k2 + f2 * s2), w0 * (f2 * k2 - px * s2)
        for i in range(LANES):
            (aa, ab, bb, ra, rb), inner, _, negative = condensed(
                (w[I00 + i], w[I01 + i], w[I02 + i], w[I11 + i], w[I12 + i], w[I22 + i]),
                (w[T0 + i], w[T1 + i], w[T2 + i]),
                (w[N0 + i], w[N1 + i], w[N2 + i]),
                w[NEXT + THETA + i] - w[THETA + i],
                w[C1 + i],
                w[C2 + i],
            )
            w[G1 + i], w[G2 + i], w[GA1 + i], w[GA2 + i], w[GB1 + i], w[GB2 + i] = inner
            pivot, right = w[DIAG + i] + aa, w[STEP + i] + ra
            share = 1 / pivot
            factor = ab * share
            w[FACTOR + i], w[STEP + i] = factor, right * share
            w[NEXT + DIAG + i] = bb - factor * ab
            w[NEXT + STEP + i] = rb - factor * right
            w[NEXT + PIVOT + i] = min(w[PIVOT + i], min(pivot, 1.0 - negative))
    for i in range(LANES):
        pivot = last[DIAG + i]
        last[STEP + i] = (last[STEP + i] + couple) / pivot
        last[PIVOT + i] = min(last[PIVOT + i], pivot)
        last[CHANGE + i] = 0.0
    for e in range(n - 1, -1, -1):
        w = work[e * NEXT : (e + 2) * NEXT]
        for i in range(LANES):
            db = w[NEXT + STEP + i]
            da = w[STEP + i] - w[FACTOR + i] * db
            w[STEP + i] = da
            w[NEXT + THETA + i] += db
            w[C1 + i] -= w[G1 + i] + w[GA1 + i] * da + w[GB1 + i] * db
            w[C2 + i] -= w[G2 + i] + w[GA2 + i] * da + w[GB2 + i] * db
            w[CHANGE + i] = max(w[NEXT + CHANGE + i], abs(db))
    largest = 0.0
    for i in range(LANES):
        largest = max(largest, first[CHANGE + i])
    return largest


@compiled_apart
def _recover(work: Array, h: Array, px: float, py: float) -> None:
    """Places, ``x, y = int t ds``, and moments at the nodes, as of one rod."""
    first = work[:NEXT]
    for i in range(LANES):
        first[X + i] = first[Y + i] = 0.0
    for e in range(len(h)):
        w = work[e * NEXT : (e + 2) * NEXT]
        w0, w1 = WEIGHT[0] * h[e], WEIGHT[1] * h[e]
        for i in range(LANES):
            ta, tb, c1, c2 = w[THETA + i], w[NEXT + THETA + i], w[C1 + i], w[C2 + i]
            s0, k0 = sine_cosine(A0 * ta + B0 * tb + P0 * c1 + Q0 * c2)
            s1, k1 = sine_cosine(0.5 * (ta + tb) + P1 * c1)
            s2, k2 = sine_cosine(A2 * ta + B2 * tb + P2 * c1 + Q2 * c2)
            n0 = w0 * ((py - w[F0 + i]) * k0 - px * s0)
            n1 = w1 * ((py - w[F1 + i]) * k1 - px * s1)
            n2 = w0 * ((py - w[F2 + i]) * k2 - px * s2)
            moment = w[I00 + i] * (tb - ta) + w[I01 + i] * c1 + w[I02 + i] * c2
            if e == 0:
                w[MOMENT + i] = moment + A0 * n0 + 0.5 * n1 + A2 * n2
            w[NEXT + MOMENT + i] = moment - B0 * n0 - 0.5 * n1 - B2 * n2
            w[NEXT + X + i] = w[X + i] + w0 * (k0 + k2) + w1 * k1
            w[NEXT + Y + i] = w[Y + i] + w0 * (s0 + s2) + w1 * s1


@compiled_apart
def many_rests(
    h: Array,
    roots: Array,
    voids: Array,
    tube: Array,
    density: Array,
    masses: Array,
    points: Array,
    weights: Array,
    load: Array,
    start: Array,
    ratios: Array,
    moduli: Array,
    angle: Array,
    moment: Array,
    tip: Array,
    residual: Array,
) -> None:
    """The rests of all rods of ``ratios`` (rods x nodes) and ``moduli``, from the shape ``start`` of the nominal one:
    rows for its angle and inner unknowns.

    ``load``: force at the tip x and y [N], g [m/s^2], couple [N m]. Fills ``angle`` and ``moment`` (rods x nodes),
    ``tip`` (x, y) and the last change of an angle, ``residual`` [rad]; that of a rod that is not stable or has turned
    too far is infinite.
    """
    n, rods = len(h), len(ratios)
    work, modulus = np.zeros((n + 1) * NEXT), np.ones(LANES)
    for first in range(0, rods, LANES):
        for lane in range(LANES):
            rod = min(first + lane, rods - 1)
            modulus[lane] = moduli[rod]
            for e in range(n + 1):
                work[e * NEXT + RATIO + lane] = ratios[rod, e]
        for e in range(n + 1):
            w, theta, c1, c2 = work[e * NEXT : (e + 1) * NEXT], start[0, e], start[1, e], start[2, e]
            for i in range(LANES):
                w[THETA + i], w[C1 + i], w[C2 + i] = theta, c1, c2
        _stiffness(work, h, roots, voids, tube, modulus, points, weights)
        _weights(work, h, roots, density, masses, load[2])
        for _ in range(BUDGET):
            if _step(work, h, load[0], load[1], load[3]) < SETTLED:
                break
        _recover(work, h, load[0], load[1])
        last = n * NEXT
        for lane in range(min(LANES, rods - first)):
            rod = first + lane
            turn = 0.0
            for e in range(n + 1):
                angle[rod, e] = work[e * NEXT + THETA + lane]
                moment[rod, e] = work[e * NEXT + MOMENT + lane]
                turn = max(turn, abs(angle[rod, e] - start[0, e]))
            tip[rod, 0], tip[rod, 1] = work[last + X + lane], work[last + Y + lane]
            residual[rod] = work[CHANGE + lane] if work[last + PIVOT + lane] > 0 and turn < FARTHEST else np.inf

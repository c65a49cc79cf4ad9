"""Compiled kernels of many rods at once: the same elements as of one rod, sixteen rods side by side in every step.

The equations are those of :mod:`culmwright.mechanics._kernels`, without a line in the guides. Rods differ in thickness
and modulus only, so that all share places, loads and the shape to start from; each value of a rod stands in one lane,
and a loop over the lanes is what the compiler turns into vector instructions. All values of a block of rods are rows of
one array, since a loop over many arrays is not turned so.
"""

from __future__ import annotations

from typing import Any

import numpy as np

from culmwright.mechanics._element import SHAPE, WEIGHT, XI, sine_cosine
from culmwright.mechanics.compiling import compiled_apart

LANES = 16
"""Rods side by side: two vectors of the widest machines, four of the usual ones."""
SETTLED = 1e-4
"""Newton stops after a step smaller than this [rad] in all lanes: what is left is a tenth of its square."""
BUDGET = 12
"""The most steps of Newton; three are usual for rods a few hundredths off the one they start from."""

X0, _, X2 = XI
W0, W1, _ = WEIGHT
(A0, B0, P0, Q0), (_, _, P1, _), (A2, B2, P2, Q2) = SHAPE
"""Points, weights and shapes by name; in the middle the shapes are 0.5, 0.5, P1, 0."""

THETA, C1, C2, I00, I01, I02, I11, I12, I22, F0, F1, F2, DIAG, RHS, FACTOR = range(15)
G1, GA1, GB1, G2, GA2, GB2, PIVOT, CHANGE, RATIO, X, Y, MOMENT, BEYOND = range(15, 28)
ROWS = 28
"""Rows of a node and its element: angle, inner unknowns, integrals of EI, weights, the solver's own, what comes out."""

Array = Any


@compiled_apart
def _bending(solid: float, outside: float, hole: float, modulus: float, tube: float) -> float:
    """``EI = (R^4 - V^4) modulus + tube``; V of a hollow grows by as much as R of the rod, so that walls stay."""
    void = max(hole + outside - solid, 0.0) if hole > 0 else 0.0
    return (outside**2 * outside**2 - void**2 * void**2) * modulus + tube


@compiled_apart
def _stiffness(
    work: Array, h: Array, roots: Array, voids: Array, tube: Array, modulus: Array, points: Array, weights: Array
) -> None:
    """``int EI L_i L_j dxi/h`` by five points; the rod is RATIO times as thick at the nodes."""
    x0, x1, x2, x3, x4 = points
    l0, l1, l3, l4 = 2 * x0 - 1, 2 * x1 - 1, 2 * x3 - 1, 2 * x4 - 1
    m0, m1, m2 = 6 * x0 * x0 - 6 * x0 + 1, 6 * x1 * x1 - 6 * x1 + 1, -0.5
    for e in range(len(h)):
        a, b, va, vb, t = roots[e, 0], roots[e, 1], voids[e, 0], voids[e, 1], tube[e]
        w0, w1, w2 = weights[0] / h[e], weights[1] / h[e], weights[2] / h[e]
        s0, s1, s2, s3, s4 = a + x0 * (b - a), a + x1 * (b - a), a + x2 * (b - a), a + x3 * (b - a), a + x4 * (b - a)
        v0, v1, v2 = va + x0 * (vb - va), va + x1 * (vb - va), va + x2 * (vb - va)
        v3, v4 = va + x3 * (vb - va), va + x4 * (vb - va)
        for lane in range(LANES):
            ra, rb, E = a * work[e, RATIO, lane], b * work[e + 1, RATIO, lane], modulus[lane]
            e0 = w0 * _bending(s0, ra + x0 * (rb - ra), v0, E, t)
            e1 = w1 * _bending(s1, ra + x1 * (rb - ra), v1, E, t)
            e2 = w2 * _bending(s2, ra + x2 * (rb - ra), v2, E, t)
            e3 = w1 * _bending(s3, ra + x3 * (rb - ra), v3, E, t)
            e4 = w0 * _bending(s4, ra + x4 * (rb - ra), v4, E, t)
            work[e, I00, lane] = e0 + e1 + e2 + e3 + e4
            work[e, I01, lane] = e0 * l0 + e1 * l1 + e3 * l3 + e4 * l4
            work[e, I02, lane] = (e0 + e4) * m0 + (e1 + e3) * m1 + e2 * m2
            work[e, I11, lane] = (e0 + e4) * l0 * l0 + (e1 + e3) * l1 * l1
            work[e, I12, lane] = (e0 * l0 + e4 * l4) * m0 + (e1 * l1 + e3 * l3) * m1
            work[e, I22, lane] = (e0 + e4) * m0 * m0 + (e1 + e3) * m1 * m1 + e2 * m2 * m2


@compiled_apart
def _weights(work: Array, h: Array, roots: Array, density: Array, masses: Array, g: float) -> None:
    """Weight [N] outboard of the three Gauss points of every element; density goes with the square of thickness."""
    for lane in range(LANES):
        work[len(h), BEYOND, lane] = 0.0
    for e in range(len(h) - 1, -1, -1):
        share = roots[e, 1] / (roots[e, 0] + roots[e, 1])  # of the far end in the thickness at the middle
        a, m, b, he, mass = density[e, 0], density[e, 1], density[e, 2], h[e], masses[e + 1]
        for lane in range(LANES):
            ra, rb = work[e, RATIO, lane], work[e + 1, RATIO, lane]
            rm = ra + share * (rb - ra)
            da, dm, db = a * ra * ra, m * rm * rm, b * rb * rb
            whole = work[e + 1, BEYOND, lane] + mass + he * (da + 4 * dm + db) / 6
            one, two, three = da, (4 * dm - 3 * da - db) / 2, (2 * da - 4 * dm + 2 * db) / 3
            work[e, F0, lane] = g * (whole - he * X0 * (one + X0 * (two + X0 * three)))
            work[e, F1, lane] = g * (whole - he * 0.5 * (one + 0.5 * (two + 0.5 * three)))
            work[e, F2, lane] = g * (whole - he * X2 * (one + X2 * (two + X2 * three)))
            work[e, BEYOND, lane] = whole


@compiled_apart
def _step(work: Array, h: Array, px: float, py: float, couple: float) -> float:
    """One step of Newton in all lanes, ``V'' delta = -V'``; the largest change of an angle [rad].

    Elements are condensed and eliminated in one sweep from the clamp, whose own row stands on a huge pivot.
    """
    n = len(h)
    for lane in range(LANES):
        work[0, DIAG, lane], work[0, RHS, lane] = 1e300, 0.0
        work[0, PIVOT, lane], work[n, CHANGE, lane] = 1e300, 0.0
    for e in range(n):
        w0, w1 = W0 * h[e], W1 * h[e]
        for lane in range(LANES):
            ta, tb, c1, c2 = work[e, THETA, lane], work[e + 1, THETA, lane], work[e, C1, lane], work[e, C2, lane]
            s0, k0 = sine_cosine(A0 * ta + B0 * tb + P0 * c1 + Q0 * c2)
            s1, k1 = sine_cosine(0.5 * (ta + tb) + P1 * c1)
            s2, k2 = sine_cosine(A2 * ta + B2 * tb + P2 * c1 + Q2 * c2)
            fy0, fy1, fy2 = py - work[e, F0, lane], py - work[e, F1, lane], py - work[e, F2, lane]
            along0, across0 = w0 * (px * k0 + fy0 * s0), w0 * (fy0 * k0 - px * s0)
            along1, across1 = w1 * (px * k1 + fy1 * s1), w1 * (fy1 * k1 - px * s1)
            along2, across2 = w0 * (px * k2 + fy2 * s2), w0 * (fy2 * k2 - px * s2)
            work[e, G1, lane], work[e, GA1, lane], work[e, GB1, lane] = along0, along1, along2
            work[e, G2, lane], work[e, GA2, lane], work[e, GB2, lane] = across0, across1, across2
        for lane in range(LANES):
            ta, tb, c1, c2 = work[e, THETA, lane], work[e + 1, THETA, lane], work[e, C1, lane], work[e, C2, lane]
            along0, along1, along2 = work[e, G1, lane], work[e, GA1, lane], work[e, GB1, lane]
            across0, across1, across2 = work[e, G2, lane], work[e, GA2, lane], work[e, GB2, lane]
            i00, i01, i02 = work[e, I00, lane], work[e, I01, lane], work[e, I02, lane]
            i11, i12, i22 = work[e, I11, lane], work[e, I12, lane], work[e, I22, lane]
            bend = tb - ta
            moment = i00 * bend + i01 * c1 + i02 * c2
            ra = -moment - A0 * across0 - 0.5 * across1 - A2 * across2
            rb = moment - B0 * across0 - 0.5 * across1 - B2 * across2
            r1 = i01 * bend + i11 * c1 + i12 * c2 - P0 * across0 - P1 * across1 - P2 * across2
            r2 = i02 * bend + i12 * c1 + i22 * c2 - Q0 * across0 - Q2 * across2
            aa = i00 + A0 * A0 * along0 + 0.25 * along1 + A2 * A2 * along2
            ab = -i00 + A0 * B0 * along0 + 0.25 * along1 + A2 * B2 * along2
            bb = i00 + B0 * B0 * along0 + 0.25 * along1 + B2 * B2 * along2
            a1 = -i01 + A0 * P0 * along0 + 0.5 * P1 * along1 + A2 * P2 * along2
            b1 = i01 + B0 * P0 * along0 + 0.5 * P1 * along1 + B2 * P2 * along2
            a2 = -i02 + A0 * Q0 * along0 + A2 * Q2 * along2
            b2 = i02 + B0 * Q0 * along0 + B2 * Q2 * along2
            k11 = i11 + P0 * P0 * along0 + P1 * P1 * along1 + P2 * P2 * along2
            k12 = i12 + P0 * Q0 * along0 + P2 * Q2 * along2
            k22 = i22 + Q0 * Q0 * along0 + Q2 * Q2 * along2
            det = k11 * k22 - k12 * k12
            over = 1 / det
            v11, v12, v22 = k22 * over, -k12 * over, k11 * over
            g1, g2 = v11 * r1 + v12 * r2, v12 * r1 + v22 * r2
            ga1, ga2 = v11 * a1 + v12 * a2, v12 * a1 + v22 * a2
            gb1, gb2 = v11 * b1 + v12 * b2, v12 * b1 + v22 * b2
            work[e, G1, lane], work[e, GA1, lane], work[e, GB1, lane] = g1, ga1, gb1
            work[e, G2, lane], work[e, GA2, lane], work[e, GB2, lane] = g2, ga2, gb2
            pivot = work[e, DIAG, lane] + aa - a1 * ga1 - a2 * ga2
            right = work[e, RHS, lane] - ra + a1 * g1 + a2 * g2
            beside = ab - a1 * gb1 - a2 * gb2
            share = 1 / pivot
            factor = beside * share
            work[e, FACTOR, lane], work[e, RHS, lane] = factor, right * share
            work[e + 1, DIAG, lane] = bb - b1 * gb1 - b2 * gb2 - factor * beside
            work[e + 1, RHS, lane] = -rb + b1 * g1 + b2 * g2 - factor * right
            work[e + 1, PIVOT, lane] = min(min(work[e, PIVOT, lane], pivot), min(k11, det))
    for lane in range(LANES):
        pivot = work[n, DIAG, lane]
        work[n, RHS, lane] = (work[n, RHS, lane] + couple) / pivot
        work[n, PIVOT, lane] = min(work[n, PIVOT, lane], pivot)
    for e in range(n - 1, -1, -1):
        for lane in range(LANES):
            db = work[e + 1, RHS, lane]
            da = work[e, RHS, lane] - work[e, FACTOR, lane] * db
            work[e, RHS, lane] = da
            work[e + 1, THETA, lane] += db
            work[e, C1, lane] -= work[e, G1, lane] + work[e, GA1, lane] * da + work[e, GB1, lane] * db
            work[e, C2, lane] -= work[e, G2, lane] + work[e, GA2, lane] * da + work[e, GB2, lane] * db
            work[e, CHANGE, lane] = max(work[e + 1, CHANGE, lane], abs(db))
    largest = 0.0
    for lane in range(LANES):
        largest = max(largest, work[0, CHANGE, lane])
    return largest


@compiled_apart
def _recover(work: Array, h: Array, px: float, py: float) -> None:
    """Places, ``x, y = int t ds``, and moments at the nodes, as of one rod."""
    for lane in range(LANES):
        work[0, X, lane] = work[0, Y, lane] = 0.0
    for e in range(len(h)):
        w0, w1 = W0 * h[e], W1 * h[e]
        for lane in range(LANES):
            ta, tb, c1, c2 = work[e, THETA, lane], work[e + 1, THETA, lane], work[e, C1, lane], work[e, C2, lane]
            s0, k0 = sine_cosine(A0 * ta + B0 * tb + P0 * c1 + Q0 * c2)
            s1, k1 = sine_cosine(0.5 * (ta + tb) + P1 * c1)
            s2, k2 = sine_cosine(A2 * ta + B2 * tb + P2 * c1 + Q2 * c2)
            fy0, fy1, fy2 = py - work[e, F0, lane], py - work[e, F1, lane], py - work[e, F2, lane]
            across0, across1, across2 = w0 * (fy0 * k0 - px * s0), w1 * (fy1 * k1 - px * s1), w0 * (fy2 * k2 - px * s2)
            moment = work[e, I00, lane] * (tb - ta) + work[e, I01, lane] * c1 + work[e, I02, lane] * c2
            if e == 0:
                work[0, MOMENT, lane] = moment + A0 * across0 + 0.5 * across1 + A2 * across2
            work[e + 1, MOMENT, lane] = moment - B0 * across0 - 0.5 * across1 - B2 * across2
            work[e + 1, X, lane] = work[e, X, lane] + w0 * (k0 + k2) + w1 * k1
            work[e + 1, Y, lane] = work[e, Y, lane] + w0 * (s0 + s2) + w1 * s1


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
    """The rests of all rods of ``ratios`` (rods x nodes) and ``moduli``, from the shape ``start`` of the nominal one.

    ``load``: force at the tip x and y [N], g [m/s^2], couple [N m]. Fills ``angle`` and ``moment`` (rods x nodes),
    ``tip`` (x, y) and the last change of an angle, ``residual`` [rad]; that of a rod that is not stable is infinite.
    """
    n, rods = len(h), len(ratios)
    work = np.zeros((n + 1, ROWS, LANES))
    modulus = np.ones(LANES)
    for first in range(0, rods, LANES):
        for lane in range(LANES):
            rod = min(first + lane, rods - 1)
            modulus[lane] = moduli[rod]
            for e in range(n + 1):
                work[e, RATIO, lane] = ratios[rod, e]
                work[e, THETA, lane] = start[e, 0]
                work[e, C1, lane] = start[e, 1]
                work[e, C2, lane] = start[e, 2]
        _stiffness(work, h, roots, voids, tube, modulus, points, weights)
        _weights(work, h, roots, density, masses, load[2])
        for _ in range(BUDGET):
            if _step(work, h, load[0], load[1], load[3]) < SETTLED:
                break
        _recover(work, h, load[0], load[1])
        for lane in range(min(LANES, rods - first)):
            rod = first + lane
            for e in range(n + 1):
                angle[rod, e] = work[e, THETA, lane]
                moment[rod, e] = work[e, MOMENT, lane]
            tip[rod, 0], tip[rod, 1] = work[n, X, lane], work[n, Y, lane]
            residual[rod] = work[0, CHANGE, lane] if work[n, PIVOT, lane] > 0 else np.inf

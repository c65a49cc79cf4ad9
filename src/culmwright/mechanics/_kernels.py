"""Compiled kernels of the bent rod: loops over a few dozen elements, each under its equation.

Everything here takes plain arrays of SI floats; :mod:`culmwright.mechanics.beam` makes them and
:mod:`culmwright.mechanics.statics` asks; :mod:`culmwright.mechanics._block` tells how elements stand side by side. The
cache of numba looks at the file of the function that is called and not at other files that it calls. The tests hold
each kernel to a slow twin in numpy.

On an element of length h, ``xi`` from 0 to 1, the angle of the rod's axis above the horizontal is a cubic::

    theta = theta_a (1 - xi) + theta_b xi + c1 (xi^2 - xi) + c2 (2 xi^3 - 3 xi^2 + xi)

and the rod rests where its potential, a sum over elements, is least::

    V = int [ EI theta'^2 / 2 - F . t ] ds - C theta(L) + T sum of the lengths of line between guides

t = (cos theta, sin theta); F(s) all force outboard of s; C a couple at the tip; T the tension of the line.
"""

from __future__ import annotations

from math import cos, sin, sqrt
from typing import Any

import numpy as np

from culmwright.mechanics._block import (
    AA,
    AB,
    ACROSS_X,
    ACROSS_Y,
    BB,
    C1,
    C2,
    DA,
    DB,
    ENERGY,
    G1,
    G2,
    GA1,
    GA2,
    GB1,
    GB2,
    I00,
    I01,
    I02,
    I11,
    I12,
    I22,
    K0,
    K1,
    K2,
    LENGTH,
    M0,
    M1,
    M2,
    MOMENT_A,
    MOMENT_B,
    N0,
    N1,
    N2,
    NEGATIVE,
    RA,
    RB,
    S0,
    S1,
    S2,
    SIZE,
    T0,
    T1,
    T2,
    TA,
    TB,
    V11,
    V12,
    V22,
    at,
    factored,
    swept_out,
)
from culmwright.mechanics._element import A0, A2, B0, B2, P0, P1, P2, Q0, Q2, WEIGHT, condensed, sine_cosine
from culmwright.mechanics._line_kernels import levers, line_across, line_forces
from culmwright.mechanics.beam import GIVEN, LANES
from culmwright.mechanics.compiling import compiled

DONE, OVER_BUDGET, NOT_STABLE, TOO_FAR = range(4)
"""How an iteration or a continuation ended."""
SETTLED = 1e-5
"""Newton stops after a step smaller than this [rad]: the next one would be of the order of its square."""
NEWTON_BUDGET = 30
LOAD_BUDGET = 400
SMALLEST_STEP = 2.0**-14
FARTHEST = 1.0
"""The most [rad] the rod may turn in one step of the load, unless there is only one place it can have gone to."""

STRAIGHT_DOWN = 1.57
"""What the angles of a first, linear step tend to [rad] where it goes too far."""

ANGLE, PULL_X, PULL_Y, GRAVITY, TENSION, LINE_X, LINE_Y, COUPLE = range(8)
"""Places in a load: angle of the clamp, force at the tip, g, tension, tension times its outer direction, couple."""
Array = Any  # numba compiles for what it is given: float arrays, and for span an array of integers


@compiled
def _turn(work: Array) -> None:
    """``t = (cos theta, sin theta)`` at the Gauss points."""
    for first in range(0, len(work), SIZE):
        w = work[first : first + SIZE]
        for i in range(LANES):
            ta, tb, c1, c2 = w[TA + i], w[TB + i], w[C1 + i], w[C2 + i]
            w[S0 + i], w[K0 + i] = sine_cosine(A0 * ta + B0 * tb + P0 * c1 + Q0 * c2)
            w[S1 + i], w[K1 + i] = sine_cosine(0.5 * (ta + tb) + P1 * c1)
            w[S2 + i], w[K2 + i] = sine_cosine(A2 * ta + B2 * tb + P2 * c1 + Q2 * c2)


@compiled
def _forces(load: Array, work: Array) -> None:
    """``F . t`` and ``F . n`` times weight and length, n = dt/dtheta, F pull and weight outboard of a Gauss point."""
    px, py, g = load[PULL_X], load[PULL_Y], load[GRAVITY]
    for first in range(0, len(work), SIZE):
        w = work[first : first + SIZE]
        for i in range(LANES):
            outer, inner = WEIGHT[0] * w[LENGTH + i], WEIGHT[1] * w[LENGTH + i]
            f0, f1, f2 = py - g * w[M0 + i], py - g * w[M1 + i], py - g * w[M2 + i]
            k0, k1, k2, s0, s1, s2 = w[K0 + i], w[K1 + i], w[K2 + i], w[S0 + i], w[S1 + i], w[S2 + i]
            w[T0 + i], w[N0 + i] = outer * (px * k0 + f0 * s0), outer * (f0 * k0 - px * s0)
            w[T1 + i], w[N1 + i] = inner * (px * k1 + f1 * s1), inner * (f1 * k1 - px * s1)
            w[T2 + i], w[N2 + i] = outer * (px * k2 + f2 * s2), outer * (f2 * k2 - px * s2)


@compiled
def _condense(work: Array) -> None:
    """What every element is without its two inner unknowns."""
    for first in range(0, len(work), SIZE):
        w = work[first : first + SIZE]
        for i in range(LANES):
            nodes, inner, inverse, negative = condensed(
                (w[I00 + i], w[I01 + i], w[I02 + i], w[I11 + i], w[I12 + i], w[I22 + i]),
                (w[T0 + i], w[T1 + i], w[T2 + i]),
                (w[N0 + i], w[N1 + i], w[N2 + i]),
                w[TB + i] - w[TA + i],
                w[C1 + i],
                w[C2 + i],
            )
            w[AA + i], w[AB + i], w[BB + i], w[RA + i], w[RB + i] = nodes
            w[G1 + i], w[G2 + i], w[GA1 + i], w[GA2 + i], w[GB1 + i], w[GB2 + i] = inner
            w[V11 + i], w[V12 + i], w[V22 + i] = inverse
            w[NEGATIVE + i] = negative


@compiled
def _step(span: Array, spans: int, load: Array, work: Array, rows: Array, line: Array) -> tuple[float, bool]:
    """One step of Newton, ``V'' delta = -V'``: the largest change of angle, and whether V'' is positive definite.

    Every span of line adds ``(T/|c|) b b^T`` to V'', ``b_i = int u.t phi_i ds``, taken up at the end.
    """
    elements, delta = len(span), rows[2]
    _turn(work)
    _forces(load, work)
    if spans:
        line_forces(span, load, line, work)
    _condense(work)
    negative = factored(elements, work, load[COUPLE], rows)
    swept_out(rows, delta)
    if spans:
        levers(span, work, rows, line)
        negative -= line_across(span, work, rows, line, load[TENSION])
    largest = 0.0
    for e in range(elements):
        w = work[at(e) :]
        w[DA], w[DB] = delta[e], delta[e + 1]
        largest = max(largest, abs(delta[e + 1]))
    if largest > FARTHEST:
        _hold_back(work)
    else:
        _take(work)
    return largest, negative == 0


@compiled
def _take(work: Array) -> None:
    """Add a step to the shape, the inner unknowns with it."""
    for first in range(0, len(work), SIZE):
        w = work[first : first + SIZE]
        for i in range(LANES):
            da, db = w[DA + i], w[DB + i]
            w[TA + i] += da
            w[TB + i] += db
            w[C1 + i] -= w[G1 + i] + w[GA1 + i] * da + w[GB1 + i] * db
            w[C2 + i] -= w[G2 + i] + w[GA2 + i] * da + w[GB2 + i] * db


@compiled
def _hold_back(work: Array) -> None:
    """Add a step that is too far for a linear one: the more an angle would turn, the more it is held back."""
    for first in range(0, len(work), SIZE):
        w = work[first : first + SIZE]
        for i in range(LANES):
            da, db = w[DA + i], w[DB + i]
            w[TA + i] += da / sqrt(1 + (da / STRAIGHT_DOWN) ** 2)
            w[TB + i] += db / sqrt(1 + (db / STRAIGHT_DOWN) ** 2)
            slope = 1 / sqrt(1 + ((da + db) / (2 * STRAIGHT_DOWN)) ** 2)
            slope *= slope * slope
            w[C1 + i] -= slope * (w[G1 + i] + w[GA1 + i] * da + w[GB1 + i] * db)
            w[C2 + i] -= slope * (w[G2 + i] + w[GA2 + i] * da + w[GB2 + i] * db)


@compiled
def _only_one(span: Array, load: Array, work: Array) -> bool:
    """True if no other shape can rest here with every part within a right angle of the force on it.

    Where F.t >= 0 along the shape and along the straight rod, both lie in one convex set of shapes on which V is
    convex: it has one minimum there. Holds for what hangs from a rod held level or lower, whatever its size.
    """
    px, py, g = load[PULL_X], load[PULL_Y], load[GRAVITY]
    straight_x, straight_y = cos(load[ANGLE]), sin(load[ANGLE])
    heaviest, lightest = work[M0], work[at(len(span) - 1) + M2]
    little = -1e-9 * (abs(px) + abs(py) + g * heaviest)
    only = load[COUPLE] == 0.0 and load[TENSION] == 0.0
    for mass in (heaviest, lightest):  # on the straight rod F.t goes evenly with the mass outboard
        only &= px * straight_x + (py - g * mass) * straight_y >= little
    for e in range(len(span)):
        w = work[at(e) :]
        only &= abs(w[TB] - load[ANGLE]) < 3.1
        only &= min(w[T0], w[T1], w[T2]) >= little * w[LENGTH]
    return bool(only)


@compiled
def _shape(state: Array, work: Array) -> None:
    """Give the blocks the shape of ``state``; what they have to spare stays straight."""
    for first in range(0, len(work), SIZE):
        work[first + TA : first + DB + LANES] = 0.0
    for e in range(state.shape[1] - 1):
        w = work[at(e) :]
        w[TA], w[TB], w[C1], w[C2] = state[0, e], state[0, e + 1], state[1, e], state[2, e]


@compiled
def _keep(state: Array, work: Array) -> None:
    """Give ``state`` the shape of the blocks."""
    for e in range(state.shape[1] - 1):
        w = work[at(e) :]
        state[0, e + 1], state[1, e], state[2, e] = w[TB], w[C1], w[C2]


@compiled
def _turned(state: Array, work: Array) -> float:
    """How far the shape of the blocks is from that of ``state``, the largest of the nodes' angles [rad]."""
    turn = 0.0
    for e in range(state.shape[1] - 1):
        turn = max(turn, abs(work[at(e) + TB] - state[0, e + 1]))
    return turn


@compiled
def _given(elements: Array, work: Array) -> None:
    """Give the blocks what is known of their elements."""
    for block in range(len(work) // SIZE):
        w, given = work[block * SIZE :], elements[block * GIVEN * LANES :]
        for i in range(GIVEN * LANES):
            w[i] = given[i]


@compiled
def _follow(
    span: Array, start: Array, end: Array, state: Array, work: Array, rows: Array, line: Array, most: int
) -> tuple[int, int]:
    """From the rest under the load ``start`` to the rest under ``end``; ``state`` and the blocks go along.

    The whole way is tried at once; where that leads too far, or over a shape that is not stable, in halves.
    Tells how it ended and how many steps of Newton it took.
    """
    spans = len(line) if end[TENSION] > 0 else 0
    there, stride, ended, steps = 0.0, 1.0, DONE, 0
    for _ in range(most):
        load = start + (there + stride) * (end - start) if there + stride < 1.0 else end
        _shape(state, work)
        ended = OVER_BUDGET
        for _ in range(NEWTON_BUDGET):
            change, stable = _step(span, spans, load, work, rows, line)
            steps += 1
            if not stable:
                ended = NOT_STABLE
                break
            if change < SETTLED:
                ended = DONE
                break
        if ended == DONE and not (_turned(state, work) <= FARTHEST or _only_one(span, load, work)):
            ended = TOO_FAR
        if ended == DONE:
            _keep(state, work)
            there += stride
            if there >= 1.0:
                return DONE, steps
            stride = min(2 * stride, 1.0 - there)
        else:
            stride /= 2
            if stride < SMALLEST_STEP:
                break
    return ended, steps


@compiled
def rest(elements: Array, span: Array, before: Array, load: Array, state: Array) -> tuple[int, int, float]:
    """Where the rod comes to rest under ``load``, from the rest ``state`` under ``before``, which is overwritten.

    ``state`` has a column for each node: theta, c1 and c2 of the element behind the node, x, y, M. Without a load
    before, the rod is straight: then all of the load comes at once if that leads to the only rest there is; else
    first its weight and then the rest. Gives how it ended, the steps of Newton, and the energy of bending [J].
    """
    spans = span.max() + 1 if load[TENSION] > 0 else 0
    work, rows = np.empty(len(elements) // (GIVEN * LANES) * SIZE), np.empty((3 + 2 * spans, len(span) + 1))
    line = np.empty((spans, spans + 4))
    _given(elements, work)
    straight = True
    for part in range(PULL_X, len(before)):
        straight &= before[part] == 0.0
    if straight:
        state[0], state[1], state[2] = load[ANGLE], 0.0, 0.0
    ended, steps = _follow(span, before, load, state, work, rows, line, 1 if straight else LOAD_BUDGET)
    if straight and ended != DONE:
        nothing, weight = load.copy(), load.copy()
        nothing[PULL_X:] = 0.0
        weight[PULL_X:] = 0.0
        weight[GRAVITY] = load[GRAVITY]
        for begin, end in ((nothing, weight), (weight, load)):
            ended, more = _follow(span, begin, end, state, work, rows, line, LOAD_BUDGET)
            steps += more
            if ended != DONE:
                break
    return ended, steps, _recover(span, load, state, work, line)


@compiled
def _recover(span: Array, load: Array, state: Array, work: Array, line: Array) -> float:
    """Places and moments at the nodes, ``x, y = int t ds``, ``M_b = dV_e/dtheta_b``, and the energy of bending.

    The balance of an element gives its moments to the order of the nodes, h^6; ``EI theta'`` would be of order h^3.
    """
    _turn(work)
    _forces(load, work)
    if load[TENSION] > 0:
        line_forces(span, load, line, work)
    for first in range(0, len(work), SIZE):
        w = work[first : first + SIZE]
        for i in range(LANES):
            bend, c1, c2 = w[TB + i] - w[TA + i], w[C1 + i], w[C2 + i]
            moment = w[I00 + i] * bend + w[I01 + i] * c1 + w[I02 + i] * c2
            first_inner = w[I01 + i] * bend + w[I11 + i] * c1 + w[I12 + i] * c2
            second_inner = w[I02 + i] * bend + w[I12 + i] * c1 + w[I22 + i] * c2
            w[ENERGY + i] = 0.5 * (bend * moment + c1 * first_inner + c2 * second_inner)
            w[MOMENT_A + i] = moment + A0 * w[N0 + i] + 0.5 * w[N1 + i] + A2 * w[N2 + i]
            w[MOMENT_B + i] = moment - B0 * w[N0 + i] - 0.5 * w[N1 + i] - B2 * w[N2 + i]
            outer, inner = WEIGHT[0] * w[LENGTH + i], WEIGHT[1] * w[LENGTH + i]
            w[ACROSS_X + i] = outer * (w[K0 + i] + w[K2 + i]) + inner * w[K1 + i]
            w[ACROSS_Y + i] = outer * (w[S0 + i] + w[S2 + i]) + inner * w[S1 + i]
    x = y = energy = 0.0
    state[3, 0], state[4, 0], state[5, 0] = x, y, work[MOMENT_A]
    for e in range(len(span)):
        w = work[at(e) :]
        x, y, energy = x + w[ACROSS_X], y + w[ACROSS_Y], energy + w[ENERGY]
        state[3, e + 1], state[4, e + 1], state[5, e + 1] = x, y, w[MOMENT_B]
    return energy

"""Compiled kernels of the bent rod: loops over a few dozen elements, each under its equation.

Everything here takes plain arrays of SI floats; :mod:`culmwright.mechanics.beam` makes them and
:mod:`culmwright.mechanics.statics` asks; :mod:`culmwright.mechanics._block` tells how elements stand side by side. The
tests hold each kernel to a slow twin in numpy.

On an element of length h, ``xi`` from 0 to 1, the angle of the rod's axis above the horizontal is a cubic::

    theta = theta_a (1 - xi) + theta_b xi + c1 (xi^2 - xi) + c2 (2 xi^3 - 3 xi^2 + xi)

and the rod rests where its potential, a sum over elements, is least::

    V = int [ EI theta'^2 / 2 - F . t ] ds - C theta(L) + T sum of the lengths of line between guides

t = (cos theta, sin theta); F(s) all force outboard of s; C a couple at the tip; T the tension of the line.
"""

from __future__ import annotations

from math import cos, sin
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
from culmwright.mechanics._element import A0, A2, B0, B2, WEIGHT, condensed
from culmwright.mechanics._line_kernels import levers, line_across, line_forces
from culmwright.mechanics._shape_kernels import (
    ANGLE,
    COUPLE,
    GRAVITY,
    PULL_X,
    PULL_Y,
    TENSION,
    hold_back,
    keep_shape,
    lean,
    take,
    take_shape,
    turned,
)
from culmwright.mechanics.beam import LANES
from culmwright.mechanics.compiling import compiled, compiled_within

DONE, OVER_BUDGET, NOT_STABLE, TOO_FAR = range(4)
"""How an iteration or a continuation ended."""
CURVED = 0.1
"""The least by which the square of a step of Newton is multiplied to foresee the next [1/rad]."""
NEWTON_BUDGET = 30
LOAD_BUDGET = 400
SMALLEST_STEP = 2.0**-14
FARTHEST = 1.0
"""The most [rad] the rod may turn in one step of the load, unless there is only one place it can have gone to."""


Array = Any  # numba compiles for what it is given: float arrays, and for span an array of integers


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


@compiled_within
def _step(span: Array, spans: int, load: Array, work: Array, rows: Array, line: Array) -> tuple[float, bool]:
    """One step of Newton, ``V'' delta = -V'``: the largest change of angle, and whether V'' is positive definite.

    Begins and ends with blocks that have turned to their shape.
    Every span of line adds ``(T/|c|) b b^T`` to V'', ``b_i = int u.t phi_i ds``, taken up at the end.
    """
    elements, delta = len(span), rows[2]
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
        hold_back(work)
    else:
        take(work)
    return largest, negative == 0


@compiled
def _only_one(load: Array, work: Array) -> bool:
    """True if no other shape can rest here with every part within a right angle of the force on it.

    Where F.t >= 0 along the shape and along the straight rod, both lie in one convex set of shapes on which V is
    convex: it has one minimum there. Holds for what hangs from a rod held level or lower, whatever its size.
    """
    px, py, g = load[PULL_X], load[PULL_Y], load[GRAVITY]
    straight_x, straight_y = cos(load[ANGLE]), sin(load[ANGLE])
    heaviest = work[M0]
    little = -1e-9 * (abs(px) + abs(py) + g * heaviest)
    if load[COUPLE] != 0.0 or load[TENSION] != 0.0:
        return False
    for mass in (heaviest, 0.0):  # on the straight rod F.t goes evenly with the mass outboard
        if px * straight_x + (py - g * mass) * straight_y < little:
            return False
    others = 0
    for first in range(0, len(work), SIZE):
        w = work[first : first + SIZE]
        for i in range(LANES):
            floor = little * w[LENGTH + i]
            others += abs(w[TB + i] - load[ANGLE]) >= 3.1
            others += (w[T0 + i] < floor) | (w[T1 + i] < floor) | (w[T2 + i] < floor)
    return others == 0


@compiled
def _settle(span: Array, load: Array, work: Array, rows: Array, line: Array, within: float) -> int:
    """Newton from the shape of the blocks; ends once the next step is foreseen to be smaller than ``within`` [rad].

    A step is the square of the one before times something that stays much the same, and is taken to be one at first.
    """
    spans = len(line) if load[TENSION] > 0 else 0
    before = 1.0
    for number in range(NEWTON_BUDGET):
        change, stable = _step(span, spans, load, work, rows, line)
        if not stable:
            return NOT_STABLE
        curve = max(CURVED, change / (before * before)) if number and before < FARTHEST else 1.0
        if curve * change * change < within:
            return DONE
        before = change
    return OVER_BUDGET


@compiled
def _follow(
    span: Array, start: Array, end: Array, state: Array, work: Array, rows: Array, line: Array, within: float
) -> int:
    """From the rest under the load ``start`` to the rest under ``end``; ``state`` and the blocks go along.

    The whole way is tried at once; where that leads too far, or over a shape that is not stable, in halves.
    """
    there, stride, ended = 0.0, 1.0, DONE
    for _ in range(LOAD_BUDGET):
        load = start + (there + stride) * (end - start) if there + stride < 1.0 else end
        take_shape(state, work)
        ended = _settle(span, load, work, rows, line, within)
        if ended == DONE and not (turned(state, work) <= FARTHEST or _only_one(load, work)):
            ended = TOO_FAR
        if ended == DONE:
            keep_shape(state, work)
            there += stride
            if there >= 1.0:
                return DONE
            stride = min(2 * stride, 1.0 - there)
        else:
            stride /= 2
            if stride < SMALLEST_STEP:
                break
    return ended


@compiled
def _weight_first(span: Array, load: Array, state: Array, work: Array, rows: Array, line: Array, within: float) -> int:
    """From the straight rod ``state`` to its rest under its own weight alone, and from there to that under ``load``."""
    nothing, weight = load.copy(), load.copy()
    nothing[PULL_X:] = 0.0
    weight[PULL_X:] = 0.0
    weight[GRAVITY] = load[GRAVITY]
    ended = _follow(span, nothing, weight, state, work, rows, line, within)
    return _follow(span, weight, load, state, work, rows, line, within) if ended == DONE else ended


@compiled_within
def _rooms(room: Array, span: Array, load: Array) -> tuple[Array, Array, Array]:
    """Blocks, three diagonals, and what a line adds; without one all of it is the beam's own ``room``."""
    nodes = len(span) + 1
    size = len(room) - 3 * nodes
    if load[TENSION] > 0:
        spans = span.max() + 1
        return room[:size], np.empty((3 + 2 * spans, nodes)), np.empty((spans, spans + 4))
    return room[:size], room[size:].reshape(3, nodes), room[:0].reshape(0, 4)


@compiled
def rest(room: Array, span: Array, load: Array, state: Array, within: float) -> int:
    """Where the straight rod comes to rest under ``load``; tells how that ended, and fills ``state``.

    ``state`` has a column for each node: theta, c1 and c2 of the element behind the node, x, y, M. All of the load
    comes at once if that leads to the only rest there is, else first its weight and then the rest; the angles are right
    to ``within`` [rad].
    """
    work, rows, line = _rooms(room, span, load)
    state[0], state[1], state[2] = load[ANGLE], 0.0, 0.0
    lean(load, work)
    ended = _settle(span, load, work, rows, line, within)
    if ended == DONE and (turned(state, work) <= FARTHEST or _only_one(load, work)):
        keep_shape(state, work)
    else:
        ended = _weight_first(span, load, state, work, rows, line, within)
    if ended == DONE:
        _recover(span, load, state, work, line)
    return ended


@compiled
def next_rest(room: Array, span: Array, before: Array, load: Array, state: Array, within: float) -> int:
    """The same from the rest ``state`` under the load ``before``, which is overwritten; right to ``within`` [rad]."""
    work, rows, line = _rooms(room, span, load)
    ended = _follow(span, before, load, state, work, rows, line, within)
    if ended == DONE:
        _recover(span, load, state, work, line)
    return ended


@compiled
def _recover(span: Array, load: Array, state: Array, work: Array, line: Array) -> None:
    """Places and moments at the nodes, ``x, y = int t ds``, ``M_b = dV_e/dtheta_b``.

    The balance of an element gives its moments to the order of the nodes, h^6; ``EI theta'`` would be of order h^3.
    """
    _forces(load, work)
    if load[TENSION] > 0:
        line_forces(span, load, line, work)
    for first in range(0, len(work), SIZE):
        w = work[first : first + SIZE]
        for i in range(LANES):
            bend, c1, c2 = w[TB + i] - w[TA + i], w[C1 + i], w[C2 + i]
            moment = w[I00 + i] * bend + w[I01 + i] * c1 + w[I02 + i] * c2
            w[MOMENT_A + i] = moment + A0 * w[N0 + i] + 0.5 * w[N1 + i] + A2 * w[N2 + i]
            w[MOMENT_B + i] = moment - B0 * w[N0 + i] - 0.5 * w[N1 + i] - B2 * w[N2 + i]
            outer, inner = WEIGHT[0] * w[LENGTH + i], WEIGHT[1] * w[LENGTH + i]
            w[ACROSS_X + i] = outer * (w[K0 + i] + w[K2 + i]) + inner * w[K1 + i]
            w[ACROSS_Y + i] = outer * (w[S0 + i] + w[S2 + i]) + inner * w[S1 + i]
    x = y = 0.0
    state[3, 0], state[4, 0], state[5, 0] = x, y, work[MOMENT_A]
    for e in range(len(span)):
        w = work[at(e) :]
        x, y = x + w[ACROSS_X], y + w[ACROSS_Y]
        state[3, e + 1], state[4, e + 1], state[5, e + 1] = x, y, w[MOMENT_B]

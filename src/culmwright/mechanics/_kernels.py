"""Compiled kernels of the bent rod: loops over a few dozen elements, each under its equation.

Everything here takes plain arrays of SI floats; :mod:`culmwright.mechanics.beam` makes them and
:mod:`culmwright.mechanics.statics` asks. One module holds what may change of it, since numba's cache looks at the file
of the function that is called and not at other files that it calls. The tests hold each kernel to a slow twin in numpy.

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

from culmwright.mechanics._element import SHAPE, WEIGHT, eliminate, sine_cosine
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
ACROSS, LINE = 3, 6
"""Rows of the forces: F.t at three points, F.n at three, and the line's part of F, x and y."""
AA, AB, BB, RA, RB, G1, G2, GA1, GB1, GA2, GB2, V11, V12, V22, K11, DET, GP1, GP2, ROWS = range(19)
"""Rows of what an element is without its inner unknowns; those change by ``-(G + GA da + GB db + GP wanted)``."""
HELD = 1e300  # the pivot of a node that is held

Array = Any  # numba compiles for what it is given: float arrays, and for span an array of integers


@compiled
def _turn(theta: Array, bubble: Array, cosine: Array, sine: Array) -> None:
    """``t = (cos theta, sin theta)`` at the Gauss points."""
    for q in range(3):
        na, nb, n1, n2 = SHAPE[q]
        for e in range(bubble.shape[1]):
            sine[q, e], cosine[q, e] = sine_cosine(
                na * theta[e] + nb * theta[e + 1] + n1 * bubble[0, e] + n2 * bubble[1, e]
            )


@compiled
def _chords(h: Array, span: Array, cosine: Array, sine: Array, chord: Array) -> None:
    """The line between two guides, ``c = int t ds`` over the rod between them: its direction u and length |c|."""
    chord[:] = 0.0
    for e in range(len(h)):
        i = span[e]
        if i >= 0:
            for q in range(3):
                chord[i, 0] += WEIGHT[q] * h[e] * cosine[q, e]
                chord[i, 1] += WEIGHT[q] * h[e] * sine[q, e]
    for i in range(len(chord)):
        chord[i, 2] = sqrt(chord[i, 0] ** 2 + chord[i, 1] ** 2)
        chord[i, :2] /= chord[i, 2]


@compiled
def _forces(
    h: Array, load: Array, outboard: Array, span: Array, chord: Array, cosine: Array, sine: Array, force: Array
) -> None:
    """``F . t`` and ``F . n`` times weight and length, n = dt/dtheta, F all force outboard of a Gauss point.

    F is the pull, weight, and ``T (d - u)`` of a line that crosses along u and leaves along d.
    """
    px, py, g = load[PULL_X], load[PULL_Y], load[GRAVITY]
    force[LINE:] = 0.0
    if len(chord):
        for e in range(len(h)):
            if span[e] >= 0:
                force[LINE, e] = load[LINE_X] - load[TENSION] * chord[span[e], 0]
                force[LINE + 1, e] = load[LINE_Y] - load[TENSION] * chord[span[e], 1]
    for q in range(3):
        for e in range(len(h)):
            fx, fy, part = px + force[LINE, e], py + force[LINE + 1, e] - g * outboard[q, e], WEIGHT[q] * h[e]
            force[q, e] = part * (fx * cosine[q, e] + fy * sine[q, e])
            force[ACROSS + q, e] = part * (fy * cosine[q, e] - fx * sine[q, e])


@compiled
def _condense(stiff: Array, force: Array, theta: Array, bubble: Array, work: Array) -> None:
    """``V'`` and ``V''`` of every element, less its two inner unknowns, which go with the angles at its nodes.

    ``V'_i = int EI theta' phi_i' - F.n phi_i ds`` and ``V''_ij = int EI phi_i' phi_j' + F.t phi_i phi_j ds``.
    """
    (A0, B0, P0, Q0), (_, _, P1, _), (A2, B2, P2, Q2) = SHAPE  # in the middle they are 0.5, 0.5, P1, 0
    for e in range(bubble.shape[1]):
        i00, i01, i02, i11, i12, i22 = stiff[0, e], stiff[1, e], stiff[2, e], stiff[3, e], stiff[4, e], stiff[5, e]
        t0, t1, t2, n0, n1, n2 = force[0, e], force[1, e], force[2, e], force[3, e], force[4, e], force[5, e]
        bend, c1, c2 = theta[e + 1] - theta[e], bubble[0, e], bubble[1, e]
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
        v11, v12, v22 = k22 / det, -k12 / det, k11 / det
        ga1, ga2 = v11 * a1 + v12 * a2, v12 * a1 + v22 * a2
        gb1, gb2 = v11 * b1 + v12 * b2, v12 * b1 + v22 * b2
        work[G1, e], work[G2, e] = v11 * r1 + v12 * r2, v12 * r1 + v22 * r2
        work[GA1, e], work[GA2, e], work[GB1, e], work[GB2, e] = ga1, ga2, gb1, gb2
        work[AA, e] = i00 + A0 * A0 * t0 + 0.25 * t1 + A2 * A2 * t2 - a1 * ga1 - a2 * ga2
        work[AB, e] = -i00 + A0 * B0 * t0 + 0.25 * t1 + A2 * B2 * t2 - a1 * gb1 - a2 * gb2
        work[BB, e] = i00 + B0 * B0 * t0 + 0.25 * t1 + B2 * B2 * t2 - b1 * gb1 - b2 * gb2
        work[RA, e] = -moment - A0 * n0 - 0.5 * n1 - A2 * n2 - ga1 * r1 - ga2 * r2
        work[RB, e] = moment - B0 * n0 - 0.5 * n1 - B2 * n2 - gb1 * r1 - gb2 * r2
        work[V11, e], work[V12, e], work[V22, e], work[K11, e], work[DET, e] = v11, v12, v22, k11, det


@compiled
def _step(
    h: Array, stiff: Array, outboard: Array, span: Array, load: Array, theta: Array, bubble: Array, room: Array
) -> tuple[float, bool]:
    """One step of Newton, ``V'' delta = -V'``: the largest change of angle, and whether V'' is positive definite.

    Every span of line adds ``(T/|c|) b b^T`` to V'', ``b_i = int u.t phi_i ds``, taken up at the end. Without it
    what is left of V'' at the nodes is tridiagonal, L D L^T.
    """
    cosine, sine, force, work, chord, rows, lines, schur, wanted = room
    elements, spans = len(h), len(chord)
    _turn(theta, bubble, cosine, sine)
    _chords(h, span, cosine, sine, chord)
    _forces(h, load, outboard, span, chord, cosine, sine, force)
    _condense(stiff, force, theta, bubble, work)
    if spans:
        _levers(h, span, chord, cosine, sine, work, lines, schur, wanted)
    pivots, factors, delta = rows
    negative = 0
    pivot, right = HELD, 0.0  # the clamp holds node 0
    for e in range(elements):
        pivot += work[AA, e]
        right -= work[RA, e]
        pivots[e], share = pivot, 1 / pivot
        factors[e], delta[e] = work[AB, e] * share, right * share
        right = -work[RB, e] - factors[e] * right
        pivot = work[BB, e] - factors[e] * work[AB, e]
    pivots[elements], delta[elements] = pivot, (right + load[COUPLE]) / pivot
    for e in range(elements):
        negative += (work[K11, e] < 0) + (work[K11, e] * work[DET, e] < 0) + (pivots[e + 1] < 0)
    for e in range(elements - 1, -1, -1):
        delta[e] -= factors[e] * delta[e + 1]
    delta[0] = 0.0
    if spans:
        negative -= _line_across(rows, lines, chord, load[TENSION], schur, wanted)
    largest = max(delta.max(), -delta.min())
    for e in range(elements):
        da, db = delta[e], delta[e + 1]
        work[G1, e] += work[GA1, e] * da + work[GB1, e] * db
        work[G2, e] += work[GA2, e] * da + work[GB2, e] * db
        if span[e] >= 0:
            work[G1, e] += work[GP1, e] * wanted[span[e]]
            work[G2, e] += work[GP2, e] * wanted[span[e]]
    if largest > FARTHEST:  # too far for a linear step: the more an angle would turn, the more it is held back
        work[G1 : G2 + 1] *= (1 + ((delta[1:] + delta[:-1]) / (2 * STRAIGHT_DOWN)) ** 2) ** -1.5
        delta /= np.sqrt(1 + (delta / STRAIGHT_DOWN) ** 2)
    theta += delta
    bubble -= work[G1 : G2 + 1]
    return largest, negative == 0


@compiled
def _levers(
    h: Array,
    span: Array,
    chord: Array,
    cosine: Array,
    sine: Array,
    work: Array,
    lines: Array,
    schur: Array,
    wanted: Array,
) -> None:
    """``b_i = int u.t phi_i ds`` of every span of line, less what the inner unknowns of the elements take of it."""
    for array in (lines.ravel(), schur.ravel(), wanted):
        array[:] = 0.0
    for e in range(len(h)):
        i = span[e]
        if i >= 0:
            pa = pb = p1 = p2 = 0.0
            for q in range(3):
                lever = WEIGHT[q] * h[e] * (chord[i, 0] * cosine[q, e] + chord[i, 1] * sine[q, e])
                na, nb, n1, n2 = SHAPE[q]
                pa, pb, p1, p2 = pa + lever * na, pb + lever * nb, p1 + lever * n1, p2 + lever * n2
            work[GP1, e] = work[V11, e] * p1 + work[V12, e] * p2
            work[GP2, e] = work[V12, e] * p1 + work[V22, e] * p2
            lines[0, e, i] += pa - work[GA1, e] * p1 - work[GA2, e] * p2
            lines[0, e + 1, i] += pb - work[GB1, e] * p1 - work[GB2, e] * p2
            schur[i, i] += p1 * work[GP1, e] + p2 * work[GP2, e]
            wanted[i] -= p1 * work[G1, e] + p2 * work[G2, e]


@compiled
def _line_across(rows: Array, lines: Array, chord: Array, tension: float, schur: Array, wanted: Array) -> int:
    """What the line's turning adds: ``(A + B C B^T)^-1 r = y - A^-1 B (C^-1 + B^T A^-1 B)^-1 B^T y``, y = A^-1 r.

    Changes y, the third of ``rows``, in place; leaves the small system's solution in ``wanted``. Gives the
    negative pivots of the small system: the whole has as many as A has more than that.
    """
    elements, spans = rows.shape[1] - 1, len(chord)
    for i in range(spans):
        solved = lines[1, :, i]
        solved[:] = lines[0, :, i]
        for e in range(1, elements):
            solved[e + 1] -= rows[1, e] * solved[e]
            solved[e] /= rows[0, e]
        solved[elements] /= rows[0, elements]
        for e in range(elements - 1, 0, -1):
            solved[e] -= rows[1, e] * solved[e + 1]
        solved[0] = 0.0
        schur[i, i] += chord[i, 2] / tension
    for e in range(1, elements + 1):
        for i in range(spans):
            wanted[i] += lines[0, e, i] * rows[2, e]
            for j in range(spans):
                schur[i, j] += lines[0, e, i] * lines[1, e, j]
    negative = eliminate(schur, wanted)
    for e in range(1, elements + 1):
        for i in range(spans):
            rows[2, e] -= lines[1, e, i] * wanted[i]
    return negative


@compiled
def _room(elements: int, spans: int) -> Any:
    """The arrays a step of Newton works in."""
    turned, force, work = np.empty((2, 3, elements)), np.empty((LINE + 2, elements)), np.empty((ROWS, elements))
    chord, rows, lines = np.empty((spans, 3)), np.empty((3, elements + 1)), np.empty((2, elements + 1, spans))
    small = np.empty((spans + 1, spans))
    return turned[0], turned[1], force, work, chord, rows, lines, small[:spans], small[spans]


@compiled
def _only_one(outboard: Array, span: Array, load: Array, cosine: Array, sine: Array, theta: Array) -> bool:
    """True if no other shape can rest here with every part within a right angle of the force on it.

    Where F.t >= 0 along the shape and along the straight rod, both lie in one convex set of shapes on which V is
    convex: it has one minimum there. Holds for what hangs from a rod held level or lower, whatever its size.
    """
    straight_x, straight_y = cos(load[ANGLE]), sin(load[ANGLE])
    for e in range(len(span)):
        if span[e] >= 0 or not abs(theta[e + 1] - load[ANGLE]) < 3.1:
            return False
        for q in range(3):
            fx, fy = load[PULL_X], load[PULL_Y] - load[GRAVITY] * outboard[q, e]
            little = -1e-9 * (abs(fx) + abs(fy))
            if fx * cosine[q, e] + fy * sine[q, e] < little or fx * straight_x + fy * straight_y < little:
                return False
    return bool(load[COUPLE] == 0.0)


@compiled
def _follow(rod: Any, start: Array, end: Array, theta: Array, bubble: Array, most: int) -> tuple[int, int]:
    """From the rest under the load ``start`` to the rest under ``end``; ``theta`` and ``bubble`` go along.

    The whole way is tried at once; where that leads too far, or over a shape that is not stable, in halves.
    Tells how it ended and how many steps of Newton it took.
    """
    h, stiff, outboard, span = rod
    room = _room(len(h), span.max() + 1)
    kept_theta, kept_bubble = theta.copy(), bubble.copy()
    there, stride, ended, steps = 0.0, 1.0, DONE, 0
    for _ in range(most):
        load = start + (there + stride) * (end - start) if there + stride < 1.0 else end
        ended = OVER_BUDGET
        for _ in range(NEWTON_BUDGET):
            change, stable = _step(h, stiff, outboard, span, load, theta, bubble, room)
            steps += 1
            if not stable:
                ended = NOT_STABLE
                break
            if change < SETTLED:
                ended = DONE
                break
        if ended == DONE and not (
            np.abs(theta - kept_theta).max() <= FARTHEST or _only_one(outboard, span, load, room[0], room[1], theta)
        ):
            ended = TOO_FAR
        if ended == DONE:
            there += stride
            if there >= 1.0:
                return DONE, steps
            kept_theta[:] = theta
            kept_bubble[:] = bubble
            stride = min(2 * stride, 1.0 - there)
        else:
            theta[:] = kept_theta
            bubble[:] = kept_bubble
            stride /= 2
            if stride < SMALLEST_STEP:
                break
    return ended, steps


@compiled
def rest(
    h: Array, stiff: Array, outboard: Array, span: Array, no_span: Array, before: Array, load: Array, start: Array
) -> tuple[int, int, Array, float]:
    """Where the rod comes to rest under ``load``, from the rest ``start`` under ``before``.

    ``start`` and the shape have a row for each node: theta, c1 and c2 of the element behind the node, x, y, M. From
    the straight rod all of the load comes at once if that leads to the only rest there is; else first its
    weight and then the rest. Gives how it ended, the steps of Newton, the shape, and the energy of bending [J].
    """
    under = span if load[TENSION] > 0 else no_span
    straight = np.abs(before[PULL_X:]).max() == 0.0
    weight = before.copy()
    weight[GRAVITY] = load[GRAVITY]
    theta, bubble = np.empty(len(start)), np.empty((2, len(h)))
    stiff, outboard = stiff.T.copy(), outboard.T.copy()  # element beside element, as vectors want them
    ended, steps = TOO_FAR, 0
    for way in range(3):  # all at once; else weight first; then the rest of the load
        if way < 2:
            theta[:], bubble[:] = start[:, 0], start[:-1, 1:3].T
        begin = weight if way == 2 else before
        end = weight if way == 1 else load
        rod = (h, stiff, outboard, no_span if way == 1 else under)
        budget = 1 if way == 0 and straight else LOAD_BUDGET
        ended, more = _follow(rod, begin, end, theta, bubble, budget)
        steps += more
        if not straight or (ended == DONE) == (way != 1):
            break
    shape = np.zeros((len(theta), 6))
    shape[:, 0], shape[:-1, 1:3] = theta, bubble.T
    energy = _recover(h, stiff, outboard, under, load, theta, bubble, shape)
    return ended, steps, shape, energy


@compiled
def _recover(
    h: Array, stiff: Array, outboard: Array, span: Array, load: Array, theta: Array, bubble: Array, shape: Array
) -> float:
    """Places and moments at the nodes, ``x, y = int t ds``, ``M_b = dV_e/dtheta_b``, and the energy of bending.

    The balance of an element gives its moments to the order of the nodes, h^6; ``EI theta'`` would be of order h^3.
    """
    cosine, sine, force, _, chord, _, _, _, _ = _room(len(h), span.max() + 1)
    _turn(theta, bubble, cosine, sine)
    _chords(h, span, cosine, sine, chord)
    _forces(h, load, outboard, span, chord, cosine, sine, force)
    x, y, moment = shape[:, 3], shape[:, 4], shape[:, 5]
    energy = 0.0
    for e in range(len(h)):
        i00, i01, i02, i11, i12, i22 = stiff[:, e]
        bend, c1, c2 = theta[e + 1] - theta[e], bubble[0, e], bubble[1, e]
        rb = i00 * bend + i01 * c1 + i02 * c2
        energy += 0.5 * (bend * rb + c1 * (i01 * bend + i11 * c1 + i12 * c2) + c2 * (i02 * bend + i12 * c1 + i22 * c2))
        ra = -rb
        x[e + 1], y[e + 1] = x[e], y[e]
        for q in range(3):
            ra -= force[ACROSS + q, e] * SHAPE[q][0]
            rb -= force[ACROSS + q, e] * SHAPE[q][1]
            x[e + 1] += WEIGHT[q] * h[e] * cosine[q, e]
            y[e + 1] += WEIGHT[q] * h[e] * sine[q, e]
        if e == 0:
            moment[0] = -ra
        moment[e + 1] = rb
    return energy

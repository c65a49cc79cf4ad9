"""Compiled kernels of the bent rod: loops over a few dozen elements, each under its equation.

Everything here takes plain arrays of SI floats; :mod:`culmwright.mechanics.beam` makes them and
:mod:`culmwright.mechanics.statics` asks. One module holds all of it, since numba's cache looks at the file of the
function that is called and not at other files that it calls. The tests hold each kernel to a slow twin in numpy.

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

from culmwright.mechanics.compiling import compiled

XI = (0.5 - sqrt(0.15), 0.5, 0.5 + sqrt(0.15))
"""Gauss's three points on 0 to 1: with cubics their error is of the order of the elements' own, h^6 at the nodes."""
WEIGHT = (5 / 18, 8 / 18, 5 / 18)
SHAPE = tuple((1 - x, x, x * x - x, 2 * x**3 - 3 * x * x + x) for x in XI)

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
def _turn(theta: Array, bubble: Array, cosine: Array, sine: Array) -> None:
    """``t = (cos theta, sin theta)`` at the Gauss points."""
    for e in range(len(bubble)):
        for q in range(3):
            n = SHAPE[q]
            angle = n[0] * theta[e] + n[1] * theta[e + 1] + n[2] * bubble[e, 0] + n[3] * bubble[e, 1]
            cosine[e, q] = cos(angle)
            sine[e, q] = sin(angle)


@compiled
def _chords(h: Array, span: Array, cosine: Array, sine: Array, chord: Array) -> None:
    """The line between two guides, ``c = int t ds`` over the rod between them: its direction u and length |c|."""
    chord[:] = 0.0
    for e in range(len(h)):
        i = span[e]
        if i >= 0:
            for q in range(3):
                chord[i, 0] += WEIGHT[q] * h[e] * cosine[e, q]
                chord[i, 1] += WEIGHT[q] * h[e] * sine[e, q]
    for i in range(len(chord)):
        length = sqrt(chord[i, 0] ** 2 + chord[i, 1] ** 2)
        chord[i, 0] /= length
        chord[i, 1] /= length
        chord[i, 2] = length


@compiled
def _force(e: int, q: int, load: Array, outboard: Array, span: Array, chord: Array) -> tuple[float, float]:
    """All force outboard of a Gauss point: the pull, weight, and ``T (d - u)`` of a line that crosses along u."""
    fx = load[PULL_X]
    fy = load[PULL_Y] - load[GRAVITY] * outboard[e, q]
    i = span[e]
    if i >= 0:
        fx += load[LINE_X] - load[TENSION] * chord[i, 0]
        fy += load[LINE_Y] - load[TENSION] * chord[i, 1]
    return fx, fy


@compiled
def _eliminate(matrix: Array, vector: Array) -> int:
    """Solve a small symmetric system in place; the number of negative pivots (Sylvester's law of inertia)."""
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


@compiled
def _step(
    h: Array, stiff: Array, outboard: Array, span: Array, load: Array, theta: Array, bubble: Array, room: Array
) -> tuple[float, bool]:
    """One step of Newton, ``V'' delta = -V'``: the largest change of angle, and whether V'' is positive definite.

    ``V'_i = int EI theta' phi_i' - F.n phi_i ds`` and ``V''_ij = int EI phi_i' phi_j' + F.t phi_i phi_j ds``, with
    n = dt/dtheta; every span of line adds ``(T/|c|) b b^T``, ``b_i = int u.t phi_i ds``, taken up at the end. The two
    inner unknowns of each element are eliminated first; what is left is tridiagonal, L D L^T.
    """
    cosine, sine, chord, rows, inner, lines, schur, wanted = room
    elements, spans = len(h), len(chord)
    _turn(theta, bubble, cosine, sine)
    _chords(h, span, cosine, sine, chord)
    rows[:] = 0.0
    lines[:] = 0.0
    schur[:] = 0.0
    wanted[:] = 0.0
    negative = 0
    rows[elements, 2] = load[COUPLE]
    for e in range(elements):
        i00, i01, i02, i11, i12, i22 = stiff[e]
        bend = theta[e + 1] - theta[e]
        c1, c2 = bubble[e]
        rb = i00 * bend + i01 * c1 + i02 * c2
        ra = -rb
        r1 = i01 * bend + i11 * c1 + i12 * c2
        r2 = i02 * bend + i12 * c1 + i22 * c2
        aa, ab, bb = i00, -i00, i00
        a1, b1, a2, b2 = -i01, i01, -i02, i02
        k11, k12, k22 = i11, i12, i22
        for q in range(3):
            fx, fy = _force(e, q, load, outboard, span, chord)
            along = WEIGHT[q] * h[e] * (fx * cosine[e, q] + fy * sine[e, q])
            across = WEIGHT[q] * h[e] * (fy * cosine[e, q] - fx * sine[e, q])
            na, nb, n1, n2 = SHAPE[q]
            ra -= across * na
            rb -= across * nb
            r1 -= across * n1
            r2 -= across * n2
            aa += along * (na * na)
            ab += along * (na * nb)
            bb += along * (nb * nb)
            a1 += along * (na * n1)
            b1 += along * (nb * n1)
            a2 += along * (na * n2)
            b2 += along * (nb * n2)
            k11 += along * (n1 * n1)
            k12 += along * (n1 * n2)
            k22 += along * (n2 * n2)
        det = k11 * k22 - k12 * k12
        negative += (k11 < 0) + (k11 * det < 0)
        v11, v12, v22 = k22 / det, -k12 / det, k11 / det
        g1, g2 = v11 * r1 + v12 * r2, v12 * r1 + v22 * r2
        ga1, ga2 = v11 * a1 + v12 * a2, v12 * a1 + v22 * a2
        gb1, gb2 = v11 * b1 + v12 * b2, v12 * b1 + v22 * b2
        inner[e, 0], inner[e, 1], inner[e, 2] = g1, ga1, gb1
        inner[e, 3], inner[e, 4], inner[e, 5] = g2, ga2, gb2
        rows[e, 0] += aa - a1 * ga1 - a2 * ga2
        rows[e, 1] = ab - a1 * gb1 - a2 * gb2
        rows[e, 2] -= ra - a1 * g1 - a2 * g2
        rows[e + 1, 0] += bb - b1 * gb1 - b2 * gb2
        rows[e + 1, 2] -= rb - b1 * g1 - b2 * g2
        i = span[e]
        if i >= 0:
            pa = pb = p1 = p2 = 0.0
            for q in range(3):
                lever = WEIGHT[q] * h[e] * (chord[i, 0] * cosine[e, q] + chord[i, 1] * sine[e, q])
                pa += lever * SHAPE[q][0]
                pb += lever * SHAPE[q][1]
                p1 += lever * SHAPE[q][2]
                p2 += lever * SHAPE[q][3]
            gp1, gp2 = v11 * p1 + v12 * p2, v12 * p1 + v22 * p2
            inner[e, 6], inner[e, 7] = gp1, gp2
            lines[0, e, i] += pa - a1 * gp1 - a2 * gp2
            lines[0, e + 1, i] += pb - b1 * gp1 - b2 * gp2
            schur[i, i] += p1 * gp1 + p2 * gp2
            wanted[i] -= p1 * g1 + p2 * g2
    for e in range(1, elements):  # the clamp holds node 0: its row is left out
        negative += rows[e, 0] < 0
        factor = rows[e, 1] / rows[e, 0]
        rows[e + 1, 0] -= factor * rows[e, 1]
        rows[e + 1, 2] -= factor * rows[e, 2]
        rows[e, 2] /= rows[e, 0]
        rows[e, 1] = factor
    negative += rows[elements, 0] < 0
    rows[elements, 2] /= rows[elements, 0]
    for e in range(elements - 1, 0, -1):
        rows[e, 2] -= rows[e, 1] * rows[e + 1, 2]
    rows[0, 2] = 0.0
    if spans:
        negative -= _line_across(rows, lines, chord, load[TENSION], schur, wanted)
    largest = 0.0
    for e in range(1, elements + 1):
        largest = max(largest, abs(rows[e, 2]))
    for e in range(elements):
        da, db = rows[e, 2], rows[e + 1, 2]
        d1 = inner[e, 0] + inner[e, 1] * da + inner[e, 2] * db
        d2 = inner[e, 3] + inner[e, 4] * da + inner[e, 5] * db
        if span[e] >= 0:
            d1 += inner[e, 6] * wanted[span[e]]
            d2 += inner[e, 7] * wanted[span[e]]
        if largest > FARTHEST:  # too far for a linear step: the more an angle would turn, the more it is held back
            theta[e + 1] += db / sqrt(1 + (db / STRAIGHT_DOWN) ** 2)
            part = (1 + ((da + db) / (2 * STRAIGHT_DOWN)) ** 2) ** -1.5
            bubble[e, 0] -= part * d1
            bubble[e, 1] -= part * d2
        else:
            theta[e + 1] += db
            bubble[e, 0] -= d1
            bubble[e, 1] -= d2
    return largest, negative == 0


@compiled
def _line_across(rows: Array, lines: Array, chord: Array, tension: float, schur: Array, wanted: Array) -> int:
    """What the line's turning adds: ``(A + B C B^T)^-1 r = y - A^-1 B (C^-1 + B^T A^-1 B)^-1 B^T y``, y = A^-1 r.

    Changes y, the third column of ``rows``, in place; leaves the small system's solution in ``wanted``. Gives the
    negative pivots of the small system: the whole has as many as A has more than that.
    """
    elements, spans = len(rows) - 1, len(chord)
    for i in range(spans):
        solved = lines[1, :, i]
        solved[:] = lines[0, :, i]
        for e in range(1, elements):
            solved[e + 1] -= rows[e, 1] * solved[e]
            solved[e] /= rows[e, 0]
        solved[elements] /= rows[elements, 0]
        for e in range(elements - 1, 0, -1):
            solved[e] -= rows[e, 1] * solved[e + 1]
        solved[0] = 0.0
        schur[i, i] += chord[i, 2] / tension
    for e in range(1, elements + 1):
        for i in range(spans):
            wanted[i] += lines[0, e, i] * rows[e, 2]
            for j in range(spans):
                schur[i, j] += lines[0, e, i] * lines[1, e, j]
    negative = _eliminate(schur, wanted)
    for e in range(1, elements + 1):
        for i in range(spans):
            rows[e, 2] -= lines[1, e, i] * wanted[i]
    return negative


@compiled
def _room(elements: int, spans: int) -> Any:
    """The arrays a step of Newton works in."""
    turned, rows, inner = np.empty((2, elements, 3)), np.empty((elements + 1, 3)), np.empty((elements, 8))
    chord, lines, small = np.empty((spans, 3)), np.empty((2, elements + 1, spans)), np.empty((spans + 1, spans))
    return turned[0], turned[1], chord, rows, inner, lines, small[:spans], small[spans]


@compiled
def _only_one(outboard: Array, span: Array, load: Array, cosine: Array, sine: Array, theta: Array) -> bool:
    """True if no other shape can rest here with every part within a right angle of the force on it.

    Where F.t >= 0 along the shape and along the straight rod, both lie in one convex set of shapes on which V is
    convex: it has one minimum there. Holds for what hangs from a rod held level or lower, whatever its size.
    """
    straight_x, straight_y = cos(load[ANGLE]), sin(load[ANGLE])
    for e in range(len(outboard)):
        if span[e] >= 0 or not abs(theta[e + 1] - load[ANGLE]) < 3.1:
            return False
        for q in range(3):
            fx, fy = load[PULL_X], load[PULL_Y] - load[GRAVITY] * outboard[e, q]
            little = -1e-9 * (abs(fx) + abs(fy))
            if fx * cosine[e, q] + fy * sine[e, q] < little or fx * straight_x + fy * straight_y < little:
                return False
    return bool(load[COUPLE] == 0.0)


@compiled
def _follow(
    h: Array,
    stiff: Array,
    outboard: Array,
    span: Array,
    start: Array,
    end: Array,
    theta: Array,
    bubble: Array,
    most: int,
) -> tuple[int, int]:
    """From the rest under the load ``start`` to the rest under ``end``; ``theta`` and ``bubble`` go along.

    The whole way is tried at once; where that leads too far, or over a shape that is not stable, in halves.
    Tells how it ended and how many steps of Newton it took.
    """
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
    theta, bubble = np.empty(len(start)), np.empty((len(h), 2))
    ended, steps = TOO_FAR, 0
    for way in range(3):  # all at once; else weight first; then the rest of the load
        if way < 2:
            theta[:], bubble[:] = start[:, 0], start[:-1, 1:3]
        begin = weight if way == 2 else before
        end = weight if way == 1 else load
        budget = 1 if way == 0 and straight else LOAD_BUDGET
        ended, more = _follow(h, stiff, outboard, no_span if way == 1 else under, begin, end, theta, bubble, budget)
        steps += more
        if not straight or (ended == DONE) == (way != 1):
            break
    shape = np.zeros((len(theta), 6))
    shape[:, 0], shape[:-1, 1:3] = theta, bubble
    energy = _recover(h, stiff, outboard, under, load, theta, bubble, shape)
    return ended, steps, shape, energy


@compiled
def _recover(
    h: Array, stiff: Array, outboard: Array, span: Array, load: Array, theta: Array, bubble: Array, shape: Array
) -> float:
    """Places and moments at the nodes, ``x, y = int t ds``, ``M_b = dV_e/dtheta_b``, and the energy of bending.

    The balance of an element gives its moments to the order of the nodes, h^6; ``EI theta'`` would be of order h^3.
    """
    cosine, sine = np.empty((len(h), 3)), np.empty((len(h), 3))
    chord = np.empty((span.max() + 1, 3))
    _turn(theta, bubble, cosine, sine)
    _chords(h, span, cosine, sine, chord)
    x, y, moment = shape[:, 3], shape[:, 4], shape[:, 5]
    energy = 0.0
    for e in range(len(h)):
        i00, i01, i02, i11, i12, i22 = stiff[e]
        bend = theta[e + 1] - theta[e]
        c1, c2 = bubble[e]
        rb = i00 * bend + i01 * c1 + i02 * c2
        ra = -rb
        energy += 0.5 * (bend * rb + c1 * (i01 * bend + i11 * c1 + i12 * c2) + c2 * (i02 * bend + i12 * c1 + i22 * c2))
        x[e + 1], y[e + 1] = x[e], y[e]
        for q in range(3):
            fx, fy = _force(e, q, load, outboard, span, chord)
            across = WEIGHT[q] * h[e] * (fy * cosine[e, q] - fx * sine[e, q])
            ra -= across * SHAPE[q][0]
            rb -= across * SHAPE[q][1]
            x[e + 1] += WEIGHT[q] * h[e] * cosine[e, q]
            y[e + 1] += WEIGHT[q] * h[e] * sine[e, q]
        if e == 0:
            moment[0] = -ra
        moment[e + 1] = rb
    return energy

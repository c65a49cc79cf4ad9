"""Compiled kernels of a line that runs through the guides of a bent rod, with a tension T equal all along it.

Its part of the potential is T times the length of line between guides. It couples all elements under a span of line, by
one unknown a span.
"""

from __future__ import annotations

from math import sqrt
from typing import Any

from culmwright.mechanics._block import (
    G1,
    G2,
    GA1,
    GA2,
    GB1,
    GB2,
    GP1,
    GP2,
    K0,
    K1,
    K2,
    LENGTH,
    N0,
    S0,
    S1,
    S2,
    T0,
    V11,
    V12,
    V22,
    at,
    swept_in,
    swept_out,
)
from culmwright.mechanics._element import SHAPE, WEIGHT
from culmwright.mechanics.beam import LANES
from culmwright.mechanics.compiling import compiled

TENSION, LINE_X, LINE_Y = range(4, 7)
"""Places in a load: tension, tension times its outer direction."""
UX, UY, CHORD, WANTED, SMALL = range(5)
"""Columns of a span of line: its direction and length, the unknown it adds, its row of the small system of those."""

Array = Any


@compiled
def line_forces(span: Array, load: Array, line: Array, work: Array) -> None:
    """The line between two guides, ``c = int t ds`` over the rod between them: its direction u and length |c|.

    It crosses a cut along u and leaves the rod along d, so that it adds ``T (d - u)`` [N] to F.
    """
    line[:] = 0.0
    for e in range(len(span)):
        w = work[at(e) :]
        if span[e] >= 0:
            line[span[e], UX] += w[LENGTH] * (WEIGHT[0] * (w[K0] + w[K2]) + WEIGHT[1] * w[K1])
            line[span[e], UY] += w[LENGTH] * (WEIGHT[0] * (w[S0] + w[S2]) + WEIGHT[1] * w[S1])
    for c in line:
        c[CHORD] = sqrt(c[UX] ** 2 + c[UY] ** 2)
        c[UX] /= c[CHORD]
        c[UY] /= c[CHORD]
    for e in range(len(span)):
        w = work[at(e) :]
        if span[e] >= 0:
            c = line[span[e]]
            fx, fy = load[LINE_X] - load[TENSION] * c[UX], load[LINE_Y] - load[TENSION] * c[UY]
            for q in range(0, 3 * LANES, LANES):
                k, s, part = w[K0 + q], w[S0 + q], (WEIGHT[1] if q == LANES else WEIGHT[0]) * w[LENGTH]
                w[T0 + q] += part * (fx * k + fy * s)
                w[N0 + q] += part * (fy * k - fx * s)


@compiled
def levers(span: Array, work: Array, rows: Array, line: Array) -> None:
    """``b_i = int u.t phi_i ds`` [m] of every span of line, less what the inner unknowns of the elements take of it."""
    rows[3 : 3 + len(line)] = 0.0
    for e in range(len(span)):
        w = work[at(e) :]
        if span[e] >= 0:
            across, c = rows[3 + span[e]], line[span[e]]
            pa = pb = p1 = p2 = 0.0
            for q in range(3):
                lever = WEIGHT[q] * w[LENGTH] * (c[UX] * w[K0 + q * LANES] + c[UY] * w[S0 + q * LANES])
                na, nb, n1, n2 = SHAPE[q]
                pa, pb, p1, p2 = pa + lever * na, pb + lever * nb, p1 + lever * n1, p2 + lever * n2
            w[GP1] = w[V11] * p1 + w[V12] * p2
            w[GP2] = w[V12] * p1 + w[V22] * p2
            across[e] += pa - w[GA1] * p1 - w[GA2] * p2
            across[e + 1] += pb - w[GB1] * p1 - w[GB2] * p2
            c[SMALL + span[e]] += p1 * w[GP1] + p2 * w[GP2]
            c[WANTED] -= p1 * w[G1] + p2 * w[G2]


@compiled
def line_across(span: Array, work: Array, rows: Array, line: Array, tension: float) -> int:
    """What the line's turning adds: ``(A + B C B^T)^-1 r = y - A^-1 B (C^-1 + B^T A^-1 B)^-1 B^T y``, y = A^-1 r.

    C is ``tension`` [N] over |c|. Changes y, the third of ``rows``, and the steps of the inner unknowns in place. Gives
    the negative pivots of the small system: the whole has as many as A has more than that.
    """
    spans, nodes, delta = len(line), rows.shape[1], rows[2]
    across, solved = rows[3 : 3 + spans], rows[3 + spans :]
    for i in range(spans):
        solved[i] = across[i]
        swept_in(rows, solved[i])
        swept_out(rows, solved[i])
    for i in range(spans):
        line[i, SMALL + i] += line[i, CHORD] / tension
        for node in range(1, nodes):
            line[i, WANTED] += across[i, node] * delta[node]
            for j in range(spans):
                line[i, SMALL + j] += across[i, node] * solved[j, node]
    negative = eliminate(line[:, SMALL:], line[:, WANTED])
    for i in range(spans):
        for node in range(1, nodes):
            delta[node] -= solved[i, node] * line[i, WANTED]
    for e in range(len(span)):
        w = work[at(e) :]
        if span[e] >= 0:
            w[G1] += w[GP1] * line[span[e], WANTED]
            w[G2] += w[GP2] * line[span[e], WANTED]
    return negative


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

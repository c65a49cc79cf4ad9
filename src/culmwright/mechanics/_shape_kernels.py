"""Compiled kernels of the shape of a bent rod: how its blocks turn, what they start from, and a step added to them.

``t = (cos theta, sin theta)``; the cubic of an element stands in :mod:`culmwright.mechanics._kernels`.
"""

from __future__ import annotations

from math import cos, sin, sqrt
from typing import Any

from culmwright.mechanics._block import (
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
    K0,
    K1,
    K2,
    MASS_1,
    MASS_2,
    MASS_A,
    MASS_B,
    PULL_1,
    PULL_2,
    PULL_A,
    PULL_B,
    S0,
    S1,
    S2,
    SIZE,
    TA,
    TB,
    at,
)
from culmwright.mechanics._element import A0, A2, B0, B2, P0, P1, P2, Q0, Q2, sine_cosine
from culmwright.mechanics.beam import LANES
from culmwright.mechanics.compiling import compiled

ANGLE, PULL_X, PULL_Y, GRAVITY, TENSION, LINE_X, LINE_Y, COUPLE = range(8)
"""Places in a load: angle of the clamp, force at the tip, g, tension, tension times its outer direction, couple."""
STRAIGHT_DOWN = 1.57
"""What the angles of a first, linear step tend to [rad] where it goes too far."""
SOFTENED = 0.3
"""How much less than linear a small bend grows [1/rad]: about what a cantilever of any taper does under a hung load."""
Array = Any


@compiled
def turn(work: Array) -> None:
    """``t = (cos theta, sin theta)`` [-] at the Gauss points."""
    for first in range(0, len(work), SIZE):
        w = work[first : first + SIZE]
        for i in range(LANES):
            ta, tb, c1, c2 = w[TA + i], w[TB + i], w[C1 + i], w[C2 + i]
            w[S0 + i], w[K0 + i] = sine_cosine(A0 * ta + B0 * tb + P0 * c1 + Q0 * c2)
            w[S1 + i], w[K1 + i] = sine_cosine(0.5 * (ta + tb) + P1 * c1)
            w[S2 + i], w[K2 + i] = sine_cosine(A2 * ta + B2 * tb + P2 * c1 + Q2 * c2)


@compiled
def lean(load: Array, work: Array) -> None:
    """Give the blocks a first guess [rad] and turn to it: how far what pulls across bends the straight rod, held back.

    A line through the guides or a couple bend it otherwise: from those it starts straight.
    """
    straight, cosine, sine = load[ANGLE], cos(load[ANGLE]), sin(load[ANGLE])
    alone = 1.0 if load[TENSION] == 0.0 and load[COUPLE] == 0.0 else 0.0
    pull, weight = alone * (load[PULL_Y] * cosine - load[PULL_X] * sine), -alone * load[GRAVITY] * cosine
    for first in range(0, len(work), SIZE):
        w = work[first : first + SIZE]
        for i in range(LANES):
            da = pull * w[PULL_A + i] + weight * w[MASS_A + i]
            db = pull * w[PULL_B + i] + weight * w[MASS_B + i]
            mean = 0.5 * abs(da + db)
            softer = 1 + SOFTENED * mean + (mean / STRAIGHT_DOWN) ** 2
            slope = (1 + 0.5 * SOFTENED * mean) / (softer * sqrt(softer))
            w[TA + i] = straight + da / sqrt(1 + SOFTENED * abs(da) + (da / STRAIGHT_DOWN) ** 2)
            w[TB + i] = straight + db / sqrt(1 + SOFTENED * abs(db) + (db / STRAIGHT_DOWN) ** 2)
            w[C1 + i] = slope * (pull * w[PULL_1 + i] + weight * w[MASS_1 + i])
            w[C2 + i] = slope * (pull * w[PULL_2 + i] + weight * w[MASS_2 + i])
            w[DA + i] = w[DB + i] = 0.0
    turn(work)


@compiled
def take_shape(state: Array, work: Array) -> None:
    """Give the blocks the shape of ``state`` [rad] and turn to it; what they have to spare stays straight."""
    for first in range(0, len(work), SIZE):
        work[first + TA : first + DB + LANES] = 0.0
    for e in range(state.shape[1] - 1):
        w = work[at(e) :]
        w[TA], w[TB], w[C1], w[C2] = state[0, e], state[0, e + 1], state[1, e], state[2, e]
    turn(work)


@compiled
def keep_shape(state: Array, work: Array) -> None:
    """Give ``state`` the shape of the blocks [rad]."""
    for e in range(state.shape[1] - 1):
        w = work[at(e) :]
        state[0, e + 1], state[1, e], state[2, e] = w[TB], w[C1], w[C2]


@compiled
def turned(state: Array, work: Array) -> float:
    """How far the shape of the blocks is from that of ``state``, the largest of the nodes' angles [rad]."""
    turn = 0.0
    for e in range(state.shape[1] - 1):
        turn = max(turn, abs(work[at(e) + TB] - state[0, e + 1]))
    return turn


@compiled
def take(work: Array) -> None:
    """Add a step [rad] to the shape, the inner unknowns with it, and turn to it: faster in one loop than in two."""
    for first in range(0, len(work), SIZE):
        w = work[first : first + SIZE]
        for i in range(LANES):
            da, db = w[DA + i], w[DB + i]
            ta, tb = w[TA + i] + da, w[TB + i] + db
            c1 = w[C1 + i] - (w[G1 + i] + w[GA1 + i] * da + w[GB1 + i] * db)
            c2 = w[C2 + i] - (w[G2 + i] + w[GA2 + i] * da + w[GB2 + i] * db)
            w[TA + i], w[TB + i], w[C1 + i], w[C2 + i] = ta, tb, c1, c2
            w[S0 + i], w[K0 + i] = sine_cosine(A0 * ta + B0 * tb + P0 * c1 + Q0 * c2)
            w[S1 + i], w[K1 + i] = sine_cosine(0.5 * (ta + tb) + P1 * c1)
            w[S2 + i], w[K2 + i] = sine_cosine(A2 * ta + B2 * tb + P2 * c1 + Q2 * c2)


@compiled
def hold_back(work: Array) -> None:
    """Add a step [rad] that is too far for a linear one: the more an angle would turn, the more it is held back."""
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
    turn(work)

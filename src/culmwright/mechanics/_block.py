"""How the elements of one bent rod stand side by side for its kernels, and the three diagonals they make.

Elements stand in blocks of LANES, and all rows of a block at fixed distances in one flat array: only so does the
compiler see that no row runs into another, and makes vectors of the loops over a block.
"""

from __future__ import annotations

from typing import Any

from culmwright.mechanics.beam import GIVEN, LANES, ROWS
from culmwright.mechanics.compiling import compiled, compiled_within

LENGTH, I00, I01, I02, I11, I12, I22, M0, M1, M2 = range(0, 10 * LANES, LANES)
"""Rows of a block as given: h, the integrals of EI, mass outboard of the three points."""
PULL_A, PULL_B, PULL_1, PULL_2, MASS_A, MASS_B, MASS_1, MASS_2 = range(10 * LANES, GIVEN * LANES, LANES)
"""How the straight rod leans, as given: angles at both ends and the inner unknowns for 1 N across its tip, and for
1 m/s^2 across its mass."""
TA, TB, C1, C2, DA, DB = range(GIVEN * LANES, (GIVEN + 6) * LANES, LANES)
"""The shape, theta at both ends and the inner unknowns, and how far the ends turn in a step."""
K0, K1, K2, S0, S1, S2, T0, T1, T2, N0, N1, N2 = range((GIVEN + 6) * LANES, (GIVEN + 18) * LANES, LANES)
"""t at three points, x and y; weight times length times F.t, and F.n."""
AA, AB, BB, RA, RB, G1, G2, GA1, GB1, GA2, GB2, V11, V12, V22, NEGATIVE, GP1, GP2 = range(
    (GIVEN + 18) * LANES, ROWS * LANES, LANES
)
"""What an element is without its inner unknowns; those change by ``-(G + GA da + GB db + GP wanted)``."""
MOMENT_A, MOMENT_B, ACROSS_X, ACROSS_Y = AA, AB, BB, RA
"""The same rows, once the rod is at rest: what there is to tell of an element."""
SIZE = ROWS * LANES

Array = Any


@compiled_within
def at(e: int) -> int:
    """Where element ``e`` stands in the first row of its block."""
    return e // LANES * SIZE + e % LANES


@compiled
def factored(elements: int, work: Array, couple: float, rows: Array) -> int:
    """``V'' = L D L^T`` at the nodes, taken apart from both ends at once to the one in the middle, and -V' with it.

    Two short chains of divisions that do not wait for each other take half the time of a long one. The clamp holds
    node 0; ``couple`` [N m] turns the tip. Fills ``rows`` with 1/D, L and ``D^-1 L^-1`` times -V'. Gives how many
    pivots are negative, those of the inner unknowns among them.
    """
    shares, factors, right = rows[0], rows[1], rows[2]
    middle, negative = (elements + 1) // 2, work[NEGATIVE]
    square = share = factor = wanted = 0.0
    pivot, pull = work[BB], work[RB]  # of the element behind, and less what the node behind took along
    for node in range(1, middle):
        w = work[at(node) :]
        share, wanted = 1 / (pivot + w[AA] - square * share), pull + w[RA] - factor * wanted
        factor, square = w[AB] * share, w[AB] * w[AB]
        shares[node], factors[node], right[node] = share, factor, wanted * share
        pivot, pull, negative = w[BB], w[RB], negative + w[NEGATIVE] + (1.0 if share < 0 else 0.0)
    pivot, pull = pivot - square * share, pull - factor * wanted
    square = share = factor = wanted = 0.0
    beyond, pull_beyond = 0.0, couple
    for node in range(elements, middle, -1):
        w = work[at(node - 1) :]
        share, wanted = 1 / (beyond + w[BB] - square * share), pull_beyond + w[RB] - factor * wanted
        factor, square = w[AB] * share, w[AB] * w[AB]
        shares[node], factors[node], right[node] = share, factor, wanted * share
        beyond, pull_beyond, negative = w[AA], w[RA], negative + w[NEGATIVE] + (1.0 if share < 0 else 0.0)
    shares[middle] = 1 / (pivot + beyond - square * share)
    right[middle] = (pull + pull_beyond - factor * wanted) * shares[middle]
    return int(negative + (1.0 if shares[middle] < 0 else 0.0))


@compiled
def swept_in(rows: Array, right: Array) -> None:
    """``D^-1 L^-1`` times ``right`` [N m], in its place."""
    shares, factors, last = rows[0], rows[1], len(right) - 1
    middle = (last + 1) // 2
    inboard = outboard = 0.0
    for node in range(1, middle):
        inboard = right[node] - inboard
        right[node], inboard = inboard * shares[node], inboard * factors[node]
    for node in range(last, middle, -1):
        outboard = right[node] - outboard
        right[node], outboard = outboard * shares[node], outboard * factors[node]
    right[middle] = (right[middle] - inboard - outboard) * shares[middle]


@compiled
def swept_out(rows: Array, right: Array) -> None:
    """``L^-T`` times ``right`` [rad], in its place; the clamp does not turn."""
    factors, last = rows[1], len(right) - 1
    middle = (last + 1) // 2
    inboard = outboard = right[middle]
    for node in range(middle - 1, 0, -1):
        inboard = right[node] - factors[node] * inboard
        right[node] = inboard
    for node in range(middle + 1, last + 1):
        outboard = right[node] - factors[node] * outboard
        right[node] = outboard
    right[0] = 0.0

"""Where guides have to stand so that the line turns by the same angle at each of them, in the bent rod.

Between two guides the line runs straight, along the chord of the rod's bend; at each guide it turns from one chord to
the next. Guides are counted from the tip-top, places are arc length [m] from the grip's front. How the line turns at
the tip-top, where it leaves the rod, and at the last guide, which the hand feeds, is the fish's and the hand's affair.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from culmwright.measure.errors import AnswerIsNo
from culmwright.mechanics.beam import FIVE, WEIGHTS, Array
from culmwright.mechanics.statics import Bent

EVEN = 1e-9
"""Places are found when a step moves none by more than this, of the length [-]: a few nanometres."""
BUDGET = 60
"""The most steps of Newton for one answer."""
NEAR = 1e-4
"""Over how much of the length [-] the rod's curvature is taken: it only steers the steps."""


def place_at(bent: Bent, s: Array) -> tuple[Array, Array, Array]:
    """Angle [rad], x and y [m] of the bent axis at any places ``s`` [m]: ``x, y = int (cos, sin) theta ds``.

    Inside an element the angle is the cubic it was found as, and the integral five points of Gauss's rule.
    """
    beam = bent.beam
    e = np.clip(np.searchsorted(beam.s, s, side="right") - 1, 0, len(beam.h) - 1).astype(np.int64)
    xi = (s - beam.s[e]) / beam.h[e]
    inside = xi[:, None] * FIVE
    turned = _cubic(bent.state, e[:, None], inside)
    part = (beam.h[e] * xi)[:, None] * WEIGHTS
    x = bent.x[e] + (part * np.cos(turned)).sum(axis=1)
    y = bent.y[e] + (part * np.sin(turned)).sum(axis=1)
    return _cubic(bent.state, e, xi), x, y


def line_turns(bent: Bent, places: Array) -> Array:
    """How far the line turns downward [rad] at every guide but the first and the last of ``places`` [m], tip first."""
    return -np.diff(_slopes(*place_at(bent, places)[1:]))[::-1] if len(places) > 2 else np.zeros(0)


def even_places(bent: Bent, count: int, last: float) -> Array:
    """Places [m] of ``count`` guides, tip-top first, the last at ``last`` [m], the line turning evenly between.

    That leaves one place free: on a circle long and short spaces in turn are even too. Of all such places these are
    the ones between which the rod itself turns most evenly: least ``sum (phi_k+1 - phi_k)^2``, phi_k the rod's turn
    between guides k and k+1. On a circle they are equally far apart. Raises :class:`AnswerIsNo` for a rod that does not
    bend one way all along, or if none are found.
    """
    length = bent.beam.length
    fine = np.linspace(last, length, 40 * count + 1)
    angle = place_at(bent, fine)[0]
    way = 1.0 if angle[0] > angle[-1] else -1.0
    if not np.all(way * np.diff(angle) < 0):
        raise AnswerIsNo(
            "between the tip and the last guide the rod does not bend one way all along under this load",
            remedy="Try another pull, or another direction",
        )
    wanted = np.linspace(angle[-1], angle[0], count)
    places: Array = np.interp(-way * wanted, -way * angle, fine)
    places[0], places[-1] = length, last
    if count < 3:
        return places
    for _ in range(BUDGET):
        step = _newton(bent, places)
        room = np.min(-np.diff(places)) / 3
        largest = np.abs(step).max()
        places[1:-1] += step if largest < room else step * (room / largest)
        if largest < EVEN * length:
            return places
    raise AnswerIsNo("no places are found at which the line turns evenly", remedy="Try a smaller pull")


def _cubic(state: Array, e: NDArray[np.int64], xi: Array) -> Array:
    """The angle [rad] in elements ``e`` at ``xi`` from 0 to 1."""
    a, b, c1, c2 = state[0, e], state[0, e + 1], state[1, e], state[2, e]
    angle: Array = a * (1 - xi) + b * xi + c1 * (xi**2 - xi) + c2 * (2 * xi**3 - 3 * xi**2 + xi)
    return angle


def _slopes(x: Array, y: Array) -> Array:
    """Angle above the horizontal [rad] of every chord, grip to tip, from places given tip first."""
    slopes: Array = np.unwrap(np.arctan2(-np.diff(y), -np.diff(x))[::-1])
    return slopes


def _newton(bent: Bent, places: Array) -> Array:
    """A step [m] of the inner places: least change of the rod's turn among those that leave the line's turn even.

    ``u' = n . (dp_k - dp_k+1)/|c|`` for the chord c from guide k+1 to k, and ``phi' = kappa``.
    """
    angle, x, y = place_at(bent, places)
    inboard, outboard = places - NEAR * places[0], np.minimum(places * (1 + NEAR), places[0])
    kappa = (place_at(bent, inboard)[0] - place_at(bent, outboard)[0]) / (outboard - inboard)
    slope = _slopes(x, y)[::-1]  # of the chord between guides k and k+1
    chord = np.hypot(np.diff(x), np.diff(y))
    chords = len(chord)
    moved = np.zeros((chords, chords + 1))
    for k in range(chords):
        moved[k, k] = np.sin(angle[k] - slope[k]) / chord[k]
        moved[k, k + 1] = -np.sin(angle[k + 1] - slope[k]) / chord[k]
    turns, turn_by = np.diff(slope), np.diff(moved, axis=0)
    uneven, uneven_by = np.diff(turns), np.diff(turn_by, axis=0)[:, 1:-1]
    phi, phi_by = np.diff(angle), np.diff(np.diag(-kappa), axis=0)
    rough, rough_by = np.diff(phi), np.diff(phi_by, axis=0)[:, 1:-1]
    free, tied = chords - 1, len(uneven)
    whole = np.zeros((free + tied, free + tied))
    whole[:free, :free] = rough_by.T @ rough_by
    whole[:free, free:], whole[free:, :free] = uneven_by.T, uneven_by
    return np.linalg.solve(whole, np.concatenate([-rough_by.T @ rough, -uneven]))[:free]

"""Screws set so that the greatest departure from a wanted shape is as small as it can be.

The shape of a bar is linear in its screws, so the least greatest departure over all places is a linear programme: least
``t`` with ``-t <= departure(x) <= t`` for every x, within the limits of the screws. Places enter as a grid; the true
extremes between them, found exactly, are added until none stands out. Beyond what is wanted, screws could still be used
as levers for a last trifle of it: of the settings that come within what the caller gives of that departure, those are
kept whose bars are bent least from there on, and of those again the ones that depart least. Within :data:`SPARE` of
their departure the one with the least mean departure is taken, its bars bent least. Solved by HiGHS (Q. Huangfu,
J. A. J. Hall, *Mathematical Programming Computation* 10 (2018) 119).
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from culmwright.measure.errors import AnswerIsNo
from culmwright.rigs.bar import Array, Bar

SCALE = 1e-3  # the solver counts in millimetres: its own tolerance is then a tenth of a nanometre
CLOSE = 1e-9  # [m] no place may stand out by more
SPARE = 5e-8  # [m] what the greatest departure may give, a hundredth of any gauge's step, for screws set less wildly
ROUNDS = 20
BENDING = 0.01  # weight of bent bars against departures, where departures leave a choice


@dataclass(frozen=True)
class Need:
    """What a groove or bed has to give: ``slope`` times the bar's place is to be ``values`` [m] at ``places`` [m].

    Straight between the places, which lie along the rig.
    """

    places: Array
    values: Array
    slope: float  # [-]

    def grid(self, count: int) -> Array:
        """Its own places and so many more [m], evenly."""
        return np.union1d(self.places, np.linspace(self.places[0], self.places[-1], count))

    def departure(self, bar: Bar, u: Array, x: Array) -> Array:
        """What the bar set to ``u`` [m] gives at ``x`` [m] beyond what is wanted [m]."""
        return self.slope * (bar.matrix(x) @ u) - np.interp(x, self.places, self.values)

    def extremes(self, bar: Bar, u: Array) -> tuple[Array, Array]:
        """Every place [m] where the departure can be greatest, and the departure there [m]: exact, not sampled."""
        inside = [x for x in bar.places if self.places[0] < x < self.places[-1]]
        breaks = np.union1d(self.places, np.array(inside))
        starts, ends = breaks[:-1], breaks[1:]
        wanted = np.interp(breaks, self.places, self.values)
        slopes = np.diff(wanted) / (ends - starts) / self.slope
        x = np.union1d(breaks, bar.level_places(u, starts, ends, slopes))
        return x, self.departure(bar, u, x)


@dataclass(frozen=True)
class Bounds:
    """How far screws go [m]: ``least`` and ``most`` of each, and ``neighbour`` between two; None is no limit."""

    least: float | None = None
    most: float | None = None
    neighbour: float | None = None


@dataclass(frozen=True)
class Fit:
    """Screws set to ``u`` [m], the greatest departure [m] that leaves, ``worst``, and the ``least`` [m] there could be.

    The difference is what bars bent no more than they need beyond what is wanted cost.
    """

    u: Array
    worst: float
    least: float


@dataclass(frozen=True)
class _Held:
    """What every setting has to keep besides departures: ``rows @ u <= limits``, both in the solver's millimetres."""

    rows: Array
    limits: Array

    def also(self, rows: Array, limits: Array) -> _Held:
        """With more to keep."""
        return _Held(np.vstack([self.rows, rows]), np.concatenate([self.limits, limits]))


def best(bar: Bar, needs: Sequence[Need], bounds: Bounds, given: float = SPARE) -> Fit:
    """The setting [m] with the least greatest departure from every need.

    ``given`` [m] of it is given for bars that are bent no more than they need beyond every need.
    """
    held = _neighbours(len(bar.places), bounds)
    grids = [need.grid(120) for need in needs]
    least, grids = _goal(bar, needs, grids, bounds, held)
    goal, outside = least, _bends(bar)[_outside(bar, needs)]
    if len(outside):
        for _ in range(ROUNDS):
            u = _straightest(bar, needs, grids, bounds, held, outside, least + given)
            worst, grids = _with_extremes(bar, needs, grids, u)
            if worst <= least + given + CLOSE:
                break
        bent = np.abs(outside @ u) / SCALE + CLOSE / SCALE
        held = held.also(np.vstack([outside, -outside]), np.concatenate([bent, bent]))
        goal, grids = _goal(bar, needs, grids, bounds, held)
    for _ in range(ROUNDS):
        u = _least_mean(bar, needs, grids, bounds, held, goal + SPARE)
        worst, grids = _with_extremes(bar, needs, grids, u)
        if worst <= goal + SPARE + CLOSE:
            break
    return Fit(u, worst, least)


def _goal(
    bar: Bar, needs: Sequence[Need], grids: list[Array], bounds: Bounds, held: _Held
) -> tuple[float, list[Array]]:
    """The least greatest departure [m] anywhere, and grids that show it."""
    for _ in range(ROUNDS):
        u, goal = _least_greatest(bar, needs, grids, bounds, held)
        worst, grids = _with_extremes(bar, needs, grids, u)
        if worst <= goal + CLOSE:
            break
    return goal, grids


def _outside(bar: Bar, needs: Sequence[Need]) -> list[int]:
    """Which bends, counted from the second screw, lie at or beyond the ends of what is wanted."""
    first, last = min(need.places[0] for need in needs), max(need.places[-1] for need in needs)
    return [i for i, x in enumerate(bar.places[1:-1]) if x <= first + CLOSE or x >= last - CLOSE]


def _bends(bar: Bar) -> Array:
    """What a unit [m] at each screw bends the bars at every one but the first and last, as a sag between screws [m]."""
    return np.asarray(bar.curvatures[1:-1] * (bar.places[-1] - bar.places[0]) ** 2 / len(bar.places) ** 2)


def least_departure(bar: Bar, needs: Sequence[Need], bounds: Bounds) -> float:
    """The least greatest departure [m] on a grid of 60 places alone: quick, for comparing places to lie."""
    held = _neighbours(len(bar.places), bounds)
    return _least_greatest(bar, needs, [need.grid(60) for need in needs], bounds, held)[1]


def _with_extremes(bar: Bar, needs: Sequence[Need], grids: Sequence[Array], u: Array) -> tuple[float, list[Array]]:
    """The greatest departure [m] wherever it is, and grids that hold every place where it could be."""
    found = [need.extremes(bar, u) for need in needs]
    worst = max(float(np.max(np.abs(departure))) for _, departure in found)
    return worst, [np.union1d(grid, x) for grid, (x, _) in zip(grids, found, strict=True)]


def _rows(bar: Bar, needs: Sequence[Need], grids: Sequence[Array]) -> tuple[Array, Array]:
    """Matrix and wanted values of every departure on the grids: ``departure = rows @ u - wanted``."""
    rows = [need.slope * bar.matrix(grid) for need, grid in zip(needs, grids, strict=True)]
    wanted = [np.interp(grid, need.places, need.values) for need, grid in zip(needs, grids, strict=True)]
    return np.vstack(rows), np.concatenate(wanted)


def _neighbours(count: int, bounds: Bounds) -> _Held:
    """Every two neighbours held together."""
    if bounds.neighbour is None:
        return _Held(np.zeros((0, count)), np.zeros(0))
    step = np.diff(np.eye(count), axis=0)
    return _Held(np.vstack([step, -step]), np.full(2 * (count - 1), bounds.neighbour / SCALE))


def _least_greatest(
    bar: Bar, needs: Sequence[Need], grids: Sequence[Array], bounds: Bounds, held: _Held
) -> tuple[Array, float]:
    count = len(bar.places)
    rows, wanted = _rows(bar, needs, grids)
    one, none = np.ones((len(rows), 1)), np.zeros((len(held.rows), 1))
    matrix = np.vstack([np.hstack([rows, -one]), np.hstack([-rows, -one]), np.hstack([held.rows, none])])
    right = np.concatenate([wanted / SCALE, -wanted / SCALE, held.limits])
    cost = np.zeros(count + 1)
    cost[-1] = 1.0
    found = _solve(cost, matrix, right, [_span(bounds)] * count + [(0.0, None)])
    return found[:count] * SCALE, float(found[count]) * SCALE


def _straightest(
    bar: Bar,
    needs: Sequence[Need],
    grids: Sequence[Array],
    bounds: Bounds,
    held: _Held,
    outside: Array,
    worst: float,
) -> Array:
    """The least bent ``outside`` among settings whose greatest departure is ``worst`` [m] at most."""
    rows, wanted = _rows(bar, needs, grids)
    within = np.full(len(rows), worst)
    held = held.also(np.vstack([rows, -rows]), np.concatenate([within + wanted, within - wanted]) / SCALE)
    weights, most = np.ones(len(outside)), [None] * len(outside)
    return _least_sum(outside, np.zeros(len(outside)), weights, most, bounds, held)


def _least_mean(
    bar: Bar, needs: Sequence[Need], grids: Sequence[Array], bounds: Bounds, held: _Held, worst: float
) -> Array:
    """The least mean departure among settings whose greatest is ``worst`` [m] at most, bars bent least."""
    rows, wanted = _rows(bar, needs, grids)
    bends = _bends(bar)
    right = np.concatenate([wanted, np.zeros(len(bends))])
    weights = np.concatenate([np.full(len(rows), 1 / len(rows)), np.full(len(bends), BENDING / max(len(bends), 1))])
    most = [worst] * len(rows) + [None] * len(bends)
    return _least_sum(np.vstack([rows, bends]), right, weights, most, bounds, held)


def _least_sum(
    rows: Array, right: Array, weights: Array, most: Sequence[float | None], bounds: Bounds, held: _Held
) -> Array:
    """The setting [m] with the least weighted sum of ``|rows @ u - right|`` [m], each no more than its ``most`` [m]."""
    count, one = rows.shape[1], np.eye(len(rows))
    none = np.zeros((len(held.rows), len(rows)))
    matrix = np.vstack([np.hstack([rows, -one]), np.hstack([-rows, -one]), np.hstack([held.rows, none])])
    limits = np.concatenate([right / SCALE, -right / SCALE, held.limits])
    spans = [_span(bounds)] * count + [(0.0, None if each is None else each / SCALE) for each in most]
    return _solve(np.concatenate([np.zeros(count), weights]), matrix, limits, spans)[:count] * SCALE


def _span(bounds: Bounds) -> tuple[float | None, float | None]:
    return (
        None if bounds.least is None else bounds.least / SCALE,
        None if bounds.most is None else bounds.most / SCALE,
    )


def _solve(cost: Array, matrix: Array, right: Array, spans: Sequence[tuple[float | None, float | None]]) -> Array:
    from scipy.optimize import linprog

    found = linprog(cost, A_ub=matrix, b_ub=right, bounds=spans, method="highs")
    if found.x is None:
        raise AnswerIsNo("no setting of these screws was found", remedy="Check the rig's limits")
    return np.asarray(found.x)

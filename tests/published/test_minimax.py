"""Least greatest departure, against what is known about best approximation and against another method.

Chebyshev: the best straight line to x^2 on [0, 1] departs by 1/8 at three places in turn (E. W. Cheney, *Introduction
to Approximation Theory*, or any text; from memory). Weighted least squares: whatever the weights, their least root mean
square is below the least greatest departure, and Lawson's weights (C. L. Lawson, 1961; from memory) close the gap.
"""

from __future__ import annotations

from itertools import pairwise

import numpy as np
import pytest
from scipy.interpolate import CubicSpline
from scipy.optimize import linprog

from culmwright.rigs.bar import Bar
from culmwright.rigs.minimax import SPARE, Bounds, Need, best

FREE = Bounds()


def need(x: np.ndarray, values: np.ndarray, slope: float = 1.0) -> Need:
    return Need(x, values, slope)


def test_the_best_line_to_a_parabola():
    x = np.linspace(0.0, 1.0, 401)
    fit = best(Bar((0.0, 1.0)), [need(x, 1e-3 * x**2)], FREE)  # in millimetres, as a rig would
    assert fit.worst == pytest.approx(1e-3 / 8, abs=2 * SPARE)
    assert fit.u == pytest.approx([-1e-3 / 8, 7e-3 / 8], abs=4 * SPARE)


def test_the_parabola_is_missed_at_three_places_in_turn():
    x = np.linspace(0.0, 1.0, 401)
    wanted, bar = need(x, 1e-3 * x**2), Bar((0.0, 1.0))
    at, departure = wanted.extremes(bar, best(bar, [wanted], FREE).u)
    for place, sign in ((0.0, -1), (0.5, 1), (1.0, -1)):
        assert sign * departure[np.argmin(np.abs(at - place))] == pytest.approx(1e-3 / 8, abs=3 * SPARE)


def lawson(x: np.ndarray, wanted: np.ndarray, places: tuple[float, ...], rounds: int = 4000) -> tuple[float, float]:
    """Bounds below and above the least greatest departure of natural splines on ``places``."""
    basis = CubicSpline(places, np.eye(len(places)), bc_type="natural")(x)
    weight = np.full(len(x), 1 / len(x))
    below, above = 0.0, np.inf
    for _ in range(rounds):
        root = np.sqrt(weight)
        u = np.linalg.lstsq(root[:, None] * basis, root * wanted, rcond=None)[0]
        off = np.abs(basis @ u - wanted)
        below, above = max(below, float(np.sqrt(weight @ off**2))), min(above, float(off.max()))
        weight = weight * off
        weight /= weight.sum()
    return below, above


@pytest.mark.parametrize("seed", range(4))
def test_no_setting_departs_less(seed):
    random = np.random.default_rng(seed)
    places = tuple(np.cumsum(random.uniform(0.08, 0.16, size=6)))
    stations = np.linspace(places[0], places[-1], 12)
    across = np.cumsum(random.uniform(0.0, 4e-4, size=12))
    x = np.union1d(np.linspace(places[0], places[-1], 500), stations)
    below, above = lawson(x, np.interp(x, stations, across), places)
    worst = best(Bar(places), [need(stations, across)], FREE).worst
    assert below <= worst  # a lower bound, whatever else went wrong
    # Lawson comes near slowly: his two bounds close to some per cent, and the worst has to lie between them.
    assert above - below < 0.03 * above
    assert worst <= above + SPARE


def test_another_programme_on_a_dense_grid_finds_the_same():
    """Departures of millimetres on few screws, so that places between a coarse grid's would stand out by microns."""
    places = (0.0, 0.2, 0.5, 0.9, 1.3)
    stations, across = np.array([0.05, 0.31, 1.0, 1.25]), np.array([0.0, 9e-3, -4e-3, 2e-3])
    x = np.union1d(np.linspace(0.05, 1.25, 6001), stations)
    basis = CubicSpline(places, np.eye(5), bc_type="natural")(x)
    wanted, one = np.interp(x, stations, across), np.ones((len(x), 1))
    found = linprog(
        [0] * 5 + [1],
        A_ub=np.vstack([np.hstack([basis, -one]), np.hstack([-basis, -one])]),
        b_ub=np.concatenate([wanted, -wanted]),
        bounds=[(None, None)] * 5 + [(0, None)],
        method="highs-ipm",
    )
    # Between two of 6 001 places a curve of this size hides a few nanometres; the solver's own tolerance is 1e-7, in m.
    assert best(Bar(places), [need(stations, across)], FREE).worst == pytest.approx(found.fun, abs=2 * SPARE + 1e-7)


def test_departures_are_found_between_the_grid():
    """Against the same spline read at twenty thousand places."""
    random = np.random.default_rng(3)
    places = tuple(np.linspace(0.1, 1.4, 9))
    stations = np.linspace(0.2, 1.3, 10)
    wanted, bar = need(stations, np.cumsum(random.uniform(0, 4e-4, size=10)), 0.87), Bar(places)
    fit = best(bar, [wanted], FREE)
    x = np.union1d(np.linspace(0.2, 1.3, 20_000), stations)
    spline = CubicSpline(places, fit.u, bc_type="natural")
    dense = np.abs(0.87 * spline(x) - np.interp(x, stations, wanted.values)).max()
    assert fit.worst == pytest.approx(dense, abs=1e-12)


def test_what_can_be_met_is_met():
    places = tuple(np.linspace(0.0, 1.0, 7))
    x = np.linspace(0.0, 1.0, 5)
    fit = best(Bar(places), [need(x, 1e-3 + 2e-3 * x)], FREE)
    assert fit.worst < 2e-9
    assert fit.u == pytest.approx(1e-3 + 2e-3 * np.array(places), abs=2 * SPARE)


def test_two_grooves_share_what_they_cannot_both_have():
    """Two grooves a hundredth of a millimetre apart under one setting: each is missed by half of it."""
    places, x = tuple(np.linspace(0.0, 1.0, 5)), np.array([0.0, 1.0])
    fit = best(Bar(places), [need(x, np.array([1e-3, 2e-3])), need(x, np.array([1.01e-3, 2.01e-3]))], FREE)
    assert fit.worst == pytest.approx(5e-6, abs=2 * SPARE)


def straight_beyond(x: np.ndarray, wanted: np.ndarray, places: tuple[float, ...], inner: slice) -> float:
    """The least greatest departure of a natural spline on the ``inner`` places alone, by a programme of its own."""
    held = places[inner]
    basis, one = CubicSpline(held, np.eye(len(held)), bc_type="natural")(x), np.ones((len(x), 1))
    found = linprog(
        [0] * len(held) + [1],
        A_ub=np.vstack([np.hstack([basis, -one]), np.hstack([-basis, -one])]),
        b_ub=np.concatenate([wanted, -wanted]) * 1e3,
        bounds=[(None, None)] * len(held) + [(0, None)],
        method="highs-ds",
    )
    return float(found.fun) / 1e3


PLACES = tuple(np.linspace(0.05, 1.425, 12))
STATIONS = np.array([0.315, 0.5, 0.7, 0.95, 1.15, 1.265])
ACROSS = np.array([2.0, 2.35, 2.75, 3.2, 3.9, 3.9]) * 1e-3  # level towards its end: the screws beyond could pull at it


@pytest.mark.parametrize("given", [SPARE, 1e-6, 4e-6, 2e-5])
def test_what_is_given_buys_straight_bars_beyond_and_no_more(given):
    wanted, bar = need(STATIONS, ACROSS), Bar(PLACES)
    fit, free = best(bar, [wanted], FREE, given), best(bar, [wanted], FREE)
    assert fit.least == pytest.approx(free.least, abs=1e-9)
    x = np.union1d(np.linspace(0.315, 1.265, 8001), STATIONS)
    # Held by the screws from the last before the strip to the first behind it, as if there were no others.
    straight = straight_beyond(x, np.interp(x, STATIONS, ACROSS), PLACES, slice(2, 11))
    assert free.least < straight - 1e-6  # levers would win something here
    if straight <= free.least + given:
        assert fit.worst == pytest.approx(straight, abs=2 * SPARE)
        assert np.abs(bar.curvatures @ fit.u)[[1, 2, 10]] == pytest.approx(np.zeros(3), abs=1e-6)
    else:
        assert fit.worst <= free.least + given + SPARE + 1e-9


def test_the_more_is_given_the_less_are_bars_bent_beyond():
    bar, wanted = Bar(PLACES), need(STATIONS, ACROSS)
    bent = []
    for given in (SPARE, 5e-7, 1e-6, 4e-6, 2e-5):
        u = best(bar, [wanted], FREE, given).u
        spline = CubicSpline(PLACES, u, bc_type="natural")
        bent.append(float(np.abs(spline(np.array(PLACES)[[1, 2, 10]], 2)).sum()))
    assert all(more >= less - 1e-6 for more, less in pairwise(bent))
    assert bent[0] > 0.1 > bent[3] > 1e-3 > bent[4]


def test_what_limits_forbid_is_not_straight_beyond():
    """A taper that rises to a limit: straight on would open screws beyond it, and they stop there."""
    bar, wanted = Bar(PLACES), need(np.array([0.315, 1.2]), np.array([1e-3, 3e-3]))
    fit = best(bar, [wanted], Bounds(0.0, 3.2e-3), 1e-6)
    assert fit.u.max() <= 3.2e-3 + 1e-9
    assert fit.worst <= fit.least + 1e-6 + SPARE + 1e-9

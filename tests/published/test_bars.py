"""How bars bend between their screws, against beams put together otherwise.

Outside: Euler and Bernoulli's beam in finite elements (two-node elements with cubic shapes: exact at their nodes where
nothing pulls between them; any text on the method, e.g. K.-J. Bathe, *Finite Element Procedures*); scipy's cubic
spline; and the moment over the middle support of a beam on three when that support sinks, ``3 EI d/L^2`` (three
moments; any text on strength of materials, from memory).
"""

from __future__ import annotations

from itertools import pairwise

import numpy as np
import pytest
from scipy.interpolate import CubicSpline

from culmwright.rigs.bar import Bar

PLACES = {
    "even": (0.1, 0.2, 0.3, 0.4, 0.5, 0.6),
    "uneven": (0.05, 0.11, 0.30, 0.36, 0.71, 0.80, 1.30),
    "three": (0.2, 0.5, 1.1),
    "two": (0.2, 0.9),
}
FREE = 0.15  # [m] of bar beyond its first and last screw
SPAN = 8  # elements between two screws


def held(places: tuple[float, ...], u: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
    """Nodes and deflections of a beam of EI 1, free at both ends, that its supports hold at ``u``."""
    ends = (places[0] - FREE, *places, places[-1] + FREE)
    x = np.unique(np.concatenate([np.linspace(a, b, SPAN + 1) for a, b in pairwise(ends)]))
    count = len(x)
    K = np.zeros((2 * count, 2 * count))
    for i, h in enumerate(np.diff(x)):
        part = np.array(
            [
                [12, 6 * h, -12, 6 * h],
                [6 * h, 4 * h * h, -6 * h, 2 * h * h],
                [-12, -6 * h, 12, -6 * h],
                [6 * h, 2 * h * h, -6 * h, 4 * h * h],
            ]
        )
        K[2 * i : 2 * i + 4, 2 * i : 2 * i + 4] += part / h**3
    fixed = [2 * int(np.argmin(np.abs(x - place))) for place in places]
    free = [i for i in range(2 * count) if i not in fixed]
    w = np.zeros(2 * count)
    w[fixed] = u
    w[free] = np.linalg.solve(K[np.ix_(free, free)], -K[np.ix_(free, fixed)] @ u)
    return x, w[::2]


@pytest.mark.parametrize("name", PLACES)
def test_a_bar_is_a_beam_in_finite_elements(name):
    places = PLACES[name]
    u = np.random.default_rng(7).normal(size=len(places))
    x, w = held(places, u)
    # Exact at the nodes but for rounding, which the stiffness matrix (h^-3, condition about 1e9) raises to 1e-7.
    assert Bar(places).matrix(x) @ u == pytest.approx(w, abs=1e-7)


@pytest.mark.parametrize("name", PLACES)
def test_between_its_screws_a_bar_is_a_natural_spline(name):
    places = PLACES[name]
    u = np.random.default_rng(8).normal(size=len(places))
    x = np.linspace(places[0], places[-1], 501)
    assert Bar(places).matrix(x) @ u == pytest.approx(CubicSpline(places, u, bc_type="natural")(x), abs=1e-12)


def test_the_moment_over_a_support_that_sinks():
    span, sinks = 0.4, 0.003
    middle = Bar((0.0, span, 2 * span)).curvatures @ np.array([0.0, -sinks, 0.0])
    assert middle == pytest.approx([0.0, 3 * sinks / span**2, 0.0], rel=1e-12)


def test_beyond_its_last_screw_a_bar_goes_straight_on():
    places = PLACES["uneven"]
    u = np.random.default_rng(9).normal(size=len(places))
    x = np.array([places[-1], places[-1] + 0.1, places[-1] + 0.3])
    w = Bar(places).matrix(x) @ u
    slope = CubicSpline(places, u, bc_type="natural")(places[-1], 1)
    assert w == pytest.approx(u[-1] + slope * (x - places[-1]), abs=1e-12)

"""A graded section against numerical integration of E y^2 over the figure itself, triangle by triangle, in x and y."""

from __future__ import annotations

from math import cos, hypot, pi, sin

import pytest
from scipy.integrate import dblquad

from culmwright.design.polygon import second_moment
from culmwright.measure.errors import BadInput
from culmwright.mechanics.graded import Graded, cost_of

A, WALL, RATIO = 1.0, 2.6, 5.0


def modulus(depth, wall, ratio):
    """Straight from 1 under the enamel to 1/ratio at the inside of the wall, and no less beyond."""
    return max(1 - (1 - 1 / ratio) * depth / wall, 1 / ratio)


def integrals(sides, wall, ratio, lost):
    """Integrals of E, E y and E y^2 over the polygon, the strip whose flat faces up lowered by ``lost``."""
    total = [0.0, 0.0, 0.0]
    t = sin(pi / sides) / cos(pi / sides)
    for k in range(sides):
        out = pi / 2 + 2 * pi * k / sides  # where this strip's flat faces
        low = A - (lost if k == 0 else 0.0)
        for power in range(3):

            def density(v, u, out=out, power=power):
                y = u * sin(out) + v * cos(out)
                return modulus(A - u, wall, ratio) * y**power

            for start, end in ((0.0, max(min(A - wall, low), 0.0)), (max(min(A - wall, low), 0.0), low)):
                if end > start:
                    value, _ = dblquad(density, start, end, lambda u: -u * t, lambda u: u * t, epsabs=1e-10)
                    total[power] += value
    return total


@pytest.mark.parametrize("sides", [4, 5, 6])
@pytest.mark.parametrize(("wall", "ratio"), [(2.6, 5.0), (0.7, 5.0), (1.0, 2.0)])
def test_the_flexural_mean_is_the_integral_over_the_second_moment(sides, wall, ratio):
    section = Graded(sides, A, wall, ratio)
    _, _, ei = integrals(sides, wall, ratio, 0.0)
    assert section.mean_over_outer == pytest.approx(ei / second_moment(sides, A), rel=1e-8)
    assert section.outer(30e9) * ei / second_moment(sides, A) == pytest.approx(30e9, rel=1e-8)


@pytest.mark.parametrize("sides", [4, 5, 6])
@pytest.mark.parametrize("lost", [0.01, 0.06])
def test_a_node_on_one_flat(sides, lost):
    """About the axis that does not stretch: EI - (ES)^2/EA of what is left."""
    left = integrals(sides, WALL, RATIO, lost)
    whole = integrals(sides, WALL, RATIO, 0.0)
    assert whole[1] == pytest.approx(0.0, abs=1e-9)
    wanted = (left[2] - left[1] ** 2 / left[0]) / whole[2]
    assert Graded(sides, A, WALL, RATIO).without_one(lost) == pytest.approx(wanted, rel=1e-8)


def test_a_crown_scraped_off_all_round():
    """Even cane keeps (1 - b/a)^4; graded cane keeps less, and the wall's end makes no step."""
    even, graded = Graded(6, A, WALL, 1.0), Graded(6, A, WALL, RATIO)
    assert even.without_all_round(0.05) == pytest.approx(0.95**4, rel=1e-12)
    assert graded.without_all_round(0.05) < 0.95**4
    shares = [Graded(6, A, wall, RATIO).without_all_round(0.05) for wall in (0.9999999, 1.0, 1.0000001)]
    assert max(shares) - min(shares) < 1e-6


def test_a_straight_gradient_inside_the_wall_has_a_closed_form():
    """Mean over outer is 1 - c a/(5 T): 4/a^4 times the integral of (a - u) u^3 is a/5."""
    assert Graded(6, A, WALL, RATIO).mean_over_outer == pytest.approx(1 - 0.8 * A / (5 * WALL), rel=1e-14)


def test_what_a_node_costs_is_told_beside_even_cane():
    cost = cost_of(Graded(6, 0.002, 0.007, 5.0), 0.000125)
    assert 0 < cost.even_one < cost.one < cost.all_round
    assert cost.even_all_round == pytest.approx(1 - (1 - 0.0625) ** 4)
    assert cost.outer > 1
    nothing = cost_of(Graded(6, 0.002, 0.007, 5.0), 0.0)
    assert hypot(nothing.one, nothing.all_round) == 0


@pytest.mark.parametrize("values", [(2, A, WALL, 5.0), (6, 0.0, WALL, 5.0), (6, A, 0.0, 5.0), (6, A, WALL, 0.5)])
def test_a_section_that_cannot_be(values):
    with pytest.raises(BadInput, match="a graded section has three sides or more"):
        Graded(*values)


@pytest.mark.parametrize("lost", [-0.1, 1.0])
def test_a_loss_that_cannot_be(lost):
    with pytest.raises(BadInput, match="below zero or all of a strip"):
        Graded(6, A, WALL, RATIO).without_all_round(lost)

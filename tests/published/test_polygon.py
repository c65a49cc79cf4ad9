"""Regular sections against published formulas and a general library.

Source: W. C. Young, R. G. Budynas, *Roark's Formulas for Stress and Strain*, 7th ed. (2002), appendix A, table A.1,
regular polygon with n sides of length a: alpha = 180 deg/n, rho1 = a/(2 sin alpha), rho2 = a/(2 tan alpha),
A = a^2 n/(4 tan alpha), I = A (6 rho1^2 - a^2)/24. Typed from memory of that table, in its own variables (side length),
which are not those of the code.
"""

from __future__ import annotations

from math import cos, pi, sin, tan

import pytest
from sympy import Point, Polygon, Rational, nsimplify
from sympy import cos as exact_cos
from sympy import pi as exact_pi
from sympy import sin as exact_sin

from culmwright.design import polygon

EXACT = 1e-14  # relative: a few roundings of a double
SIDES = [4, 5, 6]


def roark(n: int, a: float) -> tuple[float, float, float, float]:
    """Area, second moment, distance to a corner and to a flat, for side length a."""
    alpha = pi / n
    rho1, rho2 = a / (2 * sin(alpha)), a / (2 * tan(alpha))
    area = a**2 * n / (4 * tan(alpha))
    return area, area * (6 * rho1**2 - a**2) / 24, rho1, rho2


@pytest.mark.parametrize("n", SIDES)
@pytest.mark.parametrize("side", [1.0, 0.003])
def test_roark(n, side):
    area, second_moment, corner, flat = roark(n, side)
    assert polygon.area(n, flat) == pytest.approx(area, rel=EXACT)
    assert polygon.second_moment(n, flat) == pytest.approx(second_moment, rel=EXACT)
    assert polygon.modulus_to_flat(n, flat) == pytest.approx(second_moment / flat, rel=EXACT)
    assert polygon.modulus_to_corner(n, flat) == pytest.approx(second_moment / corner, rel=EXACT)
    assert polygon.corner_radius(n, flat) == pytest.approx(corner, rel=EXACT)


# Coefficients over across (d flat to flat on six sides, D flat to corner on five): recomputed by two methods, printed
# to these digits; half a unit of the last one. The square is elementary: I = d^4/12, Z = d^3/6, corner d^3/(6 root 2).
COEFFICIENTS = [
    (6, polygon.area, 2, 0.8660254, 5e-8),
    (6, polygon.second_moment, 4, 0.0601406530, 5e-11),
    (6, polygon.modulus_to_flat, 3, 0.1202813, 5e-8),
    (6, polygon.modulus_to_corner, 3, 0.1041667, 5e-8),
    (5, polygon.area, 2, 0.726543, 5e-7),
    (5, polygon.second_moment, 4, 0.042719, 5e-7),
    (5, polygon.modulus_to_flat, 3, 0.095523, 5e-7),
    (5, polygon.modulus_to_corner, 3, 0.077279, 5e-7),
    (4, polygon.area, 2, 1.0, EXACT),
    (4, polygon.second_moment, 4, 1 / 12, EXACT),
    (4, polygon.modulus_to_flat, 3, 1 / 6, EXACT),
    (4, polygon.modulus_to_corner, 3, 1 / (6 * 2**0.5), EXACT),
]


@pytest.mark.parametrize(("n", "function", "power", "coefficient", "half_digit"), COEFFICIENTS)
def test_coefficients_over_across(n, function, power, coefficient, half_digit):
    across = 0.3
    assert function(n, polygon.apothem(n, across)) / across**power == pytest.approx(coefficient, abs=half_digit)


def test_the_trades_rounded_constants_are_the_exact_ones_rounded():
    # 0.120 d^3 and 0.866 d^2: E. E. Garrison, H. B. Carmichael, 1977, from memory.
    a = polygon.apothem(6, 1.0)
    assert polygon.bending_modulus(6, a) == pytest.approx(0.120, abs=5e-4)
    assert polygon.area(6, a) == pytest.approx(0.866, abs=5e-4)


@pytest.mark.parametrize("n", SIDES)
def test_sympys_polygon_moments(n):
    """Vertices to 40 digits as ratios, so that sympy's edge sums are exact."""
    turn = 2 * exact_pi / n
    corner = 1 / exact_cos(exact_pi / n)  # apothem 1
    middles = [turn * (k + Rational(1, 2)) for k in range(n)]
    exact = [(corner * exact_cos(angle), corner * exact_sin(angle)) for angle in middles]
    vertices = [Point(*(nsimplify(one.evalf(40), rational=True) for one in vertex)) for vertex in exact]
    shape = Polygon(*vertices)
    i_xx, i_yy, i_xy = (float(moment) for moment in shape.second_moment_of_area())
    assert float(abs(shape.area)) == pytest.approx(polygon.area(n, 1.0), rel=EXACT)
    assert abs(i_xx) == pytest.approx(polygon.second_moment(n, 1.0), rel=EXACT)
    assert abs(i_yy) == pytest.approx(polygon.second_moment(n, 1.0), rel=EXACT)  # the same about any axis
    assert i_xy == pytest.approx(0, abs=1e-14)


@pytest.mark.parametrize(("n", "reads"), [(4, 2.0), (6, 2.0), (5, 1 + 1 / cos(pi / 5))])
def test_what_a_caliper_reads(n, reads):
    """Widest gap between parallel jaws, one on a flat, from the corners themselves."""
    reach = [cos(2 * pi * (k + 0.5) / n) / cos(pi / n) for k in range(n)]  # along x, which the first flat faces
    jaws = max(reach) - min(reach)
    assert jaws == pytest.approx(reads, rel=EXACT)
    assert polygon.across(n, 1.0) == pytest.approx(jaws, rel=EXACT)

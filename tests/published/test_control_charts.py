"""Control charts against printed examples and tables.

- NIST/SEMATECH, *e-Handbook of Statistical Methods*, 6.3.2.2 (individuals), 6.3.2 (factors).
- ISO 7870-2, *Control charts. Part 2: Shewhart control charts*, the table of factors for lines of control charts, as
  the textbooks reprint it (D. C. Montgomery, *Introduction to Statistical Quality Control*, App. VI). Digits from
  memory, except those of n = 2 and n = 6 that the e-Handbook prints.
- Student's t: E. S. Pearson and H. O. Hartley, *Biometrika Tables for Statisticians*, vol. 1 (1966), table 12.

A printed value is met within half a unit of its last digit.
"""

from __future__ import annotations

import pytest

from culmwright.bench.control import individuals, means_and_ranges
from culmwright.bench.creep import fit, two_sided
from culmwright.bench.factors import A2, D3, D4, d2, d3

NIST = [49.6, 47.6, 49.9, 51.3, 47.8, 51.2, 52.6, 52.4, 53.6, 52.1]


def printed(text):
    """The printed number, within half a unit of its last digit."""
    return pytest.approx(float(text), abs=0.5000001 * 10.0 ** -len(text.partition(".")[2]))


def test_individuals_of_the_e_handbook():
    """6.3.2.2: mean 50.81, limits 55.8041 and 45.8159, reckoned there with d2 rounded to 1.128."""
    chart = individuals([str(i) for i in range(10)], NIST)
    assert chart.place.centre == printed("50.81")
    with_rounded_d2 = 3 * chart.scatter.centre / 1.128
    assert chart.place.centre + with_rounded_d2 == printed("55.8041")
    assert chart.place.centre - with_rounded_d2 == printed("45.8159")
    # d2 is 1.12838: 0.034 % more, which moves the limits by 0.0017.
    assert chart.place.upper == pytest.approx(55.8041, abs=0.0018)
    assert chart.place.lower == pytest.approx(45.8159, abs=0.0018)
    assert chart.place.upper < 55.8041 and chart.place.lower > 45.8159
    assert all(chart.place.lower <= one <= chart.place.upper for one in chart.place.points)
    assert chart.scatter.points[:3] == pytest.approx((2.0, 2.3, 1.4))
    assert (chart.scatter.upper, chart.scatter.lower) == (pytest.approx(3.2665 * chart.scatter.centre, rel=2e-5), 0)


@pytest.mark.parametrize(
    ("n", "of_d2", "of_d3", "of_A2", "of_D3", "of_D4"),
    [
        (2, "1.128", "0.853", "1.880", "0", "3.267"),
        (3, "1.693", "0.888", "1.023", "0", "2.575"),  # many tables print D4 as 2.574
        (4, "2.059", "0.880", "0.729", "0", "2.282"),
        (5, "2.326", "0.864", "0.577", "0", "2.114"),
        (6, "2.534", "0.848", "0.483", "0", "2.004"),
        (7, "2.704", "0.833", "0.419", "0.076", "1.924"),
        (8, "2.847", "0.820", "0.373", "0.136", "1.864"),
        (9, "2.970", "0.808", "0.337", "0.184", "1.816"),
        (10, "3.078", "0.797", "0.308", "0.223", "1.777"),
        (15, "3.472", "0.756", "0.223", "0.347", "1.653"),
        (20, "3.735", "0.729", "0.180", "0.415", "1.585"),
        (25, "3.931", "0.708", "0.153", "0.459", "1.541"),
    ],
)
def test_the_table_of_factors(n, of_d2, of_d3, of_A2, of_D3, of_D4):
    assert (d2(n), d3(n)) == (printed(of_d2), printed(of_d3))
    assert (A2(n), D4(n)) == (printed(of_A2), printed(of_D4))
    assert D3(n) == (0.0 if of_D3 == "0" else printed(of_D3))


def test_the_factors_of_the_e_handbook():
    assert (d2(6), A2(6), D4(6)) == (
        printed("2.53441"),
        printed("0.4832"),
        printed("2.0038"),
    )
    assert (d2(2), D4(2)) == (printed("1.12838"), printed("3.2665"))


def test_the_factors_in_closed_form():
    """d2(2) = 2/sqrt(pi), d2(3) = 3/sqrt(pi), d3(2)^2 = 2 - 4/pi (moments of normal order statistics)."""
    from math import pi, sqrt

    assert d2(2) == pytest.approx(2 / sqrt(pi), abs=1e-12)
    assert d2(3) == pytest.approx(3 / sqrt(pi), abs=1e-12)
    assert d3(2) == pytest.approx(sqrt(2 - 4 / pi), abs=1e-7)


@pytest.mark.parametrize("n", [3, 6, 13])
def test_the_scatter_of_the_range_against_a_general_library(n):
    """E W^2 as a double integral by scipy's adaptive quadrature, over the joint density of least and largest."""
    from math import exp, pi
    from statistics import NormalDist

    from scipy.integrate import dblquad

    F = NormalDist().cdf

    def density(w, x):
        both = exp(-(x**2 + (x + w) ** 2) / 2) / (2 * pi)
        return w**2 * n * (n - 1) * both * (F(x + w) - F(x)) ** (n - 2)

    square, _ = dblquad(density, -8, 8, 0, 16, epsabs=1e-7, epsrel=1e-7)
    assert d3(n) ** 2 + d2(n) ** 2 == pytest.approx(square, abs=1e-6)


@pytest.mark.parametrize(
    ("freedom", "at_5_per_cent", "at_1_per_cent"),
    [
        (1, "12.706", "63.657"),
        (2, "4.303", "9.925"),
        (5, "2.571", "4.032"),
        (10, "2.228", "3.169"),
        (30, "2.042", "2.750"),
    ],
)
def test_students_t(freedom, at_5_per_cent, at_1_per_cent):
    for text, chance in ((at_5_per_cent, 0.05), (at_1_per_cent, 0.01)):
        half = 0.5 * 10.0 ** -len(text.partition(".")[2])
        assert two_sided(float(text) + half, freedom) <= chance <= two_sided(float(text) - half, freedom)
        assert two_sided(-float(text), freedom) == two_sided(float(text), freedom)


@pytest.mark.parametrize("freedom", [1, 2, 3, 4, 7, 12, 33])
@pytest.mark.parametrize("t", [0.0, 0.3, 2.0, 9.0])
def test_students_t_against_a_general_library(t, freedom):
    from scipy.stats import t as student

    assert two_sided(t, freedom) == pytest.approx(2 * student.sf(t, freedom), abs=1e-12)


def test_a_slope_and_its_error_against_a_general_library():
    from scipy.stats import linregress

    theirs = linregress(range(10), NIST)
    rise, error, _ = fit(range(10), NIST)
    assert rise == pytest.approx(theirs.slope, rel=1e-12)
    assert error == pytest.approx(theirs.stderr, rel=1e-12)


def test_means_and_ranges_by_the_textbook_formulas():
    """X-bar +/- A2 R and D4 R, with the printed factors for n = 5 (0.577, 2.114): to the three digits these have."""
    strips = [[1, 2, 3, 4, 5], [2, 2, 2, 6, 3], [0, 1, 5, 2, 2], [4, 4, 1, 3, 3]]
    chart = means_and_ranges("abcd", strips)
    mean, spread = (3 + 3 + 2 + 3) / 4, (4 + 4 + 5 + 3) / 4
    assert chart.place.points == pytest.approx((3, 3, 2, 3))
    assert chart.scatter.points == (4, 4, 5, 3)
    assert (chart.place.centre, chart.scatter.centre) == (pytest.approx(mean), pytest.approx(spread))
    assert chart.place.upper == pytest.approx(mean + 0.577 * spread, abs=0.0005 * spread)
    assert chart.place.lower == pytest.approx(mean - 0.577 * spread, abs=0.0005 * spread)
    assert chart.scatter.upper == pytest.approx(2.114 * spread, abs=0.0005 * spread)
    assert chart.sigma == pytest.approx(spread / 2.326, rel=3e-4)

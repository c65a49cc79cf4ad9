"""Air, moisture, diffusion and the drying of strips against what others printed, or worked out another way.

- Saturation pressure: IAPWS-IF97 (2007 release), table 35: a different equation than ours, printed to nine digits;
  IAPWS SR1-86 (1992): triple point 611.657 Pa, normal boiling point 373.1243 K.
- Moisture: *Wood Handbook*, FPL-GTR-282 (2021), table 4-2.
- Diffusion: J. Crank, *The Mathematics of Diffusion*, 2nd ed. (1975), eq. 4.18 (plane sheet), 6.20 (sphere); from
  memory, derived again by separation of variables. A right-angled isosceles triangle is half a square, so that its
  modes are the square's that vanish on the diagonal. Finite differences stand for no formula at all.
"""

from __future__ import annotations

from itertools import pairwise
from math import exp, pi, radians

import numpy as np
import pytest
from scipy.sparse import eye_array, lil_array
from scipy.sparse.linalg import splu

from culmwright.cane.air import Air, saturation_pressure
from culmwright.cane.diffusion import modes, strip_modes, triangle_mesh
from culmwright.cane.drying_curves import series_left
from culmwright.cane.moisture import settle, wood_moisture
from culmwright.cane.swelling import shrinkage, swelling

INCH, THOU = 0.0254, 25.4e-6


def fahrenheit(degrees):
    return (degrees + 459.67) * 5 / 9


@pytest.mark.parametrize(
    ("kelvin", "pascal"),
    [(300.0, 0.353658941e4), (500.0, 0.263889776e7), (600.0, 0.123443146e8), (273.16, 611.657), (373.1243, 101325.0)],
)
def test_saturation_pressure(kelvin, pascal):
    """The two equations of the IAPWS agree within 0.025 % over the whole range."""
    assert saturation_pressure(kelvin) == pytest.approx(pascal, rel=2.5e-4)


TABLE = [
    *[(70, rh, mc) for rh, mc in ((5, 1.3), (30, 6.2), (50, 9.2), (75, 14.4), (85, 17.9), (95, 23.9))],
    *[(100, rh, mc) for rh, mc in ((50, 8.7), (90, 19.5))],
]


@pytest.mark.parametrize(("degrees", "humidity", "moisture"), TABLE)
def test_wood_moisture(degrees, humidity, moisture):
    """Half a unit of the last digit, and 0.02 more: the table rounds its own equation oddly at 85 %."""
    assert 100 * wood_moisture(fahrenheit(degrees), humidity / 100) == pytest.approx(moisture, abs=0.07)


@pytest.mark.parametrize(("degrees", "humidity", "moisture"), [(150, 4.9, 0.85), (180, None, 0.31), (212, None, 0.11)])
def test_room_air_in_an_oven(degrees, humidity, moisture):
    """Room air at 70 degF and 50 %, warmed at constant vapour pressure; reckoned by two methods, half a last digit."""
    oven = Air(fahrenheit(70), 0.50).warmed(fahrenheit(degrees))
    assert 100 * settle(oven).moisture == pytest.approx(moisture, abs=0.0051)
    if humidity is not None:
        assert 100 * oven.humidity == pytest.approx(humidity, abs=0.051)


def test_past_the_end_of_the_table():
    """K1 turns negative at 129.2 degC (264.6 degF), its own root, and the equation itself by 300 degF: there is no
    negative moisture."""
    root = (-0.00938 + (0.00938**2 + 4 * 0.000303 * 6.27) ** 0.5) / (2 * 0.000303)
    assert root == pytest.approx(129.2, abs=0.06)
    assert wood_moisture(fahrenheit(270), 0.0044) > 0
    assert wood_moisture(fahrenheit(300), 0.0027) == 0.0
    assert wood_moisture(fahrenheit(70), 0.0) == 0.0


def test_air_cooled_below_its_dew_point_is_saturated():
    """80 degF at 60 % has its dew point at 64.9 degF (Magnus' formula as in WMO-No. 8, from memory)."""
    warm = Air(fahrenheit(80), 0.60)
    assert warm.warmed(fahrenheit(66)).humidity < 1.0
    assert warm.warmed(fahrenheit(64)).humidity == 1.0


def test_a_strip_with_six_per_cent_to_lose():
    """0.150 in high, 0.15 to 0.30 % a per cent (from memory): 1.35 to 2.70 thou; ours is read wet, 1 to 2 % less."""
    lost = shrinkage(0.150 * INCH, 0.12, 0.06)
    assert (lost.low / THOU, lost.high / THOU) == (pytest.approx(1.35, rel=0.02), pytest.approx(2.70, rel=0.02))
    grown = swelling(0.12, 0.06)
    assert (grown.low, grown.high) == (pytest.approx(6 * 0.0015), pytest.approx(6 * 0.0030))
    soaked = swelling(0.80, 0.06)  # *Wood Handbook*, ch. 4: wood swells to about 30 %, and no further
    assert (soaked.low, soaked.high) == (pytest.approx(24 * 0.0015), pytest.approx(24 * 0.0030))


def sheet(dose):
    """Crank 4.18: share left in a plane sheet of thickness 1 that dries on both faces."""
    return 8 / pi**2 * sum(exp(-((2 * n + 1) ** 2) * pi**2 * dose) / (2 * n + 1) ** 2 for n in range(200))


def sphere(dose):
    """Crank 6.20: share left in a sphere of diameter 1."""
    return 6 / pi**2 * sum(exp(-4 * n**2 * pi**2 * dose) / n**2 for n in range(1, 400))


def half_square(dose):
    """A right isosceles triangle with legs 1: modes sin(m x) sin(n y) - sin(n x) sin(m y) over 0 to pi, m > n.

    Their means do not vanish for m - n odd only; by sums over the square, cut along the diagonal.
    """
    total = 0.0
    for m in range(1, 60):
        for n in range(1, m):
            # integral over y < x of the mode, by parts: non-zero for m + n odd
            if (m + n) % 2 == 0:
                continue
            mean = 4 * (m / n if n % 2 else n / m) / (m**2 - n**2) * (1 if n % 2 else -1)
            total += mean**2 / (pi**2 / 4) / (pi**2 / 2) * exp(-(m**2 + n**2) * pi**2 * dose)
    return total


DOSES = (0.002, 0.005, 0.01, 0.02, 0.04, 0.08)


def rectangle(long, across, n, *, open_ends):
    """A mesh of a rectangle ``long`` by 1 that dries on its long sides, and on its ends if they are open."""
    points = [(long * i / across, j / n) for i in range(across + 1) for j in range(n + 1)]
    at = lambda i, j: i * (n + 1) + j  # noqa: E731
    triangles = [
        corners
        for i in range(across)
        for j in range(n)
        for corners in ((at(i, j), at(i + 1, j), at(i + 1, j + 1)), (at(i, j), at(i + 1, j + 1), at(i, j + 1)))
    ]
    drying = [
        at(i, j) for i in range(across + 1) for j in range(n + 1) if j in (0, n) or (open_ends and i in (0, across))
    ]
    return points, triangles, drying


@pytest.mark.parametrize("dose", [10 * one for one in DOSES])
def test_plane_sheet(dose):
    """The same code on a rectangle with sealed ends: 0.2 % of the water, what 40 linear elements are short of."""
    assert modes(*rectangle(0.5, 2, 40, open_ends=False)).left(dose) == pytest.approx(sheet(dose), abs=2e-3)


@pytest.mark.parametrize("dose", DOSES[2:])
def test_square_bar(dose):
    """A square bar loses as two crossed sheets: the product of their series."""
    assert modes(*rectangle(1.0, 20, 20, open_ends=True)).left(dose) == pytest.approx(sheet(dose) ** 2, abs=6e-3)


@pytest.mark.parametrize("dose", DOSES)
def test_equilateral_strip_dries_like_a_sphere(dose):
    """Open on three sides: exactly the series of a sphere of its height; 0.8 % is what the skin of the mesh costs."""
    assert strip_modes(1.0, pi / 3, enamel_open=True).left(dose) == pytest.approx(sphere(dose), abs=8e-3)
    in_constants = 4 * pi**2 * dose
    assert series_left(np.array([in_constants]))[0] == pytest.approx(sphere(dose), abs=2e-5)
    early = dose / 1000  # where few terms do not do, and the code takes a limit
    assert series_left(np.array([4 * pi**2 * early]))[0] == pytest.approx(sphere(early), abs=2e-3)
    assert series_left(np.array([4 * pi**2 * dose / 30]))[0] == pytest.approx(sphere(dose / 30), abs=2e-5)


def test_at_the_first_moment_nothing_has_gone():
    """A billionth of its height squared: Crank 6.20 has 0.02 % gone, and all the shares are one."""
    assert strip_modes(1.0, pi / 3, enamel_open=True).left(1e-9) == pytest.approx(1.0, abs=3e-4)


@pytest.mark.parametrize("dose", DOSES)
def test_strip_of_four_sides_is_half_a_square(dose):
    """Apex 90 deg, height 1: legs of sqrt(2)."""
    assert strip_modes(1.0, pi / 2, enamel_open=True).left(dose) == pytest.approx(half_square(dose / 2), abs=8e-3)


@pytest.mark.parametrize(("apex", "open_"), [(60, False), (72, True), (90, False)])
def test_strips_against_finite_differences(apex, open_):
    """Finite differences on an oblique grid along the flanks; two grids, drawn on to none.
    Backward Euler in time; 0.6 % of the water is what both leave.
    """
    dose = 0.02
    found = strip_modes(1.0, radians(apex), enamel_open=open_).left(dose)
    coarse, fine = (by_differences(radians(apex), open_, n, dose) for n in (24, 48))
    assert found == pytest.approx(2 * fine - coarse, abs=6e-3)


def by_differences(apex, enamel_open, n, dose):
    """In the oblique coordinates (r, s) of the flanks the triangle is a unit triangle: r, s >= 0, r + s <= 1.

    With flank length l and apex a, lap u = (u_rr + u_ss - 2 cos a u_rs)/(l sin a)^2. The enamel is r + s = 1.
    """
    length = 1 / np.cos(apex / 2)
    k = dose / 400
    inside = [(i, j) for i in range(1, n) for j in range(1, n) if i + j < n + (0 if enamel_open else 1)]
    index = {key: row for row, key in enumerate(inside)}
    h, c = 1 / n, np.cos(apex)

    def mirrored(i, j):
        """Where a point beyond the sealed enamel is seen in it: (i, j) with i + j = n + e is (n - j, n - i)."""
        return (n - j, n - i)

    A = lil_array((len(index), len(index)))
    stencil = {(1, 0): 1.0, (-1, 0): 1.0, (0, 1): 1.0, (0, -1): 1.0, (0, 0): -4.0}
    cross = {(1, 1): 1.0, (-1, -1): 1.0, (1, 0): -1.0, (-1, 0): -1.0, (0, 1): -1.0, (0, -1): -1.0, (0, 0): 2.0}
    for (i, j), row in index.items():
        for weights, factor in ((stencil, 1.0), (cross, -c)):
            for (di, dj), weight in weights.items():
                place = (i + di, j + dj)
                if not enamel_open and sum(place) > n:
                    place = mirrored(*place)
                if place in index:
                    A[row, index[place]] += factor * weight
    A = A / (h * length * np.sin(apex)) ** 2
    step = splu((eye_array(len(index)) - k * A.tocsc()).tocsc())
    u = np.ones(len(index))
    for _ in range(400):
        u = step.solve(u)
    weight = np.array([0.5 if i + j == n else 1.0 for i, j in index])
    return float((weight * u).sum() * 2 / n**2)


@pytest.mark.parametrize("enamel_open", [True, False])
def test_the_slowest_rate_converges_as_it_should(enamel_open):
    """Linear triangles: the error of a rate falls with the square of the mesh. Exact: 4 pi^2 for the open equilateral
    strip; for the sealed one the limit of the meshes themselves, by Richardson."""
    rates = [modes(*triangle_mesh(pi / 3, n, enamel_open=enamel_open)).rates[0] for n in (6, 12, 24)]
    exact = 4 * pi**2 if enamel_open else rates[-1] + (rates[-1] - rates[-2]) / 3
    errors = [rate - exact for rate in rates[: 3 if enamel_open else 2]]
    orders = [np.log2(before / after) for before, after in pairwise(errors)]
    assert orders == pytest.approx([2.0] * len(orders), abs=0.06)
    assert all(error > 0 for error in errors)  # Galerkin's rates lie above the true ones


@pytest.mark.parametrize("dose", [0.01, 0.04])
def test_the_finite_differences_can_be_leant_on(dose):
    """Where there is a series: the open equilateral strip. The half square's own series starts at 1."""
    coarse, fine = (by_differences(pi / 3, True, n, dose) for n in (24, 48))
    assert 2 * fine - coarse == pytest.approx(sphere(dose), abs=4e-3)
    assert half_square(0.0) == pytest.approx(1.0, abs=0.03)  # sixty modes a side

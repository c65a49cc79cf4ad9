"""The stress of a straight-taper cantilever under an end load, against its closed form.

Where a section modulus goes with d^3 and d grows evenly from tip to root, the greatest stress of an end load stands
where d = 1.5 d_tip, if the root is as thick as that, and is 4/(27 r^2 (1 - r)) of that at the root, r = d_tip/d_root;
32/27 at r = 1/2. Source: J. M. Gere, S. P. Timoshenko, *Mechanics of Materials*, nonprismatic beams (from memory;
derived by hand: x/d^3 is stationary where d = 3 (d - d_tip), that is d = 1.5 d_tip).
"""

from __future__ import annotations

from dataclasses import replace

import pytest

from culmwright.design.polygon import apothem, bending_modulus
from culmwright.design.rod import Rod, Stated
from culmwright.design.rod_file import rod_from_text
from culmwright.mechanics.loads import PointLoad
from culmwright.mechanics.stress import STEPS, stress_check

GRAVITY = 9.80665
INCH = 0.0254
ROOT = 0.33 * INCH  # [m] across at the root
LENGTH = 90 * INCH  # [m]
RATIOS = [0.2, 0.25, 1 / 3, 0.5, 0.6]
STEP = LENGTH / 20_000  # [m] of the search in the first test


def peak_over_root(r: float) -> float:
    return 4 / (27 * r**2 * (1 - r))


def across(r: float, x: float) -> float:
    return ROOT * (r + (1 - r) * x / LENGTH)


@pytest.mark.parametrize("n", [4, 5, 6])
@pytest.mark.parametrize("r", RATIOS)
def test_point_load_and_section_modulus(n, r):
    load = PointLoad("end load", 0.0, 0.1)

    def stress(x: float) -> float:
        return GRAVITY * load.moment_arm(x) / bending_modulus(n, apothem(n, across(r, x)))

    x = max((STEP * i for i in range(1, 20_001)), key=stress)
    slope = ROOT * (1 - r) / LENGTH
    assert across(r, x) == pytest.approx(1.5 * r * ROOT, abs=slope * STEP)
    assert stress(x) / stress(LENGTH) == pytest.approx(peak_over_root(r), rel=1e-7)  # flat top: second order in STEP


def test_half_is_32_over_27():
    assert peak_over_root(0.5) == pytest.approx(32 / 27, rel=1e-15)


@pytest.mark.parametrize("r", [0.7, 0.9])
def test_a_root_thinner_than_that_has_its_greatest_stress_at_the_root(r):
    load = PointLoad("end load", 0.0, 0.1)
    places = [STEP * i for i in range(1, 20_001)]
    stresses = [load.moment_arm(x) / bending_modulus(6, apothem(6, across(r, x))) for x in places]
    assert max(stresses) == stresses[-1]


ROD = """
culmwright = 1
units = "inch"
[rod]
sides = {n}
length = 90
line = 5
[taper]
stations = [0, 90]
across = [{tip}, 0.33]
"""


def weightless(n: int, tip: float) -> Rod:
    """The rod of a file, its cane made a billionth as dense as water: no file may say so."""
    rod = rod_from_text(ROD.format(n=n, tip=tip))
    return replace(rod, cane=replace(rod.cane, density=Stated(1e-6, "a billionth of water")))


@pytest.mark.parametrize("n", [4, 5, 6])
@pytest.mark.parametrize("r", RATIOS)
def test_a_rod_that_weighs_next_to_nothing(n, r):
    """A line hung on a rod whose cane weighs next to nothing: only the line bends it."""
    check = stress_check(weightless(n, r * 0.33))
    assert check.greatest is not None
    root = check.stations[-1]
    # 140 grains at 90 in, load factor 4.
    assert root.moment == pytest.approx(4 * 140 * 0.06479891e-3 * GRAVITY * LENGTH, rel=1e-6)
    step = LENGTH / STEPS
    assert check.greatest.across == pytest.approx(1.5 * r * ROOT, abs=ROOT * (1 - r) / LENGTH * step)
    # Off the peak by half a step at most: x/d^3 falls there by less than 3 (step/x)^2, x the place of the peak.
    peak = LENGTH * r / (2 * (1 - r))
    assert check.greatest.stress / root.stress == pytest.approx(peak_over_root(r), rel=3 * (step / peak) ** 2)


def test_the_ratio_of_a_half_to_the_last_digit():
    """At r = 1/2 the peak stands at half the length, which is one of the places looked at."""
    check = stress_check(weightless(6, 0.165))
    assert check.greatest is not None
    assert check.greatest.station == pytest.approx(LENGTH / 2, rel=1e-12)
    # The cane's own billionth of a weight is all that is left.
    assert check.greatest.stress / check.stations[-1].stress == pytest.approx(32 / 27, rel=1e-7)

"""What holds for the stress check of every rod: scale, superposition, and the load found again from the moments."""

from __future__ import annotations

from itertools import pairwise

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from culmwright.design.polygon import area
from culmwright.design.rod_file import rod_from_text
from culmwright.mechanics.loads import SpreadLoad, own_loads
from culmwright.mechanics.stress import stress_check

NEAR = 1e-9  # relative, for sums of a few dozen terms read from texts of ten digits
GRAVITY = 9.80665

tapers = st.lists(st.integers(min_value=1200, max_value=9000), min_size=3, max_size=8)  # [µm] across, evenly spaced
sides = st.sampled_from([4, 5, 6])
few = settings(max_examples=settings.default.max_examples // 8)  # each draws and checks whole rods


def text_of(
    n: int, across: list[int], scale: float = 1.0, density: float = 1150.0, unit: str = "mm", line: str = ""
) -> str:
    """A one-piece rod of 2.4 m times ``scale``, its varnish and ferrule-free loads scaled with it."""
    size = {"mm": 1.0, "in": 1 / 25.4}[unit] * scale
    stations = [2400.0 * size * i / (len(across) - 1) for i in range(len(across))]
    return f"""
culmwright = 1
units = "{"metric" if unit == "mm" else "inch"}"
[rod]
sides = {n}
length = {stations[-1]!r}
{line}
[taper]
stations = {stations!r}
across = {[one / 1000 * size for one in across]!r}
varnish = {0.04 * size!r}
varnish_density = "1100 kg/m^3"
[cane]
density = "{density} kg/m^3"
"""


def checked(*arguments, factor: float = 4.0, **others):
    return stress_check(rod_from_text(text_of(*arguments, **others)), factor)


@few
@given(sides, tapers, st.sampled_from([0.5, 0.8, 1.25, 2.0]))
def test_similar_rods(n, across, scale):
    """Everything larger by k: masses by k^3, moments of own weight by k^4, stresses by k."""
    one, other = checked(n, across), checked(n, across, scale)
    assert other.mass == pytest.approx(one.mass * scale**3, rel=NEAR)
    for small, large in zip(one.stations[1:], other.stations[1:], strict=True):
        assert large.moment == pytest.approx(small.moment * scale**4, rel=NEAR)
        assert large.stress == pytest.approx(small.stress * scale, rel=NEAR)


@few
@given(sides, tapers)
def test_inches_and_millimetres_are_the_same_rod(n, across):
    metric, inch = checked(n, across), checked(n, across, unit="in")
    assert inch.mass == pytest.approx(metric.mass, rel=NEAR)
    assert [one.stress for one in inch.stations] == pytest.approx([one.stress for one in metric.stations], rel=NEAR)


@few
@given(sides, tapers, st.floats(min_value=0.1, max_value=20))
def test_moments_grow_with_the_load_factor_and_masses_do_not(n, across, factor):
    one, other = checked(n, across, factor=1.0), checked(n, across, factor=factor)
    assert other.mass == one.mass
    assert [s.moment for s in other.stations] == pytest.approx([s.moment * factor for s in one.stations], rel=NEAR)


@few
@given(sides, tapers, st.integers(min_value=1, max_value=15))
def test_a_line_adds_its_own_moment_and_nothing_else(n, across, number):
    bare, hung = checked(n, across), checked(n, across, line=f"line = {number}")
    line = next(one.mass for one in hung.loads if one.load == "line beyond the tip")
    assert hung.mass == bare.mass
    for without, having in zip(bare.stations, hung.stations, strict=True):
        assert having.moment - without.moment == pytest.approx(
            4 * GRAVITY * line * without.station, rel=1e-6, abs=1e-12
        )


@few
@given(sides, tapers)
def test_the_load_is_found_again_from_the_moments(n, across):
    """The slope of the moment is the weight outboard, and the slope of that the weight per length."""
    rod = rod_from_text(text_of(n, across))
    (cane,) = (load for load in own_loads(rod) if load.name == "cane")
    assert isinstance(cane, SpreadLoad)
    step = 1e-4
    for x in (0.3, 1.1, 2.3):
        slope = (cane.moment_arm(x + step) - cane.moment_arm(x - step)) / (2 * step)
        assert slope == pytest.approx(cane.mass_outboard(x), rel=1e-5)
        slope = (cane.mass_outboard(x + step) - cane.mass_outboard(x - step)) / (2 * step)
        bare = rod.bare_apothem(rod.taper.at(x))
        assert slope == pytest.approx(1150.0 * area(n, bare), rel=1e-3)  # a station may lie within the step


@few
@given(sides, tapers)
def test_moments_never_fall_towards_the_butt_and_grow_ever_faster(n, across):
    check = checked(n, across, line="line = 5")
    places = [(one.station, one.moment) for one in check.stations]
    slopes = [(m2 - m1) / (x2 - x1) for (x1, m1), (x2, m2) in pairwise(places)]
    assert slopes[0] > 0
    assert all(after > before for before, after in pairwise(slopes))


@few
@given(sides, tapers)
def test_the_greatest_stress_is_the_greatest(n, across):
    check = checked(n, across, line="line = 5")
    assert check.greatest is not None
    assert check.greatest.stress >= max(one.stress for one in check.stations)


@few
@given(sides, tapers)
def test_the_taper_is_found_again_from_moment_and_stress(n, across):
    """Z = M/stress; and Z goes with the cube of the bare apothem."""
    rod = rod_from_text(text_of(n, across))
    unit_modulus = stress_check(rod).stations[-1].modulus / rod.bare_apothem(across[-1] * 1e-6) ** 3
    for one, drawn in list(zip(stress_check(rod).stations, across, strict=True))[1:]:
        bare = (one.moment / one.stress / unit_modulus) ** (1 / 3)
        assert bare == pytest.approx(rod.bare_apothem(drawn * 1e-6), rel=NEAR)

"""What holds for every strip and section, whatever the rod."""

from __future__ import annotations

from math import pi, radians, tan

import pytest
from hypothesis import given
from hypothesis import strategies as st

from culmwright.bench.targets import schedule
from culmwright.design import polygon
from culmwright.design.fittings import seat
from culmwright.design.rod_file import rod_from_text
from culmwright.design.strip import StripForm, glue_offset, sagitta

NEAR = 1e-12  # relative: a few hundred roundings of a double

sides = st.sampled_from([4, 5, 6])
off = st.floats(min_value=-5, max_value=5)
height = st.floats(min_value=2e-4, max_value=0.012)  # [m]
culm = st.one_of(st.none(), st.floats(min_value=0.024, max_value=0.2))  # [m], diameter: a height is never half of it


def form_of(n: int, off: float, culm: float | None) -> StripForm:
    return StripForm(n, 2 * pi / n + radians(off), culm / 2 if culm else None)


@given(sides, off, height, culm)
def test_the_face_lies_on_the_flanks_under_the_crown(n, off, h, culm):
    """``w = 2 (h - s(w)) tan(alpha/2)`` with ``s = R - sqrt(R^2 - w^2/4)``."""
    form = form_of(n, off, culm)
    w = form.face_width(h)
    crown = form.crown(h) or 0.0
    assert w == pytest.approx(2 * (h - crown) * tan(form.apex_angle / 2), rel=NEAR)
    assert (form.crown(h) is None) is (culm is None)
    if culm:
        assert crown == pytest.approx(sagitta(culm / 2, w), rel=NEAR)
        assert 0 < crown < h


@given(sides, off, height, culm)
def test_the_height_put_together_again_is_the_apothem_asked_for(n, off, glued, culm):
    form = form_of(n, off, culm)
    h = form.height(glued)
    crown = form.crown(h) or 0.0
    assert (h - crown) * max(form.closing, 1) + crown == pytest.approx(glued, rel=NEAR)
    assert h <= glued * (1 + NEAR)


@given(sides, off, height, st.floats(min_value=0.1, max_value=10), culm)
def test_similar_strips_have_similar_figures(n, off, h, scale, culm):
    form, larger = form_of(n, off, culm), form_of(n, off, culm and culm * scale)
    assert larger.face_width(h * scale) == pytest.approx(form.face_width(h) * scale, rel=NEAR)
    assert larger.height(h * scale) == pytest.approx(form.height(h) * scale, rel=NEAR)
    # Void and gape are differences of nearly equal lengths: to the size of the strip, not their own.
    assert larger.stand_off(h * scale) == pytest.approx(form.stand_off(h) * scale, abs=h * scale * NEAR)
    assert larger.seam_gape(h * scale) == pytest.approx(form.seam_gape(h) * scale, abs=h * scale * NEAR)


@given(sides, off, height, st.floats(min_value=1e-6, max_value=1e-3), culm)
def test_more_rod_takes_more_strip(n, off, glued, more, culm):
    form = form_of(n, off, culm)
    assert form.height(glued + more) > form.height(glued)
    assert form.face_width(glued + more) > form.face_width(glued)


@given(sides, off, height, culm)
def test_void_and_gape_are_never_both_nor_below_zero(n, off, h, culm):
    form = form_of(n, off, culm)
    assert form.stand_off(h) >= 0
    assert form.seam_gape(h) >= 0
    assert min(form.stand_off(h), form.seam_gape(h)) <= 1e-15


@given(sides, st.floats(min_value=1e-4, max_value=0.02), st.floats(min_value=0.1, max_value=10))
def test_similar_sections(n, a, scale):
    assert polygon.area(n, a * scale) == pytest.approx(polygon.area(n, a) * scale**2, rel=NEAR)
    assert polygon.second_moment(n, a * scale) == pytest.approx(polygon.second_moment(n, a) * scale**4, rel=NEAR)
    assert polygon.bending_modulus(n, a * scale) == pytest.approx(polygon.bending_modulus(n, a) * scale**3, rel=NEAR)


@given(sides, st.floats(min_value=5e-4, max_value=0.012), st.integers(min_value=3, max_value=64))
def test_a_ferrules_seat_adds_up(n, a, size):
    found = seat(n, a, size)
    assert min(found.corner_cut, found.flat_cut, found.slack) >= 0
    assert found.corner_cut == 0 or found.slack == 0
    assert found.corners - 2 * found.corner_cut + found.slack == pytest.approx(found.bore, rel=NEAR)
    assert found.flats - 2 * found.flat_cut <= found.bore * (1 + NEAR)
    assert (found.fitting_size - 1) / 64 * 0.0254 < found.flats <= found.fitting_size / 64 * 0.0254 * (1 + 1e-9)


ROD = """
culmwright = 1
units = "metric"
[rod]
sides = {n}
length = 2000
[taper]
stations = [0, 700, 2000]
across = [{tip}, {middle}, {butt}]
varnish = {varnish}
[strips]
apex_angle = "{apex} deg"
glue_line = {glue}
finish = {finish}
{culm}
[bench]
block_zero = 3
"""

across = st.integers(min_value=1500, max_value=9000).map(lambda microns: f"{microns / 1000}")
thin = st.integers(min_value=0, max_value=60).map(lambda microns: f"{microns / 1000}")
tenths = st.integers(min_value=-20, max_value=20).map(lambda tenths: tenths / 10)


@given(sides, across, across, across, thin, thin, thin, tenths, st.sampled_from(["", "culm_diameter = 54"]))
def test_the_whole_ladder_runs_backwards(n, tip, middle, butt, varnish, glue, finish, off, culm):
    """From the height of every strip back to the across that the file gives."""
    rod = rod_from_text(
        ROD.format(n=n, tip=tip, middle=middle, butt=butt, varnish=varnish, glue=glue, finish=finish,
                   apex=360 / n + off, culm=culm)
    )  # fmt: skip
    wedged = off > 1  # in the block one degree open, where no reading is right
    for strip in schedule(rod).sections[0].stations:
        seated = (strip.height - (strip.crown or 0.0)) * max(rod.form.closing, 1) + (strip.crown or 0.0)
        apothem = seated + glue_offset(n, float(glue) * 1e-3) - float(finish) * 1e-3 + float(varnish) * 1e-3
        assert polygon.across(n, apothem) == pytest.approx(strip.across, rel=1e-11)
        assert strip.rough_height - strip.height == pytest.approx(2.54e-3, rel=1e-11)
        assert strip.reading == (None if wedged else pytest.approx(strip.height + 3e-3, rel=1e-12))
        assert strip.groove_depth == pytest.approx(strip.height * rod.form.flank_altitude, rel=1e-12)

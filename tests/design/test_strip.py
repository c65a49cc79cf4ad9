"""The strip: shape, closing and gaping, crown; every refusal-free figure against its definition."""

from __future__ import annotations

from math import cos, degrees, pi, radians, sin, sqrt, tan

import pytest

from culmwright.design.strip import StripForm, glue_offset, sagitta

THOU = 25.4e-6
INCH = 0.0254


def true_form(sides: int, culm_radius: float | None = None) -> StripForm:
    return StripForm(sides, 2 * pi / sides, culm_radius)


@pytest.mark.parametrize("sides", [4, 5, 6])
def test_a_true_apex_closes_without_void_or_gape(sides):
    form = true_form(sides)
    assert form.closing == pytest.approx(1, abs=1e-15)
    assert form.stand_off(4e-3) == pytest.approx(0, abs=1e-17)
    assert form.seam_gape(4e-3) == pytest.approx(0, abs=1e-17)
    assert form.height(4e-3) == pytest.approx(4e-3, rel=1e-15)


@pytest.mark.parametrize("sides", [4, 5, 6])
@pytest.mark.parametrize("off", [-2, -0.5, 0.5, 2])
def test_void_and_gape_exclude_each_other(sides, off):
    form = StripForm(sides, 2 * pi / sides + radians(off))
    assert (form.closing > 1) is (off > 0)
    assert (form.stand_off(4e-3) > 0) is (off > 0)
    assert (form.seam_gape(4e-3) > 0) is (off < 0)


def test_without_a_culm_there_is_no_crown_to_state():
    assert true_form(6).crown(4e-3) is None


@pytest.mark.parametrize("h", [0.03, 0.15, 0.25])
def test_flat_enamel_is_a_triangle(h):
    form = StripForm(6, radians(61))
    assert form.face_width(h) == pytest.approx(2 * h * tan(radians(30.5)), rel=1e-15)


@pytest.mark.parametrize("sides", [4, 5, 6])
@pytest.mark.parametrize("h", [0.03, 0.15, 0.5])
def test_a_crowned_face_ends_where_the_flanks_meet_the_culm(sides, h):
    """The face's corner lies on the flank and on the culm's circle, whose top is h above the apex."""
    form = true_form(sides, 1.0625)
    half = form.face_width(h) / 2
    chord = half / tan(pi / sides)
    assert sqrt(half**2 + (chord - (h - 1.0625)) ** 2) == pytest.approx(1.0625, rel=1e-14)
    assert form.crown(h) == pytest.approx(h - chord, rel=1e-9)


@pytest.mark.parametrize("radius", [1e3, 1e6, 1e9, 1e12])
def test_a_huge_culm_is_flat_enamel_to_the_last_digit(radius):
    form = StripForm(6, radians(60), radius)
    assert form.face_width(4e-3) == pytest.approx(2 * 4e-3 * tan(radians(30)), rel=1e-2 / radius + 1e-15)
    assert form.crown(4e-3) == pytest.approx(form.face_width(4e-3) ** 2 / (8 * radius), rel=1e-6)


def test_a_half_circle_has_a_sagitta_of_its_radius():
    assert sagitta(1.0, 2.0) == pytest.approx(1.0)
    assert sagitta(5.0, 6.0) == pytest.approx(1.0)  # 3, 4, 5
    assert sagitta(5.0, 0.0) == 0.0


def test_glue_moves_strips_out():
    # Six sides: across flats grows by two glue lines; four: by the root of two each side.
    assert glue_offset(6, THOU) == pytest.approx(THOU)
    assert glue_offset(4, THOU) == pytest.approx(THOU / sqrt(2))
    assert glue_offset(5, 0.0) == 0.0


@pytest.mark.parametrize("off", [0.5, 1.0, 2.0])
@pytest.mark.parametrize("radius", [None, 1.0 * INCH])
def test_the_height_undoes_the_growth_of_strips_that_close_early(off, radius):
    form = StripForm(6, radians(60 + off), radius)
    h = form.height(0.15 * INCH)
    crown = form.crown(h) or 0.0
    assert (h - crown) * form.closing + crown == pytest.approx(0.15 * INCH, rel=1e-13)
    assert h < 0.15 * INCH


def test_the_flank_altitude_is_the_distance_from_a_corner_to_the_other_flank():
    alpha = radians(61)
    form = StripForm(6, alpha)
    corner = (tan(alpha / 2), 1.0)  # height one
    normal = (cos(alpha / 2), sin(alpha / 2))  # square to the other flank
    assert form.flank_altitude == pytest.approx(corner[0] * normal[0] + corner[1] * normal[1], rel=1e-14)
    assert degrees(alpha) == pytest.approx(61)

"""Figures of strips, each worked out twice by hand from plane geometry, to half a unit of the last digit printed."""

from __future__ import annotations

from math import pi, radians

import pytest

from culmwright.design.rod import Cutter
from culmwright.design.strip import StripForm, glue_offset, sagitta
from culmwright.rigs.cutter import fall_per_depth

INCH = 0.0254
THOU = 25.4e-6


# n, apex [deg], width over height, altitude onto a flank over height: isosceles triangle, apex 360/n.
TRIANGLES = [(4, 90, 2.0000, 1.4142), (5, 72, 1.4531, 1.1756), (6, 60, 1.1547, 1.0000)]


@pytest.mark.parametrize(("n", "apex", "width", "altitude"), TRIANGLES)
def test_the_ideal_strip(n, apex, width, altitude):
    form = StripForm(n, radians(apex))
    assert form.face_width(1.0) == pytest.approx(width, abs=5e-5)
    assert form.flank_altitude == pytest.approx(altitude, abs=5e-5)


# Six sides, strips 0.150 in high: apex [deg], across flats of the rod [in], void at the centre and gape outside [thou].
CLOSING = [
    (61.0, 0.3061, 3.0, 0.0),
    (60.5, 0.3030, 1.5, 0.0),
    (60.0, 0.3000, 0.0, 0.0),
    (59.0, 0.3000, 0.0, 3.0),
]


@pytest.mark.parametrize(("apex", "across", "void", "gape"), CLOSING)
def test_how_a_false_apex_closes(apex, across, void, gape):
    form, h = StripForm(6, radians(apex)), 0.150 * INCH
    assert form.height(across * INCH / 2) / INCH == pytest.approx(0.150, abs=2.5e-5)
    assert 2 * h * max(form.closing, 1) / INCH == pytest.approx(across, abs=5e-5)
    assert form.stand_off(h) / THOU == pytest.approx(void, abs=0.05)
    assert form.seam_gape(h) / THOU == pytest.approx(gape, abs=0.05)


def test_glue_on_six_sides_adds_two_lines_across_flats():
    assert 2 * glue_offset(6, THOU) == pytest.approx(2 * THOU, rel=1e-12)


@pytest.mark.parametrize(("width", "crown"), [(0.25, 7.0), (0.10, 1.1)])
def test_sagitta_on_a_culm_of_two_and_a_quarter_inches(width, crown):
    assert sagitta(1.125 * INCH, width * INCH) / THOU == pytest.approx(crown, abs=0.05)


@pytest.mark.parametrize(("width", "crown"), [(0.25, 7.0), (0.10, 1.1)])
def test_a_strip_of_that_width_has_that_crown(width, crown):
    form = StripForm(6, radians(60), 1.125 * INCH)
    low, high = 0.01 * INCH, 0.5 * INCH  # the height whose face is so wide
    for _ in range(60):
        middle = (low + high) / 2
        low, high = (middle, high) if form.face_width(middle) < width * INCH else (low, middle)
    assert form.crown(high) / THOU == pytest.approx(crown, abs=0.05)


@pytest.mark.parametrize(("spot", "depth"), [(0.5, 3.1), (0.625, 4.9), (0.75, 7.0)])
def test_sagitta_of_a_node_flattened_on_a_bend_of_ten_inches(spot, depth):
    assert sagitta(10 * INCH, spot * INCH) / THOU == pytest.approx(depth, abs=0.05)


@pytest.mark.parametrize(("n", "fall"), [(6, 1.0000), (5, 0.8507), (4, 0.7071)])
def test_the_fall_of_a_flat_pass(n, fall):
    assert fall_per_depth(Cutter.FLAT, StripForm(n, 2 * pi / n)) == pytest.approx(fall, abs=5e-5)

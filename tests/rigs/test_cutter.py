"""What a stroke takes off: plane geometry of a flat iron and a two-edged cutter."""

from __future__ import annotations

from math import cos, pi, radians, sin, tan

import pytest

from culmwright.design.rod import Cutter
from culmwright.design.strip import StripForm
from culmwright.rigs.cutter import fall_per_depth, strokes_per_round


@pytest.mark.parametrize("sides", [4, 5, 6])
def test_a_two_edged_cutter_lowers_the_strip_by_its_fall(sides):
    assert fall_per_depth(Cutter.TWO_EDGED, StripForm(sides, 2 * pi / sides)) == 1.0


@pytest.mark.parametrize("apex", [60, 61, 72, 90])
def test_a_flat_iron_moves_one_flank_and_with_it_the_apex(apex):
    """Offset one flank by p, cut it with the other, and see how far the new apex has risen."""
    half, p = radians(apex / 2), 0.001
    # Flank one: through the origin, direction (-sin, cos). Flank two, moved in by p: (x - p cos, y + p sin) likewise.
    # Points s (-sin, cos) and (sin r - p cos, cos r + p sin) meet where both coordinates agree.
    s = p * (sin(half) + cos(half) / tan(half)) / (2 * cos(half))
    rise = s * cos(half)
    assert fall_per_depth(Cutter.FLAT, StripForm(6, 2 * half)) == pytest.approx(rise / p, rel=1e-12)


def test_strokes_that_leave_a_strip_even():
    assert strokes_per_round(Cutter.FLAT) == 2
    assert strokes_per_round(Cutter.TWO_EDGED) == 1

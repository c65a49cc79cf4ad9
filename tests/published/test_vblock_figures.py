"""V blocks and pins: *Machinery's Handbook*, and figures worked out twice by hand from plane geometry.

Source: E. Oberg, F. D. Jones, H. L. Horton, H. H. Ryffel, *Machinery's Handbook*, 31st ed. (2020), p. 703, checking a
V-shaped groove by measurement over pins: ``X = Z + 2R [1 + csc((a + b)/2) cos((a - b)/2)]``.
"""

from __future__ import annotations

from math import cos, pi, radians, sin

import pytest

from culmwright.design.strip import StripForm
from culmwright.rigs.vblock import VBlock, pin_top, pin_top_uneven

INCH = 0.0254
THOU = 25.4e-6

BLOCKS = {4: 91, 5: 73, 6: 61}  # one degree open (common practice, no source)


def block(n: int) -> VBlock:
    return VBlock(radians(BLOCKS[n]))


def form(n: int) -> StripForm:
    return StripForm(n, 2 * pi / n)


def test_over_two_pins():
    # The handbook's example: Z = 1.824, R = 0.500, walls 45 and 35 deg: X = 4.374, printed to 0.001.
    assert 1.824 + 2 * pin_top_uneven(0.500, radians(45), radians(35)) == pytest.approx(4.374, abs=5e-4)


def test_at_sixty_degrees_a_pins_top_stands_three_radii_above_the_vertex():
    assert pin_top(0.125, radians(60)) == pytest.approx(0.375, rel=1e-14)


@pytest.mark.parametrize(("beta", "top"), [(61, 0.3713), (73, 0.3351), (91, 0.3003)])
def test_a_quarter_inch_pin(beta, top):
    assert pin_top(0.125, radians(beta)) == pytest.approx(top, abs=5e-5)


def test_a_root_of_five_thou_reads_high():
    assert block(6).round_root_error(5 * THOU) / THOU == pytest.approx(4.9, abs=0.05)


def test_a_relief_slot_of_twenty_thou_reads_low():
    assert block(6).relief_error(form(6), 20 * THOU) / THOU == pytest.approx(0.3, abs=0.05)


@pytest.mark.parametrize(("n", "lean"), [(6, 0.75), (5, 0.95), (4, 1.30)])
def test_the_high_edge_of_a_leaning_strip(n, lean):
    assert block(n).lean_error(form(n), 0.150 * INCH) / THOU == pytest.approx(lean, abs=0.005)


def test_a_strip_that_leans_stands_as_a_triangle_turned_by_half_the_play():
    """Turn the strip about its apex by half a degree and take the highest of its corners."""
    h, half, turn = 0.150, radians(30), radians(0.5)
    corner = (h * sin(half) / cos(half), h)
    high = corner[1] * cos(turn) + corner[0] * sin(turn)
    assert block(6).lean_error(form(6), h) == pytest.approx(high - h, rel=1e-12)


def test_a_worn_apex_stands_as_a_pin_of_its_radius():
    """A round apex touches both walls like a pin, and its own flanks like a pin in a V of the apex angle."""
    worn = 4 * THOU
    in_block, in_strip = worn / sin(radians(30.5)), worn / sin(radians(30))
    assert block(6).worn_apex_error(form(6), worn) == pytest.approx(in_block - in_strip, rel=1e-12)

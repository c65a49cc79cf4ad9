"""The V block: what it reads, what makes it read wrong, and when it warns."""

from __future__ import annotations

from math import radians

import pytest

from culmwright.design.strip import StripForm
from culmwright.rigs.vblock import VBlock, pin_top, pin_top_uneven

INCH = 0.0254
SIX = StripForm(6, radians(60))


def test_a_reading_is_the_zero_plus_the_height():
    assert VBlock(radians(61), 0.01).reading(0.004) == pytest.approx(0.014)


def test_without_a_zero_there_is_no_reading():
    assert VBlock(radians(61)).reading(0.004) is None


@pytest.mark.parametrize("beta", [61, 73, 91])
def test_even_walls_are_the_general_form_with_equal_walls(beta):
    half = radians(beta / 2)
    assert pin_top_uneven(0.003, half, half) == pytest.approx(pin_top(0.003, radians(beta)), rel=1e-14)


@pytest.mark.parametrize(("alpha", "wedges"), [(59.9, False), (60.9, False), (61.0, False), (61.1, True), (63.0, True)])
def test_a_strip_blunter_than_the_block_wedges(alpha, wedges):
    form = StripForm(6, radians(alpha))
    assert VBlock(radians(61)).wedges(form) is wedges
    assert (VBlock(radians(61)).lean_error(form, 0.15 * INCH) > 1e-12) is (alpha < 61)


def test_a_true_strip_in_a_true_block_has_no_error():
    block = VBlock(radians(60))
    assert block.lean_error(SIX, 0.004) == 0.0
    assert block.relief_error(SIX, 0.0005) == pytest.approx(0.0, abs=1e-18)
    assert block.worn_apex_error(SIX, 0.0002) == pytest.approx(0.0, abs=1e-18)


def test_a_worn_apex_reads_low_in_an_open_block():
    assert VBlock(radians(61)).worn_apex_error(SIX, 0.0002) < 0


def test_a_fitting_block_warns_of_nothing():
    assert VBlock(radians(61)).warnings(SIX) == ()


def test_a_sharp_block_warns():
    assert VBlock(radians(60)).warnings(StripForm(6, radians(61))) == (
        "the block of 60 deg is sharper than the strips' 61 deg: they wedge on their flanks and every reading is "
        "wrong; take a block one degree open",
    )


def test_a_block_of_another_rod_warns():
    assert VBlock(radians(73)).warnings(SIX) == (
        "the block of 73 deg is far more open than the strips' 60 deg: they lean; is it the right block?",
    )

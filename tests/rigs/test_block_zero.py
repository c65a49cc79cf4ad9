"""The zero of a V block from pins and master strips."""

from __future__ import annotations

from math import pi, radians, sin, sqrt

import numpy as np
import pytest
from scipy.stats import linregress

from culmwright.design.strip import StripForm
from culmwright.measure.display import INCH_DISPLAY
from culmwright.measure.errors import BadInput
from culmwright.rigs.block_zero import OverPin, root_words, zero_from_master, zero_from_pins
from culmwright.rigs.budget import Part
from culmwright.rigs.instruments import Instrument, Tried

INCH, THOU = 0.0254, 25.4e-6
BETA, SIX = radians(61), StripForm(6, pi / 3)
SHARP = Part("gauge", 0.0)
ZERO = 0.2565 * INCH
SIZES = (0.125, 0.1875, 0.25, 0.3125)


def over(*errors: float, beta: float = BETA) -> list[OverPin]:
    """Readings over pins, each off by an error [thou]."""
    return [
        OverPin(d / 2 * INCH, ZERO + d / 2 * INCH * (1 + 1 / sin(beta / 2)) + error * THOU)
        for d, error in zip(SIZES, errors, strict=False)
    ]


def pins(*errors, beta=BETA, gauge=SHARP, said=BETA):
    return zero_from_pins(said, over(*errors, beta=beta), gauge, INCH_DISPLAY)


def test_true_pins_find_zero_and_angle():
    found = pins(0, 0, 0)
    assert found.zero == pytest.approx(ZERO, rel=1e-12)
    assert found.uncertainty == pytest.approx(0.0, abs=1e-12)
    assert found.angle == pytest.approx(BETA, rel=1e-9)
    assert found.warnings == ()


def test_pins_that_scatter_leave_a_doubt():
    """The mean of three and its standard error by hand: errors 0.2, -0.1, 0.5 thou have mean 0.2, s = 0.3."""
    found = pins(0.2, -0.1, 0.5)
    assert (found.zero - ZERO) / THOU == pytest.approx(0.2, rel=1e-9)
    assert found.uncertainty / THOU == pytest.approx(0.3 / sqrt(3), rel=1e-9)
    assert found.freedom == pytest.approx(2)
    assert [one / THOU for one in found.residuals] == pytest.approx([0.0, -0.3, 0.3])


def test_the_gauges_own_error_does_not_average_out():
    found = pins(0.0, 0.0, 0.0, gauge=Part("gauge", 0.4 * THOU))
    assert found.uncertainty / THOU == pytest.approx(0.4)
    assert found.freedom is None


def test_the_angle_is_that_of_a_straight_line():
    """Against scipy's linear regression of reading on radius, and its standard error through the arcsine."""
    readings = over(0.3, -0.4, 0.1, 0.2)
    line = linregress([one.radius for one in readings], [one.reading for one in readings])
    found = zero_from_pins(BETA, readings, SHARP, INCH_DISPLAY)
    angle = 2 * np.arcsin(1 / (line.slope - 1))
    step = 2 * np.arcsin(1 / (line.slope + line.stderr * 1e-3 - 1)) - angle
    assert found.angle == pytest.approx(angle, rel=1e-12)
    assert found.angle_uncertainty == pytest.approx(abs(step) * 1e3, rel=1e-3)


def test_another_block_is_found_out():
    found = pins(0, 0, 0, beta=radians(73))
    assert found.angle == pytest.approx(radians(73))
    assert any("find a block of 73.0 deg, not 61" in one for one in found.warnings)


def test_one_pin_says_so():
    found = pins(0.0)
    assert found.angle is None
    assert found.warnings == ("one pin tells nothing of its own error: read three of different size",)


def test_a_pin_that_stands_off_is_named():
    found = pins(0, 3, 0)
    assert any("the pin of 0.1875 in stands 2.0 thou off the others" in one for one in found.warnings)


def test_readings_that_fall_with_the_pins():
    wrong = [OverPin(0.002, 0.010), OverPin(0.003, 0.009)]
    found = zero_from_pins(BETA, wrong, SHARP, INCH_DISPLAY)
    assert found.angle is None
    assert found.warnings[0].startswith("the readings do not rise with the pins")


def test_a_master_strip():
    found = zero_from_master(0.150 * INCH, 0.3 * THOU, 0.4065 * INCH, Part("gauge", 0.4 * THOU))
    assert found.zero == pytest.approx(ZERO)
    assert found.uncertainty / THOU == pytest.approx(sqrt(0.4**2 + 0.3**2 / 3))


@pytest.mark.parametrize(
    ("off", "words"), [(0.0, "agree"), (10.0, "a root worn to a radius of 10.3 thou"), (-1.5, "1.5 thou low")]
)
def test_pins_and_master_together_tell_of_the_root(off, words):
    """A root worn to rho holds a strip up by rho (1/sin(beta/2) - 1), 0.9703 rho in a block of 61 deg."""
    gauge = Part("gauge", 0.1 * THOU)
    master = zero_from_master(0.150 * INCH, 0.0, 0.4065 * INCH + off * THOU, gauge)
    assert words in root_words(pins(0, 0, 0, gauge=gauge), master, BETA, INCH_DISPLAY)


def test_nothing_read_is_no_zero():
    with pytest.raises(BadInput, match="no pin was read"):
        zero_from_pins(BETA, [], SHARP, INCH_DISPLAY)
    with pytest.raises(BadInput, match="a pin has no size"):
        zero_from_pins(BETA, [OverPin(0.0, 0.1)], SHARP, INCH_DISPLAY)
    with pytest.raises(BadInput, match="needs a height above zero"):
        zero_from_master(0.0, 0.0, 0.1, SHARP)


def test_what_gauges_may_be_wrong_by():
    """DIN 862 and DIN 863: 0.02 mm and 0.004 mm, spread evenly: over root three."""
    assert Instrument.CALIPER.part().uncertainty == pytest.approx(0.02e-3 / sqrt(3))
    assert Instrument.MICROMETER.part().uncertainty == pytest.approx(0.004e-3 / sqrt(3))
    assert Instrument.CALIPER.error / THOU == pytest.approx(0.8, abs=0.05)
    assert (Instrument.CALIPER.reach, Instrument.CALIPER.standard) == (0.1, "DIN 862")


@pytest.mark.parametrize(("shown", "good"), [(10.02, True), (10.021, False), (9.98, True), (9.979, False)])
def test_a_trial(shown, good):
    tried = Tried(0.010, shown * 1e-3, 20e-6)
    assert tried.good is good
    assert tried.error * 1e3 == pytest.approx(shown - 10)

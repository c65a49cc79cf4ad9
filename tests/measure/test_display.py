"""How numbers are printed: rounded once, half away from zero, and in digits that read back."""

from __future__ import annotations

import pytest

from culmwright.measure.display import DISPLAYS, INCH_DISPLAY, METRIC_DISPLAY, FeetAndInches, Format
from culmwright.measure.lengths import Length

INCH = 0.0254  # [m]

# Values by hand; a tie such as 0.08845 in lies just below itself as a float and still goes away from zero.
INCHES = [
    (0.0885, "0.0885 in"),
    (0.08845, "0.0885 in"),
    (0.08844999, "0.0884 in"),
    (0.00005, "0.0001 in"),
    (0.000049, "0.0000 in"),
    (-0.08845, "-0.0885 in"),
    (-0.00001, "0.0000 in"),
    (0.0, "0.0000 in"),
    (-0.0, "0.0000 in"),
    (7.0, "7.0000 in"),
    (1234.56785, "1234.5679 in"),
]


@pytest.mark.parametrize(("inches", "shown"), INCHES)
def test_heights_in_inches(inches, shown):
    assert INCH_DISPLAY.height(inches * INCH) == shown


STATIONS = [
    (0.0, "0 in"),
    (5.0, "5 in"),
    (10.0, "10 in"),
    (22.5, "22.5 in"),
    (44.0625, "44.0625 in"),
    (100.0, "100 in"),
]


@pytest.mark.parametrize(("inches", "shown"), STATIONS)
def test_stations_drop_their_trailing_zeros_and_no_others(inches, shown):
    assert INCH_DISPLAY.station(inches * INCH) == shown


LONG = [
    (90.0, "7 ft 6 in"),
    (96.0, "8 ft"),
    (4.0, "4 in"),
    (90.5, "7 ft 6.5 in"),
    (95.99999, "8 ft"),  # eleven and all but twelve inches round up to the foot
    (-90.0, "-7 ft 6 in"),
    (0.0, "0 in"),
    (-0.00001, "0 in"),
    (120.0, "10 ft"),
]


@pytest.mark.parametrize(("inches", "shown"), LONG)
def test_long_lengths_in_feet_and_inches(inches, shown):
    assert FeetAndInches()(inches * INCH) == shown


EVERY = [
    (INCH_DISPLAY, "near", 44.0625 * INCH, "44.1 in"),
    (INCH_DISPLAY, "across", 0.3 * INCH, "0.3000 in"),
    (INCH_DISPLAY, "small", 0.00123 * INCH, "1.2 thou"),
    (INCH_DISPLAY, "walk", 1609.344, "5280 ft"),
    (INCH_DISPLAY, "mass", 0.028349523125, "1.000 oz"),
    (INCH_DISPLAY, "load", 0.027801385, "0.100 oz"),
    (INCH_DISPLAY, "stress", 6894.757293168361, "16 oz/in²"),
    (INCH_DISPLAY, "modulus", 30e9, "4.35 Mpsi"),
    (INCH_DISPLAY, "density", 1155.6, "0.668 oz/in³"),
    (METRIC_DISPLAY, "station", 2.286, "2286 mm"),
    (METRIC_DISPLAY, "near", 0.4447, "445 mm"),
    (METRIC_DISPLAY, "height", 0.00919, "9.190 mm"),
    (METRIC_DISPLAY, "small", 25.4e-6, "0.025 mm"),
    (METRIC_DISPLAY, "long", 2.286, "2286 mm"),
    (METRIC_DISPLAY, "walk", 1609.344, "1609 m"),
    (METRIC_DISPLAY, "mass", 0.0095, "9.50 g"),
    (METRIC_DISPLAY, "stress", 96.5e6, "96.5 MPa"),
    (METRIC_DISPLAY, "modulus", 30e9, "30.0 GPa"),
    (METRIC_DISPLAY, "density", 1155.6, "1156 kg/m³"),
    (METRIC_DISPLAY, "angle", 1.0471975511965976, "60.00 deg"),
    (METRIC_DISPLAY, "ratio", 1.0146, "1.01460"),
]


@pytest.mark.parametrize(("display", "name", "value", "shown"), EVERY)
def test_every_format(display, name, value, shown):
    assert getattr(display, name)(value) == shown


def test_moments():
    # 1 oz (force) at 1 in, avoirdupois ounce of 28.349523125 g at 9.80665 m/s^2.
    assert INCH_DISPLAY.moment(0.028349523125 * 9.80665 * INCH) == "1.00 oz in"
    assert METRIC_DISPLAY.moment(0.12345) == "0.1235 N m"


@pytest.mark.parametrize("unit", ["m", "rad", "-", "N m", "Pa", "m^3", "kg"])
@pytest.mark.parametrize("display", DISPLAYS.values(), ids=DISPLAYS)
def test_a_ladder_can_show_every_unit_it_holds(display, unit):
    assert display.shown(1.0, unit).startswith(tuple("0123456789"))


def test_absurd_sizes_print_in_plain_digits():
    assert INCH_DISPLAY.height(1e25).endswith(".0000 in")
    assert "e" not in INCH_DISPLAY.stress(1e60).lower().removesuffix("oz/in²")
    assert FeetAndInches()(1e30).endswith(" in")
    assert METRIC_DISPLAY.height(1e-300) == "0.000 mm"


def test_what_a_format_prints_reads_back():
    assert Length.parse(INCH_DISPLAY.small(25.4e-6)).m == pytest.approx(25.4e-6)


def test_a_format_without_a_unit_prints_no_blank():
    assert Format("", 1.0, 2)(1.5) == "1.50"

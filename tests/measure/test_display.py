"""How numbers are printed: rounded once, half away from zero, and in digits that read back."""

from __future__ import annotations

import pytest

from culmwright.measure.band import Band
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
    (INCH_DISPLAY, "mass", 0.028349523125, "1.00 oz"),
    (INCH_DISPLAY, "load", 0.027801385, "0.1 oz"),
    (INCH_DISPLAY, "stress", 6894.757293168361, "16 oz/in²"),
    (INCH_DISPLAY, "modulus", 30e9, "4.35 Mpsi"),
    (INCH_DISPLAY, "density", 1155.6, "0.668 oz/in³"),
    (INCH_DISPLAY, "time", 85 * 60.0, "85 min"),
    (INCH_DISPLAY, "time", 102 * 60.0, "102 min"),  # beside 85 min in one range: not 1.7 h
    (INCH_DISPLAY, "time", 4 * 3600.0, "4 h"),
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
    (METRIC_DISPLAY, "ratio", 1.0146, "1.0146"),
]


@pytest.mark.parametrize(("display", "name", "value", "shown"), EVERY)
def test_every_format(display, name, value, shown):
    assert getattr(display, name)(value) == shown


OZ_FORCE = 0.028349523125 * 9.80665  # [N], the avoirdupois ounce under standard gravity
SURE = [
    (INCH_DISPLAY, "stress", 187_234 * OZ_FORCE / INCH**2, "187000 oz/in²"),
    (INCH_DISPLAY, "stress", 999_500 * OZ_FORCE / INCH**2, "1000000 oz/in²"),
    (INCH_DISPLAY, "stress", -18_724 * OZ_FORCE / INCH**2, "-18700 oz/in²"),
    (INCH_DISPLAY, "stress", 0.0, "0 oz/in²"),
    (INCH_DISPLAY, "load", 12.333 * OZ_FORCE, "12.3 oz"),
    (INCH_DISPLAY, "load", 2.0 * OZ_FORCE, "2 oz"),
    (INCH_DISPLAY, "load", 4.5 * OZ_FORCE, "4.5 oz"),
    (INCH_DISPLAY, "load", 0.0, "0 oz"),
    (INCH_DISPLAY, "mass", 2.175 * 0.028349523125, "2.18 oz"),
    (INCH_DISPLAY, "moment", 398.694 * OZ_FORCE * INCH, "398.7 oz in"),
    (METRIC_DISPLAY, "stress", 186.94e6, "187 MPa"),
    (METRIC_DISPLAY, "stress", 99.96e6, "100 MPa"),  # rounded up to one digit more before the point, one less behind it
    (METRIC_DISPLAY, "load", 3.4287, "350 g"),
    (METRIC_DISPLAY, "mass", 0.06166, "61.7 g"),
    (METRIC_DISPLAY, "modulus", 30.44e9, "30.4 GPa"),
]


@pytest.mark.parametrize(("display", "name", "value", "shown"), SURE)
def test_what_no_rule_knows_to_six_figures_is_shown_in_three(display, name, value, shown):
    """By hand: three figures, a moment one more, and no more decimals than before."""
    assert getattr(display, name)(value) == shown


def test_moments():
    # 1 oz (force) at 1 in, avoirdupois ounce of 28.349523125 g at 9.80665 m/s^2.
    assert INCH_DISPLAY.moment(0.028349523125 * 9.80665 * INCH) == "1.00 oz in"
    assert METRIC_DISPLAY.moment(0.12345) == "0.1235 N m"


UNITS = (
    *("m", "rad", "-", "N m", "Pa", "m^3", "kg", "s", "seconds", "K", "K apart", "m apart", "kg/kg", "Pa/Pa", "m/m"),
    *("kg/m^3", "strips", "sizes", "1/K", "m^2/s", "J/(kg K)", "W/(m^2 K)"),
)


@pytest.mark.parametrize("unit", UNITS)
@pytest.mark.parametrize("display", DISPLAYS.values(), ids=DISPLAYS)
def test_a_ladder_can_show_every_unit_it_holds(display, unit):
    assert display.shown(300.0, unit).startswith(tuple("0123456789"))
    assert display.shown(300.0, unit, Band(300.0, 400.0)).count(" to ") == (
        display.shown(400.0, unit) != display.shown(300.0, unit)
    )


def test_the_figures_of_a_ladder_in_either_display():
    # 1e-4 a kelvin is 1e-4/1.8 a degree Fahrenheit; 9 K are 16.2 of them; 0.0001 in is 0.1 thou
    shown = (("1/K", 1e-4), ("K apart", 9.0), ("K", 273.15), ("m apart", 2.54e-6), ("kg/kg", 0.115), ("seconds", 150.4))
    assert [INCH_DISPLAY.shown(value, unit) for unit, value in shown] == [
        "55.56 millionths a °F",
        "16.2 °F",
        "32 °F",
        "0.1 thou",
        "11.5%",
        "150 s",
    ]
    assert [METRIC_DISPLAY.shown(value, unit) for unit, value in shown[:4]] == [
        "100 millionths a °C",
        "9 °C",
        "0 °C",
        "0.003 mm",
    ]


def test_absurd_sizes_print_in_plain_digits():
    assert INCH_DISPLAY.height(1e25).endswith(".0000 in")
    assert "e" not in INCH_DISPLAY.stress(1e60).lower().removesuffix("oz/in²")
    assert FeetAndInches()(1e30).endswith(" in")
    assert METRIC_DISPLAY.height(1e-300) == "0.000 mm"


def test_what_a_format_prints_reads_back():
    assert Length.parse(INCH_DISPLAY.small(25.4e-6)).m == pytest.approx(25.4e-6)


def test_a_format_without_a_unit_prints_no_blank():
    assert Format("", 1.0, 2)(1.5) == "1.50"

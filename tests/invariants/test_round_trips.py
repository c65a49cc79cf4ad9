"""Every text the tool prints reads back: 100 000 random values a run, over all formats."""

from __future__ import annotations

from dataclasses import fields, replace
from decimal import Decimal
from fractions import Fraction
from math import floor, isclose, log10, pi
from random import Random

import pytest
from hypothesis import given
from hypothesis import strategies as st

from culmwright.measure.display import DISPLAYS, Display, FeetAndInches, Format, OnRule
from culmwright.measure.errors import BadInput
from culmwright.measure.lengths import NANOMETRES, Length, exact_text
from culmwright.measure.quantities import Kind, parse_quantity
from culmwright.measure.spot import Spot

UNITS = sorted(NANOMETRES)
LENGTHS_A_UNIT = 6_000
FORMATS = [
    (display, one.name)
    for display in DISPLAYS.values()
    for one in fields(Display)
    if isinstance(getattr(display, one.name), Format | FeetAndInches)
]
VALUES_A_FORMAT = 1_300
SPOTS = 10_000
FILE_NUMBERS = 7_000


def test_the_suite_draws_a_hundred_thousand():
    assert len(UNITS) * LENGTHS_A_UNIT + len(FORMATS) * VALUES_A_FORMAT + FILE_NUMBERS + SPOTS >= 100_000


def some_number(draw: Random) -> Fraction:
    """A number as a length may hold it: whole, decimal, binary fraction or any ratio, either sign."""
    sign = draw.choice((1, 1, 1, -1))
    kind = draw.randrange(4)
    if kind == 0:
        return Fraction(sign * draw.randrange(10 ** draw.randint(1, 12)))
    if kind == 1:
        return Fraction(sign * draw.randrange(10 ** draw.randint(1, 9)), 10 ** draw.randint(1, 12))
    if kind == 2:
        return Fraction(sign * draw.randrange(5000), 2 ** draw.randint(1, 10))
    return Fraction(sign * draw.randrange(10**6), draw.randint(1, 10**4))


@pytest.mark.parametrize("unit", UNITS)
def test_lengths(unit, draw, depth):
    """What is typed in one unit prints in that unit, and prints in any other, to exactly the same length."""
    for _ in range(LENGTHS_A_UNIT * depth):
        length = Length(some_number(draw) * NANOMETRES[unit], unit=unit)
        text = str(length)
        back = Length.parse(text)
        assert back.nanometres == length.nanometres, text
        assert str(back) == text
        other = exact_text(length.nanometres, draw.choice(UNITS))
        assert Length.parse(other).nanometres == length.nanometres, other


def test_lengths_of_a_file(draw, depth):
    """A bare number of a rod file is quoted with its unit, in digits a maker could have typed."""
    for _ in range(FILE_NUMBERS * depth):
        number = Decimal(draw.randrange(10 ** draw.randint(1, 14))).scaleb(-draw.randint(-3, 12))
        length = Length.of(number, draw.choice(("in", "mm")))
        assert Length.parse(length.text) == length, length.text


# How each format of a display is read again. Moments, section moduli and ratios are shown and never typed:
# their digits are read against the SI value of their unit, by hand from inch, avoirdupois ounce and gravity.
READ_AS = {
    "mass": Kind.MASS,
    "load": Kind.LOAD,
    "stress": Kind.STRESS,
    "modulus": Kind.MODULUS,
    "density": Kind.DENSITY,
    "angle": Kind.ANGLE,
    "share": Kind.MOISTURE,
}
SHOWN_ONLY = {
    "oz in": 0.028349523125 * 9.80665 * 0.0254,
    "N m": 1.0,
    "in³": 0.0254**3,
    "mm³": 1e-9,
    "": 1.0,
}
TYPICAL = {
    "mass": 0.1,
    "load": 1.0,
    "stress": 1e8,
    "modulus": 3e10,
    "density": 1e3,
    "angle": pi,
    "share": 0.1,
    "moment": 1.0,
    "section_modulus": 1e-8,
    "ratio": 1.0,
}


def read(name: str, text: str) -> float:
    """The SI value of what a format printed."""
    if name in READ_AS:
        return parse_quantity(text, READ_AS[name])
    if name in ("moment", "section_modulus", "ratio"):
        digits, _, unit = text.partition(" ")
        return float(digits) * SHOWN_ONLY[unit]
    return Length.parse(text).m


def places_of(shown: Format, value: float) -> int:
    """Decimals that are to be right: fewer where few figures mean something, or where a rule finds no more."""
    places, amount = shown.places, value / shown.si
    if isinstance(shown, OnRule) and abs(16 * amount - round(16 * amount)) >= 5e-4:
        places = 2
    if shown.figures is not None and amount:
        places = min(places, shown.figures - 1 - floor(log10(abs(amount))))
    return places


def check_format(display: Display, name: str, value: float) -> None:
    """What is printed is within half a unit of the last digit, and printing what was read prints it again."""
    shown = getattr(display, name)
    text = shown(value)
    back = read(name, text)
    last = shown if isinstance(shown, Format) else OnRule("in", 0.0254, 4)
    half = last.si * 10.0 ** -places_of(last, value) / 2
    assert abs(back - value) <= half * (1 + 1e-9) + abs(value) * 1e-12, text
    assert shown(back) == text
    assert not text.startswith("-0 ") and not text.startswith("-0.0000 ")


@pytest.mark.parametrize(("display", "name"), FORMATS, ids=lambda value: getattr(value, "name", value))
def test_formats(display, name, draw, depth):
    size = TYPICAL.get(name, 1.0)
    for _ in range(VALUES_A_FORMAT * depth):
        value = draw.choice((1, -1)) * size * draw.random() * 10.0 ** draw.randint(-9, 2)
        check_format(display, name, value)


def test_ties_go_away_from_zero_in_every_unit(draw, depth):
    """Ten-thousandths of an inch and microns typed exactly half way: binary noise must not choose."""
    for _ in range(2_000 * depth):
        number = draw.randrange(10_000)
        inches, millimetres = Decimal(number).scaleb(-4), Decimal(number).scaleb(-3)
        half_inch = Length.of(inches + Decimal("0.00005"), "in").m
        half_millimetre = Length.of(millimetres + Decimal("0.0005"), "mm").m
        assert DISPLAYS["inch"].height(half_inch) == f"{inches + Decimal('0.0001'):.4f} in"
        assert DISPLAYS["metric"].height(half_millimetre) == f"{millimetres + Decimal('0.001'):.3f} mm"


def test_spots(draw, depth):
    for _ in range(SPOTS * depth):
        unit = draw.choice(UNITS)
        spot = Spot(
            section=draw.choice(("B", "M", f"T{draw.randint(1, 99)}")),
            strip=draw.choice((None, draw.randint(1, 9999))),
            station=draw.choice((None, Length(abs(some_number(draw)) * NANOMETRES[unit], unit=unit))),
            quantity=draw.choice(("", "rough", "rough_reading", "height")),
            rod=draw.choice(("", f"R{draw.randint(1, 10**9 - 1)}", f"D{draw.randrange(16**6):06X}")),
        )
        text = str(spot)
        assert " " not in text
        assert Spot.parse(text) == spot, text
        part = replace(spot, strip=None, adjuster=draw.choice((None, draw.randint(1, 999))))
        part = part if part.adjuster else replace(part, cut=draw.choice((None, draw.randint(1, 99))))
        assert Spot.parse(str(part)) == part, str(part)
        thing = replace(part, section="", cut=None, station=None, thing=draw.choice(("heat", "fit", "study")))
        thing = replace(thing, of=draw.choice(("", "2", "G1", "Long bed", "Äther 3")))
        assert Spot.parse(str(thing)) == thing, str(thing)
        assert str(Spot.parse(text)) == text


numbers = st.one_of(
    st.fractions(min_value=-(10**9), max_value=10**9, max_denominator=10**6),
    st.decimals(min_value=-(10**9), max_value=10**9, places=9).map(Fraction),
)


@given(numbers, st.sampled_from(UNITS), st.sampled_from(UNITS))
def test_any_length_in_any_unit(number, unit, other):
    length = Length(number * NANOMETRES[unit], unit=unit)
    assert Length.parse(str(length)) == length
    assert Length.parse(exact_text(length.nanometres, other)) == length


@given(st.sampled_from(FORMATS), st.floats(min_value=-1e3, max_value=1e3))
def test_any_value_in_any_format(shown, value):
    display, name = shown
    check_format(display, name, value * TYPICAL.get(name, 1.0))


@given(st.text(alphabet="0123456789/., -+⅜½'\"inthoumcf", max_size=20))
def test_what_is_read_prints_and_reads_again(text):
    """Whatever the reader takes, the printer can say."""
    try:
        length = Length.parse(text, "in")
    except BadInput:
        return
    assert Length.parse(str(length)) == length
    assert isclose(Length.parse(str(length)).m, length.m, rel_tol=1e-15)

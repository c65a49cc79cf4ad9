"""Lengths as makers write them (common practice, no source), each against its exact value.

The inch is 25.4 mm exactly (Barrell, H., *The International Yard and Pound*, 1959; ISO 31-1).
"""

from __future__ import annotations

from decimal import Decimal
from fractions import Fraction

import pytest

from culmwright.measure.errors import BadInput
from culmwright.measure.lengths import Length, exact_text

INCH = 25_400_000  # [nm]

INCHES = [
    # fractions alone
    ("1/16 in", "1/16"),
    ("1 / 16 in", "1/16"),
    ("1⁄16 in", "1/16"),  # fraction slash
    ("⅜ in", "3/8"),
    ("⅜″", "3/8"),
    ("½ in", "1/2"),
    ("⅒ in", "1/10"),
    ("33/8 in", "33/8"),
    ("-1/16 in", "-1/16"),
    # mixed: the dash joins, a sign in front counts for the whole
    ("3 1/16 in", "49/16"),
    ("3-1/16 in", "49/16"),
    ("3–1/16 in", "49/16"),  # en dash
    ("3‐1/16 in", "49/16"),  # typographic hyphen
    ('3+1/16"', "49/16"),
    ("3\u00a01/16 in", "49/16"),  # space that does not break
    ("3-7/8 in", "31/8"),
    ("3⅜ in", "27/8"),
    ("3 ⅜ in", "27/8"),
    ("3-⅜ in", "27/8"),
    ("-3 1/16 in", "-49/16"),
    ("-3-1/16 in", "-49/16"),
    ("−3 1/16 in", "-49/16"),  # minus sign
    ("- 3 1/16 in", "-49/16"),
    ("-3⅜ in", "-27/8"),
    ("+3 1/16 in", "49/16"),
    # decimals: point or comma, never a thousands mark
    ("0.0625in", "1/16"),
    (".0885 in", "177/2000"),
    ("6,5 in", "13/2"),
    (",5 in", "1/2"),
    ("1,250 in", "5/4"),
    ("007.50 in", "15/2"),
    ("12. in", "12"),
    # feet and inches
    ("7 ft 6 in", "90"),
    ("7ft6in", "90"),
    ("7 ft. 6 in.", "90"),
    ("7' 6\"", "90"),
    ("7'6''", "90"),
    ("7′ 6″", "90"),
    ("7’ 6”", "90"),
    ("7'-6\"", "90"),
    ("7 ft, 6 in", "90"),
    ("7 feet 6 inches", "90"),
    ("7 FT 6 IN", "90"),
    ("7 ft 6", "90"),
    ("7 ft 6 1/2 in", "181/2"),
    ("7 ft 6½ in", "181/2"),
    ("7 ft 6-1/2 in", "181/2"),
    ("7 ft 0.5 in", "169/2"),
    ("-7 ft 6 in", "-90"),
    ("7.5 ft", "90"),
    ("7½ ft", "90"),
    ("8 ft", "96"),
    # other spellings
    ("62.5 thou", "1/16"),
    ("1 thousandth", "1/1000"),
    ('2 1/8"', "17/8"),
    ("2 inch", "2"),
    ("0 in", "0"),
    ("-0 in", "0"),
]


@pytest.mark.parametrize(("text", "inches"), INCHES)
def test_inches_are_read_exactly(text, inches):
    assert Length.parse(text).nanometres == Fraction(inches) * INCH


METRIC = [
    ("1.6mm", 1_600_000),
    ("9,19 mm", 9_190_000),
    ("9.19 MM", 9_190_000),
    ("-0,02 mm", -20_000),
    ("1/2 mm", 500_000),
    ("2 1/2 mm", 2_500_000),
    ("228,6 cm", 2_286_000_000),
    ("2.286 m", 2_286_000_000),
    ("2 metres", 2_000_000_000),
    ("12 µm", 12_000),
    ("12 μm", 12_000),  # Greek mu
    ("12 um", 12_000),
    ("5 microns", 5_000),
]


@pytest.mark.parametrize(("text", "nanometres"), METRIC)
def test_metric_lengths_are_read_exactly(text, nanometres):
    assert Length.parse(text).nanometres == nanometres


# Whole nanometres of what gauges and rules show, worked by hand from 25.4 mm.
WHOLE = [
    ("0.0001 in", 2_540),
    ("0.0005 in", 12_700),
    ("0.00005 in", 1_270),
    ("1/64 in", 396_875),
    ("0.01 mm", 10_000),
    ("0.001 mm", 1_000),
]


@pytest.mark.parametrize(("text", "nanometres"), WHOLE)
def test_gauge_steps_are_whole_nanometres(text, nanometres):
    assert Length.parse(text).nanometres == nanometres


def test_finer_than_a_64th_is_kept_as_a_ratio():
    assert Length.parse("1/128 in").nanometres == Fraction(1984375, 10)
    assert Length.parse("1/3 in").nanometres == Fraction(25_400_000, 3)


def test_traps():
    assert Length.parse("3⅜ in") != Length.parse("33/8 in")
    assert Length.parse("6,5 mm") != Length.parse("65 mm")
    assert Length.parse("-3 1/16 in").m == -Length.parse("3 1/16 in").m
    assert Length.parse("3-7/8 in").m > 0


@pytest.mark.parametrize(
    ("text", "bare", "expected"), [("62,5", "mm", "62.5 mm"), ("⅜", "in", "3/8 in"), ("5", "thou", "5 thou")]
)
def test_a_bare_number_is_in_the_unit_agreed(text, bare, expected):
    assert Length.parse(text, bare) == Length.parse(expected)


def test_a_unit_that_is_written_wins_over_the_one_agreed():
    assert Length.parse("2 mm", "in") == Length.parse("2 mm")
    assert Length.parse("1/16 in", "mm") == Length.parse("1/16 in")


HOW = " Write it like 7 ft 6 in, 3 1/16 in, 62.5 thou or 9.19 mm."
KNOWN = "(in, thou, ft, mm, cm, m, µm)"
REFUSED = [
    ("90", None, "it has no unit."),
    ("1/16", "mm", "a fraction needs its unit where bare numbers are millimetres."),
    ("⅜", "mm", "a fraction needs its unit where bare numbers are millimetres."),
    ("3 1/16", "mm", "a fraction needs its unit where bare numbers are millimetres."),
    ("7 ft 13 in", None, "the inches behind the feet should be under 12."),
    ("7 ft 12 in", None, "the inches behind the feet should be under 12."),
    ("3 17/16 in", None, "17/16 behind a whole number should be less than one."),
    ("3 16/16 in", None, "16/16 behind a whole number should be less than one."),
    ("1/0 in", None, "a fraction over zero has no value."),
    ("3 1/0 in", None, "a fraction over zero has no value."),
    ("5 parsecs", None, f"parsecs is not a unit of length known here {KNOWN}."),
    ("5 oz", None, f"oz is not a unit of length known here {KNOWN}."),
    ("1/1152921504606846976 in", None, "it is finer than any gauge."),
]


@pytest.mark.parametrize(("text", "bare", "reason"), REFUSED)
def test_refusals_say_why_and_how_it_is_written(text, bare, reason):
    with pytest.raises(BadInput) as refusal:
        Length.parse(text, bare)
    how = HOW if bare != "mm" else " Write it like 9.19 mm, 76 cm or 2.29 m."
    assert str(refusal.value) == f'"{text}" cannot be read as a length: {reason}{how}'


NOT_LENGTHS = [
    *("", " ", "in", "-", "--5 in", "+-5 in", "5 5 in", "6.5.2 in", "1,234.5 mm", "1 234 mm", "1e3 mm", "nan mm"),
    *("inf in", "0x10 mm", "1_000 mm", "5 in in", "7 ft 6 in 3", "7 ft 6'", "7.5 ft 6 in", "7 ft -", "ft 6 in"),
    *("3 1/16/2 in", "3--1/16 in", "3 -1/16 in", "⅜⅜ in", "⅜3 in", "1/⅜ in", "٣ mm", "5 in\n6 in", "7 ft,6 in"),
    *("7 ft ,6 in", "6;5 mm", "5 mm²", "5 in^2", "$5", "½½", "five in", "7 ft 6 mm", "7 in 6 ft", "5 in-", "5m2"),
    "1" * 65 + " in",
]


@pytest.mark.parametrize("text", NOT_LENGTHS)
def test_anything_else_is_refused(text):
    with pytest.raises(BadInput, match="cannot be read as a length") as refusal:
        Length.parse(text, "in")
    assert refusal.value.exit_code == 2
    assert refusal.value.remedy


def test_the_text_and_the_unit_are_kept_as_given():
    length = Length.parse(" 3-1/16 in ")
    assert (length.text, length.unit) == ("3-1/16 in", "in")
    assert Length.parse("7' 6\"").unit == "in"


def test_lengths_are_equal_however_written():
    assert Length.parse("1 in") == Length.parse("25.4 mm") == Length.of(Fraction(254, 10), "mm")
    assert hash(Length.parse("1 in")) == hash(Length.parse("25.4 mm"))
    assert Length.parse("1 in") != Length.parse("25.4001 mm")


OF = [
    (5, "in", "5 in"),
    (Decimal("0.0885"), "in", "0.0885 in"),
    (Decimal("0.100"), "in", "0.100 in"),
    (Decimal("1E+2"), "mm", "100 mm"),
    (Decimal("2E-7"), "in", "0.0000002 in"),
    (Fraction(9, 8), "in", "9/8 in"),
    (-3, "thou", "-3 thou"),
]


@pytest.mark.parametrize(("number", "unit", "text"), OF)
def test_a_number_and_a_unit_make_a_length_whose_text_reads_back(number, unit, text):
    length = Length.of(number, unit)
    assert length.text == text
    assert Length.parse(text) == length


TEXTS = [
    ("7 ft 6 in", "90 in"),
    ("3-1/16 in", "3.0625 in"),
    ("-3 1/16 in", "-3.0625 in"),
    ("62,50 thou", "62.5 thou"),
    ("1/3 in", "1/3 in"),
    ("-7/3 mm", "-7/3 mm"),
    ("0 mm", "0 mm"),
    ("1000 mm", "1000 mm"),
    ("12 um", "12 µm"),
]


@pytest.mark.parametrize(("text", "shown"), TEXTS)
def test_a_length_prints_exactly_in_its_own_unit(text, shown):
    assert str(Length.parse(text)) == shown


def test_one_millimetre_in_inches_is_a_ratio():
    # 1 mm = 1/25.4 in = 5/127 in: the decimal never ends.
    assert exact_text(Fraction(1_000_000), "in") == "5/127 in"
    assert exact_text(Fraction(-1_000_000), "in") == "-5/127 in"


def test_a_length_without_a_unit_of_its_own_prints_in_millimetres():
    assert str(Length(Fraction(25_400_000))) == "25.4 mm"


def test_metres():
    assert Length.parse("90 in").m == 2.286
    assert Length.parse("1/3 in").m == pytest.approx(0.0254 / 3, rel=1e-15)

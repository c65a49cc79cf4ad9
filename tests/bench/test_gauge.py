"""What gauges send: a table of strings in the formats of keyboard-typing and serial gauges, and their refusal.

Digital gauges send a prefix, a sign, padded zeros, a unit and
a limit mark (common practice, no source). The expected values are written out by hand, in nanometres.
"""

from __future__ import annotations

import pytest

from culmwright.bench.gauge import LimitMark, read_gauge, read_typed, visible
from culmwright.measure.errors import BadInput

IN, MM = "in", "mm"
SENT = [
    # raw, declared unit, nanometres, unit it was read in, prefix, mark
    ("0.3620", IN, 9_194_800, IN, "", None),
    ("0.3620in", IN, 9_194_800, IN, "", None),
    ("0.3620in", MM, 9_194_800, IN, "", None),
    ("0.3620 in", MM, 9_194_800, IN, "", None),
    ("0.3620IN", MM, 9_194_800, IN, "", None),
    ('0.3620"', MM, 9_194_800, IN, "", None),
    ('0.3620 "', MM, 9_194_800, IN, "", None),
    ("9,19 mm", IN, 9_190_000, MM, "", None),
    ("9,19 mm", MM, 9_190_000, MM, "", None),
    ("9.19mm", IN, 9_190_000, MM, "", None),
    ("9.19MM", IN, 9_190_000, MM, "", None),
    ("9.19Mm\r\n", IN, 9_190_000, MM, "", None),
    ("+.3620", IN, 9_194_800, IN, "", None),
    (".3620", IN, 9_194_800, IN, "", None),
    ("-.0005", IN, -12_700, IN, "", None),
    (",3620", IN, 9_194_800, IN, "", None),
    ("6,5", MM, 6_500_000, MM, "", None),
    ("6.5", MM, 6_500_000, MM, "", None),
    ("65", MM, 65_000_000, MM, "", None),
    ("1,234", MM, 1_234_000, MM, "", None),
    ("-6,5", MM, -6_500_000, MM, "", None),
    ("+0012.34", MM, 12_340_000, MM, "", None),
    ("0012.34", MM, 12_340_000, MM, "", None),
    ("000000.00", MM, 0, MM, "", None),
    ("-0.00", MM, 0, MM, "", None),
    ("+ 12.34", MM, 12_340_000, MM, "", None),
    ("-   12.34", MM, -12_340_000, MM, "", None),
    ("   12.34", MM, 12_340_000, MM, "", None),
    ("12.34   ", MM, 12_340_000, MM, "", None),
    ("12.34\r\n", MM, 12_340_000, MM, "", None),
    ("12.34\r", MM, 12_340_000, MM, "", None),
    ("12.34\n", MM, 12_340_000, MM, "", None),
    ("12.34\t", MM, 12_340_000, MM, "", None),
    ("\x0212.34\r", MM, 12_340_000, MM, "", None),
    ("\x02+0012.34\r\n", MM, 12_340_000, MM, "", None),
    ("\r\n12.34\r\n", MM, 12_340_000, MM, "", None),
    ("\n12.34\r", MM, 12_340_000, MM, "", None),
    ("\t12.34\t", MM, 12_340_000, MM, "", None),
    ("GN01,+0016.2345\r\n", MM, 16_234_500, MM, "GN01", None),
    ("GN01,-0016.2345\r\n", MM, -16_234_500, MM, "GN01", None),
    ("GN01,0016.2345\r\n", MM, 16_234_500, MM, "GN01", None),
    ("GN01,+0016,2345\r\n", MM, 16_234_500, MM, "GN01", None),
    ("GN01,16,2345", MM, 16_234_500, MM, "GN01", None),
    ("GN01, +0016.2345", MM, 16_234_500, MM, "GN01", None),
    ("GN01+0016.2345", MM, 16_234_500, MM, "GN01", None),
    ("GN01 0016.2345", MM, 16_234_500, MM, "GN01", None),
    ("GN01,+0000.63915in\r\n", MM, 16_234_410, IN, "GN01", None),
    ("GN01,+0016", MM, 16_000_000, MM, "GN01", None),
    ("01A+00016.234\r", MM, 16_234_000, MM, "01A", None),
    ("01A-00000.010\r", MM, -10_000, MM, "01A", None),
    ("01A+0.63915\r", IN, 16_234_410, IN, "01A", None),
    ("N+0012.34", MM, 12_340_000, MM, "N", None),
    ("N +012.34", MM, 12_340_000, MM, "N", None),
    ("H12.345", MM, 12_345_000, MM, "H", None),
    ("GN0116.2345", MM, 116_234_500, MM, "GN", None),  # no digit is taken from the number
    ("CAL.3620", IN, 9_194_800, IN, "CAL", None),
    ("ABCDEF+1.5", MM, 1_500_000, MM, "ABCDEF", None),
    ("ABCDE1,1.5", MM, 1_500_000, MM, "ABCDE1", None),
    ("M1+12.34", MM, 12_340_000, MM, "M1", None),
    ("A,,5", MM, 500_000, MM, "A", None),
    ("12.34<", MM, 12_340_000, MM, "", LimitMark.UNDER),
    ("12.34=", MM, 12_340_000, MM, "", LimitMark.WITHIN),
    ("12.34>", MM, 12_340_000, MM, "", LimitMark.OVER),
    ("12.34 mm >\r\n", IN, 12_340_000, MM, "", LimitMark.OVER),
    ("0.3620in<\r", IN, 9_194_800, IN, "", LimitMark.UNDER),
    ("\x02GN01,+0016.2345mm=\r\n", IN, 16_234_500, MM, "GN01", LimitMark.WITHIN),
    ("0.00005", IN, 1_270, IN, "", None),
    ("0.0005", IN, 12_700, IN, "", None),
    ("0.001", MM, 1_000, MM, "", None),
    ("12", MM, 12_000_000, MM, "", None),
]

REFUSED = [
    # raw, declared unit, what has to be said
    ("", MM, "no number"),
    ("\r\n", MM, "no number"),
    ("\x02", MM, "no number"),
    ("mm", MM, "no number"),
    ("+", MM, "no number"),
    (".", MM, "no number"),
    ("12.", MM, "may be missing"),
    ("0.\r\n", IN, "may be missing"),
    ("GN01,+0016.\r\n", MM, "may be missing"),
    ("12,", MM, "may be missing"),
    ("193, mm", MM, "may be missing"),
    ("18555, m.", MM, "may be missing"),
    ("1.234,5", MM, "no number"),
    ("1,234.5", MM, "no number"),
    ("3. 1/16", IN, "no number"),
    ("1.2.3", MM, "no number"),
    ("12.34\r\n12.35\r\n", MM, "no number"),
    ("12.34 12.35", MM, "no number"),
    ("12 12.35", MM, "no number"),
    ("12,+12.35", MM, "no number"),
    ("3-1", MM, "no number"),
    ("123456+12.35", MM, "no number"),
    ("GN01,16", MM, "comma"),
    ("N12,34", MM, "comma"),
    ("N,34", MM, "comma"),
    ("A,5", MM, "comma"),
    ("A,3620", IN, "comma"),
    ("A16B7.5", MM, "no number"),
    ("GN00001,+16.2", MM, "no number"),
    ("15E-5", MM, "exponent"),
    ("1e+5", MM, "exponent"),
    ("1E5,6.2", MM, "exponent"),
    ("1.5e-3", MM, "no number"),
    ("mm12.34", IN, "unit stands before"),
    ("in 0.362", MM, "unit stands before"),
    ("M+12.34", MM, "unit stands before"),
    ("3mm -5", MM, "unit stands before"),
    ("01M+12.34", MM, "unit stands before"),
    ("--12.34", MM, "no number"),
    ("+-12.34", MM, "no number"),
    ("12.34-", MM, "no number"),
    ("12.34><", MM, "no number"),
    (">12.34", MM, "no number"),
    ("12.34 furlongs", MM, "furlongs is not a unit"),
    ("ERR", MM, "no number"),
    ("12.34\x03", MM, "no number"),
    ("12\x00.34", MM, "no number"),
    ("1२.34", MM, "no number"),
    ("１２.34", MM, "no number"),
    ("ſ1.5", MM, "no number"),
    ("0.36İN", MM, "no number"),
    ("nan", MM, "no number"),
    ("Infinity", MM, "no number"),
    ("1_000", MM, "no number"),
    ("9" * 65, MM, "too long"),
    ("3/0", IN, "over zero"),
    ("3 17/16", IN, "less than one"),
    ("3/8", MM, "fraction needs its unit"),
    ("12.34", None, "none is declared"),
    ("GN01,+16.2", None, "none is declared"),
]

TYPED = [
    # text, declared unit, nanometres, whether the unit was written
    ("62.5 thou", IN, 1_587_500, True),
    ("62.5 thou", None, 1_587_500, True),
    ("⅜", IN, 9_525_000, False),
    ('⅜"', MM, 9_525_000, True),
    ("1/16", IN, 1_587_500, False),
    ("3-1/16", IN, 77_787_500, False),
    ("3+1/16", IN, 77_787_500, False),
    ("-3 1/16", IN, -77_787_500, False),
    ("3-7/8 in", MM, 98_425_000, True),
    ("7' 6\"", IN, 2_286_000_000, True),
    ("7ft 6in", IN, 2_286_000_000, True),
    ("7ft-6in", IN, 2_286_000_000, True),
    ("0,0885", IN, 2_247_900, False),
    ("9,19 mm\r", IN, 9_190_000, True),
    ("25 µm", IN, 25_000, True),
    ("0.0885\u2033", MM, 2_247_900, True),
    ("\u22120.0885", IN, -2_247_900, False),
    ("9.19\u00a0mm", IN, 9_190_000, True),
]


@pytest.mark.parametrize(("raw", "unit", "nanometres", "read_in", "prefix", "mark"), SENT, ids=lambda each: repr(each))
def test_what_a_gauge_sends(raw, unit, nanometres, read_in, prefix, mark):
    for read in (read_gauge, read_typed):
        reading = read(raw, unit)
        assert reading.length.nanometres == nanometres
        assert (reading.length.unit, reading.prefix, reading.mark, reading.raw) == (read_in, prefix, mark, raw)
        assert reading.unit_sent == any(spelt in raw.lower() for spelt in ("mm", "in", '"'))


@pytest.mark.parametrize(("raw", "unit", "fault"), REFUSED, ids=lambda each: repr(each)[:40])
def test_anything_else_is_refused_and_shown_raw(raw, unit, fault):
    with pytest.raises(BadInput) as typed:
        read_typed(raw, unit)
    assert fault in typed.value.what
    assert typed.value.what.startswith(f'"{visible(raw[:64])}" cannot be read as a reading: ')
    assert typed.value.remedy == "Send it again, or type it like 0.0885, 9.19 mm or 3 1/16 in"
    with pytest.raises(BadInput):
        read_gauge(raw, unit)


@pytest.mark.parametrize(("text", "unit", "nanometres", "written"), TYPED, ids=lambda each: repr(each))
def test_what_a_maker_types(text, unit, nanometres, written):
    reading = read_typed(text, unit)
    assert (reading.length.nanometres, reading.raw, reading.unit_sent) == (nanometres, text, written)
    assert (reading.prefix, reading.mark) == ("", None)


def test_the_whole_sentence_of_a_refusal():
    with pytest.raises(BadInput) as refusal:
        read_typed("\x0212.34;7\r\n", "mm")
    assert str(refusal.value) == (
        '"␂12.34;7␍␊" cannot be read as a reading: it is no number. '
        "Send it again, or type it like 0.0885, 9.19 mm or 3 1/16 in."
    )


def test_raw_text_is_shown_without_a_character_that_cannot_be_seen():
    assert visible("\x02\x1b\x001\u200b2\ud8003\x7f") == "␂␛␀1\\u200b2\\ud8003\\u007f"


def test_the_tables_are_as_long_as_promised():
    assert len({row[0] for row in SENT}) >= 60

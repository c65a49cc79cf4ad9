"""Tapers pasted from spreadsheets: written by programs that are not ours, read back to the same lengths.

The outside writers are Python's csv module and openpyxl; the inch is 25.4 mm exactly (agreement of 1959).
"""

from __future__ import annotations

import csv
import io
from fractions import Fraction

import openpyxl
import pytest
from hypothesis import given
from hypothesis import strategies as st

from culmwright.measure.display import DISPLAYS
from culmwright.measure.errors import BadInput
from culmwright.measure.lengths import Length
from culmwright.workshop.pasting import read_pasted

INCH, METRIC = DISPLAYS["inch"], DISPLAYS["metric"]
NM = {"in": 25_400_000, "mm": 1_000_000, "thou": 25_400}


@st.composite
def tapers(draw):
    """(stations in quarter inches, across in tenths of a thou), tip to butt, of a rod from 6 to 10 ft."""
    count = draw(st.integers(3, 25))
    last = draw(st.integers(72, 120))
    inside = draw(st.sets(st.integers(1, 4 * last - 1), min_size=count - 2, max_size=count - 2))
    stations = [Fraction(one, 4) for one in (0, *sorted(inside), 4 * last)]
    across = draw(st.lists(st.integers(500, 4999), min_size=count, max_size=count))
    return stations, [Fraction(one, 10_000) for one in across]


def plain(number: Fraction, comma: bool) -> str:
    text = f"{float(number):.6f}".rstrip("0").rstrip(".")
    return text.replace(".", ",") if comma else text


def read_back(text: str, show=INCH, length=None):
    found = read_pasted(text, show, length)
    return [one.nanometres for one in found.stations], [one.nanometres for one in found.across], found.said


@given(tapers(), st.sampled_from(["\t", ";"]), st.booleans(), st.sampled_from(["in", "mm", "thou"]), st.booleans())
def test_what_csv_writes_is_read_back_exactly(taper, mark, comma, unit, head):
    stations, across = taper
    long_unit = "mm" if unit == "mm" else "in"
    out = io.StringIO()
    writer = csv.writer(out, delimiter=mark)
    if head:
        writer.writerow(["Station", "Across"])
    for x, d in zip(stations, across, strict=True):
        writer.writerow([plain(x * NM["in"] / NM[long_unit], comma), plain(d * NM["in"] / NM[unit], comma)])
    places, values, said = read_back(out.getvalue())
    assert places == [x * NM["in"] for x in stations]
    assert values == [d * NM["in"] for d in across]
    assert any("taken as" in one for one in said)


@given(tapers())
def test_quoted_cells_with_decimal_commas_part_at_the_commas_outside(taper):
    stations, across = taper
    out = io.StringIO()
    csv.writer(out, quoting=csv.QUOTE_ALL).writerows(
        (plain(x, True), plain(d, True)) for x, d in zip(stations, across, strict=True)
    )
    places, values, _ = read_back(out.getvalue())
    assert places == [x * NM["in"] for x in stations]
    assert values == [d * NM["in"] for d in across]


@given(tapers())
def test_cells_copied_from_a_workbook(taper):
    """openpyxl writes and reads the workbook; a spreadsheet puts the cells on the clipboard parted by tabs."""
    stations, across = taper
    book = openpyxl.Workbook()
    book.active.append(["Station (in)", "Across (mm)"])
    for x, d in zip(stations, across, strict=True):
        book.active.append([float(x), float(d * Fraction("25.4"))])
    out = io.BytesIO()
    book.save(out)
    sheet = openpyxl.load_workbook(io.BytesIO(out.getvalue())).active
    copied = "\r\n".join("\t".join(str(cell) for cell in row) for row in sheet.iter_rows(values_only=True))
    places, values, said = read_back(copied)
    assert places == [x * NM["in"] for x in stations]
    assert [float(one) for one in values] == pytest.approx([float(d * NM["in"]) for d in across], rel=1e-12)
    assert "stations are in inches, as their heading says" in said
    assert "across is in millimetres, as its heading says" in said


@given(tapers())
def test_a_list_from_the_butt_is_turned_round_and_said(taper):
    stations, across = taper
    lines = [f"{plain(x, False)}\t{plain(d, False)}" for x, d in zip(stations, across, strict=True)]
    places, values, said = read_back("\n".join(reversed(lines)))
    assert places == [x * NM["in"] for x in stations]
    assert values == [d * NM["in"] for d in across]
    assert any("turned round" in one for one in said)


@pytest.mark.parametrize(
    ("text", "stations", "across"),
    [
        ("0 .07\n90 .33", [0, 90], ["0.07", "0.33"]),
        ("0 0,070\n90 0,330", [0, 90], ["0.070", "0.330"]),
        ("0, 0.070\n90, 0.330", [0, 90], ["0.070", "0.330"]),
        ("0,0.070,x\n90,0.330,y", [0, 90], ["0.070", "0.330"]),
        ("0,70\n90,330", [0, 90], ["0.070", "0.330"]),
        ("0 in\t70 thou\n7 ft 6 in\t330 thou", [0, 90], ["0.070", "0.330"]),
        ("14 1/4\t.0985\n90\t5/16", ["14.25", 90], ["0.0985", "0.3125"]),
        ("Taper of a friend\n\n0\t.07\n\n90\t.33\n", [0, 90], ["0.07", "0.33"]),
    ],
)
def test_ways_people_write_it(text, stations, across):
    places, values, _ = read_back(text)
    assert places == [Fraction(x) * NM["in"] for x in stations]
    assert values == [Fraction(d) * NM["in"] for d in across]


@pytest.mark.parametrize(
    ("last", "length", "unit"),
    [("127", "127 cm", "cm"), ("127", "127 in", "in"), ("2286", "7 ft 6 in", "mm"), ("228,6", "7 ft 6 in", "cm")],
)
def test_the_rods_length_decides_between_units(last, length, unit):
    """228.6 cm = 2286 mm = 90 in = 7 ft 6 in, by the inch of 25.4 mm."""
    found = read_pasted(f"0;0,07\n{last};0,33", INCH, Length.parse(length))
    assert found.stations[-1] == Length.parse(length)
    assert found.stations[-1].unit == unit


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("", "nothing is pasted"),
        ("station\tacross", "no numbers"),
        ("0\t0.07\n5\n", "line 2 has one column"),
        ("0\t0.07\n5\tthick", "line 2, across"),
        ("0\t0.07\n12-3\t0.08", "line 2, station"),
        ("0,0,07\n5,0,084", "a comma both parts"),
        ("0\t0.07\n" * 401, "401 lines"),
        ("x" * 50_000, "more than a taper"),
    ],
)
def test_what_cannot_be_read_is_said_with_its_line(text, words):
    with pytest.raises(BadInput, match=words) as refused:
        read_pasted(text, INCH)
    assert refused.value.remedy


@given(st.text(alphabet="0123456789.,;\t \n\"'/-+inmthou½", max_size=200))
def test_nothing_pasted_breaks_it(text):
    try:
        found = read_pasted(text, METRIC)
    except BadInput as refused:
        assert str(refused)
    else:
        assert len(found.stations) == len(found.across) > 0


def test_bare_stations_are_in_the_unit_that_others_are_written_in():
    """3 1/16 beside 90" is in inches, though 3 1/16 m would be a rod's length too."""
    found = read_pasted('0\t62.5 thou\n3 1/16\t5/64\n90"\t9/32', INCH)
    assert [one.nanometres for one in found.stations] == [0, 77_787_500, 2_286_000_000]
    assert any("inches" in one for one in found.said)


@pytest.mark.parametrize(
    ("across", "unit"),
    [
        ("0.066 0.113 1.25 0.28", "inches"),  # 0.125 in, its point slipped: three readings of a butt below 1 in stay
        ("1.7 2.9 31.5 7.1", "millimetres"),  # 3.15 mm slipped: 7.1 mm is a butt, 31.5 mm is none
        ("66 113 1250 280", "thou"),
        ("0.066 0.1 0.28 0.29", "inches"),  # nothing slipped
    ],
)
def test_one_slipped_point_does_not_change_the_unit_of_the_others(across, unit):
    lines = [f"{10 * i}\t{one}" for i, one in enumerate(across.split())]
    found = read_pasted("\n".join(lines), INCH)
    assert any(f"across is taken as {unit}" in one for one in found.said)

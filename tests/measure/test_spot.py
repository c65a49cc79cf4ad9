"""Spots: the address of a number, the same text on the command line, in files and in the book."""

from __future__ import annotations

import pytest

from culmwright.measure.errors import BadInput
from culmwright.measure.lengths import Length
from culmwright.measure.spot import Spot

READS = [
    ("B", Spot("B")),
    ("M", Spot("M")),
    ("T1", Spot("T1")),
    ("T12/S24", Spot("T12", 24)),
    ("T1@25in", Spot("T1", None, Length.parse("25 in"))),
    ("T1/S3@25 in", Spot("T1", 3, Length.parse("25 in"))),
    ("T1/S3@25in:rough", Spot("T1", 3, Length.parse("25 in"), "rough")),
    ("B@44 1/2 in:reading", Spot("B", None, Length.parse("44.5 in"), "reading")),
    ("B@2286mm", Spot("B", None, Length.parse("90 in"))),
    ("R7/T1/S3@25in:rough", Spot("T1", 3, Length.parse("25 in"), "rough", "R7")),
    ("D4F9C21/B@50in", Spot("B", None, Length.parse("50 in"), rod="D4F9C21")),
    (" M:rough_reading ", Spot("M", quantity="rough_reading")),
    ("modulus", Spot("", quantity="modulus")),
    (":Modulus", Spot("", quantity="modulus")),
    ("R7/modulus", Spot("", quantity="modulus", rod="R7")),
    ("r7 : modulus", Spot("", quantity="modulus", rod="R7")),
    ("B:modulus", Spot("B", quantity="modulus")),
    ("T1/A3", Spot("T1", adjuster=3)),
    ("R7/t1/c2:off_tip", Spot("T1", cut=2, quantity="off_tip", rod="R7")),
    ("heat", Spot("", thing="heat")),
    ("r7/Heat/2:lag", Spot("", thing="heat", of="2", quantity="lag", rod="R7")),
    ("fit/Long bed / A3 : bring_to", Spot("", adjuster=3, thing="fit", of="Long bed", quantity="bring_to")),
    ("fit/A3", Spot("", adjuster=3, thing="fit")),
    ("study/G1", Spot("", thing="study", of="G1")),
]


@pytest.mark.parametrize(("text", "spot"), READS)
def test_spots_read(text, spot):
    assert Spot.parse(text) == spot


def test_a_bare_station_is_in_the_unit_agreed():
    assert Spot.parse("T1@25", "in") == Spot.parse("T1@25in")
    assert Spot.parse("T1@25", "mm") != Spot.parse("T1@25in")


PRINTS = [
    ("T1/S3@25 in:rough", "T1/S3@25in:rough"),
    ("R7/B@7 ft 6 in", "R7/B@90in"),
    ("B@1/3 in", "B@1/3in"),
    ("M", "M"),
    (":modulus", "modulus"),
    ("R7:modulus", "R7/modulus"),
    ("r7/t1 / a3:turn", "R7/T1/A3:turn"),
    ("R7/FIT/Long bed/A3:error", "R7/fit/Long bed/A3:error"),
    ("heat / 2", "heat/2"),
]


@pytest.mark.parametrize(("text", "printed"), PRINTS)
def test_spots_print_without_blanks(text, printed):
    assert str(Spot.parse(text)) == printed
    assert Spot.parse(printed) == Spot.parse(text)


def test_the_same_place_asked_for_another_number():
    assert str(Spot.parse("T1@25in:rough").asking("height")) == "T1@25in:height"


NOT_SPOTS = ["", "B B", "X", "T", "T0", "T100", "S3", "B/S0", "B/S3@", "B@25in:", "R0/B", "D1/B", "moduli", "height"]


@pytest.mark.parametrize("text", NOT_SPOTS)
def test_anything_else_is_refused_in_one_sentence(text):
    with pytest.raises(BadInput) as refusal:
        Spot.parse(text)
    assert str(refusal.value) == (
        f'"{text}" is not the address of a spot. Write section, strip and station, like T1/S3@25in, or with the '
        "number wanted, T1@25in:rough."
    )


def test_a_station_that_is_no_length_is_refused_as_one():
    with pytest.raises(BadInput, match=r'^"25" cannot be read as a length: it has no unit'):
        Spot.parse("T1@25")


@pytest.mark.parametrize("typed", ["t1/s3@25in:ROUGH", " T1 / S3 @ 25 in : rough ", "T1/S3@25in:rough"])
def test_case_and_spaces_do_not_matter(typed):
    assert str(Spot.parse(typed)) == "T1/S3@25in:rough"


def test_a_mixed_number_in_a_spot_keeps_its_space():
    """3 1/16 in, not 31/16 in."""
    assert Spot.parse("T1@3 1/16 in").station.m == pytest.approx(3.0625 * 0.0254)

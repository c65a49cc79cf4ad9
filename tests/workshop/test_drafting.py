"""A form, the file it makes, the rod that file says: one rod, whichever way it is read.

The file is read by ``tomllib``, which is not ours; the rod by the reader of rod files.
"""

from __future__ import annotations

import tomllib
from dataclasses import replace
from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from culmwright.design.rod_file import read_rod, rod_from_text
from culmwright.design.rod_text import rod_file_text
from culmwright.measure.errors import BadInput
from culmwright.measure.lengths import Length
from culmwright.workshop.draft_fields import FIELDS, field_of
from culmwright.workshop.drafting import (
    Draft,
    cell_text,
    draft_of,
    drafted,
    empty_draft,
    even_stations,
    with_guides,
    with_proposals,
)
from culmwright.workshop.starting import rod_text

RODS = ("thrimble-beck", "ossel-burn", "pellamere-brook", "quernmoss-water", "starter")


def filled(**fields: str) -> Draft:
    """A draft that can be built, with other fields on top."""
    given = {**empty_draft().fields, "name": "Quillet Water", "length": "7 ft", "line": "4", "grip": "9,5", **fields}
    return Draft(given, "inch", ("0", "42", "84"), ("0.066", "0.154", "0.223"), (("42", "10", "0.17 oz"),))


@pytest.mark.parametrize("name", RODS)
def test_a_rod_file_fills_the_form_and_the_form_says_the_same_rod(name):
    text = rod_text(name)
    made = drafted(draft_of(text))
    assert made.rod == rod_from_text(text)
    assert tomllib.loads(made.text, parse_float=Decimal) == tomllib.loads(text, parse_float=Decimal)


def test_the_form_the_file_and_the_rod_agree(tmp_path):
    made = drafted(filled(wish='For "J", a quick tip \\ no more', varnish="0.002", spares="1", wet="no"), "a remark")
    (tmp_path / "rod.toml").write_text(made.text, encoding="utf-8")
    assert read_rod(tmp_path / "rod.toml") == made.rod
    said = tomllib.loads(made.text, parse_float=Decimal)
    assert said["rod"] == {
        "name": "Quillet Water",
        "wish": 'For "J", a quick tip \\ no more',
        "length": "7 ft",
        "pieces": 2,
        "tips": 2,
        "sides": 6,
        "line": 4,
        "grip": Decimal("9.5"),
    }
    assert said["taper"] == {
        "stations": [0, 42, 84],
        "across": [Decimal("0.066"), Decimal("0.154"), Decimal("0.223")],
        "varnish": Decimal("0.002"),
    }
    assert said["bench"] == {"spares": 1, "cutter": "flat", "wet": False}
    assert said["ferrule"] == [{"station": 42, "size": 10, "mass": "0.17 oz"}]
    assert set(said) == {"culmwright", "units", "rod", "taper", "ferrule", "bench"}  # what is absent is absent


def test_what_the_form_does_not_show_stays():
    text = rod_text("thrimble-beck")
    text = text.replace("pieces = 2\ntips = 2", "pieces = 2\ntips = 1")
    text += "[[tip]]\nstations = [0, 45]\nacross = [0.072, 0.180]\n"
    draft = draft_of(text)
    made = drafted(replace(draft, across=("0.071", *draft.across[1:])))
    said, was = (tomllib.loads(one, parse_float=Decimal) for one in (made.text, text))
    assert said["tip"] == was["tip"]
    assert said["taper"]["across"] == [Decimal("0.071"), *was["taper"]["across"][1:]]
    assert {**said, "taper": None} == {**was, "taper": None}


@pytest.mark.parametrize(
    ("fields", "name", "words"),
    [
        ({"name": " "}, "name", "no name"),
        ({"length": ""}, "length", "length is missing"),
        ({"length": "7 feet and a bit"}, "length", "cannot be read as a length"),
        ({"sides": "7"}, "sides", "whole number from 4 to 6"),
        ({"line": "five"}, "line", "not a whole number"),
        ({"grip": "9 ft"}, "grip", "does not fit"),
        ({"modulus": "30"}, "modulus", "needs its unit"),
        ({"apex_angle": "90 deg"}, "apex_angle", "far from"),
        ({"block_angle": "200 deg"}, "block_angle", "no V block"),
        ({"modulus_spread": "6 GPa"}, "modulus_spread", "without a modulus"),
        ({"varnish": "1"}, "taper", "nothing is left"),
        ({"name": "x" * 61}, "name", "too long"),
    ],
)
def test_a_refusal_belongs_to_its_field(fields, name, words):
    with pytest.raises(BadInput, match=words) as refused:
        drafted(filled(**fields))
    assert field_of(refused.value.where) == name
    assert refused.value.remedy


@pytest.mark.parametrize(
    ("change", "name", "words"),
    [
        ({"ferrules": (("", "10", ""),)}, "ferrule1_station", "station of a ferrule is missing"),
        ({"ferrules": (("42", "", ""),)}, "ferrule1_size", "no ferrule size|size of a ferrule"),
        ({"ferrules": (("42", "10", "0.17"),)}, "ferrule1_mass", "needs its unit"),
        ({"ferrules": (("99", "10", ""),)}, "ferrule1_station", "not on the rod"),
        ({"guides": "0\n4; 0.1 g"}, "guides", "some guides"),
        ({"guides": "0\n99"}, "guides", "off the rod"),
        ({"stations": (), "across": ()}, "taper", "taper is missing"),
        ({"across": ("0.066", "", "0.223")}, "taper", "across at station 42 is missing"),
        ({"across": ("0.066", "x", "0.223")}, "taper", "across at station 42: .* cannot be read as a length"),
        ({"stations": ("0", "90", "84")}, "taper", "comes after"),
        ({"units": "cubits"}, "", "no units"),
    ],
)
def test_so_does_one_about_the_grid(change, name, words):
    with pytest.raises(BadInput, match=words) as refused:
        drafted(replace(filled(), **change))
    assert field_of(refused.value.where) == name


def test_every_field_has_a_place_of_its_own():
    assert len({one.place for one in FIELDS}) == len({one.name for one in FIELDS}) == len(FIELDS)
    assert all(field_of(one.place) == one.name for one in FIELDS)


def test_ferrules_are_proposed_by_the_rule_of_the_book():
    """Smallest bore in 64ths that leaves the flats whole (common practice, no source): 0.154 in less two coats of
    0.002 in is 0.150 in, and 9/64 = 0.1406 < 0.150 <= 10/64 = 0.1563."""
    draft, said = with_proposals(replace(filled(varnish="0.002"), ferrules=()))
    assert draft.ferrules == (("42", "10", ""),)
    assert len(said) == 2 and all("proposed" in one for one in said)
    assert with_proposals(draft) == (draft, ())
    thick = replace(filled(), ferrules=(), across=("0.066", "0.158", "0.223"))  # 10/64 < 0.158 <= 11/64, bare as it is
    assert with_proposals(thick)[0].ferrules[0][1] == "11"
    coated = replace(thick, fields={**thick.fields, "varnish": "0.002"})  # 0.154 <= 10/64 under two coats
    assert with_proposals(coated)[0].ferrules[0][1] == "10"


def test_three_pieces_are_proposed_of_the_same_length():
    draft, _ = with_proposals(replace(filled(pieces="3"), ferrules=()))
    assert [station for station, _, _ in draft.ferrules] == ["28", "56"]
    assert drafted(draft).rod.pieces == 3


def test_guides_are_proposed_from_the_tip_top_on():
    draft = with_guides(filled())
    places = [Length.parse(one, "in").m / 0.0254 for one in draft.guides.split("\n")]
    assert places[0] == 0 and len(places) == 9  # one a foot plus one, and the tip-top (common practice, no source)
    assert places == sorted(places)
    assert [one.station.m / 0.0254 for one in drafted(draft).rod.guides] == pytest.approx(places)


@pytest.mark.parametrize(
    ("units", "length", "first", "last", "count"),
    [("inch", "7 ft 6 in", "0", "90", 19), ("inch", "7 ft 2 in", "0", "86", 19), ("metric", "2200", "0", "2200", 19)],
)
def test_an_empty_grid_has_a_station_every_step_and_one_at_the_end(units, length, first, last, count):
    draft = even_stations(replace(filled(length=length), units=units))
    assert (draft.stations[0], draft.stations[-1], len(draft.stations)) == (first, last, count)
    assert draft.across == ("",) * count


@given(
    st.fractions(min_value=0, max_value=200).map(lambda one: one.limit_denominator(6400)), st.sampled_from(["in", "mm"])
)
def test_a_cell_reads_back_to_the_length_it_shows(amount, unit):
    length = (
        Length.parse(f"{amount.numerator}/{amount.denominator} in")
        if amount.denominator > 1
        else Length.of(amount.numerator, "in")
    )
    assert Length.parse(cell_text(length, unit), unit) == length


VALUES = st.recursive(
    st.booleans()
    | st.integers(-(10**12), 10**12)
    | st.decimals(allow_nan=False, allow_infinity=False, places=6, min_value=-(10**6), max_value=10**6)
    | st.text(st.characters(codec="utf-8")),
    lambda inner: st.lists(inner, max_size=30),
    max_leaves=40,
)
KEYS = st.text("abcdefghijklmnopqrstuvwxyz_", min_size=1, max_size=8)
TABLE = st.dictionaries(KEYS, VALUES, max_size=5)


@given(TABLE, st.dictionaries(KEYS.map("t_{}".format), TABLE | st.lists(TABLE, min_size=1, max_size=3), max_size=4))
def test_what_is_written_is_toml_and_says_the_same(plain, tables):
    """tomllib, the standard library's reader of TOML 1.0, reads what we write to the very same values."""
    content = {**plain, **tables}
    assert tomllib.loads(rod_file_text(content, "a remark\nin two lines"), parse_float=Decimal) == content

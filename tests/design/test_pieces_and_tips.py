"""Rods in one, two and three pieces, and tips that differ."""

from __future__ import annotations

import pytest

from culmwright.design.rod_file import rod_from_text
from culmwright.measure.errors import BadInput
from culmwright.measure.lengths import Length

HEAD = 'culmwright = 1\nunits = "inch"\n'
TAPER = "[taper]\nstations = [0, 20, 45, 70, 90]\nacross = [0.07, 0.13, 0.20, 0.27, 0.33]\n"
ONE_TIP = "[[tip]]\nstations = [0, 20, 45]\nacross = [0.07, 0.13, 0.20]\n"
THIN_TIP = "[[tip]]\nstations = [0, 15, 30, 60]\nacross = [0.06, 0.11, 0.15, 0.24]\n"


def rod(pieces: int, tips: int = 1, joints: tuple[int, ...] = (), tables: str = ""):
    ferrules = "".join(f"[[ferrule]]\nstation = {joint}\nsize = 13\n" for joint in joints)
    frame = f"[rod]\nsides = 6\nlength = 90\npieces = {pieces}\ntips = {tips}\n"
    return rod_from_text(HEAD + frame + TAPER + ferrules + tables)


def names_and_ends(sections):
    return [(section.name, str(section.start), str(section.end)) for section in sections]


def test_one_piece_is_a_butt():
    one = rod(1)
    assert names_and_ends(one.sections()) == [("B", "0 in", "90 in")]
    assert names_and_ends(one.assembled()) == names_and_ends(one.sections())


def test_two_pieces_two_tips():
    two = rod(2, 2, (45,))
    assert names_and_ends(two.sections()) == [("T1", "0 in", "45 in"), ("T2", "0 in", "45 in"), ("B", "45 in", "90 in")]
    assert names_and_ends(two.assembled(2)) == [("T2", "0 in", "45 in"), ("B", "45 in", "90 in")]


def test_three_pieces():
    three = rod(3, 1, (30, 60))
    assert names_and_ends(three.sections()) == [
        ("T1", "0 in", "30 in"),
        ("M", "30 in", "60 in"),
        ("B", "60 in", "90 in"),
    ]


def test_a_section_has_its_ends_and_the_stations_between():
    tip, _, butt = rod(2, 2, (45,)).sections()
    assert [str(station) for station in tip.stations] == ["0 in", "20 in", "45 in"]
    assert [str(station) for station in butt.stations] == ["45 in", "70 in", "90 in"]
    middle = rod(3, 1, (30, 60)).sections()[1]
    assert [str(station) for station in middle.stations] == ["30 in", "45 in", "60 in"]
    assert middle.length == pytest.approx(30 * 0.0254)


def test_a_section_holds_its_ends_and_nothing_beyond():
    butt = rod(2, 2, (45,)).sections()[-1]
    assert butt.holds(Length.parse("45 in")) and butt.holds(Length.parse("90 in"))
    assert not butt.holds(Length.parse("44.9999 in")) and not butt.holds(Length.parse("90.0001 in"))


def test_tips_that_differ_have_their_own_taper_to_the_ferrule():
    two = rod(2, 2, (45,), ONE_TIP + THIN_TIP)
    first, second, butt = two.sections()
    assert first.taper.at(0.0) == pytest.approx(0.07 * 0.0254)
    assert second.taper.at(0.0) == pytest.approx(0.06 * 0.0254)
    assert second.taper.at(45 * 0.0254) == pytest.approx(0.195 * 0.0254)  # half way from 0.15 to 0.24
    assert [str(station) for station in second.stations] == ["0 in", "15 in", "30 in", "45 in"]
    assert butt.taper.at(45 * 0.0254) == pytest.approx(0.20 * 0.0254)


def test_the_stations_drawn_follow_the_tip_that_is_on():
    two = rod(2, 2, (45,), ONE_TIP + THIN_TIP)
    drawn = {str(station): across / 0.0254 for station, across in two.drawn_stations(2)}
    expected = {"0 in": 0.06, "15 in": 0.11, "30 in": 0.15, "45 in": 0.20, "70 in": 0.27, "90 in": 0.33}
    assert drawn == pytest.approx(expected)
    assert list(drawn) == list(expected)


def test_stations_drawn_come_once_each_without_own_tips():
    assert [str(station) for station, _ in rod(3, 1, (30, 60)).drawn_stations()] == [
        "0 in", "20 in", "45 in", "70 in", "90 in",
    ]  # fmt: skip


REFUSED = [
    (2, 2, (45,), ONE_TIP, "[[tip]]: there are 1 tip tables for 2 tips. Give one [[tip]] for each tip, or none."),
    (1, 1, (), ONE_TIP, "[[tip]]: there are 1 tip tables for 1 tips. Give one [[tip]] for each tip, or none."),
    (2, 1, (60,), ONE_TIP, "[[tip]] 1 stations: the tip ends at 45 in, before its ferrule at 60 in. "
     "Go on to the ferrule."),
    (2, 1, (45,), ONE_TIP.replace("[0, 20", "[1, 20"), "[[tip]] 1 stations: the first station is 1 in. "
     "Begin at 0, the tip."),
    (2, 1, (45,), ONE_TIP + "size = 13\n", "[[tip]] 1 size: this key is not known here. Take it out."),
    (3, 1, (60, 30), "", "[[ferrule]] 2 station: 30 in does not follow 60 in. "
     "Give a place between the tip and 90 in, from the tip, in order."),
    (3, 1, (45, 45), "", "[[ferrule]] 2 station: 45 in does not follow 45 in. "
     "Give a place between the tip and 90 in, from the tip, in order."),
    (3, 1, (45,), "", "[[ferrule]]: a rod in 3 pieces has 2 ferrules and the file lists 1. "
     "Give one [[ferrule]] with station and size for each joint."),
    (1, 1, (45,), "", "[[ferrule]]: a rod in 1 piece has 0 ferrules and the file lists 1. "
     "Take it out, or set pieces."),
]  # fmt: skip


@pytest.mark.parametrize(("pieces", "tips", "joints", "tables", "sentence"), REFUSED)
def test_pieces_that_do_not_fit_are_refused(pieces, tips, joints, tables, sentence):
    with pytest.raises(BadInput) as refusal:
        rod(pieces, tips, joints, tables)
    assert str(refusal.value) == sentence


def test_a_thin_tip_without_cane_left_is_named():
    with pytest.raises(BadInput, match=r"^\[\[tip\]\] 2 across: at station 0 in nothing is left of 0.003 in"):
        rod(2, 2, (45,), ONE_TIP + THIN_TIP.replace("0.06", "0.003") + "[strips]\nglue_line = 0.003\n")

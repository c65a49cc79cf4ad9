"""The culm file: what it says is read exactly, and what it cannot say is refused with place, fault and remedy."""

from __future__ import annotations

from math import pi

import pytest

from culmwright.cane.culm_file import culm_from_text, read_culm, read_culm_text
from culmwright.measure.errors import BadInput
from culmwright.workshop.starting import culm_text, rod_text

HOW = "Write it like 7 ft 6 in, 3 1/16 in, 62.5 thou or 9.19 mm."
CULM = """
culmwright = 1
units = "inch"
[culm]
label = "K1"
length = "12 ft"
diameter = [2.4, 2.2, 1.9]
wall = [0.42, 0.34, 0.28]
nodes = [9, 20, 32, 44]
mass = "5 lb"
moisture = 11
[[defect]]
start = 30
end = 33
around = ["80 deg", "100 deg"]
[[length]]
name = "butt"
start = 0
end = 72
sections = ["B"]
[[length]]
name = "tip"
start = 72
end = 144
[splitting]
over = 0.05
wander = 0.02
kerf = 0.04
"""

CASES = {
    "a culm from the future": ("culmwright = 1", "culmwright = 2",
        "culmwright: this file is of format 2, newer than this program reads (1). Update culmwright."),
    "no culm": ("[culm]", "[clum]",
        "[culm]: this table is missing. Add [culm] on a line of its own with its keys below it, "
        "or did you mean it where clum stands."),
    "no label": ('label = "K1"', 'label = " "',
        '[culm] label: a culm needs a name to be found by. Write one, such as label = "K1".'.replace('"K1"', '"K12"')),
    "a length of nothing": ('length = "12 ft"', "length = 0",
        "[culm] length: 0 in is not a length above zero. Give it as measured, above zero."),
    "a culm of a mile": ('length = "12 ft"', 'length = "5280 ft"',
        "[culm] length: 5280 ft is more than any culm has. Check the unit: it should be at most 60 ft."),
    "two diameters": ("[2.4, 2.2, 1.9]", "[2.4, 1.9]",
        "[culm] diameter: there are 2 diameters and no places for them. Give three, butt end, middle and tip end, or "
        "add measured_at with the place of each."),
    "a wall too few": ("[0.42, 0.34, 0.28]", "[0.42, 0.34]",
        "[culm] wall: there are 3 places, 3 diameters and 2 walls. Give one of each for every place."),
    "a diameter of nothing": ("[2.4, 2.2, 1.9]", "[2.4, 2.2, 0]",
        "[culm] diameter: 0 in is no diameter of a culm. Give it as a caliper reads it."),
    "a diameter in the wrong unit": ("[2.4, 2.2, 1.9]", "[60, 55, 48]",
        "[culm] diameter: 60 in is no diameter of a culm. Give it as a caliper reads it."),
    "a wall thicker than the culm": ("[0.42, 0.34, 0.28]", "[0.42, 1.1, 0.28]",
        "[culm] wall: a wall of 1.1 in does not fit into a culm 2.2 in thick. A wall is above zero and under half the "
        "diameter."),
    "no wall at all": ("[0.42, 0.34, 0.28]", "[0.42, 0, 0.28]",
        "[culm] wall: a wall of 0 in does not fit into a culm 2.2 in thick. A wall is above zero and under half the "
        "diameter."),
    "nodes out of order": ("[9, 20, 32, 44]", "[9, 32, 20, 44]",
        "[culm] nodes: node 20 in comes after 32 in. Put the nodes in order from the butt end."),
    "a node twice": ("[9, 20, 32, 44]", "[9, 20, 20, 44]",
        "[culm] nodes: node 20 in comes after 20 in. Put the nodes in order from the butt end."),
    "a node beyond the culm": ("[9, 20, 32, 44]", "[9, 20, 32, 244]",
        "[culm] nodes: node 244 in does not lie on a culm of 12 ft. Measure nodes from the butt end, up to the culm's "
        "length."),
    "no nodes": ("[9, 20, 32, 44]", "[]",
        "[culm] nodes: there are no nodes. Give the place of each from the butt end, such as [9, 20, 32]."),
    "a mass of nothing": ('mass = "5 lb"', 'mass = "0 lb"',
        "[culm] mass: a mass of zero or less cannot be. Write it like 0.22 oz."),
    "a bare mass": ('mass = "5 lb"', "mass = 5",
        '[culm] mass: "5" cannot be read as a mass: a mass needs its unit. Write it like 0.22 oz.'),
    "a moisture of 300": ("moisture = 11", "moisture = 300",
        "[culm] moisture: this is not a moisture in percent. Write a number from 0 to 200, such as moisture = 10."),
    "a moisture in words": ("moisture = 11", 'moisture = "11%"',
        "[culm] moisture: this is not a moisture in percent. Write a number from 0 to 200, such as moisture = 10."),
    "a slip in a key": ("moisture = 11", "moistur = 11",
        "[culm] moistur: this key is not known here. Did you mean moisture? If not, take it out."),
    "a defect the wrong way round": ("start = 30\nend = 33", "start = 33\nend = 30",
        "[[defect]] 1 end: 30 in comes before its start, 33 in. Give start and end from the culm's butt end."),
    "a defect beyond the culm": ("end = 33", "end = 333",
        "[[defect]] 1 end: 333 in does not lie on a culm of 12 ft. Measure it from the butt end."),
    "a defect around in one angle": ('["80 deg", "100 deg"]', '["80 deg"]',
        "[[defect]] 1 around: this is not where it begins and ends around the culm. Write two angles from 0 deg to "
        '360 deg, such as ["80 deg", "100 deg"], or leave it out: all round.'),
    "a defect around beyond a turn": ('["80 deg", "100 deg"]', '["80 deg", "400 deg"]',
        "[[defect]] 1 around: this is not where it begins and ends around the culm. Write two angles from 0 deg to "
        '360 deg, such as ["80 deg", "100 deg"], or leave it out: all round.'),
    "a length the wrong way round": ("start = 72\nend = 144", "start = 144\nend = 72",
        "[[length]] 2 end: 72 in does not come after its start, 144 in. Measure both from the butt end."),
    "lengths that overlap": ("start = 72\nend = 144", "start = 70\nend = 144",
        "[[length]] 2 start: tip begins at 70 in, before butt ends at 72 in. Put the lengths in order from the butt "
        "end, apart from each other."),
    "a length beyond the culm": ("end = 144", "end = 145",
        "[[length]] 2 end: 145 in does not lie on a culm of 12 ft. Measure it from the butt end."),
    "two lengths of one name": ('name = "tip"', 'name = "butt"',
        "[[length]] 2 name: there is a length butt already. Give each length a name of its own."),
    "sections in words": ('["B"]', '"butt"',
        '[[length]] 1 sections: these are no sections of a rod. Write them as a list, such as ["B"] or ["T1", "T2"].'),
    "a kerf of a hand": ("kerf = 0.04", "kerf = 4",
        "[splitting] kerf: 4 in is no width to allow for. Give one from 0 to 1 in."),
    "an allowance below zero": ("over = 0.05", "over = -0.05",
        "[splitting] over: -0.05 in is no width to allow for. Give one from 0 to 1 in."),
    "an unknown table": ("[splitting]", "[split]",
        "split: this key is not known here. Did you mean splitting? If not, take it out."),
}  # fmt: skip


@pytest.mark.parametrize("case", CASES)
def test_a_refusal_says_where_what_and_what_to_do(case):
    old, new, sentence = CASES[case]
    assert old in CULM
    with pytest.raises(BadInput) as refusal:
        culm_from_text(CULM.replace(old, new, 1))
    assert str(refusal.value) == sentence


def test_a_rod_file_is_told_apart(tmp_path):
    path = tmp_path / "rod.toml"
    path.write_text(rod_text("starter"))
    with pytest.raises(BadInput) as refusal:
        read_culm(path)
    assert str(refusal.value) == (
        f"{path}, [rod]: this is a rod file, not a culm file. Give the file that begins with [culm]."
    )


def test_no_file_names_the_command_that_makes_one(tmp_path):
    with pytest.raises(BadInput, match="culmwright new FILE --of culm"):
        read_culm_text(tmp_path / "gone.toml")


def test_a_culm_is_read_exactly():
    culm = culm_from_text(CULM)
    assert (culm.label, culm.length.m, culm.moisture) == ("K1", 144 * 0.0254, 0.11)
    assert culm.mass == pytest.approx(5 * 0.45359237)
    assert [str(one.place) for one in culm.girths] == ["0 m", "6 ft", "12 ft"]
    assert [one.m for one in culm.nodes] == pytest.approx([0.2286, 0.508, 0.8128, 1.1176])
    assert [(one.name, one.sections) for one in culm.lengths] == [("butt", ("B",)), ("tip", ())]
    assert culm.defects[0].around == pytest.approx((4 * pi / 9, 5 * pi / 9))
    assert culm.splitting.allowance == pytest.approx(0.07 * 0.0254)
    assert culm.warnings == ()


def test_between_its_places_a_culm_tapers_straight():
    culm = culm_from_text(CULM)
    assert culm.diameter_at(36 * 0.0254) == pytest.approx(2.3 * 0.0254)
    assert culm.wall_at(108 * 0.0254) == pytest.approx(0.31 * 0.0254)
    assert culm.narrowest(culm.lengths[0]) == pytest.approx(2.2 * 0.0254)
    assert [one.m for one in culm.nodes_in(culm.lengths[1])] == []


def test_places_of_their_own():
    text = CULM.replace("diameter =", "measured_at = [10, 70, 130]\ndiameter =")
    culm = culm_from_text(text)
    assert culm.diameter_at(0.0) == pytest.approx(2.4 * 0.0254)  # level beyond the first
    assert culm.diameter_at(40 * 0.0254) == pytest.approx(2.3 * 0.0254)


@pytest.mark.parametrize(
    ("old", "new", "warning"),
    [
        (
            "[2.4, 2.2, 1.9]",
            "[2.2, 2.4, 1.9]",
            "the culm is 2.4 in thick after 2.2 in nearer its butt end: diameters are listed from there up",
        ),
        ("[9, 20, 32, 44]", "[9, 20, 31, 80]", "nodes 31 in and 80 in stand far apart: was one left out?"),
    ],
)
def test_what_is_odd_gets_a_warning(old, new, warning):
    assert culm_from_text(CULM.replace(old, new)).warnings == (warning,)


def test_without_splitting_nothing_is_allowed_for_and_that_is_known():
    culm = culm_from_text(CULM[: CULM.index("[splitting]")])
    assert (culm.splitting.given, culm.splitting.allowance) == (False, 0.0)


def test_a_culm_that_is_not_cut_is_one_length():
    culm = culm_from_text(CULM[: CULM.index("[[length]]")])
    assert [(one.name, one.length) for one in culm.lengths] == [("K1", culm.length.m)]


@pytest.mark.parametrize("name", ["starter", "k12"])
def test_the_files_that_come_with_the_program_are_read_without_a_warning(name):
    assert culm_from_text(culm_text(name)).warnings == ()

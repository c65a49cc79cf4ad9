"""The rig file: what it says, and what it cannot say; each refusal a sentence with place, fault and remedy."""

from __future__ import annotations

from math import radians

import pytest

from culmwright.measure.errors import BadInput
from culmwright.rigs.depth_gauge import BallPoint, ConePoint
from culmwright.rigs.rig import DialWay, End, GroovedForm, GuidedBed
from culmwright.rigs.rig_file import read_rig, rig_from_text, rig_text
from culmwright.rigs.screw import Hands, Turning
from culmwright.workshop.starting import shop_rig_text

INCH = 0.0254
GRADED = (
    "zero = [0.014, 0.060]              # depth of the groove with every screw closed, as measured,\nzero_places = "
)
FORM = shop_rig_text("starter-form").replace(GRADED, "zero = 0.020 # ")
BED = shop_rig_text("starter-bed")
WIDE = "culmwright = 1\nunits = 'metric'\n[rig]\nlength = 1600\n[adjusters]\nplaces = [50, 800, 1550]\npitch = 1\n"


def test_a_form_as_written():
    rig = rig_from_text(FORM)
    assert rig.kind == "form"
    assert rig.length == pytest.approx(60 * INCH)
    assert len(rig.adjusters.places) == 12
    assert rig.adjusters.screw.travel == pytest.approx(0.05 * INCH)
    assert rig.adjusters.screw.opens is Turning.COUNTER
    assert rig.adjusters.most is None and rig.adjusters.neighbour is None and rig.adjusters.now is None
    assert isinstance(rig.moved, GroovedForm)
    (groove,) = rig.moved.grooves
    assert (groove.sides, groove.mirrored) == (6, False)
    assert groove.zero.at(0.5) == pytest.approx(0.020 * INCH)
    assert rig.moved.point == ConePoint(radians(60), 0.003 * INCH)
    assert rig.warnings == ()


def test_a_bed_as_written():
    rig = rig_from_text(BED)
    assert rig.kind == "bed"
    assert isinstance(rig.moved, GuidedBed)
    assert rig.moved.stop == pytest.approx(0.250 * INCH)
    assert rig.moved.dial is not None and rig.moved.dial.way is DialWay.DOWN
    assert rig.moved.insert is None and rig.lay is None


def test_everything_a_form_can_say():
    rig = rig_from_text(
        WIDE
        + "second_pitch = 1.25\nhands = 'opposite'\nleast = 0.5\nmost = 6\nneighbour = 1\nnow = [1, 2.5, 3]\n"
        + "[[groove]]\nsides = 5\nzero = [0.5, 0.6]\nzero_places = [100, 1500]\nenamel_wall = '54.1 deg'\n"
        + "[[groove]]\nsides = 5\nname = 'right'\nmirrored = true\nzero = 0.5\n"
        + "[depth_gauge]\npoint = 'ball'\nradius = 0.5\n[lay]\nholes = [20, 40]\nend = 'butt'\ngap = 10\n"
    )
    screw = rig.adjusters.screw
    assert (screw.hands, screw.travel) == (Hands.OPPOSITE, pytest.approx(2.25e-3))
    assert (rig.adjusters.least, rig.adjusters.most, rig.adjusters.neighbour) == pytest.approx((5e-4, 6e-3, 1e-3))
    assert rig.adjusters.now == (1.0, 2.5, 3.0)
    assert isinstance(rig.moved, GroovedForm)
    left, right = rig.moved.grooves
    assert [groove.name for groove in rig.moved.for_sides(5)] == ["5 sides", "right"]
    assert left.zero.at(0.8) == pytest.approx(5.5e-4)
    assert left.zero.at(0.0) == pytest.approx(5e-4)
    assert left.enamel_wall == pytest.approx(radians(54.1))
    assert right.mirrored
    assert rig.moved.point == BallPoint(5e-4)
    assert rig.lay is not None and rig.lay.end is End.BUTT
    assert rig.lay.holes == pytest.approx((0.02, 0.04))
    assert rig.warnings == ("[adjusters] opens is not given: which way a screw is turned is yours to know",)


def test_an_insert():
    text = BED.replace("# [insert]", "[insert]").replace("# material", "material").replace("# bed = ", "bed = ")
    rig = rig_from_text(text.replace("# fitted", "fitted"))
    assert isinstance(rig.moved, GuidedBed) and rig.moved.insert is not None
    assert (rig.moved.insert.material, rig.moved.insert.bed) == ("hdpe", "aluminium")
    assert rig.moved.insert.fitted == pytest.approx(294.26, abs=0.005)


def test_an_insert_of_nothing_known():
    with pytest.raises(BadInput, match=r'\[insert\] material: "granite" is not a material known here'):
        rig_from_text(BED.replace("# [insert] ", '[insert]\nmaterial = "granite"\nbed = "steel" '))


def test_what_is_not_measured_is_said():
    rig = rig_from_text(WIDE + "opens = 'clockwise'\n[[groove]]\nsides = 6\n")
    assert rig.warnings == ("[[groove]] 1 zero is not given: taken as 0 all along; measure it",)


def test_a_groove_of_another_angle_is_said():
    rig = rig_from_text(WIDE + "opens = 'clockwise'\n[[groove]]\nsides = 6\nzero = 0\nflank_wall = '63 deg'\n")
    assert rig.warnings == (
        "[[groove]] 1: walls of 60/63 deg make a groove of 57 deg, and strips of 6 sides fit one of 60 deg",
    )


HOW = "Write it like 7 ft 6 in, 3 1/16 in, 62.5 thou or 9.19 mm."
CASES = {
    "a rig from the future": (FORM, "culmwright = 1\n", "culmwright = 2\n",
        "culmwright: this file is of format 2, newer than this program reads (1). Update culmwright."),
    "no adjusters": (FORM, "[adjusters]", "[adjuster]",
        "[adjusters]: this table is missing. Add [adjusters] on a line of its own with its keys below it, "
        "or did you mean it where adjuster stands."),
    "adjusters out of order": (FORM, "2.5, 7.5, 12.5", "7.5, 2.5, 12.5",
        "[adjusters] places: 2.5 in comes after 7.5 in. Put the adjusters in order from the tip end."),
    "two adjusters at one place": (FORM, "2.5, 7.5,", "2.5, 2.5,",
        "[adjusters] places: 2.5 in comes after 2.5 in. Put the adjusters in order from the tip end."),
    "two screws in one hole": (
        FORM,
        "2.5, 7.5,",
        "2.5, 2.51,",
        "[adjusters] places: 2.5 in and 2.51 in are too near for two screws. Give places 5 mm apart or more.",
    ),
    "one adjuster": (BED, "1, 6, 11, 16, 21, 26, 31, 36, 41, 46, 51, 56, 61", "31",
        "[adjusters] places: 1 adjusters hold no bar. Give 2 to 60, from the tip end."),
    "an adjuster off the rig": (FORM, "52.5, 57.5]", "52.5, 67.5]",
        "[adjusters] places: 67.5 in is not on the rig. Count from the rig's tip end, within its length."),
    "a pitch in threads": (FORM, 'pitch = "1/20 in"', "pitch = 20",
        '[adjusters] pitch: 20 in is no pitch of an adjuster. Write the rise of one turn, such as "1/20 in" or "1 mm", '
        "from 0.05 mm to 10 mm."),
    "a pitch of nothing": (FORM, 'pitch = "1/20 in"', "pitch = 0",
        '[adjusters] pitch: 0 in is no pitch of an adjuster. Write the rise of one turn, such as "1/20 in" or "1 mm", '
        "from 0.05 mm to 10 mm."),
    "a pitch below nothing": (FORM, 'pitch = "1/20 in"', "pitch = -0.05",
        '[adjusters] pitch: -0.05 in is no pitch of an adjuster. Write the rise of one turn, such as "1/20 in" or '
        '"1 mm", from 0.05 mm to 10 mm.'),
    "threads that move nothing": (FORM, 'opens =', 'second_pitch = "0.05 in"\nopens =',
        "[adjusters] second_pitch: two threads of one pitch and one hand move nothing. Check both pitches."),
    "a hand without a thread": (FORM, "opens =", 'hands = "opposite"\nopens =',
        "[adjusters] hands: there is no second pitch for a hand to belong to. Add second_pitch, or take it out."),
    "a way that is none": (FORM, '"counter-clockwise" ', '"left" ',
        '[adjusters] opens: "left" is not one of the choices. Write "clockwise" or "counter-clockwise".'),
    "screws that cannot go": (FORM, "# most = 0.25 ", "least = 0.3\nmost = 0.25 ",
        "[adjusters] most: 0.25 in leaves the screws no way to go. Give the widest they open or lift."),
    "neighbours tied": (FORM, "# neighbour = 0.05 ", "neighbour = 0 ",
        "[adjusters] neighbour: 0 in lets no two screws differ. Give a length above zero, or no line."),
    "too few turns": (FORM, "# now = [1, 1,", "now = [1,",
        "[adjusters] now: there are 12 adjusters. Give the turns of each from zero, such as [1.25, 1.5]."),
    "turns in words": (FORM, "# now = [1, 1,", 'now = ["1 turn", 1,',
        "[adjusters] now: one of these is no number of turns. Give plain numbers such as 1.25, opening positive."),
    "neither grooves nor bed": (FORM, "[[groove]]", "[[grove]]",
        "[[groove]]: a rig has either grooves or a bed, and this file has neither. "
        "Give one [[groove]] for each groove of a form, or one [bed]."),
    "grooves and a bed": (BED, "[bed]", "[[groove]]\nsides = 6\n[bed]",
        "[[groove]]: a rig has either grooves or a bed, and this file has both. "
        "Give one [[groove]] for each groove of a form, or one [bed]."),
    "three sides": (FORM, "sides = 6 ", "sides = 3 ",
        "[[groove]] 1 sides: 3 is not a whole number from 4 to 6. Write sides = 4 … 6."),
    "a wall of another groove": (FORM, '# enamel_wall = "60 deg" ', 'enamel_wall = "45 deg" ',
        "[[groove]] 1 enamel_wall: a wall of 45 deg is far from the 60 deg of 6 sides. "
        "Give its angle from the horizontal, the strip's enamel on enamel_wall."),
    "two grooves of one name": (FORM, "[depth_gauge]", '[[groove]]\nname = "top"\nsides = 6\nzero = 0\n[depth_gauge]',
        '[[groove]]: two grooves are called top. Give each a name of its own, such as name = "left".'),
    "a zero curve with a place too few": (FORM, "zero = 0.020 ", "zero = [0.02, 0.03]\nzero_places = [1] ",
        "[[groove]] 1 zero: there are 1 places and 2 values. Give one for each place."),
    "a zero curve out of order": (FORM, "zero = 0.020 ", "zero = [0.02, 0.03]\nzero_places = [9, 1] ",
        "[[groove]] 1 zero_places: 1 in comes after 9 in. Put the places in order from the tip end."),
    "a zero curve off the rig": (FORM, "zero = 0.020 ", "zero = [0.02, 0.03]\nzero_places = [9, 99] ",
        "[[groove]] 1 zero_places: a place is not on the rig. Count from the rig's tip end, within its length."),
    "places for one zero": (FORM, "zero = 0.020 ", "zero = 0.02\nzero_places = [9] ",
        "[[groove]] 1 zero_places: there is one zero for several places. Give zero as a list, or no places."),
    "a blunt point": (FORM, 'angle = "60 deg" ', 'angle = "160 deg" ',
        "[depth_gauge] angle: 160 deg is no point of a gauge. Give the cone's full angle."),
    "a flat below nothing": (FORM, "flat = 0.003 ", "flat = -0.003 ",
        "[depth_gauge] flat: -0.003 in is below zero. Give the width of the worn flat, 0 if it is sharp."),
    "a depth gauge for a bed": (BED, "[bed]", '[depth_gauge]\npoint = "ball"\nradius = 0.01\n[bed]',
        "[depth_gauge]: a depth gauge reads grooves, not a bed. Take it out."),
    "a stop below nothing": (BED, "stop = 0.250 ", "stop = -0.250 ",
        "[bed] stop: -0.25 in is not a length above zero. Give it as measured, above zero."),
    "a division without a dial": (BED, 'dial = "down" ', "",
        '[bed] division: a division belongs to a dial. Add dial = "down" or dial = "up".'),
    "a hole off the rig": (BED, "# [lay] ", '[lay]\nholes = [1, 99]\nend = "tip" ',
        "[lay] holes: a hole is not on the rig. Give their places from the rig's tip end."),
    "a gap below nothing": (BED, "# [lay] ", '[lay]\nholes = [1]\nend = "tip"\ngap = -1 ',
        "[lay] gap: -1 in is below zero. Give how far the hole lies beyond the section's end."),
    "a rig of a mile": (FORM, "length = 60 ", "length = 63360 ",
        "[rig] length: 63360 in is no length of a rig. Give one from 6 in to 30 ft."),
    "a key of another trade": (FORM, "sides = 6 ", "sydes = 6\nsides = 6 ",
        "[[groove]] 1 sydes: this key is not known here. Did you mean sides? If not, take it out."),
    "a length of no unit": (FORM, "length = 60 ", 'length = "60 furlongs" ',
        f'[rig] length: "60 furlongs" cannot be read as a length: furlongs is not a unit of length known here '
        f"(in, thou, ft, mm, cm, m, µm). {HOW}"),
}  # fmt: skip


@pytest.mark.parametrize("name", CASES)
def test_a_refusal(name):
    text, old, new, sentence = CASES[name]
    assert old in text
    with pytest.raises(BadInput) as refused:
        rig_from_text(text.replace(old, new, 1))
    assert str(refused.value) == sentence


def test_the_file_is_named(tmp_path):
    path = tmp_path / "form.toml"
    with pytest.raises(BadInput, match=r"Check the name, or make one with: culmwright new FILE --of form"):
        read_rig(path)
    path.write_text(FORM.replace('pitch = "1/20 in"', "pitch = 20"))
    for asked in (read_rig, rig_text):
        with pytest.raises(BadInput) as refused:
            asked(path)
        assert str(refused.value).startswith(f"{path}, [adjusters] pitch: 20 in is no pitch")
    path.write_text(FORM)
    assert rig_text(path) == FORM


@pytest.mark.parametrize("name", ["starter-form", "starter-bed", "long-form", "pair-form", "quiet-bed"])
def test_rigs_that_come_with_the_program_warn_of_nothing(name):
    assert rig_from_text(shop_rig_text(name)).warnings == ()

"""Places where the main job once went wrong, or could: joints, crowns, grips, labels, blocks that lie."""

from __future__ import annotations

from math import cos, pi

import pytest
import shapely

from culmwright.bench.targets import schedule
from culmwright.design.rod_file import rod_from_text
from culmwright.measure.errors import BadInput
from culmwright.measure.spot import Spot
from culmwright.workshop.checking import check
from culmwright.workshop.explaining import explain
from culmwright.workshop.starting import rod_text

HEAD = 'culmwright = 1\nunits = "inch"\n[rod]\nsides = 6\nlength = 90\npieces = 2\ntips = 2\nline = 5\ngrip = 9\n'
TAPER = "[taper]\nstations = [0, 45, 90]\nacross = [0.07, 0.18, 0.33]\n[[ferrule]]\nstation = 45\nsize = 11\n"
TIPS = "".join(f"[[tip]]\nstations = [0, 45]\nacross = [0.07, {end}]\n" for end in (0.150, 0.165))


def test_the_two_sides_of_a_joint_have_each_their_stress():
    """Section moduli go with the cube of the bare across: 0.18 against 0.15, under the same moment."""
    rod = rod_from_text(HEAD + TAPER + TIPS)
    tip, butt = (explain(rod, Spot.parse(f"{side}@45in:stress")).value for side in ("T1", "B"))
    assert tip / butt == pytest.approx((0.18 / 0.15) ** 3, rel=1e-12)
    at_joint = [one for one in check(rod).stations if abs(one.station - 45 * 0.0254) < 1e-9]
    assert [one.stress for one in at_joint] == pytest.approx([tip, butt])
    assert "the tips differ: ask for each of them with --tip" in check(rod).notes


def test_a_five_sided_rod_on_a_culm_is_glued_to_what_a_caliper_reads():
    """The caliper reads crown's top to corner; corners lie at the chords. By shapely: flats raised by their arcs."""
    text = rod_text("pellamere-brook").replace("glue_line = 0.012", "glue_line = 0")
    rod = rod_from_text(text)
    one = schedule(rod).sections[-1].stations[-1]
    radius, top = rod.making.culm_diameter.m / 2, one.height
    # A disc of the culm's radius over each flat, its top at `top` from the centre; the section is what all discs share.
    section = shapely.Point(0, 0).buffer(1.0)
    for i in range(5):
        angle = -pi / 2 + 2 * pi * i / 5
        centre = shapely.Point((top - radius) * cos(angle), (top - radius) * cos(angle - pi / 2))
        section = section.intersection(centre.buffer(radius, quad_segs=4096))
    reach = section.bounds
    assert one.glued_across == pytest.approx(reach[3] - reach[1], abs=2e-8)  # 4096 segments a quadrant: 1e-8 m of arc


@pytest.mark.parametrize(("length", "grip"), [(66, 3), (66, 1), (66, 8), (90, 10), (84, 9.5)])
def test_the_front_of_the_grip_is_not_in_it(length, grip):
    rod = rod_from_text(
        f'culmwright = 1\nunits = "inch"\n[rod]\nsides = 6\nlength = {length}\ngrip = {grip}\n'
        f"[taper]\nstations = [0, {length - grip}, {length}]\nacross = [0.07, 0.3, 0.3]\n"
    )
    assert [one.in_grip for one in check(rod).stations] == [False, False, True]


def test_the_chart_of_stress_reaches_the_greatest():
    found = check(rod_from_text(HEAD + TAPER))
    ahead = [one.stress for one in found.curve if not one.in_grip]
    assert found.greatest.stress >= max(ahead)
    assert found.greatest.stress > max(one.stress for one in found.stations if not one.in_grip)


def test_a_label_of_another_drawing_is_refused():
    rod = rod_from_text(rod_text("starter"))
    assert explain(rod, Spot.parse(f"{rod.code}/B@60in")).value > 0
    with pytest.raises(BadInput) as fault:
        explain(rod, Spot.parse("D000000/B@60in"))
    assert fault.value.what == f"this drawing is {rod.code}, and the address names D000000"


def test_a_block_that_wedges_gives_no_reading():
    text = rod_text("thrimble-beck").replace('apex_angle = "60 deg"', 'apex_angle = "61.5 deg"')
    rod = rod_from_text(text)
    one = schedule(rod).sections[0].stations[0]
    assert one.reading is None
    assert one.rough_reading is None
    assert any("they wedge on their flanks and every reading is wrong" in warning for warning in rod.warnings)


def test_a_split_strip_too_low_is_said():
    text = rod_text("thrimble-beck").replace("split_height = 0.290", "split_height = 0.130")
    said = schedule(rod_from_text(text)).notes
    assert any(note == "a split strip of 0.1300 in is too low for the 0.1360 in finished at 80 in" for note in said)
    text = rod_text("thrimble-beck").replace("split_height = 0.290", "split_height = 0.200")
    said = schedule(rod_from_text(text)).notes
    assert any("is under the 0.2360 in roughed at 80 in" in note for note in said)


def test_what_was_not_given_is_said_to_be_a_default():
    rod = rod_from_text(HEAD + TAPER)
    ladder = {rung.step: rung for rung in explain(rod, Spot.parse("B@60in:rough")).ladder}
    assert ladder["roughing leaves over"].source == "common practice, no source"
    assert ladder["apex angle of the strip"].source == "plane geometry"
    assert any(note.startswith("the density of the cane is a default") for note in check(rod).notes)


def test_a_stress_can_be_followed_to_masses_and_distances():
    """By hand at 45 in, line 5: 140 grains at 45 in, factor 4 (Garrison & Carmichael 1977, from memory)."""
    rod = rod_from_text(HEAD + TAPER)
    ladder = {rung.step: rung.value for rung in explain(rod, Spot.parse("B@45in:moment")).ladder}
    assert ladder["mass of line beyond the tip"] == pytest.approx(140 * 64.79891e-6, rel=1e-9)
    assert ladder["distance of line beyond the tip"] == pytest.approx(45 * 0.0254, rel=1e-12)
    cane = ladder["mass of cane"] * ladder["distance of cane"] * 4 * 9.80665
    assert ladder["moment of cane"] == pytest.approx(cane, rel=1e-12)

"""What a culm gives a rod, worked out by hand for culms of round numbers."""

from __future__ import annotations

from math import asin, pi

import pytest

from culmwright.bench.culm_yield import Reach, culm_yield
from culmwright.bench.layout_tasks import tasks
from culmwright.bench.node_zones import USUAL, Margins, zones
from culmwright.bench.targets import schedule
from culmwright.cane.culm_file import culm_from_text
from culmwright.cane.task import Forbidden
from culmwright.design.rod_file import rod_from_text
from culmwright.measure.lengths import Length
from culmwright.workshop.starting import rod_text

INCH = 0.0254
NANO = 25_400_000
ROD = rod_from_text(rod_text("thrimble-beck"))  # 90 in, two pieces, two tips, one spare, strips 6 in over


def culm(lengths, diameter="[2, 2, 2]", wall="[0.4, 0.4, 0.4]", extra="", nodes="[9, 20, 31, 42, 60, 75, 90, 130]"):
    pieces = "".join(f"[[length]]\nstart = {a}\nend = {b}\n{more}\n" for a, b, more in lengths)
    return culm_from_text(
        f'culmwright = 1\nunits = "inch"\n[culm]\nlabel = "K"\nlength = 144\ndiameter = {diameter}\nwall = {wall}\n'
        f"nodes = {nodes}\n{pieces}\n[splitting]\nover = 0.05\nwander = 0.02\n{extra}"
    )


TWO = ((0, 72, ""), (72, 144, ""))


def test_raw_width_holds_the_widest_face_and_the_allowances():
    face = {one.section: max(s.face_width for s in one.stations) for one in schedule(ROD).sections}
    for need in culm_yield(ROD, (culm(TWO),)).needs:
        assert need.width == pytest.approx(face[need.section] + 0.07 * INCH)
        assert (need.strips, need.spares) == (6, 1)
        assert need.length == pytest.approx(51 * INCH)


def test_the_butt_comes_from_the_butt_end_and_tips_from_the_tip_end():
    found = culm_yield(ROD, (culm(TWO),))
    butt, tip = found.lengths
    assert [(one.section, len(one.numbers)) for one in butt.taken] == [("B", 7)]
    assert [(one.section, len(one.numbers)) for one in tip.taken] == [("T1", 7), ("T2", 7)]
    assert found.enough
    for one in (butt, tip):
        assert one.strips == int(pi / asin(one.width / (2 * INCH)))
        assert one.left == one.strips - sum(len(taken.numbers) for taken in one.taken)


def test_the_ring_is_counted_at_the_narrow_end():
    found = culm_yield(ROD, (culm(TWO, diameter="[2.4, 2.2, 2]"),))
    assert [one.diameter / INCH for one in found.lengths] == pytest.approx([2.2, 2.0])


def test_a_length_kept_for_a_section_serves_no_other():
    found = culm_yield(ROD, (culm(((0, 72, 'sections = ["T1"]'), (72, 144, 'sections = ["T2", "B"]'))),))
    assert [[one.section for one in each.taken] for each in found.lengths] == [["T1"], ["B", "T2"]]
    assert found.lengths[1].width == pytest.approx(max(one.width for one in found.needs))  # of the widest it serves


def test_one_length_is_too_little_and_the_shortfall_is_told():
    """A ring of 1 in gives 13 butt strips: 7 for the butt, 6 for one tip, none for the other."""
    small = culm(((0, 72, ""),), diameter="[1, 1, 1]")
    found = culm_yield(ROD, (small,))
    assert int(pi / asin(max(one.width for one in found.needs) / INCH)) == 13
    assert not found.enough
    assert [(one.section, one.strips) for one in found.short] == [("T2", 6)]
    assert found.short[0].why == "the rings hold no more of its width"
    assert "T1 gets 0 of its 1 spares" in found.notes


def test_several_lengths_share_where_none_holds_a_section():
    narrow = culm(((0, 72, ""), (72, 144, "")), diameter="[0.42, 0.42, 0.42]", wall="[0.2, 0.2, 0.2]")
    found = culm_yield(ROD, (narrow,))
    assert int(pi / asin(max(one.width for one in found.needs) / (0.42 * INCH))) == 5
    shares = {one.name: [(t.section, len(t.numbers)) for t in one.taken] for one in found.lengths}
    assert shares == {"K-1": [("B", 5)], "K-2": [("B", 1), ("T1", 4)]}
    assert [(one.section, one.strips) for one in found.short] == [("T1", 2), ("T2", 6)]
    assert "the strips of B come from more than one length" in found.notes


def test_a_length_too_short_says_by_how_much():
    found = culm_yield(ROD, (culm(((0, 50, ""),)),))
    assert {one.section for one in found.short} == {"B", "T1", "T2"}
    assert found.short[0].why == "its strips are 51.00 in (1295.4 mm) long, the longest length 50.00 in (1270.0 mm)"


def test_a_wall_thinner_than_a_strip_is_a_no():
    found = culm_yield(ROD, (culm(TWO, wall="[0.1, 0.1, 0.1]"),))
    assert [one.section for one in found.short] == ["B"]
    assert found.short[0].why == "the wall is thinner than its strips are high"
    assert {one.section: one.reach for one in found.walls}["B"] is Reach.THROUGH


@pytest.mark.parametrize(("wall", "reach"), [(0.22, Reach.SOUND), (0.20, Reach.WEAK), (0.12, Reach.THROUGH)])
def test_how_deep_a_butt_strip_reaches(wall, reach):
    """Butt strips are 0.136 in high at most; 5/8 of the wall is sound: a line from 5 to 1 has fallen to half there."""
    highest = max(station.height for station in schedule(ROD).sections[-1].stations)
    assert highest / INCH == pytest.approx(0.136, abs=5e-4)
    found = culm_yield(ROD, (culm(TWO, wall=f"[{wall}, {wall}, {wall}]"),))
    check = next(one for one in found.walls if one.section == "B")
    assert check.reach is reach
    assert check.height == pytest.approx(highest)


def test_the_wall_is_that_of_the_place_on_the_culm():
    """A butt of 45 in laid in the middle of a length of 72 in: its tip end, station 45 in, at 58.5 in of the culm."""
    found = culm_yield(ROD, (culm(TWO, wall="[0.30, 0.20, 0.15]"),))
    check = next(one for one in found.walls if one.section == "B")
    shares = {}
    for one in schedule(ROD).sections[-1].stations:
        place = 58.5 - (one.station / INCH - 45)
        shares[one.station] = (one.height / INCH) / (0.30 - 0.10 * place / 72)
    assert check.station == max(shares, key=shares.get)
    assert check.height / check.wall == pytest.approx(max(shares.values()))


def test_strips_with_a_defect_are_taken_last():
    found = culm_yield(ROD, (culm(TWO, extra='[[defect]]\nstart = 20\nend = 21\naround = ["0 deg", "30 deg"]\n'),))
    butt = found.lengths[0]
    marked = {one.number for one in butt.raw if one.faults}
    assert marked
    assert marked.isdisjoint(butt.taken[0].numbers)


def test_zones_of_a_rod():
    """Ferrule at 45 in, grip of 10 in on a rod of 90 in: each section has its own, from its own tip end.

    And half a node (3/8 in) beyond it, where a node that is cut through still reaches onto the section.
    """
    half = round(0.375 * NANO)
    tip, _, butt = (zones(ROD, one, USUAL) for one in ROD.sections())
    assert {(one.why, one.start, one.end) for one in tip} == {
        (Forbidden.FERRULE, 43 * NANO, 45 * NANO + half),
        (Forbidden.TIP_END, -half, 4 * NANO),
    }
    assert {(one.why, one.start, one.end) for one in butt} == {
        (Forbidden.FERRULE, -half, 2 * NANO),
        (Forbidden.GRIP_END, 34 * NANO, 36 * NANO),
    }


def test_a_long_ferrule_keeps_nodes_further_off():
    text = rod_text("thrimble-beck").replace("size = 12", "size = 12\nlength = 5")
    tip = zones(rod_from_text(text), rod_from_text(text).sections()[0], USUAL)
    assert (Forbidden.FERRULE, round(42.5 * NANO), round(45.375 * NANO)) in {
        (one.why, one.start, one.end) for one in tip
    }


def test_guide_feet_if_they_are_wanted():
    margins = Margins(USUAL.ferrule, USUAL.tip_end, USUAL.grip_end, Length.parse("1/2 in"))
    feet = [one for one in zones(ROD, ROD.sections()[0], margins) if one.why is Forbidden.GUIDE_FOOT]
    assert [round((one.start + one.end) / 2 / NANO, 2) for one in feet[1:3]] == [4.0, 8.75]
    assert (feet[0].start, feet[0].end) == (round(-0.375 * NANO), NANO // 2)  # the tip-top


def test_a_margin_of_nothing_makes_no_zone():
    nothing = Length.parse("0 in")
    assert zones(ROD, ROD.sections()[0], Margins(nothing, nothing, nothing, nothing)) == ()


def test_a_task_lays_the_strips_that_were_taken():
    one = culm(TWO, extra="[[defect]]\nstart = 20\nend = 21\n")
    asked = {each.section: each for each in tasks(ROD, culm_yield(ROD, (one,)), USUAL, 2)}
    butt = asked["B"]
    assert (butt.length, butt.trim, butt.strips, butt.share) == (45 * NANO, 6 * NANO, 6, 2)
    assert [each.label for each in butt.candidates] == [f"K-1/{k}" for k in range(1, 8)]
    assert butt.candidates[0].nodes == tuple(x * NANO for x in (9, 20, 31, 42, 60))
    assert [(fault.start, fault.end) for fault in butt.candidates[0].faults] == [(20 * NANO, 21 * NANO)]
    assert asked["T1"].candidates[0].nodes == tuple((x - 72) * NANO for x in (75, 90, 130))


def test_a_defect_that_a_cut_goes_through_is_shared_by_both_lengths():
    one = culm(TWO, extra="[[defect]]\nstart = 70\nend = 75\n")
    asked = {each.section: each.candidates[0] for each in tasks(ROD, culm_yield(ROD, (one,)), USUAL, 1)}
    assert [(fault.start, fault.end) for fault in asked["B"].faults] == [(70 * NANO, 72 * NANO)]
    assert [(fault.start, fault.end) for fault in asked["T1"].faults] == [(0, 3 * NANO)]


def test_what_is_not_measured_is_said():
    bare = culm_from_text(
        'culmwright = 1\nunits = "inch"\n[culm]\nlabel = "K"\nlength = 144\ndiameter = [2, 2, 2]\nnodes = [9, 20]\n'
    )
    found = culm_yield(ROD, (bare,))
    assert found.notes[0].startswith("K has no [splitting]: raw strips are taken as wide as the widest finished face")
    assert "no wall of K was measured: how deep strips reach into it is not known" in found.notes
    assert all(one.reach is None for one in found.walls)

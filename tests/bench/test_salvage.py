"""Ways an under-size strip can still serve, on straight tapers whose answers are worked out by hand."""

from __future__ import annotations

from math import radians

import pytest

from culmwright.bench.salvage import ReadStrip, Use, WayKind, ways
from culmwright.bench.slide import Line
from culmwright.design.strip import StripForm
from culmwright.measure.display import INCH_DISPLAY
from culmwright.measure.errors import BadInput

INCH, THOU = 0.0254, 25.4e-6
SIX, FIVE = StripForm(6, radians(60)), StripForm(5, radians(72))


def line(*points):
    """Heights from (place in inches, thou) pairs."""
    return Line(tuple(x * INCH for x, _ in points), tuple(h * THOU for _, h in points))


def inches(value):
    return pytest.approx(value * INCH, abs=1e-9)


BUTT = Use("Alder Bench 3", "B", line((0, 100), (40, 180)), SIX)  # 2 thou an inch
TIP = Use("Alder Bench 3", "T1", line((0, 30), (40, 90)), SIX)
OTHER = Use("Quillet Water", "B", line((0, 90), (40, 160)), SIX)


def kinds(found):
    return [way.kind for way in found]


def test_a_strip_two_thou_under_slides_an_inch_towards_the_tip():
    """Under by 2 thou everywhere on a taper of 2 thou an inch: an inch nearer the butt the strip is on size."""
    strip = ReadStrip(line((0, 98), (20, 138), (40, 178)), spare_tip=1 * INCH, spare_butt=3 * INCH)
    first, second, *rest = ways(strip, BUTT, (), INCH_DISPLAY)
    assert first.kind is WayKind.SLID
    assert first.slide == inches(1)
    assert first.most_cut == pytest.approx(0, abs=1e-9)
    assert first.words == (
        "slid 1 in towards the tip of B: 0.0 thou at most to come off; it uses 1 in of the 3 in spare at the other end"
    )
    assert first.note == (
        "its nodes move with it: check the layout; it was not read as far as 41 in from its old tip end "
        "and is taken to go on straight: read it there"
    )
    assert (second.kind, kinds(rest)) == (WayKind.ACCEPTED, [WayKind.SCRAPPED])


def test_read_beyond_its_end_a_slid_strip_needs_no_guess():
    strip = ReadStrip(line((0, 98), (41.5, 181)), spare_tip=0, spare_butt=3 * INCH)
    assert ways(strip, BUTT, (), INCH_DISPLAY)[0].note == "its nodes move with it: check the layout"


def test_too_little_spare_is_no_way():
    strip = ReadStrip(line((0, 98), (40, 178)), spare_tip=1 * INCH, spare_butt=0.99 * INCH)
    assert kinds(ways(strip, BUTT, (), INCH_DISPLAY)) == [WayKind.ACCEPTED, WayKind.SCRAPPED]
    assert kinds(ways(strip, BUTT, (), INCH_DISPLAY, may_be_under=0.02 * THOU + 1e-12))[0] is WayKind.SLID


def test_a_low_place_is_slid_past_the_bend_that_needs_it():
    """A swell of the target at 20 in, a strip low there but high at 22: it slides 2 in, exactly."""
    own = Use("", "B", line((0, 100), (18, 100), (20, 110), (22, 100), (40, 100)), SIX)
    strip = ReadStrip(line((0, 101), (20, 101), (22, 110), (24, 101), (40, 101)), spare_tip=0, spare_butt=5 * INCH)
    first = ways(strip, own, (), INCH_DISPLAY)[0]
    assert (first.kind, first.slide) == (WayKind.SLID, inches(2))


def test_towards_the_butt_where_that_serves():
    own = Use("", "M", line((0, 100), (10, 100), (12, 105), (14, 100), (30, 100)), SIX)
    strip = ReadStrip(line((0, 101), (8, 101), (10, 106), (12, 101), (30, 101)), spare_tip=4 * INCH, spare_butt=0)
    first = ways(strip, own, (), INCH_DISPLAY)[0]
    # 106 at 10 falls by 5/2 thou an inch: it reaches the 105 wanted 0.4 in farther on, so 1.6 in is enough
    assert first.slide == inches(-1.6)
    assert first.words.startswith("slid 1.6 in towards the butt of M: ")
    assert first.words.endswith("it uses 1.6 in of the 4 in spare at the other end")


def test_a_strip_that_is_nowhere_under_stays():
    strip = ReadStrip(line((0, 101), (40, 195)), spare_tip=0, spare_butt=0)
    (only,) = ways(strip, BUTT, (TIP,), INCH_DISPLAY)
    assert (only.kind, only.slide) == (WayKind.STAYS, 0.0)
    assert only.words == "it can stay in B: 15.0 thou at most to come off"


def test_a_butt_strip_used_in_a_tip_and_in_a_lighter_rod():
    """Under by 12 thou at 30 in; the lighter rod wants 142.5 there, the tip 75."""
    strip = ReadStrip(line((0, 102), (30, 148), (40, 182)), spare_tip=0, spare_butt=2 * INCH)
    found = ways(strip, BUTT, (OTHER, TIP), INCH_DISPLAY)
    assert kinds(found) == [WayKind.SECTION, WayKind.ROD, WayKind.ACCEPTED, WayKind.SCRAPPED]
    tip, other = found[:2]
    assert tip.words == ("used in T1, tip end on tip end: 92.0 thou at most to come off, 2 in left over")
    assert (tip.slide, tip.left_over, tip.most_cut) == (inches(0), inches(2), pytest.approx(92 * THOU))
    assert (other.rod, other.section, other.slide) == ("Quillet Water", "B", inches(0))
    assert "used in B of Quillet Water, tip end on tip end: 22.0 thou" in other.words


def test_the_least_cane_comes_off_first_within_a_kind():
    strip = ReadStrip(line((0, 95), (40, 175)), spare_tip=0, spare_butt=0)
    fat = Use("Alder Bench 3", "T2", line((0, 60), (40, 150)), SIX)
    found = ways(strip, BUTT, (TIP, OTHER, fat), INCH_DISPLAY)
    assert [(way.kind, way.section) for way in found[:3]] == [
        (WayKind.SECTION, "T2"), (WayKind.SECTION, "T1"), (WayKind.ROD, "B"),
    ]  # fmt: skip


def test_a_shorter_section_is_found_where_the_strip_is_high_enough():
    """A tip of 10 in that wants 120 at its end: on 2 thou an inch from 80, first 30 in up."""
    short = Use("Alder Bench 3", "T1", line((0, 100), (10, 120)), SIX)
    strip = ReadStrip(line((0, 80), (40, 160)), spare_tip=0, spare_butt=0)
    first = ways(strip, BUTT, (short,), INCH_DISPLAY)[0]
    assert (first.kind, first.slide, first.left_over) == (WayKind.SECTION, inches(10), inches(30))
    too_short = ReadStrip(line((0, 80), (9, 98)), spare_tip=0, spare_butt=0)
    own = Use("", "B", line((0, 100), (9, 118)), SIX)
    assert kinds(ways(too_short, own, (short,), INCH_DISPLAY)) == [WayKind.ACCEPTED, WayKind.SCRAPPED]


def test_strips_of_another_form_cannot_serve():
    strip = ReadStrip(line((0, 95), (40, 175)), spare_tip=0, spare_butt=0)
    five = Use("Pintail Run", "B", TIP.target, FIVE)
    blunt = Use("Pintail Run", "B", TIP.target, StripForm(6, radians(60.5)))
    odd = Use("Pintail Run", "B", TIP.target, StripForm(5, radians(60)))
    assert kinds(ways(strip, BUTT, (five, blunt, odd), INCH_DISPLAY)) == [WayKind.ACCEPTED, WayKind.SCRAPPED]


def test_what_accepting_it_costs():
    """1.5 thou of 150 off one strip of six: across flats 1.5 thou, stiffness 4 x 1 %/6 = 0.67 %."""
    own = Use("", "B", line((0, 150), (40, 150)), SIX)
    strip = ReadStrip(line((0, 150), (20, 148.5), (40, 150)), spare_tip=0, spare_butt=0)
    accepted = ways(strip, own, (), INCH_DISPLAY)[0]
    assert accepted.kind is WayKind.ACCEPTED
    assert accepted.across_loss == accepted.under == pytest.approx(1.5 * THOU)
    assert accepted.stiffness_loss == pytest.approx(0.04 / 6, rel=1e-9)
    assert accepted.words == ("accepted in B: across flats up to 1.5 thou less, and up to 0.7% less stiff")
    five = Use("", "B", own.target, FIVE)
    assert "across flat to corner up to 1.5 thou less" in ways(strip, five, (), INCH_DISPLAY)[0].words


def test_scrapping_is_always_a_way_and_the_last():
    strip = ReadStrip(line((0, 95), (40, 175)), spare_tip=0, spare_butt=0)
    last = ways(strip, BUTT, (), INCH_DISPLAY)[-1]
    assert last.words == "scrapped: it costs one strip, to be split and cut again for B"


def test_a_strip_shorter_than_its_section_is_refused():
    with pytest.raises(BadInput, match="shorter than its section"):
        ReadStrip(line((0, 95), (40, 175)), spare_tip=-0.001, spare_butt=0)


@pytest.mark.parametrize("places", [(0.0,), (0.0, 0.0), (1.0, 0.0)])
def test_a_line_needs_two_places_in_order(places):
    with pytest.raises(BadInput, match="two stations or more"):
        Line(places, tuple(0.1 for _ in places))

"""Adjuster settings: what they say is what the rig then cuts; limits, places to lie, grooves, refusals."""

from __future__ import annotations

from dataclasses import replace
from math import pi, radians

import numpy as np
import pytest
from scipy.interpolate import CubicSpline

from culmwright.book.setting_words import settings_words
from culmwright.design.strip import StripForm
from culmwright.measure.display import INCH_DISPLAY, METRIC_DISPLAY
from culmwright.measure.errors import AnswerIsNo, BadInput
from culmwright.rigs.correction import correction
from culmwright.rigs.curve import Curve
from culmwright.rigs.depth_gauge import BallPoint, ConePoint
from culmwright.rigs.rig import Adjusters, Dial, DialWay, End, Groove, GroovedForm, GuidedBed, Lay, Rig
from culmwright.rigs.screw import Screw
from culmwright.rigs.setting_records import Settings, Wanted
from culmwright.rigs.settings import settings_for

INCH, THOU = 0.0254, 25.4e-6
PLACES = tuple(i * INCH for i in range(1, 62, 5))
WALLS = {4: (45, 90), 5: (54, 72), 6: (60, 60)}
CURVED = Curve(tuple(i * INCH for i in (0, 20, 40, 62)), tuple(i * THOU for i in (18.5, 19.2, 18.8, 19.6)))
TAPER = Curve(tuple(i * 5 * INCH for i in range(10)), tuple(i * THOU for i in (35, 38, 48, 54, 59, 64, 70, 77, 83, 89)))


def groove(sides: int, name: str = "g", mirrored: bool = False, zero: Curve = CURVED) -> Groove:
    enamel, flank = (radians(one) for one in WALLS[sides])
    return Groove(name, sides, mirrored, enamel, flank, zero)


def form(*grooves: Groove, point=None, lay=None, **limits) -> Rig:
    adjusters = Adjusters(PLACES, Screw(INCH / 20), **limits)
    return Rig("form", INCH_DISPLAY, 62 * INCH, adjusters, GroovedForm(grooves, point), lay)


def bed(stop: float = 0.230 * INCH, dial: Dial | None = None, lay=None, **limits) -> Rig:
    adjusters = Adjusters(PLACES, Screw(INCH / 24, divisions=25), **limits)
    return Rig("bed", INCH_DISPLAY, 62 * INCH, adjusters, GuidedBed(stop, dial, CURVED), lay)


def wanted(sides: int = 6, heights: Curve = TAPER, **more) -> Wanted:
    return Wanted("T1", StripForm(sides, 2 * pi / sides), heights, **more)


def cut(rig: Rig, found: Settings, x: np.ndarray, which: int = 0) -> np.ndarray:
    """Height cut at ``x`` of the section when the screws stand as said: from the turns alone, by scipy's spline."""
    u = np.array([one.turn for one in found.adjusters]) * rig.adjusters.screw.travel
    places = x + found.tip_end
    spline = CubicSpline(PLACES, u, bc_type="natural")
    straight = np.clip(places, PLACES[0], PLACES[-1])
    opening = spline(straight) + spline(straight, 1) * (places - straight)
    if isinstance(rig.moved, GuidedBed):
        return rig.moved.stop - np.interp(places, CURVED.places, CURVED.values) - opening
    one = rig.moved.grooves[which]
    depth = np.interp(places, one.zero.places, one.zero.values) + one.depth_per_opening * opening
    return depth / (2 * np.sin(pi / one.sides))


X = np.linspace(0.0, 45 * INCH, 4001)
HEIGHTS = np.interp(X, TAPER.places, TAPER.values)


@pytest.mark.parametrize("sides", [4, 5, 6])
def test_a_form_set_as_said_cuts_within_what_is_said(sides):
    rig = form(groove(sides))
    found = settings_for(rig, wanted(sides))
    off = np.abs(cut(rig, found, X) - HEIGHTS).max()
    assert off == pytest.approx(found.worst_height, abs=1e-9)
    altitude = StripForm(sides, 2 * pi / sides).flank_altitude
    assert found.worst_departure == pytest.approx(found.worst_height * altitude)
    mark = 1 / 360 * INCH / 20 * rig.moved.grooves[0].depth_per_opening  # given for bars straight beyond the strip
    assert found.least_departure <= found.worst_departure + 1e-9
    assert found.worst_departure < 0.25 * THOU * altitude + mark
    assert found.plain_departure > 1.5 * found.worst_departure
    assert found.met and found.misses == ()


def test_a_bed_set_as_said_cuts_within_what_is_said():
    rig = bed()
    found = settings_for(rig, wanted())
    assert np.abs(cut(rig, found, X) - HEIGHTS).max() == pytest.approx(found.worst_departure, abs=1e-9)
    assert found.worst_height == found.worst_departure
    assert found.stop == rig.moved.stop
    assert [one.depth for one in found.adjusters] == pytest.approx([one.opening for one in found.adjusters])


def test_depths_are_of_the_groove():
    rig = form(groove(6))
    found = settings_for(rig, wanted())
    for one in found.adjusters:
        assert one.opening == pytest.approx(one.turn * rig.adjusters.screw.travel)
        assert one.depth == pytest.approx(CURVED.at(one.place) + 0.8660254 * one.opening, rel=1e-7)
        assert one.position == pytest.approx(one.place - found.tip_end)
        assert one.under_strip is bool(-1e-9 <= one.position <= 45 * INCH + 1e-9)


def test_the_worst_departure_stands_where_it_is_said():
    rig = form(groove(6))
    found = settings_for(rig, wanted())
    places = np.array(found.worst_places)
    off = np.abs(cut(rig, found, places) - np.interp(places, TAPER.places, TAPER.values))
    assert off == pytest.approx(np.full(len(places), found.worst_departure), abs=1.1e-7)
    assert len(places) >= 3


def test_the_plain_way_is_exact_at_the_adjusters():
    found = settings_for(form(groove(6)), wanted())
    for one in found.adjusters:
        if one.under_strip:
            assert one.plain_depth == pytest.approx(TAPER.at(one.position), abs=1e-9)
    # Drawn at 200 places: the top of a curve between two of them is missed by less than a hundredth of it.
    assert np.max(np.abs(found.along.plain_departure)) == pytest.approx(found.plain_departure, rel=1e-2)
    assert np.max(np.abs(found.along.departure)) == pytest.approx(found.worst_departure, rel=1e-2)


def test_a_straight_taper_is_met_anywhere_and_lies_in_the_middle():
    straight = Curve((0.0, 30 * INCH), (40 * THOU, 80 * THOU))
    found = settings_for(form(groove(6, zero=Curve.level(20 * THOU))), wanted(heights=straight))
    assert found.worst_departure < 2e-9
    assert found.tip_end == pytest.approx(16 * INCH)
    assert found.plain_departure < 2e-9


def test_the_place_that_fits_best_is_taken():
    """No other inch does better, by the full programme at each."""
    rig = form(groove(6, zero=Curve.level(15 * THOU)))
    best = settings_for(rig, wanted())
    for inch in range(0, 18):
        other = settings_for(rig, wanted(), tip_end=inch * INCH)
        assert other.least_departure > best.least_departure - 0.02 * THOU  # the search compares on a grid


STEEP = Curve(tuple(i * INCH for i in (0, 15, 30, 38)), tuple(i * THOU for i in (60, 78, 99, 99)))


def test_screws_beyond_the_strip_are_no_levers():
    """A taper that levels off where it ends pulls at the screws beyond; from the first of them on bars go straight.

    Straight on from scipy's natural spline through the screws that hold the strip, the nearest beyond included.
    """
    found = settings_for(form(groove(6, zero=Curve.level(20 * THOU))), wanted(heights=STEEP), tip_end=10.5 * INCH)
    under = [i for i, one in enumerate(found.adjusters) if one.under_strip]
    holds = slice(under[0] - 1, under[-1] + 2)
    u, x = np.array([one.opening for one in found.adjusters]), np.array(PLACES)
    spline = CubicSpline(x[holds], u[holds], bc_type="natural")
    for i in [*range(holds.start), *range(holds.stop, len(x))]:
        end = x[holds][0] if i < holds.start else x[holds][-1]
        assert u[i] == pytest.approx(spline(end) + spline(end, 1) * (x[i] - end), abs=2e-8)
    assert found.least_departure < found.worst_departure <= found.least_departure + 2.54e-5 / 0.02 / 360


def test_what_screws_beyond_the_strip_would_win_is_said():
    found = settings_for(bed(), wanted())
    won = found.worst_departure - found.least_departure
    assert 0.05 * THOU < won <= 1 / 250 * INCH / 24 + 1e-7  # a tenth of a division of 25, in a turn of 1/24 in
    assert any(f"would win {won / THOU:.1f} thou of that" in one for one in found.notes)
    other = settings_for(form(groove(6, zero=Curve.level(20 * THOU))), wanted(heights=STEEP), tip_end=11.5 * INCH)
    assert not any("levers" in one for one in other.notes)


def test_a_place_is_listed_once():
    """Places that read alike are one place."""
    found = settings_for(form(groove(6)), wanted())
    twice = replace(found, worst_places=(0.3201, 0.3202, 0.4453, 0.4454, 0.445, 0.6, 0.7, 0.8))
    said = " ".join(settings_words(twice, METRIC_DISPLAY))
    assert "at 320, 445, 600, 700 mm from the section's tip end and at 1 place more;" in said


def test_a_given_place_is_kept():
    found = settings_for(form(groove(6)), wanted(), tip_end=3.1 * INCH)
    assert found.tip_end == pytest.approx(3.1 * INCH)
    assert found.hole is None


@pytest.mark.parametrize(("end", "gap", "start"), [(End.TIP, 1.5, 9.5), (End.BUTT, 2.0, 53.0 - 2.0 - 45.0)])
def test_a_hole_fixes_the_place(end, gap, start):
    hole = 8 * INCH if end is End.TIP else 53 * INCH
    found = settings_for(bed(lay=Lay((hole,), end, gap * INCH)), wanted())
    assert found.hole == pytest.approx(hole)
    assert found.tip_end == pytest.approx(start * INCH)
    again = settings_for(bed(lay=Lay((hole,), end, gap * INCH)), wanted(), tip_end=start * INCH)
    assert again.hole == pytest.approx(hole)


def test_limits_are_kept_and_what_they_cost_is_said():
    most, neighbour = 70 * THOU, 8 * THOU
    found = settings_for(form(groove(6), least=2 * THOU, most=most, neighbour=neighbour), wanted())
    u = np.array([one.opening for one in found.adjusters])
    assert u.max() <= most + 1e-9
    assert u.min() >= 2 * THOU - 1e-9
    assert np.abs(np.diff(u)).max() <= neighbour + 1e-9
    assert not found.met
    assert {one.limit for one in found.adjusters} >= {"at its most"}
    assert found.warnings[0].startswith("the rig's limits cost ")
    assert found.misses
    worst = max(found.misses, key=lambda one: abs(one.most))
    assert abs(worst.most) == pytest.approx(found.worst_departure, rel=1e-2)
    said = [one for one in found.warnings if "of the section the taper is missed by up to" in one]
    assert [one.rsplit(" ", 1)[1] for one in said] == ["over" if one.most > 0 else "under" for one in found.misses]
    for one in found.misses:  # over is where the rig cuts more than is wanted
        x = np.linspace(one.start, one.end, 50)
        off = cut(form(groove(6)), found, x) - np.interp(x, TAPER.places, TAPER.values)
        assert np.sign(off[np.argmax(np.abs(off))]) == np.sign(one.most)


def test_a_limit_out_of_reach_binds_nothing():
    free, wide = (
        settings_for(form(groove(6)), wanted()),
        settings_for(form(groove(6), most=1.0, neighbour=1.0), wanted()),
    )
    assert wide.worst_departure == pytest.approx(free.worst_departure, abs=1e-7)
    assert wide.met and wide.warnings == ()


def test_a_taper_the_bars_cannot_follow_is_missed_without_a_limit():
    step = Curve(tuple(i * INCH for i in (0, 22, 23, 45)), tuple(i * THOU for i in (40, 60, 90, 110)))
    found = settings_for(form(groove(6)), wanted(heights=step))
    assert found.met  # no limit of the rig keeps it from being met
    assert found.misses and found.worst_departure > THOU
    assert not any("limits cost" in one for one in found.warnings)


def test_from_where_the_screws_stand():
    now = [1.0 + 0.1 * i for i in range(len(PLACES))]
    rig = form(groove(6), now=tuple(now))
    found = settings_for(rig, wanted())
    for one, stands in zip(found.adjusters, now, strict=True):
        assert one.from_now == pytest.approx(one.turn - stands)
    other = settings_for(rig, wanted(), now=[2.0] * len(PLACES))
    assert other.adjusters[3].from_now == pytest.approx(other.adjusters[3].turn - 2.0)
    assert settings_for(form(groove(6)), wanted()).adjusters[0].from_now is None


def test_screws_set_to_their_marks_cost_what_is_said():
    rig = bed()
    found = settings_for(rig, wanted())
    marked = replace(found, adjusters=tuple(replace(one, turn=round(one.turn * 250) / 250) for one in found.adjusters))
    x = np.union1d(X, [*TAPER.places, *(np.array(CURVED.places) - found.tip_end)])  # where taper and bed kink, too
    x = x[(x >= 0) & (x <= X[-1])]
    off = np.abs(cut(rig, marked, x) - np.interp(x, TAPER.places, TAPER.values)).max()
    assert off == pytest.approx(found.as_set_departure, abs=1e-9)
    assert found.as_set_departure >= found.worst_departure


@pytest.mark.parametrize("sides", [4, 5])
def test_a_mirrored_pair_is_set_together(sides):
    deeper = Curve.level(17 * THOU)
    rig = form(groove(sides, "left", zero=Curve.level(16 * THOU)), groove(sides, "right", True, deeper))
    found = settings_for(rig, wanted(sides))
    assert found.grooves == ("left", "right")
    offs = [np.abs(cut(rig, found, X, i) - HEIGHTS).max() for i in (0, 1)]
    assert max(offs) == pytest.approx(found.worst_height, abs=1e-9)
    assert abs(offs[0] - offs[1]) < 0.01 * THOU  # the thou between them is shared
    assert found.warnings == ()
    (said,) = (one for one in found.notes if "half-way" in one)
    assert said.startswith("closed, groove right is up to 1.0 thou deeper than groove left, and one setting")
    assert said.endswith("each groove is out by half of that. Measure both again, or cut left deeper")
    alike = form(groove(sides, "left", zero=deeper), groove(sides, "right", True, deeper))
    assert not any("half-way" in one for one in settings_for(alike, wanted(sides)).notes)


@pytest.mark.parametrize("sides", [4, 5])
def test_one_groove_alone_cuts_one_flank(sides):
    found = settings_for(form(groove(sides)), wanted(sides))
    assert any("second, mirrored groove" in one for one in found.warnings)


def test_a_groove_by_name():
    rig = form(groove(6, "butts"), groove(6, "tips", zero=Curve.level(10 * THOU)))
    assert settings_for(rig, wanted(), groove="tips").grooves == ("tips",)
    pairs = form(groove(4, "l"), groove(4, "L"), groove(4, "r", True), groove(4, "R", True))
    assert settings_for(pairs, wanted(4), groove="R").grooves == ("L", "R")


def test_the_groove_that_fits_best_is_taken():
    """Too deep a groove cannot be closed; of two that fit as well the one opened less holds the strip better."""
    deep = groove(6, "deep", zero=Curve.level(50 * THOU))
    shallow, graded = groove(6, "a", zero=Curve.level(5 * THOU)), groove(6, "b", zero=Curve.level(20 * THOU))
    assert settings_for(form(deep, shallow), wanted()).grooves == ("a",)
    assert settings_for(form(shallow, graded), wanted()).grooves == ("b",)


def test_walls_that_hold_little_of_a_strip_are_said():
    found = settings_for(form(groove(6, zero=Curve.level(10 * THOU))), wanted())
    assert any("it is held by less than half of its faces" in one for one in found.notes)
    graded = Curve((0.0, 62 * INCH), (25 * THOU, 60 * THOU))
    assert not any("held by" in one for one in settings_for(form(groove(6, zero=graded)), wanted()).notes)


def test_walls_that_make_another_apex_are_said():
    steep = replace(groove(6), enamel_wall=radians(60.5))
    found = settings_for(form(steep), wanted())
    assert any("makes strips of 59 deg and the rod file asks for 60 deg" in one for one in found.warnings)


def test_the_depth_gauge_shows_less():
    found = settings_for(form(groove(6), point=ConePoint(radians(60), 5 * THOU)), wanted())
    for one in found.adjusters:
        assert one.shown is not None
        assert (one.depth - one.shown) / THOU == pytest.approx(2.5 / np.tan(radians(30)))
    assert all(one.shown is None for one in settings_for(form(groove(6)), wanted()).adjusters)


def test_a_ball_that_stands_on_the_lips_shows_nothing():
    found = settings_for(form(groove(6), point=BallPoint(30 * THOU)), wanted())
    needs = 30 * THOU / np.tan(radians(30)) * np.sin(radians(60))
    low = [one for one in found.adjusters if 2 * (one.depth - CURVED.at(one.place)) / np.sqrt(3) < 60 * THOU]
    assert [one.shown is None for one in low] == [bool(one.depth < needs) for one in low]
    assert {one.shown is None for one in low} == {True, False}


def test_a_point_that_does_not_fit_is_said():
    found = settings_for(form(groove(4), groove(4, "m", True), point=ConePoint(radians(60))), wanted(4))
    assert any("a point of 60 deg does not reach the root beside a wall of 90 deg" in one for one in found.warnings)
    assert all(one.shown is None for one in found.adjusters)


def test_a_ball_shows_less_between_leaning_walls():
    """As three lines say (plane geometry): in 45/90 deg the ball's lowest point lies ``r sqrt 2`` over the vertex."""
    deep = Curve.level(70 * THOU)
    point = BallPoint(20 * THOU)
    found = settings_for(form(groove(4, zero=deep), groove(4, "m", True, deep), point=point), wanted(4))
    # The ball touches r/tan(22.5 deg) up the upright wall, and that far sin(45 deg) up the other: on both walls only
    # where those reach so low and so high.
    on_walls = [one for one in found.adjusters if 20 * 2.4143 <= one.depth / THOU <= 70 + 20 * 1.7071]
    assert len(on_walls) > 3
    for one in on_walls:
        assert one.shown is not None
        assert (one.depth - one.shown) / THOU == pytest.approx(20 * np.sqrt(2), abs=1e-6)


def test_a_ball_that_drops_between_the_bars_shows_nothing():
    found = settings_for(form(groove(6, zero=Curve.level(20 * THOU)), point=BallPoint(22 * THOU)), wanted())
    depths = [one.depth / THOU for one in found.adjusters if one.under_strip]
    through = [2 * (depth - 20) / np.sqrt(3) > 44 for depth in depths]  # 60/60 deg: the gap between the walls' edges
    assert [one.shown is None for one in found.adjusters if one.under_strip] == through
    assert {*through} == {True, False}
    assert any("the depth gauge's point drops between the bars at adjuster" in one for one in found.notes)


def test_a_bed_is_roughed_by_a_higher_stop():
    finished = settings_for(bed(), wanted())
    higher = Curve(TAPER.places, tuple(one + 100 * THOU for one in TAPER.values))
    rough = settings_for(bed(), wanted(heights=higher, what="roughed", over=100 * THOU))
    assert rough.stop == pytest.approx(finished.stop + 100 * THOU)
    assert [one.turn for one in rough.adjusters] == pytest.approx([one.turn for one in finished.adjusters], abs=1e-5)


def test_the_working_of_a_turn():
    found = settings_for(form(groove(6)), wanted())
    one = found.adjusters[4]
    rungs = {rung.step: rung.value for rung in one.working.ladder()}
    assert rungs["turns from zero"] == one.turn
    assert rungs["groove's depth here"] == pytest.approx(one.depth)
    assert rungs["depth wanted, onto a flank"] + rungs["departure taken here"] == pytest.approx(one.depth)
    assert rungs["opening of the bars"] / rungs["one turn moves"] == pytest.approx(one.turn)
    assert rungs["strip height wanted here"] == pytest.approx(TAPER.at(one.position))


def test_the_working_beyond_the_strip_wants_nothing():
    found = settings_for(form(groove(6)), wanted())
    beyond = next(one for one in found.adjusters if not one.under_strip)
    assert "departure taken here" not in {rung.step for rung in beyond.working.ladder()}


@pytest.mark.parametrize("sides", [4, 5, 6])
def test_strips_over_close_the_groove(sides):
    """Put right and cut again, in the same groove: the strip comes out lower by what it was over."""
    rig = form(groove(sides))
    found = settings_for(rig, wanted(sides))
    put = correction(found, 1.2 * THOU)
    assert put.turn is not None and put.turn < 0
    closed = replace(found, adjusters=tuple(replace(one, turn=one.turn + put.turn) for one in found.adjusters))
    assert cut(rig, closed, X) == pytest.approx(cut(rig, found, X) - 1.2 * THOU, abs=1e-12)


def test_screws_that_cannot_close_or_open_so_far_are_named():
    """Two thou off a strip moves each screw by 2/0.8660 thou of opening; the narrowest and the widest meet their end.

    Adjusters 1 and 2 lie two places and more beyond the strip's tip end: they may stay where they stop.
    """
    free = settings_for(form(groove(6)), wanted())
    near = free.adjusters[2:]
    assert not near[0].under_strip and near[1].under_strip
    low, high, by = near[0].opening, near[-1].opening, 2 * THOU / 0.8660254
    with pytest.raises(AnswerIsNo, match=r"close that far: adjuster 3\."):
        correction(replace(free, least=low - by + 1e-6), 2 * THOU)
    with pytest.raises(AnswerIsNo, match=r"open that far: adjuster 13\."):
        correction(replace(free, most=high + by - 1e-6), -2 * THOU)
    inside = replace(free, least=low - by - 1e-6, most=high + by + 1e-6)
    for over in (2 * THOU, -2 * THOU):
        assert correction(inside, over).turn == pytest.approx(-over / 0.8660254 / (INCH / 20), rel=1e-6)


def test_strips_over_lower_the_stop():
    found = settings_for(bed(dial=Dial(DialWay.DOWN, THOU)), wanted())
    put = correction(found, 1.2 * THOU)
    assert put.stop == pytest.approx(0.230 * INCH - 1.2 * THOU)
    assert put.dial == "down by 1.2"
    assert correction(found, -2 * THOU).dial == "up by 2"


LONG = Curve((0.0, 63 * INCH), (40 * THOU, 80 * THOU))
REFUSED = {
    "a rig shorter than the section": (form(groove(6)), wanted(heights=LONG), {},
        "T1: form is 5 ft 2 in long and the section is 5 ft 3 in. Take a longer rig."),
    "the same at a given place": (form(groove(6)), wanted(heights=LONG), {"tip_end": 0.0},
        "T1: form is 5 ft 2 in long and the section is 5 ft 3 in. Take a longer rig."),
    "a place off the rig": (form(groove(6)), wanted(), {"tip_end": 20 * INCH},
        "T1: with its tip end at 20 in the section does not lie on the rig. Give a place from 0 to 17 in."),
    "holes too far along": (form(groove(6), lay=Lay((30 * INCH,), End.TIP, 0.0)), wanted(), {},
        "T1, [lay] holes: from none of the rig's holes does the section lie on the rig. "
        "Add a hole, or give the place of its tip end."),
    "no groove for the sides": (form(groove(6), groove(4, "f")), wanted(5), {},
        "[[groove]] sides: form has no groove for 5 sides. "
        "It has grooves for 4 and 6 sides; take another rig or cut another groove."),
    "a groove of other sides": (form(groove(6), groove(4, "f")), wanted(6), {"groove": "f"},
        "f: this groove is for 4 sides and the rod has 6. Take g."),
    "a groove of other sides alone": (form(groove(4, "f")), wanted(6), {"groove": "f"},
        "f: this groove is for 4 sides and the rod has 6. No groove of this rig fits; take another rig."),
    "a groove that is not there": (form(groove(6)), wanted(), {"groove": "x"},
        "x: form has no groove of this name. Its grooves are g."),
    "a groove of a bed": (bed(), wanted(), {"groove": "x"}, "x: a bed has no grooves. Leave the groove out."),
}  # fmt: skip


@pytest.mark.parametrize("name", REFUSED)
def test_a_refusal(name):
    rig, section, more, sentence = REFUSED[name]
    with pytest.raises(BadInput) as refused:
        settings_for(rig, section, **more)
    assert str(refused.value) == sentence

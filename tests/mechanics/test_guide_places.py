"""Guide places: equal arcs on a circle, a search that knows nothing of the method, and what holds for any rod.

The circle is the closed form: a chord of an arc of turn phi leaves and meets the rod at phi/2, so that arcs phi_1,
phi_2 turn the line by (phi_1 + phi_2)/2 at the guide between, and equal arcs turn it evenly.
"""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction
from itertools import pairwise
from math import pi, radians

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.optimize import minimize

from culmwright.design.fittings import CLEAR_OF_FERRULE, Guide
from culmwright.design.rod_file import rod_from_text
from culmwright.measure.errors import AnswerIsNo, BadInput
from culmwright.measure.lengths import Length
from culmwright.mechanics.beam import Stretch, beam_of
from culmwright.mechanics.guide_places import even_places, line_turns, place_at
from culmwright.mechanics.guide_plan import guide_plan
from culmwright.mechanics.statics import Load, bend_beam, bend_surely
from culmwright.workshop.starting import rod_text

few = settings(max_examples=settings.default.max_examples // 8)
SAME_ANGLE = 1e-6  # [rad] what the method states as even is 1e-9; a hair at arm's length is 1e-4


def circle(turn, length=2.0):
    """A uniform rod bent to an arc of ``turn`` by a couple."""
    beam = beam_of([Stretch(0.0, length, (1.0, 1.0), (0.0, 0.0, 0.0))])
    return bend_beam(beam, Load(couple=-turn / length, weight=False))


def tapered(pull, rings=(), tip=2e-3, direction=-pi / 2):
    """A straight-taper rod of 2 m, 7 mm at the root, under a hanging load or a line through rings."""
    ends = [7e-3, tip]
    EI = tuple(30e9 * 0.0601406530 * d**4 for d in ends)
    density = tuple(1150 * 0.8660254 * d**2 for d in (ends[0], sum(ends) / 2, ends[1]))
    beam = beam_of([Stretch(0.0, 2.0, EI, density)], (), rings)
    return bend_surely(beam, Load(pull, direction, through_guides=bool(rings)))


@pytest.mark.parametrize("turn", [0.3, 1.2, 2.4])
@pytest.mark.parametrize("count", [3, 4, 7, 10])
def test_on_a_circle_guides_stand_equally_far_apart(turn, count):
    places = even_places(circle(turn), count, 0.4)
    assert places == pytest.approx(np.linspace(2.0, 0.4, count), abs=1e-7)
    assert line_turns(circle(turn), places) == pytest.approx(turn * 1.6 / 2.0 / (count - 1), abs=1e-8)


@pytest.mark.parametrize("arcs", [(0.5, 0.3, 0.4), (0.1, 0.9, 0.2)])
def test_the_line_turns_by_half_the_arcs_beside_a_guide(arcs):
    turn = 1.5
    places = 2.0 - np.array([0.0, *np.cumsum(arcs)])
    expected = [(a + b) / 2 * turn / 2.0 for a, b in pairwise(arcs)]
    assert line_turns(circle(turn), places) == pytest.approx(expected, abs=1e-9)


def test_places_on_the_axis_are_those_of_the_nodes_and_of_a_fine_grid():
    bent = tapered(1.0)
    angle, x, y = place_at(bent, bent.s)
    assert (angle, x, y) == (pytest.approx(bent.angle), pytest.approx(bent.x), pytest.approx(bent.y))
    fine = bend_beam(bent.beam.finer(5), bent.load)
    angle, x, y = place_at(bent, fine.s)
    assert x == pytest.approx(fine.x, abs=2e-6)  # inside an element the cubic is good to h^4, at nodes to h^6
    assert y == pytest.approx(fine.y, abs=2e-6)
    assert angle == pytest.approx(fine.angle, abs=2e-5)


@pytest.mark.parametrize("pull", [0.3, 1.0])
def test_a_search_that_knows_nothing_of_the_method_finds_the_same(pull):
    """Nelder and Mead's simplex from equal spaces: the line's turns even, the rod's as even as may be."""
    bent, last = tapered(pull), 0.5
    count = 6

    def penalty(inner):
        places = np.array([2.0, *inner, last])
        if np.any(np.diff(places) > -1e-3):
            return 1e3
        uneven = np.diff(line_turns(bent, places))
        rough = np.diff(np.diff(place_at(bent, places)[0]))
        return 1e4 * float(uneven @ uneven) + float(rough @ rough)

    start = np.linspace(2.0, last, count)[1:-1]
    options = {"xatol": 1e-9, "fatol": 1e-16, "maxiter": 20_000, "maxfev": 20_000}
    for _ in range(3):
        start = minimize(penalty, start, method="Nelder-Mead", options=options).x
    found = even_places(bent, count, last)
    assert found[1:-1] == pytest.approx(start, abs=2e-4)  # the penalty gives up a 1e-4th of evenness for smoothness
    assert np.ptp(line_turns(bent, found)) < SAME_ANGLE


@few
@given(
    st.floats(min_value=0.2, max_value=1.5),
    st.integers(min_value=3, max_value=12),
    st.floats(min_value=0.1, max_value=0.8),
    st.floats(min_value=1.5e-3, max_value=4e-3),
)
def test_even_places_are_even_in_order_and_end_where_they_should(pull, count, last, tip):
    bent = tapered(pull, tip=tip)
    places = even_places(bent, count, last)
    assert places[0] == 2.0
    assert places[-1] == last
    assert np.all(np.diff(places) < 0)
    turns = line_turns(bent, places)
    assert np.ptp(turns) < SAME_ANGLE
    whole = place_at(bent, places[-1:])[0][0] - place_at(bent, places[:1])[0][0]
    assert 0 < turns.sum() < whole  # the first and last half spaces turn too, and no guide stands there


def test_two_guides_and_one_between():
    bent = tapered(1.0)
    assert even_places(bent, 2, 0.5).tolist() == [2.0, 0.5]
    assert line_turns(bent, np.array([2.0, 0.5])).size == 0
    middle = even_places(bent, 3, 0.5)[1]
    angle = place_at(bent, np.array([2.0, middle, 0.5]))[0]
    assert angle[1] == pytest.approx((angle[0] + angle[2]) / 2, abs=1e-7)  # one guide halves the rod's own turn


def test_a_rod_that_bends_both_ways_has_no_even_places():
    """A weak pull upward and its own weight bend it both ways."""
    bent = tapered(0.09, direction=pi / 2)
    assert np.ptp(np.sign(np.diff(bent.angle))) > 0
    with pytest.raises(AnswerIsNo, match="one way all along"):
        even_places(bent, 6, 0.2)


@pytest.mark.parametrize("name", ["thrimble-beck", "ossel-burn", "pellamere-brook", "quernmoss-water", "starter"])
@pytest.mark.parametrize("pull", [0.3, 1.0])
def test_the_plan_of_a_rod_is_even_in_the_bend_it_leads_to(name, pull):
    rod = rod_from_text(rod_text(name))
    plan = guide_plan(rod, pull)
    ways = {way.way: way for way in plan.ways}
    even, marked = ways["even turn"], ways["even turn, to mark out"]
    unevenness = np.ptp([one for one in even.turns if one is not None])
    assert unevenness < 1e-3  # places settle to 0.01 mm, of spaces of 100 mm and more, over which the line turns 0.2
    assert unevenness < np.ptp([one for one in ways["common practice"].turns if one is not None])
    listed = [one.station.m for one in rod.guides] or ways["common practice"].stations
    assert len(even.stations) == len(listed)
    assert (even.stations[0], even.stations[-1]) == (listed[0], listed[-1])
    step = 0.005 if rod.display.bare == "mm" else 0.0254 / 8
    for station, exact in zip(marked.stations[1:-1], even.stations[1:-1], strict=True):
        assert station / step == pytest.approx(round(station / step), abs=1e-6)
        clear = min((abs(exact - one.station.m) for one in rod.ferrules), default=1.0)
        away = CLEAR_OF_FERRULE * 0.0254
        assert abs(station - exact) <= step / 2 + 1e-9 + max(away - clear, 0.0)
        assert all(abs(station - one.station.m) > away - step for one in rod.ferrules)


def test_a_guide_moved_off_a_ferrule_says_why():
    """Two inches clear, common practice, no source: 780 mm beside a ferrule at 800 mm goes to 750."""
    rod = rod_from_text(rod_text("thrimble-beck"))
    (joint,) = rod.ferrules
    plain = guide_plan(rod, 0.8)
    even = {way.way: way for way in plain.ways}["even turn"].stations
    told = [one for one in plain.notes if one.startswith("to mark out")]
    assert len(told) == sum(abs(one - joint.station.m) < 0.0508 for one in even)
    near = even[len(even) // 2] + 0.02  # put the ferrule beside a guide's even place: the places do not follow it far
    moved = replace(rod, ferrules=(replace(joint, station=Length.of(Fraction(round(near * 1e4), 10), "mm")),))
    plan = guide_plan(moved, 0.8)
    by_way = {way.way: way.stations for way in plan.ways}
    pairs = zip(by_way["even turn"], by_way["even turn, to mark out"], strict=True)
    off = [(a, b) for a, b in pairs if abs(a - near) < 0.0508]
    assert off
    show = rod.display.guide
    for exact, marked in off:
        assert abs(marked - near) > 0.0508 - 0.0254 / 8
        said = f"the guide at {show(exact)} goes to {show(marked)}: its feet stay 2 in clear of the ferrule at"
        assert any(said in one for one in plan.notes)
    assert len([one for one in plan.notes if one.startswith("to mark out")]) == len(off)


def test_turns_of_the_listed_guides_are_those_of_the_bent_rods_chords():
    """The chords worked out anew from the shape that ``bend`` draws: guides are nodes of the beam."""
    from culmwright.workshop.bending import bend

    rod = rod_from_text(rod_text("thrimble-beck"))
    way = guide_plan(rod, 0.8, radians(30), radians(-60)).ways[0]
    shape = bend(rod, 0.8, radians(30), direction=radians(-60), through_guides=True).shape
    s = np.array(shape.s)
    nodes = [int(np.argmin(np.abs(s - (s[-1] - one.station.m)))) for one in rod.guides]
    x, y = np.array(shape.x)[nodes], np.array(shape.y)[nodes]
    slopes = [np.arctan2(y[i] - y[i + 1], x[i] - x[i + 1]) for i in range(len(nodes) - 1)]
    assert way.way == "as listed"
    assert way.turns[1:-1] == pytest.approx([b - a for a, b in pairwise(slopes)], abs=1e-6)
    assert (way.turns[0], way.turns[-1]) == (None, None)


@pytest.mark.parametrize("across", [pi, -pi])
def test_a_rod_held_the_other_way_is_its_mirror_image(across):
    """Turned over in the plumb line nothing changes but left and right: same places, same turns."""
    rod = rod_from_text(rod_text("thrimble-beck"))
    ahead, behind = guide_plan(rod, 0.6), guide_plan(rod, 0.6, across)
    assert (ahead.reason, behind.reason) == ("", "")
    assert len(ahead.ways) == 4
    for one, other in zip(ahead.ways, behind.ways, strict=True):
        assert other.stations == pytest.approx(one.stations, abs=2e-5)  # twice what places settle to
        assert other.turns[1:-1] == pytest.approx(one.turns[1:-1], abs=1e-4)


def test_guides_of_another_number_say_that_they_have_no_mass():
    rod = rod_from_text(rod_text("thrimble-beck"))
    fewer = replace(rod, guides=(*rod.guides[:4], rod.guides[-1]))
    bare = replace(fewer, guides=tuple(replace(one, mass=None) for one in fewer.guides))
    said = "common practice has 9 guides and the file lists 4: those of common practice are taken without a mass"
    assert [said in guide_plan(one, 0.6).notes for one in (fewer, rod, bare)] == [True, False, False]


def test_guides_that_round_to_one_place_are_not_marked_out():
    """Sixty guides stand nearer than two sides of a ferrule are kept clear."""
    rod = rod_from_text(rod_text("thrimble-beck"))
    places = [Length.of(Fraction(k * 79, 59), "in") for k in range(60)]
    plan = guide_plan(replace(rod, guides=tuple(Guide(one) for one in places)), 0.6)
    assert [way.way for way in plan.ways] == ["as listed", "common practice", "even turn"]
    assert plan.reason == "to mark out, two guides fall on one place. List fewer guides"


def test_what_cannot_be_is_said():
    rod = rod_from_text(rod_text("thrimble-beck"))
    with pytest.raises(BadInput, match="does not bend"):
        guide_plan(rod, 0.0)
    plan = guide_plan(rod, 8.0, radians(60), 0.0)
    assert plan.reason.endswith("under this load. Try another pull, or another direction")
    assert [way.way for way in plan.ways][:2] == ["as listed", "common practice"]

"""Node layouts with a closed form: evenly spaced nodes and slack enough.

Nodes of one strip stand S apart; seen modulo S six strips are six points on a circle of circumference S, so two of them
lie S/6 apart or less, three pairs S/3, two threes S/2, and no arrangement beats even spacing (pigeonhole). With six
places S/6 apart round that circle, strips that touch can keep S/3: the ring 0 2 4 1 5 3; a ring in which all touching
strips are S/2 apart cannot be, since only one place is.
"""

from __future__ import annotations

import pytest

from culmwright.cane.apart import touching_of
from culmwright.cane.layout import lay_out_all
from culmwright.cane.patterns import RULES, classical
from culmwright.cane.search import search
from culmwright.cane.task import STEP, Candidate, Forbidden, Task, Zone

MM = 1_000_000
S = 270  # [mm], a multiple of six steps, so that the closed forms lie on the grid
SECTION = 4 * S + 60


def task(strips=6, share=1, slack=S, zones=(), nodes=8):
    length = SECTION + slack
    places = tuple((40 + k * S) * MM for k in range(nodes) if 40 + k * S < length)
    offered = tuple(Candidate(f"K/{i}", "K", length * MM, places) for i in range(strips))
    return Task("B", SECTION * MM, 0, strips, offered, zones, share)


@pytest.mark.parametrize(("share", "parts"), [(1, 6), (2, 3), (3, 2)])
def test_six_strips_spread_by_a_sixth_a_third_a_half(share, parts):
    laid = search(task(share=share))
    assert laid.proved
    assert laid.spread == S * MM // parts


@pytest.mark.parametrize(
    ("strips", "share", "parts"), [(4, 1, 4), (4, 2, 2), (5, 1, 5), (5, 2, 3), (5, 3, 2), (4, 3, 2)]
)
def test_four_and_five_strips(strips, share, parts):
    laid = search(task(strips, share))
    assert laid.proved
    assert laid.spread == S * MM // parts


def test_strips_that_touch_keep_a_third_of_the_spacing():
    laid = search(task())
    assert laid.touching == S // 3 * MM


def test_the_ring_0_2_4_1_5_3_keeps_a_third_and_0_1_2_3_4_5_a_sixth():
    one = task()
    slides = tuple(k * S * MM // 6 // STEP for k in range(6))
    assert touching_of(one, one.candidates, slides, (0, 2, 4, 1, 5, 3)) == S // 3 * MM
    assert touching_of(one, one.candidates, slides, (0, 1, 2, 3, 4, 5)) == S // 6 * MM


def test_five_sixths_of_the_spacing_is_slack_enough_and_less_is_not():
    assert search(task(slack=S * 5 // 6)).spread == S // 6 * MM
    assert search(task(slack=S * 5 // 6 - 5)).spread == (S // 6 - 1) * MM


def test_no_slack_lays_every_node_at_one_place():
    laid = search(task(slack=0))
    assert (laid.spread, laid.touching, laid.slides) == (0, 0, (0,) * 6)


def test_the_least_waste_is_five_sixths_of_the_spacing():
    laid = search(task(slack=2 * S))
    assert (max(laid.slides) - min(laid.slides)) * STEP == S * 5 // 6 * MM


def test_classical_patterns_reach_their_closed_forms():
    """All spread, opposite pairs and alternate threes (common practice, no source), on evenly spaced nodes."""
    found = {one.name: one for one in classical(task())}
    assert {name: one.least_distance for name, one in found.items()} == pytest.approx(
        {"all spread": S / 6e3, "two and two and two": S / 3e3, "three and three": S / 2e3}
    )
    assert {name: one.least_touching for name, one in found.items()} == pytest.approx(
        {"all spread": S / 6e3, "two and two and two": S / 3e3, "three and three": S / 2e3}
    )
    assert [one.name for one in RULES[6]] == list(found)
    assert [(one.share, one.in_zones, one.short) for one in found.values()] == [(1, 0, 0.0), (2, 0, 0.0), (3, 0, 0.0)]


def test_a_pattern_says_how_much_slack_it_lacks():
    found = {one.name: one for one in classical(task(slack=100))}
    assert found["all spread"].short == pytest.approx((S * 5 / 6 - 100) / 1e3)
    assert found["all spread"].least_distance is None


def test_no_slide_beyond_a_metre_and_a_half_is_tried_and_that_is_said():
    one = task(share=3, slack=2000, nodes=8)
    (found,) = lay_out_all([one], lambda section, news: None)
    assert found.notes == (
        "slides beyond 59.06 in (1500.0 mm) off the butt end were not tried: nothing is proved of those",
        "every strip is long enough for this section twice: cut the culm across into lengths first",
    )
    assert one.steps(one.candidates[0]) == 3000  # half millimetres
    assert all(cut.from_butt + cut.from_tip == pytest.approx(2.0) for cut in found.cuts)
    assert found.least_distance == pytest.approx(S / 2e3)


def test_a_zone_that_every_slide_meets_gives_way_to_the_least_grave():
    """A guide foot gives before a ferrule does, and the answer still comes."""
    foot = Zone(Forbidden.GUIDE_FOOT, 0, SECTION * MM)
    end = Zone(Forbidden.FERRULE, (SECTION - 100) * MM, SECTION * MM)
    one = task(zones=(foot, end))
    laid = search(one)
    for strip, slide in zip(laid.strips, laid.slides, strict=True):
        places = one.places(strip, slide)
        assert places
        assert not any((SECTION - 100) * MM <= place <= SECTION * MM for place in places)


def test_the_same_question_has_the_same_answer():
    zones = (Zone(Forbidden.TIP_END, 0, 100 * MM),)
    first, again = (search(task(share=2, zones=zones)) for _ in range(2))
    assert (first.slides, first.groups, first.ring) == (again.slides, again.groups, again.ring)

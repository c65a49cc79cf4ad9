"""The pass plan: worked cases by hand, and what it refuses."""

from __future__ import annotations

from math import pi

import pytest

from culmwright.bench.passes import DRY, DRY_METRIC, WET, WET_METRIC, depth_words, depths_for, plan_passes, round_depths
from culmwright.design.rod import Cutter
from culmwright.design.strip import StripForm
from culmwright.measure.display import INCH_DISPLAY, METRIC_DISPLAY
from culmwright.measure.errors import BadInput
from culmwright.measure.record import to_json

THOU = 25.4e-6
INCH = 0.0254


def in_thou(values) -> list[float]:
    return [round(value / THOU, 6) for value in values]


# Falls in thou -> rounds in thou, worked by hand from 10 over and over, then 8, 6, 4 once each.
WET_ROUNDS = [
    (0.5, [0.5]),
    (4, [4]),
    (5, [4, 1]),
    (10, [6, 4]),
    (18, [8, 6, 4]),
    (28, [10, 8, 6, 4]),
    (58, [10, 10, 10, 10, 8, 6, 4]),
    (31, [10, 8, 6, 4, 3]),
    (28.5, [10, 8, 6, 2.25, 2.25]),  # half a thou would only rub: it shares with the finest
]


@pytest.mark.parametrize(("total", "rounds"), WET_ROUNDS)
def test_soaked_rounds(total, rounds):
    assert in_thou(round_depths(total * THOU, WET)) == rounds


DRY_ROUNDS = [(4, [4]), (8, [4, 4]), (10, [4, 4, 2]), (8.5, [4, 2.25, 2.25]), (0.3, [0.3])]


@pytest.mark.parametrize(("total", "rounds"), DRY_ROUNDS)
def test_dry_rounds(total, rounds):
    assert in_thou(round_depths(total * THOU, DRY)) == rounds


def test_rounds_add_up_to_the_last_bit_of_noise():
    """Half a picometre short of ten full rounds: the first gives way, so that the target is not undercut."""
    total = 40 * THOU - 5e-13
    rounds = round_depths(total, DRY)
    assert len(rounds) == 10
    assert sum(rounds) == pytest.approx(total, abs=1e-16)  # a thousand times finer than what is missing
    assert max(rounds) <= DRY.coarse


def test_a_flat_iron_goes_in_pairs():
    # 20 thou of height at six sides: 10 thou off each flank, 6 then 4, each twice.
    plan = plan_passes(0.170 * INCH, 0.150 * INCH, depths=WET)
    assert in_thou(plan.passes) == [6, 6, 4, 4]
    assert in_thou(plan.heights) == [164, 158, 154, 150]
    assert plan.strokes_per_round == 2


def test_a_two_edged_cutter_takes_both_flanks_at_once():
    plan = plan_passes(0.170 * INCH, 0.150 * INCH, cutter=Cutter.TWO_EDGED, depths=WET)
    assert in_thou(plan.passes) == [8, 6, 4, 2]
    assert in_thou(plan.heights) == [162, 156, 152, 150]


@pytest.mark.parametrize(("sides", "fall"), [(6, 1.0), (5, 0.85065), (4, 0.70711)])
def test_a_flat_pass_lowers_the_strip_by_less_on_fewer_sides(sides, fall):
    plan = plan_passes(0.154 * INCH, 0.150 * INCH, StripForm(sides, 2 * pi / sides))
    first = (plan.now - plan.heights[0]) / plan.passes[0]
    assert first == pytest.approx(fall, abs=5e-6)


def test_the_walk_is_one_way_along_every_stroke():
    plan = plan_passes(0.170 * INCH, 0.150 * INCH, depths=WET, strips=18, length=1.8)
    assert plan.distance_walked == pytest.approx(4 * 18 * 1.8)


def test_without_a_length_no_distance():
    assert plan_passes(0.170 * INCH, 0.150 * INCH).distance_walked is None


def test_the_contract_keys():
    result = to_json(plan_passes(0.170 * INCH, 0.150 * INCH))
    assert {"passes_m", "heights_m", "distance_walked_m"} <= set(result)
    assert result["distance_walked_m"] is None
    assert result["cutter"] == "flat"


def test_on_size():
    plan = plan_passes(0.150 * INCH, 0.150 * INCH, length=2.0)
    assert (plan.passes, plan.heights, plan.distance_walked) == ((), (), 0)
    assert plan.notes == ("on size: nothing to cut",)


def test_under_size_plans_nothing_and_says_so():
    plan = plan_passes(0.149 * INCH, 0.150 * INCH)
    assert plan.passes == ()
    assert plan.notes == ("the strip is under size: no pass can put cane back",)


def test_a_flat_iron_is_told_of_its_pairs():
    (note,) = plan_passes(0.170 * INCH, 0.150 * INCH).notes
    assert note.startswith("passes come in pairs of equal depth, one on each flank")
    assert plan_passes(0.170 * INCH, 0.150 * INCH, cutter=Cutter.TWO_EDGED).notes == ()


def test_the_depths_of_a_dial_in_millimetres_stay_within_those_in_inches():
    for inch, metric in ((WET, WET_METRIC), (DRY, DRY_METRIC)):
        pairs = zip((inch.coarse, *inch.closing), (metric.coarse, *metric.closing), strict=True)
        assert all(0.97 * deep < less < deep for deep, less in pairs)


@pytest.mark.parametrize(
    ("wet", "metric", "depths"),
    [(True, False, WET), (False, False, DRY), (True, True, WET_METRIC), (False, True, DRY_METRIC)],
)
def test_depths_for_a_dial(wet, metric, depths):
    assert depths_for(wet=wet, metric=metric) is depths


def test_how_deep_in_words():
    soaked = plan_passes(0.170 * INCH, 0.150 * INCH, depths=WET)
    assert depth_words(soaked, INCH_DISPLAY) == (
        "Soaked cane: 10.0 thou a pass, then 8.0, 6.0 and 4.0 as the cut goes into drier cane."
    )
    dry = plan_passes(0.170 * INCH, 0.150 * INCH, depths=DRY_METRIC)
    assert depth_words(dry, METRIC_DISPLAY) == "Dry cane: 0.100 mm a pass at most."


NAN, INF = float("nan"), float("inf")
REFUSED = [
    ((NAN, 0.1), {}, "now: nan m is not a possible now. Give a length above zero."),
    ((0.1, NAN), {}, "target: nan m is not a possible target. Give a length above zero."),
    ((INF, 0.1), {}, "now: inf m is not a possible now. Give a length above zero."),
    ((-0.1, 0.1), {}, "now: -0.1 m is not a possible now. Give a length above zero."),
    ((0.1, 0.0), {}, "target: 0.0 m is not a possible target. Give a length above zero."),
    ((0.004, 0.003), {"length": 0.0}, "length: 0.0 m is not a possible length. Give a length above zero."),
    ((0.004, 0.003), {"strips": 0}, "strips: 0 is not a number of strips. Give 1 or more."),
]


@pytest.mark.parametrize(("heights", "others", "sentence"), REFUSED)
def test_what_cannot_be_is_refused(heights, others, sentence):
    with pytest.raises(BadInput) as refusal:
        plan_passes(*heights, **others)
    assert str(refusal.value) == sentence


def test_thousands_of_rounds_are_a_slip_of_the_pen():
    # 0.170 in given as 17.0 in.
    with pytest.raises(BadInput) as refusal:
        plan_passes(17.0 * INCH, 0.150 * INCH)
    assert str(refusal.value) == ("that is 2107 rounds of passes. Check the unit of the heights: one may be in mm.")

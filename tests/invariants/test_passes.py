"""What holds for every pass plan, whatever the heights, the cutter and the cane."""

from __future__ import annotations

from math import pi, radians
from random import Random

import pytest
from hypothesis import given
from hypothesis import strategies as st

from culmwright.bench.passes import DRY, SAME, TOO_THIN, WET, Depths, PassPlan, plan_passes
from culmwright.design.rod import Cutter
from culmwright.design.strip import StripForm
from culmwright.rigs.cutter import fall_per_depth, strokes_per_round

THOU = 25.4e-6
NOISE = 1e-15  # [m] roundings of heights of a few millimetres


def check(plan: PassPlan, form: StripForm, depths: Depths) -> None:
    fall, strokes = fall_per_depth(plan.cutter, form), strokes_per_round(plan.cutter)
    if plan.now - plan.target <= TOO_THIN - SAME:  # an edge would only rub
        assert plan.passes == plan.heights == ()
        return
    # The last height is the target to the last bit, no height is below it, and each stroke lowers the strip.
    assert plan.heights[-1] == plan.target
    assert min(plan.heights) == plan.target
    before_each = (plan.now, *plan.heights[:-1])
    for depth, before, after in zip(plan.passes, before_each, plan.heights, strict=True):
        assert depth > 0
        assert before - after == pytest.approx(depth * fall, abs=NOISE)
    assert sum(plan.passes) * fall == pytest.approx(plan.now - plan.target, abs=len(plan.passes) * NOISE)
    # Within what the cane allows, the deepest first, the closing depths once at most.
    assert max(plan.passes) <= max(depths.coarse, *depths.closing, 0.0) + SAME
    assert list(plan.passes) == sorted(plan.passes, reverse=True)
    # A flat iron cuts both flanks alike.
    assert len(plan.passes) % strokes == 0
    for start in range(0, len(plan.passes), strokes):
        assert len(set(plan.passes[start : start + strokes])) == 1


def test_many_plans(draw: Random, depth: int):
    for _ in range(4_000 * depth):
        n = draw.choice((4, 5, 6))
        form = StripForm(n, 2 * pi / n + radians(draw.uniform(-2, 2)))
        target = draw.uniform(10, 250) * THOU
        now = target + draw.choice((draw.uniform(-1, 300), draw.randrange(0, 300), draw.uniform(0, 0.01))) * THOU
        cutter, depths = draw.choice(tuple(Cutter)), draw.choice((WET, DRY))
        check(plan_passes(now, target, form, cutter, depths), form, depths)


@given(
    st.sampled_from([4, 5, 6]),
    st.integers(min_value=0, max_value=4000).map(lambda tenths: tenths / 10 * THOU),
    st.integers(min_value=1, max_value=3000).map(lambda tenths: tenths / 10 * THOU),
    st.sampled_from(Cutter),
    st.sampled_from([WET, DRY]),
)
def test_any_plan(n, over, target, cutter, depths):
    form = StripForm(n, 2 * pi / n)
    check(plan_passes(target + over, target, form, cutter, depths), form, depths)


@given(
    st.floats(min_value=1e-5, max_value=0.02),
    st.floats(min_value=1e-5, max_value=0.02),
    st.integers(min_value=1, max_value=60),
    st.floats(min_value=0.1, max_value=3),
)
def test_the_walk_grows_with_strips_and_length(now, target, strips, length):
    plan = plan_passes(now, target, strips=strips, length=length)
    assert plan.distance_walked == pytest.approx(len(plan.passes) * strips * length, rel=1e-12)


@given(st.floats(min_value=1e-3, max_value=5e-3), st.floats(min_value=1e-4, max_value=5e-3))
def test_fewer_sides_take_as_many_flat_passes_or_more(target, over):
    """The same fall takes a deeper cut of the flank on a blunter strip."""
    counts = [len(plan_passes(target + over, target, StripForm(n, 2 * pi / n)).passes) for n in (6, 5, 4)]
    assert counts == sorted(counts)

"""What holds for every rig and taper: nothing better by hand, the same in a mirror, twice the taper twice the error."""

from __future__ import annotations

import numpy as np
from hypothesis import given, settings
from hypothesis import strategies as st

from culmwright.rigs.bar import Bar
from culmwright.rigs.minimax import SPARE, Bounds, Need, best

few = settings(max_examples=settings.default.max_examples // 4)
gaps = st.lists(st.integers(min_value=50, max_value=200), min_size=2, max_size=8)  # [mm]
steps = st.lists(st.integers(min_value=0, max_value=600), min_size=3, max_size=9)  # [um] from station to station
nudges = st.lists(st.integers(min_value=-40, max_value=40), min_size=9, max_size=9)  # [um]


def case(gaps: list[int], steps: list[int]) -> tuple[Bar, Need]:
    places = tuple(float(x) for x in np.cumsum([0, *gaps]) * 1e-3)
    x = np.linspace(0.1 * places[-1], 0.9 * places[-1], len(steps))
    return Bar(places), Need(x, np.cumsum(steps) * 1e-6 + 1e-3, 0.87)


def worst(bar: Bar, need: Need, u: np.ndarray) -> float:
    return float(np.abs(need.extremes(bar, u)[1]).max())


@few
@given(gaps, steps, nudges)
def test_no_nudge_makes_it_better(gaps, steps, nudges):
    bar, need = case(gaps, steps)
    fit = best(bar, [need], Bounds())
    moved = fit.u + np.array(nudges[: len(fit.u)]) * 1e-6
    assert worst(bar, need, moved) >= fit.worst - SPARE - 1e-9


@few
@given(gaps, steps)
def test_the_worst_is_no_less_anywhere_between(gaps, steps):
    bar, need = case(gaps, steps)
    fit = best(bar, [need], Bounds())
    x = np.linspace(need.places[0], need.places[-1], 3001)
    assert np.abs(need.departure(bar, fit.u, x)).max() <= fit.worst + 1e-12


@few
@given(gaps, steps)
def test_a_rig_turned_end_for_end_does_as_well(gaps, steps):
    bar, need = case(gaps, steps)
    end = bar.places[-1]
    mirrored = Bar(tuple(end - x for x in reversed(bar.places)))
    turned = Need(end - need.places[::-1], need.values[::-1], need.slope)
    one, other = best(bar, [need], Bounds()).worst, best(mirrored, [turned], Bounds()).worst
    assert abs(one - other) <= 2 * SPARE


@few
@given(gaps, steps, st.integers(min_value=100, max_value=900))
def test_limits_are_kept_and_never_help(gaps, steps, most):
    bar, need = case(gaps, steps)
    bounds = Bounds(0.0, most * 1e-6 + 1e-3, most * 1e-6)
    held, free = best(bar, [need], bounds), best(bar, [need], Bounds())
    assert held.worst >= free.worst - SPARE - 1e-9
    assert held.u.min() >= -1e-9 and held.u.max() <= bounds.most + 1e-9
    assert np.abs(np.diff(held.u)).max() <= bounds.neighbour + 1e-9


@few
@given(gaps, steps)
def test_twice_the_taper_twice_the_departure(gaps, steps):
    bar, need = case(gaps, steps)
    twice = Need(need.places, 2 * need.values, need.slope)
    assert abs(best(bar, [twice], Bounds()).worst - 2 * best(bar, [need], Bounds()).worst) <= 3 * SPARE

"""Matching against rings that shapely measures, against every ring tried one by one, and against counting.

Sections are built by shapely (a general-purpose geometry library) as the figure that all flats cut out; across and
second moments are taken from that figure, not from the formulas under test.
"""

from __future__ import annotations

from itertools import combinations, pairwise, permutations
from math import comb, cos, factorial, pi, sin

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from shapely import affinity
from shapely.geometry import Polygon, box

from culmwright.measure.errors import BadInput
from culmwright.proof.match_strips import Bench, _bound, _disjoint, best_match, evenness

THOU = 25.4e-6


def some_bench(count, sides, stations=4, seed=1, k=1.0, apart=None):
    random = np.random.default_rng(seed)
    over = random.normal(0, 1.2 * THOU, (count, 1)) + random.normal(0, 0.6 * THOU, (count, stations))
    return Bench(tuple(range(1, count + 1)), over, sides, np.linspace(35, 90, stations) * THOU, k, apart)


def section_of(apothem, over):
    """The figure cut out by flats that stand ``apothem + over[j]`` from the axis, flat j facing angle ``2 pi j/n``."""
    figure = box(-1, -1, 1, 1)
    for j, extra in enumerate(over):
        far = apothem + extra
        half = affinity.rotate(box(-2, -2, far, 2), 360 * j / len(over), origin=(0, 0))
        figure = figure.intersection(half)
    return figure


def measured(figure, angle):
    """What a caliper with one jaw facing ``angle`` reads on a figure: its extent that way and the other [m]."""
    along = [x * cos(angle) + y * sin(angle) for x, y in figure.exterior.coords]
    return max(along) - min(along)


def tensor(figure):
    """Second moments (xx, yy, xy) about the middle of a figure, cut into triangles from it [m^4]."""
    x0, y0 = figure.centroid.coords[0]
    points = [(x - x0, y - y0) for x, y in Polygon(figure.exterior).exterior.coords]
    xx = yy = xy = 0.0
    for (xa, ya), (xb, yb) in pairwise(points):
        twice = xa * yb - xb * ya
        xx += twice * (xa * xa + xa * xb + xb * xb) / 12
        yy += twice * (ya * ya + ya * yb + yb * yb) / 12
        xy += twice * (xa * yb + 2 * xa * ya + 2 * xb * yb + xb * ya) / 24
    return abs(xx), abs(yy), xy * np.sign(xx)


def fault_by_shapely(bench, ring):
    """The worst station's spread plus mean departure, from extents of the figures themselves."""
    n = bench.sides
    turns = range(n // 2) if n % 2 == 0 else range(n)
    worst = 0.0
    for station, apothem in enumerate(bench.apothem):
        figure = section_of(apothem, [bench.over[i, station] for i in ring])
        size = 2 * apothem if n % 2 == 0 else apothem * (1 + 1 / cos(pi / n))
        errors = [measured(figure, 2 * pi * j / n) - size for j in turns]
        worst = max(worst, max(errors) - min(errors) + abs(sum(errors) / len(errors)))
    return worst


def all_rings(at_hand, sides):
    """Every ring of every choice, once up to turning and turning over."""
    rings = [
        (first, *rest)
        for chosen in combinations(range(at_hand), sides)
        for first, others in [(chosen[0], chosen[1:])]
        for rest in permutations(others)
        if rest[0] < rest[-1]
    ]
    assert len(rings) == comb(at_hand, sides) * factorial(sides - 1) // 2
    return rings


@pytest.mark.parametrize(("sides", "at_hand"), [(4, 6), (5, 6), (6, 7)])
@pytest.mark.parametrize("seed", [1, 2])
def test_it_is_the_best_of_all_rings_tried_one_by_one(sides, at_hand, seed):
    bench = some_bench(at_hand, sides, stations=2, seed=seed)
    least = min(fault_by_shapely(bench, ring) for ring in all_rings(at_hand, sides))
    found = best_match(bench)
    assert found.proved
    # even sides are exact; odd ones to first order in over/apothem, here under 1 part in 1000 of a few thou
    assert found.best.fault == pytest.approx(least, abs=1e-15 if sides % 2 == 0 else 0.01 * THOU)
    assert found.bound == found.best.fault
    assert sorted((*found.best.ring, *found.left)) == list(bench.labels)


def unlike_apart(count, seed, unknown=()):
    """Distances of nodes no two of which are the same; infinite where one of the strips is ``unknown``."""
    random = np.random.default_rng(seed)
    apart = random.uniform(0.002, 0.06, (count, count))
    apart = np.maximum(apart, apart.T)
    for one in unknown:
        apart[one, :] = apart[:, one] = np.inf
    return apart


def touching_by_hand(apart, ring):
    return min(apart[a, b] for a, b in pairwise((*ring, ring[0])))


@pytest.mark.parametrize(("sides", "at_hand"), [(4, 6), (5, 6), (6, 7)])
@pytest.mark.parametrize("unknown", [(), (1,)])
@pytest.mark.parametrize("seed", [1, 2])
def test_with_nodes_kept_apart_it_is_the_best_of_all_rings_that_keep_it(sides, at_hand, unknown, seed):
    """Every ring tried one by one: its faults from shapely, its distances looked up pair by pair."""
    apart = unlike_apart(at_hand, seed, unknown)
    bench = some_bench(at_hand, sides, stations=2, seed=seed, apart=apart)
    rings = all_rings(at_hand, sides)
    faults = {ring: fault_by_shapely(bench, ring) for ring in rings}
    reached = {ring: touching_by_hand(apart, ring) for ring in rings}
    steps = sorted(set(reached.values()))
    near = 1e-15 if sides % 2 == 0 else 0.01 * THOU  # as above
    told = []
    for least in (steps[len(steps) // 3], steps[-2], steps[-1]):
        found = best_match(bench, least)
        ring = tuple(label - 1 for label in found.best.ring)
        keeping = [one for one in rings if reached[one] >= least]
        assert found.keeps and found.proved
        assert found.best.touching == touching_by_hand(apart, ring) >= least
        assert found.best.fault == pytest.approx(min(faults[one] for one in keeping), abs=near)
        assert found.free.fault == pytest.approx(min(faults.values()), abs=near)
        told.append(found.best.fault)
    assert told == sorted(told) and told[-1] > told[0]
    beyond = best_match(bench, steps[-1] * 1.01)
    assert not beyond.keeps
    assert beyond.best.touching == steps[-1]  # the most there can be, and the evenest that has it
    assert beyond.best.fault == pytest.approx(told[-1])


def test_where_nodes_are_known_of_none_of_a_rings_touching_strips_nothing_is_said_of_them():
    bench = some_bench(6, 6, apart=np.full((6, 6), np.inf))
    assert best_match(bench, 0.05).best.touching is None


def test_no_change_betters_six_of_24_with_nodes_kept_apart():
    """Against its neighbours: no change of one strip and no two strips that change places make an evener ring."""
    apart = unlike_apart(24, 4)
    bench = some_bench(24, 6, seed=4, apart=apart)
    least = 0.045
    found = best_match(bench, least)
    assert found.proved and found.keeps and found.best.fault > found.free.fault
    ring = [label - 1 for label in found.best.ring]
    assert touching_by_hand(apart, ring) >= least
    for i in range(6):
        for other in range(24):
            changed = [*ring]
            if other in ring:
                changed[ring.index(other)] = ring[i]
            changed[i] = other
            if touching_by_hand(apart, changed) >= least:
                assert evenness(bench, tuple(changed)).fault >= found.best.fault - 1e-15


def test_every_way_to_pair_is_looked_at():
    """C(24, 6) choices of six, 5 x 3 x 1 ways to pair them: counting."""
    pairs = np.array(list(combinations(range(24), 2)))
    assert len(_disjoint(pairs, 3)) == comb(24, 6) * 15 == 2_018_940
    assert len(_disjoint(pairs[pairs.max(axis=1) < 12], 3)) == comb(12, 6) * 15


@pytest.mark.parametrize("sides", [4, 5, 6])
def test_spine_and_middle_are_those_of_the_figure(sides):
    bench = some_bench(sides, sides, stations=3, seed=5)
    told = evenness(bench, tuple(range(sides)))
    spines, asides = [], []
    for station, apothem in enumerate(bench.apothem):
        figure = section_of(apothem, bench.over[:, station])
        xx, yy, xy = tensor(figure)
        spines.append(2 * np.hypot((xx - yy) / 2, xy) / ((xx + yy) / 2))
        asides.append(np.hypot(*figure.centroid.coords[0]))
    # first order in over/apothem, which is up to 0.07 at the thin station of this section
    assert told.spine == pytest.approx(max(spines), rel=0.15)
    assert told.aside == pytest.approx(max(asides), rel=0.15)


def test_spine_is_exact_in_the_limit():
    """A tenth of the unevenness leaves a tenth of the first-order error."""
    errors = []
    for size in (1.0, 0.1):
        bench = some_bench(6, 6, stations=1, seed=5)
        bench = Bench(bench.labels, bench.over * size, 6, bench.apothem)
        xx, yy, xy = tensor(section_of(bench.apothem[0], bench.over[:, 0]))
        exact = 2 * np.hypot((xx - yy) / 2, xy) / ((xx + yy) / 2)
        errors.append(abs(evenness(bench, tuple(range(6))).spine / exact - 1))
    assert errors[1] < 0.2 * errors[0]


def test_alike_strips_are_even_whatever_their_order():
    bench = Bench(tuple(range(1, 7)), np.full((6, 3), 2 * THOU), 6, np.array([40, 60, 80]) * THOU, k=1.02)
    best = best_match(bench).best
    assert best.spread == pytest.approx(0, abs=1e-18)
    assert best.off == pytest.approx(4 * 1.02 * THOU)
    assert best.spine == pytest.approx(0, abs=1e-12)


def test_opposite_strips_make_up_for_each_other():
    """Three thick strips and three thin: each thick one belongs opposite a thin one, not in the order as cut."""
    over = np.array([[2], [-2], [2], [-2], [2], [-2]]) * THOU
    bench = Bench((1, 2, 3, 4, 5, 6), over[[0, 1, 4, 2, 3, 5]], 6, np.array([80 * THOU]))
    found = best_match(bench)
    assert found.best.fault == pytest.approx(0, abs=1e-18)
    assert found.as_cut.fault > 3 * THOU


def test_nodes_are_kept_apart_on_touching_strips_at_some_cost_of_evenness():
    apart = np.full((8, 8), 0.05)
    free = best_match(some_bench(8, 6, apart=apart)).best
    a, b = (i - 1 for i in free.ring[:2])
    apart[a, b] = apart[b, a] = 0.001
    held = best_match(some_bench(8, 6, apart=apart), least_touching=0.02).best
    assert held.touching >= 0.02
    assert held.fault >= free.fault


def test_of_rings_equally_even_the_one_whose_nodes_lie_best_is_taken():
    random = np.random.default_rng(3)
    apart = random.uniform(0.01, 0.1, (6, 6))
    apart = (apart + apart.T) / 2
    bench = some_bench(6, 6, apart=apart)
    best = best_match(bench).best
    equal = [
        one
        for rest in permutations(range(1, 6))
        for one in [evenness(bench, (0, *rest))]
        if one.fault <= best.fault * (1 + 1e-12)
    ]
    assert len(equal) == 8  # 4 rings, each met turned over too
    assert best.touching == max(one.touching for one in equal)


@given(st.integers(0, 2**32 - 1), st.sampled_from([4, 6]))
def test_no_ring_beats_the_bound(seed, sides):
    bench = some_bench(sides + 2, sides, seed=seed)
    assert _bound(bench) <= best_match(bench).best.fault + 1e-15


def test_of_more_than_24_the_answer_is_good_and_its_bound_is_told():
    found = best_match(some_bench(27, 4))
    assert not found.proved
    assert 0 < found.bound <= found.best.fault
    assert len(found.left) == 23


@pytest.mark.parametrize(
    ("bench", "least", "words"),
    [
        (some_bench(5, 6), None, "5 strips are read through, and a section takes 6"),
        (Bench((1, 2, 3, 4), np.empty((4, 0)), 4, np.empty(0)), None, "share no station"),
        (some_bench(6, 6), 0.01, "nothing is known of the nodes"),
    ],
)
def test_what_cannot_be_matched_is_said(bench, least, words):
    with pytest.raises(BadInput, match=words):
        best_match(bench, least)

"""Node layouts against brute force: every choice of strips, every slide, every grouping, every ring.

The search below knows nothing of domains, thresholds or solvers: it lists all there is and takes the best, aim by aim.
"""

from __future__ import annotations

from itertools import accumulate, combinations, pairwise, permutations, product
from math import inf

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from culmwright.cane.apart import differences, distance, thresholds
from culmwright.cane.keeping_out import costs, given_way
from culmwright.cane.patterns import RULES, by_rule
from culmwright.cane.search import News, search
from culmwright.cane.task import STEP, Candidate, Fault, Forbidden, Task, Zone
from culmwright.measure.errors import AnswerIsNo

KINDS = (Forbidden.FERRULE, Forbidden.TIP_END, Forbidden.GUIDE_FOOT)
WEIGHTS = {  # the gravest first, each step far above all of the next: written out here once more
    Forbidden.FAULT: 1e12,
    Forbidden.FERRULE: 1e9,
    Forbidden.TIP_END: 1e6,
    Forbidden.GRIP_END: 1e3,
    Forbidden.GUIDE_FOOT: 1.0,
}


@st.composite
def strips(draw, label, length, shared):
    """A strip of a few steps' slack over ``length``, its own or one of a culm length that others share."""
    if shared and draw(st.booleans()):
        like = draw(st.sampled_from(shared))
        return Candidate(label, like.source, like.length, like.nodes, like.faults)
    slack = draw(st.integers(0, 4))
    whole = length + slack
    nodes = draw(st.lists(st.integers(0, whole), min_size=0, max_size=3, unique=True))
    faults = ()
    if draw(st.integers(0, 4)) == 0:
        start = draw(st.integers(0, whole))
        faults = (Fault(start * STEP, min(start + draw(st.integers(0, 3)), whole) * STEP),)
    uneven = draw(st.sampled_from((0, 0, 100_000)))  # nodes need not lie on whole steps
    return Candidate(label, label, whole * STEP, tuple(sorted(node * STEP + uneven for node in nodes)), faults)


@st.composite
def tasks(draw, most=4, extra=0):
    length, trim = draw(st.integers(6, 24)), 2 * draw(st.sampled_from((0, 0, 1, 3)))
    count = draw(st.integers(3, most))
    offered = []
    for i in range(count + draw(st.integers(0, extra))):
        offered.append(draw(strips(f"s{i}", length + trim, offered)))
    zones = []
    for _ in range(draw(st.integers(0, 2))):
        start = draw(st.integers(-3, length))
        zones.append(Zone(draw(st.sampled_from(KINDS)), start * STEP, (start + draw(st.integers(0, 4))) * STEP))
    return Task("B", length * STEP, trim * STEP, count, tuple(offered), tuple(zones), draw(st.sampled_from((1, 2, 3))))


def butt_end(task, slide):
    """Where the section's butt end lies on a strip, from the strip's own."""
    return slide * STEP + task.trim // 2


def on_section(task, strip, slide):
    """Nodes of a strip on the section from its tip end, reckoned from the butt end on."""
    butt = butt_end(task, slide)
    return [task.length - (node - butt) for node in strip.nodes if butt <= node <= butt + task.length]


def price(task, strip, slide):
    butt = butt_end(task, slide)
    paid = sum(WEIGHTS[Forbidden.FAULT] for one in strip.faults if one.end >= butt and one.start <= butt + task.length)
    return paid + sum(
        WEIGHTS[zone.why]
        for node in strip.nodes  # those cut off too: a zone may run on beyond an end of the section
        for zone in task.zones
        if zone.start <= task.length - (node - butt) <= zone.end
    )


def least(pairs):
    return min((abs(a - b) for one, other in pairs for a in one for b in other), default=inf)


def groupings(count, share):
    """Every way to part strips into as few groups of at most so many as there can be."""
    many = -(-count // share)
    for groups in product(range(many), repeat=count):
        if max(groups.count(g) for g in range(many)) <= share:
            yield groups


def brute(task):
    """The best (cost, spread, touching, room, taken) there is."""
    best = None
    count = task.strips
    rings = [(0, *rest) for rest in permutations(range(1, count))]
    parts = list(groupings(count, task.share))
    for chosen in combinations(task.candidates, count):
        ranges = [range((one.length - task.length - task.trim) // STEP + 1) for one in chosen]
        for slides in product(*ranges):
            cost = sum(price(task, one, slide) for one, slide in zip(chosen, slides, strict=True))
            if best is not None and cost > -best[0]:
                continue
            places = [on_section(task, one, slide) for one, slide in zip(chosen, slides, strict=True)]
            spread = max(
                least((places[i], places[j]) for i, j in combinations(range(count), 2) if part[i] != part[j])
                for part in parts
            )
            touching = max(least((places[i], places[j]) for i, j in pairwise((*ring, 0))) for ring in rings)
            room = 0
            for source in {one.source for one in chosen}:
                own = [slide for one, slide in zip(chosen, slides, strict=True) if one.source == source]
                room += (task.length + task.trim) // STEP + max(own) - min(own)
            found = (-cost, spread, touching, -room, -sum(slides))
            best = found if best is None else max(best, found)
    return best


def reached(task, laid):
    """The same figures of what the search found, from its slides, groups and ring alone."""
    places = [on_section(task, one, slide) for one, slide in zip(laid.strips, laid.slides, strict=True)]
    count = task.strips
    assert sorted(laid.ring) == list(range(count))
    assert max(laid.groups.count(group) for group in laid.groups) <= task.share
    room = 0
    for source in {one.source for one in laid.strips}:
        own = [slide for one, slide in zip(laid.strips, laid.slides, strict=True) if one.source == source]
        room += (task.length + task.trim) // STEP + max(own) - min(own)
    return (
        -sum(price(task, one, slide) for one, slide in zip(laid.strips, laid.slides, strict=True)),
        least((places[i], places[j]) for i, j in combinations(range(count), 2) if laid.groups[i] != laid.groups[j]),
        least((places[i], places[j]) for i, j in pairwise((*laid.ring, laid.ring[0]))),
        -room,
        -sum(laid.slides),
    )


@settings(max_examples=settings.default.max_examples * 3 // 5)
@given(tasks())
def test_a_layout_is_the_best_there_is(task):
    laid = search(task)
    assert laid.proved
    assert reached(task, laid) == brute(task)


@settings(max_examples=settings.default.max_examples * 3 // 10)
@given(tasks(most=3, extra=2))
def test_the_best_strips_are_chosen(task):
    laid = search(task)
    assert laid.proved
    assert reached(task, laid) == brute(task)


@settings(max_examples=settings.default.max_examples * 3 // 10)
@given(tasks(most=4, extra=1))
def test_the_answer_is_told_as_it_gets_better_and_the_bound_as_it_falls(task):
    heard: list[News] = []
    laid = search(task, heard.append)
    for aim in {one.aim for one in heard}:
        found = [inf if one.found is None else one.found for one in heard if one.aim is aim]
        bounds = [one.bound for one in heard if one.aim is aim and one.bound is not None]
        assert found == sorted(found)
        assert bounds == sorted(bounds, reverse=True)
    assert search(task) == laid or search(task).slides == laid.slides


@given(tasks())
def test_a_slide_costs_what_its_nodes_and_defects_cost(task):
    for strip in task.candidates:
        priced = costs(task, strip)
        assert len(priced) == (strip.length - task.length - task.trim) // STEP + 1
        assert priced == [price(task, strip, slide) for slide in range(len(priced))]
        for slide, paid in enumerate(priced):
            assert bool(given_way(task, strip, slide)) == (paid > 0)


@given(
    st.lists(st.integers(8, 13), min_size=5, max_size=9),
    st.lists(st.tuples(st.sampled_from(KINDS), st.integers(-4, 40), st.integers(0, 6)), max_size=2),
    st.sampled_from(RULES[4] + RULES[6]),
)
def test_a_pattern_lies_where_it_costs_least_and_spreads_widest(gaps, barred, rule):
    """Against trying every place of the whole pattern."""
    nodes = tuple(STEP * place for place in accumulate(gaps))
    zones = tuple(Zone(why, start * STEP, (start + wide) * STEP) for why, start, wide in barred)
    count = len(rule.places)
    offered = tuple(Candidate(f"s{i}", "K", 70 * STEP, nodes) for i in range(count))
    task = Task("B", 40 * STEP, 0, count, offered, zones)
    mean = (nodes[-1] - nodes[0]) / (len(nodes) - 1)
    shifts = [round(place * mean / (max(rule.places) + 1) / STEP) for place in rule.places]

    def worth(base):
        slides = [base + shift for shift in shifts]
        places = [on_section(task, one, slide) for one, slide in zip(offered, slides, strict=True)]
        pairs = [(i, j) for i, j in combinations(range(count), 2) if rule.places[i] != rule.places[j]]
        spread = least((places[i], places[j]) for i, j in pairs)
        cost = sum(price(task, one, slide) for one, slide in zip(offered, slides, strict=True))
        return -cost, 0 if spread == inf else spread, -base

    base = max(range(30 - max(shifts) + 1), key=worth)
    assert by_rule(task, rule) == tuple(base + shift for shift in shifts)


@given(
    st.lists(st.integers(-40, 40), max_size=4),
    st.lists(st.integers(-40, 40), max_size=4),
    st.integers(0, 30),
    st.sampled_from((0, 1, 250_000)),
)
def test_differences_that_keep_nodes_apart(one, other, least_steps, uneven):
    """Against trying every difference."""
    a, b = tuple(x * STEP + uneven for x in one), tuple(y * STEP for y in other)
    apart = least_steps * STEP
    free = {d for low, high in differences(a, b, apart, -50, 50) for d in range(low, high + 1)}
    assert free == {d for d in range(-50, 51) if all(abs(x + d * STEP - y) >= apart for x in a for y in b)}


@given(
    st.lists(st.integers(-30, 30), max_size=3),
    st.lists(st.integers(-30, 30), max_size=3),
    st.integers(0, 25),
    st.integers(-6, 0),
    st.integers(0, 6),
)
def test_every_distance_that_can_be_is_known(one, other, most, low, high):
    """Against listing them."""
    a, b = tuple(x * STEP for x in one), tuple(y * STEP + 200_000 for y in other)
    every = {abs(x - y + d * STEP) for x in a for y in b for d in range(low, high + 1)}
    assert thresholds([(a, b, low, high)], most * STEP) == sorted(one for one in every if one <= most * STEP)


@given(st.lists(st.integers(0, 99), max_size=5), st.lists(st.integers(0, 99), max_size=5))
def test_distance_of_two_lists(one, other):
    every = [abs(x - y) for x in one for y in other]
    assert distance(tuple(sorted(one)), tuple(sorted(other))) == (min(every) if every else None)


@pytest.mark.parametrize("short", [1, 5 * STEP])
def test_strips_that_are_too_short_are_answered_with_no(short):
    offered = tuple(Candidate(f"s{i}", "K", 100 * STEP - short, (30 * STEP,)) for i in range(6))
    with pytest.raises(AnswerIsNo) as no:
        search(Task("B", 100 * STEP, 0, 6, offered))
    assert "there is no slack" in str(no.value)

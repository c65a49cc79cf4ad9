"""The walk: every cell once, one input a reading, nothing lost by undo, whatever order and whatever is done."""

from __future__ import annotations

from fractions import Fraction

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from hypothesis.stateful import RuleBasedStateMachine, initialize, invariant, precondition, rule

from culmwright.bench.walk import Cell, Filled, Inner, Order, Skipped, Stretch, Walk
from culmwright.measure.errors import BadInput
from culmwright.measure.lengths import Length

orders = st.builds(Order, st.sampled_from(Inner), st.booleans())
lengths = st.integers(1, 10**9).map(lambda nanometres: Length(Fraction(nanometres), unit="mm"))


@st.composite
def plans(draw):
    """Up to three sections with a few strips and stations and passes each."""
    names = draw(st.lists(st.sampled_from(("T1", "T2", "M", "B")), min_size=1, max_size=3, unique=True))
    return tuple(
        Stretch(
            name,
            tuple(range(1, draw(st.integers(1, 4)) + 1)),
            tuple(Length.of(5 * i, "in") for i in range(draw(st.integers(1, 4)))),
            draw(st.integers(1, 2)),
        )
        for name in names
    )


def size(plan):
    return sum(len(one.strips) * len(one.stations) * one.cuts for one in plan)


@given(plans(), orders)
def test_every_cell_is_on_the_walk_once(plan, order):
    cells = order.cells(plan)
    assert len(cells) == len(set(cells)) == size(plan)
    assert set(cells) == {
        Cell(one.section, strip, station, cut)
        for one in plan
        for strip in one.strips
        for station in one.stations
        for cut in range(1, one.cuts + 1)
    }


@given(plans(), orders)
def test_backward_is_each_lap_reversed(plan, order):
    """Section by section and pass by pass the cells come in opposite order; sections and passes keep theirs."""
    forward = Order(order.inner, False).cells(plan)
    backward = Order(order.inner, True).cells(plan)
    laps = [(one.section, cut) for one in plan for cut in range(1, one.cuts + 1)]
    for lap in laps:
        there = [cell for cell in forward if (cell.section, cell.cut) == lap]
        assert [cell for cell in backward if (cell.section, cell.cut) == lap] == there[::-1]
    for cells in (forward, backward):
        assert list(dict.fromkeys((cell.section, cell.cut) for cell in cells)) == laps


def test_the_two_inner_orders():
    zero, five = Length.of(0, "in"), Length.of(5, "in")
    plan = (Stretch("T1", (1, 2), (zero, five)),)

    def walked(inner):
        return [(cell.strip, cell.station) for cell in Order(inner).cells(plan)]

    assert walked(Inner.STATIONS) == [(1, zero), (1, five), (2, zero), (2, five)]
    assert walked(Inner.STRIPS) == [(1, zero), (2, zero), (1, five), (2, five)]


@given(plans(), orders, st.data())
def test_readings_alone_fill_every_cell_from_any_start(plan, order, data):
    """As many inputs as cells: nothing else is needed, wherever the walk starts."""
    cells = order.cells(plan)
    start = data.draw(st.sampled_from(cells))
    walk = Walk.begin(cells, start=start)
    visited = []
    for _ in cells:
        visited.append(walk.armed)
        walk = walk.read(Length.of(len(visited), "mm"))
    at = cells.index(start)
    assert visited == [*cells[at:], *cells[:at]]
    assert (walk.armed, walk.open) == (None, ())
    assert [entry.cell for entry in walk.entries] == visited


def test_sixty_readings_are_sixty_inputs():
    plan = (Stretch("B", tuple(range(1, 7)), tuple(Length.of(5 * i, "in") for i in range(10))),)
    walk = Walk.begin(Order().cells(plan))
    inputs = 0
    while walk.armed is not None:
        walk = walk.read(Length.of(1, "mm"))
        inputs += 1
    assert inputs == 60


def walk_of(count=4):
    return Walk.begin(Order().cells((Stretch("B", (1,), tuple(Length.of(i, "in") for i in range(count))),)))


def test_a_cell_read_again_keeps_both_entries_and_the_later_stands():
    one, two, three = (Length.of(i, "mm") for i in (1, 2, 3))
    walk = walk_of().read(one).read(two)
    again = walk.arm(walk.cells[0]).read(three)
    assert [entry.value for entry in again.entries] == [one, two, three]
    assert again.standing[walk.cells[0]] == Filled(walk.cells[0], three)
    assert again.armed == walk.cells[2]  # the next open cell, not the next one
    assert again.undo().standing[walk.cells[0]] == Filled(walk.cells[0], one)


def test_skipping_needs_a_reason_and_can_be_made_good():
    walk = walk_of().skip("  split ")
    assert walk.entries == (Skipped(walk.cells[0], "split"),)
    assert walk.armed == walk.cells[1]
    with pytest.raises(BadInput, match="skipped for a reason"):
        walk.skip("  ")
    made_good = walk.back().read(Length.of(1, "mm"))
    assert isinstance(made_good.standing[walk.cells[0]], Filled)


def test_back_and_onward_go_round():
    walk = walk_of(3)
    assert walk.back().armed == walk.cells[2]
    assert walk.back().onward() == walk
    assert walk.onward().armed == walk.cells[1]
    done = walk.read(Length.of(1, "mm")).read(Length.of(1, "mm")).read(Length.of(1, "mm"))
    assert (done.back().armed, done.onward().armed) == (walk.cells[2], walk.cells[0])


def test_a_walk_taken_up_again_arms_the_first_open_cell():
    walk = walk_of().read(Length.of(1, "mm")).skip("split")
    assert Walk.begin(walk.cells, walk.entries) == walk


def test_what_cannot_be_walked_is_refused():
    walk = walk_of(1)
    stranger = Cell("T1", 1, Length.of(0, "in"), 1)
    for attempt, fault in (
        (lambda: Walk.begin(()), "a walk needs cells"),
        (lambda: Walk.begin(walk.cells * 2), "a walk needs cells"),
        (lambda: walk.arm(stranger), "T1/S1@0in is not on this walk"),
        (lambda: Walk.begin(walk.cells, start=stranger), "is not on this walk"),
        (lambda: Walk.begin(walk.cells, (Skipped(stranger, "x"),)), "is not on this walk"),
        (walk.undo, "nothing to undo"),
        (lambda: walk.read(Length.of(1, "mm")).read(Length.of(1, "mm")), "no cell is armed"),
        (lambda: walk.read(Length.of(1, "mm")).skip("x"), "no cell is armed"),
    ):
        with pytest.raises(BadInput, match=fault):
            attempt()


class Walking(RuleBasedStateMachine):
    """A maker at the bench, against a plain dictionary of lists that forgets nothing."""

    @initialize(plan=plans(), order=orders)
    def begin(self, plan, order):
        self.plan = plan
        self.walk = Walk.begin(order.cells(plan))
        self.made = []  # what was entered, in order; undo takes the last away

    @precondition(lambda self: self.walk.armed is not None)
    @rule(value=lengths)
    def read(self, value):
        before, cell = self.walk, self.walk.armed
        self.walk = before.read(value)
        self.made.append(Filled(cell, value))
        assert self.walk.undo() == before

    @precondition(lambda self: self.walk.armed is not None)
    @rule(reason=st.sampled_from(("split", "node", "later")))
    def skip(self, reason):
        before, cell = self.walk, self.walk.armed
        self.walk = before.skip(reason)
        self.made.append(Skipped(cell, reason))
        assert self.walk.undo() == before

    @precondition(lambda self: self.made)
    @rule()
    def undo(self):
        self.walk = self.walk.undo()
        assert self.walk.armed == self.made.pop().cell

    @rule(data=st.data())
    def arm(self, data):
        cell = data.draw(st.sampled_from(self.walk.cells))
        self.walk = self.walk.arm(cell)
        assert self.walk.armed == cell

    @rule()
    def back(self):
        before = self.walk
        self.walk = before.back()
        assert before.armed is None or self.walk.onward() == before

    @invariant()
    def nothing_is_lost(self):
        assert list(self.walk.entries) == self.made
        last = {}
        for entry in self.made:
            last[entry.cell] = entry
        assert self.walk.standing == last
        assert set(self.walk.open) | set(last) == set(self.walk.cells)
        assert not set(self.walk.open) & set(last)
        assert self.walk.armed is not None or not self.walk.open


TestWalking = Walking.TestCase
TestWalking.settings = settings(max_examples=max(settings().max_examples // 4, 1), stateful_step_count=50)

"""The layout as a constraint problem, for one threshold at a time (CP-SAT of ortools).

Distances never enter as variables: for a threshold, two strips may only differ in their slides by the amounts at which
their nodes lie that far apart, and those amounts are a domain. Nodes that come on the section at some slides only
carry a switch each. One worker and a fixed seed: the same question has the same answer.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from enum import Enum
from itertools import combinations
from typing import Any

from ortools.sat.python import cp_model

from culmwright.cane.apart import differences
from culmwright.cane.keeping_out import Offer
from culmwright.cane.task import STEP, Task

SEED = 7


class Verdict(Enum):
    """What a step found out."""

    FOUND = "found"
    NONE = "there is none"
    UNKNOWN = "unknown"


@dataclass(frozen=True, slots=True)
class Placed:
    """Strips as they are laid: for each chosen offer its number, its ``slides`` [steps] and group; ``ring`` in order.

    ``ring`` holds places in ``chosen``.
    """

    chosen: tuple[int, ...]
    slides: tuple[int, ...]
    groups: tuple[int, ...]
    ring: tuple[int, ...]


@dataclass(frozen=True, slots=True)
class Step:
    """One step's outcome; ``optimal`` is False where the least waste was asked for and is not proved."""

    verdict: Verdict
    placed: Placed | None = None
    optimal: bool = True


@dataclass(slots=True)
class Clock:
    """What the solver has spent: ``seconds`` [s], and ``effort`` [-] as it counts itself, the same on any machine."""

    seconds: float = 0.0
    effort: float = 0.0


@dataclass
class Board:
    """A task's strips and their slides, ready to be asked about one threshold after another."""

    task: Task
    offers: Sequence[Offer]
    clock: Clock = field(default_factory=Clock)

    def of(self, numbers: Sequence[int]) -> Board:
        """The same task with some of its strips only."""
        return Board(self.task, [self.offers[i] for i in numbers], self.clock)

    def ask(self, effort: float, apart: int, touching: int | None = None, *, sparing: bool = False) -> Step:
        """Strips ``apart`` [nm] from each other, touching ones ``touching`` [nm]; with ``sparing`` of the least waste.

        ``effort`` [-] is what may be spent on it, about as many seconds.
        """
        model = _Model(self.task, self.offers)
        if not model.keep_apart(apart) or (touching is not None and not model.keep_touching(touching)):
            return Step(Verdict.NONE)
        if sparing:
            model.spare()
        return model.solve(self.clock, effort)


def _flat(ranges: Sequence[tuple[int, int]]) -> list[int]:
    return [end for one in ranges for end in one]


def _kind(one: Offer) -> object:
    """What two strips share that are alike in everything the layout looks at."""
    return one.strip.source, one.strip.length, one.strip.nodes, one.strip.faults, one.slides, one.must


class _Model:
    """Variables of one question."""

    def __init__(self, task: Task, offers: Sequence[Offer]) -> None:
        self.task, self.offers = task, offers
        self.cp: Any = cp_model.CpModel()
        self.count = len(offers)
        self.choice = self.count > task.strips
        self.slide = [
            self.cp.new_int_var_from_domain(cp_model.Domain.from_flat_intervals(_flat(one.slides)), f"t{i}")
            for i, one in enumerate(offers)
        ]
        self.low = [one.slides[0][0] for one in offers]
        self.high = [one.slides[-1][1] for one in offers]
        self.chosen = [self.cp.new_bool_var(f"c{i}") for i in range(self.count)] if self.choice else []
        self.always: list[tuple[int, ...]] = []
        self.sometimes: list[tuple[tuple[int, Any], ...]] = []
        for i in range(self.count):
            self._nodes(i)
        if self.choice:
            self.cp.add(sum(self.chosen) == task.strips)
            for i, one in enumerate(offers):
                if one.must:
                    self.cp.add(self.chosen[i] == 1)
        self.group: list[Any] = []
        self.same: dict[tuple[int, int], Any] = {}
        alike = not self.choice and len({_kind(one) for one in offers}) == 1
        self.fixed = alike and task.strips % task.share == 0  # else groups may differ in size
        if self.fixed:
            self._in_turn()
        else:
            self._alike()
            if task.share > 1:
                self._groups()
        self.arcs: dict[tuple[int, int], Any] = {}

    def _nodes(self, i: int) -> None:
        """Part a strip's nodes into those on the section at every slide and those at some, with a switch."""
        length, always, sometimes = self.task.length, [], []
        for k, node in enumerate(self.task.anchors(self.offers[i].strip)):
            first, last = -(node // STEP), (length - node) // STEP
            if last < self.low[i] or first > self.high[i]:
                continue
            if first <= self.low[i] and self.high[i] <= last:
                always.append(node)
                continue
            on = self.cp.new_bool_var(f"on{i}.{k}")
            off = [(self.low[i], min(first - 1, self.high[i])), (max(last + 1, self.low[i]), self.high[i])]
            outside = [one for one in off if one[0] <= one[1]]
            self.cp.add_linear_expression_in_domain(
                self.slide[i], cp_model.Domain.from_flat_intervals(_flat(outside))
            ).only_enforce_if(on.Not())
            sometimes.append((node, on))
        self.always.append(tuple(always))
        self.sometimes.append(tuple(sometimes))

    def _alike(self) -> None:
        """Strips that are alike may be named so that the first are chosen and slides rise."""
        last: dict[object, int] = {}
        for i, one in enumerate(self.offers):
            key = _kind(one)
            if key in last:
                before = last[key]
                if self.choice:
                    self.cp.add_implication(self.chosen[i], self.chosen[before])
                self.cp.add(self.slide[before] <= self.slide[i])
            last[key] = i

    def _in_turn(self) -> None:
        """Strips that are all alike may be grouped as they come; slides rise in a group, and from group to group."""
        share = self.task.share
        for i in range(1, self.count):
            before = i - 1 if i % share else i - share
            self.cp.add(self.slide[before] <= self.slide[i])

    def _groups(self) -> None:
        """Groups of at most ``share`` strips that may lie at one place."""
        share, strips = self.task.share, self.task.strips
        many = -(-strips // share)
        self.group = [[self.cp.new_bool_var(f"g{i}.{g}") for g in range(many)] for i in range(self.count)]
        for i, row in enumerate(self.group):
            self.cp.add(sum(row) == (self.chosen[i] if self.choice else 1))
        for g in range(many):
            self.cp.add(sum(row[g] for row in self.group) <= share)
        if not self.choice:  # groups are named in the order of their first strips
            for i in range(self.count):
                for g in range(1, many):
                    self.cp.add(sum(self.group[j][g - 1] for j in range(i)) >= self.group[i][g])
        for i, j in combinations(range(self.count), 2):
            same = self.cp.new_bool_var(f"s{i}.{j}")
            for a, b in zip(self.group[i], self.group[j], strict=True):
                self.cp.add_bool_or([a.Not(), b.Not(), same])
                self.cp.add_bool_or([same.Not(), a.Not(), b])
            self.same[i, j] = same

    def keep_apart(self, least: int) -> bool:
        """Every two strips of different groups at least so far apart [nm]; False where that is plainly impossible."""
        for i, j in combinations(range(self.count), 2):
            if self.fixed and i // self.task.share == j // self.task.share:
                continue
            when = [self.chosen[i], self.chosen[j]] if self.choice else []
            if self.same:
                when = [*when, self.same[i, j].Not()]
            if not self._apart(i, j, least, when):
                return False
        return True

    def keep_touching(self, least: int) -> bool:
        """Strips that touch in a ring of free order at least so far apart [nm]."""
        arcs = []
        for i in range(self.count):
            if self.choice:
                arcs.append((i, i, self.chosen[i].Not()))
            for j in range(self.count):
                if i != j:
                    arc = self.arcs[i, j] = self.cp.new_bool_var(f"a{i}.{j}")
                    arcs.append((i, j, arc))
        self.cp.add_circuit(arcs)
        for (i, j), arc in self.arcs.items():
            if self.task.strips == 2 and i > j:
                continue
            self._apart(i, j, least, [arc])
        return True

    def _apart(self, i: int, j: int, least: int, when: list[Any]) -> bool:
        """Nodes of two strips at least so far apart [nm] where all of ``when`` hold; False where that is impossible."""
        low, high = self.low[i] - self.high[j], self.high[i] - self.low[j]

        def bar(one: tuple[int, ...], other: tuple[int, ...], switches: list[Any]) -> bool:
            free = differences(one, other, least, low, high)
            if free == [(low, high)]:
                return True
            lits = [*when, *switches]
            if not free:
                if not lits:
                    return False
                self.cp.add_bool_or([lit.Not() for lit in lits])
                return True
            added = self.cp.add_linear_expression_in_domain(
                self.slide[i] - self.slide[j], cp_model.Domain.from_flat_intervals(_flat(free))
            )
            if lits:
                added.only_enforce_if(lits)
            return True

        if not bar(self.always[i], self.always[j], []):
            return False
        for node, on in self.sometimes[i]:
            bar((node,), self.always[j], [on])
            for other, too in self.sometimes[j]:
                bar((node,), (other,), [on, too])
        for other, too in self.sometimes[j]:
            bar(self.always[i], (other,), [too])
        return True

    def spare(self) -> None:
        """Least waste: the culm lengths drawn on and the room their slides need, then the least off the butt ends."""
        longest = max(self.high) + 1
        whole = (self.task.length + self.task.trim) // STEP
        rooms = []
        for source in dict.fromkeys(one.strip.source for one in self.offers):
            of = [i for i, one in enumerate(self.offers) if one.strip.source == source]
            first, last = (self.cp.new_int_var(0, longest, f"{end}{source}") for end in ("first", "last"))
            room = self.cp.new_int_var(0, longest, f"room{source}")
            self.cp.add(room == last - first)
            for i in of:
                lits = [self.chosen[i]] if self.choice else []
                self.cp.add(first <= self.slide[i]).only_enforce_if(lits)
                self.cp.add(last >= self.slide[i]).only_enforce_if(lits)
            rooms.append(room)
            if self.choice:
                used = self.cp.new_bool_var(f"used{source}")
                for i in of:
                    self.cp.add_implication(self.chosen[i], used)
                rooms.append(whole * used)
        taken = []
        for i in range(self.count):
            if not self.choice:
                taken.append(self.slide[i])
                continue
            own = self.cp.new_int_var(0, longest, f"taken{i}")
            self.cp.add(own >= self.slide[i]).only_enforce_if(self.chosen[i])
            taken.append(own)
        self.cp.minimize((self.task.strips * longest + 1) * sum(rooms) + sum(taken))

    def solve(self, clock: Clock, effort: float) -> Step:
        """Solve with one worker and a fixed seed."""
        solver: Any = cp_model.CpSolver()
        solver.parameters.num_workers = 1
        solver.parameters.random_seed = SEED
        solver.parameters.max_deterministic_time = effort
        status = solver.solve(self.cp)
        clock.seconds += solver.wall_time
        clock.effort += solver.response_proto.deterministic_time
        if status == cp_model.INFEASIBLE:
            return Step(Verdict.NONE)
        if status not in (cp_model.OPTIMAL, cp_model.FEASIBLE):
            return Step(Verdict.UNKNOWN, optimal=False)
        chosen = tuple(i for i in range(self.count) if not self.choice or solver.value(self.chosen[i]))
        place = {i: k for k, i in enumerate(chosen)}
        share = self.task.share if self.fixed else 1
        groups = tuple(
            next(g for g, lit in enumerate(self.group[i]) if solver.value(lit)) if self.group else k // share
            for k, i in enumerate(chosen)
        )
        ring = tuple(range(len(chosen)))
        if self.arcs:
            follows = {i: j for (i, j), arc in self.arcs.items() if solver.value(arc)}
            order = [chosen[0]]
            while len(order) < len(chosen):
                order.append(follows[order[-1]])
            ring = tuple(place[i] for i in order)
        slides = tuple(int(solver.value(self.slide[i])) for i in chosen)
        return Step(Verdict.FOUND, Placed(chosen, slides, groups, ring), status == cp_model.OPTIMAL)

"""The best layout: out of the forbidden zones, then spread, then apart where strips touch, then sparing of cane.

Each aim is met as well as it can be and held while the next is sought. Thresholds are bisected: every distance that two
nodes can come to lie apart is known beforehand, so the last threshold that has an answer and the first that has none
are neighbours when the search ends, and that is the proof. A step that is neither is reported, never guessed.
"""

from __future__ import annotations

from bisect import bisect_left, bisect_right
from collections.abc import Callable
from dataclasses import dataclass, replace
from enum import Enum
from itertools import pairwise
from typing import TYPE_CHECKING, Any

from culmwright.cane.apart import spread_of, thresholds, touching_of
from culmwright.cane.keeping_out import Offer, offers
from culmwright.cane.patterns import RULES, by_rule
from culmwright.cane.task import STEP, Candidate, Task

if TYPE_CHECKING:
    from culmwright.cane._layout_model import Board, Placed


STEP_EFFORT = 1.5  # [-] what the solver may spend on one threshold, about as many seconds
AIM_EFFORT = 4.0  # [-] what it may spend on one aim before the next threshold is left alone


class Aim(Enum):
    """What is being sought, as said while it goes on."""

    SPREAD = "spreading the nodes"
    TOUCHING = "ordering the ring"
    WASTE = "sparing cane"


@dataclass(frozen=True, slots=True)
class News:
    """How the search stands: the best ``found`` so far [nm] and what it cannot be better than; None where not known."""

    aim: Aim
    found: int | None
    bound: int | None


@dataclass(frozen=True, slots=True)
class Laid:
    """Strips laid in a section: which, how far slid [steps], in which group, in which order round the ring.

    ``ring`` and ``groups`` count in ``strips``. ``spread`` and ``touching`` [nm] are None where fewer than two strips
    have a node on the section; their bounds [nm] are what no layout can exceed.
    """

    strips: tuple[Candidate, ...]
    slides: tuple[int, ...]
    groups: tuple[int, ...]
    ring: tuple[int, ...]
    spread: int | None
    spread_bound: int | None
    touching: int | None
    touching_bound: int | None
    sparing: bool
    seconds: float

    @classmethod
    def again(cls, task: Task, strips: tuple[Candidate, ...], said: dict[str, Any]) -> Laid:
        """A layout found before, told by ``slides``, ``groups``, ``ring``, whether it is ``sparing``, bounds [m]."""
        slides, groups, ring = (tuple(said[key]) for key in ("slides", "groups", "ring"))
        spread, touching = (
            None if said[key] is None else round(said[key] * 1e9) for key in ("spread_bound", "touching_bound")
        )
        return cls(
            strips=strips,
            slides=slides,
            groups=groups,
            ring=ring,
            spread=spread_of(task, strips, slides, groups),
            spread_bound=spread,
            touching=touching_of(task, strips, slides, ring),
            touching_bound=touching,
            sparing=said["sparing"],
            seconds=0.0,
        )

    @property
    def proved(self) -> bool:
        """True if no layout is better in any aim, in their order."""
        return self.spread == self.spread_bound and self.touching == self.touching_bound and self.sparing


def search(task: Task, tell: Callable[[News], None] = lambda news: None) -> Laid:
    """The best layout of a ``task``, or the best that was found with what it cannot be better than.

    ``tell`` hears of every step. Raises :class:`AnswerIsNo` where the strips are too short or too few.
    """
    from culmwright.cane._layout_model import Board

    task = task.long_enough()
    offered = offers(task)
    return _Search(task, offered, Board(task, offered), tell).run()


@dataclass
class _Search:
    task: Task
    offered: tuple[Offer, ...]
    board: Board
    tell: Callable[[News], None]

    def run(self) -> Laid:
        """One aim after the other; where strips can be chosen, first with those chosen so far, then with all."""
        every = tuple(range(len(self.offered)))
        values = self._values()
        crowded = self._crowded()
        narrow = values if crowded is None else values[: bisect_right(values, crowded)]
        best = self._bisect(Aim.SPREAD, narrow, None, self._start(), every)
        spread = best
        for numbers in dict.fromkeys((best.placed.chosen, every)):
            best = self._bisect(Aim.TOUCHING, values, spread.found, best.placed, numbers)
        touching, placed = best, best.placed
        self.tell(News(Aim.WASTE, None, None))
        sparing = False
        for numbers in dict.fromkeys((placed.chosen, every)):
            step = self.board.of(numbers).ask(STEP_EFFORT, spread.found, touching.found, sparing=True)
            sparing = step.placed is not None and step.optimal
            if step.placed is not None:
                placed = _among(numbers, step.placed)
        strips = tuple(self.offered[i].strip for i in placed.chosen)
        return Laid(
            strips=strips,
            slides=placed.slides,
            groups=placed.groups,
            ring=_from_first(placed.ring),
            spread=spread_of(self.task, strips, placed.slides, placed.groups),
            spread_bound=self._told(spread.bound),
            touching=touching_of(self.task, strips, placed.slides, placed.ring),
            touching_bound=self._told(touching.bound),
            sparing=sparing,
            seconds=self.board.clock.seconds,
        )

    def _start(self) -> Placed:
        """Where to begin: the classical pattern of so many strips a place, where it costs no more, else anywhere."""
        from culmwright.cane._layout_model import Placed

        anywhere = self.board.ask(STEP_EFFORT, 0).placed
        if anywhere is None:
            raise AssertionError("strips that may lie anywhere always have a layout")
        strips, count = tuple(one.strip for one in self.offered), self.task.strips
        starts = [anywhere]
        if strips[:count] == self.task.candidates[:count] and not any(one.must for one in self.offered[count:]):
            order = tuple(range(count))
            for rule in RULES.get(count, ()):
                slides = by_rule(self.task, rule)
                fits = slides and all(one.allows(slide) for one, slide in zip(self.offered, slides, strict=False))
                if slides and fits and rule.share == self.task.share:
                    starts.append(Placed(order, slides, rule.places, order))
        return max(starts, key=lambda one: self._reaches(one, Aim.SPREAD))

    def _values(self) -> list[int]:
        """Every distance that nodes of two strips can come to lie apart, 0 first; last, one beyond them all."""
        alike: dict[tuple[tuple[int, ...], int, int], int] = {}
        for one in self.offered:
            key = (self.task.anchors(one.strip), one.slides[0][0], one.slides[-1][1])
            alike[key] = alike.get(key, 0) + 1
        kinds = list(alike)
        pairs = [
            (a[0], b[0], a[1] - b[2], a[2] - b[1])
            for i, a in enumerate(kinds)
            for b in kinds[i:]
            if a is not b or alike[a] > 1
        ]
        return sorted({0, *thresholds(pairs, self.task.length), self._far})

    @property
    def _far(self) -> int:
        """Further apart [nm] than two nodes on the section can lie: reached where no two strips have any."""
        return self.task.length + 1

    def _told(self, value: int) -> int | None:
        return None if value == self._far else value

    def _crowded(self) -> int | None:
        """What no spread can exceed [nm]: nodes that must come on the section share the room there is for them.

        One strip of each group, those with the fewest nodes: so many nodes cannot all lie further apart than their room
        allows, if each strip's own nodes do. None where that says nothing.
        """
        counts, gaps = [], []
        for one in self.offered:
            low, high = one.slides[0][0] * STEP, one.slides[-1][1] * STEP
            nodes = self.task.anchors(one.strip)
            counts.append(sum(node + low >= 0 and node + high <= self.task.length for node in nodes))
            gaps += [abs(a - b) for a, b in pairwise(nodes)]
        fewest = sorted(counts)[: -(-self.task.strips // self.task.share)]
        if sum(fewest) < 2:
            return None
        most = self.task.length // (sum(fewest) - 1)
        return most if most < min(gaps, default=0) else None

    def _reaches(self, placed: Placed, aim: Aim) -> int:
        strips = tuple(self.offered[i].strip for i in placed.chosen)
        if aim is Aim.SPREAD:
            found = spread_of(self.task, strips, placed.slides, placed.groups)
        else:
            found = touching_of(self.task, strips, placed.slides, placed.ring)
        return self._far if found is None else found

    def _bisect(self, aim: Aim, values: list[int], apart: int | None, best: Placed, numbers: tuple[int, ...]) -> _Best:
        """The greatest threshold that has an answer among the strips of these ``numbers``, and what none can exceed."""
        board, spent = self.board.of(numbers), self.board.clock.effort
        found = self._reaches(best, aim)
        low = bisect_left(values, found)
        high = first_none = len(values)
        self.tell(News(aim, self._told(found), None))
        while low + 1 < high and self.board.clock.effort - spent < AIM_EFFORT:
            middle = (low + high) // 2
            asked = (values[middle],) if apart is None else (apart, values[middle])
            step = board.ask(STEP_EFFORT, *asked)
            if step.placed is not None:
                best = _among(numbers, step.placed)
                found = self._reaches(best, aim)
                low = max(middle, bisect_right(values, found) - 1)
            else:
                high = middle
                if step.verdict.name == "NONE":
                    first_none = middle
            bound = self._told(values[first_none - 1]) if len(numbers) == len(self.offered) else None
            self.tell(News(aim, self._told(found), bound))
        return _Best(best, found, values[first_none - 1])


@dataclass(frozen=True, slots=True)
class _Best:
    """The best of one aim: what it reaches and what none can exceed [nm]."""

    placed: Placed
    found: int
    bound: int


def _among(numbers: tuple[int, ...], placed: Placed) -> Placed:
    """A layout of some strips, told in the numbers of all."""
    return replace(placed, chosen=tuple(numbers[i] for i in placed.chosen))


def _from_first(ring: tuple[int, ...]) -> tuple[int, ...]:
    """The same ring told from strip 0 on, towards the lower of its two neighbours."""
    at = ring.index(0)
    turned = ring[at:] + ring[:at]
    back = (turned[0], *reversed(turned[1:]))
    return min(turned, back)

"""The classical node patterns, described by count, with the figures they reach on the strips at hand.

Each goes round the ring by a rule of thumb: nodes step on by the mean spacing over so many places. They are reckoned
beside the layout that was searched for, so that a maker sees what the search gains.
"""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Iterable
from dataclasses import dataclass
from itertools import pairwise

from culmwright.cane.apart import distance, spread_of, touching_of
from culmwright.cane.keeping_out import costs, given_way
from culmwright.cane.task import STEP, Task
from culmwright.measure.record import si


@dataclass(frozen=True, slots=True)
class Rule:
    """A pattern: its name by count, and the place of each strip round the ring, of so many."""

    name: str
    places: tuple[int, ...]

    @property
    def many(self) -> int:
        """How many places the strips share."""
        return max(self.places) + 1

    @property
    def share(self) -> int:
        """How many strips lie at the fullest place."""
        return max(self.places.count(place) for place in self.places)


RULES = {
    4: (Rule("all spread", (0, 1, 2, 3)), Rule("two and two", (0, 1, 0, 1))),
    5: (Rule("all spread", (0, 1, 2, 3, 4)),),
    6: (
        Rule("all spread", (0, 1, 2, 3, 4, 5)),
        Rule("two and two and two", (0, 1, 2, 0, 1, 2)),
        Rule("three and three", (0, 1, 0, 1, 0, 1)),
    ),
}
"""All spread, opposite pairs and alternate threes, by the number of strips (common practice, no source)."""


@dataclass(frozen=True, slots=True)
class Pattern:
    """A classical pattern on these strips: how many ``share`` a place, its figures, and what falls in a zone.

    ``least_distance`` is between strips that do not share a place, ``least_touching`` between touching ones; both None
    where the slack is too small for it, by ``short``, or fewer than two strips have nodes on the section.
    """

    name: str
    share: int
    slides: tuple[float, ...] = si("m")
    least_distance: float | None = si("m")
    least_touching: float | None = si("m")
    in_zones: int = si("-")
    short: float = si("m")


def classical(task: Task) -> tuple[Pattern, ...]:
    """The classical patterns on the first strips of a task, in the order they come; none for odd numbers of strips."""
    return tuple(_figures(task, rule) for rule in RULES.get(task.strips, ()))


def by_rule(task: Task, rule: Rule) -> tuple[int, ...] | None:
    """The slides [steps] of a pattern on the first strips of a task, where it costs least and is widest spread.

    None where the slack is too small.
    """
    shifts = _shifts(task, rule)
    room = _room(task, shifts)
    if room < 0:
        return None
    base = max(_bases(task, shifts, room), key=lambda one: (_spread_at(task, rule, shifts, one), -one))
    return tuple(base + shift for shift in shifts)


def _shifts(task: Task, rule: Rule) -> list[int]:
    """How far each strip goes on from the first [steps]: the mean spacing of nodes over the places."""
    gaps = [abs(a - b) for one in task.candidates[: task.strips] for a, b in pairwise(one.nodes)]
    mean = sum(gaps) / len(gaps) if gaps else 0.0
    return [round(place * mean / rule.many / STEP) for place in rule.places]


def _room(task: Task, shifts: list[int]) -> int:
    """How far the whole pattern can be slid [steps], below 0 by how much slack is short."""
    return min(task.steps(strip) - shift for strip, shift in zip(task.candidates, shifts, strict=False))


def _figures(task: Task, rule: Rule) -> Pattern:
    strips = task.candidates[: task.strips]
    slides = by_rule(task, rule)
    if slides is None:
        return Pattern(rule.name, rule.share, (), None, None, 0, -_room(task, _shifts(task, rule)) * STEP / 1e9)
    given = [one for strip, slide in zip(strips, slides, strict=True) for one in given_way(task, strip, slide)]
    return Pattern(
        rule.name,
        rule.share,
        tuple(slide * STEP / 1e9 for slide in slides),
        _metres(spread_of(task, strips, slides, rule.places)),
        _metres(touching_of(task, strips, slides, tuple(range(len(strips))))),
        len(given),
        0.0,
    )


def _spread_at(task: Task, rule: Rule, shifts: list[int], base: int) -> int:
    slides = tuple(base + shift for shift in shifts)
    return spread_of(task, task.candidates[: task.strips], slides, rule.places) or 0


def _bases(task: Task, shifts: list[int], room: int) -> Iterable[int]:
    """Slides of the whole pattern that cost least, one for each set of nodes that comes on the section."""
    strips = task.candidates[: task.strips]
    prices = [costs(task, strip) for strip in strips]
    paid = [sum(price[base + shift] for price, shift in zip(prices, shifts, strict=True)) for base in range(room + 1)]
    changes = sorted(
        edge - shift
        for strip, shift in zip(strips, shifts, strict=True)
        for node in task.anchors(strip)
        for edge in (-(node // STEP), (task.length - node) // STEP + 1)
    )
    least = min(paid)
    return {bisect_right(changes, base): base for base in range(room, -1, -1) if paid[base] == least}.values()


def _metres(nanometres: int | None) -> float | None:
    return None if nanometres is None else nanometres / 1e9


def any_pair(places: tuple[tuple[int, ...], ...]) -> int | None:
    """Least distance [nm] between the nodes of any two strips at these places."""
    found = [distance(a, b) for i, a in enumerate(places) for b in places[i + 1 :]]
    return min((one for one in found if one is not None), default=None)

"""Slides that keep a strip's nodes out of the forbidden zones, and its defects off the section.

What a slide costs depends on that strip alone, so this first aim is met exactly before the nodes are spread: every
strip is left only the slides at which it costs least, and strips that cost more than others are not chosen.
"""

from __future__ import annotations

from collections import Counter
from dataclasses import dataclass
from itertools import accumulate

from culmwright.cane.task import STEP, Candidate, Forbidden, Task


@dataclass(frozen=True, slots=True)
class Offer:
    """A strip as it may be laid: the ``slides`` [steps] at which it costs least, as closed ranges, and that ``cost``.

    It ``must`` be chosen where every dearer choice is worse.
    """

    strip: Candidate
    slides: tuple[tuple[int, int], ...]
    cost: int
    must: bool = True

    def allows(self, slide: int) -> bool:
        """True if the strip may be slid so far [steps]."""
        return any(first <= slide <= last for first, last in self.slides)


def offers(task: Task) -> tuple[Offer, ...]:
    """The strips that may be chosen at the least cost in all; those that ``must`` be are cheaper than others.

    Of strips that are alike no more are offered than the section needs.
    """
    known: dict[object, tuple[int, tuple[tuple[int, int], ...]]] = {}
    count: Counter[object] = Counter()
    every = []
    for strip in task.candidates:
        key = (strip.source, strip.length, strip.nodes, tuple((one.start, one.end) for one in strip.faults))
        count[key] += 1
        if count[key] > task.strips:
            continue
        if key not in known:
            known[key] = _cheapest(task, strip)
        cost, slides = known[key]
        every.append(Offer(strip, slides, cost))
    dearest = sorted(one.cost for one in every)[task.strips - 1]
    chosen = [one for one in every if one.cost <= dearest]
    free = len(chosen) > task.strips
    return tuple(Offer(one.strip, one.slides, one.cost, not free or one.cost < dearest) for one in chosen)


def costs(task: Task, strip: Candidate) -> list[int]:
    """What each slide of a strip costs [-], from 0 steps to all its slack."""
    count = task.steps(strip) + 1
    rises = [0] * (count + 1)

    def add(low: int, high: int, cost: int) -> None:
        first, last = max(-(-low // STEP), 0), min(high // STEP, count - 1)
        if first <= last:
            rises[first] += cost
            rises[last + 1] -= cost

    for node in task.anchors(strip):
        for zone in task.zones:
            add(zone.start - node, zone.end - node, zone.why.value)
    for fault in strip.faults:
        butt = task.length + task.trim // 2
        add(fault.start - butt, fault.end - butt + task.length, Forbidden.FAULT.value)
    return list(accumulate(rises))[:count]


def _cheapest(task: Task, strip: Candidate) -> tuple[int, tuple[tuple[int, int], ...]]:
    price = costs(task, strip)
    least = min(price)
    ranges: list[tuple[int, int]] = []
    for slide, cost in enumerate(price):
        if cost != least:
            continue
        if ranges and ranges[-1][1] == slide - 1:
            ranges[-1] = (ranges[-1][0], slide)
        else:
            ranges.append((slide, slide))
    return least, tuple(ranges)


@dataclass(frozen=True, slots=True)
class Given:
    """What had to give: a node of a strip in a zone, or a defect on the section, at ``place`` [nm] from the tip end."""

    strip: str
    why: Forbidden
    place: int
    note: str = ""


def given_way(task: Task, strip: Candidate, slide: int) -> tuple[Given, ...]:
    """Every node in a zone, each once and for the gravest zone, and every defect of a strip slid so far [steps]."""
    found = []
    for fault in strip.faults:
        butt = task.length + task.trim // 2 + slide * STEP
        if butt - fault.end <= task.length and butt - fault.start >= 0:
            found.append(Given(strip.label, Forbidden.FAULT, max(butt - fault.end, 0), fault.note))
    for place in sorted(node + slide * STEP for node in task.anchors(strip)):
        within = [zone.why for zone in task.zones if zone.start <= place <= zone.end]
        if within:
            found.append(Given(strip.label, max(within, key=lambda why: why.value), place))
    return tuple(found)


def counted(given: tuple[Given, ...]) -> dict[Forbidden, int]:
    """How many had to give, for each kind of zone, the gravest first."""
    numbers = Counter(one.why for one in given)
    return {why: numbers[why] for why in Forbidden if numbers[why]}

"""How far apart the nodes of two strips lie on the section, and the slides at which that is far enough."""

from __future__ import annotations

from bisect import bisect_left
from collections.abc import Iterable, Sequence
from itertools import combinations, pairwise

from culmwright.cane.task import STEP, Candidate, Task


def distance(one: Sequence[int], other: Sequence[int]) -> int | None:
    """Least distance [nm] between nodes at places of two strips, both in order; None where one has none.

    >>> distance((100, 400), (220, 390))
    10
    """
    least = None
    for x in one:
        i = bisect_left(other, x)
        for y in other[max(i - 1, 0) : i + 1]:
            if least is None or abs(x - y) < least:
                least = abs(x - y)
    return least


def differences(one: Iterable[int], other: Iterable[int], least: int, low: int, high: int) -> list[tuple[int, int]]:
    """Differences of two strips' slides [steps] from ``low`` to ``high`` at which their nodes lie ``least`` [nm] apart.

    ``one`` and ``other`` are the nodes' places [nm] at slide 0. With ``one`` slid by s and ``other`` by u, nodes a and
    b are ``|a - b + (s - u) STEP|`` apart. The answer is in closed ranges.
    """
    others = tuple(other)
    barred = sorted({((b - a - least) // STEP + 1, -((a - b - least) // STEP) - 1) for a in one for b in others})
    free, start = [], low
    for first, last in barred:
        if last < first:
            continue
        if first > high:
            break
        if first > start:
            free.append((start, first - 1))
        start = max(start, last + 1)
    if start <= high:
        free.append((start, high))
    return free


def thresholds(pairs: Iterable[tuple[Sequence[int], Sequence[int], int, int]], most: int) -> list[int]:
    """Every distance [nm] up to ``most`` that two nodes can come to lie apart, in order.

    ``pairs`` are the nodes' places of two strips at slide 0 and the least and greatest difference of their slides. A
    distance is a whole number of steps and a rest: the runs of steps with one rest are joined before they are counted.
    """
    runs: dict[int, list[tuple[int, int]]] = {}
    for one, other, low, high in pairs:
        for offset in {a - b for a in one for b in other}:
            steps, rest = divmod(offset, STEP)
            first, last = max(low + steps, -((most + rest) // STEP)), min(high + steps, (most - rest) // STEP)
            if first <= last:
                runs.setdefault(rest, []).append((first, last))
    found: set[int] = set()
    for rest, own in runs.items():
        reached = -most
        for first, last in sorted(own):
            found.update(abs(rest + k * STEP) for k in range(max(first, reached), last + 1))
            reached = max(reached, last + 1)
    return sorted(found)


def spread_of(
    task: Task, strips: tuple[Candidate, ...], slides: tuple[int, ...], groups: tuple[int, ...]
) -> int | None:
    """Least distance [nm] between the nodes of two strips that are not of one group."""
    places = [task.places(strip, slide) for strip, slide in zip(strips, slides, strict=True)]
    found = [distance(places[i], places[j]) for i, j in combinations(range(len(strips)), 2) if groups[i] != groups[j]]
    return min((one for one in found if one is not None), default=None)


def touching_of(
    task: Task, strips: tuple[Candidate, ...], slides: tuple[int, ...], ring: tuple[int, ...]
) -> int | None:
    """Least distance [nm] between the nodes of two strips that touch in the ring."""
    places = [task.places(strip, slide) for strip, slide in zip(strips, slides, strict=True)]
    found = [distance(places[i], places[j]) for i, j in pairwise((*ring, ring[0]))]
    return min((one for one in found if one is not None), default=None)

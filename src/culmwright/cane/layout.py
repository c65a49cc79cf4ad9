"""A laid-out section: the slides, the ring, the cut list, what had to give, and the classical patterns beside it."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from functools import partial

from culmwright.cane.keeping_out import counted, given_way
from culmwright.cane.patterns import Pattern, any_pair, classical
from culmwright.cane.search import Laid, News, search
from culmwright.cane.task import MOST_SLIDE, STEP, Candidate, Task, both
from culmwright.measure.record import si


@dataclass(frozen=True, slots=True)
class Cut:
    """One strip of the cut list: what to take from each end, measured from the strip's own ends.

    ``line`` counts the cut list from 1, round the ring: the strip of line 1 is S1 from here on, that of line 2 S2.
    ``number`` counts as in ``ring``; strips of one ``group`` may share a place. ``nodes`` are places on the section
    from its tip end. ``length`` is what is left: the section and its trim.
    """

    line: int
    number: int
    strip: str
    source: str
    group: int
    from_butt: float = si("m")
    from_tip: float = si("m")
    length: float = si("m")
    nodes: tuple[float, ...] = si("m")


@dataclass(frozen=True, slots=True)
class KeptClear:
    """A zone of the section that no node should fall in, from its tip end; ``why`` in words."""

    why: str
    start: float = si("m")
    end: float = si("m")


@dataclass(frozen=True, slots=True)
class GaveWay:
    """What could not be helped: a node or a defect of a ``strip`` in a zone, ``place`` from the section's tip end."""

    strip: str
    why: str
    place: float = si("m")
    note: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class SectionLayout:
    """The node layout of one section.

    ``slides`` is what is taken off each strip's butt end; ``ring`` the order round the section, counting in ``slides``.
    ``least_distance`` is between the nodes of two strips that do not share a place, up to ``share`` may;
    ``least_touching`` between strips that touch; ``least_any`` between any two at all. Each is None where fewer than
    two such strips have a node on the section. The bounds are what no layout in steps of ``step`` exceeds. ``proved``
    says that none is better in any aim; ``room`` is the length of culm drawn on, all its lengths together.
    """

    section: str
    share: int
    slides: tuple[float, ...] = si("m")
    ring: tuple[int, ...]
    least_distance: float | None = si("m")
    least_touching: float | None = si("m")
    least_any: float | None = si("m")
    distance_bound: float | None = si("m")
    touching_bound: float | None = si("m")
    proved: bool
    sparing_proved: bool
    length: float = si("m")
    trim: float = si("m")
    step: float = si("m")
    room: float = si("m")
    cuts: tuple[Cut, ...] = ()
    spares: tuple[str, ...] = ()
    kept_clear: tuple[KeptClear, ...] = ()
    gave_way: tuple[GaveWay, ...] = ()
    patterns: tuple[Pattern, ...] = ()
    notes: tuple[str, ...] = ()

    @property
    def cut_list(self) -> tuple[Cut, ...]:
        """The cuts line by line, round the ring."""
        return tuple(sorted(self.cuts, key=lambda one: one.line))

    @property
    def split_as(self) -> dict[int, str]:
        """What each strip was marked with when it was split, by its number at the bench, 3 for S3; spares follow."""
        return dict(enumerate((*(one.strip for one in self.cut_list), *self.spares), 1))


def lay_out_all(tasks: Sequence[Task], tell: Callable[[str, News], None]) -> tuple[SectionLayout, ...]:
    """The best layout of every section in the order of its aims; ``tell`` hears how the search of each goes.

    Sections that ask the same of strips that are alike are searched once. Raises :class:`AnswerIsNo` where strips are
    too short or too few.
    """
    known: dict[object, tuple[Task, Laid]] = {}
    found = []
    for task in tasks:
        key = (task.length, task.trim, task.strips, task.zones, task.share, _bare(task))
        if key not in known:
            known[key] = (task, search(task, partial(tell, task.section)))
        first, laid = known[key]
        strips = tuple(task.candidates[first.candidates.index(one)] for one in laid.strips)
        found.append(layout_of(task, replace(laid, strips=strips)))
    return tuple(found)


def _bare(task: Task) -> tuple[object, ...]:
    """A task's strips without their labels."""
    return tuple((one.source, one.length, one.nodes, one.faults) for one in task.candidates)


def layout_of(task: Task, laid: Laid) -> SectionLayout:
    """What a search found, as a result in SI [m]."""
    pairs = tuple(zip(laid.strips, laid.slides, strict=True))
    places = tuple(task.places(strip, slide) for strip, slide in pairs)
    given = tuple(one for strip, slide in pairs for one in given_way(task, strip, slide))
    chosen = {one.label for one in laid.strips}
    return SectionLayout(
        section=task.section,
        share=task.share,
        slides=tuple(slide * STEP / 1e9 for slide in laid.slides),
        ring=laid.ring,
        least_distance=_metres(laid.spread),
        least_touching=_metres(laid.touching),
        least_any=_metres(any_pair(places)),
        distance_bound=_metres(laid.spread_bound),
        touching_bound=_metres(laid.touching_bound),
        proved=laid.proved,
        sparing_proved=laid.sparing,
        length=task.length / 1e9,
        trim=task.trim / 1e9,
        step=STEP / 1e9,
        room=_room(task, pairs),
        cuts=tuple(
            Cut(
                line=laid.ring.index(i) + 1,
                number=i,
                strip=strip.label,
                source=strip.source,
                group=laid.groups[i],
                from_butt=slide * STEP / 1e9,
                from_tip=(task.slack(strip) - slide * STEP) / 1e9,
                length=(task.length + task.trim) / 1e9,
                nodes=tuple(place / 1e9 for place in places[i]),
            )
            for i, (strip, slide) in enumerate(pairs)
        ),
        spares=tuple(one.label for one in task.candidates if one.label not in chosen),
        kept_clear=tuple(
            KeptClear(zone.why.words, max(zone.start, 0) / 1e9, min(zone.end, task.length) / 1e9)
            for zone in task.zones
            if zone.start <= task.length and zone.end >= 0
        ),
        gave_way=tuple(GaveWay(one.strip, one.why.words, one.place / 1e9, one.note) for one in given),
        patterns=classical(task.long_enough()),
        notes=_notes(task, laid, {why.words: count for why, count in counted(given).items()}),
    )


def _notes(task: Task, laid: Laid, given: dict[str, int]) -> tuple[str, ...]:
    said = []
    for words, count in given.items():
        if words == "a defect":
            said.append(f"{_many(count, 'strip carries', 'strips carry')} a defect on the section: none better is left")
        else:
            said.append(f"{_many(count, 'node falls', 'nodes fall')} in the zone of {words}: it cannot be helped")
    if laid.spread is None:
        said.append("fewer than two strips have nodes on the section: there is nothing to spread")
    slacks = [task.slack(strip) for strip in laid.strips]
    if max(slacks) < STEP:
        said.append("there is no slack: no strip can be slid")
    if max(slacks) > MOST_SLIDE:
        said.append(
            f"slides beyond {both(MOST_SLIDE / 1e9)} off the butt end were not tried: nothing is proved of those"
        )
    if min(slacks) >= task.length + task.trim:
        said.append("every strip is long enough for this section twice: cut the culm across into lengths first")
    short = len(task.candidates) - len(task.long_enough().candidates)
    if short:
        said.append(f"{_many(short, 'strip is', 'strips are')} too short for the section with its trim and left out")
    return tuple(said)


def _many(count: int, one: str, more: str) -> str:
    return f"{count} {one if count == 1 else more}"


def _room(task: Task, pairs: tuple[tuple[Candidate, int], ...]) -> float:
    """Length of culm [m] the slides draw on: of each culm length the section, its trim, and the reach of its slides."""
    room = 0
    for source in {strip.source for strip, _ in pairs}:
        slides = [slide for strip, slide in pairs if strip.source == source]
        room += task.length + task.trim + (max(slides) - min(slides)) * STEP
    return room / 1e9


def _metres(nanometres: int | None) -> float | None:
    return None if nanometres is None else nanometres / 1e9

"""The bench's pages: what was read with where a walk begins, and one cell after the other without scripts."""

from __future__ import annotations

from dataclasses import dataclass

from culmwright.bench.judge import Stage
from culmwright.ledger.readings import current
from culmwright.ledger.register import gauges, people
from culmwright.ledger.shop import Shop
from culmwright.measure.spot import Spot
from culmwright.workshop.bench_walk import Asked, Counted, WalkCell, WalkSeen, session_of, walk_of
from culmwright.workshop.judging import stage_called
from culmwright.workshop.looking import RodHead
from culmwright.workshop.looking_bench import BenchView, look_at_bench
from culmwright.workshop.opening import Begun, find


@dataclass(frozen=True, slots=True)
class Start:
    """What a walk can be begun with, and what is proposed: what was read last, or the first of everything.

    ``gauges`` as (number, name, unit); ``begun`` says how far the newest pass of a stage and section is read.
    """

    stages: tuple[tuple[str, str], ...]
    sections: tuple[str, ...]
    strips: tuple[int, ...]
    gauges: tuple[tuple[int, str, str], ...]
    people: tuple[str, ...]
    stage: str
    section: str
    gauge: int | None
    person: str
    begun: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class BenchPage:
    """The bench of a rod: the ``start`` of a walk, and what was read (see :class:`BenchView`)."""

    head: RodHead
    start: Start
    seen: BenchView


@dataclass(frozen=True, slots=True)
class ReadPage:
    """The page beside the rig: the ``walk``, the cell ``armed``, what counts in it, and the id of the newest entry."""

    walk: WalkSeen
    armed: WalkCell | None
    counted: Counted | None
    last: str
    done: int


def look_at_bench_page(shop: Shop, code: str) -> BenchPage:
    """The bench of a rod of the shop."""
    begun = find(shop, code)
    seen = look_at_bench(shop, code)
    return BenchPage(seen.head, _start(shop, begun), seen)


def read_page(shop: Shop, code: str, asked: Asked, at: str = "") -> ReadPage:
    """The page beside the rig, armed at the spot ``at`` or at the first open cell."""
    begun = find(shop, code)
    session, walk = session_of(shop, begun, asked), walk_of(shop, code, asked)
    if at:
        session.go(Spot.parse(at, begun.rod.display.bare))
    spot = str(session.armed.spot) if session.armed else ""
    counted = {one.spot: one for one in walk.recent.counted}
    on_walk = {cell.spot for cell in walk.cells}
    mine = [one for one in walk.recent.counted if one.spot in on_walk]
    return ReadPage(
        walk,
        next((cell for cell in walk.cells if cell.spot == spot), None),
        counted.get(spot),
        max(mine, key=lambda one: one.seq).id if mine else "",
        sum(cell.spot in counted for cell in walk.cells),
    )


def _start(shop: Shop, begun: Begun) -> Start:
    rod = begun.rod
    every = current(shop, begun.revision.id)
    last = every[-1].entry if every else None
    names = {one.id: one.name for one in people(shop)}
    known = tuple((one.id, one.name, one.unit) for one in gauges(shop))
    sections = {one.name: len(one.stations) for one in rod.sections()}
    strips = tuple(range(1, rod.sides + rod.bench.spares + 1))
    newest: dict[tuple[str, str], int] = {}
    of_strips = [one for one in every if one.entry.cell.strip is not None]  # what was read over a glued section is not
    for one in of_strips:
        key = (one.entry.cell.stage, one.entry.cell.section)
        newest[key] = max(newest.get(key, 0), one.entry.cell.pass_number)
    said = []
    for (stage, section), cut in newest.items():
        done = {
            (one.entry.cell.strip, one.entry.cell.station)
            for one in of_strips
            if (one.entry.cell.stage, one.entry.cell.section, one.entry.cell.pass_number) == (stage, section, cut)
        }
        of = len(strips) * sections.get(section, 0)
        said.append(f"{section}, {stage_called(Stage(stage))}, pass {cut}: {len(done)} of {of} read")
    gauge = next((number for number, _, _ in known if last is not None and number == last.gauge), None)
    return Start(
        stages=tuple((one.value, stage_called(one)) for one in Stage),
        sections=tuple(sections),
        strips=strips,
        gauges=known,
        people=tuple(names.values()),
        stage=last.cell.stage if last else Stage.ROUGH.value,
        section=last.cell.section if last else next(iter(sections)),
        gauge=gauge,
        person=names.get(last.person, "") if last and last.person is not None else "",
        begun=tuple(said),
    )

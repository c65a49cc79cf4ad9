"""A walk as a page at the bench shows it: its cells with their aims, what counts, the pass before, the run."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import UTC, datetime

from culmwright.bench.judge import Stage
from culmwright.ledger.readings import current
from culmwright.ledger.records import Reading
from culmwright.ledger.register import Gauge, gauges, people
from culmwright.ledger.shop import Shop
from culmwright.ledger.streams import holds, newest_id, next_seq
from culmwright.measure.errors import BadInput
from culmwright.workshop.bench_words import NANO, Digits, Grammar, Guards, Scale, digits, grammar, guards, scale
from culmwright.workshop.judging import bench_state, stage_called
from culmwright.workshop.kept import run_words
from culmwright.workshop.opening import Begun, find
from culmwright.workshop.reading import Inner, Order, the_gauge
from culmwright.workshop.reading import read as begin_reading
from culmwright.workshop.session import Session
from culmwright.workshop.taking import Yardstick


@dataclass(frozen=True, slots=True)
class Asked:
    """Which walk is asked for; ``cut`` None goes on with the newest pass."""

    stage: Stage = Stage.ROUGH
    sections: tuple[str, ...] = ()
    strips: tuple[int, ...] = ()
    inner: Inner = Inner.STATIONS
    backward: bool = False
    cut: int | None = None
    gauge: int | None = None
    person: int | None = None
    unit: str = ""


@dataclass(frozen=True, slots=True)
class WalkCell:
    """A cell: its address, its ``place`` from the tip, what the gauge should show there, and its reach over [nm]."""

    spot: str
    section: str
    strip: int
    station: str
    place: float
    aim: float
    shown: str
    height: str
    reach: float


@dataclass(frozen=True, slots=True)
class Counted:
    """What counts in a cell: the value [nm] with its text, or None where it was left out, and why."""

    spot: str
    id: str
    seq: int
    value: float | None
    text: str
    why: str
    by: str


@dataclass(frozen=True, slots=True)
class RunSeen:
    """The strips of a section after this pass as a process: mean deviations, centre and limits [nm], and words."""

    section: str
    labels: tuple[str, ...]
    values: tuple[float, ...]
    centre: float | None
    lower: float | None
    upper: float | None
    words: tuple[str, ...]
    strips: tuple[tuple[str, str, str], ...]


@dataclass(frozen=True, slots=True)
class Recent:
    """What counts on a walk now: ``seq`` is the newest place in the sequence, ``now`` the server's clock [ms]."""

    seq: int
    now: float
    counted: tuple[Counted, ...]
    runs: tuple[RunSeen, ...]


@dataclass(frozen=True, slots=True)
class WalkSeen:
    """All a page needs to read a walk to its end with nobody answering."""

    code: str
    drawing: str
    name: str
    notes: tuple[str, ...]
    stage: str
    called: str
    cut: int
    unit: str
    gauge: int | None
    gauge_name: str
    person: int | None
    person_name: str
    should: str
    height: Digits
    small: Digits
    station: Digits
    limits: tuple[float | None, ...]
    cells: tuple[WalkCell, ...]
    before: dict[str, float]
    scale: Scale
    guards: Guards
    grammar: Grammar
    recent: Recent


def newest(shop: Shop) -> int:
    """The newest place in the shop's one sequence, 0 in an empty shop."""
    with shop.reading() as connection:
        return next_seq(connection) - 1


def newest_row(shop: Shop) -> str:
    """The id of the newest row in the shop's one sequence, empty in an empty shop."""
    with shop.reading() as connection:
        return newest_id(connection)


def still_holds(shop: Shop, id: str) -> bool:
    """True unless a row that was there is not there any more: a backup was put back."""
    with shop.reading() as connection:
        return holds(connection, id)


def session_of(shop: Shop, begun: Begun, asked: Asked) -> Session:
    """The session that a page's walk is, over what counts now."""
    order = Order(asked.inner, asked.backward)
    return begin_reading(shop, begun, asked.stage, asked.sections, asked.strips, cut=asked.cut, order=order)


def walk_of(shop: Shop, code: str, asked: Asked) -> WalkSeen:
    """The walk for a page. Raises :class:`BadInput` for what the rod or the shop does not have."""
    begun = find(shop, code)
    session, show = session_of(shop, begun, asked), begun.rod.display
    yardstick, gauge = Yardstick(begun.rod, asked.stage), _gauge(shop, asked.gauge)
    known, cut = session.walk.cells, session.task.cut
    cells = tuple(
        WalkCell(
            str(cell.spot),
            cell.section,
            cell.strip,
            show.station.number(cell.station.m),
            cell.station.m * NANO,
            session.aims[cell].reading * NANO,
            show.height.number(session.aims[cell].reading),
            show.height(session.aims[cell].height),
            yardstick.reach(session.aims[cell]).over * NANO,
        )
        for cell in known
    )
    limits = yardstick.limits
    zero = begun.rod.bench.block_zero
    return WalkSeen(
        code=begun.code,
        drawing=begun.revision.digest,
        name=begun.rod.name,
        notes=begun.notes,
        stage=asked.stage.value,
        called=stage_called(asked.stage),
        cut=cut,
        unit=gauge.unit if gauge else asked.unit or show.bare,
        gauge=gauge.id if gauge else None,
        gauge_name=gauge.name if gauge else "",
        person=asked.person,
        person_name=_person(shop, asked.person),
        should="the gauge should show" if zero else "the strip's height should be",
        height=digits(show.height),
        small=digits(show.small),
        station=digits(show.station),
        limits=tuple(
            None if one is None else one * NANO
            for one in (limits.stop_under, limits.warn_under, limits.warn_over, limits.stop_over)
        ),
        cells=cells,
        before=_before(shop, begun, asked.stage, cut, {cell.spot: cell.aim for cell in cells}),
        scale=scale(yardstick),
        guards=guards(yardstick),
        grammar=grammar(),
        recent=recent(shop, begun, asked.stage, cut, tuple(dict.fromkeys(cell.section for cell in known))),
    )


def recent(shop: Shop, begun: Begun, stage: Stage, cut: int, sections: tuple[str, ...]) -> Recent:
    """What counts now after one pass of a stage, in some sections, and what it says as a process."""
    seq = newest(shop)
    names = {one.id: one.name for one in people(shop)}
    counted = tuple(
        _counted(one, names)
        for one in current(shop, begun.revision.id, stage=stage.value)
        if one.entry.cell.pass_number == cut and one.entry.cell.section in sections
    )
    state = bench_state(shop, begun)
    runs = []
    for run in state.stops:
        if (run.stage, run.cut) != (stage, cut) or run.section not in sections:
            continue
        place = run.chart.place if run.chart else None
        strips = tuple(
            (f"S{one.strip}", one.judgement.sign, one.words)
            for one in state.strips
            if (one.section, one.stage, one.cut) == (run.section, stage, cut)
        )
        runs.append(
            RunSeen(
                run.section,
                run.labels,
                tuple(one * NANO for one in run.values),
                place.centre * NANO if place else None,
                place.lower * NANO if place else None,
                place.upper * NANO if place else None,
                run_words(run, begun.rod.display),
                strips,
            )
        )
    return Recent(seq, datetime.now(UTC).timestamp() * 1000, counted, tuple(runs))


def declare(shop: Shop, gauge: int | None, name: str, unit: str, person: str) -> tuple[Gauge | None, int | None]:
    """The gauge and the person of a walk, entered now if they are new; ``unit`` is what the gauge shows today.

    Raises :class:`BadInput` where that is not what it was declared to show.
    """
    from culmwright.ledger.register import person_named

    known = _gauge(shop, gauge) if gauge is not None else None
    if known is None and name.strip():
        known = the_gauge(shop, " ".join(name.split())[:60], unit or None)
    if known is not None and unit and unit != known.unit:
        raise BadInput(
            f"gauge {known.name} was declared to show {known.unit}, and shows {unit} now",
            remedy=f"Switch it back to {known.unit}, or enter it under another name",
        )
    return known, person_named(shop, person[:60]).id if person.strip() else None


def _gauge(shop: Shop, number: int | None) -> Gauge | None:
    if number is None:
        return None
    known = next((one for one in gauges(shop) if one.id == number), None)
    if known is None:
        raise BadInput("that gauge is not in use here", remedy="Choose one, or enter it as new")
    return known


def _person(shop: Shop, number: int | None) -> str:
    if number is None:
        return ""
    known = next((one.name for one in people(shop) if one.id == number), None)
    if known is None:
        raise BadInput("that person is not known here", remedy="Give the name anew")
    return known


def _before(shop: Shop, begun: Begun, stage: Stage, cut: int, aimed: dict[str, float]) -> dict[str, float]:
    """Deviations [nm] at the newest pass before this one, by cell."""
    found: dict[str, tuple[int, float]] = {}
    for one in current(shop, begun.revision.id, stage=stage.value):
        cell, value = one.entry.cell, one.entry.value
        spot = str(cell.spot)
        if value is None or cell.pass_number >= cut or spot not in aimed:
            continue
        if spot not in found or found[spot][0] <= cell.pass_number:
            found[spot] = (cell.pass_number, value.m * NANO - aimed[spot])
    return {spot: deviation for spot, (_, deviation) in found.items()}


def _counted(one: Reading, names: dict[int, str]) -> Counted:
    entry = one.entry
    return Counted(
        str(entry.cell.spot),
        entry.id,
        one.seq,
        None if entry.value is None else entry.value.m * NANO,
        "" if entry.value is None else entry.value.given,
        entry.why or "",
        names.get(entry.person, "") if entry.person is not None else "",
    )

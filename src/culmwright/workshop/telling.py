"""``log``: what happened to a rod, as a story; and what is put into it beside readings."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from datetime import datetime
from itertools import groupby

from culmwright.bench.judge import Judgement, Stage, judge
from culmwright.bench.judge_strip import judge_strip
from culmwright.bench.walk import Stretch
from culmwright.book.words import listed
from culmwright.design.rod import Rod
from culmwright.design.rod_file import rod_from_text
from culmwright.ledger.frozen import revisions
from culmwright.ledger.happenings import events
from culmwright.ledger.happenings import log as kept_lines
from culmwright.ledger.records import EventEntry, LogLine, PassEntry, PassMade, Reading, Standing, State, now
from culmwright.ledger.records import EventKind as EventKind
from culmwright.ledger.shop import Shop
from culmwright.measure.moments import clock
from culmwright.measure.record import si
from culmwright.workshop.judging import StripState, bench_state, stage_called
from culmwright.workshop.noting import must_be_there, walked
from culmwright.workshop.opening import Begun
from culmwright.workshop.session import Task, aims, cutting_of, limits_of
from culmwright.workshop.strips_now import strips_now
from culmwright.workshop.telling_dockets import told_dockets

WAITS = (
    (EventKind.SOAK_STARTED, EventKind.SOAK_ENDED, "in soak"),
    (EventKind.DRYING_STARTED, EventKind.DRYING_ENDED, "drying"),
    (EventKind.GLUED, EventKind.GLUE_SET, "curing"),
)
"""What a rod can be waiting in: the event that begins it, the one that ends it, and what it is called."""


@dataclass(frozen=True, slots=True)
class StoryLine:
    """One line of the log: when, and what, in words."""

    at: str
    words: str


@dataclass(frozen=True, slots=True)
class Story:
    """The log of a rod or one strip: its ``lines`` oldest first, how things stand ``now``, and the distance walked.

    ``strips`` are all that were read, with their fate; ``stands`` says in words what became of those that are no longer
    at the bench.
    """

    code: str
    name: str
    lines: tuple[StoryLine, ...]
    now: tuple[str, ...]
    strips: tuple[StripState, ...]
    distance_walked: float = si("m")
    stands: tuple[str, ...] = ()


def log(shop: Shop, begun: Begun, section: str | None = None, strip: int | None = None) -> Story:
    """The story of a rod, every line judged by the drawing it was made to; of one ``section`` or ``strip`` if named.

    Distance walked in [m].
    """
    must_be_there(begun.rod, section, strip)
    kept = sorted(
        kept_lines(shop, begun.revision.rod, section=section, strip=strip),
        key=lambda line: (line.record.entry.at, line.record.seq),  # written down later, it still happened when it did
    )
    drawn = {one.id: Begun(one, rod_from_text(one.text)) for one in revisions(shop, begun.revision.rod)}
    state = bench_state(shop, begun)
    judged = [
        one
        for one in state.strips
        if (section is None or one.section == section) and (strip is None or one.strip == strip)
    ]
    glued = tuple(one for one in state.glued if section in (None, one.section))
    told = [(at, seq, StoryLine(clock(at), words)) for at, seq, words in told_dockets(shop, begun, section, strip)]
    lines = sorted((*_lines(drawn, tuple(kept)), *told), key=lambda line: line[:2])
    return Story(
        begun.code,
        begun.rod.name,
        tuple(line for _, _, line in lines),
        tuple(waits(shop, begun)),
        tuple(judged),
        walked(shop, begun),
        strips_now(replace(state, strips=tuple(judged), glued=glued)).said,
    )


def waits(shop: Shop, begun: Begun) -> Iterator[str]:
    """What the rod waits in now, each section for itself: since when, and when it should be ready.

    A section that was glued waits until its cure is over, where one was given.
    """
    happened = sorted(
        (one.entry for one in events(shop, begun.revision.rod, kinds=tuple(one for row in WAITS for one in row[:2]))),
        key=lambda entry: entry.at,
    )
    for starts, ends, called in WAITS:
        began: dict[str | None, EventEntry] = {}
        for entry in happened:
            if entry.kind is starts:
                began[entry.section] = entry
            elif entry.kind is ends and entry.section is None:
                began.clear()
            elif entry.kind is ends:
                began.pop(entry.section, None)
        for section, entry in began.items():
            if starts is EventKind.GLUED and (entry.ready_at is None or entry.ready_at <= now()):
                continue
            ready = f", planned ready {clock(entry.ready_at)}" if entry.ready_at else ""
            yield f"{f'section {section} ' if section else ''}{called} since {clock(entry.at)}{ready}"


def _lines(drawn: dict[int, Begun], kept: tuple[LogLine, ...]) -> Iterator[tuple[datetime, int, StoryLine]]:
    """The story: readings of one walk that followed each other in a line a strip, or in one where the walk went from
    strip to strip at every station; everything else a line each.

    Each with when it happened and its place in the sequence.
    """
    several = len(drawn) > 1
    for key, group in groupby(kept, key=_bundle):
        lines = list(group)
        begun = drawn.get(_revision_of(lines[0]) or 0)
        if key is None:
            for line in lines:
                yield (*_moment(line), _line(drawn, line, several=several))
            continue
        if begun is None:
            continue
        for words, walked_on in _walks(begun.rod, lines):
            told = _tagged(begun, words, several=several)
            yield (*_moment(walked_on[0]), StoryLine(clock(walked_on[0].record.entry.at), told))


def _walks(rod: Rod, lines: list[LogLine]) -> Iterator[tuple[str, list[LogLine]]]:
    """The readings of one walk in words: a strip after the other, or all strips at a station before the next one."""
    runs = [list(run) for _, run in groupby(lines, key=_strip_of)]
    if len(runs) > len({_strip_of(line) for line in lines}):
        yield _read_across(rod, [line.record for line in lines if isinstance(line.record, Reading)]), lines
        return
    for run in runs:
        yield _read(rod, run), run


def _strip_of(line: LogLine) -> int | None:
    return line.record.entry.cell.strip if isinstance(line.record, Reading) else None


def _moment(line: LogLine) -> tuple[datetime, int]:
    return line.record.entry.at, line.record.seq


def _line(drawn: dict[int, Begun], line: LogLine, *, several: bool) -> StoryLine:
    """A line that stands alone, told by the drawing it belongs to; by the newest where it belongs to none."""
    begun = drawn.get(_revision_of(line) or 0, list(drawn.values())[-1])
    entry = line.record.entry
    names_itself = isinstance(entry, EventEntry) and entry.kind is EventKind.REVISION_FROZEN
    return StoryLine(clock(entry.at), _tagged(begun, _told(begun, line), several=several and not names_itself))


def _tagged(begun: Begun, words: str, *, several: bool) -> str:
    return f"{begun.code}: {words}" if several else words


def _revision_of(line: LogLine) -> int | None:
    """The frozen drawing a line belongs to; None for what happened to no rod in particular."""
    record = line.record
    return record.entry.cell.rod_revision if isinstance(record, Reading) else record.entry.rod_revision


def _bundle(line: LogLine) -> tuple[object, ...] | None:
    """What makes neighbouring readings one walk: section, stage and pass; None for what stands alone."""
    record = line.record
    if not isinstance(record, Reading) or line.standing is not Standing.CURRENT:
        return None
    cell = record.entry.cell
    if record.entry.state is not State.MEASURED or record.entry.supersedes is not None:
        return None
    return (cell.rod_revision, cell.section, cell.strip is None, cell.stage, cell.pass_number)


def _read(rod: Rod, lines: list[LogLine]) -> str:
    readings = [line.record for line in lines if isinstance(line.record, Reading)]
    cell = readings[0].entry.cell
    if cell.strip is None:
        return _read_flats(rod, readings)
    stage = Stage(cell.stage)
    judged = [one for one in (_judged(rod, reading) for reading in readings) if one is not None]
    count = f"{len(readings)} station{'s' if len(readings) > 1 else ''}"
    words = f"{cell.section}/S{cell.strip} read at {count}, {stage_called(stage)}, after pass {cell.pass_number}"
    return f"{words}: {judge_strip(judged, cutting_of(rod, stage), rod.display).words}" if judged else words


_SIZES = {"-": "under size", "=": "on size", "+": "over size"}


def _read_across(rod: Rod, readings: list[Reading]) -> str:
    """A walk from strip to strip at every station: what was read, and which strips are under, on or over size."""
    cell = readings[0].entry.cell
    stage = Stage(cell.stage)
    by_strip: dict[int, list[Judgement]] = {}
    for one in readings:
        if one.entry.cell.strip is not None:
            found = _judged(rod, one)
            by_strip.setdefault(one.entry.cell.strip, []).extend([found] if found else [])
    signs: dict[str, list[str]] = {}
    for strip, judged in sorted(by_strip.items()):
        if judged:
            signs.setdefault(judge_strip(judged, cutting_of(rod, stage), rod.display).sign, []).append(f"S{strip}")
    stations = len({one.entry.cell.station for one in readings})
    words = (
        f"{cell.section}, {len(by_strip)} strips read at {stations} station{'s' if stations > 1 else ''}, "
        f"{stage_called(stage)}, after pass {cell.pass_number}"
    )
    said = "; ".join(f"{listed(signs[sign])} {_SIZES[sign]}" for sign in _SIZES if sign in signs)
    return f"{words}: {said}" if said else words


def _read_flats(rod: Rod, readings: list[Reading]) -> str:
    cells = [one.entry.cell for one in readings]
    values = [one.entry.value.m for one in readings if one.entry.value is not None]
    ways, stations = len({cell.face for cell in cells}), len({cell.station for cell in cells})
    span = f"{rod.display.height(min(values))} to {rod.display.height(max(values))}"
    return (
        f"{cells[0].section}, glued, read over {ways} direction{'s' if ways > 1 else ''} at {stations} "
        f"station{'s' if stations > 1 else ''}: {span}"
    )


def _judged(rod: Rod, reading: Reading) -> Judgement | None:
    """The reading judged by the drawing in hand; None where that has no such place (an older revision)."""
    cell, value = reading.entry.cell, reading.entry.value
    places = {section.name: section.stations for section in rod.sections()}
    if value is None or cell.strip is None or cell.station not in places.get(cell.section, ()):
        return None
    stage = Stage(cell.stage)
    plan = (Stretch(cell.section, (cell.strip,), (cell.station,)),)
    (aim,) = aims(rod, Task(stage, cell.pass_number, plan)).values()
    return judge(value.m, aim, limits_of(stage), cutting_of(rod, stage), rod.display)


def _told(begun: Begun, line: LogLine) -> str:
    record, rod = line.record, begun.rod
    if isinstance(record, Reading):
        said = _told_reading(rod, record)
    elif isinstance(record, PassMade):
        said = _told_pass(rod, record.entry)
    else:
        said = _told_event(begun, record.entry)
    undoes = record.entry.state is State.WITHDRAWN
    return said if undoes or line.standing is Standing.CURRENT else f"{said} ({line.standing.value} later)"


def _told_reading(rod: Rod, record: Reading) -> str:
    entry, where = record.entry, record.entry.cell.spot
    why = f" ({entry.why})" if entry.why else ""
    if entry.state is State.SKIPPED:
        return f"{where} left out{why}"
    if entry.state is State.WITHDRAWN or entry.value is None:
        return f"the reading of {where} taken back{why}"
    again = ", in place of what was read before" if entry.supersedes else ""
    judged = _judged(rod, record)
    return f"{where} read {rod.display.height(entry.value.m)}{again}{why}{f': {judged.words}' if judged else ''}"


def _told_pass(rod: Rod, entry: PassEntry) -> str:
    over = f"strip {entry.strip} of {entry.section}" if entry.strip else f"all strips of {entry.section}"
    if entry.state is State.WITHDRAWN:
        return f"pass {entry.number} over {over} taken back ({entry.why})"
    depth = f" of {rod.display.small(entry.depth.m)}" if entry.depth else ""
    words = f": {entry.note}" if entry.note else ""
    return f"pass {entry.number}{depth} over {over}, {stage_called(Stage(entry.stage))}{words}"


def _told_event(begun: Begun, entry: EventEntry) -> str:
    if entry.kind is EventKind.REVISION_FROZEN:
        return f"drawing frozen as {begun.code}{f': {entry.note}' if entry.note else ''}"
    where = f" {entry.section}{f'/S{entry.strip}' if entry.strip else ''}" if entry.section else ""
    ready = f", planned ready {clock(entry.ready_at)}" if entry.ready_at else ""
    return f"{entry.kind.value}{where}{ready}{f': {entry.note}' if entry.note else ''}"

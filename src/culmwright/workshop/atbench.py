"""The bench behind a page: every reading, skip, undo and round comes as one message with an id, and is kept or answered
once.

A message sent again gets the answer it got before. Nothing is remembered between messages but the ledger.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from datetime import datetime
from functools import lru_cache

from culmwright.bench.gauge import read_typed
from culmwright.bench.judge import Aim, Stage
from culmwright.bench.walk import Cell as Place
from culmwright.design.rod import Rod
from culmwright.ledger.faults import Busy as Busy
from culmwright.ledger.faults import Conflict
from culmwright.ledger.faults import DiskRefused as DiskRefused
from culmwright.ledger.happenings import passes
from culmwright.ledger.readings import append, current, reading_with
from culmwright.ledger.records import Cell, Entry, Reading, State
from culmwright.ledger.shop import Shop
from culmwright.measure.errors import BadInput
from culmwright.measure.lengths import Length
from culmwright.measure.spot import Spot
from culmwright.workshop.noting import cut as log_pass
from culmwright.workshop.noting import pass_of_round
from culmwright.workshop.opening import Begun, find
from culmwright.workshop.reading import plan_of
from culmwright.workshop.session import Task, aims
from culmwright.workshop.taking import Yardstick, beside, depth_typed, entry_of, round_words

KEPT, HELD, MOVED = "kept", "held", "moved"


@dataclass(frozen=True, slots=True)
class Where:
    """The cell a message is about: its ``spot``, the ``stage`` and the number of the ``cut`` it is read after."""

    spot: str
    stage: Stage
    cut: int


@dataclass(frozen=True, slots=True)
class Sent:
    """A reading as a page sends it: ``typed`` as it came, in the ``unit`` the gauge was declared to show.

    ``seen`` is the id of what counts in the cell as far as the page knows, None for an open cell. ``confirmed`` with
    its reason ``why`` answers the question the page has put already. ``at`` is the tablet's own clock.
    """

    id: str
    where: Where
    typed: str
    unit: str
    at: datetime
    gauge: int | None = None
    person: int | None = None
    seen: str | None = None
    confirmed: bool = False
    why: str = ""


@dataclass(frozen=True, slots=True)
class Answered:
    """What came of a message: it was ``kept``, is ``held`` and asked about in ``words``, or the walk ``moved``.

    ``doubt``: the answer to the question needs a reason.
    """

    id: str
    said: str
    words: str
    spot: str
    seq: int | None = None
    size: str = ""
    level: str = ""
    sign: str = ""
    shape: str = ""
    sound: str = ""
    note: str = ""
    doubt: bool = False


class Meanwhile(Conflict):
    """Another hand has filled the cell since the page last saw it: what it says, and what was sent now."""

    def __init__(self, spot: str, yours: str, theirs: str, entry: str) -> None:
        super().__init__(
            f"another hand has {theirs} at {spot} meanwhile; yours is {yours}",
            where=spot,
            remedy="Nothing was changed. Keep yours in its place, or leave theirs",
        )
        self.yours, self.theirs, self.entry = yours, theirs, entry


@lru_cache(maxsize=16)
def bench_of(rod: Rod, stage: Stage) -> dict[str, tuple[Place, Aim]]:
    """Every cell of a rod by its spot, and what the gauge should show there."""
    aimed = aims(rod, Task(stage, 0, plan_of(rod, (), ())))
    return {str(place.spot): (place, one) for place, one in aimed.items()}


def take(shop: Shop, code: str, sent: Sent) -> Answered:
    """Keep a reading, or ask about it. Raises :class:`BadInput` for what is none, :class:`Meanwhile` where another
    hand was there.
    """
    begun, place, aimed = _cell(shop, code, sent.where)
    yardstick = Yardstick(begun.rod, sent.where.stage)
    value = read_typed(sent.typed, sent.unit).length
    cell, why = _ledger_cell(begun, place, sent.where), sent.why.strip()
    known = reading_with(shop, sent.id)
    if known is not None:
        _must_be_same(known, Entry.measured(cell, value, wet=yardstick.wet, gauge=sent.gauge, person=sent.person), why)
        return _kept(yardstick, known, aimed)
    every = current(shop, begun.revision.id, stage=sent.where.stage.value)
    old = _must_be_seen(every, cell, sent.seen, value.given)
    known_cells = bench_of(begun.rod, sent.where.stage)
    others = beside(cell, every, lambda one: known_cells[str(one.entry.cell.spot)][1])
    question = yardstick.question(value, aimed, _last(every, sent), others)
    if question is not None and not (sent.confirmed and (why or not question.doubt)):
        return Answered(sent.id, HELD, question.words, str(place.spot), doubt=question.doubt)
    entry = entry_of(
        cell, value, old, why, sent.at, wet=yardstick.wet, gauge=sent.gauge, person=sent.person, id=sent.id
    )
    return _kept(yardstick, append(shop, entry), aimed)


def skip(
    shop: Shop,
    code: str,
    id: str,
    where: Where,
    why: str,
    at: datetime,
    *,
    person: int | None = None,
    seen: str | None = None,
) -> Answered:
    """Leave a cell out for a reason."""
    begun, place, _ = _cell(shop, code, where)
    cell, reason = _ledger_cell(begun, place, where), why.strip()
    if not reason:
        raise BadInput("a cell is skipped for a reason", where=str(place.spot), remedy="Say why in a word or two")
    wet = Yardstick(begun.rod, where.stage).wet
    entry = Entry.skipped(cell, reason, wet=wet, person=person, at=at, id=id)
    known = reading_with(shop, id)
    if known is not None:
        _must_be_same(known, entry, reason)
    else:
        every = current(shop, begun.revision.id, section=cell.section, stage=cell.stage)
        old = _must_be_seen(every, cell, seen, "to leave it out")
        known = append(shop, replace(entry, supersedes=old.seq) if old is not None else entry)
    return Answered(id, MOVED, f"{place.spot} left out: {reason}", str(place.spot), known.seq)


def undo(
    shop: Shop, code: str, id: str, entry: str, at: datetime, *, person: int | None = None, why: str = ""
) -> Answered:
    """Take a reading or skip back, named by its own id; what it had replaced stands again."""
    begun = find(shop, code)
    taken = reading_with(shop, entry)
    if taken is None or taken.entry.state is State.WITHDRAWN:
        return Answered(id, MOVED, "nothing of that was kept: there is nothing to take back", "")
    cell = taken.entry.cell
    if cell.rod_revision != begun.revision.id:
        raise BadInput(f"that reading is not of {begun.code}", remedy="Load the page again")
    words = f"{cell.spot} taken back; read it again"
    known = reading_with(shop, id)
    if known is not None:
        if known.entry.supersedes != taken.seq or known.entry.state is not State.WITHDRAWN:
            raise Conflict(f"the reading {id} was kept before as something else", remedy="Nothing was changed")
        return Answered(id, MOVED, words, str(cell.spot), known.seq)
    kept = append(shop, taken.withdrawn(why.strip() or "undone at the bench", person=person, at=at, id=id))
    return Answered(id, MOVED, words, str(cell.spot), kept.seq)


def log_round(
    shop: Shop,
    code: str,
    id: str,
    stage: Stage,
    number: int,
    section: str,
    strip: int | None,
    depth: str,
    unit: str,
    at: datetime,
    *,
    person: int | None = None,
) -> Answered:
    """Put a round of passes into the log, over one ``strip`` or, with None, every strip of a section."""
    begun = find(shop, code)
    taken = depth_typed(depth, unit)
    if strip is not None and str(Spot(section, strip)) not in _strips_of(begun.rod):
        raise BadInput(f"this rod has no strip {section}/S{strip}", remedy="Name one that is on the walk")
    same = next((one for one in passes(shop, begun.revision.id) if one.entry.id == id), None)
    moment = same.entry.at if same is not None else at
    new = same.entry.number if same is not None else pass_of_round(shop, begun, section, stage, number, strip)
    made = log_pass(shop, begun, section, stage, new, taken, strip=strip, at=moment, person=person, id=id)
    words = round_words(section, strip, taken, begun.rod.display)
    if new != number:
        words += f" as pass {new}, for it was read after pass {new - 1}: start again on the bench page with that number"
    return Answered(id, MOVED, words, section, made.seq)


def _strips_of(rod: Rod) -> set[str]:
    return {str(Spot(place.section, place.strip)) for place, _ in bench_of(rod, Stage.ROUGH).values()}


def _cell(shop: Shop, code: str, where: Where) -> tuple[Begun, Place, Aim]:
    begun = find(shop, code)
    spot = str(replace(Spot.parse(where.spot), quantity="", rod=""))
    known = bench_of(begun.rod, where.stage)
    if spot not in known:
        raise BadInput(
            f"{where.spot[:64]} is not read on this rod", remedy=f"Name a cell of it, such as {next(iter(known))}"
        )
    return (begun, *known[spot])


def _ledger_cell(begun: Begun, place: Place, where: Where) -> Cell:
    return Cell(begun.revision.id, place.section, place.station, where.stage.value, where.cut, place.strip)


def _must_be_seen(every: tuple[Reading, ...], cell: Cell, seen: str | None, yours: str) -> Reading | None:
    """What counts in the cell, the newest if two hands count, if the page knows it."""
    old = next((one for one in reversed(every) if one.entry.cell == cell), None)
    if old is not None and old.entry.id != seen:
        theirs = "left it out" if old.entry.value is None else f"read {old.entry.value.given}"
        raise Meanwhile(str(cell.spot), yours, theirs, old.entry.id)
    return old


def _last(every: tuple[Reading, ...], sent: Sent) -> tuple[Length, float] | None:
    """What the same gauge and hand kept last at this stage, and how long before this reading [s]."""
    for one in reversed(every):
        if one.entry.value is not None and (one.entry.gauge, one.entry.person) == (sent.gauge, sent.person):
            elapsed = (sent.at - one.entry.at).total_seconds()
            return (one.entry.value, elapsed) if elapsed >= 0 else None
    return None


def _must_be_same(known: Reading, sent: Entry, why: str) -> None:
    """Refuse an id that stands for something else."""
    old = known.entry
    same = (old.cell, old.state, old.value, old.gauge, old.person) == (
        sent.cell,
        sent.state,
        sent.value,
        sent.gauge,
        sent.person,
    )
    if not same or (why and old.why != why):
        raise Conflict(
            f"the reading {old.id} was kept before as something else",
            where=str(old.cell.spot),
            remedy="Nothing was changed. Enter it anew",
        )


def _kept(yardstick: Yardstick, kept: Reading, aimed: Aim) -> Answered:
    value = kept.entry.value
    if value is None:
        raise Conflict(f"the reading {kept.entry.id} was kept before as something else", remedy="Nothing was changed")
    one = yardstick.judged(value, aimed)
    return Answered(
        kept.entry.id,
        KEPT,
        one.words,
        str(kept.entry.cell.spot),
        kept.seq,
        one.size.value,
        one.level.value,
        one.sign,
        one.shape,
        one.sound,
        one.note,
    )

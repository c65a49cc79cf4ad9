"""What is put into the log of a rod beside readings: events and passes; and how far the passes walked."""

from __future__ import annotations

from datetime import datetime

from culmwright.bench.judge import Stage
from culmwright.design.rod import Rod
from culmwright.ledger.happenings import add_event, add_pass, passes
from culmwright.ledger.readings import current
from culmwright.ledger.records import Event, EventEntry, PassEntry, PassMade, new_id
from culmwright.ledger.records import EventKind as EventKind
from culmwright.ledger.records import now as this_moment
from culmwright.ledger.shop import Shop
from culmwright.ledger.streams import holds
from culmwright.measure.errors import BadInput
from culmwright.measure.lengths import Length
from culmwright.rigs.cutter import strokes_per_round
from culmwright.workshop.opening import Begun


def note(
    shop: Shop,
    begun: Begun,
    kind: EventKind,
    *,
    section: str | None = None,
    strip: int | None = None,
    words: str | None = None,
    at: datetime | None = None,
    ready_at: datetime | None = None,
    id: str | None = None,
) -> Event:
    """Put an event into the log of a rod; ``ready_at`` is when a soak or a drying is planned to be over."""
    must_be_there(begun.rod, section)
    moment = at or this_moment()
    if ready_at is not None and ready_at <= moment:
        raise BadInput("it would be ready before it begins", where="ready", remedy="Give a later time")
    entry = EventEntry(
        id or new_id(), kind, moment, begun.revision.id, section=section, strip=strip, note=words, ready_at=ready_at
    )
    return add_event(shop, entry)


def cut(
    shop: Shop,
    begun: Begun,
    section: str,
    stage: Stage,
    number: int,
    depth: Length | None = None,
    *,
    strip: int | None = None,
    at: datetime | None = None,
    person: int | None = None,
    id: str | None = None,
) -> PassMade:
    """Put a round of passes into the log: over every strip of a ``section``, or over one."""
    must_be_there(begun.rod, section)
    wet = stage is Stage.ROUGH and begun.rod.bench.wet
    entry = PassEntry(
        id or new_id(),
        begun.revision.id,
        section,
        stage.value,
        number,
        wet,
        at or this_moment(),
        strip=strip,
        depth=depth,
        person=person,
    )
    return add_pass(shop, entry)


def pass_of_round(shop: Shop, begun: Begun, section: str, stage: Stage, number: int, strip: int | None) -> int:
    """The pass a round belongs to: ``number`` until its strips (all, or one) were read after that, then the next."""
    read = [
        one.entry.cell.pass_number
        for one in current(shop, begun.revision.id, section=section, stage=stage.value)
        if strip in (None, one.entry.cell.strip) and one.entry.value is not None
    ]
    return max([number, *(one + 1 for one in read)])


def kept_already(shop: Shop, id: str) -> bool:
    """True if something stands in the ledger under this ``id``: a form that is sent twice is one entry."""
    with shop.reading() as connection:
        return holds(connection, id)


def walked(shop: Shop, begun: Begun) -> float:
    """Distance walked so far [m], one way: every stroke of every pass kept, along the whole strip."""
    rod = begun.rod
    lengths = {section.name: section.length + rod.bench.strip_over.m for section in rod.sections()}
    strips = rod.sides + rod.bench.spares
    strokes = strokes_per_round(rod.bench.cutter)
    return sum(
        strokes * lengths[one.entry.section] * (strips if one.entry.strip is None else 1)
        for one in passes(shop, begun.revision.id)
    )


def must_be_there(rod: Rod, section: str | None, strip: int | None = None) -> None:
    """Refuse a section or strip that the rod does not have."""
    names = [one.name for one in rod.sections()]
    if section is not None and section not in names:
        raise BadInput(f"this rod has no section {section}", remedy=f"Its sections are {', '.join(names)}")
    count = rod.sides + rod.bench.spares
    if strip is not None and not 1 <= strip <= count:
        raise BadInput(f"a section has {count} strips, not a strip {strip}", remedy=f"Name 1 to {count}")

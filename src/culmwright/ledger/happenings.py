"""Passes and events, and the story of a rod that they and the readings make."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from sqlalchemy import Select, Table, select

from culmwright.ledger.readings import reading_of
from culmwright.ledger.records import (
    Event,
    EventEntry,
    EventKind,
    LogLine,
    PassEntry,
    PassMade,
    Reading,
    Standing,
    State,
)
from culmwright.ledger.rows import Row, clock_of, clock_or_none, clock_text, length_columns, length_of
from culmwright.ledger.shop import Shop
from culmwright.ledger.streams import add, standing, stem_columns
from culmwright.ledger.tables import EVENT, PASS, READING, ROD_REVISION


def add_pass(shop: Shop, entry: PassEntry) -> PassMade:
    """Keep a pass that was made, corrected or taken back; when this returns, the disk has it."""
    with shop.writing() as connection:
        return PassMade(add(connection, PASS, _pass_columns(entry)), entry)


def add_event(shop: Shop, entry: EventEntry) -> Event:
    """Keep an event that happened, was corrected or taken back; when this returns, the disk has it."""
    with shop.writing() as connection:
        return Event(add(connection, EVENT, event_columns(entry)), entry)


def passes(shop: Shop, rod_revision: int, *, section: str | None = None) -> tuple[PassMade, ...]:
    """The passes that count for one frozen revision, in the order they were kept."""
    wanted = select(PASS).where(PASS.c.rod_revision == rod_revision, standing(PASS) == Standing.CURRENT.value)
    if section is not None:
        wanted = wanted.where(PASS.c.section == section)
    with shop.reading() as connection:
        return tuple(pass_of(row) for row in connection.execute(wanted.order_by(PASS.c.seq)).mappings())


def events(shop: Shop, rod: int | None = None, *, kinds: tuple[EventKind, ...] = ()) -> tuple[Event, ...]:
    """The events that count, of one rod (all its revisions) or of the whole shop, in the order they were kept."""
    wanted = select(EVENT).where(standing(EVENT) == Standing.CURRENT.value)
    if rod is not None:
        wanted = wanted.where(_of_rod(EVENT, rod))
    if kinds:
        wanted = wanted.where(EVENT.c.kind.in_([kind.value for kind in kinds]))
    with shop.reading() as connection:
        return tuple(event_of(row) for row in connection.execute(wanted.order_by(EVENT.c.seq)).mappings())


def log(shop: Shop, rod: int, *, section: str | None = None, strip: int | None = None) -> tuple[LogLine, ...]:
    """Everything that happened to a rod, over all its revisions, in sequence; superseded and withdrawn lines too.

    With ``section`` (and ``strip``) only what touches it: a pass or event of the whole rod or section touches
    every strip of it.
    """
    makers: tuple[tuple[Table, Callable[[Row], Reading | PassMade | Event]], ...] = (
        (READING, reading_of),
        (PASS, pass_of),
        (EVENT, event_of),
    )
    lines = []
    with shop.reading() as connection:
        for stream, make in makers:
            wanted: Select[Any] = select(stream, standing(stream).label("standing")).where(_of_rod(stream, rod))
            for name, given in (("section", section), ("strip", strip)):
                if given is not None:
                    wanted = wanted.where((stream.c[name] == given) | stream.c[name].is_(None))
            for row in connection.execute(wanted).mappings():
                lines.append(LogLine(make(row), Standing(row["standing"])))
    return tuple(sorted(lines, key=lambda line: line.record.seq))


def _of_rod(stream: Table, rod: int) -> Any:
    return stream.c.rod_revision.in_(select(ROD_REVISION.c.id).where(ROD_REVISION.c.rod == rod))


def _pass_columns(entry: PassEntry) -> dict[str, Any]:
    return {
        **stem_columns(entry),
        "rod_revision": entry.rod_revision,
        "section": entry.section,
        "strip": entry.strip,
        "stage": entry.stage,
        "number": entry.number,
        **length_columns("depth", entry.depth),
        **length_columns("stop", entry.stop),
        "rig": entry.rig,
        "wet": int(entry.wet),
        "note": entry.note,
    }


def event_columns(entry: EventEntry) -> dict[str, Any]:
    """The columns that hold an event."""
    return {
        **stem_columns(entry),
        "kind": entry.kind.value,
        "rod_revision": entry.rod_revision,
        "section": entry.section,
        "strip": entry.strip,
        "culm": entry.culm,
        "rig": entry.rig,
        "ready_at": None if entry.ready_at is None else clock_text(entry.ready_at),
        "note": entry.note,
    }


def _stem_of(row: Row) -> dict[str, Any]:
    """What every entry of the bench has, as a row holds it."""
    same = {name: row[name] for name in ("id", "person", "supersedes", "why")}
    return {**same, "at": clock_of(row["at"]), "state": State(row["state"])}


def pass_of(row: Row) -> PassMade:
    """The pass that a row holds."""
    entry = PassEntry(
        rod_revision=row["rod_revision"],
        section=row["section"],
        stage=row["stage"],
        number=row["number"],
        wet=bool(row["wet"]),
        strip=row["strip"],
        depth=length_of(row, "depth"),
        stop=length_of(row, "stop"),
        rig=row["rig"],
        note=row["note"],
        **_stem_of(row),
    )
    return PassMade(row["seq"], entry)


def event_of(row: Row) -> Event:
    """The event that a row holds."""
    entry = EventEntry(
        kind=EventKind(row["kind"]),
        rod_revision=row["rod_revision"],
        section=row["section"],
        strip=row["strip"],
        culm=row["culm"],
        rig=row["rig"],
        ready_at=clock_or_none(row["ready_at"]),
        note=row["note"],
        **_stem_of(row),
    )
    return Event(row["seq"], entry)

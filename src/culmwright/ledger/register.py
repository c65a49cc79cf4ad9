"""What a shop has: people, culms, strips, rigs, gauges and their checks.

Each is kept once and for good. A culm, strip, rig or gauge that turns out to be otherwise gets a new row that
supersedes the old one and says why; readings go on pointing at what they were made with.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime
from typing import Any

from sqlalchemy import Connection, Table, func, insert, select

from culmwright.ledger.faults import Conflict
from culmwright.ledger.records import now
from culmwright.ledger.rows import Row, clock_of, clock_text, length_columns, length_of, must_length
from culmwright.ledger.shop import Shop
from culmwright.ledger.tables import CULM, GAUGE, GAUGE_CHECK, PERSON, RIG, STRIP
from culmwright.measure.errors import BadInput
from culmwright.measure.lengths import NANOMETRES, Length


@dataclass(frozen=True, slots=True)
class Person:
    """A hand of the shop."""

    id: int
    name: str


@dataclass(frozen=True, slots=True)
class Culm:
    """A culm of the shop."""

    id: int
    label: str
    diameter: Length | None
    length: Length | None
    note: str | None


@dataclass(frozen=True, slots=True)
class Strip:
    """A strip: its label, its ``number`` in a section of a rod, and its ``place`` around the culm it was split from."""

    id: int
    label: str
    rod: int
    section: str
    number: int
    culm: int | None
    place: int | None
    note: str | None


@dataclass(frozen=True, slots=True)
class Rig:
    """A rig as it was set: ``text`` holds its settings as the workshop wrote them."""

    id: int
    name: str
    kind: str
    text: str


@dataclass(frozen=True, slots=True)
class Gauge:
    """A gauge and the unit it is declared to show."""

    id: int
    name: str
    unit: str
    resolution: Length | None
    note: str | None


@dataclass(frozen=True, slots=True)
class GaugeCheck:
    """A gauge tried on a ``reference`` of known length, and what it was ``shown`` as."""

    id: int
    gauge: int
    reference: Length
    shown: Length
    person: int | None
    at: datetime


def person_named(shop: Shop, name: str) -> Person:
    """The person of that name, entered now if they are new."""
    tidy = " ".join(name.split())
    if not tidy:
        raise BadInput("a person needs a name", remedy="Give the name the log should show")
    with shop.writing() as connection:
        found = connection.execute(select(PERSON.c.id).where(PERSON.c.name == tidy)).scalar_one_or_none()
        return Person(found or insert_row(connection, PERSON, {"name": tidy}), tidy)


def people(shop: Shop) -> tuple[Person, ...]:
    """The hands of the shop, by name."""
    with shop.reading() as connection:
        rows = connection.execute(select(PERSON.c.id, PERSON.c.name).order_by(PERSON.c.name)).all()
    return tuple(Person(number, name) for number, name in rows)


def add_culm(
    shop: Shop,
    label: str,
    *,
    diameter: Length | None = None,
    length: Length | None = None,
    note: str | None = None,
    supersedes: int | None = None,
    why: str | None = None,
) -> Culm:
    """Enter a culm, or what an entered one really is."""
    columns = {
        "label": label,
        **length_columns("diameter", diameter),
        **length_columns("length", length),
        "note": note,
    }
    with shop.writing() as connection:
        kept = _register(connection, CULM, columns, "label", supersedes, why)
    return Culm(kept, label, diameter, length, note)


def culms(shop: Shop) -> tuple[Culm, ...]:
    """The culms of the shop, in the order they were entered."""
    return tuple(
        Culm(row["id"], row["label"], length_of(row, "diameter"), length_of(row, "length"), row["note"])
        for row in _current(shop, CULM)
    )


def add_strip(
    shop: Shop,
    label: str,
    rod: int,
    section: str,
    number: int,
    *,
    culm: int | None = None,
    place: int | None = None,
    note: str | None = None,
    supersedes: int | None = None,
    why: str | None = None,
) -> Strip:
    """Enter a strip, or where an entered one has gone: given to another rod, another section or another number.

    A number in a section belongs to one strip for ever, because readings point to it: what replaces a scrapped strip
    takes a number of its own.
    """
    columns = {
        "label": label,
        "rod": rod,
        "section": section,
        "number": number,
        "culm": culm,
        "place": place,
        "note": note,
    }
    with shop.writing() as connection:
        _must_be_free(connection, label, rod, section, number)
        kept = _register(connection, STRIP, columns, "label", supersedes, why)
    return Strip(kept, label, rod, section, number, culm, place, note)


def _must_be_free(connection: Connection, label: str, rod: int, section: str, number: int) -> None:
    wanted = select(STRIP.c.label).where(
        STRIP.c.rod == rod, STRIP.c.section == section, STRIP.c.number == number, STRIP.c.label != label
    )
    if other := connection.execute(wanted.limit(1)).scalar_one_or_none():
        raise Conflict(
            f"strip {number} of {section} is, or was, the strip {other}",
            where=f"R{rod}",
            remedy="Nothing was changed. Give this strip a number that was not used yet",
        )


def strips(shop: Shop, rod: int | None = None) -> tuple[Strip, ...]:
    """The strips of a rod, or of the whole shop, in the order they were entered."""
    return tuple(
        Strip(
            row["id"],
            row["label"],
            row["rod"],
            row["section"],
            row["number"],
            row["culm"],
            row["place"],
            row["note"],
        )
        for row in _current(shop, STRIP)
        if rod is None or row["rod"] == rod
    )


def add_rig(
    shop: Shop, name: str, kind: str, text: str, *, supersedes: int | None = None, why: str | None = None
) -> Rig:
    """Enter a rig with its settings, or its new settings in place of the old."""
    columns = {"name": name, "kind": kind, "text": text}
    with shop.writing() as connection:
        kept = _register(connection, RIG, columns, "name", supersedes, why)
    return Rig(kept, name, kind, text)


def rigs(shop: Shop) -> tuple[Rig, ...]:
    """The rigs of the shop as they are set now."""
    return tuple(Rig(row["id"], row["name"], row["kind"], row["text"]) for row in _current(shop, RIG))


def rig_row(shop: Shop, id: int) -> Rig | None:
    """The rig of that ``id`` as it was set then, also where it was superseded since; None where there is none."""
    with shop.reading() as connection:
        row = connection.execute(select(RIG).where(RIG.c.id == id)).mappings().first()
    return None if row is None else Rig(row["id"], row["name"], row["kind"], row["text"])


def add_gauge(
    shop: Shop,
    name: str,
    unit: str,
    *,
    resolution: Length | None = None,
    note: str | None = None,
    supersedes: int | None = None,
    why: str | None = None,
) -> Gauge:
    """Enter a gauge and the unit it shows, or the unit it was switched to."""
    if unit not in NANOMETRES:
        raise BadInput(f'"{unit}" is not a unit a gauge can show', remedy=f"Give one of {', '.join(NANOMETRES)}")
    columns = {"name": name, "unit": unit, **length_columns("resolution", resolution), "note": note}
    with shop.writing() as connection:
        kept = _register(connection, GAUGE, columns, "name", supersedes, why)
    return Gauge(kept, name, unit, resolution, note)


def gauges(shop: Shop) -> tuple[Gauge, ...]:
    """The gauges of the shop as they are declared now."""
    return tuple(
        Gauge(row["id"], row["name"], row["unit"], length_of(row, "resolution"), row["note"])
        for row in _current(shop, GAUGE)
    )


def add_gauge_check(
    shop: Shop,
    gauge: int,
    reference: Length,
    shown: Length,
    *,
    person: int | None = None,
    at: datetime | None = None,
) -> GaugeCheck:
    """Keep that a gauge was tried on a reference, now unless told otherwise."""
    at = at or now()
    columns = {
        "gauge": gauge,
        **length_columns("reference", reference),
        **length_columns("shown", shown),
        "person": person,
    }
    with shop.writing() as connection:
        kept = insert_row(connection, GAUGE_CHECK, columns, at=clock_text(at))
    return GaugeCheck(kept, gauge, reference, shown, person, at)


def gauge_checks(shop: Shop, gauge: int) -> tuple[GaugeCheck, ...]:
    """How a gauge was tried, oldest first."""
    wanted = select(GAUGE_CHECK).where(GAUGE_CHECK.c.gauge == gauge).order_by(GAUGE_CHECK.c.id)
    with shop.reading() as connection:
        return tuple(
            GaugeCheck(
                row["id"],
                row["gauge"],
                must_length(row, "reference"),
                must_length(row, "shown"),
                row["person"],
                clock_of(row["at"]),
            )
            for row in connection.execute(wanted).mappings()
        )


def _current(shop: Shop, table: Table) -> tuple[Row, ...]:
    with shop.reading() as connection:
        return _current_rows(connection, table)


def _current_rows(connection: Connection, table: Table) -> tuple[Row, ...]:
    superseded = select(table.c.supersedes).where(table.c.supersedes.is_not(None))
    wanted = select(table).where(table.c.id.not_in(superseded)).order_by(table.c.id)
    return tuple(connection.execute(wanted).mappings())


def insert_row(connection: Connection, table: Table, columns: dict[str, Any], at: str | None = None) -> int:
    """Insert a row with the next ``id`` of its table, and return that."""
    kept = 1 + (connection.execute(select(func.max(table.c.id))).scalar() or 0)
    connection.execute(insert(table).values(id=kept, at=at or clock_text(now()), **columns))
    return int(kept)


def _register(
    connection: Connection,
    table: Table,
    columns: dict[str, Any],
    name: str,
    supersedes: int | None,
    why: str | None,
) -> int:
    """Enter a row whose ``name`` no other current row has; its id.

    The same content entered again is the row that stands.
    """
    rows = _current_rows(connection, table)
    for row in rows:
        same_content = all(row[key] == value for key, value in columns.items())
        if same_content and row["supersedes"] == supersedes:
            return int(row["id"])
    if supersedes is not None and not any(row["id"] == supersedes for row in rows):
        raise Conflict(
            f"{table.name} {supersedes} is not in use any more, or never was",
            remedy="Nothing was changed. Supersede the one that is in use",
        )
    if supersedes is not None and not why:
        raise BadInput(f"superseding a {table.name} needs a reason", remedy="Say why in a few words")
    if any(row["id"] != supersedes and row[name] == columns[name] for row in rows):
        raise Conflict(
            f"there is a {table.name} {columns[name]} already",
            remedy="Nothing was changed. Name this one otherwise, or supersede that one with a reason",
        )
    return insert_row(connection, table, {**columns, "supersedes": supersedes, "why": why})

"""Readings: kept for good, replaced or taken back only by newer ones."""

from __future__ import annotations

from typing import Any

from sqlalchemy import select

from culmwright.ledger.faults import Conflict
from culmwright.ledger.records import Cell, Entry, Reading, Standing, State
from culmwright.ledger.rows import Row, clock_of, length_columns, length_of, must_length
from culmwright.ledger.shop import Shop
from culmwright.ledger.streams import add, by_seq, standing, stem_columns
from culmwright.ledger.tables import READING
from culmwright.measure.errors import BadInput

_CELL = ("rod_revision", "section", "strip", "face", "station_num", "station_den", "stage", "pass")


def append(shop: Shop, entry: Entry) -> Reading:
    """Keep a reading, a skip, a re-measure or an undo; when this returns, the disk has it.

    The same entry sent again returns the same reading. Raises :class:`culmwright.ledger.faults.Conflict` where the
    id stands for something else, or where the superseded reading does not count any more or is of another cell.
    """
    columns = _columns(entry)
    with shop.writing() as connection:
        if entry.supersedes is not None and (old := by_seq(connection, READING, entry.supersedes)) is not None:
            _must_be_same_cell(columns, old)
        return Reading(add(connection, READING, columns), entry)


def reading_with(shop: Shop, id: str) -> Reading | None:
    """The reading, skip or withdrawal that was sent with this ``id``, or None."""
    with shop.reading() as connection:
        row = connection.execute(select(READING).where(READING.c.id == id)).mappings().one_or_none()
    return None if row is None else reading_of(row)


def current(
    shop: Shop, rod_revision: int, *, section: str | None = None, stage: str | None = None
) -> tuple[Reading, ...]:
    """The readings and skips that count for one frozen revision, in the order they were kept."""
    wanted = select(READING).where(READING.c.rod_revision == rod_revision, standing(READING) == Standing.CURRENT.value)
    if section is not None:
        wanted = wanted.where(READING.c.section == section)
    if stage is not None:
        wanted = wanted.where(READING.c.stage == stage)
    with shop.reading() as connection:
        return tuple(reading_of(row) for row in connection.execute(wanted.order_by(READING.c.seq)).mappings())


def filled(shop: Shop, rod_revision: int) -> dict[Cell, tuple[Reading, ...]]:
    """The cells of a walk that are done, read or skipped, each with what counts in it, oldest first.

    Two hands that read the same cell both count until one supersedes the other.
    """
    cells: dict[Cell, tuple[Reading, ...]] = {}
    for one in current(shop, rod_revision):
        cells[one.entry.cell] = (*cells.get(one.entry.cell, ()), one)
    return cells


def _columns(entry: Entry) -> dict[str, Any]:
    cell = entry.cell
    if (entry.value is not None) != (entry.state is State.MEASURED):
        raise BadInput("a measured reading has a value, a skip and a withdrawal have none", remedy="Check the entry")
    if entry.state is State.SKIPPED and not entry.why:
        raise BadInput("a skip needs a reason", remedy="Say why in a few words")
    return {
        **stem_columns(entry),
        "rod_revision": cell.rod_revision,
        "section": cell.section,
        "strip": cell.strip,
        "face": cell.face,
        **length_columns("station", cell.station),
        "stage": cell.stage,
        "pass": cell.pass_number,
        **length_columns("value", entry.value),
        "gauge": entry.gauge,
        "wet": int(entry.wet),
    }


def _must_be_same_cell(columns: dict[str, Any], old: Row) -> None:
    if any(columns[name] != old[name] for name in _CELL):
        raise Conflict(
            f"reading {old['seq']} is of another cell",
            remedy="Nothing was changed. Withdraw it, then read the right cell",
        )


def reading_of(row: Row) -> Reading:
    """The reading that a row holds."""
    cell = Cell(
        row["rod_revision"],
        row["section"],
        must_length(row, "station"),
        row["stage"],
        row["pass"],
        row["strip"],
        row["face"],
    )
    entry = Entry(
        row["id"],
        cell,
        State(row["state"]),
        length_of(row, "value"),
        bool(row["wet"]),
        clock_of(row["at"]),
        row["gauge"],
        row["person"],
        row["supersedes"],
        row["why"],
    )
    return Reading(row["seq"], entry)

"""What readings, passes and events share: one sequence, ids that make a repeat harmless, rows that supersede."""

from __future__ import annotations

from functools import cache, lru_cache
from typing import Any

from sqlalchemy import ColumnElement, Connection, Select, Table, Text, and_, cast, exists, func, insert, select

from culmwright.ledger.faults import Conflict
from culmwright.ledger.records import Entry, EventEntry, PassEntry, Standing, must_be_id
from culmwright.ledger.rows import Row, clock_text
from culmwright.ledger.shop import Shop
from culmwright.ledger.tables import DOCKET, IN_ORDER, ROD_REVISION, STREAMS
from culmwright.measure.errors import BadInput


def stem_columns(entry: Entry | PassEntry | EventEntry) -> dict[str, Any]:
    """The columns that every entry of the bench has."""
    return {
        "id": entry.id,
        "state": entry.state.value,
        "at": clock_text(entry.at),
        "person": entry.person,
        "supersedes": entry.supersedes,
        "why": entry.why,
    }


def next_seq(connection: Connection) -> int:
    """The next place in the one sequence of the bench; sound only in a transaction that writes."""
    newest = connection.execute(select(*(select(func.max(stream.c.seq)).scalar_subquery() for stream in STREAMS))).one()
    return 1 + max(seq or 0 for seq in newest)


def newest_id(connection: Connection) -> str:
    """The id of the newest row in the one sequence of the bench, empty in an empty shop."""
    last = next_seq(connection) - 1
    return next((row["id"] for stream in STREAMS if (row := by_seq(connection, stream, last)) is not None), "")


def add(connection: Connection, stream: Table, columns: dict[str, Any]) -> int:
    """Add a row and return its ``seq``; the same id with the same content returns the one that stands already.

    Raises :class:`Conflict` where the id stands for something else, or what the row supersedes is not current.
    """
    must_be_id(columns["id"])
    noun = stream.name
    stands = connection.execute(select(stream).where(stream.c.id == columns["id"])).mappings().one_or_none()
    if stands is not None:
        if differs := [name for name, value in columns.items() if stands[name] != value]:
            raise Conflict(
                f"the {noun} {columns['id']} was kept before with another {', '.join(differs)}",
                remedy="Nothing was changed. Enter it anew under an id of its own",
            )
        return int(stands["seq"])
    if columns["supersedes"] is not None:
        _must_be_current(connection, stream, columns)
    elif columns["state"] == "withdrawn":
        raise BadInput(f"a withdrawal names the {noun} it takes back", remedy=f"Give the number of the {noun}")
    seq = next_seq(connection)
    connection.execute(insert(stream).values(seq=seq, **columns))
    return seq


def _must_be_current(connection: Connection, stream: Table, columns: dict[str, Any]) -> None:
    noun, number = stream.name, columns["supersedes"]
    old = (
        connection.execute(select(stream, standing(stream).label("standing")).where(stream.c.seq == number))
        .mappings()
        .one_or_none()
    )
    if old is None:
        raise BadInput(f"there is no {noun} {number} to supersede", remedy="Look it up in the log")
    if old["standing"] != Standing.CURRENT.value:
        raise Conflict(
            f"{noun} {number} does not count any more: it was {old['standing']}",
            remedy="Nothing was changed. Look at the log and supersede the one that counts now",
        )
    if not columns["why"]:
        raise BadInput(f"superseding {noun} {number} needs a reason", remedy="Say why in a few words")


def moment_of(shop: Shop, rod: int | None = None) -> tuple[str | None, ...]:
    """What tells one state of a shop from another: how far its sequence and each of its registers have come, and to
    which row.

    With a ``rod``, of the sequence only what is of that rod or of none. Nothing in a shop is ever changed, so two
    moments that are the same hold the same; after a backup is put back, other rows come under the same numbers.
    """
    with shop.reading() as connection:
        return tuple(connection.execute(_moment(rod)).one())


@lru_cache(maxsize=64)
def _moment(rod: int | None) -> Select[Any]:
    """What :func:`moment_of` asks; every page asks it several times."""
    return select(*(_newest(table, rod).scalar_subquery() for table in IN_ORDER))


def _newest(table: Table, rod: int | None) -> Select[Any]:
    key, own = next(iter(table.primary_key)), table.c.id if table in STREAMS else table.c.at
    newest = select(cast(key, Text) + " " + own).order_by(key.desc()).limit(1)
    if rod is None or table not in STREAMS:
        return newest
    if table is DOCKET:
        return newest.where((DOCKET.c.rod == rod) | DOCKET.c.rod.is_(None))
    its_own = table.c.rod_revision.in_(select(ROD_REVISION.c.id).where(ROD_REVISION.c.rod == rod))
    return newest.where(its_own | table.c.rod_revision.is_(None))


@cache
def standing(stream: Table) -> ColumnElement[str]:
    """Whether a row of ``stream`` is current, replaced or withdrawn, as an expression of SQL.

    A withdrawal never counts itself. A row is withdrawn if a withdrawal names it, replaced if another row names it
    that was not withdrawn in its turn; else it is current.
    """
    from sqlalchemy import case, or_

    later, undo = stream.alias("later"), stream.alias("undo")
    taken_back = exists().where(and_(later.c.supersedes == stream.c.seq, later.c.state == "withdrawn"))
    undone = exists().where(and_(undo.c.supersedes == later.c.seq, undo.c.state == "withdrawn"))
    replaced = exists().where(and_(later.c.supersedes == stream.c.seq, later.c.state != "withdrawn", ~undone))
    return case(
        (or_(stream.c.state == "withdrawn", taken_back), Standing.WITHDRAWN.value),
        (replaced, Standing.REPLACED.value),
        else_=Standing.CURRENT.value,
    )


def holds(connection: Connection, id: str) -> bool:
    """True if a row of any stream was kept under this ``id``."""
    return any(connection.execute(select(one.c.seq).where(one.c.id == id)).first() for one in STREAMS)


def by_seq(connection: Connection, stream: Table, seq: int) -> Row | None:
    """The row of ``stream`` at ``seq``, or None."""
    return connection.execute(select(stream).where(stream.c.seq == seq)).mappings().one_or_none()

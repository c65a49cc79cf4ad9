"""Dockets: the small papers of a shop, for what a stage records that is no reading, pass or event.

A weighing, a layout, a bend under known weights, a glue-up: each a kind in a word or two and a text its own room
wrote (JSON). Nothing is overwritten: a docket is superseded or withdrawn with a reason.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime

from sqlalchemy import select

from culmwright.ledger.records import Standing, State, new_id, now
from culmwright.ledger.rows import Row, clock_of, clock_text
from culmwright.ledger.shop import Shop
from culmwright.ledger.streams import add, by_seq, standing
from culmwright.ledger.tables import DOCKET
from culmwright.measure.errors import BadInput

LONGEST = 1 << 20
"""A text longer than this [characters] is no docket."""


@dataclass(frozen=True, slots=True)
class Docket:
    """A docket as it stands in the ledger: its place ``seq``, its ``kind``, what it is of, and its ``text``."""

    seq: int
    id: str
    kind: str
    text: str
    at: datetime
    rod: int | None = None
    section: str | None = None
    strip: int | None = None
    culm: int | None = None
    rig: int | None = None
    person: int | None = None


@dataclass(frozen=True, slots=True)
class DocketLine:
    """A docket in a rod's log: how it stands today; ``undoes`` True for one that takes another back, and ``why``."""

    docket: Docket
    standing: Standing
    undoes: bool
    why: str


def keep_docket(
    shop: Shop,
    kind: str,
    text: str,
    *,
    id: str | None = None,
    rod: int | None = None,
    section: str | None = None,
    strip: int | None = None,
    culm: int | None = None,
    rig: int | None = None,
    at: datetime | None = None,
    person: int | None = None,
    supersedes: int | None = None,
    why: str | None = None,
) -> Docket:
    """Keep a docket, or what replaces the one at ``supersedes`` and ``why``; when this returns, the disk has it.

    The same ``id`` with the same content again is the one that stands already. Raises :class:`BadInput` for a text
    that is empty or too long, ``Conflict`` where the id stands for something else.
    """
    if not text.strip() or len(text) > LONGEST:
        raise BadInput("a docket holds a text of at most a million characters", where=kind, remedy="Shorten it")
    columns = {
        "id": id or new_id(),
        "state": State.DONE.value,
        "at": clock_text(at or now()),
        "person": person,
        "supersedes": supersedes,
        "why": why,
        "kind": kind,
        "rod": rod,
        "section": section,
        "strip": strip,
        "culm": culm,
        "rig": rig,
        "text": text,
    }
    with shop.writing() as connection:
        add(connection, DOCKET, columns)
        row = connection.execute(select(DOCKET).where(DOCKET.c.id == columns["id"])).mappings().one()
    return _docket(row)


def withdraw_docket(
    shop: Shop, seq: int, why: str, *, id: str | None = None, at: datetime | None = None, person: int | None = None
) -> None:
    """Take back the docket at ``seq``; what it had replaced stands again."""
    with shop.writing() as connection:
        old = by_seq(connection, DOCKET, seq)
        if old is None:
            raise BadInput(f"there is no docket {seq} to take back", remedy="Look it up in the log")
        kept = {name: old[name] for name in ("kind", "rod", "section", "strip", "culm", "rig", "text")}
        columns = {
            "id": id or new_id(),
            "state": State.WITHDRAWN.value,
            "at": clock_text(at or now()),
            "person": person,
            "supersedes": seq,
            "why": why,
            **kept,
        }
        add(connection, DOCKET, columns)


def dockets(
    shop: Shop,
    kind: str | None = None,
    *,
    rod: int | None = None,
    section: str | None = None,
    strip: int | None = None,
    culm: int | None = None,
    rig: int | None = None,
) -> tuple[Docket, ...]:
    """The dockets that stand, in the order they were kept; of one kind, and of what is named."""
    wanted = select(DOCKET).where(standing(DOCKET) == Standing.CURRENT.value)
    asked = {"kind": kind, "rod": rod, "section": section, "strip": strip, "culm": culm, "rig": rig}
    for name, given in asked.items():
        if given is not None:
            wanted = wanted.where(DOCKET.c[name] == given)
    with shop.reading() as connection:
        return tuple(_docket(row) for row in connection.execute(wanted.order_by(DOCKET.c.seq)).mappings())


def docket_log(shop: Shop, rod: int, *, section: str | None = None, strip: int | None = None) -> tuple[DocketLine, ...]:
    """Every docket ever kept of a rod, in sequence; replaced and withdrawn ones and the withdrawals too.

    With ``section`` (and ``strip``) only what touches it, the whole rod's included.
    """
    wanted = select(DOCKET, standing(DOCKET).label("standing")).where(DOCKET.c.rod == rod)
    for name, given in (("section", section), ("strip", strip)):
        if given is not None:
            wanted = wanted.where((DOCKET.c[name] == given) | DOCKET.c[name].is_(None))
    with shop.reading() as connection:
        return tuple(
            DocketLine(_docket(row), Standing(row["standing"]), row["state"] == State.WITHDRAWN.value, row["why"] or "")
            for row in connection.execute(wanted.order_by(DOCKET.c.seq)).mappings()
        )


def _docket(row: Row) -> Docket:
    return Docket(
        row["seq"],
        row["id"],
        row["kind"],
        row["text"],
        clock_of(row["at"]),
        row["rod"],
        row["section"],
        row["strip"],
        row["culm"],
        row["rig"],
        row["person"],
    )

"""Rods, and the revisions of their drawings that they were made to."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime

from sqlalchemy import Connection, func, insert, select

from culmwright.ledger.faults import Conflict
from culmwright.ledger.happenings import event_columns
from culmwright.ledger.records import EventEntry, EventKind, new_id, now
from culmwright.ledger.register import insert_row
from culmwright.ledger.rows import Row, clock_of, clock_text
from culmwright.ledger.shop import Shop
from culmwright.ledger.streams import add
from culmwright.ledger.tables import EVENT, ROD, ROD_REVISION
from culmwright.measure.errors import BadInput


@dataclass(frozen=True, slots=True)
class Revision:
    """A rod as it was frozen: the rod file's ``text`` and ``digest``, and what the workshop made of it in ``plan``.

    ``id`` is what readings point to; ``rod`` and ``revision`` are what a maker says.
    """

    id: int
    rod: int
    name: str
    revision: int
    digest: str
    text: str
    plan: str | None
    at: datetime

    @property
    def code(self) -> str:
        """The rod as labels and spots name it, e.g. ``R7``."""
        return f"R{self.rod}"


def freeze(
    shop: Shop,
    name: str,
    text: str,
    digest: str,
    *,
    rod: int | None = None,
    plan: str | None = None,
    moment: datetime | None = None,
    note: str | None = None,
    after: int | None = None,
) -> Revision:
    """Freeze a rod to be made: a new rod with its next number, or the next revision of ``rod``.

    ``text`` is the rod file, ``digest`` the 64 hexadecimal digits of what it says. Freezing what the newest revision
    of the rod says already returns that revision. It is frozen now, unless another ``moment`` is given; ``note`` says
    why in the log. Raises :class:`Conflict` where the rod was frozen again since the revision numbered ``after``.
    """
    with shop.writing() as connection:
        at = clock_text(moment or now())
        if rod is None:
            rod = 1 + (connection.execute(select(func.max(ROD.c.number))).scalar() or 0)
            connection.execute(insert(ROD).values(number=rod, name=name, at=at))
        newest = _revisions(connection, rod)
        if newest and newest[-1].digest == digest:
            return newest[-1]
        if not newest and connection.execute(select(ROD.c.number).where(ROD.c.number == rod)).one_or_none() is None:
            raise _no_rod(shop, rod)
        if after is not None and newest and newest[-1].revision != after:
            raise Conflict(
                f"R{rod}.{newest[-1].revision} exists, frozen since R{rod}.{after} from which this was drawn",
                remedy=f"Look at R{rod}.{newest[-1].revision} first, then draw from there",
            )
        number = newest[-1].revision + 1 if newest else 1
        columns = {"rod": rod, "revision": number, "digest": digest, "text": text, "plan": plan}
        frozen = insert_row(connection, ROD_REVISION, columns, at=at)
        entry = EventEntry(new_id(), EventKind.REVISION_FROZEN, clock_of(at), frozen, note=note or None)
        add(connection, EVENT, event_columns(entry))
        return _revisions(connection, rod)[-1]


def revisions(shop: Shop, rod: int) -> tuple[Revision, ...]:
    """The frozen revisions of a rod, oldest first."""
    with shop.reading() as connection:
        found = _revisions(connection, rod)
    if not found:
        raise _no_rod(shop, rod)
    return found


def rods(shop: Shop) -> tuple[Revision, ...]:
    """The newest revision of every rod of the shop, by number."""
    with shop.reading() as connection:
        numbers = connection.execute(select(ROD.c.number).order_by(ROD.c.number)).scalars().all()
        return tuple(_revisions(connection, number)[-1] for number in numbers)


def frozen_as(shop: Shop, digest: str) -> tuple[Revision, ...]:
    """Every revision frozen from a drawing with this ``digest``."""
    with shop.reading() as connection:
        rows = connection.execute(_WITH_NAME.where(ROD_REVISION.c.digest == digest)).mappings()
        return tuple(_revision(row) for row in rows)


def _no_rod(shop: Shop, rod: int) -> BadInput:
    return BadInput(f"there is no rod R{rod} in this shop", where=str(shop.file), remedy="Name one that was begun here")


_WITH_NAME = select(ROD_REVISION, ROD.c.name).join(ROD).order_by(ROD_REVISION.c.rod, ROD_REVISION.c.revision)


def _revisions(connection: Connection, rod: int) -> tuple[Revision, ...]:
    rows = connection.execute(_WITH_NAME.where(ROD_REVISION.c.rod == rod)).mappings()
    return tuple(_revision(row) for row in rows)


def _revision(row: Row) -> Revision:
    return Revision(
        row["id"],
        row["rod"],
        row["name"],
        row["revision"],
        row["digest"],
        row["text"],
        row["plan"],
        clock_of(row["at"]),
    )

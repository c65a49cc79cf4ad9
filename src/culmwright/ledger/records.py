"""What goes into the ledger and what comes out: complete, frozen, exact.

An ``id`` is made where the entry is typed (:func:`new_id`), so that an entry sent twice is one entry.
"""

from __future__ import annotations

import re
import secrets
from dataclasses import dataclass
from datetime import UTC, datetime
from enum import Enum

from culmwright.measure.errors import BadInput
from culmwright.measure.lengths import Length
from culmwright.measure.spot import Spot

_ID = re.compile(r"[0-9A-Za-z_-]{16,64}")


def new_id() -> str:
    """A fresh id for one entry: 32 hexadecimal digits of chance."""
    return secrets.token_hex(16)


def now() -> datetime:
    """This moment, UTC."""
    return datetime.now(UTC)


class State(Enum):
    """What a row of the bench says: something was ``MEASURED`` or ``DONE``, a cell was ``SKIPPED``, or what it
    supersedes is ``WITHDRAWN``.
    """

    MEASURED = "measured"
    SKIPPED = "skipped"
    DONE = "done"
    WITHDRAWN = "withdrawn"


class EventKind(Enum):
    """What can happen to a rod beside readings and passes."""

    REVISION_FROZEN = "revision frozen"
    SOAK_STARTED = "soak started"
    SOAK_ENDED = "soak ended"
    DRYING_STARTED = "drying started"
    DRYING_ENDED = "drying ended"
    HEATED = "heated"
    STRAIGHTENED = "straightened"
    BOUND = "bound"
    GLUED = "glued"
    GLUE_SET = "glue set"
    VARNISHED = "varnished"
    STOP_SET = "stop set"
    IRON_SHARPENED = "iron sharpened"
    STRIP_SCRAPPED = "strip scrapped"
    NOTED = "noted"


class Standing(Enum):
    """Whether a row of the bench counts today."""

    CURRENT = "current"
    REPLACED = "replaced"
    WITHDRAWN = "withdrawn"


@dataclass(frozen=True, slots=True)
class Cell:
    """One place of a walk: what is read, of which frozen revision, at which stage and after which pass.

    ``strip`` None is the glued section; ``face`` tells the faces of one strip, or pairs of flats, apart where more
    than one is read. Pass 0 is before the first.
    """

    rod_revision: int
    section: str
    station: Length
    stage: str
    pass_number: int = 0
    strip: int | None = None
    face: int | None = None

    @property
    def spot(self) -> Spot:
        """The address of the cell on its rod."""
        return Spot(self.section, self.strip, self.station)


@dataclass(frozen=True, slots=True)
class Entry:
    """A reading as it is sent: ``value`` exact, with the text as typed or as the gauge sent it, and its unit.

    ``supersedes`` is the ``seq`` of the reading it replaces or withdraws, ``why`` the reason for that or for a skip.
    """

    id: str
    cell: Cell
    state: State
    value: Length | None
    wet: bool
    at: datetime
    gauge: int | None = None
    person: int | None = None
    supersedes: int | None = None
    why: str | None = None

    @classmethod
    def measured(
        cls,
        cell: Cell,
        value: Length,
        *,
        wet: bool,
        gauge: int | None = None,
        person: int | None = None,
        id: str | None = None,
        at: datetime | None = None,
    ) -> Entry:
        """A cell's reading, made now unless told otherwise."""
        return cls(id or new_id(), cell, State.MEASURED, value, wet, at or now(), gauge, person)

    @classmethod
    def skipped(
        cls,
        cell: Cell,
        why: str,
        *,
        wet: bool,
        person: int | None = None,
        id: str | None = None,
        at: datetime | None = None,
    ) -> Entry:
        """A cell passed over, and why."""
        return cls(id or new_id(), cell, State.SKIPPED, None, wet, at or now(), None, person, None, why)


@dataclass(frozen=True, slots=True)
class Reading:
    """A reading as it stands in the ledger: its place ``seq`` in the one sequence of the bench, and its entry."""

    seq: int
    entry: Entry

    def again(self, value: Length, why: str, *, id: str | None = None, at: datetime | None = None) -> Entry:
        """The entry that replaces this reading by a new ``value`` of the same cell."""
        old = self.entry
        return Entry(
            id or new_id(), old.cell, State.MEASURED, value, old.wet, at or now(), old.gauge, old.person, self.seq, why
        )

    def withdrawn(
        self, why: str, *, person: int | None = None, id: str | None = None, at: datetime | None = None
    ) -> Entry:
        """The entry that undoes this reading; what it had replaced stands again."""
        old = self.entry
        return Entry(id or new_id(), old.cell, State.WITHDRAWN, None, old.wet, at or now(), None, person, self.seq, why)


@dataclass(frozen=True, slots=True)
class PassEntry:
    """A pass as it is sent: over all strips of a section or over one; ``depth`` and ``stop`` where they are known."""

    id: str
    rod_revision: int
    section: str
    stage: str
    number: int
    wet: bool
    at: datetime
    strip: int | None = None
    depth: Length | None = None
    stop: Length | None = None
    rig: int | None = None
    note: str | None = None
    person: int | None = None
    state: State = State.DONE
    supersedes: int | None = None
    why: str | None = None


@dataclass(frozen=True, slots=True)
class PassMade:
    """A pass as it stands in the ledger."""

    seq: int
    entry: PassEntry


@dataclass(frozen=True, slots=True)
class EventEntry:
    """An event as it is sent; ``ready_at`` is when a soak or a drying is planned to be over."""

    id: str
    kind: EventKind
    at: datetime
    rod_revision: int | None = None
    section: str | None = None
    strip: int | None = None
    culm: int | None = None
    rig: int | None = None
    ready_at: datetime | None = None
    note: str | None = None
    person: int | None = None
    state: State = State.DONE
    supersedes: int | None = None
    why: str | None = None


@dataclass(frozen=True, slots=True)
class Event:
    """An event as it stands in the ledger."""

    seq: int
    entry: EventEntry


@dataclass(frozen=True, slots=True)
class LogLine:
    """One line of a rod's story, and whether it still counts."""

    record: Reading | PassMade | Event
    standing: Standing


def must_be_id(text: str) -> str:
    """``text`` if it will do as an entry's id."""
    if not _ID.fullmatch(text):
        raise BadInput(
            f'"{text[:64]}" is not an id of an entry',
            remedy="Make one of 16 to 64 letters, digits, - and _ where the entry is typed",
        )
    return text

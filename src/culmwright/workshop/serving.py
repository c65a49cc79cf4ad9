"""What a program may ask the shop for, as records: rods, people, gauges, readings and dockets."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime

from culmwright.design.rod_file import rod_from_text
from culmwright.ledger.dockets import Docket, dockets, keep_docket, withdraw_docket
from culmwright.ledger.frozen import Revision, freeze, frozen_as, revisions, rods
from culmwright.ledger.readings import current
from culmwright.ledger.register import Gauge, add_gauge, gauges, people, person_named
from culmwright.ledger.shop import Shop
from culmwright.measure.errors import BadInput
from culmwright.measure.lengths import Length
from culmwright.measure.record import si
from culmwright.workshop.noting import EventKind, must_be_there, note
from culmwright.workshop.opening import Begun, find

LONGEST_NAME, LONGEST_NOTE = 60, 1000


@dataclass(frozen=True, slots=True)
class RevisionRecord:
    """A rod of the shop as it was frozen: its ``code`` and name, the digest of its drawing, and when."""

    code: str
    rod: str
    revision: int
    name: str
    digest: str
    at: str


@dataclass(frozen=True, slots=True)
class RodRecord:
    """A rod of the shop: its newest revision, how many there are, and the rod file it was frozen from."""

    newest: RevisionRecord
    revisions: int
    text: str


@dataclass(frozen=True, slots=True)
class RodList:
    """The rods of a shop."""

    rods: tuple[RevisionRecord, ...]


@dataclass(frozen=True, slots=True)
class RevisionList:
    """The revisions of a rod, oldest first."""

    revisions: tuple[RevisionRecord, ...]


@dataclass(frozen=True, slots=True)
class PersonRecord:
    """A hand of the shop."""

    id: int
    name: str


@dataclass(frozen=True, slots=True)
class PersonList:
    """The hands of a shop."""

    people: tuple[PersonRecord, ...]


@dataclass(frozen=True, slots=True)
class GaugeRecord:
    """A gauge and the unit it is declared to show."""

    id: int
    name: str
    unit: str
    note: str | None
    resolution: float | None = si("m")


@dataclass(frozen=True, slots=True)
class GaugeList:
    """The gauges of a shop as they are declared now."""

    gauges: tuple[GaugeRecord, ...]


@dataclass(frozen=True, slots=True)
class ReadingRecord:
    """A reading or skip that counts: where, after which pass, its value and what was typed; ``why`` it was left out."""

    seq: int
    id: str
    spot: str
    stage: str
    cut: int
    state: str
    typed: str | None
    wet: bool
    at: str
    gauge: int | None
    person: int | None
    why: str | None
    value: float | None = si("m")


@dataclass(frozen=True, slots=True)
class ReadingList:
    """The readings that count for one revision of a rod, in the order they were kept."""

    code: str
    readings: tuple[ReadingRecord, ...]


@dataclass(frozen=True, slots=True)
class EventRecord:
    """An event that was put into the log of a rod."""

    seq: int
    id: str
    kind: str
    at: str
    code: str
    section: str | None
    strip: int | None
    words: str | None
    ready_at: str | None


@dataclass(frozen=True, slots=True)
class DocketRecord:
    """A docket that stands: its kind, what it is of, and its text as its own room wrote it."""

    seq: int
    id: str
    kind: str
    text: str
    at: str
    rod: str | None
    section: str | None
    strip: int | None
    culm: int | None
    rig: int | None
    person: int | None


@dataclass(frozen=True, slots=True)
class DocketList:
    """The dockets that stand, in the order they were kept."""

    dockets: tuple[DocketRecord, ...]


def rod_list(shop: Shop) -> RodList:
    """The rods of a shop, each as it was frozen last."""
    return RodList(tuple(_revision(one) for one in rods(shop)))


def rod_record(shop: Shop, code: str) -> RodRecord:
    """A rod of the shop."""
    begun = find(shop, code)
    return RodRecord(_revision(begun.revision), len(revisions(shop, begun.revision.rod)), begun.revision.text)


def revision_list(shop: Shop, code: str) -> RevisionList:
    """The revisions of a rod."""
    return RevisionList(tuple(_revision(one) for one in revisions(shop, find(shop, code).revision.rod)))


def begin_text(shop: Shop, text: str) -> RodRecord:
    """Freeze the rod that the ``text`` of a rod file draws; one redrawn since is the next revision of its namesake."""
    rod = rod_from_text(text)
    known = frozen_as(shop, rod.digest)
    if known:
        kept = known[-1]
    else:
        namesake = next((one.rod for one in rods(shop) if one.name == rod.name), None)
        kept = freeze(shop, rod.name, text, rod.digest, rod=namesake)
    return rod_record(shop, Begun(kept, rod).code)


def _revision(one: Revision) -> RevisionRecord:
    return RevisionRecord(f"{one.code}.{one.revision}", one.code, one.revision, one.name, one.digest, _at(one.at))


def _at(moment: datetime) -> str:
    return moment.isoformat()


def person_list(shop: Shop) -> PersonList:
    """The hands of a shop."""
    return PersonList(tuple(PersonRecord(one.id, one.name) for one in people(shop)))


def enter_person(shop: Shop, name: str) -> PersonRecord:
    """Enter a hand of the shop, or find them."""
    kept = person_named(shop, tidy(name, "name"))
    return PersonRecord(kept.id, kept.name)


def tidy(text: str, where: str, longest: int = LONGEST_NAME) -> str:
    """A name or a few words, tidy; refuses what is empty, too long or not to be printed."""
    said = " ".join(text.split())
    if not said or len(said) > longest or not said.isprintable():
        raise BadInput(f"this is no {where}", where=where, remedy=f"Give 1 to {longest} letters")
    return said


def gauge_list(shop: Shop) -> GaugeList:
    """The gauges of a shop."""
    return GaugeList(tuple(_gauge(one) for one in gauges(shop)))


def enter_gauge(
    shop: Shop, name: str, unit: str, resolution: str = "", *, supersedes: int | None = None, why: str = ""
) -> GaugeRecord:
    """Enter a gauge, or what an entered one shows now and ``why``."""
    fine = Length.parse(resolution, unit) if resolution.strip() else None
    if fine is not None and fine.nanometres <= 0:
        raise BadInput(f"{fine} is no resolution", where="resolution", remedy="Give it like 0.01 mm")
    reason = tidy(why, "reason", 200) if why else None
    return _gauge(add_gauge(shop, tidy(name, "name"), unit, resolution=fine, supersedes=supersedes, why=reason))


def _gauge(one: Gauge) -> GaugeRecord:
    return GaugeRecord(one.id, one.name, one.unit, one.note, one.resolution.m if one.resolution else None)


def reading_list(shop: Shop, code: str) -> ReadingList:
    """The readings that count for one revision of a rod."""
    begun = find(shop, code)
    found = []
    for one in current(shop, begun.revision.id):
        entry = one.entry
        found.append(
            ReadingRecord(
                seq=one.seq,
                id=entry.id,
                spot=str(entry.cell.spot),
                stage=entry.cell.stage,
                cut=entry.cell.pass_number,
                state=entry.state.value,
                typed=entry.value.text if entry.value else None,
                wet=entry.wet,
                at=_at(entry.at),
                gauge=entry.gauge,
                person=entry.person,
                why=entry.why,
                value=entry.value.m if entry.value else None,
            )
        )
    return ReadingList(begun.code, tuple(found))


def enter_event(
    shop: Shop,
    code: str,
    kind: str,
    *,
    section: str | None = None,
    strip: int | None = None,
    words: str | None = None,
    at: datetime | None = None,
    ready_at: datetime | None = None,
) -> EventRecord:
    """Put an event into the log of a rod."""
    begun = find(shop, code)
    said = tidy(words, "note", LONGEST_NOTE) if words else None
    kept = note(
        shop, begun, EventKind(kind), section=section, strip=strip, words=said, at=at, ready_at=ready_at
    )  # fmt: skip
    entry = kept.entry
    ready = _at(entry.ready_at) if entry.ready_at else None
    return EventRecord(
        kept.seq, entry.id, kind, _at(entry.at), begun.code, entry.section, entry.strip, entry.note, ready
    )


def docket_list(shop: Shop, kind: str | None = None, rod: str | None = None) -> DocketList:
    """The dockets that stand, of one kind and one rod where they are named."""
    number = find(shop, rod).revision.rod if rod else None
    return DocketList(tuple(_docket(one) for one in dockets(shop, kind, rod=number)))


def enter_docket(
    shop: Shop,
    kind: str,
    text: str,
    *,
    id: str,
    rod: str | None = None,
    section: str | None = None,
    strip: int | None = None,
    person: int | None = None,
    supersedes: int | None = None,
    why: str | None = None,
) -> DocketRecord:
    """Keep a docket; sent again with the same id it is the same one."""
    begun = find(shop, rod) if rod else None
    if begun is not None:
        must_be_there(begun.rod, section, strip)
    known = next((one for one in dockets(shop) if one.id == id), None)
    kept = keep_docket(
        shop,
        kind,
        text,
        id=id,
        rod=begun.revision.rod if begun else None,
        section=section,
        strip=strip,
        at=known.at if known else None,
        person=person,
        supersedes=supersedes,
        why=why,
    )
    return _docket(kept)


def withdraw(shop: Shop, seq: int, why: str) -> None:
    """Take a docket back, for a reason."""
    withdraw_docket(shop, seq, tidy(why, "reason", 200))


def _docket(one: Docket) -> DocketRecord:
    return DocketRecord(
        one.seq,
        one.id,
        one.kind,
        one.text,
        _at(one.at),
        f"R{one.rod}" if one.rod else None,
        one.section,
        one.strip,
        one.culm,
        one.rig,
        one.person,
    )

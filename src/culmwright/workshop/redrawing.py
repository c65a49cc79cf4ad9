"""Keeping what was drawn on a page: a new rod frozen as ``R7.1``, a taper redrawn as ``R7.2``, two of them compared."""

from __future__ import annotations

from dataclasses import dataclass

from culmwright.design.rod import Rod
from culmwright.design.rod_file import rod_from_text
from culmwright.ledger.frozen import Revision, freeze, frozen_as, revisions
from culmwright.ledger.happenings import events
from culmwright.ledger.records import EventKind
from culmwright.ledger.shop import Shop
from culmwright.measure.errors import BadInput
from culmwright.measure.moments import clock
from culmwright.measure.record import si
from culmwright.workshop.drafting import Drafted
from culmwright.workshop.opening import Begun, find

LONGEST_REASON = 200


@dataclass(frozen=True, slots=True)
class RevisionLine:
    """A revision of a rod in a line: its ``code``, when it was frozen, and why."""

    code: str
    at: str
    why: str


@dataclass(frozen=True, slots=True)
class Step:
    """Across at a station [m] in the ``older`` and the ``newer`` drawing, and how much the newer is wider."""

    station: float = si("m")
    older: float = si("m")
    newer: float = si("m")
    wider: float = si("m")


@dataclass(frozen=True, slots=True)
class Compared:
    """Two revisions of a rod side by side: their differences at every station of either, and in words."""

    older: Begun
    newer: Begun
    steps: tuple[Step, ...]
    words: tuple[str, ...]


def keep_new(shop: Shop, made: Drafted) -> Begun:
    """Freeze a new rod of the shop; the very same drawing kept twice is one rod."""
    known = frozen_as(shop, made.rod.digest)
    if known:
        return find(shop, f"{known[-1].code}.{known[-1].revision}")
    return Begun(freeze(shop, made.rod.name, made.text, made.rod.digest), made.rod)


def keep_redrawn(shop: Shop, begun: Begun, made: Drafted, why: str, *, after: int | None = None) -> Begun:
    """Freeze ``made`` as the next revision of a rod, drawn from ``begun``, because of ``why``.

    Readings stay with the revision they were made to. Raises :class:`BadInput` where nothing was changed or no reason
    is given, :class:`Conflict` where another revision was frozen meanwhile than the one numbered ``after``: who names
    it knows of it and wants this drawing all the same.
    """
    said = reason_in(why)
    if made.rod.digest == begun.rod.digest:
        raise BadInput("nothing was changed", where="taper", remedy=f"Change a station; {begun.code} stands as it is")
    frozen = freeze(
        shop,
        made.rod.name,
        made.text,
        made.rod.digest,
        rod=begun.revision.rod,
        note=said,
        after=after or begun.revision.revision,
    )
    return Begun(frozen, made.rod)


def reason_in(why: str) -> str:
    """The reason for a new revision, in one line. Raises :class:`BadInput` where there is none."""
    said = " ".join(why.split())
    if not said or len(said) > LONGEST_REASON or not said.isprintable():
        raise BadInput(
            "a redrawn taper needs a reason",
            where="reason",
            remedy=f"Say why in a line of at most {LONGEST_REASON} characters, for the log",
        )
    return said


@dataclass(frozen=True, slots=True)
class Between:
    """The revision that was frozen since a drawing was begun: its ``code`` and number, and what it changed in words."""

    code: str
    revision: int
    words: tuple[str, ...]


def came_between(shop: Shop, begun: Begun, known: int | None = None) -> Between | None:
    """What was frozen of a rod since ``begun``, unless it is ``known`` by its number; None for nothing."""
    newest = revisions(shop, begun.revision.rod)[-1]
    if newest.revision in (begun.revision.revision, known):
        return None
    return Between(_code(newest), newest.revision, compare(shop, begun.code, _code(newest)).words)


def revision_lines(shop: Shop, begun: Begun) -> tuple[RevisionLine, ...]:
    """Every revision of a rod, newest first."""
    happened = events(shop, begun.revision.rod, kinds=(EventKind.REVISION_FROZEN,))
    why = {one.entry.rod_revision: one.entry.note or "" for one in happened}
    every = revisions(shop, begun.revision.rod)
    return tuple(RevisionLine(_code(one), clock(one.at), why.get(one.id, "")) for one in reversed(every))


def _code(one: Revision) -> str:
    return f"{one.code}.{one.revision}"


def compare(shop: Shop, code: str, other: str) -> Compared:
    """Two revisions of one rod, the older one first whatever the order asked. Raises :class:`BadInput` for others."""
    one, two = find(shop, code), find(shop, other)
    if one.revision.rod != two.revision.rod:
        raise BadInput(
            f"{two.code} is another rod than {one.code}", where=other, remedy="Name two revisions of the same rod"
        )
    older, newer = sorted((one, two), key=lambda begun: begun.revision.revision)
    places = sorted({station.m for begun in (older, newer) for station in begun.rod.taper.stations})
    steps = tuple(
        Step(x, older.rod.taper.at(x), newer.rod.taper.at(x), newer.rod.taper.at(x) - older.rod.taper.at(x))
        for x in places
        if x <= min(older.rod.length.m, newer.rod.length.m)
    )
    return Compared(older, newer, steps, tuple(_words(older.rod, newer.rod, steps)))


SAME = 1e-9
"""Across that differs by less than this [m] is the same."""


def _words(older: Rod, newer: Rod, steps: tuple[Step, ...]) -> list[str]:
    show = newer.display
    changed = [one for one in steps if abs(one.wider) > SAME]
    said = []
    if not changed:
        said.append("the taper is the same at every station")
    else:
        most = max(changed, key=lambda one: abs(one.wider))
        side = "wider" if most.wider > 0 else "narrower"
        count = f"{len(changed)} of {len(steps)} stations"
        said.append(
            f"{count} differ, most at station {show.station(most.station)}: {show.small(abs(most.wider))} {side}"
        )
    if older.length != newer.length:
        said.append(f"the length went from {show.long(older.length.m)} to {show.long(newer.length.m)}")
    if older.varnish != newer.varnish:
        said.append(f"varnish went from {show.small(older.varnish.m)} to {show.small(newer.varnish.m)}")
    for what, before, after in (
        ("the ferrules", older.ferrules, newer.ferrules),
        ("the guides", older.guides, newer.guides),
        ("the tips' own tapers", older.tip_tapers, newer.tip_tapers),
        ("the cane", older.cane, newer.cane),
        ("the making of strips", older.making, newer.making),
        ("the bench", older.bench, newer.bench),
        ("the line", older.line, newer.line),
    ):
        if before != after:
            said.append(f"{what} differ too: see the two files")
    return said


def rod_of(text: str) -> Rod:
    """The rod that the text of a rod file says."""
    return rod_from_text(text)

"""``glue`` and ``finish``: what was glued with what, how long that was workable, and what was done to a section after.

Kept as dockets of the kinds below; ``glue`` also puts the glue-up into the log, so that its cure is waited for where
one is given.
"""

from __future__ import annotations

import json
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta
from enum import Enum

from culmwright.bench.glue_clock import pot_life
from culmwright.bench.glue_working import pot_working
from culmwright.book.cautions import GLUE, LATHE
from culmwright.book.ladders import folded
from culmwright.book.leaf import Block, Leaf, Rows, Words
from culmwright.book.ruler import Ruler
from culmwright.book.words import sentence
from culmwright.ledger.dockets import Docket, dockets, keep_docket
from culmwright.ledger.happenings import events
from culmwright.ledger.records import EventKind
from culmwright.ledger.records import now as this_moment
from culmwright.ledger.shop import Shop
from culmwright.measure.band import Band
from culmwright.measure.display import Display
from culmwright.measure.errors import BadInput
from culmwright.measure.moments import clock
from culmwright.measure.record import si
from culmwright.workshop.judging import GLUE_UP
from culmwright.workshop.matching import nodes_words, order_of
from culmwright.workshop.noting import must_be_there, note
from culmwright.workshop.opening import Begun
from culmwright.workshop.unread import Unread, unread

LONGEST_WORDS = 200
LONGEST_CURE = 90 * 86_400.0
"""A cure beyond this [s] is a slip (own choice)."""


class Work(Enum):
    """What is recorded of a section or rod after its glue-up: its kind in the shop, and what a maker writes down."""

    STRAIGHT = ("straightness", "bow and twist, where, and what was done about them")
    FERRULE = ("ferrule fitted", "size, station, how it was bedded")
    GUIDE = ("guide placed", "size and station")
    COAT = ("coat", "what, how thinned, how put on")

    @property
    def kind(self) -> str:
        """The kind of its dockets."""
        return self.value[0]

    @property
    def asks(self) -> str:
        """What to write down."""
        return self.value[1]


@dataclass(frozen=True, slots=True)
class Glue:
    """A glue as its data sheet has it: ``name``, ``batch``, ``pot_life`` [s] at ``stated_at`` [K], ``cure`` [s]."""

    name: str
    batch: str = ""
    pot_life: float | None = None
    stated_at: float | None = None
    cure: float | None = None


@dataclass(frozen=True, slots=True)
class GlueUp:
    """A section glued: with what, from mixing to the last turn of cord, at ``bench`` [K]; ``workable`` [s] there.

    ``took`` [s] is from mixing to binding, None where nobody says when it was mixed; ``late`` True where that was
    longer than the shorter bound of the pot life. ``ring`` is the order of the strips, ``warnings`` what they were not
    read at.
    """

    section: str
    glue: str
    batch: str
    at: datetime
    ring: tuple[int, ...]
    bench: float | None = si("K")
    workable: Band | None = si("")
    took: float | None = si("s")
    late: bool = si("")
    set_by: datetime | None = si("")
    notes: tuple[str, ...] = ()
    warnings: tuple[str, ...] = ()


def glue(
    shop: Shop,
    begun: Begun,
    section: str,
    used: Glue,
    *,
    bench: float | None = None,
    mixed: datetime | None = None,
    bound: datetime | None = None,
    again: str = "",
    id: str | None = None,
) -> GlueUp:
    """Record that a ``section`` was glued with what was ``used``, at ``bench`` [K], ``mixed`` and ``bound`` when.

    Bound now where nobody says when. A section is glued once: for ``again`` with its reason the new record replaces the
    one that stands. Raises :class:`BadInput` for times out of order, a cure that is none and a
    temperature the data sheet's figure does not reach.
    """
    must_be_there(begun.rod, section)
    if not used.name.strip():
        raise BadInput("a glue-up says with what", where="glue", remedy="Give the glue as its label has it")
    old = next((one for one in reversed(glued(shop, begun)) if one.section == section and one.id != id), None)
    if old is not None and not again.strip():
        raise BadInput(
            f"{section} is glued already, since {clock(old.at)} with {json.loads(old.text)['glue']}",
            where=section,
            remedy="If it was opened and glued again, or that record is wrong, say so: again, and why",
        )
    at = bound or this_moment()
    if mixed and at < mixed:
        raise BadInput("it was bound before the glue was mixed", where="bound", remedy="Look at both times again")
    if used.cure is not None and not 0 < used.cure <= LONGEST_CURE:
        raise BadInput("this is no time to cure", where="cure", remedy="Give it as the data sheet says, such as 24 h")
    workable, notes = workable_for(used, bench)
    took = (at - mixed).total_seconds() if mixed else None
    late = took is not None and workable is not None and took > workable.low
    if late:
        notes = (
            *notes,
            "it took longer than the glue may have stayed workable: look at the seams before it is finished",
        )
    set_by = at + timedelta(seconds=used.cure) if used.cure else None
    ring = order_of(shop, begun, section)
    made = GlueUp(
        section,
        used.name.strip(),
        used.batch.strip(),
        at,
        ring,
        bench,
        workable,
        took,
        late,
        set_by,
        notes,
        tuple(filter(None, (unread(shop, begun, section, ring).words,))),
    )
    said = f"{made.glue}{', batch ' + made.batch if made.batch else ''}, strips {' '.join(map(str, made.ring))}"
    seq, why = (None, None) if old is None else (old.seq, again.strip())
    rod = begun.revision.rod
    keep_docket(shop, GLUE_UP, _text(made, used), id=id, rod=rod, section=section, at=at, supersedes=seq, why=why)
    if old is not None:
        said = f"again ({why}): {said}"
    note(shop, begun, EventKind.GLUED, section=section, words=said, at=at, ready_at=set_by, id=id and f"{id}-log")
    return made


def workable_for(used: Glue, bench: float | None) -> tuple[Band | None, tuple[str, ...]]:
    """How long [s] a glue stays workable at ``bench`` [K], as a rule of thumb; or why that is not reckoned."""
    if used.pot_life is None:
        return None, ()
    if used.stated_at is None or bench is None:
        return None, ("the pot life is not reckoned: give its data sheet's temperature and that of the bench",)
    return pot_life(used.pot_life, used.stated_at, bench), ()


def _text(made: GlueUp, used: Glue) -> str:
    told = {
        "glue": made.glue,
        "batch": made.batch,
        "ring": list(made.ring),
        "bench_k": made.bench,
        "workable_s": None if made.workable is None else [made.workable.low, made.workable.high],
        "pot_life_s": used.pot_life,
        "stated_at_k": used.stated_at,
        "took_s": made.took,
        "set_by": None if made.set_by is None else made.set_by.isoformat(),
        "notes": list(made.notes),
    }
    return json.dumps(told, ensure_ascii=False)


def finish(
    shop: Shop, begun: Begun, work: Work, words: str, section: str | None = None, *, id: str | None = None
) -> Docket:
    """Record a piece of ``work`` on a section, or on the whole rod, in ``words``."""
    must_be_there(begun.rod, section)
    tidy = tidied(work, words)
    return keep_docket(shop, work.kind, json.dumps({"words": tidy}), id=id, rod=begun.revision.rod, section=section)


def tidied(work: Work, words: str) -> str:
    """The ``words`` of a piece of ``work`` without spare blanks; refused where there are none, or too many."""
    tidy = " ".join(words.split())
    if not 0 < len(tidy) <= LONGEST_WORDS:
        raise BadInput(f"write down {work.asks}", where=work.kind, remedy=f"In 1 to {LONGEST_WORDS} letters")
    return tidy


def glued(shop: Shop, begun: Begun) -> tuple[Docket, ...]:
    """The glue-ups of a rod, oldest first."""
    return dockets(shop, GLUE_UP, rod=begun.revision.rod)


def glued_unread(shop: Shop, begun: Begun) -> tuple[Unread, ...]:
    """Of the sections glued, what strips of theirs were not read at."""
    ups = {one.section or "": tuple(json.loads(one.text)["ring"]) for one in glued(shop, begun)}
    found = (unread(shop, begun, section, ring) for section, ring in ups.items())
    return tuple(one for one in found if one.read)


def finished(shop: Shop, begun: Begun) -> tuple[tuple[Work, Docket], ...]:
    """What was recorded of a rod after its glue-ups, oldest first."""
    found = [(work, one) for work in Work for one in dockets(shop, work.kind, rod=begun.revision.rod)]
    return tuple(sorted(found, key=lambda pair: pair[1].seq))


def state_of(shop: Shop, begun: Begun) -> str:
    """How far glue-up and finish are: none, half or done (every section glued)."""
    if not glued(shop, begun):
        return "none"
    return "done" if all_glued(shop, begun) else "half"


def all_glued(shop: Shop, begun: Begun) -> bool:
    """True once every section of a rod is glued."""
    return {one.section for one in glued(shop, begun)} >= {one.name for one in begun.rod.sections()}


def made_up(shop: Shop, begun: Begun) -> bool:
    """True for a rod whose sections are all glued, or that is in the records with varnish on."""
    varnished = events(shop, begun.revision.rod, kinds=(EventKind.VARNISHED,))
    return all_glued(shop, begun) or bool(varnished) or any(work is Work.COAT for work, _ in finished(shop, begun))


def leaves_of(shop: Shop, begun: Begun, ruler: Ruler) -> tuple[Leaf, ...]:
    """The record of glue-ups and of what came after; empty until something was recorded."""
    ups, after, show = glued(shop, begun), finished(shop, begun), begun.rod.display
    if not ups and not after:
        return ()
    blocks: list[Block] = []
    if ups:
        heads = ("section", "strips in ring order", "glue", "bench", "workable", "took", "bound")
        blocks.append(Rows(heads, tuple(_row(one, show) for one in ups), "Glue-ups", lead=3))
        nodes = (nodes_words(shop, begun, one.section or "", tuple(json.loads(one.text)["ring"])) for one in ups)
        blocks += [Words(said) for said in nodes if said]
        blocks += [Words(sentence(one.words), strong=True) for one in glued_unread(shop, begun)]
        blocks += [
            Words(f"{one.section}: {said}.", strong=True) for one in ups for said in json.loads(one.text)["notes"]
        ]
        blocks.append(
            Words(
                "How long a glue stays workable is a rule of thumb from its data sheet's figure (two to three times as "
                "fast for every 10 °C, or 18 °F); the data sheet stands above it."
            )
        )
        blocks += _clock_folds(ups, show)
        cures = ((one.section, json.loads(one.text)["set_by"]) for one in ups)
        blocks += [Words(f"{name} stays bound until {clock(datetime.fromisoformat(by))}.") for name, by in cures if by]
    if after:
        rows = tuple(
            (one.section or "rod", work.kind, json.loads(one.text)["words"], clock(one.at)) for work, one in after
        )
        blocks.append(Rows(("of", "what", "in words", "when"), rows, "What was done after", lead=4))
    return (Leaf("Glue-up and finish", tuple(blocks), f"{GLUE} {LATHE}"),)


def inputs_of(one: Docket) -> tuple[float, float, float] | None:
    """The data sheet's pot life [s], where it holds [K], and how warm the bench was [K]; None unless all were said."""
    told = json.loads(one.text)
    life, at, bench = (told.get(name) for name in ("pot_life_s", "stated_at_k", "bench_k"))
    return None if life is None or at is None or bench is None else (life, at, bench)


def _clock_folds(ups: Sequence[Docket], show: Display) -> list[Block]:
    """The working of how long each glue-up was workable; of the first of those that are alike."""
    made: dict[tuple[float, float, float], Block] = {}
    for one in ups:
        inputs = inputs_of(one)
        if inputs is not None and inputs not in made:
            made[inputs] = folded(f"how long the glue of {one.section} stays workable", pot_working(*inputs), show)
    return list(made.values())


def _row(one: Docket, show: Display) -> tuple[str, ...]:
    told = json.loads(one.text)
    glue_and_batch = ", ".join(part for part in (told["glue"], told["batch"] and f"batch {told['batch']}") if part)
    return (
        one.section or "",
        " ".join(map(str, told["ring"])),
        glue_and_batch,
        "–" if told["bench_k"] is None else show.temperature(told["bench_k"]),
        "–" if told["workable_s"] is None else Band(*told["workable_s"]).words(show.time),
        "–" if told["took_s"] is None else show.time(told["took_s"]),
        clock(one.at),
    )


def words_of(made: GlueUp, show: Display) -> Sequence[str]:
    """A glue-up in sentences."""
    said = [f"{made.section} is glued with {made.glue}, strips {' '.join(map(str, made.ring))} around the ring."]
    if made.workable is not None:
        said.append(
            f"At the bench's temperature it stays workable for {made.workable.words(show.time)}, as a rule of thumb; "
            "its data sheet stands above this."
        )
    if made.took is not None:
        said.append(f"From mixing to binding it took {show.time(made.took)}.")
    said += [f"{one[0].upper()}{one[1:]}." for one in made.notes]
    if made.set_by is not None:
        said.append(f"Leave it bound until {clock(made.set_by)}.")
    return (*said, GLUE)

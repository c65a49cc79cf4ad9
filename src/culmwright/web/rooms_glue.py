"""Glue-up: what a section was glued with and how long that was workable, and what was done to it after."""

from __future__ import annotations

from datetime import timedelta
from functools import partial

from fastapi import Request

from culmwright.book.cautions import GLUE, LATHE
from culmwright.measure.errors import BadInput, together
from culmwright.measure.quantities import Kind
from culmwright.web.rooms_form import WHEN, Field, Look, Press, Slip, Typed, beside
from culmwright.web.rooms_stage import Room, Seen, routes_of
from culmwright.workshop.gluing import Glue, Work, finish, glue, glued, state_of, workable_for
from culmwright.workshop.looking_work import in_words
from culmwright.workshop.matching import order_of
from culmwright.workshop.opening import Begun, Shop
from culmwright.workshop.unread import unread


def _slips(request: Request, shop: Shop, begun: Begun) -> tuple[Slip, ...]:
    names = [one.name for one in begun.rod.sections()]
    orders = {one: order_of(shop, begun, one) for one in names}
    gaps = {one: "; not all read" if unread(shop, begun, one, ring).read else "" for one, ring in orders.items()}
    done = {one.section for one in glued(shop, begun)}
    tails = {one: f"{gaps[one]}{'; glued' if one in done else ''}" for one in names}
    rings = tuple((one, f"{one}: strips {' '.join(map(str, orders[one]))}{tails[one]}") for one in names)
    asks = "; ".join(f"{one.kind}: {one.asks}" for one in Work)
    warm = "23 °C" if begun.rod.display.bare == "mm" else "73 °F"
    return (
        Slip(
            "glueup",
            "Glue a section",
            (
                Field(
                    "section",
                    "Section, its strips in ring order",
                    "as matched under Proof; by number where they were not",
                    Look.ONE_OF,
                    rings,
                    first=next((one for one in names if one not in done), ""),
                ),
                Field("glue", "Glue", "as its label has it"),
                Field("batch", "Batch", "may be left empty"),
                Field("pot_life", "Its pot life by the data sheet", "like 60 min"),
                Field("stated_at", "That pot life holds at", f"like {warm}"),
                Field("bench", "Temperature at the bench", f"like {warm}"),
                Field("mixed", "Mixed", "like 08:15 for today, or 2026-11-25 08:15"),
                Field("bound", "Last turn of cord on", WHEN),
                Field("again", "Glued again, or the record was wrong: why", "only for a section that is glued already"),
                Field("cure", "It stays bound for", "by the data sheet, like 24 h"),
            ),
            (
                Press("glue", "Keep the glue-up", "The glue-up is kept."),
                Press("clock", "How long does it stay workable?"),
            ),
            "Ask how long it stays workable before you mix; keep the glue-up once the section is bound.",
            caution=GLUE,
            open=state_of(shop, begun) != "done",
        ),
        Slip(
            "finish",
            "What was done after",
            (
                Field("work", "What", "", Look.ONE_OF, tuple((one.name, one.kind) for one in Work)),
                Field("section", "Of", "", Look.ONE_OF, (("", "the whole rod"), *((one, one) for one in names))),
                Field("words", "In words", f"{asks}; like: 13/64 at 45 in, bedded warm", Look.LINES, rows=2),
            ),
            (Press("finish", "Keep it", "It is in the record."),),
            caution=f"{LATHE} {GLUE}",
        ),
    )


def _used(typed: Typed) -> Glue:
    together(
        partial(typed.words, "glue", "Give the glue as its label has it"),
        partial(typed.quantity, "pot_life", Kind.TIME),
        partial(typed.quantity, "stated_at", Kind.TEMPERATURE),
        partial(typed.quantity, "bench", Kind.TEMPERATURE),
        partial(typed.moment, "mixed"),
        partial(typed.moment, "bound"),
        partial(typed.quantity, "cure", Kind.TIME),
    )
    return Glue(
        typed.words("glue", "Give the glue as its label has it"),
        typed.text("batch"),
        typed.quantity("pot_life", Kind.TIME),
        typed.quantity("stated_at", Kind.TEMPERATURE),
        typed.quantity("cure", Kind.TIME),
    )


def _clock(shop: Shop, begun: Begun, typed: Typed) -> Seen:
    used, show = _used(typed), begun.rod.display
    bench, mixed = typed.quantity("bench", Kind.TEMPERATURE), typed.moment("mixed")
    if used.pot_life is None:
        raise BadInput("this is still empty", where="pot_life", remedy="Give it from the data sheet, like 60 min")
    with beside("bench"):
        band, notes = workable_for(used, bench)
        if band is None or band.high is None:
            raise BadInput(notes[0], remedy="Fill both in")
    said = [f"It stays workable for {band.words(show.time)}, as a rule of thumb."]
    if mixed is not None:
        ends = [f"{mixed + timedelta(seconds=one):%H:%M}" for one in (band.low, band.high)]
        said.append(f"Mixed at {mixed:%H:%M}, that is until {' to '.join(dict.fromkeys(ends))}: plan for the earlier.")
    said.append("The data sheet stands above this; a large batch in one pot goes off sooner.")
    return (in_words("Pot life", said),)


def _glue(shop: Shop, begun: Begun, typed: Typed) -> None:
    used, bench = _used(typed), typed.quantity("bench", Kind.TEMPERATURE)
    mixed, bound = typed.moment("mixed"), typed.moment("bound")
    if bound and mixed and bound < mixed:
        raise BadInput("it was bound before the glue was mixed", where="bound", remedy="Look at both times again")
    with beside("bench"):
        workable_for(used, bench)
    section, again = typed.text("section"), typed.text("again")
    with beside("again"):
        glue(shop, begun, section, used, bench=bench, mixed=mixed, bound=bound, again=again, id=typed.id)


def _finish(shop: Shop, begun: Begun, typed: Typed) -> None:
    if typed.text("work") not in Work.__members__:
        raise BadInput("this is no work", where="work", remedy="Choose one")
    with beside("words"):
        finish(shop, begun, Work[typed.text("work")], typed.text("words"), typed.text("section") or None, id=typed.id)


ROOM = Room("glue", _slips, {"glue": _glue, "clock": _clock, "finish": _finish})
router = routes_of(ROOM)

"""The log of a rod, and what is put into it: soaks, dryings, a scrapped strip, a note in words."""

from __future__ import annotations

from fastapi import Request

from culmwright.measure.errors import BadInput
from culmwright.web.rooms_form import WHEN, Field, Look, Press, Slip, Typed, beside
from culmwright.web.rooms_stage import Room, routes_of
from culmwright.workshop.looking_stages import LogView, look_at_log
from culmwright.workshop.noting import EventKind, must_be_there, note
from culmwright.workshop.opening import Begun, Shop

ELSEWHERE = (EventKind.REVISION_FROZEN, EventKind.GLUED, EventKind.HEATED)
"""What other pages put into the log."""
KINDS = tuple(
    (one.value, "a note" if one is EventKind.NOTED else one.value) for one in EventKind if one not in ELSEWHERE
)
WAITED_FOR = (EventKind.SOAK_STARTED, EventKind.DRYING_STARTED)


def _slips(request: Request, shop: Shop, begun: Begun) -> tuple[Slip, ...]:
    names = [one.name for one in begun.rod.sections()]
    return (
        Slip(
            "event",
            "Put something into the log",
            (
                Field("kind", "What happened", "", Look.ONE_OF, KINDS, first=EventKind.NOTED.value),
                Field("section", "To", "", Look.ONE_OF, (("", "the whole rod"), *((one, one) for one in names))),
                Field("strip", "Strip", "its number, like 3; left empty: all of them", digits=True),
                Field("at", "When", WHEN),
                Field("ready", "Planned to be over", "of a soak or a drying: like 2026-11-26 08:00; may be left empty"),
                Field("words", "In words", "like: iron nicked on a knot, honed again", Look.LINES, rows=2),
            ),
            (Press("event", "Put it in", "It is in the log."),),
        ),
    )


def _event(shop: Shop, begun: Begun, typed: Typed) -> None:
    if typed.text("kind") not in dict(KINDS):
        raise BadInput("this is nothing the log takes", where="kind", remedy="Choose one")
    kind, section = EventKind(typed.text("kind")), typed.text("section") or None
    words = " ".join(typed.text("words").split()) or None
    at, ready = typed.moment("at"), typed.moment("ready", ahead=True)
    if kind is EventKind.NOTED and words is None:
        raise BadInput("a note has words", where="words", remedy="Write down what there is to know")
    if ready is not None and kind not in WAITED_FOR:
        raise BadInput("only a soak or a drying is waited for", where="ready", remedy="Leave it empty")
    strip = typed.whole("strip", 0) or None
    with beside("strip"):
        if strip is not None and section is None:
            raise BadInput("a strip is one of a section", remedy="Choose the section too")
        if kind is EventKind.STRIP_SCRAPPED and strip is None:
            raise BadInput("nothing says which strip was scrapped", remedy="Give its section and number")
        must_be_there(begun.rod, section, strip)
    with beside("ready"):
        note(shop, begun, kind, section=section, strip=strip, words=words, at=at, ready_at=ready, id=typed.id)


def _look(shop: Shop, code: str, path: str) -> LogView:
    return look_at_log(shop, code)


ROOM = Room("log", _slips, {"event": _event}, template="log_work.html", look=_look)
router = routes_of(ROOM)

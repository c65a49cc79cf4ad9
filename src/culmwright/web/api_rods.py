"""The API of the shop and its rods: the same results as the command line's ``--json``."""

from __future__ import annotations

import datetime
from typing import Annotated, Literal

from fastapi import APIRouter, Path, Query, Request, Response
from fastapi.responses import JSONResponse
from pydantic import AwareDatetime, Field

from culmwright.measure.display import DISPLAYS, INCH_DISPLAY
from culmwright.measure.errors import BadInput
from culmwright.measure.lengths import Length
from culmwright.measure.reckoning import Explanation
from culmwright.measure.spot import Spot
from culmwright.measure.typed_unit import display_typed
from culmwright.web.data_pages import look_for_damage
from culmwright.web.pages import desk_of
from culmwright.web.problems import PROBLEMS
from culmwright.web.shapes import Strict, answer, shape_of
from culmwright.workshop.checking import EXACT, ROUNDED, StressCheck, check
from culmwright.workshop.explaining_kept import explain_kept
from culmwright.workshop.looking import ShopView, book_of, look_at_shop
from culmwright.workshop.noting import EventKind
from culmwright.workshop.opening import find
from culmwright.workshop.passing import Cutter, PassPlan, passes
from culmwright.workshop.printing import PAPERS
from culmwright.workshop.scheduling import StripSchedule, strips
from culmwright.workshop.serving import (
    EventRecord,
    ReadingList,
    RevisionList,
    RodList,
    RodRecord,
    begin_text,
    enter_event,
    reading_list,
    revision_list,
    rod_list,
    rod_record,
)
from culmwright.workshop.telling import Story, log

api = APIRouter(prefix="/api")
Code = Annotated[str, Path(pattern=r"^[Rr][1-9][0-9]{0,8}(\.[1-9][0-9]{0,4})?$", examples=["R1"])]
Section = Annotated[str | None, Query(pattern=r"^(B|M|T[1-9][0-9]?)$")]
Strip = Annotated[int | None, Query(ge=1, le=9999)]
EVENTS = [one.value for one in EventKind if one is not EventKind.REVISION_FROZEN]
EARLIEST, LATEST = (datetime.datetime(year, 1, 1, tzinfo=datetime.UTC) for year in (2000, 2200))
When = Annotated[AwareDatetime, Field(ge=EARLIEST, le=LATEST)]


class RodText(Strict):
    """A rod file to be frozen in the shop."""

    text: Annotated[str, Field(min_length=1, max_length=1 << 18, description="the rod file")]


class EventSent(Strict):
    """Something that happened to a rod; ``ready_at`` is when a soak or a drying should be over."""

    kind: Annotated[str, Field(max_length=40, json_schema_extra={"enum": EVENTS})]
    section: Annotated[str | None, Field(pattern=r"^(B|M|T[1-9][0-9]?)$")] = None
    strip: Annotated[int | None, Field(ge=1, le=9999)] = None
    words: Annotated[str | None, Field(max_length=1000)] = None
    at: When | None = None
    ready_at: When | None = None


@api.get("/shop", tags=["shop"], responses=PROBLEMS, response_model=shape_of(ShopView))
def shop(request: Request) -> Response:
    """The shop and its rods in hand, in a line each."""
    with desk_of(request).shop() as opened:
        return answer(look_at_shop(opened))


@api.get("/rods", tags=["rods"], responses=PROBLEMS, response_model=shape_of(RodList))
def list_rods(request: Request) -> Response:
    """The rods of the shop, each as it was frozen last."""
    with desk_of(request).shop() as opened:
        return answer(rod_list(opened))


@api.post("/rods", tags=["rods"], responses=PROBLEMS, response_model=shape_of(RodRecord))
def freeze_rod(request: Request, sent: RodText) -> Response:
    """Freeze a rod file: a new rod, or the next revision of the one of that name; the same again is the same."""
    with desk_of(request).shop(start=True) as opened:
        return answer(begin_text(opened, sent.text))


@api.get("/rods/{code}", tags=["rods"], responses=PROBLEMS, response_model=shape_of(RodRecord))
def one_rod(request: Request, code: Code) -> Response:
    """A rod: its revision and the rod file it was frozen from."""
    with desk_of(request).shop() as opened:
        return answer(rod_record(opened, code))


@api.get("/rods/{code}/revisions", tags=["rods"], responses=PROBLEMS, response_model=shape_of(RevisionList))
def list_revisions(request: Request, code: Code) -> Response:
    """The revisions of a rod, oldest first."""
    with desk_of(request).shop() as opened:
        return answer(revision_list(opened, code))


@api.get("/rods/{code}/check", tags=["rods"], responses=PROBLEMS, response_model=shape_of(StressCheck))
def check_rod(
    request: Request,
    code: Code,
    load_factor: Annotated[float, Query(gt=0, le=100, allow_inf_nan=False)] = 4.0,
    rounded: bool = False,
    tip: Annotated[int, Query(ge=1, le=99)] = 1,
) -> Response:
    """Stress along the rod, and its masses."""
    with desk_of(request).shop() as opened:
        return answer(check(find(opened, code).rod, load_factor, ROUNDED if rounded else EXACT, tip))


@api.get("/rods/{code}/strips", tags=["rods"], responses=PROBLEMS, response_model=shape_of(StripSchedule))
def strips_of(request: Request, code: Code) -> Response:
    """Strip heights of every section and station."""
    with desk_of(request).shop() as opened:
        return answer(strips(find(opened, code).rod))


@api.get("/rods/{code}/explain", tags=["rods"], responses=PROBLEMS, response_model=shape_of(Explanation))
def explain_spot(
    request: Request, code: Code, spot: Annotated[str, Query(max_length=120, examples=["T1/S3@25in:rough"])]
) -> Response:
    """The working behind one number."""
    with desk_of(request).shop() as opened:
        begun = find(opened, code)
        return answer(explain_kept(opened, begun, Spot.parse(spot, begun.rod.display.bare)))


@api.get("/rods/{code}/log", tags=["rods"], responses=PROBLEMS, response_model=shape_of(Story))
def log_of(request: Request, code: Code, section: Section = None, strip: Strip = None) -> Response:
    """What happened to a rod, one section or one strip, as a story."""
    with desk_of(request).shop() as opened:
        return answer(log(opened, find(opened, code), *_part(section, strip)))


def _part(section: str | None, strip: int | None) -> tuple[str | None, int | None]:
    if strip is not None and section is None:
        raise BadInput("a strip is named without its section", where="strip", remedy="Name the section too, as in T1")
    return section, strip


@api.post("/rods/{code}/log", tags=["rods"], responses=PROBLEMS, response_model=shape_of(EventRecord))
def add_to_log(request: Request, code: Code, sent: EventSent) -> Response:
    """Put an event into the log of a rod."""
    if sent.kind not in EVENTS:
        raise BadInput(f'"{sent.kind}" is no event known here', where="kind", remedy=f"Send one of {', '.join(EVENTS)}")
    section, strip = _part(sent.section, sent.strip)
    with desk_of(request).shop() as opened:
        return answer(
            enter_event(
                opened,
                code,
                sent.kind,
                section=section,
                strip=strip,
                words=sent.words,
                at=sent.at,
                ready_at=sent.ready_at,
            )
        )


@api.get("/rods/{code}/readings", tags=["bench"], responses=PROBLEMS, response_model=shape_of(ReadingList))
def readings_of(request: Request, code: Code) -> Response:
    """The readings that count for one revision of a rod."""
    with desk_of(request).shop() as opened:
        return answer(reading_list(opened, code))


@api.get(
    "/rods/{code}/book",
    tags=["rods"],
    responses=PROBLEMS | {200: {"description": "The book.", "content": {"application/pdf": {}}}},
    response_class=Response,
)
def book(request: Request, code: Code, paper: Literal["a4", "letter"] = "a4") -> Response:
    """The shop book of a rod, printed now."""
    with desk_of(request).shop() as opened:
        content = book_of(opened, code, datetime.date.today(), PAPERS[paper])
    return Response(content, media_type="application/pdf")


@api.get("/passes", tags=["rods"], responses=PROBLEMS, response_model=shape_of(PassPlan))
def plan_of_passes(
    request: Request,
    now: Annotated[str, Query(max_length=64, examples=["0.200 in"])],
    target: Annotated[str, Query(max_length=64, examples=["0.150 in"])],
    sides: Literal["4", "5", "6"] = "6",
    cutter: Literal["flat", "two-edged"] = "flat",
    wet: bool = False,
    strips: Annotated[int, Query(ge=1, le=999)] = 1,
    length: Annotated[str, Query(max_length=64)] = "",
    units: Literal["inch", "metric"] | None = None,
) -> JSONResponse:
    """The passes from one strip height to another; bare numbers are of ``units``, else of the unit typed beside them,
    else inches.
    """
    show = DISPLAYS[units] if units else display_typed([now, target, length]) or INCH_DISPLAY
    first, last = _length("now", now, show.bare), _length("target", target, show.bare)
    long = _length("length", length, show.bare) if length.strip() else None
    return answer(
        passes(first, last, int(sides), Cutter(cutter), wet=wet, strips=strips, length=long, metric=show.bare == "mm")
    )


def _length(name: str, text: str, bare: str) -> float:
    """A length above zero [m], as it was typed."""
    try:
        found = Length.parse(text, bare)
    except BadInput as fault:
        raise fault.at(name) from None
    if found.nanometres <= 0:
        raise BadInput(f"{found} is not a length above zero", where=name, remedy="Give it as measured")
    return found.m


@api.get("/state", tags=["shop"], responses=PROBLEMS)
def state(request: Request) -> dict[str, bool | str]:
    """Whether there is a shop, whether its file is sound, and whether other devices can reach it."""
    damage = look_for_damage(request)
    return {"begun": desk_of(request).begun, "sound": not damage, "damage": damage, "lan": request.app.state.lan}

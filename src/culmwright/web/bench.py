"""The bench: the page of what was read, the page beside the rig, and the messages it sends."""

from __future__ import annotations

import re
import secrets
import threading
from collections.abc import Callable
from datetime import UTC, datetime
from typing import Annotated, Literal
from urllib.parse import urlencode

from fastapi import APIRouter, Depends, Form, Header, Query, Request, Response
from fastapi.responses import HTMLResponse, JSONResponse, RedirectResponse
from pydantic import AwareDatetime, BaseModel, ConfigDict, Field

from culmwright.measure.errors import BadInput
from culmwright.web.desk import Desk
from culmwright.web.problems import MEDIA, PROBLEMS, Problem
from culmwright.web.render import page
from culmwright.workshop.atbench import (
    Answered,
    Busy,
    DiskRefused,
    Meanwhile,
    Sent,
    Where,
    log_round,
    skip,
    take,
    undo,
)
from culmwright.workshop.bench_start import look_at_bench_page, read_page
from culmwright.workshop.bench_walk import Asked, Recent, WalkSeen, declare, newest, recent, walk_of
from culmwright.workshop.opening import Conflict, Shop, find
from culmwright.workshop.reading import Inner, Stage

router = APIRouter(include_in_schema=False)
api = APIRouter(prefix="/api/rods/{code}", tags=["bench"])
INNER = {"strip": Inner.STATIONS, "station": Inner.STRIPS}
EARLIEST, LATEST = datetime(2000, 1, 1, tzinfo=UTC), datetime(2200, 1, 1, tzinfo=UTC)
MANY = 10**6
ONE_AT_A_TIME = threading.Lock()
"""Two tablets that press together are answered one after the other, so that the second sees what the first did."""

StageName = Literal["rough", "finish"]
Unit = Literal["in", "mm"]
Id = Annotated[str, Field(pattern=r"^[0-9A-Za-z_-]{16,64}$", description="made where it was typed, once and for good")]
At = Annotated[AwareDatetime, Field(ge=EARLIEST, le=LATEST, description="the clock of the tablet")]
Number = Annotated[int, Field(ge=1, le=MANY)]
Why = Annotated[str, Field(max_length=200)]


class Message(BaseModel):
    """What every message has: its own id, when it was typed, by whom."""

    model_config = ConfigDict(extra="forbid", strict=True)

    id: Id
    at: At
    person: Number | None = None


class CellMessage(Message):
    """A message about one cell; ``seen`` is the id of what counts there as far as the page knows."""

    spot: Annotated[str, Field(max_length=40, examples=["T1/S3@25in"])]
    stage: StageName
    cut: Number
    seen: Id | None = None
    why: Why = ""

    @property
    def where(self) -> Where:
        """The cell."""
        return Where(self.spot, Stage(self.stage), self.cut)


class ReadingMessage(CellMessage):
    """A reading as it came: ``typed`` raw, ``unit`` as declared; ``confirmed`` answers the question put before."""

    typed: Annotated[str, Field(min_length=1, max_length=128)]
    unit: Unit
    gauge: Number | None = None
    confirmed: bool = False


class UndoMessage(Message):
    """Takes the reading or skip with the id ``entry`` back."""

    entry: Id
    why: Why = ""


class RoundMessage(Message):
    """A round of passes of a ``depth``, empty if not known, over one ``strip`` or with null over all."""

    stage: StageName
    cut: Number
    section: Annotated[str, Field(pattern=r"^(B|M|T[1-9][0-9]?)$")]
    strip: Number | None = None
    depth: Annotated[str, Field(max_length=64)] = ""
    unit: Unit


class MeanwhileProblem(Problem):
    """Another hand was there: what was sent, what stands, and the id of what stands."""

    yours: str = ""
    theirs: str = ""
    entry: str = ""


ANSWERS = PROBLEMS | {
    409: {
        "model": MeanwhileProblem,
        "description": "Another hand was there, or the id stands for something else.",
        "content": {MEDIA: {"schema": MeanwhileProblem.model_json_schema()}},
    },
    503: {"model": Problem, "description": "Not now; send it again.", "content": {MEDIA: {"schema": Problem.model_json_schema()}}},
}


def desk_of(request: Request) -> Desk:
    """The desk behind a request."""
    desk: Desk = request.app.state.desk
    return desk


def asked(
    stage: StageName = "rough",
    section: Annotated[list[str] | None, Query(max_length=12)] = None,
    strips: Annotated[str, Query(max_length=400)] = "",
    inner: Literal["strip", "station"] = "strip",
    backward: bool = False,
    cut: Annotated[int | None, Query(ge=1, le=MANY)] = None,
    gauge: Annotated[int | None, Query(ge=1, le=MANY)] = None,
    person: Annotated[int | None, Query(ge=1, le=MANY)] = None,
    unit: Unit | None = None,
) -> Asked:
    """The walk an address asks for."""
    return Asked(
        Stage(stage), tuple(section or ()), _strips(strips), INNER[inner], backward, cut, gauge, person, unit or ""
    )


AskedFor = Annotated[Asked, Depends(asked)]


def _strips(text: str) -> tuple[int, ...]:
    parts = [one for one in re.split(r"[,\s]+", text) if one]
    if any(not re.fullmatch(r"[1-9][0-9]{0,3}", one) for one in parts):
        raise BadInput(f'"{text[:40]}" names no strips', where="strips", remedy="Give their numbers, like 1,2,3")
    return tuple(dict.fromkeys(int(one) for one in parts))


@router.get("/{code}/bench", response_class=HTMLResponse)
def bench_page(request: Request, code: str) -> str:
    """What was read, how the strips stand, and where a walk begins."""
    with desk_of(request).shop() as shop:
        return page(request, "bench.html", view=look_at_bench_page(shop, code))


@router.post("/{code}/bench")
def begin_walk(
    request: Request,
    code: str,
    stage: Annotated[StageName, Form()] = "rough",
    section: Annotated[list[str] | None, Form()] = None,
    strip: Annotated[list[int] | None, Form()] = None,
    inner: Annotated[Literal["strip", "station"], Form()] = "strip",
    backward: Annotated[bool, Form()] = False,
    gauge: Annotated[str, Form(max_length=12)] = "",
    gauge_name: Annotated[str, Form(max_length=60)] = "",
    unit: Annotated[Literal["in", "mm", ""], Form()] = "",
    person: Annotated[str, Form(max_length=60)] = "",
    cut: Annotated[str, Form(max_length=8)] = "",
) -> Response:
    """Begin a walk, or go on with it: a new gauge and a new hand are entered, then the page beside the rig opens."""
    if gauge == "new" and not gauge_name.strip():
        raise BadInput("the new gauge has no name", where="gauge", remedy="Go back and give it one, such as what is on it")
    if gauge and not unit:
        raise BadInput("what the gauge shows was not said", where="gauge", remedy="Go back and say inches or millimetres")
    if cut and not re.fullmatch(r"[1-9][0-9]{0,5}", cut):
        raise BadInput(f'"{cut}" is not the number of a pass', where="pass", remedy="Give it like 2, or leave it empty")
    with desk_of(request).shop() as shop:
        begun = find(shop, code)
        walk = Asked(Stage(stage), tuple(section or ()), tuple(strip or ()), INNER[inner], backward, int(cut) if cut else None)
        named = walk_of(shop, begun.code, walk)
        number = int(gauge) if gauge.isascii() and gauge.isdecimal() else None
        known, hand = declare(shop, number, gauge_name if gauge == "new" else "", unit, person)
    query: list[tuple[str, str | int]] = [("stage", stage), *(("section", one) for one in section or ())]
    query += [("strips", ",".join(str(one) for one in strip))] if strip else []
    query += [("inner", inner)] + ([("backward", "true")] if backward else [])
    query += [("cut", named.cut), ("unit", known.unit if known else unit or named.unit)]
    query += [("gauge", known.id)] if known else []
    query += [("person", hand)] if hand else []
    return RedirectResponse(f"/{begun.code}/bench/read?{urlencode(query)}", 303)


@router.get("/{code}/bench/read", response_class=HTMLResponse)
def reading_page(request: Request, code: str, walk: AskedFor, at: Annotated[str, Query(max_length=40)] = "", said: Annotated[str, Query(max_length=300)] = "") -> str:
    """The page beside the rig."""
    with desk_of(request).shop() as shop:
        view = read_page(shop, code, walk, at)
    return page(request, "bench_read.html", view=view, said=said, id=secrets.token_hex(16), question="", typed="", here=str(request.url.query))


@router.post("/{code}/bench/read", response_class=HTMLResponse)
def read_plainly(
    request: Request,
    code: str,
    walk: AskedFor,
    id: Annotated[str, Form(pattern=r"^[0-9A-Za-z_-]{16,64}$")],
    spot: Annotated[str, Form(max_length=40)],
    cut: Annotated[int, Form(ge=1, le=MANY)],
    seen: Annotated[str, Form(max_length=64)] = "",
    typed: Annotated[str, Form(max_length=128)] = "",
    why: Annotated[str, Form(max_length=200)] = "",
    act: Annotated[Literal["keep", "skip", "undo"], Form()] = "keep",
    asked_before: Annotated[bool, Form()] = False,
) -> Response:
    """One reading of a page without scripts: kept, or the same page with the question."""
    at, where = datetime.now(UTC), Where(spot, walk.stage, cut)
    words, question, again = "", "", typed
    with desk_of(request).shop() as shop, ONE_AT_A_TIME:
        view = read_page(shop, code, walk, spot)
        try:
            if act == "undo":
                answer = undo(shop, view.walk.code, id, view.last, at, person=walk.person) if view.last else None
            elif act == "skip":
                answer = skip(shop, view.walk.code, id, where, why, at, person=walk.person, seen=seen or None)
            else:
                unit = view.walk.unit
                sent = Sent(id, where, typed, unit, at, walk.gauge, walk.person, seen or None, asked_before, why)
                answer = take(shop, view.walk.code, sent)
            words = answer.words if answer else "there is nothing to take back"
            question = words if answer is not None and answer.said == "held" else ""
        except Meanwhile as fault:
            question, view = f"{fault}", read_page(shop, code, walk, spot)
        except Conflict:
            raise
        except BadInput as fault:
            return HTMLResponse(
                page(request, "bench_read.html", view=view, said=f"{fault}", id=secrets.token_hex(16), question="", typed=again, here=str(request.url.query)), 422
            )
    if question:
        return HTMLResponse(
            page(request, "bench_read.html", view=view, said="", id=secrets.token_hex(16), question=question, typed=typed, here=str(request.url.query)), 409
        )
    query = [(name, value) for name, value in request.query_params.multi_items() if name not in ("said", "at")]
    back = [("at", answer.spot)] if act == "undo" and answer is not None and answer.spot else []
    return RedirectResponse(f"/{code}/bench/read?{urlencode([*query, ('said', words), *back])}", 303)


@api.get("/walk", responses=PROBLEMS)
def walk(request: Request, code: str, walk: AskedFor) -> WalkSeen:
    """A walk: every cell with its aim, what counts, and all a page needs to judge by itself."""
    with desk_of(request).shop() as shop:
        return walk_of(shop, code, walk)


@api.get("/recent", responses=PROBLEMS | {304: {"description": "Nothing was kept since."}}, response_model=Recent)
def recently(
    request: Request,
    code: str,
    stage: StageName,
    cut: Annotated[int, Query(ge=1, le=MANY)],
    section: Annotated[list[str] | None, Query(max_length=12)] = None,
    if_none_match: Annotated[str | None, Header()] = None,
) -> Response | Recent:
    """What counts now after one pass; 304 while nothing was kept in the shop since the tag sent."""
    with desk_of(request).shop() as shop:
        tag = f'"{newest(shop)}"'
        if if_none_match == tag:
            return Response(status_code=304, headers={"etag": tag, "cache-control": "no-store"})
        begun = find(shop, code)
        names = tuple(section or (one.name for one in begun.rod.sections()))
        seen = recent(shop, begun, Stage(stage), cut, names)
    response = JSONResponse(jsonable(seen))
    response.headers["etag"], response.headers["cache-control"] = f'"{seen.seq}"', "no-store"
    return response


def jsonable(seen: Recent) -> dict[str, object]:
    """What counts, as plain data."""
    from dataclasses import asdict

    return asdict(seen)


@api.post("/readings", responses=ANSWERS)
def keep_reading(request: Request, code: str, sent: ReadingMessage) -> Answered:
    """Keep a reading or ask about it; when this answers ``kept``, the disk has it. Sent again, the same answer."""
    return _answered(
        request,
        lambda shop: take(
            shop,
            code,
            Sent(
                sent.id,
                sent.where,
                sent.typed,
                sent.unit,
                sent.at,
                sent.gauge,
                sent.person,
                sent.seen,
                sent.confirmed,
                sent.why,
            ),
        ),
    )


@api.post("/skips", responses=ANSWERS)
def keep_skip(request: Request, code: str, sent: CellMessage) -> Answered:
    """Leave a cell out for a reason."""
    return _answered(
        request,
        lambda shop: skip(shop, code, sent.id, sent.where, sent.why, sent.at, person=sent.person, seen=sent.seen),
    )


@api.post("/undone", responses=ANSWERS)
def keep_undo(request: Request, code: str, sent: UndoMessage) -> Answered:
    """Take a reading or a skip back; it stays in the log."""
    return _answered(
        request, lambda shop: undo(shop, code, sent.id, sent.entry, sent.at, person=sent.person, why=sent.why)
    )


@api.post("/rounds", responses=ANSWERS)
def keep_round(request: Request, code: str, sent: RoundMessage) -> Answered:
    """Put a round of passes into the log."""
    return _answered(
        request,
        lambda shop: log_round(
            shop,
            code,
            sent.id,
            Stage(sent.stage),
            sent.cut,
            sent.section,
            sent.strip,
            sent.depth,
            sent.unit,
            sent.at,
            person=sent.person,
        ),
    )


def _answered(request: Request, act: Callable[[Shop], Answered]) -> Answered:
    """The answer to a message; what is only not possible now is 503, so that the tablet sends it again."""
    try:
        with desk_of(request).shop() as shop, ONE_AT_A_TIME:
            return act(shop)
    except (Busy, DiskRefused) as fault:
        raise NotNow(fault.what, where=fault.where, remedy=fault.remedy) from fault


class NotNow(BadInput):
    """What was sent is sound and can be kept later."""

"""The messages of a bench page: a walk, what counts now, and readings, skips, undos and rounds, each kept once."""

from __future__ import annotations

import re
import threading
from collections.abc import Callable
from contextlib import ExitStack
from dataclasses import asdict
from datetime import UTC, datetime
from typing import Annotated, Literal

from fastapi import APIRouter, Depends, Header, Query, Request, Response
from fastapi.responses import JSONResponse
from pydantic import AwareDatetime, BaseModel, BeforeValidator, ConfigDict, Field

from culmwright.measure.errors import BadInput
from culmwright.web.pages import desk_of
from culmwright.web.problems import MEDIA, PROBLEMS, Problem
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
from culmwright.workshop.bench_walk import Asked, Recent, WalkSeen, newest, recent, walk_of
from culmwright.workshop.opening import Conflict, Shop, find
from culmwright.workshop.reading import Inner, Stage

api = APIRouter(prefix="/api/rods/{code}", tags=["bench"])
INNER = {"strip": Inner.STATIONS, "station": Inner.STRIPS}
EARLIEST, LATEST = datetime(1970, 1, 1, tzinfo=UTC), datetime(2200, 1, 1, tzinfo=UTC)
MANY = 10**6
ONE_AT_A_TIME = threading.Lock()
"""Two tablets that press together are answered one after the other, so that the second sees what the first did."""

StageName = Literal["rough", "finish"]
Unit = Literal["in", "mm"]
Id = Annotated[str, Field(pattern=r"^[0-9A-Za-z_-]{16,64}$", description="made where it was typed, once and for good")]


def _text(given: object) -> object:
    """A moment comes as text, never as a number."""
    if not isinstance(given, str):
        raise ValueError("a moment is text, like 2026-03-01T09:30:00Z")
    return given


At = Annotated[
    AwareDatetime,
    BeforeValidator(_text),
    Field(strict=False, ge=EARLIEST, le=LATEST, description="the clock of the tablet"),
]
Number = Annotated[int, Field(ge=1, le=MANY)]
Why = Annotated[str, Field(max_length=200)]


class Message(BaseModel):
    """What every message has: its own id, when and by whom it was typed, and to which ``drawing``, by its digest."""

    model_config = ConfigDict(extra="forbid", strict=True)

    id: Id
    at: At
    person: Number | None = None
    drawing: Annotated[str | None, Field(max_length=128)] = None


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
    503: {
        "model": Problem,
        "description": "Not now; send it again.",
        "content": {MEDIA: {"schema": Problem.model_json_schema()}},
    },
}


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
    desk = desk_of(request)
    with desk.shop() as shop:
        era = desk.era(shop)
        tag = f'"{era}-{newest(shop)}"'
        if if_none_match == tag:
            return Response(status_code=304, headers={"etag": tag, "cache-control": "no-store"})
        begun = find(shop, code)
        names = tuple(section or (one.name for one in begun.rod.sections()))
        seen = recent(shop, begun, Stage(stage), cut, names)
    return JSONResponse(asdict(seen), headers={"etag": f'"{era}-{seen.seq}"', "cache-control": "no-store"})


@api.post("/readings", responses=ANSWERS, response_model=Answered)
def keep_reading(request: Request, code: str, sent: ReadingMessage) -> Answered | Response:
    """Keep a reading or ask about it; when this answers ``kept``, the disk has it. Sent again, the same answer."""
    return _answered(
        request,
        code,
        sent,
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


@api.post("/skips", responses=ANSWERS, response_model=Answered)
def keep_skip(request: Request, code: str, sent: CellMessage) -> Answered | Response:
    """Leave a cell out for a reason."""
    return _answered(
        request,
        code,
        sent,
        lambda shop: skip(shop, code, sent.id, sent.where, sent.why, sent.at, person=sent.person, seen=sent.seen),
    )


@api.post("/undone", responses=ANSWERS, response_model=Answered)
def keep_undo(request: Request, code: str, sent: UndoMessage) -> Answered | Response:
    """Take a reading or a skip back; it stays in the log."""
    return _answered(
        request,
        code,
        sent,
        lambda shop: undo(shop, code, sent.id, sent.entry, sent.at, person=sent.person, why=sent.why),
    )


@api.post("/rounds", responses=ANSWERS, response_model=Answered)
def keep_round(request: Request, code: str, sent: RoundMessage) -> Answered | Response:
    """Put a round of passes into the log."""
    return _answered(
        request,
        code,
        sent,
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


def _answered(request: Request, code: str, sent: Message, act: Callable[[Shop], Answered]) -> Answered | Response:
    """The answer to a message; what is only not possible now is 503, so that the tablet keeps it and sends it again."""
    with ExitStack() as held:
        try:
            shop = held.enter_context(desk_of(request).shop())
        except BadInput as fault:  # its disk is not there, or what lies in its place is no shop
            return _later(fault)
        if shop.damage:
            return _later(BadInput(f"the shop can only be read: {shop.damage}"))
        held.enter_context(ONE_AT_A_TIME)
        return _acted(shop, code, sent, act)


def _later(fault: BadInput) -> Response:
    said = Problem(title=fault.what, status=503, where=fault.where, remedy=fault.remedy)
    return JSONResponse(said.model_dump(), 503, media_type=MEDIA)


def _acted(shop: Shop, code: str, sent: Message, act: Callable[[Shop], Answered]) -> Answered | Response:
    try:
        _must_be_drawing(shop, code, sent)
        return act(shop)
    except Meanwhile as fault:
        said = MeanwhileProblem(
            title=fault.what,
            status=409,
            where=fault.where,
            remedy=fault.remedy,
            yours=fault.yours,
            theirs=fault.theirs,
            entry=fault.entry,
        )
        return JSONResponse(said.model_dump(), 409, media_type=MEDIA)
    except (Busy, DiskRefused) as fault:
        return _later(fault)


def _must_be_drawing(shop: Shop, code: str, sent: Message) -> None:
    """Refuse what was read to another drawing: a backup put back may call another one by the same number."""
    if sent.drawing is None:
        return
    begun = find(shop, code)
    if begun.revision.digest != sent.drawing:
        raise Conflict(
            f"{begun.code} is another drawing now than the one this was read to",
            where=begun.code,
            remedy="Nothing was kept. Look which rod it belongs to, then load the page again",
        )

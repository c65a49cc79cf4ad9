"""The bench: the page of what was read, where a walk begins, and the page beside the rig."""

from __future__ import annotations

import re
import secrets
from dataclasses import asdict
from datetime import UTC, datetime
from typing import Annotated, Literal
from urllib.parse import urlencode

from fastapi import APIRouter, Form, Query, Request, Response
from fastapi.responses import HTMLResponse, RedirectResponse

from culmwright.measure.errors import BadInput
from culmwright.web.bench_api import INNER, MANY, ONE_AT_A_TIME, AskedFor, StageName
from culmwright.web.pages import desk_of
from culmwright.web.render import page
from culmwright.workshop.atbench import HELD, Answered, Meanwhile, Sent, Where, skip, take, undo
from culmwright.workshop.bench_start import ReadPage, look_at_bench_page, read_page
from culmwright.workshop.bench_walk import Asked, declare, walk_of
from culmwright.workshop.opening import Conflict, Shop, find
from culmwright.workshop.reading import Stage

router = APIRouter(include_in_schema=False)
Short = Annotated[str, Form(max_length=60)]
Short40 = Annotated[str, Query(max_length=40)]


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
    gauge: Short = "",
    gauge_name: Short = "",
    unit: Annotated[Literal["in", "mm", ""], Form()] = "",
    person: Short = "",
    cut: Annotated[str, Form(max_length=8)] = "",
) -> Response:
    """Begin a walk, or go on with it: a new gauge and a new hand are entered, then the page beside the rig opens."""
    if gauge == "new" and not gauge_name.strip():
        raise BadInput("the new gauge has no name", where="gauge", remedy="Go back and give it one, such as its number")
    if gauge in ("", "new") and not unit:
        raise BadInput("what the gauge shows was not said", where="gauge", remedy="Go back and choose inches or mm")
    if cut and not re.fullmatch(r"[1-9][0-9]{0,5}", cut):
        raise BadInput(f'"{cut}" is not the number of a pass', where="pass", remedy="Give it like 2, or leave it empty")
    sections, strips = tuple(section or ()), tuple(strip or ())
    with desk_of(request).shop() as shop:
        code = find(shop, code).code
        asked = Asked(Stage(stage), sections, strips, INNER[inner], backward, int(cut) if cut else None)
        walk = walk_of(shop, code, asked)
        number = int(gauge) if gauge.isascii() and gauge.isdecimal() else None
        known, hand = declare(shop, number, gauge_name if gauge == "new" else "", unit, person)
    query: list[tuple[str, str | int]] = [("stage", stage), *(("section", one) for one in sections)]
    query += [("strips", ",".join(str(one) for one in strips))] if strips else []
    query += [("inner", inner), ("backward", "true")] if backward else [("inner", inner)]
    query += [("cut", walk.cut), ("unit", known.unit if known else unit or walk.unit)]
    query += [("gauge", known.id)] if known else []
    query += [("person", hand)] if hand else []
    return RedirectResponse(f"/{code}/bench/read?{urlencode(query)}", 303)


@router.get("/{code}/bench/read", response_class=HTMLResponse)
def reading_page(request: Request, code: str, walk: AskedFor, at: Short40 = "", said: str = "") -> str:
    """The page beside the rig."""
    with desk_of(request).shop() as shop:
        return _beside(request, read_page(shop, code, walk, at), said=said[:300])


@router.post("/{code}/bench/read", response_class=HTMLResponse)
def read_plainly(
    request: Request,
    code: str,
    walk: AskedFor,
    id: Annotated[str, Form(pattern=r"^[0-9A-Za-z_-]{16,64}$")],
    cut: Annotated[int, Form(ge=1, le=MANY)],
    spot: Short = "",
    seen: Annotated[str, Form(max_length=64)] = "",
    typed: Annotated[str, Form(max_length=128)] = "",
    why: Annotated[str, Form(max_length=200)] = "",
    act: Annotated[Literal["keep", "skip", "undo"], Form()] = "keep",
    confirmed: Annotated[bool, Form()] = False,
) -> Response:
    """One reading of a page without scripts: kept, or the same page again with the question."""
    with desk_of(request).shop() as shop, ONE_AT_A_TIME:
        view = read_page(shop, code, walk, spot)
        sent = Sent(
            id,
            Where(spot, walk.stage, cut),
            typed,
            view.walk.unit,
            datetime.now(UTC),
            walk.gauge,
            walk.person,
            seen or None,
            confirmed,
            why,
        )
        try:
            answer = _done(shop, view, sent, act)
        except Meanwhile as fault:
            view = read_page(shop, code, walk, spot)
            return HTMLResponse(_beside(request, view, question=str(fault), typed=typed), 409)
        except Conflict:
            raise
        except BadInput as fault:
            return HTMLResponse(_beside(request, view, said=str(fault), typed=typed), 422)
    if answer.said == HELD:
        return HTMLResponse(_beside(request, view, question=answer.words, typed=typed), 409)
    query = [(name, value) for name, value in request.query_params.multi_items() if name not in ("said", "at")]
    query += [("said", answer.words)] + ([("at", answer.spot)] if act == "undo" and answer.spot else [])
    return RedirectResponse(f"/{code}/bench/read?{urlencode(query)}", 303)


def _done(shop: Shop, view: ReadPage, sent: Sent, act: str) -> Answered:
    code = view.walk.code
    if act == "undo":
        return undo(shop, code, sent.id, view.last or sent.id, sent.at, person=sent.person)
    if act == "skip":
        return skip(shop, code, sent.id, sent.where, sent.why, sent.at, person=sent.person, seen=sent.seen)
    return take(shop, code, sent)


def _beside(request: Request, view: ReadPage, *, said: str = "", question: str = "", typed: str = "") -> str:
    return page(
        request,
        "bench_read.html",
        view=view,
        data=asdict(view.walk),
        said=said,
        question=question,
        typed=typed,
        id=secrets.token_hex(16),
        here=request.url.query,
    )

"""The bench: the page of what was read, where a walk begins, and the page beside the rig."""

from __future__ import annotations

import re
import secrets
from dataclasses import asdict, dataclass
from datetime import UTC, datetime
from typing import Annotated, Literal
from urllib.parse import urlencode

from fastapi import APIRouter, Form, Query, Request, Response
from fastapi.responses import HTMLResponse, RedirectResponse

from culmwright.book.words import sentence
from culmwright.measure.errors import BadInput
from culmwright.web.bench_api import INNER, MANY, ONE_AT_A_TIME, AskedFor, StageName
from culmwright.web.drawing_form import Refusals, Refused
from culmwright.web.pages import desk_of
from culmwright.web.render import page
from culmwright.workshop.atbench import HELD, Answered, Meanwhile, Sent, Where, skip, take, undo
from culmwright.workshop.bench_start import ReadPage, Start, look_at_bench_page, read_page
from culmwright.workshop.bench_walk import Asked, declare, walk_of
from culmwright.workshop.opening import Conflict, Shop, find
from culmwright.workshop.reading import Stage

router = APIRouter(include_in_schema=False)
LABELS = {"gauge_name": "Gauge", "unit": "What the gauge shows", "cut": "Pass"}
"""The fields of a walk's form that a refusal stands beside."""
Short = Annotated[str, Form(max_length=60)]
Short40 = Annotated[str, Query(max_length=40)]


@dataclass(frozen=True, slots=True)
class Filled:
    """What stands in the form a walk is begun with."""

    stage: str
    sections: tuple[str, ...]
    strips: tuple[int, ...]
    inner: str = "strip"
    backward: bool = False
    gauge: str = ""
    gauge_name: str = ""
    unit: str = ""
    person: str = ""
    cut: str = ""


def _proposed(start: Start) -> Filled:
    """The form as it is proposed."""
    gauge = "" if start.gauge is None else str(start.gauge)
    return Filled(start.stage, (start.section,), start.strips, gauge=gauge, person=start.person)


@router.get("/{code}/bench", response_class=HTMLResponse)
def bench_page(request: Request, code: str) -> str:
    """What was read, how the strips stand, and where a walk begins."""
    with desk_of(request).shop() as shop:
        view = look_at_bench_page(shop, code)
        return page(request, "bench.html", view=view, form=_proposed(view.start), refusals=Refusals())


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
    sections, strips = tuple(section or ()), tuple(strip or ())
    form = Filled(stage, sections, strips, inner, backward, gauge, gauge_name, unit, person, cut)
    with desk_of(request).shop() as shop:
        code = find(shop, code).code
        try:
            return RedirectResponse(f"/{code}/bench/read?{urlencode(_begun(shop, code, form))}", 303)
        except Conflict:
            raise
        except BadInput as fault:
            said = " ".join(sentence(one) for one in (fault.what, fault.remedy) if one)
            field = fault.where if fault.where in LABELS else ""
            them = Refusals((Refused(field, LABELS.get(field, ""), "", said),))
            view = look_at_bench_page(shop, code)
            return HTMLResponse(page(request, "bench.html", view=view, form=form, refusals=them), 422)


def _begun(shop: Shop, code: str, form: Filled) -> list[tuple[str, str | int]]:
    """The query of the walk a form begins. Raises :class:`BadInput` beside the field it is about."""
    if form.gauge == "new" and not form.gauge_name.strip():
        raise BadInput("the new gauge has no name", where="gauge_name", remedy="Give it one, such as its number")
    if form.gauge in ("", "new") and not form.unit:
        raise BadInput("what the gauge shows was not said", where="unit", remedy="Choose inches or millimetres")
    if form.cut and not re.fullmatch(r"[1-9][0-9]{0,5}", form.cut):
        raise BadInput(
            f'"{form.cut}" is not the number of a pass', where="cut", remedy="Give it like 2, or leave it empty"
        )
    inner, cut = INNER[form.inner], int(form.cut) if form.cut else None
    walk = walk_of(shop, code, Asked(Stage(form.stage), form.sections, form.strips, inner, form.backward, cut))
    number = int(form.gauge) if form.gauge.isascii() and form.gauge.isdecimal() else None
    known, hand = declare(shop, number, form.gauge_name if form.gauge == "new" else "", form.unit, form.person)
    query: list[tuple[str, str | int]] = [("stage", form.stage), *(("section", one) for one in form.sections)]
    query += [("strips", ",".join(str(one) for one in form.strips))] if form.strips else []
    query += [("inner", form.inner), ("backward", "true")] if form.backward else [("inner", form.inner)]
    query += [("cut", walk.cut), ("unit", known.unit if known else form.unit or walk.unit)]
    query += [("gauge", known.id)] if known else []
    query += [("person", hand)] if hand else []
    return query


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

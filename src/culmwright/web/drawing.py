"""Drawing a rod on a page: redrawing its taper, comparing two revisions, a station, the file itself."""

from __future__ import annotations

from dataclasses import replace
from functools import partial

from fastapi import APIRouter, Request, Response
from fastapi.responses import HTMLResponse, RedirectResponse
from pydantic import BaseModel, ConfigDict, Field
from starlette.datastructures import FormData

from culmwright.book.words import unfiled
from culmwright.measure.errors import BadInput, CulmwrightError, each_of, together
from culmwright.measure.record import to_json
from culmwright.web.drawing_form import MOST_CELLS, REMARK, Form, download, grid_in, pasted, refusals_of, text_in
from culmwright.web.pages import desk_of
from culmwright.web.problems import PROBLEMS, status_of
from culmwright.web.render import page
from culmwright.workshop.draft_fields import on_page
from culmwright.workshop.drafting import Draft, Drafted, draft_of, drafted
from culmwright.workshop.looking_drawing import (
    file_of,
    look_at_compared,
    look_at_drawing,
    look_at_station,
    tables_json,
)
from culmwright.workshop.opening import Begun, Shop, find
from culmwright.workshop.redrawing import Between, came_between, keep_redrawn, reason_in, rod_of
from culmwright.workshop.trying import load_typed, try_rod

router = APIRouter(include_in_schema=False)
api = APIRouter()


@router.get("/{code}/taper", response_class=HTMLResponse)
def taper_page(request: Request, code: str) -> str:
    """The taper of a rod: its drawing, stress, masses and strip heights, to look at or to redraw."""
    with desk_of(request).shop() as shop:
        return _taper(request, shop, code)


@router.post("/{code}/taper")
def redraw(request: Request, code: str, form: Form) -> Response:
    """Look at a redrawn taper, or keep it as the next revision for a reason; on a refusal everything typed stays.

    It is drawn from the revision that the page showed, whichever is the newest by now.
    """
    with desk_of(request).shop() as shop:
        begun = drawn_from(shop, code, text_in(form, "drawn_from"))
        code = begun.code
        stations, across = grid_in(form)
        draft = replace(draft_of(begun.revision.text), stations=stations, across=across)
        said: tuple[str, ...] = ()
        typed, why, keep = text_in(form, "pasted"), text_in(form, "reason"), text_in(form, "act") == "keep"
        try:
            draft, said = pasted(draft, typed)
            typed = ""
            together(partial(drafted, draft), *[partial(reason_in, why)] * keep)
            made = drafted(draft, REMARK)
            odd = tuple(one for one in made.rod.warnings if one not in begun.rod.warnings)
            between = came_between(shop, begun, knows_of(form, begun)) if keep else None
            if keep and between is None and set(odd) <= set(text_in(form, "seen").splitlines()):
                kept = keep_redrawn(shop, begun, made, why, after=knows_of(form, begun))
                return RedirectResponse(f"/{kept.code}/taper?from={begun.code}", 303)
        except CulmwrightError as fault:
            content = _taper(request, shop, code, draft, said=said, fault=fault, typed=typed, why=why)
            return HTMLResponse(content, max(status_of(fault, "POST"), 409))
        content = _taper(request, shop, code, draft, made, said=said, odd=odd, why=why, between=between)
        return HTMLResponse(content, 409 if between else 200)


def drawn_from(shop: Shop, code: str, said: str) -> Begun:
    """The revision a form was drawn from: the one its page ``said``, if that is one of this rod."""
    begun = find(shop, code)
    own = find(shop, said) if said else begun
    return own if own.revision.rod == begun.revision.rod else begun


def knows_of(form: FormData, begun: Begun) -> int | None:
    """The newest revision that who sends a form was told of, other than the one it was drawn from."""
    told = text_in(form, "after")
    number = int(told) if told.isascii() and told.isdecimal() and len(told) < 6 else 0
    return number if number > begun.revision.revision else None


def _taper(
    request: Request,
    shop: Shop,
    code: str,
    draft: Draft | None = None,
    made: Drafted | None = None,
    *,
    said: tuple[str, ...] = (),
    odd: tuple[str, ...] = (),
    fault: CulmwrightError | None = None,
    typed: str = "",
    why: str = "",
    between: Between | None = None,
) -> str:
    view = look_at_drawing(shop, code, draft, made.rod if made else None)
    came_from = request.query_params.get("from", "")
    return page(
        request,
        "taper.html",
        view=view,
        said=said,
        odd=odd,
        refusals=refusals_of(fault),
        typed=typed,
        why=why,
        changed=draft is not None,
        between=between,
        kept_from=came_from if any(one.code == came_from != view.code for one in view.revisions) else "",
    )


@router.get("/{code}/beside/{other}", response_class=HTMLResponse)
def compared_page(request: Request, code: str, other: str) -> str:
    """Two revisions of a rod side by side."""
    with desk_of(request).shop() as shop:
        return page(request, "beside.html", view=look_at_compared(shop, code, other))


@router.get("/{code}/at/{station}", response_class=HTMLResponse)
def station_page(request: Request, code: str, station: str) -> str:
    """Every figure of a rod at one station; with ``?part`` only what a page shows beside its drawing."""
    with desk_of(request).shop() as shop:
        view = look_at_station(shop, code, station)
        return page(request, "at_part.html" if "part" in request.query_params else "at.html", view=view)


@router.get("/{code}/rod.toml")
def rod_file(request: Request, code: str) -> Response:
    """The rod file a rod was frozen from, as it was."""
    with desk_of(request).shop() as shop:
        return download(file_of(shop, code), "application/toml", f"{find(shop, code).code}.toml")


@router.get("/{code}/rod.json")
def rod_json(request: Request, code: str) -> Response:
    """What the frozen rod file says, as JSON."""
    with desk_of(request).shop() as shop:
        return download(tables_json(shop, code), "application/json", f"{find(shop, code).code}.json")


class Trial(BaseModel):
    """A drawing to try: a whole rod file, or a rod of the shop with another taper; and a load to hang on it."""

    model_config = ConfigDict(strict=True, extra="forbid")
    text: str | None = Field(None, max_length=200_000, description="a whole rod file (TOML)")
    code: str | None = Field(None, max_length=40, description="a rod of the shop, like R1.2")
    stations: list[str] | None = Field(None, max_length=MOST_CELLS, description="stations from the tip, as typed")
    across: list[str] | None = Field(None, max_length=MOST_CELLS, description="across at each station, as typed")
    load: str | None = Field(None, max_length=40, description="a hanging load at the tip, like 4 oz")


class TrialAnswer(BaseModel):
    """Everything a page needs to redraw itself; lengths in metres, stress in pascals, masses in kilograms."""

    stations: list[dict[str, float | str | bool]]
    curve_station_m: list[float]
    curve_stress_pa: list[float]
    stress_limit_pa: float | None
    heights: list[dict[str, str | list[float] | list[str]]]
    mass_kg: float
    facts: list[list[str]]
    notes: list[str]
    warnings: list[str]
    bend: dict[str, float | str | list[float]] | None


@api.post("/api/try", response_model=TrialAnswer, responses=PROBLEMS, tags=["drawing"])
def try_drawing(request: Request, asked: Trial) -> dict[str, object]:
    """Stress, mass, strip heights and bend of a drawing, and nothing kept."""
    load = None if asked.load is None else load_typed(asked.load)
    if (asked.text is None) == (asked.code is None):
        raise BadInput("a trial needs a rod", where="text, code", remedy="Send the text of a rod file, or a rod's code")
    if asked.text is not None:
        return dict(to_json(try_rod(rod_of(asked.text), load)))
    with desk_of(request).shop() as shop:
        draft = draft_of(file_of(shop, asked.code or ""))
    if asked.stations is not None or asked.across is not None:
        stations, across = asked.stations or [], asked.across or []
        if len(stations) != len(across):
            raise BadInput(
                f"there are {len(stations)} stations and {len(across)} across",
                where="stations, across",
                remedy="Send one across for each station",
            )
        draft = replace(draft, stations=tuple(stations), across=tuple(across))
    try:
        made = drafted(draft)
    except BadInput as fault:
        what, remedy = (unfiled(on_page(one)) for one in (fault.what, fault.remedy))
        where = ", ".join(unfiled(on_page(one.where)) for one in each_of(fault))
        raise BadInput(what, where=where, remedy=remedy) from None
    tried = try_rod(made.rod, load)
    return dict(to_json(replace(tried, warnings=tuple(unfiled(one) for one in tried.warnings))))

"""Drawing a rod on a page: starting one, redrawing its taper, comparing two revisions, a station, the file itself."""

from __future__ import annotations

from dataclasses import replace
from typing import Annotated

from fastapi import APIRouter, Depends, Request, Response
from fastapi.responses import HTMLResponse, RedirectResponse
from pydantic import BaseModel, ConfigDict, Field
from starlette.datastructures import FormData

from culmwright.book.words import sentence
from culmwright.measure.errors import BadInput, CulmwrightError
from culmwright.measure.lengths import Length
from culmwright.measure.record import to_json
from culmwright.web.desk import Desk
from culmwright.web.problems import PROBLEMS, status_of
from culmwright.web.render import page
from culmwright.workshop.draft_fields import BENCH, BRIEF, CANE, FIELDS, field_of
from culmwright.workshop.drafting import (
    Draft,
    Drafted,
    cell_text,
    draft_of,
    drafted,
    empty_draft,
    even_stations,
    with_guides,
    with_proposals,
)
from culmwright.workshop.looking_drawing import (
    Shown,
    begin_from,
    file_of,
    look_at_compared,
    look_at_drawing,
    look_at_station,
    own_rods,
    show_drafted,
    tables_json,
)
from culmwright.workshop.opening import Shop, find
from culmwright.workshop.pasting import read_pasted
from culmwright.workshop.redrawing import keep_new, keep_redrawn, rod_of
from culmwright.workshop.trying import load_typed, try_rod

router = APIRouter(include_in_schema=False)
api = APIRouter()
REMARK = "Drawn on the workbench. A bare number is a length in the unit below."
MOST_CELLS = 400


async def form_of(request: Request) -> FormData:
    """What a form sent."""
    return await request.form()


Form = Annotated[FormData, Depends(form_of)]


def desk_of(request: Request) -> Desk:
    """The desk behind a request."""
    desk: Desk = request.app.state.desk
    return desk


def _text(form: FormData, name: str) -> str:
    value = form.get(name)
    return value if isinstance(value, str) else ""


def _cells(form: FormData, name: str) -> list[str]:
    return [value if isinstance(value, str) else "" for value in form.getlist(name)][:MOST_CELLS]


def _grid(form: FormData) -> tuple[tuple[str, ...], tuple[str, ...]]:
    """The filled rows of the grid, both columns equally long."""
    stations, across = _cells(form, "station"), _cells(form, "across")
    longest = max(len(stations), len(across))
    rows = [
        (a, b)
        for a, b in zip(
            stations + [""] * (longest - len(stations)), across + [""] * (longest - len(across)), strict=True
        )
        if a.strip() or b.strip()
    ]
    return tuple(a for a, _ in rows), tuple(b for _, b in rows)


def draft_in(form: FormData, base: str) -> Draft:
    """The draft a form sends; ``base`` is the file it begins from."""
    stations, across = _grid(form)
    return Draft(
        {one.name: _text(form, one.name) for one in FIELDS},
        _text(form, "units") or "inch",
        stations,
        across,
        tuple(
            (_text(form, f"ferrule{i}_station"), _text(form, f"ferrule{i}_size"), _text(form, f"ferrule{i}_mass"))
            for i in (1, 2)
        ),
        _text(form, "guides"),
        base,
    )


def pasted(draft: Draft, text: str) -> tuple[Draft, tuple[str, ...]]:
    """The draft with its grid filled from a paste, and what was said about reading it."""
    if not text.strip():
        return draft, ()
    try:
        length = Length.parse(draft.get("length"), draft.display.bare) if draft.get("length") else None
    except BadInput:
        length = None
    read = read_pasted(text, draft.display, length)
    bare = draft.display.bare
    cells = [tuple(cell_text(one, bare) for one in column) for column in (read.stations, read.across)]
    return replace(draft, stations=cells[0], across=cells[1]), read.said


@router.get("/new", response_class=HTMLResponse)
def new_page(request: Request) -> str:
    """A rod to fill in: empty, or begun from one of the shop's own with ``?from=R1.1``."""
    begun_from = request.query_params.get("from", "")
    desk = desk_of(request)
    draft = empty_draft()
    if begun_from:
        with desk.shop() as shop:
            draft = begin_from(shop, begun_from)
    return _new(request, draft, begun_from)


@router.post("/new")
def new_rod(request: Request, form: Form) -> Response:
    """Look at what is filled in, or keep it as a new rod; on a refusal everything typed stays."""
    act, begun_from = _text(form, "act"), _text(form, "base")
    desk = desk_of(request)
    base = ""
    said: tuple[str, ...] = ()
    typed = _text(form, "pasted")
    draft = draft_in(form, "")
    try:
        if begun_from:
            with desk.shop() as shop:
                base = file_of(shop, begun_from)
            draft = replace(draft, base=base)
        draft, said = pasted(draft, typed)
        typed = ""
        if act == "grid":
            return HTMLResponse(_new(request, even_stations(draft), begun_from, said))
        draft, proposed = with_proposals(draft)
        said = (*said, *proposed)
        if act == "guides":
            draft = with_guides(draft)
            said = (*said, "guides are proposed: common practice, no source; change them as you like")
        made = drafted(draft, REMARK)
        if act == "file":
            return _download(made.text, "text/plain", "rod.toml")
        odd = made.rod.warnings
        if act == "keep" and not said and set(odd) <= set(_text(form, "seen").splitlines()):
            with desk.shop(start=True) as shop:
                kept = keep_new(shop, made)
            return RedirectResponse(f"/{kept.revision.code}", 303)
    except CulmwrightError as fault:
        content = _new(request, draft, begun_from, said, fault=fault, typed=typed)
        return HTMLResponse(content, 422 if isinstance(fault, BadInput) else status_of(fault, "POST"))
    return HTMLResponse(_new(request, draft, begun_from, said, made=made, asked=act == "keep"))


def _new(
    request: Request,
    draft: Draft,
    begun_from: str,
    said: tuple[str, ...] = (),
    *,
    fault: CulmwrightError | None = None,
    typed: str = "",
    made: Drafted | None = None,
    asked: bool = False,
) -> str:
    desk = desk_of(request)
    own: tuple[tuple[str, str], ...] = ()
    if desk.begun:
        with desk.shop() as shop:
            own = own_rods(shop)
    shown: Shown | None = show_drafted(made) if made else None
    return page(
        request,
        "new.html",
        draft=draft,
        brief=BRIEF,
        folded=(("Making: glue, finish, cane", CANE), ("Bench: what you read and cut with", BENCH)),
        base=begun_from,
        own=own,
        said=said,
        fault_at=field_of(fault.where) if fault else "",
        fault=_sentence(fault) if fault else "",
        typed=typed,
        shown=shown,
        asked=asked,
        ferrules=(*draft.ferrules, *[("", "", "")] * 2)[:2],
    )


def _sentence(fault: CulmwrightError) -> str:
    """A refusal as it stands beside its field: what, and what to do; the field says where."""
    return " ".join(sentence(one) for one in (fault.what, fault.remedy) if one)


@router.get("/{code}/taper", response_class=HTMLResponse)
def taper_page(request: Request, code: str) -> str:
    """The taper of a rod: its drawing, stress, masses and strip heights, to look at or to redraw."""
    with desk_of(request).shop() as shop:
        return _taper(request, shop, code)


@router.post("/{code}/taper")
def redraw(request: Request, code: str, form: Form) -> Response:
    """Look at a redrawn taper, or keep it as the next revision for a reason; on a refusal everything typed stays."""
    with desk_of(request).shop() as shop:
        begun = find(shop, code)
        draft = draft_of(begun.revision.text)
        stations, across = _grid(form)
        draft = replace(draft, stations=stations, across=across)
        said: tuple[str, ...] = ()
        typed, why = _text(form, "pasted"), _text(form, "reason")
        try:
            draft, said = pasted(draft, typed)
            typed = ""
            made = drafted(draft, REMARK)
            odd = tuple(one for one in made.rod.warnings if one not in begun.rod.warnings)
            if _text(form, "act") == "keep" and set(odd) <= set(_text(form, "seen").splitlines()):
                kept = keep_redrawn(shop, begun, made, why)
                return RedirectResponse(f"/{kept.code}/taper", 303)
        except CulmwrightError as fault:
            content = _taper(request, shop, code, draft, said=said, fault=fault, typed=typed, why=why)
            return HTMLResponse(content, max(status_of(fault, "POST"), 409))
        return HTMLResponse(_taper(request, shop, code, draft, made, said=said, odd=odd, why=why))


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
) -> str:
    view = look_at_drawing(shop, code, draft, made.rod if made else None)
    return page(
        request,
        "taper.html",
        view=view,
        said=said,
        odd=odd,
        fault=_sentence(fault) if fault else "",
        fault_at=fault.where if fault else "",
        typed=typed,
        why=why,
        changed=draft is not None,
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
        return _download(file_of(shop, code), "application/toml", f"{find(shop, code).code}.toml")


@router.get("/{code}/rod.json")
def rod_json(request: Request, code: str) -> Response:
    """What the frozen rod file says, as JSON."""
    with desk_of(request).shop() as shop:
        return _download(tables_json(shop, code), "application/json", f"{find(shop, code).code}.json")


def _download(text: str, kind: str, name: str) -> Response:
    return Response(
        text, media_type=f"{kind}; charset=utf-8", headers={"content-disposition": f'attachment; filename="{name}"'}
    )


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
    return dict(to_json(try_rod(drafted(draft).rod, load)))

"""Starting a rod on a page: filled in, looked at, kept."""

from __future__ import annotations

from dataclasses import replace
from functools import partial

from fastapi import APIRouter, Request, Response
from fastapi.responses import HTMLResponse, RedirectResponse

from culmwright.measure.errors import BadInput, CulmwrightError, together
from culmwright.web.drawing_form import REMARK, Form, download, draft_in, pasted, refusals_of, text_in
from culmwright.web.pages import desk_of
from culmwright.web.problems import status_of
from culmwright.web.render import page
from culmwright.workshop.draft_fields import BENCH, BRIEF, CANE
from culmwright.workshop.drafting import (
    Draft,
    Drafted,
    drafted,
    empty_draft,
    even_stations,
    must_be_there,
    with_guides,
    with_proposals,
)
from culmwright.workshop.looking_drawing import Shown, begin_from, file_of, own_rods, show_drafted
from culmwright.workshop.redrawing import keep_new

router = APIRouter(include_in_schema=False)


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
    act, begun_from = text_in(form, "act"), text_in(form, "base")
    desk = desk_of(request)
    base = ""
    said: tuple[str, ...] = ()
    typed = text_in(form, "pasted")
    draft = draft_in(form, "")
    try:
        if begun_from:
            with desk.shop() as shop:
                base = file_of(shop, begun_from)
            draft = replace(draft, base=base)
        draft, said = _read(draft, typed)
        typed = ""
        if act == "grid":
            return HTMLResponse(_new(request, even_stations(draft), begun_from, said, act=act))
        draft, proposed = with_proposals(draft)
        said = (*said, *proposed)
        if act == "guides":
            draft = with_guides(draft)
            said = (*said, "guides are proposed: common practice, no source; change them as you like")
        made = drafted(draft, REMARK)
        if act == "file":
            return download(made.text, "text/plain", "rod.toml")
        odd = made.rod.warnings
        if act == "keep" and not said and set(odd) <= set(text_in(form, "seen").splitlines()):
            with desk.shop(start=True) as shop:
                kept = keep_new(shop, made)
            return RedirectResponse(f"/{kept.revision.code}?kept=new", 303)
    except CulmwrightError as fault:
        content = _new(request, draft, begun_from, said, fault=fault, typed=typed)
        return HTMLResponse(content, 422 if isinstance(fault, BadInput) else status_of(fault, "POST"))
    return HTMLResponse(_new(request, draft, begun_from, said, made=made, act=act))


def _read(draft: Draft, typed: str) -> tuple[Draft, tuple[str, ...]]:
    """The draft with what was pasted; where that cannot be read, refused together with whatever else cannot."""
    try:
        return pasted(draft, typed)
    except BadInput as fault:
        together(partial(must_be_there, draft, taper=False), partial(pasted, draft, typed))
        raise fault


def _new(
    request: Request,
    draft: Draft,
    begun_from: str,
    said: tuple[str, ...] = (),
    *,
    fault: CulmwrightError | None = None,
    typed: str = "",
    made: Drafted | None = None,
    act: str = "",
) -> str:
    desk = desk_of(request)
    own: tuple[tuple[str, str], ...] = ()
    if desk.begun:
        with desk.shop() as shop:
            own = own_rods(shop)
    shown: Shown | None = show_drafted(made) if made else None
    focus = {"guides": "guides", "grid": "across 1", "keep": "told" if said else "", "look": "" if said else "seen"}
    return page(
        request,
        "new.html",
        draft=draft,
        brief=BRIEF,
        folded=(("Making: glue, finish, cane", CANE), ("Bench: what you read and cut with", BENCH)),
        base=begun_from,
        own=own,
        said=said,
        refusals=refusals_of(fault),
        typed=typed,
        shown=shown,
        act=act,
        focus="" if shown and shown.odd else focus.get(act, ""),
        ferrules=(*draft.ferrules, *[("", "", "")] * 2)[:2],
        proposed=(*draft.proposed, *[("", "")] * 2)[:2],
    )

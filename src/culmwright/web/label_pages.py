"""Labels to be cut out and tied to strips, and where a scanned one leads."""

from __future__ import annotations

from typing import Literal
from urllib.parse import quote

from fastapi import APIRouter, Request, Response
from fastapi.responses import HTMLResponse, RedirectResponse

from culmwright.measure.errors import BadInput
from culmwright.web.pages import desk_of
from culmwright.web.render import page
from culmwright.workshop.labelling import label_sheet, labels_of, look_at_label
from culmwright.workshop.printing import PAPERS

first = APIRouter(include_in_schema=False)
last = APIRouter(include_in_schema=False)


@first.get("/scan", response_class=HTMLResponse)
def scan_page(request: Request, text: str = "") -> Response:
    """One field that a scanner types into."""
    if text.strip():
        return RedirectResponse(f"/s/{quote(text.strip()[:200], safe='/@:')}", 303)
    return HTMLResponse(page(request, "scan.html", said=""))


@first.get("/s/{text:path}", response_class=HTMLResponse)
def landing(request: Request, text: str) -> Response:
    """The strip or section a label names."""
    try:
        with desk_of(request).shop() as shop:
            return HTMLResponse(page(request, "label.html", view=look_at_label(shop, text)))
    except BadInput as fault:
        return HTMLResponse(page(request, "scan.html", said=str(fault)), 404)


@last.get("/{code}/labels", response_class=HTMLResponse)
def labels_page(request: Request, code: str) -> str:
    """The labels of a rod's strips."""
    with desk_of(request).shop() as shop:
        return page(request, "labels.html", view=labels_of(shop, code))


@last.get("/{code}/labels.pdf")
def labels(request: Request, code: str, paper: Literal["a4", "letter"] = "a4") -> Response:
    """The same as sheets to print."""
    with desk_of(request).shop() as shop:
        content = label_sheet(labels_of(shop, code), PAPERS[paper])
    return Response(content, media_type="application/pdf", headers={"content-disposition": "inline"})

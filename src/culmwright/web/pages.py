"""The shop, a rod by stage, one number with its working, and the book."""

from __future__ import annotations

import datetime
from typing import Literal

from fastapi import APIRouter, Request, Response
from fastapi.responses import HTMLResponse

from culmwright.measure.display import DISPLAYS
from culmwright.measure.spot import Spot
from culmwright.web.desk import Desk
from culmwright.web.render import page
from culmwright.workshop.looking import book_of, look_at_shop, look_at_spot
from culmwright.workshop.looking_stages import (
    look_at_book,
    look_at_brief,
    look_at_stage,
    look_at_strips,
)
from culmwright.workshop.opening import find
from culmwright.workshop.printing import PAPERS
from culmwright.workshop.stages import stage_at

first = APIRouter(include_in_schema=False)
last = APIRouter(include_in_schema=False)
"""Routes that would catch others stand last."""


def desk_of(request: Request) -> Desk:
    """The desk behind a request."""
    desk: Desk = request.app.state.desk
    return desk


@first.get("/", response_class=HTMLResponse)
def shop_page(request: Request) -> str:
    """The shop: its rods in hand."""
    desk = desk_of(request)
    if not desk.begun:
        return page(request, "shop.html", shop=None)
    with desk.shop() as shop:
        return page(request, "shop.html", shop=look_at_shop(shop))


@last.get("/{code}/book.pdf")
def book(
    request: Request,
    code: str,
    paper: Literal["a4", "letter"] = "a4",
    units: Literal["own", "inch", "metric"] = "own",
) -> Response:
    """The shop book of a rod, printed now, in the rod's own units unless others are asked for."""
    with desk_of(request).shop() as shop:
        content = book_of(shop, code, datetime.date.today(), PAPERS[paper], DISPLAYS.get(units))
        name = f"{find(shop, code).code} shop book.pdf"
    headers = {"content-disposition": f'inline; filename="{name}"'}
    return Response(content, media_type="application/pdf", headers=headers)


@last.get("/{code}", response_class=HTMLResponse)
def brief_page(request: Request, code: str) -> str:
    """The brief of a rod."""
    with desk_of(request).shop() as shop:
        kept = request.query_params.get("kept", "") == "new"
        return page(request, "brief.html", view=look_at_brief(shop, code), kept=kept)


@last.get("/{code}/strips", response_class=HTMLResponse)
def strips_page(request: Request, code: str) -> str:
    """The strip schedule."""
    with desk_of(request).shop() as shop:
        return page(request, "strips.html", view=look_at_strips(shop, code))


@last.get("/{code}/book", response_class=HTMLResponse)
def book_page(request: Request, code: str) -> str:
    """From here the book is printed."""
    with desk_of(request).shop() as shop:
        return page(request, "book.html", view=look_at_book(shop, code))


@last.get("/{code}/{spot:path}", response_class=HTMLResponse)
def spot_page(request: Request, code: str, spot: str) -> str:
    """A stage of the rod, or one number and its working: the address of the page is the address of the number."""
    with desk_of(request).shop() as shop:
        if stage_at(spot) is not None:
            return page(request, "stage.html", view=look_at_stage(shop, code, spot))
        return page(request, "spot.html", spot=look_at_spot(shop, code, Spot.parse(spot)))

"""The workbench: the shop and its rods as pages, for this machine only, and only to read."""

from __future__ import annotations

import datetime
from functools import cache
from pathlib import Path
from typing import Any

import jinja2
from fastapi import FastAPI, Request, Response
from fastapi.responses import HTMLResponse
from starlette.exceptions import HTTPException
from starlette.middleware import Middleware

from culmwright.measure.errors import BadInput, CulmwrightError
from culmwright.measure.spot import Spot
from culmwright.web.guard import Guard
from culmwright.workshop.looking import RodView, ShopView, SpotView, book_of, look_at_rod, look_at_shop, look_at_spot

LOOK = Path(__file__).parent / "look"
FONTS = {"regular": "SourceSansPro-Regular.otf", "semibold": "SourceSansPro-Semibold.otf"}
FOR_EVER = {"cache-control": "public, max-age=31536000, immutable"}


def hosts_of(port: int) -> tuple[str, ...]:
    """The host names this machine answers to at a port: nobody else's page can borrow one."""
    return tuple(f"{name}:{port}" for name in ("127.0.0.1", "localhost", "[::1]"))


def create_app(shop: str | Path | None, hosts: tuple[str, ...]) -> FastAPI:
    """The pages over one shop's file, opened for reading at each request; answered to ``hosts`` only."""
    app = FastAPI(
        title="culmwright", docs_url=None, redoc_url=None, openapi_url=None, middleware=[Middleware(Guard, hosts=hosts)]
    )

    @app.get("/", response_class=HTMLResponse)
    def shop_page() -> str:
        """The shop: its rods in hand."""
        return _page("shop.html", shop=look_at_shop(shop))

    @app.get("/look/sheet.css")
    def sheet_css() -> Response:
        """The one style sheet."""
        return Response((LOOK / "sheet.css").read_bytes(), media_type="text/css")

    @app.get("/look/{name}.otf")
    def font(name: str) -> Response:
        """The sans serif, from the installed package."""
        if name not in FONTS:
            raise HTTPException(404, "there is no such font")
        return Response(_font(FONTS[name]), media_type="font/otf", headers=FOR_EVER)

    @app.get("/{code}/book.pdf")
    def book(code: str) -> Response:
        """The shop book of a rod, printed now."""
        content = book_of(shop, code, datetime.date.today())
        return Response(content, media_type="application/pdf", headers={"content-disposition": "inline"})

    @app.get("/{code}", response_class=HTMLResponse)
    def rod_page(code: str) -> str:
        """A rod by stage."""
        return _page("rod.html", rod=look_at_rod(shop, code))

    @app.get("/{code}/{spot:path}", response_class=HTMLResponse)
    def spot_page(code: str, spot: str) -> str:
        """One number and its working: the address of the page is the address of the number."""
        return _page("spot.html", spot=look_at_spot(shop, code, Spot.parse(spot)))

    @app.exception_handler(CulmwrightError)
    def refused(request: Request, fault: CulmwrightError) -> HTMLResponse:
        """A refusal in its three parts."""
        status = 404 if isinstance(fault, BadInput) else 409
        page = _page("fault.html", what=fault.what, where=fault.where, remedy=fault.remedy)
        return HTMLResponse(page, status)

    @app.exception_handler(HTTPException)
    def missing(request: Request, fault: HTTPException) -> HTMLResponse:
        """No such page."""
        page = _page("fault.html", what="there is no such page", where="", remedy="Go back to the shop")
        return HTMLResponse(page, fault.status_code)

    return app


def _page(template: str, **seen: ShopView | RodView | SpotView | str | Any) -> str:
    return _templates().get_template(template).render(**seen)


@cache
def _templates() -> jinja2.Environment:
    return jinja2.Environment(
        loader=jinja2.FileSystemLoader(LOOK),
        autoescape=True,
        undefined=jinja2.StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
    )


@cache
def _font(file: str) -> bytes:
    import font_source_sans_pro

    return (Path(str(font_source_sans_pro.__path__[0])) / "files" / file).read_bytes()

"""The style sheet, the scripts and the fonts: our own, from this machine."""

from __future__ import annotations

from functools import cache
from pathlib import Path

from fastapi import APIRouter, Response
from starlette.exceptions import HTTPException

from culmwright.web.render import LOOK

FONTS = {"regular": "SourceSansPro-Regular.otf", "semibold": "SourceSansPro-Semibold.otf"}
FOR_EVER = {"cache-control": "public, max-age=31536000, immutable"}
router = APIRouter(include_in_schema=False)


@router.get("/look/js/{name}.js")
def script(name: str) -> Response:
    """One of our own scripts."""
    return _file(f"js/{name}.js", "text/javascript")


@router.get("/look/{name}.css")
def style(name: str) -> Response:
    """A style sheet."""
    return _file(f"{name}.css", "text/css")


@router.get("/look/{name}.otf")
def font(name: str) -> Response:
    """The sans serif, from the installed package."""
    if name not in FONTS:
        raise HTTPException(404)
    return Response(_font(FONTS[name]), media_type="font/otf", headers=FOR_EVER)


def _file(name: str, kind: str) -> Response:
    known = {one.relative_to(LOOK).as_posix() for one in (*LOOK.glob("*.css"), *LOOK.glob("js/*.js"))}
    if name not in known:
        raise HTTPException(404)
    return Response((LOOK / name).read_bytes(), media_type=kind, headers={"cache-control": "no-cache"})


@cache
def _font(file: str) -> bytes:
    import font_source_sans_pro

    return (Path(str(font_source_sans_pro.__path__[0])) / "files" / file).read_bytes()

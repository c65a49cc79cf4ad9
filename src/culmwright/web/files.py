"""The style sheet, the scripts and the fonts: our own, from this machine."""

from __future__ import annotations

import gzip
from functools import cache, lru_cache
from pathlib import Path

from fastapi import APIRouter, Request, Response
from starlette.exceptions import HTTPException

from culmwright.web.render import LOOK

FONTS = {"regular": "SourceSansPro-Regular.otf", "semibold": "SourceSansPro-Semibold.otf"}
FOR_EVER = {"cache-control": "public, max-age=31536000, immutable"}
router = APIRouter(include_in_schema=False)


@router.get("/look/js/{name}.js")
def script(request: Request, name: str) -> Response:
    """One of our own scripts."""
    return _file(request, f"js/{name}.js", "text/javascript")


@router.get("/look/{name}.css")
def style(request: Request, name: str) -> Response:
    """A style sheet."""
    return _file(request, f"{name}.css", "text/css")


@router.get("/look/{name}.otf")
def font(request: Request, name: str) -> Response:
    """The sans serif, from the installed package."""
    if name not in FONTS:
        raise HTTPException(404)
    return _sent(request, _font(FONTS[name]), "font/otf", FOR_EVER)


def _file(request: Request, name: str, kind: str) -> Response:
    known = {one.relative_to(LOOK).as_posix() for one in (*LOOK.glob("*.css"), *LOOK.glob("js/*.js"))}
    if name not in known:
        raise HTTPException(404)
    return _sent(request, (LOOK / name).read_bytes(), kind, {"cache-control": "no-cache"})


def _sent(request: Request, content: bytes, kind: str, headers: dict[str, str]) -> Response:
    """A file of ours, packed where the browser unpacks it; it holds nothing secret that its size could tell."""
    headers = {**headers, "vary": "accept-encoding"}
    if "gzip" not in request.headers.get("accept-encoding", ""):
        return Response(content, media_type=kind, headers=headers)
    return Response(_packed(content), media_type=kind, headers={**headers, "content-encoding": "gzip"})


@lru_cache(maxsize=64)
def _packed(content: bytes) -> bytes:
    return gzip.compress(content, 9, mtime=0)


@cache
def _font(file: str) -> bytes:
    import font_source_sans_pro

    return (Path(str(font_source_sans_pro.__path__[0])) / "files" / file).read_bytes()

"""Pages from templates: the look lives in ``look``, the words and figures come from the workshop."""

from __future__ import annotations

import hashlib
from functools import cache
from pathlib import Path
from typing import Any

import jinja2
from fastapi import Request

from culmwright.book.words import sentence, unfiled, unsaid
from culmwright.web.tables import on_phone

LOOK = Path(__file__).parent / "look"


def page(request: Request, template: str, **seen: Any) -> str:
    """A template of ``look`` with what it shows; every page knows its visitor."""
    visitor = getattr(request.state, "visitor", None)
    shared = {"visitor": visitor, "token": visitor.token if visitor else "", "lan": request.app.state.lan}
    shared["damage"] = request.app.state.desk.damage
    reach = request.app.state.reach
    shared["stranger"] = (
        reach.stranger if reach is not None and visitor is not None and visitor.role.name == "KEEP" else ""
    )
    return templates().get_template(template).render(**shared, **seen)


@cache
def templates() -> jinja2.Environment:
    """The templates, read once; everything is escaped, a name that is missing is an error."""
    made = jinja2.Environment(
        loader=jinja2.FileSystemLoader(LOOK),
        autoescape=True,
        undefined=jinja2.StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
    )
    made.globals["at"] = address
    made.globals["on_phone"] = on_phone
    made.filters["unsaid"] = unsaid
    made.filters["sentence"] = sentence
    made.filters["unfiled"] = unfiled
    return made


@cache
def address(file: str) -> str:
    """Where a file of the look is served: its content is part of the address, so it may be kept for ever."""
    return f"/look/{file}?{hashlib.sha256((LOOK / file).read_bytes()).hexdigest()[:12]}"

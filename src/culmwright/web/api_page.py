"""The description of the API: for programs, and as a page to read."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from fastapi import APIRouter, Request
from fastapi.openapi.utils import get_openapi
from fastapi.responses import HTMLResponse, JSONResponse

from culmwright.web.access import RULES, Role
from culmwright.web.render import page

router = APIRouter(include_in_schema=False)
WHO = {
    Role.NONE: "anybody",
    Role.LOOK: "whoever may look",
    Role.BENCH: "whoever may read at the bench",
    Role.KEEP: "whoever keeps the shop",
}
HEAD = (
    "Results have the keys of the command line's --json: SI units in their names. Whatever writes carries the token of "
    "/api/me in the header X-Culmwright-Token. Every refusal is a problem document (RFC 9457)."
)


@dataclass(frozen=True, slots=True)
class Operation:
    """An operation as the page lists it."""

    method: str
    path: str
    words: str
    who: str
    takes: tuple[str, ...]


def description(request: Request) -> dict[str, Any]:
    """The API's description (OpenAPI 3.1), made once."""
    app = request.app
    if not app.openapi_schema:
        app.openapi_schema = get_openapi(title=app.title, version=app.version, description=HEAD, routes=app.routes)
    return dict(app.openapi_schema)


@router.get("/api/openapi.json")
def openapi(request: Request) -> JSONResponse:
    """The description of the API, for programs."""
    return JSONResponse(description(request))


@router.get("/api", response_class=HTMLResponse)
def api_page(request: Request) -> str:
    """The description of the API, to read."""
    groups: dict[str, list[Operation]] = {}
    for path, methods in description(request)["paths"].items():
        for method, one in methods.items():
            listed = groups.setdefault(next(iter(one.get("tags", ())), "other"), [])
            listed.append(_operation(request, path, method.upper(), one))
    return page(request, "api.html", head=HEAD, groups=groups)


def _operation(request: Request, path: str, method: str, one: dict[str, Any]) -> Operation:
    least = RULES.get(path, {}).get(method)
    takes = [f"{given['name']}{'' if given.get('required') else ', if wanted'}" for given in one.get("parameters", ())]
    for kind, body in one.get("requestBody", {}).get("content", {}).items():
        name = body["schema"].get("$ref", "").rpartition("/")[2]
        shape = description(request)["components"]["schemas"].get(name, {})
        must = shape.get("required", ())
        takes += [f"{key}{'' if key in must else ', if wanted'}" for key in shape.get("properties", ())] or [kind]
    return Operation(
        method, path, one.get("description", ""), WHO[least] if least is not None else "nobody", tuple(takes)
    )

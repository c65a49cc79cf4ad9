"""One shape for everything that is refused: a page for a person, a problem document (RFC 9457) for a program."""

from __future__ import annotations

from typing import Any

from fastapi import FastAPI, Request, Response
from fastapi.exceptions import RequestValidationError
from fastapi.responses import HTMLResponse, JSONResponse
from pydantic import BaseModel, Field
from starlette.exceptions import HTTPException

from culmwright.measure.errors import AnswerIsNo, BadInput, CulmwrightError
from culmwright.web.access import Refused, Role
from culmwright.web.guard import HEADERS
from culmwright.web.render import page
from culmwright.workshop.admitting import TooManyTries
from culmwright.workshop.opening import Conflict
from culmwright.workshop.ways import ways_on

MEDIA = "application/problem+json"


class Problem(BaseModel):
    """What was wrong, where, and what to do about it."""

    type: str = "about:blank"
    title: str = Field(description="what was wrong")
    status: int
    where: str = Field("", description="the place it sits in")
    remedy: str = Field("", description="what to do")


PROBLEMS: dict[int | str, dict[str, Any]] = {
    status: {"model": Problem, "description": said, "content": {MEDIA: {"schema": Problem.model_json_schema()}}}
    for status, said in {
        400: "It cannot be read.",
        403: "This device may not do that.",
        404: "It is not there.",
        409: "It contradicts what already stands.",
        413: "It is more than is taken.",
        415: "It is not said to be JSON.",
        422: "It cannot be used.",
        429: "Too many tries; wait.",
    }.items()
}
"""The refusals every operation of the API may answer with."""


BEGINNINGS = (("/new", "Start a rod"), ("/stores", "Enter culms, rigs and gauges"))
"""Where a shop begins that is not there yet: (address, words)."""


def status_of(fault: CulmwrightError, method: str) -> int:
    """The status for a refusal."""
    match fault:
        case Refused():
            return 403
        case TooManyTries():
            return 429
        case Conflict() | AnswerIsNo():
            return 409
        case BadInput():
            return 404 if method in ("GET", "HEAD") else 422
    return 409


def answer(request: Request, status: int, what: str, where: str = "", remedy: str = "") -> Response:
    """The refusal as a problem document under ``/api``, else as a page."""
    if request.url.path.startswith("/api/"):
        problem = Problem(title=what, status=status, where=where, remedy=remedy)
        return JSONResponse(problem.model_dump(), status, media_type=MEDIA)
    return HTMLResponse(
        page(request, "fault.html", what=what, where=where, remedy=remedy, ways=ways_from(request)), status
    )


def ways_from(request: Request) -> tuple[tuple[str, str], ...]:
    """Where else to go from a refusal: (address, words) of the rod the address names, or of the page to pair on."""
    visitor = getattr(request.state, "visitor", None)
    if visitor is None or visitor.role is Role.NONE:
        return (("/pair", "Pair this device"),) if request.app.state.lan else ()
    desk = request.app.state.desk
    if not desk.begun:
        return BEGINNINGS if visitor.role is Role.KEEP else ()
    try:
        with desk.shop() as shop:
            return ways_on(shop, request.url.path)
    except CulmwrightError:
        return ()


def install(app: FastAPI) -> None:
    """Say every refusal of ``app`` in this shape."""

    @app.exception_handler(CulmwrightError)
    def refused(request: Request, fault: CulmwrightError) -> Response:
        return answer(request, status_of(fault, request.method), fault.what, fault.where, fault.remedy)

    @app.exception_handler(RequestValidationError)
    def unreadable(request: Request, fault: RequestValidationError) -> Response:
        first = fault.errors()[0]
        where = ", ".join(str(part) for part in first["loc"])
        return answer(request, 422, str(first["msg"]), where, "Send it as the description of this route says")

    @app.exception_handler(HTTPException)
    def missing(request: Request, fault: HTTPException) -> Response:
        what = "there is no such page" if fault.status_code == 404 else str(fault.detail)
        return answer(request, fault.status_code, what, "", "Go back to the shop")

    @app.exception_handler(Exception)
    def mistaken(request: Request, fault: Exception) -> Response:
        """Said from outside the guard, so with its headers; what went wrong stands in the log of the command alone."""
        remedy = "Nothing was left half-written. Look at what the command printed"
        said = answer(request, 500, "this is a mistake of the program, not yours", "", remedy)
        said.raw_headers += HEADERS
        return said

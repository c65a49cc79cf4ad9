"""Who may do what: one rule for every route, and nothing for a route without one."""

from __future__ import annotations

import hmac
from collections.abc import Mapping
from dataclasses import dataclass
from enum import IntEnum
from typing import Protocol

from fastapi import Request

from culmwright.measure.errors import CulmwrightError

TOKEN_HEADER = "x-culmwright-token"
TOKEN_FIELD = "token"
SAFE = ("GET", "HEAD")


class Role(IntEnum):
    """What a visitor may do: nothing, look, read at the bench, or keep the shop; each includes the one before."""

    NONE = 0
    LOOK = 1
    BENCH = 2
    KEEP = 3


@dataclass(frozen=True, slots=True)
class Visitor:
    """Whoever asks: what they may do, the device they are known by, and the ``token`` their own pages carry."""

    role: Role
    device: str
    token: str


class Door(Protocol):
    """Tells who is asking."""

    def visitor(self, request: Request) -> Visitor:
        """The visitor behind a request; one of role ``NONE`` for a stranger."""


class Refused(CulmwrightError):
    """Somebody asked for what they may not do."""


LOOK, BENCH, KEEP, NONE = Role.LOOK, Role.BENCH, Role.KEEP, Role.NONE
RULES: dict[str, Mapping[str, Role]] = {
    "/": {"GET": LOOK},
    "/look/{name}.css": {"GET": NONE},
    "/look/{name}.otf": {"GET": NONE},
    "/look/js/{name}.js": {"GET": NONE},
    "/{code}": {"GET": LOOK},
    "/{code}/taper": {"GET": LOOK},
    "/{code}/strips": {"GET": LOOK},
    "/{code}/bench": {"GET": LOOK},
    "/{code}/log": {"GET": LOOK},
    "/{code}/book": {"GET": LOOK},
    "/{code}/book.pdf": {"GET": LOOK},
    "/{code}/{spot:path}": {"GET": LOOK},
}
"""The least role for every route and method. A route that is not here is answered to nobody."""


async def admitted(request: Request) -> Visitor:
    """The visitor, if the rule of this route lets them in; every route of the workbench depends on this."""
    route = getattr(request.scope.get("route"), "path", "")
    least = RULES.get(route, {}).get(request.method)
    if least is None:
        raise Refused("nobody may ask for this", remedy="Go back to the shop")
    door: Door = request.app.state.door
    visitor = door.visitor(request)
    request.state.visitor = visitor
    if visitor.role < least:
        if visitor.role is Role.NONE:
            raise Refused("this device is not known here", remedy="Pair it: ask for a code at the shop's computer")
        raise Refused("this device may not do that", remedy="Use one with more rights, or ask the keeper of the shop")
    if request.method not in SAFE and not hmac.compare_digest(await _token(request), visitor.token):
        raise Refused("this page is from before, or from elsewhere", remedy="Load it again, then try once more")
    return visitor


async def _token(request: Request) -> str:
    given = request.headers.get(TOKEN_HEADER)
    kind = request.headers.get("content-type", "")
    if given is None and kind.startswith(("application/x-www-form-urlencoded", "multipart/form-data")):
        field = (await request.form()).get(TOKEN_FIELD)
        given = field if isinstance(field, str) else None
    return given or ""

"""Who may do what: one rule for every route, and nothing for a route without one."""

from __future__ import annotations

import hmac
import logging
from collections.abc import AsyncIterator, Mapping
from dataclasses import dataclass
from enum import IntEnum
from typing import Protocol

from fastapi import Request

from culmwright.measure.errors import CulmwrightError

LOG = logging.getLogger("culmwright-door")
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
    "/new": {"GET": KEEP, "POST": KEEP},
    "/api/try": {"POST": LOOK},
    "/api": {"GET": LOOK},
    "/api/openapi.json": {"GET": LOOK},
    "/api/me": {"GET": LOOK},
    "/api/shop": {"GET": LOOK},
    "/api/state": {"GET": LOOK},
    "/api/passes": {"GET": LOOK},
    "/api/rods": {"GET": LOOK, "POST": KEEP},
    "/api/rods/{code}": {"GET": LOOK},
    "/api/rods/{code}/revisions": {"GET": LOOK},
    "/api/rods/{code}/check": {"GET": LOOK},
    "/api/rods/{code}/strips": {"GET": LOOK},
    "/api/rods/{code}/explain": {"GET": LOOK},
    "/api/rods/{code}/log": {"GET": LOOK, "POST": BENCH},
    "/api/rods/{code}/book": {"GET": LOOK},
    "/api/people": {"GET": LOOK, "POST": BENCH},
    "/api/gauges": {"GET": LOOK, "POST": BENCH},
    "/api/dockets": {"GET": LOOK, "POST": BENCH},
    "/api/dockets/{seq}/withdraw": {"POST": BENCH},
    "/api/devices": {"GET": KEEP},
    "/api/devices/code": {"POST": KEEP},
    "/api/devices/{id}/name": {"POST": KEEP},
    "/api/devices/{id}/revoke": {"POST": KEEP},
    "/api/pair": {"POST": NONE},
    "/api/backups": {"GET": KEEP, "POST": KEEP},
    "/api/backups/{name}": {"GET": KEEP},
    "/api/backups/{name}/restore": {"POST": KEEP},
    "/api/export": {"GET": KEEP},
    "/api/import": {"POST": KEEP},
    "/api/import/{held}/apply": {"POST": KEEP},
    "/api/restore": {"POST": KEEP},
    "/devices": {"GET": KEEP},
    "/devices/code": {"POST": KEEP},
    "/devices/{id}/name": {"POST": KEEP},
    "/devices/{id}/revoke": {"POST": KEEP},
    "/pair": {"GET": NONE, "POST": NONE},
    "/leave": {"POST": LOOK},
    "/certificate": {"GET": NONE},
    "/certificate/authority.crt": {"GET": NONE},
    "/state": {"GET": LOOK},
    "/data": {"GET": KEEP},
    "/data/backup": {"POST": KEEP},
    "/data/backups/{name}": {"GET": KEEP},
    "/data/backups/{name}/restore": {"POST": KEEP},
    "/data/restore": {"POST": KEEP},
    "/data/export/{sheets}": {"GET": KEEP},
    "/data/import": {"POST": KEEP},
    "/data/import/{held}/apply": {"POST": KEEP},
    "/scan": {"GET": LOOK},
    "/s/{text:path}": {"GET": LOOK},
    "/{code}/labels": {"GET": LOOK},
    "/{code}/labels.pdf": {"GET": LOOK},
    "/{code}": {"GET": LOOK},
    "/{code}/taper": {"GET": LOOK, "POST": KEEP},
    "/{code}/beside/{other}": {"GET": LOOK},
    "/{code}/at/{station}": {"GET": LOOK},
    "/{code}/rod.toml": {"GET": LOOK},
    "/{code}/rod.json": {"GET": LOOK},
    "/{code}/strips": {"GET": LOOK},
    "/{code}/bench": {"GET": LOOK, "POST": BENCH},
    "/{code}/bench/read": {"GET": LOOK, "POST": BENCH},
    "/api/rods/{code}/walk": {"GET": LOOK},
    "/api/rods/{code}/recent": {"GET": LOOK},
    "/api/rods/{code}/readings": {"GET": LOOK, "POST": BENCH},
    "/api/rods/{code}/skips": {"POST": BENCH},
    "/api/rods/{code}/undone": {"POST": BENCH},
    "/api/rods/{code}/rounds": {"POST": BENCH},
    "/stores": {"GET": LOOK, "POST": KEEP},
    "/lessons": {"GET": LOOK},
    "/{code}/culm": {"GET": LOOK, "POST": KEEP},
    "/{code}/water": {"GET": LOOK, "POST": BENCH},
    "/{code}/settings": {"GET": LOOK, "POST": BENCH},
    "/{code}/glue": {"GET": LOOK, "POST": BENCH},
    "/{code}/proof": {"GET": LOOK, "POST": BENCH},
    "/{code}/proof/order": {"POST": KEEP},
    "/{code}/log": {"GET": LOOK, "POST": BENCH},
    "/{code}/book": {"GET": LOOK},
    "/{code}/book.pdf": {"GET": LOOK},
    "/{code}/{spot:path}": {"GET": LOOK},
}
"""The least role for every route and method. A route that is not here is answered to nobody."""


async def admitted(request: Request) -> AsyncIterator[Visitor]:
    """The visitor, if the rule of this route lets them in; every route of the workbench depends on this.

    What a form sent is let go of afterwards.
    """
    try:
        yield await _admit(request)
    finally:
        await request.close()


async def _admit(request: Request) -> Visitor:
    route = getattr(request.scope.get("route"), "path", "")
    least = RULES.get(route, {}).get(request.method)
    if least is None:
        raise Refused("nobody may ask for this", remedy="Go back to the shop")
    door: Door = request.app.state.door
    visitor = door.visitor(request)
    request.state.visitor = visitor
    if visitor.role < least:
        LOG.warning("%s, %s: no right to %s %s", _peer(request), visitor.device, request.method, route)
        if visitor.role is Role.NONE:
            raise Refused("this device is not known here", remedy="Pair it: ask for a code at the shop's computer")
        raise Refused("this device may not do that", remedy="Use one with more rights, or ask the keeper of the shop")
    if request.method not in SAFE and not _same(await _token(request), visitor.token):
        LOG.warning("%s, %s: no token with %s %s", _peer(request), visitor.device, request.method, route)
        raise Refused("this page is from before, or from elsewhere", remedy="Load it again, then try once more")
    return visitor


def _same(given: str, wanted: str) -> bool:
    return hmac.compare_digest(given.encode("utf-8", "replace"), wanted.encode())


def _peer(request: Request) -> str:
    """Who is really at the other end, whatever a header claims."""
    return request.client.host if request.client else "somebody"


async def _token(request: Request) -> str:
    """What the page sent to show that it is ours; a program (below ``/api``) shows it in the header, and there only."""
    given = request.headers.get(TOKEN_HEADER)
    kind = request.headers.get("content-type", "")
    if request.url.path.startswith("/api/"):
        return given or ""
    if given is None and kind.startswith(("application/x-www-form-urlencoded", "multipart/form-data")):
        field = (await request.form()).get(TOKEN_FIELD)
        given = field if isinstance(field, str) else None
    return given or ""

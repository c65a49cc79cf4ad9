"""The workbench: the whole job as pages and as an API, on this machine, over one shop's file."""

from __future__ import annotations

import secrets
from collections.abc import Iterable
from pathlib import Path

from fastapi import Depends, FastAPI, Request
from starlette.middleware import Middleware

from culmwright.web import files, pages, problems
from culmwright.web.access import Door, Role, Visitor, admitted
from culmwright.web.desk import Desk
from culmwright.web.guard import Guard

ROUTERS = (files.router, pages.first, pages.last)
"""Every route, those that would catch others last. Each has its rule in :data:`culmwright.web.access.RULES`."""


class OwnMachine:
    """The door of a workbench that only this machine can reach: whoever sits at it keeps the shop."""

    def __init__(self) -> None:
        self._visitor = Visitor(Role.KEEP, "this machine", secrets.token_urlsafe(24))

    def visitor(self, request: Request) -> Visitor:
        """The keeper."""
        return self._visitor


def hosts_of(port: int) -> tuple[str, ...]:
    """The host names this machine answers to at a port: nobody else's page can borrow one."""
    return tuple(f"{name}:{port}" for name in ("127.0.0.1", "localhost", "[::1]"))


def create_app(
    shop: str | Path | None,
    hosts: Iterable[str],
    *,
    door: Door | None = None,
    lan: bool = False,
    origins: Iterable[str] | None = None,
) -> FastAPI:
    """The workbench over one shop's file, answered to ``hosts`` only; ``door`` tells who is asking.

    ``origins`` are where a page that writes may come from, by default the hosts over plain http.
    """
    hosts = tuple(hosts)
    allowed = tuple(origins) if origins is not None else tuple(f"http://{host}" for host in hosts)
    app = FastAPI(
        title="culmwright",
        docs_url=None,
        redoc_url=None,
        openapi_url=None,
        dependencies=[Depends(admitted)],
        middleware=[Middleware(Guard, hosts=hosts, origins=allowed)],
    )
    app.state.desk = Desk(shop)
    app.state.door = door or OwnMachine()
    app.state.lan = lan
    for router in ROUTERS:
        app.include_router(router)
    problems.install(app)
    return app

"""The workbench: the whole job as pages and as an API, on this machine, over one shop's file."""

from __future__ import annotations

from collections.abc import Iterable
from pathlib import Path

from fastapi import Depends, FastAPI
from starlette.middleware import Middleware

from culmwright import __version__
from culmwright.web import (
    admission_pages,
    api_page,
    api_rods,
    api_shop,
    bench,
    bench_api,
    data_pages,
    drawing,
    drawing_new,
    files,
    label_pages,
    pages,
    problems,
    rooms_culm,
    rooms_glue,
    rooms_log,
    rooms_proof,
    rooms_settings,
    rooms_stores,
    rooms_water,
)
from culmwright.web.access import Door, admitted
from culmwright.web.desk import Desk
from culmwright.web.doors import OnNetwork, OwnMachine
from culmwright.web.guard import Guard
from culmwright.web.peers import Reach
from culmwright.workshop.admitting import Admission
from culmwright.workshop.holding import Holding

ROUTERS = (
    files.router,
    api_page.router,
    api_rods.api,
    api_shop.api,
    admission_pages.router,
    data_pages.router,
    label_pages.first,
    pages.first,
    drawing.api,
    drawing.router,
    drawing_new.router,
    bench_api.api,
    bench.router,
    label_pages.last,
    rooms_stores.router,
    rooms_culm.router,
    rooms_water.router,
    rooms_settings.router,
    rooms_glue.router,
    rooms_proof.router,
    rooms_log.router,
    pages.last,
)
"""Every route, those that would catch others last. Each has its rule in :data:`culmwright.web.access.RULES`."""


def hosts_of(port: int) -> tuple[str, ...]:
    """The host names this machine answers to at a port: nobody else's page can borrow one."""
    return tuple(f"{name}:{port}" for name in ("127.0.0.1", "localhost", "[::1]"))


def create_app(
    shop: str | Path | None,
    hosts: Iterable[str] = (),
    *,
    door: Door | None = None,
    reach: Reach | None = None,
) -> FastAPI:
    """The workbench over one shop's file, answered to ``hosts`` only; ``door`` tells who is asking.

    A page that writes may come from the hosts over plain http. With a ``reach`` it is a workbench on the network: that
    tells the hosts and origins, and the door is the one of :class:`OnNetwork`.
    """
    desk = Desk(shop)
    secure = reach is not None and reach.scheme == "https"
    if reach is not None:
        own = door or OnNetwork(Admission(desk.file, must=True), secure=secure)
        guard = Middleware(Guard, hosts=reach, from_here=reach.from_here, near=reach.near, secure=secure)
    else:
        hosts = frozenset(hosts)
        own = door or OwnMachine(Admission(desk.file))
        allowed = frozenset(f"http://{host}" for host in hosts)
        guard = Middleware(Guard, hosts=hosts, from_here=allowed.__contains__)
    app = FastAPI(
        title="culmwright",
        version=__version__,
        docs_url=None,
        redoc_url=None,
        openapi_url=None,
        dependencies=[Depends(admitted)],
        middleware=[guard],
    )
    app.state.desk = desk
    app.state.door = own
    app.state.reach = reach
    app.state.holding = Holding()
    app.state.lan = reach is not None
    for router in ROUTERS:
        app.include_router(router)
    problems.install(app)
    return app

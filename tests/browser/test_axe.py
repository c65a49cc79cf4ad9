"""Every page for everybody: no violation that axe finds, in light and dark, at desk and phone width.

axe-core is the rule set of Deque Systems, as a locked package carries it; it checks what a program can of
WCAG 2.2 A and AA, and its own best practices. A new page is added to ``PAGES``.
"""

from __future__ import annotations

import socket
import threading
import time

import pytest

pytestmark = pytest.mark.needs_chromium

PAGES = [
    *("/", "/new", "/R1", "/R1/taper", "/R1/strips", "/R1/bench", "/R1/bench/read", "/R1/log", "/R1/book"),
    *("/R1/T1/S3@25in:rough", "/R1/at/25in", "/R1/beside/R1.1", "/R9"),
    *("/R1/culm", "/R1/water", "/R1/settings", "/R1/glue", "/R1/proof", "/stores", "/lessons"),
    *(
        "/devices",
        "/pair",
        "/certificate",
        "/state",
        "/data",
        "/scan",
        "/s/R1/T1/S3",
        "/s/nothing",
        "/R1/labels",
        "/api",
    ),
]


@pytest.fixture(scope="module")
def address(tmp_path_factory):
    import uvicorn

    from culmwright.ledger.shop import create_shop
    from culmwright.web.app import create_app, hosts_of
    from culmwright.workshop.guarding import backup
    from culmwright.workshop.opening import begin
    from culmwright.workshop.reading import read
    from culmwright.workshop.starting import rod_text

    folder = tmp_path_factory.mktemp("shop")
    (folder / "rod.toml").write_text(rod_text("thrimble-beck"))
    with create_shop(folder / "shop.sqlite") as shop:
        session = read(shop, begin(shop, str(folder / "rod.toml")))
        for clock in range(12):
            session.take(f"{session.armed.aim.reading / 0.0254 + 0.0004 * clock:.4f}", clock * 5.0)
    backup(folder / "shop.sqlite")
    listener = socket.socket(socket.AF_INET, socket.SOCK_STREAM, socket.IPPROTO_TCP)
    listener.bind(("127.0.0.1", 0))
    port = listener.getsockname()[1]
    server = uvicorn.Server(uvicorn.Config(create_app(folder / "shop.sqlite", hosts_of(port)), log_level="error"))
    thread = threading.Thread(target=server.run, kwargs={"sockets": [listener]}, daemon=True)
    thread.start()
    until = time.monotonic() + 30
    while not server.started and time.monotonic() < until:
        time.sleep(0.05)
    yield f"http://127.0.0.1:{port}"
    server.should_exit = True
    thread.join(10)
    listener.close()


def violations(page):
    """What axe finds, a line for each place."""
    from axe_playwright_python.sync_playwright import Axe

    found = Axe().run(page).response["violations"]
    return [f"{one['id']}: {node['target']} {node['failureSummary']}" for one in found for node in one["nodes"]]


@pytest.mark.parametrize(("theme", "width"), [("light", 1280), ("dark", 390)])
def test_axe_finds_nothing(browser, address, theme, width):
    context = browser.new_context(viewport={"width": width, "height": 900}, color_scheme=theme, bypass_csp=True)
    page = context.new_page()
    found = {}
    for path in PAGES:
        page.goto(address + path, wait_until="load")
        if lines := violations(page):
            found[path] = lines
    context.close()
    assert found == {}


def test_axe_would_find_something(browser, address):
    page = browser.new_page(bypass_csp=True)
    page.goto(address + "/scan")
    page.evaluate("document.querySelector('label').replaceWith(document.querySelector('#scan'))")
    page.evaluate("document.querySelector('h1').style.color = '#eee'")
    assert {one.split(":")[0] for one in violations(page)} >= {"label", "color-contrast"}
    page.close()

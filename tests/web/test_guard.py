"""Before every page: the host is asked for first, nothing can be changed, nothing foreign runs.

Why the host is asked for, and not whether Origin and Host agree: a name that is rebound to this machine makes the two
agree (DNS rebinding; OWASP, *Application Security Verification Standard* 5.0, on the Host header).
"""

from __future__ import annotations

import asyncio

import pytest

from culmwright.web.access import RULES
from culmwright.web.app import ROUTERS
from culmwright.web.guard import LARGEST, MORE

ROUTES = ["/", "/R1", "/R9", "/R1/T1@25in", "/R1/book.pdf", "/look/sheet.css", "/look/regular.otf", "/nothing/at/all"]
STRANGERS = [
    *("evil.example", "evil.example:80", "127.0.0.1.evil.example", "localhost.evil.example", "127.0.0.1:81"),
    *("0.0.0.0", "192.168.1.4", "127.1", "2130706433", "0x7f000001", "[::]", "::1", "localhost:8000", "a@127.0.0.1"),
    *("127.0.0.1.", "127.0.0.1, evil.example", "127.0.0.1 evil.example", "127.0.0.1/evil", "loca1host:80"),
]


@pytest.mark.parametrize("route", ROUTES)
@pytest.mark.parametrize("host", STRANGERS)
def test_a_stranger_is_sent_away_from_every_route(client, route, host):
    answer = client.get(route, headers={"host": host})
    assert answer.status_code == 421
    assert "R1" not in answer.text


@pytest.mark.parametrize("host", ["127.0.0.1", "127.0.0.1:80", "localhost:80", "LOCALHOST:80", "[::1]:80"])
def test_this_machine_is_answered(client, host):
    assert client.get("/", headers={"host": host}).status_code == 200


WRITERS = ["POST", "PUT", "PATCH", "DELETE"]


@pytest.mark.parametrize("method", ["OPTIONS", "TRACE", "CONNECT", "MKCOL"])
@pytest.mark.parametrize("route", ROUTES)
def test_a_strange_method_is_refused(client, route, method):
    assert client.request(method, route).status_code == 405


@pytest.mark.parametrize("method", WRITERS)
@pytest.mark.parametrize("route", ROUTES)
def test_a_page_that_only_shows_cannot_be_written_to(client, route, method):
    assert client.request(method, route).status_code in (403, 405)


@pytest.mark.parametrize(
    "headers",
    [
        *({"origin": one} for one in ("null", "http://evil.example", "http://127.0.0.1:81", "https://127.0.0.1", "")),
        *({"sec-fetch-site": one} for one in ("cross-site", "same-site", "none", "")),
    ],
    ids=str,
)
@pytest.mark.parametrize("method", WRITERS)
def test_what_another_page_sends_is_refused(client, method, headers):
    answer = client.request(method, "/R1", headers=headers)
    assert answer.status_code == 403
    assert "from elsewhere" in answer.text


@pytest.mark.parametrize("route", ROUTES)
def test_every_answer_forbids_what_is_foreign(client, route):
    headers = client.get(route).headers
    policy = headers["content-security-policy"]
    assert policy.startswith("default-src 'none'; script-src 'self';")
    assert "unsafe-eval" not in policy
    assert "frame-ancestors 'none'" in policy
    assert headers["x-content-type-options"] == "nosniff"
    assert headers["referrer-policy"] == "same-origin"
    assert "server" not in headers


def test_every_route_has_its_rule_and_every_rule_its_route():
    """A route without a rule is answered to nobody, and fails here."""
    routed = {(route.path, method) for router in ROUTERS for route in router.routes for method in route.methods}
    ruled = {(path, method) for path, rules in RULES.items() for method in rules}
    assert routed == ruled


def test_a_body_that_is_too_large_is_refused(client):
    assert client.post("/R1", content=b"x" * (LARGEST + 1)).status_code == 413


def test_a_body_that_grows_too_large_on_its_way_is_refused_as_such(client):
    """It says no length beforehand; a route that reads JSON must not make another fault of it."""

    def pieces():
        for _ in range(40):
            yield b"a" * 65536

    answer = client.post("/api/people", content=pieces(), headers={"content-type": "application/json"})
    assert answer.status_code == 413
    assert answer.text == MORE


def test_a_body_that_does_not_go_on_is_given_up(app, monkeypatch):
    monkeypatch.setattr("culmwright.web.guard.SILENCE", 0.05)
    sent = []

    async def receive():
        await asyncio.sleep(30)

    async def send(message):
        sent.append(message)

    scope = {
        **{"type": "http", "method": "POST", "path": "/api/pair", "raw_path": b"/api/pair", "query_string": b""},
        **{"scheme": "http", "http_version": "1.1", "root_path": "", "client": ("127.0.0.1", 1)},
        "headers": [(b"host", b"127.0.0.1"), (b"content-type", b"application/json"), (b"content-length", b"9")],
    }
    asyncio.run(asyncio.wait_for(app(scope, receive, send), 10))
    assert sent[0]["status"] == 408

"""Before every page: the host is asked for first, nothing can be changed, nothing foreign runs.

Why the host is asked for, and not whether Origin and Host agree: a name that is rebound to this machine makes the two
agree (DNS rebinding; OWASP, *Application Security Verification Standard* 5.0, on the Host header).
"""

from __future__ import annotations

import pytest

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


@pytest.mark.parametrize("method", ["POST", "PUT", "PATCH", "DELETE", "OPTIONS", "TRACE"])
@pytest.mark.parametrize("route", ROUTES)
def test_nothing_can_be_changed(client, route, method):
    assert client.request(method, route).status_code == 405


@pytest.mark.parametrize("route", ROUTES)
def test_every_answer_forbids_what_is_foreign(client, route):
    headers = client.get(route).headers
    policy = headers["content-security-policy"]
    assert policy.startswith("default-src 'none'")
    assert "script" not in policy  # none runs, not even ours
    assert "frame-ancestors 'none'" in policy
    assert headers["x-content-type-options"] == "nosniff"
    assert headers["referrer-policy"] == "no-referrer"
    assert "server" not in headers


def test_every_route_of_the_app_is_one_that_was_thought_of(app):
    """A new route has to be entered here, and in the lists above."""
    paths = {route.path for route in app.routes}
    assert paths == {"/", "/look/sheet.css", "/look/{name}.otf", "/{code}/book.pdf", "/{code}", "/{code}/{spot:path}"}
    assert {method for route in app.routes for method in route.methods} <= {"GET", "HEAD"}

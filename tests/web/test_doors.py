"""Who may do what: every route for every kind of visitor, and the ways round the door that are known."""

from __future__ import annotations

import logging
import re

import pytest
from fastapi import FastAPI
from fastapi.testclient import TestClient

from culmwright.web.access import RULES, Role
from culmwright.web.app import ROUTERS, create_app
from culmwright.web.peers import FORWARDING
from culmwright.workshop.admitting import Right

EVERY = sorted(
    (route.path, method) for router in ROUTERS for route in router.routes for method in route.methods if method != "HEAD"
)
UNSAFE = [(path, method) for path, method in EVERY if method not in ("GET", "HEAD")]
FILL = {"code": "R1", "spot": "T1@25in", "text": "R1/T1/S3", "name": "none", "id": "d99", "held": "none", "seq": "7",
        "sheets": "csv", "other": "R1.1", "station": "25in"}  # fmt: skip
OPEN = {
    *("/look/{name}.css", "/look/{name}.otf", "/look/js/{name}.js"),
    *("/pair", "/api/pair", "/certificate", "/certificate/authority.crt"),
}
"""What a stranger may ask for: how the pages look, and how to come in."""
KEEPERS = re.compile(r"/(api/)?(data|devices|backups|export|import|restore)(/|$)")
"""Whatever takes all of the shop out, puts it back, or lets somebody in."""
LOOKERS_WRITE = {"/leave", "/api/try"}
"""The first ends the visitor's own right, the second reckons a drawing and keeps nothing."""


def filled(path):
    return re.sub(r"\{(\w+)(?::path)?\}", lambda match: FILL.get(match[1], "1"), path)


def body_for(path):
    return {"json": {}} if path.startswith("/api/") else {"data": {}}


@pytest.mark.parametrize(("path", "method"), EVERY, ids=lambda one: one)
def test_rights_are_as_low_as_they_can_be(path, method):
    """A policy in words of its own, so that a rule cannot be weakened unseen."""
    least = RULES[path][method]
    if path in OPEN:
        assert least is Role.NONE
    elif KEEPERS.match(path):
        assert least is Role.KEEP
    elif method == "GET" or path in LOOKERS_WRITE:
        assert least >= Role.LOOK
    else:
        assert least >= Role.BENCH


def test_every_visitor_at_every_route(lan, visit, token_of):
    """Anonymous, look, bench and keep; whoever lacks the right gets 403, whoever has it gets an answer of the route."""
    seen = {}
    for role in Role:
        right = None if role is Role.NONE else Right[role.name]
        client = visit(lan, right)
        token = token_of(client)
        for path, method in EVERY:
            headers = {"x-culmwright-token": token, "origin": "http://192.168.7.20:8642"}
            answer = client.request(method, filled(path), headers=headers, **(body_for(path) if method != "GET" else {}))
            seen[path, method, role] = answer.status_code
            assert answer.status_code < 500, (path, method, role)
            if path == "/leave" and role > Role.NONE:
                client = visit(lan, right)
                token = token_of(client)
    wrong = [
        (*key, status) for key, status in seen.items() if (status == 403) != (key[2] < RULES[key[0]][key[1]])
    ]
    assert wrong == []
    assert len(seen) == 4 * len(EVERY)


def test_a_route_without_a_rule_is_answered_to_nobody(own_shop):
    app = create_app(own_shop, ("127.0.0.1",))

    @app.get("/made/yesterday")
    def forgotten() -> str:
        return "secret"

    app.router.routes.insert(0, app.router.routes.pop())
    answer = TestClient(app, base_url="http://127.0.0.1").get("/made/yesterday")
    assert answer.status_code == 403
    assert "secret" not in answer.text
    assert isinstance(app, FastAPI)


FOREIGN = {
    "no origin, no token": ({}, False),
    "null": ({"origin": "null"}, True),
    "foreign": ({"origin": "http://evil.example"}, True),
    "sibling port": ({"origin": "http://192.168.7.20:8643"}, True),
    "other scheme": ({"origin": "https://192.168.7.20:8642"}, True),
    "same site": ({"sec-fetch-site": "same-site"}, True),
    "own origin, no token": ({"origin": "http://192.168.7.20:8642"}, False),
    "own origin, another's token": ({"origin": "http://192.168.7.20:8642", "x-culmwright-token": "0" * 64}, False),
}


def test_no_other_page_changes_anything(lan, visit, token_of):
    """Every mutating route by a keeper's own browser: nothing that another page could send is accepted."""
    client = visit(lan, Right.KEEP)
    token = token_of(client)
    accepted = []
    for path, method in UNSAFE:
        for name, (headers, with_token) in FOREIGN.items():
            given = {**headers, **({"x-culmwright-token": token} if with_token else {})}
            answer = client.request(method, filled(path), headers=given, **body_for(path))
            if answer.status_code != 403:
                accepted.append((path, name, answer.status_code))
    assert accepted == []


@pytest.mark.parametrize(
    ("kind", "body"),
    [
        ("text/plain", b'{"name": "Ann"}'),
        ("application/x-www-form-urlencoded", b"name=Ann"),
        ("multipart/form-data; boundary=x", b'--x\r\ncontent-disposition: form-data; name="name"\r\n\r\nAnn\r\n--x--\r\n'),
        ("", b'{"name": "Ann"}'),
    ],
)
def test_what_a_form_can_send_is_no_message_to_the_api(lan, visit, token_of, kind, body):
    """The kinds of body that a page may send anywhere without asking first (Fetch standard, CORS-safelisted)."""
    client = visit(lan, Right.KEEP)
    for with_header in (True, False):
        headers = {"content-type": kind, "origin": "http://192.168.7.20:8642"}
        headers |= {"x-culmwright-token": token_of(client)} if with_header else {}
        for path, method in UNSAFE:
            if path.startswith("/api/") and not path.endswith(("revoke", "backups", "apply")):  # these take no body
                answer = client.request(method, filled(path), headers=headers, content=body)
                assert 400 <= answer.status_code < 500, path
    assert client.get("/api/people").json() == {"people": []}


def test_a_token_in_the_form_is_for_forms_only(lan, visit, token_of):
    client = visit(lan, Right.KEEP)
    sent = {"token": token_of(client)}
    assert client.post("/api/backups", data=sent).status_code == 403
    assert client.post("/data/backup", data=sent).status_code == 303


@pytest.mark.parametrize("header", FORWARDING)
def test_what_came_through_a_go_between_is_not_this_machine(lan, visit, header):
    """On the machine itself nobody pairs; but a proxy on it that was set up for something else is not the keeper."""
    own = visit(lan, peer=("127.0.0.1", 5000), host="localhost:8642")
    assert own.get("/data").status_code == 200
    assert own.get("/data", headers={header: "192.168.7.31"}).status_code == 403


SPOOFS = [
    {name: value}
    for name in (*FORWARDING, "x-forwarded", "client-ip", "true-client-ip", "x-remote-user", "x-original-host")
    for value in ("127.0.0.1", "localhost", "for=127.0.0.1;host=localhost", "keep")
]


@pytest.mark.parametrize("headers", SPOOFS, ids=str)
def test_what_a_peer_says_of_itself_is_not_believed(lan, visit, headers):
    stranger, far = visit(lan), visit(lan, Right.KEEP, peer=("203.0.113.9", 5000))
    assert stranger.get("/", headers=headers).status_code == 403
    assert far.get("/", headers=headers).status_code == 403


def test_a_right_that_was_taken_away_is_gone_at_once(lan, visit):
    client = visit(lan, Right.BENCH)
    assert client.get("/").status_code == 200
    lan.state.door.admission.revoke("d1")
    assert client.get("/").status_code == 403


@pytest.mark.parametrize("cookie", ["", "x", "0" * 43, "None", "null", "d1", "../devices"])
def test_an_empty_or_made_up_token_is_nobodys(lan, visit, cookie):
    visit(lan, Right.KEEP)
    client = visit(lan)
    client.cookies.set("culmwright", cookie)
    assert client.get("/").status_code == 403


def test_who_is_refused_is_noted_with_where_they_really_are_and_no_secret(lan, visit, token_of, caplog):
    caplog.set_level(logging.WARNING)
    admission = lan.state.door.admission
    code = admission.new_code(Right.BENCH)
    client = visit(lan, Right.LOOK)
    token = client.cookies.get("culmwright")
    client.get("/data", headers={"x-forwarded-for": "10.9.9.9"})
    client.post("/pair", data={"code": code.text, "name": "x"})
    visit(lan, peer=("203.0.113.9", 5000)).get("/")
    said = caplog.text
    assert "192.168.7.31, d1: no right to GET /data" in said
    assert "203.0.113.9 is not on the shop's own network" in said
    assert "10.9.9.9" not in said
    for secret in (code.text, token, token_of(client)):
        assert secret not in said


def test_pages_go_on_after_a_restart(own_shop, lan, visit, token_of):
    before = token_of(visit(lan, Right.KEEP))
    again = create_app(own_shop, reach=lan.state.reach)
    assert again.state.door.admission.page_token("d1") == before

"""Who may do what: every route for every kind of visitor, and the ways round the door that are known."""

from __future__ import annotations

import logging
import re

import pytest
from fastapi import FastAPI
from fastapi.testclient import TestClient

from culmwright.ledger.shop import digest, open_shop
from culmwright.web.access import RULES, Role
from culmwright.web.app import ROUTERS, create_app
from culmwright.web.peers import FORWARDING
from culmwright.workshop.admitting import Right
from culmwright.workshop.starting import rod_text

EVERY = sorted(
    (route.path, method)
    for router in ROUTERS
    for route in router.routes
    for method in route.methods
    if method != "HEAD"
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
SLOW = {"/{code}/book.pdf", "/api/rods/{code}/book"}
"""A book takes a second; what a looker gets, who may more gets too."""
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
            if path in SLOW and role > Role.LOOK:
                continue
            headers = {"x-culmwright-token": token, "origin": "http://192.168.7.20:8642"}
            answer = client.request(
                method, filled(path), headers=headers, **(body_for(path) if method != "GET" else {})
            )
            seen[path, method, role] = answer.status_code
            assert answer.status_code < 500, (path, method, role)
            if path == "/leave" and role > Role.NONE:
                client = visit(lan, right)
                token = token_of(client)
    wrong = [(*key, status) for key, status in seen.items() if (status == 403) != (key[2] < RULES[key[0]][key[1]])]
    assert wrong == []
    assert len(seen) == 4 * len(EVERY) - 2 * len(SLOW)


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
        (
            "multipart/form-data; boundary=x",
            b'--x\r\ncontent-disposition: form-data; name="name"\r\n\r\nAnn\r\n--x--\r\n',
        ),
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


HOSTS = [
    *("evil.example", "evil.example:8642", "192.168.7.20.evil.example:8642", "bench.lan.evil.example:8642"),
    *("192.168.7.20", "192.168.7.20:80", "192.168.7.20:8643", "192.168.7.21:8642", "bench.lan", "bench.lan:80"),
    *("bench.lan.:8642", "bench.lan:8642.", "localhost", "localhost:80", "127.0.0.1:80", "127.1:8642", "0.0.0.0:8642"),
    *(
        "2130706433:8642",
        "0x7f000001:8642",
        "017700000001:8642",
        "[::]:8642",
        "::1",
        "[::1]:80",
        "[::ffff:127.0.0.1]:8642",
    ),
    *("a@192.168.7.20:8642", "192.168.7.20:8642@evil.example", "192.168.7.20:8642, evil.example", "192.168.7.20:8642/"),
    *("", " ", "null", "localhost:8642#", "localhost:8642?x", "LOCALHOST", "bench.lan:8642:8642", "bench。lan:8642"),
]
"""What a page that was rebound to this machine, or a confused proxy, would send (RFC 9110, 7.2)."""


def test_a_host_that_is_not_ours_is_sent_away_from_every_route(lan, visit, token_of):
    client = visit(lan, Right.KEEP)
    headers = {"x-culmwright-token": token_of(client), "origin": "http://192.168.7.20:8642"}
    assert len(HOSTS) >= 30
    answered = [
        (host, path, status)
        for host in HOSTS
        for path, method in EVERY
        if (status := client.request(method, filled(path), headers={**headers, "host": host.encode()}).status_code)
        != 421
    ]
    assert answered == []


@pytest.mark.parametrize(
    "host", ["192.168.7.20:8642", "bench.lan:8642", "BENCH.LAN:8642", "localhost:8642", "[::1]:8642"]
)
def test_our_hosts_are_answered(lan, visit, host):
    assert visit(lan, Right.LOOK).get("/", headers={"host": host}).status_code == 200


def test_two_hosts_are_none(lan, visit):
    client = visit(lan, Right.LOOK)
    answer = client.get("/", headers=[("host", BENCH), ("host", BENCH)])
    assert answer.status_code == 421


BENCH = "192.168.7.20:8642"


def test_asking_changes_nothing_and_every_answer_says_what_it_is(lan, visit):
    """Every route, asked with GET by a keeper: no row and no device is changed, no header of CORS is given whoever
    asks, nothing may be embedded, and every text says its encoding.
    """
    client = visit(lan, Right.KEEP)
    with open_shop(lan.state.desk.file, write=False) as shop:
        before, devices = digest(shop), lan.state.door.admission.devices
    for path, method in EVERY:
        if method == "GET":
            answer = client.get(filled(path), headers={"origin": "http://evil.example"})
            assert not [name for name in answer.headers if name.startswith("access-control-")], path
            assert answer.headers["cross-origin-resource-policy"] == "same-origin"
            assert "frame-ancestors 'none'" in answer.headers["content-security-policy"]
            assert answer.headers["x-content-type-options"] == "nosniff"
            kind = answer.headers.get("content-type", "")
            assert kind or not answer.content, path
            assert "charset=utf-8" in kind.lower() or not kind.startswith("text/"), path
    with open_shop(lan.state.desk.file, write=False) as shop:
        assert digest(shop) == before
    assert lan.state.door.admission.devices == devices


@pytest.mark.parametrize(
    "path",
    [
        *(
            "/.git/config",
            "/.git/HEAD",
            "/pyproject.toml",
            "/look/base.html",
            "/look/",
            "/shop.sqlite",
            "/src",
            "/docs",
        ),
        *("/shop-devices.json", "/shop-authority.key", "/look/..%2f..%2fapp.py", "/look/js/../../app.py"),
        "/%2e%2e/%2e%2e/etc/passwd",
    ],
)
def test_no_file_of_the_machine_is_served(lan, visit, path):
    answer = visit(lan, Right.KEEP).get(path)
    assert answer.status_code == 404
    assert "secret" not in answer.text


@pytest.mark.parametrize("right", [Right.LOOK, Right.KEEP])
def test_no_file_is_opened_where_a_rod_is_named(lan, visit, token_of, tmp_path, monkeypatch, right):
    """A rod is named by its number alone: the name of a file, even of a rod's, opens nothing and tells nothing."""
    (tmp_path / "secret.txt").write_text("the-secret = of this machine\n")
    (tmp_path / "other.toml").write_text(rod_text("thrimble-beck"))
    client = visit(lan, right)
    headers = {"x-culmwright-token": token_of(client)}
    monkeypatch.chdir(tmp_path)
    for file in ("secret.txt", "other.toml", "nothing-here.txt"):
        answers = [
            client.post("/api/try", json={"code": file}, headers=headers),
            client.get("/api/dockets", params={"rod": file}),
            client.get(f"/R1/beside/{file}"),
        ]
        if right is Right.KEEP:
            answers.append(client.get("/new", params={"from": file}))
        for answer in answers:
            assert answer.status_code in (404, 422)
            assert "of this machine" not in answer.text
            assert "no such file" not in answer.text
            assert "TOML" not in answer.text
    assert client.post("/api/try", json={"code": "R1"}, headers=headers).status_code == 200


INJECTIONS = [
    *("' OR 1=1--", '" OR ""="', "1; DROP TABLE person;--", "' UNION SELECT name FROM sqlite_master--", "R1' --"),
    *(
        "'; ATTACH DATABASE 'elsewhere.sqlite' AS x;--",
        "1 OR 1=1",
        "') OR ('1'='1",
        "%' OR '%'='",
        "x' AND randomblob(1e9)--",
    ),
    *(
        "$(touch culmwright-was-here)",
        "`touch culmwright-was-here`",
        "; touch culmwright-was-here",
        "| touch culmwright-was-here",
    ),
    *(
        "&& touch culmwright-was-here",
        "\n touch culmwright-was-here",
        "--shop=elsewhere.sqlite",
        "-o culmwright-was-here",
    ),
]


@pytest.mark.parametrize("payload", INJECTIONS)
def test_what_looks_like_a_statement_is_a_word(lan, visit, token_of, payload):
    from pathlib import Path
    from urllib.parse import quote

    client = visit(lan, Right.KEEP)
    client.headers["x-culmwright-token"] = token_of(client)
    kept = client.post("/api/people", json={"name": payload})
    assert kept.status_code in (200, 422)
    if kept.status_code == 200:
        assert [one["name"] for one in client.get("/api/people").json()["people"]] == [" ".join(payload.split())]
    asked = quote(payload, safe="")
    below = ("dockets?kind=", "rods/", "backups/", "rods/R1/explain?spot=", "passes?target=0.1&now=")
    for path in (f"/{asked}", f"/s/{asked}", *(f"/api/{one}{asked}" for one in below)):
        assert client.get(path).status_code in (404, 422), path
    assert client.get("/api/rods").json()["rods"]
    assert not Path("culmwright-was-here").exists()


def test_pairing_again_ends_what_a_device_was_before(lan, visit, token_of):
    client = visit(lan, Right.LOOK)
    before = client.cookies["culmwright"]
    client.cookies.clear()
    client.cookies.set("culmwright", before, domain="192.168.7.20")
    code = lan.state.door.admission.new_code(Right.BENCH)
    sent = {"code": code.text, "name": "tablet", "token": token_of(client)}
    assert client.post("/pair", data=sent).status_code == 303
    assert client.cookies["culmwright"] != before
    assert [(one.id, bool(one.revoked)) for one in lan.state.door.admission.devices] == [("d2", False), ("d1", True)]
    assert client.post("/leave", data={"token": token_of(client)}).headers["clear-site-data"] == '"cache"'
    assert client.get("/").status_code == 403
    client.cookies.set("culmwright", before, domain="192.168.7.20")
    assert client.get("/").status_code == 403


def test_guessing_at_the_page_is_stopped(lan, visit, token_of):
    client = visit(lan)
    lan.state.door.admission.new_code(Right.KEEP)
    headers = {"x-culmwright-token": token_of(client)}
    status = [
        client.post("/api/pair", json={"code": "AAAAAAAA", "name": "x"}, headers=headers).status_code for _ in range(7)
    ]
    assert status == [422] * 5 + [429] * 2
    answer = client.post("/pair", data={"code": "AAAAAAAA", "name": "x", "token": token_of(client)})
    assert answer.status_code == 429
    assert "Wait a minute" in answer.text


def test_the_cookie_is_for_this_host_and_for_nobodys_script(own_shop, visit, token_of, lan):
    from culmwright.web.peers import Reach

    for secure in (False, True):
        reach = Reach(8642, secure=secure, find=lambda: lan.state.reach.own)
        app = create_app(own_shop, reach=reach)
        client = visit(app)
        code = app.state.door.admission.new_code(Right.LOOK)
        client.headers["origin"] = f"{reach.scheme}://192.168.7.20:8642"
        answer = client.post("/pair", data={"code": code.text, "name": "x", "token": token_of(client)})
        parts = [one.strip() for one in answer.headers["set-cookie"].split(";")]
        assert parts[0].startswith("__Host-culmwright=" if secure else "culmwright=")
        assert {"HttpOnly", "Path=/", "SameSite=strict"} <= set(parts)
        assert ("Secure" in parts) is secure
        assert not [one for one in parts if one.lower().startswith("domain")]
        assert ("strict-transport-security" in answer.headers) is secure

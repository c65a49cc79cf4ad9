"""Words that try to be code, in every field that takes words: they come out as the words they were.

The payloads are of the kinds that the public cheat sheets list (OWASP, "XSS Filter Evasion"), written for this test.
What is looked at is what a browser would see: the tags and attributes of the page, not its text.
"""

from __future__ import annotations

import json
import os
import re
from html.parser import HTMLParser

import pytest
from fastapi.testclient import TestClient

from culmwright.web.app import create_app
from culmwright.workshop.starting import rod_text

CALLS = ["alert(1)", "top.zz=1"]
FRAMES = [
    "<script>%s</script>",
    "<SCRIPT>%s</SCRIPT>",
    "<script/x>%s</script>",
    "<script\n>%s</script>",
    "<<script>%s//<</script>",
    "</title><script>%s</script>",
    "</style><script>%s</script>",
    "--><script>%s</script>",
    "]]><script>%s</script>",
    '"><script>%s</script>',
    "'><script>%s</script>",
    "</td></tr></table><script>%s</script>",
    "<img src=x onerror=%s>",
    "<img src=x onerror='%s'>",
    '"><img src=x onerror=%s>',
    "<img/src/onerror=%s>",
    "<svg onload=%s>",
    "<svg/onload=%s>",
    "<svg><script>%s</script></svg>",
    "<svg><animate onbegin=%s attributeName=x>",
    "<body onload=%s>",
    "<input onfocus=%s autofocus>",
    '" onmouseover="%s',
    "' onmouseover='%s",
    '" autofocus onfocus="%s',
    "` onmouseover=`%s",
    "<a href=javascript:%s>x</a>",
    '<a href="JaVaScRiPt:%s">x</a>',
    "javascript:%s",
    "<iframe src=javascript:%s>",
    '<iframe srcdoc="<script>%s</script>">',
    "<object data=javascript:%s>",
    "<embed src=javascript:%s>",
    "<form action=javascript:%s><button>",
    "<details open ontoggle=%s>",
    "<marquee onstart=%s>",
    "<video><source onerror=%s>",
    "<audio src=x onerror=%s>",
    "<meta http-equiv=refresh content=0;javascript:%s>",
    '<base href="javascript:%s//">',
    '<link rel=stylesheet href="data:text/css,*{x:%s}">',
    "<style>@import 'javascript:%s';</style>",
    "<math><mtext><script>%s</script></mtext></math>",
    "<template><script>%s</script></template>",
    "<noscript><img src=x onerror=%s></noscript>",
    "<!--<script>%s</script>-->",
    "&lt;script&gt;%s&lt;/script&gt;",
    "&#60;script&#62;%s&#60;/script&#62;",
    "\\u003cscript\\u003e%s\\u003c/script\\u003e",
    "%%3Cscript%%3E%s%%3C/script%%3E",
    "{{%s}}",
    "{%% print(%s) %%}",
    "${%s}",
    "#{%s}",
    "<%%= %s %%>",
    "{{7*7}}[[%s]]",
    "＜script＞%s＜/script＞",
    "<scr<script>ipt>%s</scr</script>ipt>",
    "<x onclick=%s>click",
    "';%s;//",
    '";%s;//',
    "\\';%s;//",
    "</script><script>%s</script>",
]
PAYLOADS = [frame % CALLS[number % 2] for number, frame in enumerate(FRAMES)]
LONGEST = 60
"""Characters the name of a rod may have: so many payloads stand in one."""
DEEP = os.environ.get("CULMWRIGHT_SOAK", "commit") != "commit"


NEVER = {
    *("iframe", "object", "embed", "base", "audio", "video", "marquee", "x", "img", "template", "math", "animate"),
    *("noscript", "comment", "style", "scr<script"),
}
"""Tags that no page of ours has."""


class Seen(HTMLParser):
    """The tags of a page, each with the names of its attributes, and what addresses it holds."""

    def __init__(self, text):
        super().__init__(convert_charrefs=True)
        self.tags, self.addresses, self.words = [], [], []
        self.feed(text)
        self.close()

    def handle_starttag(self, tag, attrs):
        self.tags.append((tag, tuple(sorted(name for name, _ in attrs))))
        self.addresses += [
            value or "" for name, value in attrs if name in ("href", "src", "action", "formaction", "data")
        ]

    def handle_comment(self, data):
        self.tags.append(("comment", ()))

    def handle_data(self, data):
        self.words.append(data)


def must_be_calm(text):
    """No tag, handler or address that is not of our own templates."""
    seen = Seen(text)
    for tag, names in seen.tags:
        assert tag not in NEVER, tag
        assert not [name for name in names if name.startswith("on") or name in ("srcdoc", "autofocus")], (tag, names)
    for address in seen.addresses:
        assert re.match(r"(/|#|data:,|mailto:|\?|$)", address), address
    scripts = [names for tag, names in seen.tags if tag == "script"]
    assert all("src" in names for names in scripts)
    assert len([one for one in seen.tags if one[0] == "body"]) == 1
    return seen


def test_there_are_enough_of_them():
    assert len(set(PAYLOADS)) == len(PAYLOADS) >= 60


@pytest.fixture(scope="module")
def hostile(tmp_path_factory):
    """A shop where every field that takes words holds every payload."""
    file = tmp_path_factory.mktemp("hostile") / "shop.sqlite"
    client = TestClient(create_app(file, ("127.0.0.1",)), base_url="http://127.0.0.1", raise_server_exceptions=False)
    client.headers["x-culmwright-token"] = client.get("/pair").text.split('name="token" content="')[1].split('"')[0]
    client.codes = {}
    for words in bundles():
        text = rod_text("starter").replace('name = "My rod"', f"name = {json.dumps(words)}")
        text = text.replace('# wish = "How it should fish"', f"wish = {json.dumps(words)}")
        made = client.post("/api/rods", json={"text": text})
        assert made.status_code == 200, (words, made.json())
        client.codes[made.json()["newest"]["rod"]] = words
    codes = list(client.codes)
    for number, payload in enumerate(PAYLOADS):
        code = codes[number % len(codes)]
        client.post("/api/people", json={"name": payload})
        sent = {"kind": "noted", "words": payload}
        assert client.post(f"/api/rods/{code}/log", json=sent).status_code in (200, 422)
        docket = {"id": f"{number:032d}", "kind": "weighing", "text": payload, "rod": code}
        assert client.post("/api/dockets", json=docket).status_code == 200
    assert client.post("/api/gauges", json={"name": PAYLOADS[0], "unit": "in"}).status_code == 200
    return client


def bundles():
    """The payloads in names of rods, on one line."""
    found = [""]
    for payload in (" ".join(one.split()) for one in PAYLOADS):
        if len(found[-1]) + 1 + len(payload) > LONGEST:
            found.append(payload)
        else:
            found[-1] = f"{found[-1]} {payload}".strip()
    return found


def test_payloads_are_kept_as_words(hostile):
    assert len(hostile.codes) == len(bundles()) > 30
    assert len(hostile.get("/api/people").json()["people"]) >= 55
    assert [one["text"] for one in hostile.get("/api/dockets").json()["dockets"]] == PAYLOADS


@pytest.mark.parametrize("path", ["/", "/{code}", "/{code}/log", "/{code}/book", "/{code}/labels", "/s/{code}/B"])
def test_pages_of_a_rod_hold_words_only(hostile, path):
    """At commit depth a few rods a page; what every rod is called stands on the page of the shop."""
    every = list(hostile.codes.items())
    for code, words in every[:1] if path == "/" else every[:: 1 if DEEP else 4 if path == "/{code}" else 9]:
        answer = hostile.get(path.format(code=code))
        assert answer.status_code == 200
        seen = must_be_calm(answer.text)
        if path in ("/", "/{code}", "/{code}/labels"):
            assert " ".join(words.split()) in " ".join(" ".join(seen.words).split())


@pytest.mark.parametrize("payload", PAYLOADS)
def test_what_stands_in_an_address_comes_back_as_words(hostile, payload):
    from urllib.parse import quote

    asked = quote(payload, safe="")
    addresses = (
        f"/s/{asked}",
        f"/R1/{asked}",
        f"/{asked}",
        f"/scan?text={asked}",
        f"/data/backups/{asked}",
        f"/{asked}/book",
    )
    for address in (*addresses, f"/data?done={asked}", f"/R1/log/{asked}"):
        answer = hostile.get(address)
        assert answer.status_code in (200, 404, 422), address
        must_be_calm(answer.text)


def test_the_name_of_a_device_is_words(lan, visit, token_of):
    from culmwright.workshop.admitting import Right

    keeper, kept = visit(lan, Right.KEEP), 0
    for payload in PAYLOADS:
        if keeper.post("/devices/d1/name", data={"token": token_of(keeper), "name": payload}).status_code == 303:
            kept += 1
            for page in ("/devices", "/pair"):
                seen = must_be_calm(keeper.get(page).text)
                assert " ".join(payload.split()) in " ".join(" ".join(seen.words).split())
    assert kept >= 40


def test_a_problem_document_is_never_taken_for_a_page(hostile):
    answer = hostile.get("/api/rods/%3Cscript%3E")
    assert answer.headers["content-type"] == "application/problem+json"
    assert answer.headers["x-content-type-options"] == "nosniff"


def test_a_page_that_would_be_hostile_is_seen():
    for inner in ("<img src=x>", "<a href='javascript:x'>x</a>", "<b onclick=x>x</b>", "<script>x</script>"):
        with pytest.raises(AssertionError):
            must_be_calm(f"<body>{inner}</body>")

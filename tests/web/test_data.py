"""The shop's data on the pages: out, in and back; nothing is written before somebody says so."""

from __future__ import annotations

import asyncio
import io
import re
import sqlite3
import struct
import zipfile
from datetime import UTC, datetime, timedelta
from pathlib import Path
from tempfile import gettempdir

import pytest
from fastapi.testclient import TestClient

from culmwright.ledger.shop import digest, open_shop
from culmwright.web.app import create_app
from culmwright.web.data_pages import Copy
from culmwright.workshop import guarding
from culmwright.workshop.holding import MOST_HELD, Holding


@pytest.fixture
def keeper(own_shop, over):
    with TestClient(
        over(own_shop), base_url="http://127.0.0.1", follow_redirects=False, raise_server_exceptions=False
    ) as client:
        client.file, client.sent = own_shop, {"token": client.get("/api/me").json()["token"]}
        yield client


def state_of(file):
    with open_shop(file, write=False) as shop:
        return digest(shop)


def held_in(answer):
    return re.search(r"/data/import/([^/]+)/apply", answer.text)


def send(keeper, content, name="x.zip", address="/data/import", **fields):
    return keeper.post(address, data={**keeper.sent, **fields}, files={"file": (name, content)})


def zipped(parts, **options):
    out = io.BytesIO()
    with zipfile.ZipFile(out, "w", zipfile.ZIP_DEFLATED, **options) as packed:
        for name, content in parts.items():
            packed.writestr(name, content)
    return out.getvalue()


@pytest.mark.parametrize("sheets", ["csv", "xlsx"])
def test_a_shop_goes_out_and_into_an_empty_one(keeper, sheets, tmp_path):
    out = keeper.get(f"/data/export/{sheets}")
    assert out.headers["content-disposition"].startswith('attachment; filename="shop-')
    empty = tmp_path / "new" / "shop.sqlite"
    empty.parent.mkdir()
    app = create_app(empty, ("127.0.0.1",))
    other = TestClient(app, base_url="http://127.0.0.1", follow_redirects=False)
    other.sent = {"token": other.get("/api/me").json()["token"]}
    shown = send(other, out.content)
    assert "The shop would then be exactly what was exported" in shown.text
    assert not empty.exists()
    assert other.post(f"/data/import/{held_in(shown)[1]}/apply", data=other.sent).status_code == 303
    assert state_of(empty) == state_of(keeper.file)
    app.state.desk.close()


def test_looking_at_an_import_writes_nothing(keeper):
    out = keeper.get("/data/export/csv").content
    keeper.post("/api/people", json={"name": "Ann"}, headers={"x-culmwright-token": keeper.sent["token"]})
    before = state_of(keeper.file)
    answer = send(keeper, out)
    assert answer.status_code == 200
    assert held_in(answer) is None  # there is nothing to add, so no button
    assert state_of(keeper.file) == before


def test_an_import_is_written_once(keeper):
    name = backed_up(keeper)
    enter(keeper, "Ann")
    out, wanted = keeper.get("/data/export/csv").content, state_of(keeper.file)
    keeper.post(f"/data/backups/{name}/restore", data={**keeper.sent, "word": "restore"})
    assert state_of(keeper.file) != wanted
    shown = send(keeper, out)
    assert "It would add 1 row." in shown.text
    address = f"/data/import/{held_in(shown)[1]}/apply"
    assert keeper.post(address, data=keeper.sent).headers["location"] == "/data?done=import"
    assert state_of(keeper.file) == wanted
    assert keeper.post(address, data=keeper.sent).status_code == 422


def enter(keeper, name):
    headers = {"x-culmwright-token": keeper.sent["token"]}
    assert keeper.post("/api/people", json={"name": name}, headers=headers).status_code == 200


def backed_up(keeper):
    assert keeper.post("/data/backup", data=keeper.sent).headers["location"] == "/data?done=backup"
    return re.search(r"/data/backups/([^/]+)/restore", keeper.get("/data").text)[1]


def test_a_backup_is_downloaded_and_put_back(keeper):
    before = state_of(keeper.file)
    name = backed_up(keeper)
    content = keeper.get(f"/data/backups/{name}").content
    assert content[:16] == b"SQLite format 3\x00"
    enter(keeper, "Ann")
    after = state_of(keeper.file)
    refused = send(keeper, content, "b.sqlite", "/data/restore", word="yes")
    assert refused.status_code == 409
    assert "1 in person" in refused.text
    assert state_of(keeper.file) == after
    assert send(keeper, content, "b.sqlite", "/data/restore", word=" Restore ").status_code == 303
    assert state_of(keeper.file) == before
    kept = [one for one in (keeper.file.parent / "shop-backups").glob("*.sqlite") if state_of(one) == after]
    assert len(kept) == 1  # what stood there is kept
    assert keeper.get("/api/people").json() == {"people": []}  # the desk has the new one


@pytest.mark.parametrize("address", ["/data/backups/", "/api/backups/"])
def test_only_a_backup_that_was_sent_is_a_copy(keeper, address):
    """Part of a file, or one whose sending broke off, is no copy: the page goes on saying that one is missing."""
    path = f"{address}{backed_up(keeper)}"
    missing = "No copy of this shop was taken off this machine yet"
    assert keeper.get(path, headers={"range": "bytes=0-99"}).status_code == 206
    assert missing in keeper.get("/data").text
    assert keeper.get(f"{address}none.sqlite").status_code in (404, 422)
    assert missing in keeper.get("/data").text
    [name] = {Path(path).name}
    copy = Copy(guarding.backup_named(name, keeper.file), keeper.file)
    scope = {"type": "http", "method": "GET", "headers": [], "asgi": {"spec_version": "2.4"}}

    async def broken(message):
        if message["type"] == "http.response.body":
            raise OSError("the other side has gone")

    async def nothing():
        return {"type": "http.request", "body": b"", "more_body": False}

    with pytest.raises(OSError, match="gone"):
        asyncio.run(copy(scope, nothing, broken))
    assert missing in keeper.get("/data").text
    assert len(keeper.get(path).content) == guarding.backup_named(name, keeper.file).stat().st_size
    assert missing not in keeper.get("/data").text


def test_the_pages_say_when_a_copy_is_missing(keeper):
    assert "No copy of this shop was taken off this machine yet" in keeper.get("/data").text
    name = backed_up(keeper)
    keeper.get(f"/data/backups/{name}")
    assert "copy of this shop was taken off this machine yet" not in keeper.get("/data").text
    now = datetime.now(UTC)
    for age, nag in ((timedelta(days=6, hours=23), False), (timedelta(days=7, minutes=1), True)):
        guarding.note_copy(keeper.file, now - age)
        assert bool(guarding.safety(keeper.file, now).nag) is nag
    assert "7 days old" in keeper.get("/state").text


@pytest.mark.parametrize(
    "name", ["none.sqlite", "%2e%2e", "../shop.sqlite", "%2e%2e%2fshop.sqlite", "shop.sqlite", "shop-devices.json", "."]
)
def test_only_a_backup_of_the_list_is_given_out(keeper, name):
    backed_up(keeper)
    answer = keeper.get(f"/data/backups/{name}")
    assert answer.status_code == 404
    assert b"SQLite format" not in answer.content


EXPORTED = ("person", "rod", "rod_revision", "culm", "strip", "rig", "gauge", "gauge_check", "reading", "pass", "event")


def bomb():
    return zipped({"person.csv": b"\0" * (20 << 20)}, compresslevel=9)


def quine_sizes():
    """A part that says it is small and is not."""
    content = bytearray(zipped({"person.csv": b"0" * 5_000_000}))
    at = content.rindex(b"PK\x01\x02")
    content[at + 24 : at + 28] = struct.pack("<I", 10)
    at = content.index(b"PK\x03\x04")
    content[at + 22 : at + 26] = struct.pack("<I", 10)
    return bytes(content)


def encrypted():
    content = bytearray(zipped({"person.csv": "id"}))
    for mark, place in ((b"PK\x03\x04", 6), (b"PK\x01\x02", 8)):
        at = content.index(mark)
        content[at + place] |= 1
    return bytes(content)


def entities():
    """A workbook whose text is made of entities that grow (the billion laughs)."""
    laughs = "".join(f'<!ENTITY l{n} "{f"&l{n - 1};" * 10}">' for n in range(1, 10))
    sheet = f'<?xml version="1.0"?><!DOCTYPE x [<!ENTITY l0 "lol">{laughs}]><worksheet>&l9;</worksheet>'
    return zipped({"[Content_Types].xml": "<Types/>", "xl/worksheets/sheet1.xml": sheet})


def outside():
    sheet = '<?xml version="1.0"?><!DOCTYPE x [<!ENTITY f SYSTEM "file:///etc/passwd">]><worksheet>&f;</worksheet>'
    return zipped({"[Content_Types].xml": "<Types/>", "xl/worksheets/sheet1.xml": sheet})


BAD = {
    "nothing": b"",
    "text": b"person_id,name",
    "a picture": b"\x89PNG\r\n\x1a\n" + b"0" * 100,
    "a script": b"#!/bin/sh\ntouch elsewhere.sqlite\n",
    "a page": b"<script>alert(1)</script>",
    "a picture that is a zip too": b"GIF89a" + zipped({"person.csv": "id"}),
    "a zip that is a page too": zipped({"person.csv": "id"}) + b"<script>alert(1)</script>",
    "a broken zip": zipped({"person.csv": "id"})[:40],
    "an empty zip": zipped({}),
    "up a folder": zipped({"../person.csv": "id"}),
    "far up": zipped({"../../../../../../elsewhere/person.csv": "id"}),
    "from the root": zipped({"/etc/person.csv": "id"}),
    "another system's way up": zipped({"..\\person.csv": "id"}),
    "a drive": zipped({"C:\\person.csv": "id"}),
    "up from inside": zipped({"a/../../person.csv": "id"}),
    "a name that is no sheet": zipped({"passwd": "root"}),
    "a script in a name": zipped({"<img src=x onerror=alert(1)>.csv": "id"}),
    "two folders": zipped({"a/person.csv": "id", "b/rod.csv": "id"}),
    "a zip in a zip": zipped({"person.zip": zipped({"person.csv": "id"})}),
    "ten thousand parts": zipped({f"{n}.csv": "" for n in range(10_000)}),
    "a bomb": bomb,
    "a part larger than it says": quine_sizes,
    "encrypted": encrypted,
    "entities that grow": entities,
    "entities from outside": outside,
    "sheets of something else": zipped({f"{name}.csv": "a,b\r\n1,2\r\n" for name in (*EXPORTED, "docket", "shop")}),
    "sheets that are missing": zipped({"shop.csv": "what,value"}),
    "a workbook of nothing": zipped({"[Content_Types].xml": "<Types/>"}),
}


UNPACKED, FOLDER = "to more than a shop holds", "this is not one folder of an export"
WORDS = {
    **dict.fromkeys(("text", "a picture", "a page", "a picture that is a zip too"), "neither a workbook nor a zip"),
    **dict.fromkeys(("up a folder", "far up", "from the root", "up from inside", "two folders"), FOLDER.capitalize()),
    **dict.fromkeys(("entities that grow", "entities from outside"), "defines entities"),
    **{"a bomb": "made to burst", "ten thousand parts": UNPACKED, "encrypted": "cannot be unpacked"},
    **{"a part larger than it says": "cannot be unpacked", "a name that is no sheet": "is no sheet of an export"},
}
"""What is said of some: each is stopped for what it is, and not by luck further on."""


@pytest.mark.parametrize("name", BAD)
def test_what_is_no_export_is_refused_in_words_and_changes_nothing(keeper, name):
    content = BAD[name]() if callable(BAD[name]) else BAD[name]
    before, around = state_of(keeper.file), set(Path(gettempdir()).glob("*.csv"))
    answer = send(keeper, content, "../../x.zip")
    assert answer.status_code in (413, 422), answer.text[:300]
    assert WORDS.get(name, "") in answer.text.replace("&#39;", "'")
    assert "Traceback" not in answer.text
    assert "<img" not in answer.text
    assert str(keeper.app.state.holding.room().parent) not in answer.text
    assert state_of(keeper.file) == before
    assert set(Path(gettempdir()).glob("*.csv")) == around


@pytest.mark.parametrize("name", ["text", "a picture", "a page", "nothing", "an empty zip"])
def test_what_is_no_backup_is_refused(keeper, name):
    before = state_of(keeper.file)
    assert send(keeper, BAD[name], "b.sqlite", "/data/restore", word="restore").status_code == 422
    assert state_of(keeper.file) == before


@pytest.mark.parametrize("harm", ["half", "middle", "another program's"])
def test_a_backup_that_is_no_good_is_refused(keeper, harm, tmp_path):
    name = backed_up(keeper)
    content = bytearray(keeper.get(f"/data/backups/{name}").content)
    if harm == "half":
        content = content[: len(content) // 2]
    elif harm == "middle":
        content[8192:16384] = b"\xff" * 8192
    else:
        other = tmp_path / "other.sqlite"
        with sqlite3.connect(other) as made:
            made.execute("CREATE TABLE person (id INTEGER PRIMARY KEY, name TEXT)")
        made.close()
        content = other.read_bytes()
    before = state_of(keeper.file)
    assert send(keeper, bytes(content), "b.sqlite", "/data/restore", word="restore").status_code == 422
    assert state_of(keeper.file) == before


def test_a_damaged_shop_is_read_only_and_put_back_from_the_page(keeper):
    name = backed_up(keeper)
    before = state_of(keeper.file)
    keeper.app.state.desk.close()
    content = bytearray(keeper.file.read_bytes())
    content[-8192:] = b"\xff" * 8192
    keeper.file.write_bytes(content)
    page = keeper.get("/data").text
    assert "damaged" in page
    assert name in page
    assert "Back the shop up now" not in page
    assert "it can only be read" in page
    headers = {"x-culmwright-token": keeper.sent["token"]}
    assert keeper.post("/api/people", json={"name": "Ann"}, headers=headers).status_code == 422
    assert "damaged" in keeper.get("/state").text
    assert keeper.get("/api/state").json()["sound"] is False
    assert keeper.file.read_bytes() == bytes(content)  # left as it is
    assert keeper.get("/data/export/csv").status_code == 200  # what can still be read
    answer = keeper.post(f"/data/backups/{name}/restore", data={**keeper.sent, "word": "restore"})
    assert answer.headers["location"] == "/data?done=restore"
    assert state_of(keeper.file) == before
    assert next(keeper.file.parent.glob("shop-damaged-*")).read_bytes() == bytes(content)
    assert keeper.post("/api/people", json={"name": "Ann"}, headers=headers).status_code == 200


def test_only_a_few_uploads_are_held_and_not_for_long():
    now = [datetime(2026, 3, 1, tzinfo=UTC)]
    holding = Holding(wall=lambda: now[0])
    held = []
    for _ in range(MOST_HELD + 2):
        path = holding.room() / "sent"
        path.write_bytes(b"x")
        held.append(holding.keep(path))
    assert [one.path.exists() for one in held] == [False, False] + [True] * MOST_HELD
    now[0] += timedelta(minutes=31)
    holding.room()
    assert not any(one.path.exists() for one in held)
    assert held[0].path.parent.parent.stat().st_mode & 0o777 == 0o700
    holding.close()


@pytest.mark.parametrize(("sheets", "slow"), [("csv", "carry.write_table"), ("xlsx", "xlsx_files.write_book")])
def test_who_reads_at_the_bench_waits_for_no_export(keeper, monkeypatch, sheets, slow):
    """What another hand enters while sheets are being written is kept there and then, not refused after a while."""
    from importlib import import_module

    module, _, name = slow.partition(".")
    writes = getattr(import_module(f"culmwright.ledger.{module}"), name)
    entered = []

    def meanwhile(*args):
        if not entered:
            entered.append(True)
            enter(keeper, "Ann")
        return writes(*args)

    monkeypatch.setattr(f"culmwright.ledger.{slow}", meanwhile)
    assert keeper.get(f"/data/export/{sheets}").status_code == 200
    assert entered


def test_who_reads_at_the_bench_waits_for_no_import(keeper, monkeypatch):
    """The shop is not let go of, and not held, while somebody's workbook is being read."""
    from threading import Thread

    from culmwright.ledger import carry

    out, reads, entered = keeper.get("/data/export/csv").content, carry._read, []

    def meanwhile(source):
        other = Thread(target=lambda: entered.append(enter(keeper, "Ann")), daemon=True)
        other.start()
        other.join(20)
        assert not other.is_alive()
        return reads(source)

    monkeypatch.setattr(carry, "_read", meanwhile)
    assert send(keeper, out).status_code == 200
    assert entered == [None]


def test_what_an_import_tells_names_no_place_of_this_machine(keeper):
    out = keeper.get("/api/export").content
    headers = {"x-culmwright-token": keeper.sent["token"], "content-type": "application/zip"}
    answer = keeper.post("/api/import", content=out, headers=headers)
    assert answer.status_code == 200
    assert answer.json()["preview"]["source"] == "the file"
    assert gettempdir() not in answer.text

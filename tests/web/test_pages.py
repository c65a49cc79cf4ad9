"""The pages show what the workshop finds, with the same digits, and send nothing that was typed on as code."""

from __future__ import annotations

import re

import pytest

from culmwright.cli.main import main

PAGES = [
    "/",
    "/R1",
    "/R1.1",
    "/R2",
    "/R1/taper",
    "/R1/strips",
    "/R1/bench",
    "/R1/log",
    "/R1/book",
    "/R1/T1@25in",
    "/R1/T1/S3@25in:rough",
    "/R1/B@60in:stress",
    "/R1/book.pdf",
]


@pytest.mark.parametrize("page", PAGES)
def test_every_page_is_there(client, page):
    assert client.get(page).status_code == 200


@pytest.mark.parametrize(
    ("page", "words"),
    [
        ("/R9", "There is no rod R9 in this shop"),
        ("/R1.7", "R1 has no such revision"),
        ("/R1/T9@5in", "This rod has no section T9"),
        ("/R1/T1@99in", "Station 99 in is not on section T1"),
        ("/R1/nonsense", "is not the address of a spot"),
        ("/look/../../etc/passwd", ""),
        ("/look/black.otf", "There is no such page"),
        ("/rod.toml", ""),
    ],
)
def test_what_is_not_there_gets_a_sentence(client, page, words):
    answer = client.get(page)
    assert answer.status_code == 404
    assert words in answer.text
    assert "Traceback" not in answer.text


def test_a_number_has_the_digits_of_the_command(client, shop_file, capsys, tmp_path):
    page = client.get("/R1/T1/S3@25in:rough").text
    figure = re.search(r'<p class="big">([^<]+)</p>', page)[1]
    assert figure == "0.1630 in"  # 0.129/2 - 0.002 + 0.001 - 0.0005 + 0.100
    assert main(["log", "R1", "--shop", str(shop_file)]) == 0
    told = capsys.readouterr().out
    shown = client.get("/R1/bench").text
    for words in re.findall(r"^[=+-] T1/S\d +(.*)$", told, re.MULTILINE):
        assert words in shown


def test_every_figure_of_the_schedule_opens_its_working(client):
    page = client.get("/R1/strips").text
    addresses = re.findall(r'<td[^>]*><a href="([^"]+)">([^<]+)</a>', page)
    assert len(addresses) == 2 * 10 * 6
    for address, figure in addresses[::7]:
        assert f'<p class="big">{figure} in</p>' in client.get(address).text


def test_words_of_a_rod_stay_words(client):
    for page in ("/", "/R2", "/R2/B@60in"):
        text = client.get(page).text
        assert re.findall(r'<script(?! type="module" src="/look/js/\w+.js)', text) == []
        assert "&lt;script&gt;alert(1)&lt;/script&gt;" in text
        assert "49" not in re.findall(r"<h1>(.*?)</h1>", text)


def test_a_shop_that_is_not_there_yet(tmp_path):
    from fastapi.testclient import TestClient

    from culmwright.web.app import create_app

    client = TestClient(create_app(tmp_path / "none.sqlite", ("127.0.0.1",)), base_url="http://127.0.0.1")
    answer = client.get("/")
    assert answer.status_code == 200
    assert "No rod is in hand yet" in answer.text
    assert "There is no shop here" in client.get("/R1").text
    assert not (tmp_path / "none.sqlite").exists()


def test_a_shop_without_rods_says_how_to_begin(tmp_path):
    from fastapi.testclient import TestClient

    from culmwright.ledger.shop import create_shop
    from culmwright.web.app import create_app

    create_shop(tmp_path / "empty.sqlite").close()
    client = TestClient(create_app(tmp_path / "empty.sqlite", ("127.0.0.1",)), base_url="http://127.0.0.1")
    assert "No rod is in hand yet" in client.get("/").text

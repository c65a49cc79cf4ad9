"""A rod is started by someone who does not know what a rod file is: paste, look, keep; nothing typed is lost."""

from __future__ import annotations

import html
import re
import tomllib
from html import unescape

import pytest
from fastapi.testclient import TestClient

TAPER = "Station\tAcross\n0\t1,78\n1143\t4,55\n2286\t7,0\n"
FIELDS = {
    "name": "Quillet Water 7 ft 6",
    "length": "7 ft 6 in",
    "pieces": "2",
    "tips": "2",
    "sides": "6",
    "units": "inch",
}


@pytest.fixture
def shop(tmp_path, over):
    """A workbench without a shop yet, and the file it would be in."""
    file = tmp_path / "shop.sqlite"
    return TestClient(over(file), base_url="http://127.0.0.1"), file


def sent(client, act, **fields):
    token = re.search(r'name="token" value="([^"]+)"', client.get("/new").text)[1]
    return client.post("/new", data={**FIELDS, **fields, "act": act, "token": token}, follow_redirects=False)


def test_an_empty_shop_invites_to_start_a_rod(shop):
    client, file = shop
    assert 'href="/new"' in client.get("/").text
    assert client.get("/new").status_code == 200
    assert not file.exists()


def test_paste_look_keep(shop, form_in):
    """7 ft 6 in is 2286 mm: the stations can only be millimetres, and the page says so before it keeps anything."""
    client, file = shop
    looked = sent(client, "look", pasted=TAPER)
    assert looked.status_code == 200
    for words in (
        "3 stations read",
        "taken as millimetres",
        "Ferrule at 45 in is proposed",
        "is proposed: the smallest",
    ):
        assert words in looked.text
    assert "What it makes" in looked.text and "<svg" in looked.text
    assert not file.exists()
    form = form_in(looked.text)
    assert form["station"] == ["0", "45", "90", ""]
    assert form["across"] == ["1,78 mm", "4,55 mm", "7,0 mm", ""]
    kept = client.post("/new", data={**form, "act": "keep"}, follow_redirects=False)
    assert (kept.status_code, kept.headers["location"]) == (303, "/R1?kept=new")
    said = tomllib.loads(client.get("/R1/rod.toml").text)
    assert said["rod"]["name"] == "Quillet Water 7 ft 6"
    assert said["taper"]["across"] == ["1,78 mm", "4,55 mm", "7,0 mm"]
    assert said["ferrule"][0]["station"] == 45
    again = client.post("/new", data={**form, "act": "keep"}, follow_redirects=False)  # pressed twice: one rod
    assert again.headers["location"] == "/R1?kept=new"
    assert client.get("/R2").status_code == 404


def test_what_was_filled_in_for_you_is_looked_at_first(shop):
    client, file = shop
    kept = sent(client, "keep", pasted=TAPER)
    assert kept.status_code == 200
    assert "Not kept yet" in kept.text
    assert not file.exists()


def test_the_file_can_be_had_before_anything_is_kept(shop):
    client, file = shop
    answer = sent(client, "file", pasted=TAPER)
    assert answer.headers["content-disposition"] == 'attachment; filename="rod.toml"'
    assert tomllib.loads(answer.text)["culmwright"] == 1
    assert not file.exists()


@pytest.mark.parametrize(
    ("fields", "words", "field"),
    [
        ({"name": ""}, "The rod has no name.", "name"),
        ({"length": "7 lengths"}, "cannot be read as a length", "length"),
        ({"pasted": "0\t0.07\n5\tthin"}, "Line 2, across", "pasted"),
        ({"pasted": ""}, "The taper is missing.", "pasted"),
        ({"line": "15.5"}, "is not a whole number", "line"),
        ({"guides": "0\n99"}, "is off the rod", "guides"),
        ({"density": "heavy"}, "density", "density"),
        ({"ferrule1_size": "half", "ferrule1_station": "45"}, "is no ferrule size", "ferrule1_size"),
    ],
)
def test_a_refusal_keeps_what_was_typed_and_stands_at_its_field(shop, fields, words, field, form_in):
    client, file = shop
    typed = {"pasted": TAPER, "wish": 'for "Ann" & <Bob>', **fields}
    answer = sent(client, "keep", **typed)
    assert answer.status_code == 422
    assert words in unescape(answer.text)
    assert "Nothing was kept" in answer.text
    assert re.search(
        rf'id="{"taper" if field == "pasted" else field}-fault">[^<]*{re.escape(html.escape(words))}', answer.text
    )
    form = form_in(answer.text)
    assert form["wish"] == ['for "Ann" & <Bob>']
    for name, value in fields.items():
        if name != "pasted":
            assert form[name] == [value]
    assert form.get("pasted") == [fields["pasted"]] if "pasted" in fields else form["station"]
    assert not file.exists()


def test_an_empty_grid_to_type_into(shop, form_in):
    client, _ = shop
    page = sent(client, "grid").text
    assert form_in(page)["station"][:3] == ["0", "5", "10"]
    assert form_in(page)["station"][-2:] == ["90", ""]


def test_guides_are_proposed_when_asked(shop, form_in):
    client, _ = shop
    page = sent(client, "guides", pasted=TAPER)
    assert form_in(page.text)["guides"][0].startswith("0\n4\n")
    assert "Guides are proposed" in page.text


def test_a_rod_begun_from_another(client, form_in):
    page = client.get("/new?from=R1").text
    form = form_in(page)
    assert form["name"] == [""]
    assert form["across"][:2] == ["0.070", "0.0775"]
    assert form["block_zero"] == ["0.2565"]
    kept = client.post("/new", data={**form, "name": "Ossel Water", "act": "look"})
    assert kept.status_code == 200
    assert "needs a name" in page


def test_without_the_token_nothing_is_kept(shop):
    client, file = shop
    answer = client.post("/new", data={**FIELDS, "pasted": TAPER, "act": "keep"})
    assert answer.status_code == 403
    assert not file.exists()


def test_words_typed_into_the_form_stay_words(shop):
    client, _ = shop
    hostile = "<script>alert(1)</script>\"'{{7*7}}"
    for name in ("name", "wish", "length", "grip", "pasted", "guides", "density", "ferrule1_station", "base", "units"):
        page = sent(client, "look", **{"pasted": TAPER, name: hostile}).text
        assert "<script>alert" not in page
        assert name in ("base", "units") or "{{7*7}}" in unescape(page)


def test_a_slipped_point_is_asked_about_before_it_is_kept(shop, form_in):
    """0.125 in of a caliper, typed ten times too large between 0.113 and 0.137."""
    client, file = shop
    typed = {"station": ["0", "20", "25", "30", "90"], "across": ["0.07", "0.113", "1.25", "0.137", "0.3"]}
    own = {**typed, "ferrule1_station": "45", "ferrule1_size": "13"}
    asked = sent(client, "keep", **own)
    said = "Across is 1.25 in at station 25 in, between 0.113 in and 0.137 in: is that a slip?</p>"
    assert asked.status_code == 200 and said in asked.text and not file.exists()
    form = form_in(asked.text)
    corrected = {**form, "across": ["0.07", "0.113", "12.5", "0.137", "0.3"], "act": "keep"}
    assert "12.5 in at station 25 in" in client.post("/new", data=corrected, follow_redirects=False).text
    assert client.post("/new", data={**form, "act": "keep"}, follow_redirects=False).status_code == 303

"""The taper page without scripts: typed, looked at, kept; and what its scripts ask the workshop for."""

from __future__ import annotations

import re
import shutil

import pytest
from fastapi.testclient import TestClient

from culmwright.design.rod_file import rod_from_text
from culmwright.mechanics.stress import stress_check
from culmwright.workshop.starting import rod_text


@pytest.fixture
def bench(shop_file, tmp_path, over):
    """A workbench over a copy of the shop, to write into."""
    shutil.copy(shop_file, tmp_path / "shop.sqlite")
    return TestClient(over(tmp_path / "shop.sqlite"), base_url="http://127.0.0.1")


@pytest.fixture
def redrawn(form_in):
    """Sends the taper page's form back, changed."""

    def send(client, code="R1", **change):
        form = {**form_in(client.get(f"/{code}/taper").text), "act": "look", "reason": ""}
        form["across"] = [change.pop("at25") if one == "0.129" and "at25" in change else one for one in form["across"]]
        return client.post(f"/{code}/taper", data={**form, **change}, follow_redirects=False)

    return send


def test_a_station_is_typed_looked_at_and_kept(bench, redrawn):
    looked = redrawn(bench, at25="0.126")
    assert looked.status_code == 200
    text = rod_text("thrimble-beck").replace("0.129,", "0.126,")
    stress = next(one.stress for one in stress_check(rod_from_text(text)).stations if abs(one.station - 0.635) < 1e-9)
    ounces = stress / (0.028349523125 * 9.80665 / 0.0254**2)  # [oz/in^2]
    assert f">{float(f'{ounces:.3g}'):.0f}<" in looked.text
    kept = redrawn(bench, at25="0.126", act="keep", reason="lighter <tip>")
    assert (kept.status_code, kept.headers["location"]) == (303, "/R1.2/taper?from=R1.1")
    page = bench.get("/R1.2/taper").text
    assert 'value="0.126"' in page and "lighter &lt;tip&gt;" in page
    old = bench.get("/R1.1/taper").text
    assert 'value="0.129"' in old and "R1.2 exists" in old
    beside = bench.get("/R1.1/beside/R1.2").text
    assert "1 of 19 stations differ, most at station 25 in: 3.0 thou narrower" in beside
    assert re.search(r"<td>0\.1290</td><td>0\.1260</td><td>-3\.0</td>", beside)


@pytest.mark.parametrize(
    ("change", "status", "words"),
    [
        ({"at25": "0.126", "act": "keep"}, 422, "needs a reason"),
        ({"act": "keep", "reason": "why"}, 422, "Nothing was changed"),
        ({"at25": "thin"}, 422, "cannot be read as a length"),
        ({"at25": "-1"}, 422, "above zero"),
        ({"pasted": "0\t0.07\n5"}, 422, "one column"),
        ({"pasted": "0\t0.07\n60\t0.3"}, 422, "End at the rod"),
    ],
)
def test_a_refusal_keeps_what_was_typed(bench, change, status, words, redrawn):
    answer = redrawn(bench, **change)
    assert answer.status_code == status
    assert words in answer.text
    for name in ("reason", "pasted"):
        if change.get(name) and "stations" not in words and "End" not in words:
            assert change[name] in answer.text
    if "at25" in change:
        assert f'value="{change["at25"]}"' in answer.text
    assert bench.get("/R1.2").status_code == 404


def test_a_slip_is_asked_about_before_it_is_kept(bench, redrawn):
    asked = redrawn(bench, at25="0.29", act="keep", reason="softer")
    assert asked.status_code == 200 and "Across is 0.29 in at station 25 in, between" in asked.text
    assert "is that a slip?</p>" in asked.text and bench.get("/R1.2/taper").status_code == 404
    seen = re.search(r'name="seen" value="([^"]+)"', asked.text)[1]
    assert redrawn(bench, at25="0.29", act="keep", reason="softer", seen=seen).status_code == 303
    refused = redrawn(bench, "R1.1", at25="1.29").text  # thicker than a culm can give: a form knows no keys of a file
    assert "check &#34;Diameter of the culm&#34;.</p>" in refused and "[strips]" not in refused


def test_who_comes_second_is_told(bench, redrawn, form_in):
    stale = form_in(bench.get("/R1.1/taper").text)
    assert redrawn(bench, at25="0.126", act="keep", reason="one").status_code == 303
    stale["across"] = ["0.127" if one == "0.129" else one for one in stale["across"]]
    answer = bench.post("/R1.1/taper", data={**stale, "act": "keep", "reason": "two"}, follow_redirects=False)
    assert answer.status_code == 409
    assert "R1.2 exists" in answer.text and 'value="0.127"' in answer.text
    assert bench.get("/R1.3").status_code == 404


def test_a_pasted_taper_replaces_the_one_there(bench, redrawn, form_in):
    answer = redrawn(bench, pasted="0;1,8\n2286;7,1")
    assert answer.status_code == 200
    assert form_in(answer.text)["across"] == ["1,8 mm", "7,1 mm", ""]
    assert "2 stations read" in answer.text


def asked(client, body):
    token = re.search(r'name="token" content="([^"]+)"', client.get("/R1").text)[1]
    return client.post("/api/try", json=body, headers={"x-culmwright-token": token})


def test_a_trial_answers_in_si(client):
    answer = asked(client, {"code": "R1", "load": "2 oz"}).json()
    check = stress_check(rod_from_text(rod_text("thrimble-beck")))
    assert answer["mass_kg"] == pytest.approx(check.mass, rel=1e-12)
    assert [one["stress_pa"] for one in answer["stations"]] == pytest.approx([one.stress for one in check.stations])
    assert answer["stations"][5]["station_m"] == pytest.approx(0.635)  # 25 in
    assert answer["bend"]["y_m"][-1] < 0
    assert asked(client, {"text": rod_text("thrimble-beck")}).json()["bend"] is None


@pytest.mark.parametrize(
    ("body", "words"),
    [
        ({}, "a trial needs a rod"),
        ({"code": "R1", "text": "x"}, "a trial needs a rod"),
        ({"code": "R9"}, "no rod R9"),
        ({"text": "no = toml ="}, "this is not TOML"),
        ({"code": "R1", "stations": ["0"], "across": []}, "1 stations and 0 across"),
        ({"code": "R1", "stations": ["0", "90"], "across": ["0.07", "wide"]}, "cannot be read as a length"),
        ({"code": "R1", "load": "heavy"}, "load"),
        ({"code": "R1", "load": 3}, "string"),
        ({"code": "R1", "extra": 1}, "not permitted|Extra"),
        ({"code": "R1", "stations": [1], "across": [2]}, "string"),
    ],
)
def test_a_trial_that_cannot_be_made_is_a_problem(client, body, words):
    answer = asked(client, body)
    assert answer.status_code == 422
    assert answer.headers["content-type"] == "application/problem+json"
    assert re.search(words, answer.json()["title"])
    assert set(answer.json()) == {"type", "title", "status", "where", "remedy"}


def test_a_station_says_its_figures_and_each_opens_its_working(client):
    page = client.get("/R1/at/25").text
    figures = re.findall(r'<dd><a href="([^"]+)">([^<]+)</a>', page)
    assert len(figures) == 9
    for address, figure in figures:
        assert f'<p class="big">{figure}</p>' in client.get(address).text
    part = client.get("/R1/at/25?part").text
    assert "<html" not in part and figures[0][1] in part


@pytest.mark.parametrize(
    ("station", "status"), [("45", 200), ("0", 200), ("90", 200), ("14.25", 200), ("91", 404), ("-1", 404), ("x", 404)]
)
def test_a_station_is_on_the_rod_or_is_refused(client, station, status):
    answer = client.get(f"/R1/at/{station}")
    assert answer.status_code == status
    if station == "45":
        assert ">T1 and T2<" in answer.text and ">B<" in answer.text  # both sides of the ferrule


def test_the_frozen_file_can_be_had(client):
    assert client.get("/R1/rod.toml").text == rod_text("thrimble-beck")
    assert client.get("/R1.1/rod.json").json()["taper"]["across"][1] == 0.0775
    assert client.get("/R1/beside/R2").status_code == 404


def test_a_refusal_names_the_field_as_the_page_does(bench):
    """Not as the rod file does: whoever drags a station has no file before them."""
    page = bench.get("/R1/taper").text
    stations, across = (re.findall(rf'name="{name}" value="([^"]+)"', page) for name in ("station", "across"))
    headers = {"x-culmwright-token": bench.get("/api/me").json()["token"]}
    for wrong, words in (
        ("3", 'check "Diameter of the culm"'),
        ("0.002", '"Glue in every seam"'),
    ):
        told = bench.post(
            "/api/try",
            json={"code": "R1.1", "stations": stations, "across": [*across[:5], wrong, *across[6:]]},
            headers=headers,
        )
        said = told.json()
        assert told.status_code == 422 and words in said["remedy"]
        assert said["where"] == "across" and not re.search(r"\[|\w_\w", said["title"] + said["remedy"])

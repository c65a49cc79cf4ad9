"""Whoever is refused is told everything at once, at the field it is about, in a maker's words, and finds a way on."""

from __future__ import annotations

import re
from html import unescape

import pytest
from fastapi.testclient import TestClient

from culmwright.workshop.admitting import Right

GRID = {
    "station": ["0", "30", "60", "90"],
    "across": ["0.066", "0.130", "0.180", "0.240"],
}
ROD = {"name": "Quillet Water", "length": "90", "pieces": "2", "tips": "2", "sides": "6", "units": "inch"}


@pytest.fixture
def empty(tmp_path, over):
    """A workbench without a shop yet."""
    return TestClient(over(tmp_path / "shop.sqlite"), base_url="http://127.0.0.1")


@pytest.fixture
def own(own_shop, over):
    """A workbench over a shop of its own to write to."""
    return TestClient(
        over(own_shop),
        base_url="http://127.0.0.1",
        raise_server_exceptions=False,
        follow_redirects=False,
    )


def token_on(page):
    return re.search(r'name="token" content="([^"]*)"', page)[1]


def new_rod(client, act, **fields):
    token = token_on(client.get("/new").text)
    return client.post("/new", data={**ROD, **GRID, **fields, "act": act, "token": token}, follow_redirects=False)


def beside(page):
    """What is refused, by the id it stands under: its sentence."""
    return {name: unescape(said) for name, said in re.findall(r'<p class="fault" id="([\w-]+)-fault">([^<]*)<', page)}


def focused(page):
    """The name, or else the tag, of what the page comes up at."""
    [found] = re.findall(r"<(\w+)([^>]*) autofocus", page)
    name = re.search(r'name="(\w+)"', found[1])
    return name[1] if name else found[0]


# A taper redrawn


@pytest.fixture
def taper(own, form_in):
    """Sends the taper page back, changed, from the address it was opened at."""

    def send(form=None, at="/R1/taper", **change):
        form = dict(form or form_in(own.get(at).text))
        for old, new in change.pop("across_of", {}).items():
            form["across"] = [new if one == old else one for one in form["across"]]
        return own.post(at, data={**form, "act": "keep", **change}, follow_redirects=False)

    return send


def test_a_missing_reason_is_said_beside_its_field(taper):
    page = taper(across_of={"0.129": "0.127"}).text
    assert beside(page) == {"reason": "A redrawn taper needs a reason. " + beside(page)["reason"].split("reason. ")[1]}
    assert '<a href="#reason-fault">Go to it</a>' in page
    assert re.search(r'name="reason"[^>]* aria-invalid="true" aria-describedby="reason-fault" autofocus', page)


def test_every_cell_that_is_no_length_is_marked_and_the_reason_with_them(taper):
    page = taper(across_of={"0.129": "abc", "0.1075": "x"}).text
    assert set(beside(page)) == {"across-4", "across-6", "reason"}  # the fourth and the sixth row of the grid
    assert page.count('aria-invalid="true"') == 3
    assert "3 things are to be put right." in page
    for anchor in ("across-4", "across-6", "reason"):
        assert f'<a href="#{anchor}-fault">' in page
    assert page.index('<form method="post"') < page.index('class="refusal"')  # at the top of the form it is about
    assert focused(page) == "across"


def test_a_notice_has_no_place_of_a_file_and_one_full_stop(own):
    stations, across = ("0", "45", "90"), ("0.07", "0.29", "0.28")
    token = own.get("/api/me").json()["token"]
    asked = {"code": "R1.1", "stations": stations, "across": across}
    told = own.post("/api/try", json=asked, headers={"x-culmwright-token": token}).json()
    assert told["warnings"] and not any("[" in one for one in told["warnings"])


def test_a_stale_tab_is_told_what_came_between(own, taper, form_in):
    """Both tabs were opened at /R1/taper, an address that shows whatever is newest."""
    first, second = (form_in(own.get("/R1/taper").text) for _ in range(2))
    kept = taper(first, across_of={"0.129": "0.126"}, reason="lighter")
    assert kept.headers["location"] == "/R1.2/taper?from=R1.1"
    asked = taper(second, across_of={"0.1075": "0.109"}, reason="stouter")
    assert asked.status_code == 409 and own.get("/R1.3").status_code == 404
    said = unescape(asked.text)
    assert "R1.2 was frozen since you began from R1.1." in said
    assert "most at station 25 in: 3.0 thou narrower" in said  # 0.129 to 0.126
    assert 'href="/R1.1/beside/R1.2"' in said and 'value="0.109"' in said and 'value="stouter"' in said
    anyway = taper(form_in(asked.text))
    assert (anyway.status_code, anyway.headers["location"]) == (303, "/R1.3/taper?from=R1.1")
    newest = own.get("/R1.3/rod.json").json()["taper"]["across"]
    assert newest[5] == 0.129 and newest[3] == 0.109  # without what R1.2 changed, as was said


def test_a_third_hand_is_asked_about_again(own, taper, form_in):
    """Knowing of R1.2 is not knowing of R1.3."""
    first, second, third = (form_in(own.get("/R1/taper").text) for _ in range(3))
    assert taper(first, across_of={"0.129": "0.126"}, reason="one").status_code == 303
    asked = form_in(taper(second, across_of={"0.129": "0.127"}, reason="two").text)
    beyond = form_in(taper(third, across_of={"0.129": "0.1285"}, reason="three").text)
    assert taper(asked).status_code == 303
    answer = taper(beyond)
    assert answer.status_code == 409 and "R1.3 was frozen since" in answer.text


def test_the_revision_a_form_was_drawn_from_is_one_of_its_own_rod(own, taper, form_in):
    form = {**form_in(own.get("/R1/taper").text), "drawn_from": "R2.1"}
    assert taper(form, across_of={"0.129": "0.126"}, reason="x").headers["location"] == "/R1.2/taper?from=R1.1"
    assert own.get("/R2.2").status_code == 404


# A rod filled in


def test_an_empty_rod_form_is_told_all_that_is_missing(empty):
    page = new_rod(empty, "keep", name="", length="", station=[], across=[]).text
    assert set(beside(page)) == {"name", "length", "taper"}
    assert "3 things are to be put right." in page
    assert focused(page) == "name"


def test_everything_that_cannot_be_read_is_said_at_once(empty):
    page = new_rod(
        empty,
        "look",
        length="ninety",
        line="5.5",
        grip="a hand",
        across=["0.066", "thin", "0.180", "0.240"],
        ferrule1_size="half",
        ferrule1_station="45",
        guides="0\nten",
        varnish="a film",
    )
    assert page.status_code == 422
    assert set(beside(page.text)) == {
        "length", "line", "grip", "varnish", "across-2", "ferrule1_size", "guides"
    }  # fmt: skip
    assert "<details open><summary>Making" in page.text.replace(' class="folded"', "")


def test_a_paste_that_cannot_be_read_does_not_hide_the_rest(empty):
    page = new_rod(empty, "keep", name="", pasted="0\t0.07\n5\tthin", station=[], across=[]).text
    assert set(beside(page)) == {"name", "taper"} and "Line 2, across" in beside(page)["taper"]


@pytest.mark.parametrize(
    ("act", "fields", "at"),
    [
        ("guides", {}, "guides"),
        ("grid", {"station": [], "across": []}, "across"),
        ("keep", {"length": "x"}, "length"),
        ("keep", {}, "div"),  # what was proposed for it, before it is kept
        ("look", {"ferrule1_station": "45", "ferrule1_size": "9"}, "h2"),
        ("look", {"ferrule1_station": "45", "ferrule1_size": "14"}, "div"),  # a size too large for the cane there
    ],
)
def test_the_page_comes_up_where_the_work_is(empty, act, fields, at):
    assert focused(new_rod(empty, act, **fields).text) == at


@pytest.mark.parametrize("length", ["0", "7", "ninety", "50 ft"])
def test_a_refused_length_proposes_no_ferrule(empty, form_in, length):
    answer = new_rod(empty, "look", length=length)
    assert answer.status_code == 422
    form = form_in(answer.text)
    assert form["ferrule1_station"] == [""] and form["ferrule1_size"] == [""]
    assert "is proposed" not in answer.text


def test_what_was_proposed_is_proposed_anew(empty, form_in):
    """90 in: two pieces part at 45, three at 30 and 60."""
    two = form_in(new_rod(empty, "look").text)
    assert two["ferrule1_station"] == ["45"]
    answer = empty.post("/new", data={**two, "pieces": "3", "act": "look"})
    three = form_in(answer.text)
    assert three["ferrule1_station"] == ["30"] and three["ferrule2_station"] == ["60"]
    assert "Ferrule at 30 in is proposed" in answer.text
    kept = empty.post("/new", data={**three, "act": "keep"}, follow_redirects=False)
    assert kept.status_code == 303  # what was looked at is not said twice


def test_what_the_maker_typed_stays(empty, form_in):
    two = form_in(new_rod(empty, "look", ferrule1_station="44").text)
    assert two["ferrule1_station"] == ["44"]
    three = form_in(empty.post("/new", data={**two, "pieces": "3", "act": "look"}).text)
    assert three["ferrule1_station"] == ["44"] and three["ferrule2_station"] == ["60"]


def test_a_grip_in_the_wrong_unit_is_asked_about(empty):
    answer = new_rod(empty, "look", grip="24 mm", ferrule1_station="45", ferrule1_size="14")
    assert re.search(r'<p class="say">[^<]*24 mm[^<]*</p>', answer.text)


# Slips


def test_an_empty_culm_is_told_all_that_is_missing(rooms):
    answer = rooms.send("/stores", "culm", length="long")
    slip = next(one for one in re.findall(r"<form.*?</form>", answer.text, re.S) if 'value="culm"' in one)
    said = dict(rooms.faults(slip))
    assert set(said) == {"label", "length", "diameter_butt", "diameter_middle", "diameter_tip", "nodes"}
    assert "cannot be read as a length" in said["length"]
    assert focused(slip) == "label" and 'class="refusal"' in slip


def test_an_empty_bend_is_told_all_that_is_missing(rooms):
    answer = rooms.send("/R1/proof", "bend", drops="", reading="")
    slip = next(one for one in re.findall(r"<form.*?</form>", answer.text, re.S) if 'value="bend"' in one)
    assert set(dict(rooms.faults(slip))) == {"drops", "reading"}
    answer = rooms.send("/R1/proof", "strip", drops="", reading="", height="", span="wide", apex="")
    slip = next(one for one in re.findall(r"<form.*?</form>", answer.text, re.S) if 'value="strip"' in one)
    assert set(dict(rooms.faults(slip))) >= {"drops", "reading", "height", "span", "apex"}


def test_a_target_that_is_wet_is_refused(rooms):
    """Fibre saturation of bamboo is near 30 %: handbooks of wood give 28 to 30 % (from memory)."""
    field, said = rooms.refused("/R1/water", "weigh", mass="90 g", at="", target="60%")
    assert field == "target" and "30%" in said
    rooms.kept("/R1/water", "weigh", mass="90 g", at="", target="8%")


def test_an_answer_is_where_the_page_comes_up(rooms):
    answer = rooms.send("/R1/glue", "clock", glue="epoxy", pot_life="60 min", stated_at="73 F", bench="73 F")
    assert answer.status_code == 200 and focused(answer.text) == "h2"


# The shop's data


def sent(client, path, **given):
    data = {"token": token_on(client.get("/data").text), **given.pop("data", {})}
    return client.post(path, data=data, **given)


def at_form(page, action):
    """The words of a refusal in the form that goes to ``action``."""
    form = re.search(rf'<form method="post" action="{re.escape(action)}".*?</form>', page, re.S)[0]
    return unescape(re.search(r'<p class="fault"[^>]*>([^<]*)<', form)[1])


def test_the_data_page_refuses_beside_its_form(own):
    own.follow_redirects = True
    for path in ("/data/import", "/data/restore"):
        answer = sent(own, path, data={"word": "restore"})
        assert answer.status_code == 422 and "<h1>The shop's data</h1>" in answer.text
        assert at_form(answer.text, path) == "No file was sent. Choose one, then send it again."
    page = sent(own, "/data/restore", data={"word": "restore"}, files={"file": ("x.sqlite", b"no")}).text
    assert at_form(page, "/data/restore").startswith("This is no backup. ") and "the file: " not in page
    page = sent(own, "/data/import", files={"file": ("x.xlsx", b"no")}).text
    assert at_form(page, "/data/import").startswith("This is neither a workbook nor a zip of sheets. ")
    name = re.search(r'href="/data/backups/([^"]+)"', sent(own, "/data/backup").text)[1]
    answer = sent(own, f"/data/backups/{name}/restore", data={"word": "no"})
    assert answer.status_code == 409
    assert at_form(answer.text, f"/data/backups/{name}/restore").startswith("The shop was not replaced; it holds ")
    assert re.search(rf"<details open>.*?{re.escape(name)}/restore", answer.text, re.S)
    answer = sent(own, "/data/backups/shop-nothing.sqlite/restore", data={"word": "restore"})
    assert answer.status_code == 422 and "There is no backup of that name. " in answer.text
    answer = sent(own, "/data/import/gone/apply")
    assert answer.status_code == 422 and at_form(answer.text, "/data/import").startswith(
        "What was sent is not held any more. "
    )


def test_what_stood_before_a_backup_was_put_back_says_so(own):
    own.follow_redirects = True
    name = re.search(r'href="/data/backups/([^"]+)"', sent(own, "/data/backup").text)[1]
    page = sent(own, f"/data/backups/{name}/restore", data={"word": "restore"}).text
    entries = re.findall(r"<li><p><b>.*?</p>", page, re.S)
    assert ["as it stood before another was put back" in one for one in entries] == [True, False]
    other = re.search(r'/data/backups/([^"]+)"', entries[0])[1]
    assert sent(own, f"/data/backups/{other}/restore", data={"word": "restore"}).status_code == 200  # it can be had


# Ways on


def ways(page):
    return re.findall(r'<li><a href="([^"]+)">([^<]+)</a></li>', page.split("</header>")[1])


def test_a_page_that_is_not_there_leads_to_the_rod_it_is_of(own, taper):
    taper(across_of={"0.129": "0.126"}, reason="lighter")
    answer = own.get("/R1.7/taper")
    assert answer.status_code == 404
    assert [one[0] for one in ways(answer.text)] == ["/R1.2/taper", "/R1.1/taper", "/R1"]
    assert [one[0] for one in ways(own.get("/R1.7").text)] == ["/R1.2", "/R1.1"]
    assert [one[0] for one in ways(own.get("/R1.1/nonsense").text)] == ["/R1.1"]
    assert [one[0] for one in ways(own.get("/R1/bench/read?stage=rough&strips=99").text)] == ["/R1/bench", "/R1"]
    assert ways(own.get("/R99/taper").text) == []
    for address, _ in ways(answer.text):
        assert own.get(address).status_code == 200


def test_a_station_that_is_not_on_the_rod_is_said(own):
    answer = own.get("/R1/at/91")
    assert answer.status_code == 404 and "tation 91 in is not on this rod" in answer.text
    assert ways(answer.text)[-1][0] == "/R1"


def test_a_strange_device_is_led_to_where_it_pairs_and_to_nothing_else(lan, visit):
    page = visit(lan).get("/R1").text
    assert ways(page) == [("/pair", "Pair this device")] and "Quillet" not in page and "Thrimble" not in page


def test_a_wrong_code_is_said_beside_its_field(lan, visit, token_of):
    stranger = visit(lan)
    answer = stranger.post("/pair", data={"code": "ABCD", "name": "tablet <1>", "token": token_of(stranger)})
    assert answer.status_code == 422
    page = unescape(answer.text)
    assert "This code is not open. Ask for a new one" in page and "<h1>Come in</h1>" in page
    assert 'value="tablet <1>"' in page and re.search(r'name="code" value="ABCD"[^>]*aria-invalid', page)
    assert focused(answer.text) == "code"
    answer = stranger.post("/pair", data={"code": "ABCD", "name": " ", "token": token_of(stranger)})
    assert answer.status_code == 422 and focused(answer.text) == "name"
    code = lan.state.door.admission.new_code(Right.LOOK).text
    assert stranger.post("/pair", data={"code": code, "name": "t", "token": token_of(stranger)}).status_code == 303

"""Culms entered and laid out, rigs and gauges entered, what the rods say; words that try to be code stay words."""

from __future__ import annotations

import json
import re
import threading
from html.parser import HTMLParser

import pytest
from fastapi.testclient import TestClient

from culmwright.ledger.dockets import dockets
from culmwright.ledger.register import culms, gauge_checks, gauges, rigs
from culmwright.web import rooms_culm
from culmwright.web.access import RULES, Role
from culmwright.web.app import create_app
from culmwright.workshop.culm_typed import culm_files, culm_text_of
from culmwright.workshop.layouts_kept import culms_kept, layouts_kept
from culmwright.workshop.starting import Starter, culm_text

K3 = {
    "label": "K3",
    "length": "12 ft",
    "diameter_butt": "2 3/8 in",
    "diameter_middle": "2,18",
    "diameter_tip": "1.9",
    "wall_butt": "0.42",
    "wall_middle": "0.34",
    "wall_tip": "0.28",
    "nodes": "4.5 14 24 34.5\n45; 56 67\n78 1/2 in",
    "defects": "33.5 to 36; 205 deg to 228 deg; beetle hole",
    "lengths": "K3-butt; 0 to 72; B\nK3-tip; 72 to 144; T1, T2",
    "mass": "4 lb",
    "moisture": "11%",
    "note": 'from "the" dealer',
}
INCH = 0.0254


def test_a_culm_is_entered_field_by_field(rooms):
    assert "The culm is kept." in rooms.kept("/R1/culm", "culm", **K3)
    found = rooms.ledger(lambda shop, begun: culms_kept(shop)[-1])
    assert found.label == "K3" and found.note == 'from "the" dealer'
    assert [one.m / INCH for one in found.nodes] == pytest.approx([4.5, 14, 24, 34.5, 45, 56, 67, 78.5])
    assert [one.diameter.m / INCH for one in found.girths] == pytest.approx([2.375, 2.18, 1.9])
    assert [one.wall.m / INCH for one in found.girths] == pytest.approx([0.42, 0.34, 0.28])
    assert [(one.name, one.sections) for one in found.lengths] == [("K3-butt", ("B",)), ("K3-tip", ("T1", "T2"))]
    assert (found.defects[0].start.m / INCH, found.defects[0].note) == (pytest.approx(33.5), "beetle hole")
    assert found.mass == pytest.approx(4 * 0.45359237)
    assert found.moisture == pytest.approx(0.11)


def test_a_culm_of_the_same_label_is_changed_not_doubled(rooms):
    rooms.kept("/stores", "culm", **K3)
    rooms.kept("/stores", "culm", **K3)
    assert rooms.ledger(lambda shop, begun: [one.label for one in culms(shop)]) == ["K12", "K3"]
    page = rooms.kept("/stores", "culm", **{**K3, "length": "12 ft 2 in"})
    assert "12 ft 2 in long" in page
    assert rooms.ledger(lambda shop, begun: [one.label for one in culms(shop)]) == ["K12", "K3"]


@pytest.mark.parametrize(
    ("wrong", "field"),
    [
        ({"label": ""}, "label"),
        ({"length": "long"}, "length"),
        ({"diameter_tip": ""}, "diameter_tip"),
        ({"diameter_tip": "20"}, "diameter_butt"),
        ({"wall_tip": ""}, "wall_tip"),
        ({"nodes": "14 4.5"}, "nodes"),
        ({"nodes": ""}, "nodes"),
        ({"defects": "under the ridge"}, "defects"),
        ({"defects": "33 to"}, "defects"),
        ({"lengths": "butt"}, "lengths"),
        ({"lengths": "a; 0 to 70; B\na; 70 to 80"}, "lengths"),
        ({"mass": "4"}, "mass"),
        ({"moisture": "wet"}, "moisture"),
    ],
)
def test_a_culm_that_cannot_be_is_refused(rooms, wrong, field):
    assert rooms.refused("/R1/culm", "culm", **{**K3, **wrong})[0] == field


def test_what_the_fields_make_is_what_a_file_says():
    """The starter culm, as its own commented file says it and as its figures stand in the fields."""
    from culmwright.cane.culm_file import culm_from_text

    said = {
        "label": "K1",
        "length": "12 ft",
        "diameter_butt": "2 3/8 in",
        "diameter_middle": "2 3/16 in",
        "diameter_tip": "1 15/16 in",
        "wall_butt": "0.42",
        "wall_middle": "0.34",
        "wall_tip": "0.28",
        "nodes": "4.5, 14, 24, 34.5, 45, 56, 67, 78, 89, 100, 111, 121.5, 132, 142",
        "lengths": "K1-butt; 0 to 72; B\nK1-tip; 72 to 144; T1 T2",
        "over": "0.050",
        "wander": "0.020",
    }
    made, file = culm_from_text(culm_text_of(said)), culm_from_text(Starter.CULM.text)
    for name in ("label", "length", "girths", "nodes", "lengths", "splitting", "defects", "mass"):
        assert getattr(made, name) == getattr(file, name), name


def test_a_culm_is_entered_from_its_file(rooms):
    text = culm_text("k12").replace("K12", "K13")
    action, said = rooms.form("/R1/culm", "culmfile")
    answer = rooms.client.post(action, data=said, files={"file": ("k13.toml", text.encode())})
    assert answer.status_code == 303
    assert set(rooms.ledger(lambda shop, begun: culm_files(shop))) == {"K12", "K13"}
    broken = text.replace("nodes = [3.5,", "nodes = [300,")
    field, sentence = rooms.refused("/R1/culm", "culmfile", text=broken.strip())
    assert field == "text" and "nodes" in sentence
    assert rooms.refused("/R1/culm", "culmfile", text="")[0] == "text"


def test_a_file_that_is_refused_stands_in_the_field_to_be_mended(rooms):
    action, said = rooms.form("/stores", "rigfile")
    answer = rooms.client.post(action, data=said, files={"file": ("rig.toml", b"culmwright = 1\n[rig]\n")})
    assert answer.status_code == 422
    assert "culmwright = 1\n[rig]" in answer.text


@pytest.fixture(autouse=True)
def patient(monkeypatch):
    """A slow machine lays out as well: the page waits for it, where a test does not say otherwise."""
    monkeypatch.setattr(rooms_culm, "PATIENCE", 300.0)


def test_the_sections_are_laid_out(rooms):
    page = rooms.kept("/R1/culm", "lay", culms="K12", section="", apart="2", guides="1/4 in")
    assert "The layout is kept." in page
    found = rooms.ledger(layouts_kept)
    assert [one.section for one in found] == ["T1", "T2", "B"]
    assert all(one.share == 2 for one in found)
    said = [json.loads(one.text)["margins"]["guide_foot"] for one in rooms.ledger(lambda s, b: dockets(s, "layout"))]
    assert said == ["0.25 in"] * 3
    rooms.kept("/R1/culm", "lay", culms="K12", section="B", apart="1")
    assert [one.share for one in rooms.ledger(layouts_kept)] == [2, 2, 1]


def test_a_culm_that_does_not_do_says_what_is_short(rooms):
    """Nodes far apart are no hindrance; a culm sawn into lengths for other sections gives none for the butt."""
    text = culm_text("k12").replace('sections = ["B"]', 'sections = ["M"]')
    rooms.kept("/R1/culm", "culmfile", text=text)
    field, said = rooms.refused("/R1/culm", "lay", culms=["K12"])
    assert field == ""
    assert "Section B: 6 of 6 strips are missing" in said
    assert "culmwright" not in said


@pytest.mark.parametrize(("wrong", "field"), [({"guides": "wide"}, "guides"), ({"guides": "9 ft"}, "guides")])
def test_a_layout_that_cannot_be_is_refused(rooms, wrong, field):
    assert rooms.refused("/R1/culm", "lay", **wrong)[0] == field


def test_a_layout_without_a_culm_is_refused(rooms):
    action, said = rooms.form("/R1/culm", "lay")
    del said["culms"]
    answer = rooms.client.post(action, data=said)
    assert answer.status_code == 422 and "no culm is chosen" in answer.text.lower()


def test_a_long_layout_is_waited_for_on_the_page(rooms, monkeypatch):
    """The page comes at once, says that it waits, looks again by itself, and a second layout is refused meanwhile."""
    gate, real = threading.Event(), rooms_culm.layouts_kept.lay_texts

    def slow(*args, **how):
        gate.wait(60)
        return real(*args, **how)

    monkeypatch.setattr(rooms_culm, "PATIENCE", 0.0)
    monkeypatch.setattr(rooms_culm.layouts_kept, "lay_texts", slow)
    try:
        answer = rooms.send("/R1/culm", "lay", section="B")
        assert answer.status_code == 303 and "laying=" in answer.headers["location"]
        waiting = rooms.client.get(answer.headers["location"])
        assert waiting.headers["refresh"] == "2"
        assert "still being worked out" in waiting.text
        other = rooms.send("/R1/culm", "lay", section="T1")
        assert other.status_code == 422 and "nother layout is still being worked out" in other.text
    finally:
        gate.set()
    rooms_culm.LAYING.of(re.search("laying=([0-9a-f]+)", answer.headers["location"])[1]).end.result(60)
    done = rooms.client.get(answer.headers["location"])
    assert done.status_code == 303 and "kept=lay" in done.headers["location"]
    assert [one.section for one in rooms.ledger(layouts_kept)] == ["B"]


def test_a_rig_is_entered_from_the_starter_and_changed(rooms):
    page = rooms.page("/stores?start=bed")
    assert "A bed that adjusters lift" in page
    assert "The rig is kept." in rooms.kept("/stores?start=bed", "rigfile")
    assert rooms.ledger(lambda shop, begun: [one.name for one in rigs(shop)]) == ["Long form", "My bed"]
    rooms.kept("/stores?rig=My%20bed", "rigfile", text=Starter.BED.text.replace("length = 62", "length = 63"))
    assert rooms.ledger(lambda shop, begun: [one.name for one in rigs(shop)]) == ["Long form", "My bed"]
    assert rooms.refused("/stores?start=form", "rigfile", text="[rig]")[0] == "text"


def test_from_a_stage_one_comes_back_to_it(rooms):
    action, said = rooms.form("/stores?back=/R1.1/settings&start=form", "rigfile")
    assert rooms.client.post(action, data=said).headers["location"] == "/R1.1/settings#sheet"
    for back in ("//evil.example", "https://evil.example/R1/culm", "/R1/culm/../../x", "/R1/culm%0d%0aX: y"):
        page = rooms.page(f"/stores?back={back}")
        assert "evil" not in page and 'action="/stores"' in page


def test_a_gauge_is_entered_once(rooms):
    assert "The gauge is kept." in rooms.kept("/stores", "gauge", name="G2", unit="mm", resolution="0.01 mm")
    [found] = [one for one in rooms.ledger(lambda shop, begun: gauges(shop)) if one.name == "G2"]
    assert (found.unit, found.resolution.m) == ("mm", pytest.approx(1e-5))
    assert rooms.refused("/stores", "gauge", name="G2")[0] == "name"
    assert rooms.refused("/stores", "gauge", name="")[0] == "name"
    assert rooms.refused("/stores", "gauge", name="G3", resolution="fine")[0] == "resolution"


def test_a_trial_counts_in_the_gauges_unit_and_is_taken_back(rooms):
    from culmwright.workshop.gauging import trials

    def standing():
        def of_g2(shop, begun):
            [g2] = [one for one in gauges(shop) if one.name == "G2"]
            return [(one.id, one.reference.m) for one in trials(shop, g2.id)]

        return rooms.ledger(of_g2)

    rooms.kept("/stores", "gauge", name="G2", unit="mm")
    for shown in ("6.01", "6.02"):
        rooms.kept("/stores", "try", gauge="G2", reference="6", shown=shown)
    (first, six), (second, _) = standing()
    assert six == pytest.approx(0.006)
    assert rooms.refused("/stores", "back", trial=str(first), why="")[0] == "why"
    assert "The trial is taken back." in rooms.kept("/stores", "back", trial=str(first), why="dirty")
    assert [number for number, _ in standing()] == [second]
    assert f"trial {first}, G2" not in rooms.page("/stores") and f"trial {second}, G2" in rooms.page("/stores")


def test_a_trial_sent_twice_is_one_trial(rooms):
    action, said = rooms.form("/stores", "try", gauge="G1", reference="0.25 in", shown="0.2502 in")
    for _ in range(2):
        assert rooms.client.post(action, data=said).status_code == 303
    assert len(rooms.ledger(lambda shop, begun: gauge_checks(shop, gauges(shop)[0].id))) == 1


def test_an_empty_shop_can_be_stocked_first(tmp_path):
    client = TestClient(
        create_app(tmp_path / "shop.sqlite", ("127.0.0.1",)), base_url="http://127.0.0.1", follow_redirects=False
    )
    page = client.get("/stores").text
    assert "No culm is entered yet." in page
    assert not (tmp_path / "shop.sqlite").exists()
    token = re.search(r'name="token" value="([^"]+)"', page)[1]
    answer = client.post("/stores", data={**K3, "units": "inch", "act": "culm", "token": token})
    assert answer.status_code == 303
    assert "K3" in client.get("/stores").text


def test_what_the_rods_say(rooms):
    page = rooms.page("/lessons")
    assert "What the shop" in page and "7 strips at 1 setting" in page
    assert 'href="/stores"' in page


def test_the_shop_leads_there(rooms):
    page = rooms.page("/")
    assert 'href="/stores"' in page and 'href="/lessons"' in page


# Who may, and words that try to be code

SENDS = [
    ("/R1/culm", Role.KEEP),
    ("/R1/proof/order", Role.KEEP),
    ("/stores", Role.KEEP),
    ("/R1/water", Role.BENCH),
    ("/R1/settings", Role.BENCH),
    ("/R1/glue", Role.BENCH),
    ("/R1/proof", Role.BENCH),
    ("/R1/log", Role.BENCH),
]


@pytest.mark.parametrize(("path", "least"), SENDS)
def test_only_who_may_can_write(rooms, path, least):
    """A visitor one right below is refused at the door, and nothing is written."""
    before = rooms.rows()
    route = path.replace("/R1", "/{code}")
    assert RULES[route]["POST"] is least
    door = rooms.client.app.state.door
    real = door.visitor
    door.visitor = lambda request: type(real(request))(Role(least - 1), "tablet", "right")
    assert rooms.client.post(path, data={"token": "right", "act": "x"}).status_code == 403
    door.visitor = lambda request: type(real(request))(least, "tablet", "right")
    assert rooms.client.post(path, data={"token": "wrong", "act": "x"}).status_code == 403
    assert rooms.client.post(path, data={"token": "right", "act": "x"}).status_code == 422
    assert rooms.rows() == before


def test_a_device_that_reads_sees_no_button_it_may_not_press(rooms):
    door = rooms.client.app.state.door
    real = door.visitor
    door.visitor = lambda request: type(real(request))(Role.BENCH, "tablet", "right")
    page = rooms.page("/R1/proof")
    assert 'value="match"' in page and 'value="keep"' not in page
    token = {"token": "right", "section": "T1"}
    assert rooms.client.post("/R1/proof", data={**token, "act": "match"}).status_code == 200
    assert (
        rooms.client.post("/R1/proof", data={**token, "act": "keep"}).status_code == 403
    )  # round the rule of its route
    assert "<form" not in rooms.page("/stores")
    assert "This device may look here, not write." in rooms.page("/R1/culm")
    door.visitor = lambda request: type(real(request))(Role.LOOK, "tablet", "right")
    assert "<form" not in rooms.page("/R1/water")


class Tags(HTMLParser):
    """Every tag of a page with the names of its attributes."""

    def __init__(self, text):
        super().__init__()
        self.found = set()
        self.feed(text)

    def handle_starttag(self, tag, attrs):
        self.found.add((tag, *sorted(name for name, _ in attrs)))


HOSTILE = "\"><script>alert(1)</script><img src=x onerror=alert(2)>'{{7*7}}</textarea><b>"
SLIPS = [
    *[("/R1/culm", act) for act in ("lay", "culm", "culmfile")],
    *[("/R1/water", act) for act in ("weigh", "plan", "heat")],
    *[("/R1/settings", act) for act in ("show", "set", "try")],
    *[("/R1/glue", act) for act in ("glue", "clock", "finish")],
    *[("/R1/proof", act) for act in ("match", "flats", "bend", "swing")],
    *[("/stores", act) for act in ("culm", "culmfile", "rigfile", "gauge", "try")],
    ("/R1/log", "event"),
]


@pytest.mark.parametrize(("path", "act"), SLIPS)
def test_words_that_try_to_be_code_come_out_as_words(rooms, path, act):
    """Typed into every field at once; refused or kept, the page has no tag that it did not have."""
    action, said = rooms.form(path, act)
    words = {name: HOSTILE for name in said if name not in ("token", "act", "once")}
    answer = rooms.client.post(action, data={**said, **words})
    page = answer.text if answer.status_code == 422 else rooms.page(answer.headers["location"])
    tags = Tags(page).found
    assert ("script",) not in tags
    assert not any("onerror" in tag for tag in tags)
    assert not any(tag[0] == "b" and len(tag) == 1 for tag in tags - Tags(rooms.page(path)).found)
    assert "49" not in re.findall(r"alert\(2\)&gt;&#39;(\d+)", page)


KEPT_WORDS = [
    ("/R1/log", "event", {"kind": "noted", "words": HOSTILE}),
    ("/R1/glue", "finish", {"words": HOSTILE}),
    ("/R1/glue", "glue", {"glue": HOSTILE, "batch": HOSTILE}),
    ("/R1/water", "heat", {"done": "330 F for 8 min", "words": HOSTILE}),
    ("/stores", "gauge", {"name": HOSTILE[:60]}),
    ("/R1/culm", "culm", {**K3, "label": HOSTILE[:40], "note": HOSTILE}),
]


@pytest.mark.parametrize(("path", "act", "fields"), KEPT_WORDS)
def test_hostile_words_that_are_kept_are_shown_as_words(rooms, path, act, fields):
    page = rooms.kept(path, act, **fields)
    tags = Tags(page).found
    assert ("script",) not in tags and not any("onerror" in tag for tag in tags)
    for other in ("/R1/culm", "/R1/settings", "/stores", "/"):
        tags = Tags(rooms.page(other)).found
        assert ("script",) not in tags and not any("onerror" in tag for tag in tags)


def test_nothing_of_a_refused_slip_is_kept_as_a_docket(rooms):
    rooms.refused("/R1/water", "weigh", mass="heavy")
    assert rooms.ledger(lambda shop, begun: dockets(shop, "weighing")) == ()

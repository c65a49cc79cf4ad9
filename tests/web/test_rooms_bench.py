"""Slips of the stages at the bench: what is kept stands in the ledger and on the page, what is refused stays typed."""

from __future__ import annotations

import json
import re
from dataclasses import replace
from datetime import UTC, datetime, timedelta
from math import radians, tan

import pytest

from culmwright.ledger.dockets import dockets
from culmwright.ledger.happenings import events
from culmwright.ledger.readings import append, current
from culmwright.ledger.records import Entry, EventKind
from culmwright.ledger.register import gauge_checks, gauges
from culmwright.ledger.shop import open_shop
from culmwright.web import rooms_stage
from culmwright.web.rooms_form import Once
from culmwright.workshop.bundles import bundles, keep_weighing
from culmwright.workshop.heating import plan_kept
from culmwright.workshop.matching import order_of
from culmwright.workshop.opening import find

GRAIN = 1e-9
"""Lengths are kept to the nanometre, masses as typed."""


def of_kind(rooms, kind):
    return rooms.ledger(lambda shop, begun: dockets(shop, kind, rod=begun.revision.rod))


# Water and heat


def test_a_bundle_is_weighed(rooms):
    page = rooms.kept("/R1/water", "weigh", bundle="T1", mass="104.5 g", room="70 F", humidity="45%")
    assert "The weighing is kept." in page and "mass, g" in page and "104.5" in page
    [found] = rooms.ledger(lambda shop, begun: bundles(shop, begun))
    assert (found.section, found.weighings[0].mass) == ("T1", pytest.approx(0.1045, rel=1e-12))
    assert found.said.room == pytest.approx((70 + 459.67) / 1.8)


def test_a_slip_sent_twice_is_one_weighing_and_changed_it_is_another(rooms, monkeypatch):
    action, said = rooms.form("/R1/water", "weigh", bundle="T1", mass="104.5 g")
    for _ in range(3):
        assert rooms.client.post(action, data=said).status_code == 303
    assert len(of_kind(rooms, "weighing")) == 1
    monkeypatch.setattr(rooms_stage, "ONCE", Once())  # a workbench started anew remembers nothing
    again = type(rooms)(rooms.file)
    token = again.form("/R1/water", "weigh")[1]["token"]
    assert again.client.post(action, data={**said, "token": token}).status_code == 303
    assert len(of_kind(rooms, "weighing")) == 1
    assert rooms.client.post(action, data={**said, "mass": "103.9 g"}).status_code == 303
    assert len(of_kind(rooms, "weighing")) == 2


@pytest.mark.parametrize(
    ("wrong", "field", "words"),
    [
        ({"mass": "heavy"}, "mass", "cannot be read as a mass"),
        ({"mass": "104"}, "mass", "needs its unit"),
        ({"mass": "104 g", "humidity": "140%", "room": "70 F"}, "humidity", "140%"),
        ({"mass": "104 g", "humidity": "50%"}, "room", "alone does not tell"),
        ({"mass": "104 g", "room": "70 F"}, "humidity", "alone does not tell"),
        ({"mass": "104 g", "oven": "250 F"}, "room", "comes from the room"),
        ({"mass": "104 g", "room": "70 F", "humidity": "50%", "oven": "50 F"}, "oven", "colder than the room"),
        ({"mass": "104 g", "room": "warm"}, "room", "cannot be read as a temperature"),
        ({"mass": "104 g", "at": "2126-01-01 08:00"}, "at", "is still to come"),
        ({"mass": "104 g", "at": "yesterday"}, "at", "is not a time"),
        ({"mass": "1" * 201}, "mass", "longer than 200"),
    ],
)
def test_a_weighing_that_cannot_be_is_refused(rooms, wrong, field, words):
    at, said = rooms.refused("/R1/water", "weigh", bundle="T1", **wrong)
    assert at == field
    assert words in said


def test_an_empty_weighing_is_refused(rooms):
    assert rooms.refused("/R1/water", "weigh", mass="") == (
        "mass",
        "This is still empty. Give it with its unit, like 88.7 g.",
    )


def test_what_was_said_of_the_air_stands_until_it_is_said_anew(rooms):
    rooms.kept("/R1/water", "weigh", bundle="T1", mass="104.5 g", room="70 F", humidity="50%")
    rooms.kept("/R1/water", "weigh", bundle="T1", mass="103 g", humidity="40%")
    assert rooms.refused("/R1/water", "weigh", bundle="T1", mass="102 g", oven="50 F")[0] == "oven"
    [found] = rooms.ledger(lambda shop, begun: bundles(shop, begun))
    assert (found.said.humidity, found.said.oven) == (pytest.approx(0.4), None)


def test_air_that_was_kept_and_cannot_be_spoils_no_page(rooms):
    """A docket that came in by another door says half of what is needed: the weighing stands, and what is wrong."""
    with open_shop(rooms.file) as shop:
        keep_weighing(shop, find(shop, "R1"), "T1", "104.5 g", said={"humidity": "50%"})
    assert "alone does not tell" in rooms.page("/R1/water")
    assert rooms.client.get("/R1/glue").status_code == 200


def test_a_time_of_today_is_enough(rooms):
    then = datetime.now(UTC).astimezone() - timedelta(minutes=1)
    rooms.kept("/R1/water", "weigh", bundle="T1", mass="104.5 g", at=f"{then:%H:%M}")
    [docket] = of_kind(rooms, "weighing")
    today = datetime.now(UTC).astimezone().date()
    if then.date() == today:  # not in the first minute of a day
        assert docket.at.astimezone().replace(tzinfo=None) == then.replace(second=0, microsecond=0, tzinfo=None)


def test_a_weight_without_its_unit_is_asked_for_it(rooms):
    """Not with an example of something else: with the very number that was typed."""
    for typed in ("88", "88.7", ",5"):
        field, said = rooms.refused("/R1/water", "weigh", bundle="T1", mass=typed)
        assert (field, said) == (
            "mass",
            f"{typed} needs its unit. Write {typed} g, or {typed} oz, as the scale shows it.",
        )
    page = rooms.page("/R1/water")
    assert 'inputmode="text"' in re.search(r'<input id="weigh-mass"[^>]*>', page)[0]  # a keypad has no letters


def test_the_newest_weighing_is_taken_back_with_a_reason(rooms, monkeypatch):
    assert "Take the newest weighing back" not in rooms.page("/R1/water")
    rooms.kept("/R1/water", "weigh", bundle="T1", mass="104.5 g")
    assert rooms.refused("/R1/water", "back", bundle="T1", why="")[0] == "why"
    rooms.kept("/R1/water", "weigh", bundle="T1", mass="103.5 g")
    action, said = rooms.form("/R1/water", "back", bundle="T1", why="the scale stood on a shaving")
    for _ in range(2):
        monkeypatch.setattr(rooms_stage, "ONCE", Once())
        answer = rooms.client.post(action, data=said)
        assert "The weighing is taken back." in rooms.page(answer.headers["location"])
    assert [json.loads(one.text)["mass"] for one in of_kind(rooms, "weighing")] == ["104.5 g"]


def test_an_oven_plan_is_kept_and_one_above_the_limit_is_not(rooms):
    at, said = rooms.refused("/R1/water", "plan", steps="250 F for 30 min\n570 F for 5 min")
    assert at == "steps" and "570" in said
    page = rooms.kept("/R1/water", "plan", steps="250 F for 30 min\n330 F for 8 min", fan="yes")
    assert "The oven plan is kept." in page
    plan = rooms.ledger(plan_kept)
    assert [one.temperature for one in plan.steps] == pytest.approx([(f + 459.67) / 1.8 for f in (250, 330)])


def test_heat_that_was_done_is_in_the_log(rooms):
    page = rooms.kept("/R1/water", "heat", bundle="T2", done="330 F for 8 min", words="straw brown")
    assert "straw brown" in page
    [event] = rooms.ledger(lambda shop, begun: events(shop, begun.revision.rod, kinds=(EventKind.HEATED,)))
    assert (event.entry.section, event.entry.note) == ("T2", "330 F for 8 min; straw brown")
    assert rooms.refused("/R1/water", "heat", done="hot")[0] == "done"


# Glue-up


GLUED = {
    "section": "T1",
    "glue": "Grey resin",
    "batch": "7",
    "pot_life": "60 min",
    "stated_at": "73 F",
    "bench": "73 F",
}


def test_a_glue_up_is_kept_and_its_cure_is_waited_for(rooms):
    page = rooms.kept("/R1/glue", "glue", **GLUED, mixed="2026-11-20 08:00", bound="2026-11-20 08:40", cure="24 h")
    assert "The glue-up is kept" in page and "Grey resin, batch 7" in page
    assert re.findall(r'<option value="(\w+)"( selected)?>\w+: strips [^<]*?(; glued)?</option>', page) == [
        ("T1", "", "; glued"), ("T2", " selected", ""), ("B", "", "")
    ]  # fmt: skip
    [docket] = of_kind(rooms, "glue-up")
    said = json.loads(docket.text)
    assert said["took_s"] == 2400
    assert said["bench_k"] == pytest.approx((73 + 459.67) / 1.8)
    [event] = rooms.ledger(lambda shop, begun: events(shop, begun.revision.rod, kinds=(EventKind.GLUED,)))
    assert event.entry.ready_at - event.entry.at == timedelta(hours=24)


def test_how_long_it_stays_workable_is_told_and_nothing_kept(rooms):
    before = rooms.rows()
    answer = rooms.send("/R1/glue", "clock", **GLUED, mixed="2026-11-20 08:00")
    assert answer.status_code == 200
    assert "It stays workable for 60 min" in answer.text  # at its data sheet's own temperature: its own figure
    assert "until 09:00" in answer.text
    assert 'value="Grey resin"' in answer.text
    assert rooms.rows() == before


@pytest.mark.parametrize(
    ("wrong", "field", "words"),
    [
        ({"glue": ""}, "glue", "as its label has it"),
        ({"pot_life": "long"}, "pot_life", "cannot be read as a time"),
        ({"bench": "73"}, "bench", "needs its unit"),
        ({"mixed": "2026-11-20 09:00", "bound": "2026-11-20 08:40"}, "bound", "before the glue was mixed"),
    ],
)
def test_a_glue_up_that_cannot_be_is_refused(rooms, wrong, field, words):
    at, said = rooms.refused("/R1/glue", "glue", **{**GLUED, **wrong})
    assert at == field
    assert words in said


def test_a_clock_without_the_data_sheet_has_nothing_to_tell(rooms):
    assert rooms.refused("/R1/glue", "clock", **{**GLUED, "pot_life": ""})[0] == "pot_life"
    assert "give its data sheet" in rooms.refused("/R1/glue", "clock", **{**GLUED, "stated_at": ""})[1]


def test_what_was_done_after_is_kept(rooms):
    page = rooms.kept("/R1/glue", "finish", work="FERRULE", section="T1", words="13/64 at 45 in, bedded warm")
    assert "13/64 at 45 in, bedded warm" in page
    [docket] = of_kind(rooms, "ferrule fitted")
    assert docket.section == "T1"
    assert rooms.refused("/R1/glue", "finish", words="x" * 201)[0] == "words"


# Proof


def test_strips_are_matched_shown_and_then_kept(rooms):
    before = rooms.rows()
    answer = rooms.send("/R1/proof", "match", section="T1")
    assert answer.status_code == 200
    assert "in this order around the ring" in answer.text and "not kept yet" in answer.text
    assert rooms.rows() == before
    page = rooms.kept("/R1/proof", "keep", section="T1")
    assert "The order is kept" in page
    ring = rooms.ledger(lambda shop, begun: order_of(shop, begun, "T1"))
    assert f"glue strips {' '.join(map(str, ring))} in this order" in answer.text
    assert json.loads(of_kind(rooms, "strip order")[0].text)["ring"] == list(ring)


def test_how_far_apart_nodes_are_to_lie_is_asked_on_the_page(rooms):
    """Of these strips nobody knows where their nodes lie: they were read before anything was laid out."""
    page = rooms.send("/R1/proof", "match", section="T1", apart="0").text
    assert 'name="apart"' in page and 'name="cut_to"' in page
    at, said = rooms.refused("/R1/proof", "match", section="T1", apart="2 in")
    assert at == "apart" and "othing is known of the nodes" in said
    assert rooms.refused("/R1/proof", "match", section="T1", apart="-1 in")[0] == "apart"
    at, said = rooms.refused("/R1/proof", "match", section="T1", cut_to="1 2")
    assert at == "cut_to" and "2 of the section" in said


def test_strips_that_were_not_read_are_not_matched(rooms):
    at, said = rooms.refused("/R1/proof", "match", section="B")
    assert at == "strips" and "No strip of B was read through" in said
    assert "culmwright" not in said and "Read the strips at finishing on the page Bench" in said
    assert "are no numbers" in rooms.refused("/R1/proof", "keep", section="T1", strips="one two")[1]


def test_a_rod_read_in_part_is_told_why_it_is_not_proved(rooms):
    """T1 of this shop is read through: nothing to say until one strip is read anew at one station alone."""
    assert "Not proved yet" not in rooms.client.get("/R1/proof").text

    with open_shop(rooms.file) as shop:
        every = current(shop, find(shop, "R1").revision.id, section="T1")
        one = next(one.entry for one in every if one.entry.cell.strip == 6)
        append(shop, Entry.measured(replace(one.cell, pass_number=2), one.value, wet=False))
    page = rooms.client.get("/R1/proof").text
    assert "Not proved yet" in page and "Strip S6 of T1 was read at 1 of 10 stations after its last pass" in page


def test_flats_are_readings_and_a_second_reading_replaces(rooms):
    def read(shop, begun):
        return {
            one.entry.cell.face: one.entry.value.m for one in current(shop, begun.revision.id) if one.entry.cell.face
        }

    drawn = 0.129  # station 25 of the tip, with varnish; bare is a little less
    bare = f"T1, station 25 in: {drawn - 2 * 0.002:.4f} in as drawn"  # 2 thou of varnish over each flat
    assert bare in rooms.client.get("/R1/proof").text
    assert "The readings are kept." in rooms.kept("/R1/proof", "flats", spot="T1@25in", values="0.126 0.1255 0.1262")
    page = rooms.client.get("/R1/proof").text
    assert f"{bare}; read 0.1260 0.1255 0.1262</option>" in page and page.count("; read ") == 1
    assert re.search(r'<option value="T1@30in" selected>T1, station 30 in', page)  # the next one down the section
    assert rooms.ledger(read) == pytest.approx({1: 0.126 * 0.0254, 2: 0.1255 * 0.0254, 3: 0.1262 * 0.0254}, abs=GRAIN)
    rooms.kept("/R1/proof", "flats", spot="T1@25in", values="0.1261 0.1255 0.1262")
    assert rooms.ledger(read)[1] == pytest.approx(0.1261 * 0.0254, abs=GRAIN)
    assert "T1, finishing, pass 1: 70 of 70 read." in rooms.client.get("/R1/bench").text  # flats are of no strip
    assert "give 3" in rooms.refused("/R1/proof", "flats", spot="T1@25in", values="0.126 0.1255")[1]
    assert "far from" in rooms.refused("/R1/proof", "flats", spot="T1@25in", values=f"{10 * drawn} 0.1255 0.1262")[1]
    assert rooms.refused("/R1/proof", "flats", spot="T1@25in", values="thin 0.1 0.1")[0] == "values"
    rooms.kept("/R1/proof", "flats", spot="B@90in", values="0.271 0.271 0.271")  # the last of all
    assert "selected>T1, station 0 in" in rooms.client.get("/R1/proof").text


def test_bend_tests_are_kept_and_the_cane_is_told(rooms):
    page = rooms.kept("/R1/proof", "bend", drops="1/2 oz = 14 1/8 in\n1 oz = 22 5/8 in", reading="1/16 in")
    assert "The bend test is kept." in page and "The cane as measured" in page
    rooms.kept("/R1/proof", "swing", swings="30", seconds="17.6")
    said = [json.loads(one.text) for one in of_kind(rooms, "bend test")]
    assert [one["of"] for one in said] == ["drop", "rate"]
    assert (said[1]["swings"], said[1]["seconds"]) == (30, 17.6)


def test_a_bend_test_is_taken_back(rooms):
    rooms.kept("/R1/proof", "bend", drops="1/2 oz = 14 1/8 in", reading="1/16 in")
    rooms.kept("/R1/proof", "swing", swings="30", seconds="17.6")
    _, second = of_kind(rooms, "bend test")
    assert "Test 1, rod" in rooms.page("/R1/proof")
    assert rooms.refused("/R1/proof", "back", test="1", why="")[0] == "why"
    page = rooms.kept("/R1/proof", "back", test="1", why="the wrong weight")
    assert "The bend test is taken back." in page and "Test 1, rod" not in page and "Test 2, rod" in page
    assert [one.seq for one in of_kind(rooms, "bend test")] == [second.seq]


@pytest.mark.parametrize(
    ("act", "wrong", "field"),
    [
        ("bend", {"drops": "1 oz", "reading": "1/16 in"}, "drops"),
        ("bend", {"drops": "1/2 oz = 14 in", "reading": ""}, "reading"),
        ("bend", {"drops": "1 oz = far", "reading": "1/16 in"}, "drops"),
        ("bend", {"drops": "\n", "reading": "1/16 in"}, "drops"),
        ("swing", {"swings": "many", "seconds": "18.4"}, "swings"),
        ("swing", {"swings": "30", "seconds": "nan"}, "seconds"),
        ("swing", {"swings": "30", "seconds": "0"}, "seconds"),
        ("swing", {"swings": "30", "seconds": "18.4", "tip": "9"}, "tip"),
    ],
)
def test_a_test_that_cannot_be_is_refused(rooms, act, wrong, field):
    shown = {name: value for name, value in wrong.items() if name != "tip"}  # a tip that is not offered is not chosen
    if "tip" in wrong:
        assert rooms.send("/R1/proof", act, **wrong).status_code == 422
    else:
        assert rooms.refused("/R1/proof", act, **shown)[0] == field


# Settings


def test_a_rig_is_shown_and_then_noted_as_it_stands(rooms):
    before = rooms.rows()
    action, said = rooms.form("/R1/settings", "show", rig="Long form", section="T1", cut="finish")
    rooms.client.post(action, data=said)
    answer = rooms.client.post(action, data=said)  # the page loaded again shows it again
    assert answer.status_code == 200
    assert "Adjuster settings" in answer.text and "not kept yet" in answer.text
    assert rooms.rows() == before
    action, said = rooms.form("/R1/settings", "set", rig="Long form", section="T1", cut="rough", at="2 in")
    for _ in range(2):
        assert rooms.client.post(action, data=said).status_code == 303
    [docket] = of_kind(rooms, "rig settings")
    kept = json.loads(docket.text)
    assert (docket.section, kept["rough"]) == ("T1", True)
    assert kept["tip_end"] == pytest.approx(0.0508, abs=1e-4)
    assert "Adjuster settings" in rooms.page("/R1/settings")


@pytest.mark.parametrize(
    ("wrong", "field"), [({"at": "near the end"}, "at"), ({"at": "58 in"}, "at"), ({"groove": "nowhere"}, "groove")]
)
def test_a_setting_that_cannot_be_is_refused(rooms, wrong, field):
    assert rooms.refused("/R1/settings", "set", **wrong)[0] == field
    assert rooms.refused("/R1/settings", "show", **wrong)[0] == field


def test_a_gauge_is_tried(rooms):
    page = rooms.kept("/R1/settings", "try", gauge="G1", kind="CALIPER", reference="0.2500", shown="0.2502 in")
    assert "The trial is noted." in page and "Gauge checks" in page

    def checks(shop, begun):
        return gauge_checks(shop, gauges(shop)[0].id)

    [found] = rooms.ledger(checks)
    assert (found.reference.m, found.shown.m) == pytest.approx((0.00635, 0.00635508), abs=GRAIN)
    assert rooms.refused("/R1/settings", "try", reference="", shown="0.25")[0] == "reference"
    assert rooms.refused("/R1/settings", "try", reference="0.25", shown="a bit")[0] == "shown"


# The log


def test_an_event_is_put_into_the_log(rooms):
    page = rooms.kept("/R1/log", "event", kind="soak started", section="T1", ready="2126-01-01 08:00", words="cold")
    assert "It is in the log." in page and "soak started" in page.lower()

    def soaks(shop, begun):
        return events(shop, begun.revision.rod, kinds=(EventKind.SOAK_STARTED,))

    [event] = rooms.ledger(soaks)
    assert (event.entry.section, event.entry.note, event.entry.ready_at.year) == ("T1", "cold", 2126)


@pytest.mark.parametrize(
    ("wrong", "field", "words"),
    [
        ({"kind": "noted", "words": ""}, "words", "a note has words"),
        ({"kind": "strip scrapped", "section": "T1"}, "strip", "which strip"),
        ({"kind": "strip scrapped", "strip": "3"}, "strip", "a strip is one of a section"),
        ({"kind": "strip scrapped", "section": "T1", "strip": "44"}, "strip", "not a strip 44"),
        ({"kind": "noted", "words": "x", "ready": "2126-01-01 08:00"}, "ready", "waited for"),
        ({"kind": "soak started", "ready": "2020-01-01 08:00"}, "ready", "before it begins"),
    ],
)
def test_an_event_that_cannot_be_is_refused(rooms, wrong, field, words):
    at, said = rooms.refused("/R1/log", "event", **wrong)
    assert at == field
    assert words.lower() in said.lower()


BENT = {
    "of": "T1/S2",
    "height": "0.0625",
    "apex": "60 deg",
    "span": "10 in",
    "drops": "1/8 oz = 0.36 in\n1/4 oz = 0.72 in",
    "reading": "1/64 in",
}


def test_a_strip_bent_by_itself_is_kept_with_its_name(rooms):
    """A strip lying on two supports, by hand: E = P L^3/(48 I d), I = 2 h tan(30 deg) h^3/36, in inches."""
    page = rooms.kept("/R1/proof", "strip", **BENT)
    assert "The bend test is kept." in page and "one strip of a section does not tell" in page.lower()
    [docket] = of_kind(rooms, "bend test")
    assert (docket.section, docket.strip) == ("T1", 2)
    told = json.loads(docket.text)
    assert told["strip"] == ["T1", 2] and told["held"] == "BOTH_ENDS"
    inertia = 2 * 0.0625**4 * tan(radians(30)) / 36
    psi = 0.25 / 16 * 10**3 / (48 * inertia * 0.72)
    assert f"T1/S2, strip 0.0625 in high, 60 deg: {psi / 1e6:.2f} Mpsi" in page
    rooms.kept("/R1/proof", "strip", **{**BENT, "of": "T1/S4", "drops": "1/8 oz = 0.34 in\n1/4 oz = 0.68 in"})
    page = rooms.page("/R1/proof")
    assert "The cane, strip by strip" in page and "mean of the strips tested of T1" in page
    assert "bend test 1" in page


@pytest.mark.parametrize(
    ("wrong", "field", "words"),
    [
        ({"height": ""}, "height", "has a height"),
        ({"span": "0 in"}, "span", "has a span"),
        ({"apex": "sharp"}, "apex", "cannot be read as an angle"),
        ({"drops": "1/8 oz"}, "drops", "has no two sides"),
        ({"drops": "1/8 oz = 0.36 in"}, "drops", "different weights"),
        ({"reading": ""}, "reading", "how finely"),
    ],
)
def test_a_strip_that_cannot_be_bent_so_is_refused(rooms, wrong, field, words):
    at, said = rooms.refused("/R1/proof", "strip", **{**BENT, **wrong})
    assert at == field
    assert words in said

"""The messages of the bench page: kept once, asked about in words, never over another hand's reading unseen."""

from __future__ import annotations

import re
import shutil
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path

import pytest
from fastapi.testclient import TestClient

from culmwright.ledger.readings import current
from culmwright.ledger.shop import create_shop, open_shop
from culmwright.ledger.tables import READING
from culmwright.workshop.opening import begin, find
from culmwright.workshop.reading import read
from culmwright.workshop.starting import rod_text

API = "/api/rods/R1.1"


@pytest.fixture(scope="module")
def begun_file(tmp_path_factory):
    folder = tmp_path_factory.mktemp("begun")
    (folder / "rod.toml").write_text(rod_text("thrimble-beck"))
    with create_shop(folder / "shop.sqlite") as shop:
        begin(shop, str(folder / "rod.toml"))
    return folder / "shop.sqlite"


@pytest.fixture
def file(begun_file, tmp_path):
    return Path(shutil.copy(begun_file, tmp_path))


@pytest.fixture
def client(file, over):
    with TestClient(over(file), base_url="http://127.0.0.1", raise_server_exceptions=False) as opened:
        token = re.search(r'name="token" content="([^"]+)"', opened.get("/").text)[1]
        opened.headers["x-culmwright-token"] = token
        opened.token = token
        yield opened


def message(number=0, spot="T1/S1@0in", typed="0.3900", **more):
    """A reading on target: V block zero 0.2565 in + rough height 0.1335 in, as the walk shows it."""
    base = {"id": f"message-{number:016d}", "at": f"2026-03-01T09:{number // 60:02d}:{number % 60:02d}Z", "spot": spot}
    return base | {"stage": "rough", "cut": 1, "typed": typed, "unit": "in"} | more


def kept(file):
    with open_shop(file, write=False) as shop:
        return current(shop, find(shop, "R1").revision.id)


def rows(file):
    with open_shop(file, write=False) as shop, shop.reading() as connection:
        return len(connection.execute(READING.select()).all())


def test_a_message_sent_again_is_kept_once_and_answered_alike(client, file):
    first = client.post(f"{API}/readings", json=message())
    assert (first.status_code, first.json()["said"]) == (200, "kept")
    for _ in range(4):
        assert client.post(f"{API}/readings", json=message()).json() == first.json()
    assert rows(file) == 1
    other = client.post(f"{API}/readings", json=message(typed="0.3910"))
    assert other.status_code == 409
    assert other.headers["content-type"] == "application/problem+json"
    assert rows(file) == 1


def test_the_same_message_from_many_threads_is_one_row(client, file):
    with ThreadPoolExecutor(8) as pool:
        answers = list(pool.map(lambda _: client.post(f"{API}/readings", json=message()), range(24)))
    assert {one.status_code for one in answers} == {200}
    assert len({one.text for one in answers}) == 1
    assert rows(file) == 1


def test_the_page_and_the_terminal_say_the_same_and_keep_the_same(client, file):
    """One path: readings on size, over, under, far off and in another unit, by message and by a session."""
    with open_shop(file) as shop:
        session = read(shop, find(shop, "R1"))
        for number, off in enumerate((0.0, 0.0012, 0.0071, -0.006, -0.012, -0.05, 0.3)):
            spot = str(session.armed.spot)
            typed = f"{session.armed.aim.reading / 0.0254 + off:.4f}"
            by_page = client.post(f"{API}/readings", json=message(number, spot, typed)).json()
            if by_page["said"] == "kept":
                client.post(
                    f"{API}/undone",
                    json={"id": f"undo-{number:016d}", "at": "2026-03-01T09:59:59Z", "entry": by_page["id"]},
                )
            answer = session.take(typed, number * 5.0)
            assert (by_page["said"], by_page["words"]) == (answer.said.value, answer.words)
            if answer.said.value == "held":
                session.keep("so it is", number * 5.0)


def test_what_is_held_is_not_kept_before_it_is_answered(client, file):
    asked = client.post(f"{API}/readings", json=message(typed="9.9060")).json()
    assert asked["said"] == "held" and "millimetres on an inch gauge" in asked["words"] and asked["doubt"]
    assert rows(file) == 0
    assert client.post(f"{API}/readings", json=message(typed="9.9060", confirmed=True)).json()["said"] == "held"
    done = client.post(f"{API}/readings", json=message(typed="9.9060", confirmed=True, why="so it is")).json()
    assert done["said"] == "kept"
    (one,) = kept(file)
    assert (one.entry.value.text, one.entry.value.unit, one.entry.why) == ("9.9060", "in", "so it is")


def test_a_double_press_is_told_by_the_tablets_clock(client, file):
    client.post(f"{API}/readings", json=message(1) | {"at": "2026-03-01T09:00:00.000Z"})
    again = message(2, "T1/S2@0in") | {"at": "2026-03-01T09:00:00.600Z"}
    assert "came twice within 0.7 s" in client.post(f"{API}/readings", json=again).json()["words"]
    later = message(3, "T1/S2@0in") | {"at": "2026-03-01T09:00:00.800Z"}
    assert client.post(f"{API}/readings", json=later).json()["said"] == "kept"


def test_another_hands_reading_is_shown_and_superseded_only_when_seen(client, file):
    first = client.post(f"{API}/readings", json=message(1)).json()
    stale = client.post(f"{API}/readings", json=message(2, typed="0.3912"))
    assert stale.status_code == 409
    said = stale.json()
    assert ("0.3900" in said["theirs"], "0.3912" in said["yours"], said["entry"]) == (True, True, first["id"])
    seen = client.post(f"{API}/readings", json=message(2, typed="0.3912", seen=first["id"])).json()
    assert seen["said"] == "kept"
    (one,) = kept(file)
    assert (one.entry.value.text, one.entry.why) == ("0.3912", "read again")
    assert rows(file) == 2
    undone = {"id": "undo" * 5, "at": "2026-03-01T09:30:00Z", "entry": seen["id"]}
    assert client.post(f"{API}/undone", json=undone).json() == client.post(f"{API}/undone", json=undone).json()
    assert kept(file)[0].entry.value.text == "0.3900"  # what it had replaced stands again
    assert rows(file) == 3


def test_an_undo_of_what_was_never_kept_takes_nothing_back(client, file):
    undone = {"id": "undo" * 5, "at": "2026-03-01T09:30:00Z", "entry": "never-kept-" * 2}
    assert "nothing to take back" in client.post(f"{API}/undone", json=undone).json()["words"]
    assert rows(file) == 0


def test_skips_and_rounds(client, file):
    cell = {name: value for name, value in message(1).items() if name not in ("typed", "unit")}
    assert client.post(f"{API}/skips", json=cell).status_code == 422
    answers = [client.post(f"{API}/skips", json=cell | {"why": "a node"}) for _ in range(2)]
    assert answers[0].json() == answers[1].json() and answers[0].json()["said"] == "moved"
    round_ = {
        "id": "round" * 4,
        "at": "2026-03-01T09:00:00Z",
        "stage": "rough",
        "cut": 1,
        "section": "T1",
        "depth": "8 thou",
        "unit": "in",
    }
    answers = [client.post(f"{API}/rounds", json=round_) for _ in range(2)]
    assert answers[0].json() == answers[1].json()
    assert "a round of 8.0 thou over every strip of T1" in answers[0].json()["words"]
    assert client.post(f"{API}/rounds", json=round_ | {"id": "other" * 4, "depth": "8"}).status_code == 422
    assert client.post(f"{API}/rounds", json=round_ | {"id": "other" * 4, "strip": 9}).status_code == 422
    assert client.post(f"{API}/rounds", json=round_ | {"depth": "9 thou"}).status_code == 409


@pytest.mark.parametrize(
    "wrong",
    [
        {"id": "short"},
        {"at": "2026-03-01T09:00:00"},
        {"at": 1772355600},
        {"at": "0001-01-01T00:00:00+14:00"},
        {"spot": "T1"},
        {"spot": "T9/S1@0in"},
        {"spot": "T1/S1@1in"},
        {"stage": "glued"},
        {"cut": 0},
        {"cut": "1"},
        {"cut": True},
        {"typed": ""},
        {"typed": "six"},
        {"typed": "6,5,4"},
        {"typed": "9" * 65},
        {"typed": "1" * 60, "confirmed": True, "why": "so it is"},
        {"unit": "ft"},
        {"confirmed": 1},
        {"gauge": 99},
        {"person": 99},
        {"seen": "x"},
        {"more": 1},
    ],
    ids=str,
)
def test_what_cannot_be_kept_is_refused_in_one_shape(client, file, wrong):
    answer = client.post(f"{API}/readings", json=message() | wrong)
    assert answer.status_code in (409, 422)
    assert answer.headers["content-type"] == "application/problem+json"
    assert answer.json()["title"] and answer.json()["status"] == answer.status_code
    assert rows(file) == 0


def test_recent_answers_304_until_something_is_kept(client, file):
    asked = f"{API}/recent?stage=rough&cut=1&section=T1"
    first = client.get(asked)
    assert first.json()["counted"] == []
    tag = {"if-none-match": first.headers["etag"]}
    assert client.get(asked, headers=tag).status_code == 304
    client.post(f"{API}/readings", json=message())
    second = client.get(asked, headers=tag)
    assert second.status_code == 200
    assert [one["spot"] for one in second.json()["counted"]] == ["T1/S1@0in"]
    assert client.get(f"{API}/recent?stage=rough&cut=2&section=T1").json()["counted"] == []


def test_a_walk_tells_what_the_gauge_should_show(client):
    """Block zero 0.2565 in and rough height 0.1335 in: 0.070/2 - 0.002 + 0.001 - 0.0005 + 0.100 (the rod file)."""
    walk = client.get(f"{API}/walk?stage=rough&section=T1&strips=1,2&inner=station&backward=true").json()
    assert len(walk["cells"]) == 20
    assert (walk["cells"][0]["spot"], walk["cells"][-1]["spot"]) == ("T1/S2@45in", "T1/S1@0in")
    assert walk["cells"][-1]["shown"] == "0.3900"
    assert walk["cells"][-1]["aim"] == pytest.approx(0.3900 * 25_400_000)


def test_a_walk_is_begun_by_a_form_and_a_gauge_keeps_its_unit(client, file):
    form = {"token": client.token, "stage": "finish", "section": ["T1", "B"], "strip": ["2", "3"], "gauge": "new"}
    assert client.post("/R1/bench", data=form, follow_redirects=False).status_code == 422  # no name
    form |= {"gauge_name": "G2"}
    assert client.post("/R1/bench", data=form, follow_redirects=False).status_code == 422  # what it shows was not said
    form |= {"inner": "station", "backward": "true", "person": "Ann"}
    back = client.post("/R1/bench", data=form).text  # as it was filled in, with what is missing beside its field
    assert "What the gauge shows was not said. Choose inches or millimetres." in back and 'id="unit-fault"' in back
    for kept in ("finish", "T1", "B", "2", "3", "station", "new"):
        assert f'value="{kept}" checked' in back, kept
    assert 'value="G2"' in back and 'value="Ann"' in back and 'value="true" checked' in back
    assert 'value="1" checked' not in back and 'value="rough" checked' not in back
    form = {name: value for name, value in form.items() if name not in ("inner", "backward")}
    assert "not the number of a pass" in client.post("/R1/bench", data=form | {"unit": "mm", "cut": "two"}).text
    begun = client.post("/R1/bench", data=form | {"unit": "mm", "person": "Ann"}, follow_redirects=False)
    assert begun.status_code == 303
    address = begun.headers["location"]
    assert address.startswith("/R1.1/bench/read?stage=finish&section=T1&section=B&strips=2%2C3")
    assert "G2, shows millimetres" in client.get(address).text
    known = client.post("/R1/bench", data=form | {"gauge": "1"}, follow_redirects=False)  # it is known what it shows
    assert known.status_code == 303 and "G2, shows millimetres" in client.get(known.headers["location"]).text
    assert "G2, and it shows millimetres now" in client.get("/R1/bench").text
    assert client.post("/R1/bench", data=form | {"gauge": ""}, follow_redirects=False).status_code == 422
    again = client.post("/R1/bench", data=form | {"gauge": "1", "unit": "in"}, follow_redirects=False)
    assert again.status_code == 422
    assert "gauge G2 was declared to show mm, and shows in now" in again.text[0].lower() + again.text[1:].replace(
        "Gauge G2", "gauge G2"
    )


def test_words_typed_at_the_bench_stay_words(client, file):
    hostile = "</script><script>alert(1)</script>"
    form = {
        "token": client.token,
        "gauge": "new",
        "gauge_name": hostile[:60],
        "unit": "in",
        "person": hostile[:60],
        "section": "T1",
    }
    address = client.post("/R1/bench", data=form, follow_redirects=False).headers["location"]
    client.post(f"{API}/readings", json=message(typed="0.5300", confirmed=True, why=hostile, person=1, gauge=1))
    for page in (address, "/R1/bench", f"{address}&said={hostile}"):
        assert "<script>alert" not in client.get(page).text


def test_a_page_without_a_token_changes_nothing(client, file):
    del client.headers["x-culmwright-token"]
    assert client.post(f"{API}/readings", json=message()).status_code == 403
    assert (
        client.post(
            "/R1/bench/read?stage=rough", data={"id": "a" * 20, "cut": 1, "spot": "T1/S1@0in", "typed": "0.39"}
        ).status_code
        == 403
    )
    assert rows(file) == 0


def test_a_tablet_whose_clock_has_stopped_can_still_read(client, file):
    """A clock without a battery begins at 1970; what counts is the order kept, never the time told."""
    answer = client.post(f"{API}/readings", json=message(at="1970-01-01T00:00:05.000Z"))
    assert answer.status_code == 200, answer.text
    assert [one.entry.at.year for one in kept(file)] == [1970]


def test_what_was_read_to_another_drawing_is_kept_nowhere(client, file):
    drawing = client.get(f"{API}/walk").json()["drawing"]
    for name, more in (("readings", {}), ("skips", {"why": "torn"})):
        body = message() | more | {"drawing": "0" * 64}
        if name == "skips":
            body = {key: value for key, value in body.items() if key not in ("typed", "unit")}
        answer = client.post(f"{API}/{name}", json=body)
        assert answer.status_code == 409
        assert "another drawing" in answer.json()["title"]
    assert rows(file) == 0
    assert client.post(f"{API}/readings", json=message(drawing=drawing)).json()["said"] == "kept"


def test_recent_is_told_anew_once_a_backup_is_put_back(client, file):
    """The newest place in the sequence may be the same again while other rows stand there."""
    from culmwright.workshop import guarding

    asked = f"{API}/recent?stage=rough&cut=1&section=T1"
    copy = guarding.backup(file).path
    client.post(f"{API}/readings", json=message())
    first = client.get(asked)
    with client.app.state.desk.alone():
        guarding.restore(copy, file)
    client.post(f"{API}/readings", json=message(1, "T1/S2@0in"))
    second = client.get(asked, headers={"if-none-match": first.headers["etag"]})
    assert second.status_code == 200
    assert second.json()["seq"] == first.json()["seq"]
    assert [one["spot"] for one in second.json()["counted"]] == ["T1/S2@0in"]


def test_recent_is_told_anew_once_another_program_puts_a_backup_back(client, file):
    """It writes over the open file where it stands: only the rows tell that it is not the shop of before."""
    from culmwright.workshop import guarding

    asked = f"{API}/recent?stage=rough&cut=1&section=T1"
    copy = guarding.backup(file).path
    client.post(f"{API}/readings", json=message())
    first = client.get(asked)
    guarding.restore(copy, file)
    back = client.get(asked, headers={"if-none-match": first.headers["etag"]})
    assert (back.status_code, back.json()["counted"]) == (200, [])
    assert back.headers["etag"].split("-")[0] != first.headers["etag"].split("-")[0]  # a page goes back in the sequence
    client.post(f"{API}/readings", json=message(1, "T1/S2@0in"))
    second = client.get(asked, headers={"if-none-match": first.headers["etag"]})
    assert (second.status_code, second.json()["seq"]) == (200, first.json()["seq"])
    assert [one["spot"] for one in second.json()["counted"]] == ["T1/S2@0in"]
    assert client.get(asked, headers={"if-none-match": second.headers["etag"]}).status_code == 304


@pytest.mark.parametrize("harm", ["away", "empty", "junk", "damaged"])
def test_while_the_shops_file_is_not_to_be_had_a_reading_waits(client, file, harm):
    """503: the tablet keeps it and sends it again; a stick that was pulled out is no reason to ask anybody anything."""
    client.app.state.desk.close()
    whole = file.read_bytes()
    file.rename(file.with_suffix(".away"))
    if harm == "damaged":
        file.write_bytes(whole[:-8192] + b"\xff" * 8192)
    elif harm != "away":
        file.write_bytes(b"" if harm == "empty" else b"no shop" * 1000)
    answer = client.post(f"{API}/readings", json=message())
    assert answer.status_code == 503
    assert answer.headers["content-type"] == "application/problem+json"
    client.app.state.desk.close()
    file.unlink(missing_ok=True)
    file.with_suffix(".away").rename(file)
    assert client.post(f"{API}/readings", json=message()).json()["said"] == "kept"

"""A slip along a strip is asked about once, at a terminal and behind a page, and what waits is not lost unsaid."""

from __future__ import annotations

import re
from datetime import UTC, datetime, timedelta

import pytest

from culmwright.ledger.readings import current
from culmwright.ledger.records import new_id
from culmwright.measure.spot import Spot
from culmwright.workshop.atbench import HELD, KEPT, Sent, Where, take
from culmwright.workshop.reading import Inner, Order, Stage, read
from culmwright.workshop.session import Said

ABOUT_100 = r"(99\.9|100\.[01]) thou more than goes with 0\.\d{4} in at station 5 of this strip"
"""To the tenth of a thou that the gauge rounds to."""
EIGHT = datetime(2026, 11, 25, 8, tzinfo=UTC)


def shown(session, over=0.0):
    """What the gauge shows at the armed cell with a strip ``over`` [thou] its target."""
    return f"{session.armed.aim.reading / 0.0254 + over / 1000:.4f}"


def kept(shop, begun):
    return {str(one.entry.cell.spot): (one.entry.value.text, one.entry.why) for one in current(shop, begun.revision.id)}


@pytest.fixture(params=[Stage.FINISH, Stage.ROUGH], ids=lambda stage: stage.value)
def session(request, shop, begun):
    """A session with the first two stations of a strip read on size."""
    opened = read(shop, begun, request.param, ("T1",), (1, 2))
    for clock in (0.0, 10.0):
        assert opened.take(shown(opened), clock).said is Said.KEPT
    return opened


def test_a_slip_is_asked_about_and_kept_with_one_key(session, shop, begun):
    typed = shown(session, 100)
    asked = session.take(typed, 20.0)
    assert asked.said is Said.HELD
    assert re.search(ABOUT_100, asked.words)
    assert len(kept(shop, begun)) == 2
    assert session.keep("", 21.0).said is Said.KEPT  # over size needs no reason
    assert kept(shop, begun)["T1/S1@10in"] == (typed, None)
    assert session.take(shown(session), 30.0).said is Said.KEPT  # its neighbour is not asked about


def test_read_again_it_is_not_asked_about_twice(session, shop, begun):
    typed = shown(session, 100)
    session.take(typed, 20.0)
    assert session.take(typed, 20.5).said is Said.HELD  # the gauge pressed twice is no second reading
    answer = session.take(shown(session, 100.9), 23.0)
    assert answer.said is Said.KEPT and "let go" not in answer.words
    assert kept(shop, begun)["T1/S1@10in"] == (shown_at(session, "T1/S1@10in", 100.9), "read twice, it is so")


def shown_at(session, spot, over):
    place = next(one for one in session.walk.cells if one.spot == Spot.parse(spot))
    return f"{session.aims[place].reading / 0.0254 + over / 1000:.4f}"


def test_another_value_in_its_place_is_kept_and_what_waited_is_named(session, shop, begun):
    typed, right = shown(session, 100), shown(session)
    session.take(typed, 20.0)
    answer = session.take(right, 23.0)
    assert answer.said is Said.KEPT
    assert answer.words.endswith(f". {float(typed):g} in, asked about before, was let go")
    assert kept(shop, begun)["T1/S1@10in"] == (right, None)


def test_a_third_value_is_asked_about_for_itself(session):
    session.take(shown(session, 100), 20.0)
    asked = session.take(shown(session, 70), 23.0)
    assert asked.said is Said.HELD
    assert "asked about before, was let go. " in asked.words and re.search(r"(69.9|70.[01]) thou more", asked.words)


def test_what_is_no_reading_leaves_the_question_standing(session):
    session.take(shown(session, 100), 20.0)
    with pytest.raises(Exception, match="cannot be read as a reading"):
        session.take("0.1x30", 21.0)
    assert session.keep("", 22.0).said is Said.KEPT


def test_another_strip_or_pass_is_no_neighbour(session, shop, begun):
    for clock in range(8):
        session.take(shown(session), 100.0 + 10 * clock)
    assert str(session.armed.spot) == "T1/S2@0in"
    assert session.take(shown(session, 100), 200.0).said is Said.KEPT  # nothing of this strip to go by
    again = read(shop, begun, session.task.stage, ("T1",), (1,), cut=2)
    assert again.take(shown(again, 100), 0.0).said is Said.KEPT


def test_station_by_station_a_strip_is_weighed_against_itself(shop, begun):
    session = read(shop, begun, Stage.FINISH, ("T1",), (1, 2), order=Order(Inner.STRIPS))
    for clock, over in enumerate((0, 50, 0)):
        assert session.take(shown(session, over), 10.0 * clock).said is Said.KEPT
    assert session.take(shown(session, 50), 30.0).said is Said.KEPT  # strip 2 is 50 over all along
    assert session.take(shown(session, 50), 40.0).said is Said.HELD  # strip 1 is not


def test_exchanged_readings_are_asked_about_with_the_second(shop, begun):
    """5 in of this tip rise by more than 3 thou: typed each in the other's place, 5 thou over all along."""
    session = read(shop, begun, Stage.FINISH, ("T1",), (1,), start=Spot.parse("T1/S1@20in"))
    session.take(shown(session, 5), 0.0)
    first, second = shown_at(session, "T1/S1@25in", 5), shown_at(session, "T1/S1@30in", 5)
    assert session.take(second, 10.0).said is Said.KEPT
    asked = session.take(first, 20.0)
    assert asked.said is Said.HELD and "look exchanged" in asked.words
    assert asked.words.endswith("read both again?")  # read again alone, this one would leave the other wrong


def test_behind_a_page_the_same_is_asked_and_the_answer_is_kept(shop, begun):
    session = read(shop, begun, Stage.FINISH, ("T1",), (1, 2))

    def sent(spot, over, at, cut=1, **more):
        typed = shown_at(session, spot, over)
        where = Where(spot, Stage.FINISH, cut)
        return take(shop, "R1", Sent(new_id(), where, typed, "in", EIGHT + timedelta(seconds=at), **more))

    assert sent("T1/S1@5in", 0, 0).said == KEPT
    asked = sent("T1/S1@10in", 100, 10)
    assert (asked.said, asked.doubt) == (HELD, False)
    assert re.search(ABOUT_100, asked.words)
    assert sent("T1/S1@10in", 100, 12, confirmed=True).said == KEPT
    assert sent("T1/S2@10in", 100, 20).said == KEPT
    assert sent("T1/S1@15in", 0, 30).said == KEPT
    assert sent("T1/S1@20in", 50, 35).said == HELD
    assert sent("T1/S1@20in", 50, 36, cut=2).said == KEPT  # the first after another pass
    under = sent("T1/S1@20in", -20, 40)
    assert under.said == HELD and under.doubt and "stop, no pass can put cane back" in under.words

"""Rods and their frozen revisions, strips, culms, gauges, rigs, people, and a rod's story."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta

import pytest

from culmwright.ledger.faults import Conflict
from culmwright.ledger.frozen import freeze, frozen_as, revisions, rods
from culmwright.ledger.happenings import add_event, add_pass, events, log, passes
from culmwright.ledger.readings import append
from culmwright.ledger.records import (
    Cell,
    Entry,
    EventEntry,
    EventKind,
    PassEntry,
    Reading,
    Standing,
    State,
    new_id,
    now,
)
from culmwright.ledger.register import (
    add_culm,
    add_gauge,
    add_gauge_check,
    add_rig,
    add_strip,
    culms,
    gauge_checks,
    gauges,
    person_named,
    rigs,
    strips,
)
from culmwright.measure.errors import BadInput
from culmwright.measure.lengths import Length

NOON = datetime(2026, 3, 1, 12, tzinfo=UTC)


def test_rods_are_numbered_and_their_revisions_frozen(shop):
    first = freeze(shop, "Quillet Water", "text", "a" * 64, plan="{}")
    other = freeze(shop, "Ash Beck", "text", "a" * 64)
    assert (first.code, first.revision, other.code, other.revision) == ("R1", 1, "R2", 1)
    redrawn = freeze(shop, "Quillet Water", "text 2", "b" * 64, rod=1)
    back = freeze(shop, "Quillet Water", "text", "a" * 64, rod=1)  # drawn back: a third revision, not the first again
    assert [one.revision for one in revisions(shop, 1)] == [1, 2, 3]
    assert revisions(shop, 1)[0] == first
    assert rods(shop) == (back, other)
    assert frozen_as(shop, "b" * 64) == (redrawn,)
    assert [event.entry.rod_revision for event in events(shop, 1)] == [first.id, redrawn.id, back.id]


def test_freezing_the_same_drawing_again_changes_nothing(shop):
    first = freeze(shop, "Quillet Water", "text", "a" * 64)
    assert freeze(shop, "Quillet Water", "text # with a remark", "a" * 64, rod=1) == first
    assert len(events(shop)) == 1


def test_a_rod_that_is_not_there(shop):
    for ask in (lambda: revisions(shop, 9), lambda: freeze(shop, "x", "t", "a" * 64, rod=9)):
        with pytest.raises(BadInput, match="there is no rod R9 in this shop"):
            ask()


@pytest.mark.parametrize("digest", ["A" * 64, "a" * 63, "g" * 64])
def test_a_digest_is_64_hexadecimal_digits(shop, digest):
    with pytest.raises(Conflict, match="does not take this row"):
        freeze(shop, "Quillet Water", "text", digest)
    assert rods(shop) == ()


def test_a_person_is_entered_once(shop):
    assert person_named(shop, " Ann  Example ") == person_named(shop, "Ann Example")
    with pytest.raises(BadInput, match="a person needs a name"):
        person_named(shop, "  ")


def test_a_strip_knows_its_culm_and_can_be_given_to_another_rod(shop):
    for name in ("Quillet Water", "Ash Beck"):
        freeze(shop, name, "text", "a" * 64)
    culm = add_culm(shop, "C1", diameter=Length.parse("2 1/8 in"))
    strip = add_strip(shop, "R1-T1-S1", 1, "T1", 1, culm=culm.id, place=4)
    assert add_strip(shop, "R1-T1-S1", 1, "T1", 1, culm=culm.id, place=4) == strip
    with pytest.raises(Conflict, match="there is a strip R1-T1-S1 already"):
        add_strip(shop, "R1-T1-S1", 1, "T1", 2)
    moved = add_strip(shop, "R1-T1-S1", 2, "T1", 1, culm=culm.id, place=4, supersedes=strip.id, why="too small")
    assert (strips(shop, 1), strips(shop, 2)) == ((), (moved,))
    with pytest.raises(Conflict, match="is not in use any more"):
        add_strip(shop, "R1-T1-S1", 2, "T1", 2, supersedes=strip.id, why="too small")


def test_the_number_of_a_strip_is_never_given_twice(shop):
    freeze(shop, "Quillet Water", "text", "a" * 64)
    strip = add_strip(shop, "one", 1, "T1", 1)
    add_strip(shop, "one", 1, "T1", 2, supersedes=strip.id, why="renumbered")
    with pytest.raises(Conflict, match="strip 1 of T1 is, or was, the strip one"):
        add_strip(shop, "two", 1, "T1", 1)


def test_a_place_around_a_culm_needs_the_culm(shop):
    freeze(shop, "Quillet Water", "text", "a" * 64)
    with pytest.raises(Conflict, match="does not take this row"):
        add_strip(shop, "one", 1, "T1", 1, place=3)


def test_a_gauge_that_is_switched_is_another_gauge(shop):
    dial = add_gauge(shop, "dial", "in", resolution=Length.parse("0.0005 in"))
    with pytest.raises(Conflict, match="there is a gauge dial already"):
        add_gauge(shop, "dial", "mm")
    with pytest.raises(BadInput, match="superseding a gauge needs a reason"):
        add_gauge(shop, "dial", "mm", supersedes=dial.id)
    switched = add_gauge(shop, "dial", "mm", supersedes=dial.id, why="the button was pressed")
    assert gauges(shop) == (switched,)
    with pytest.raises(BadInput, match='"furlong" is not a unit'):
        add_gauge(shop, "other", "furlong")


def test_a_gauge_is_tried_on_a_reference(shop):
    dial = add_gauge(shop, "dial", "in")
    check = add_gauge_check(shop, dial.id, Length.parse("1/4 in"), Length.parse("0.2501 in"))
    assert gauge_checks(shop, dial.id) == (check,)


def test_culms_and_rigs_come_back_as_they_were_entered(shop):
    culm = add_culm(shop, "C1", diameter=Length.parse("54,2 mm"), length=Length.parse("12 ft"), note="=straight")
    rig = add_rig(shop, "bed", "bed", "adjusters = 13\n")
    assert (culms(shop), rigs(shop)) == ((culm,), (rig,))


def test_events_in_order_and_corrected(shop, revision):
    soak = EventEntry(new_id(), EventKind.SOAK_STARTED, NOON, revision.id, "T1", ready_at=NOON + timedelta(days=3))
    started = add_event(shop, soak)
    assert add_event(shop, soak) == started
    ended = add_event(shop, EventEntry(new_id(), EventKind.SOAK_ENDED, NOON, revision.id, "T1"))
    undo = EventEntry(
        new_id(),
        EventKind.SOAK_ENDED,
        NOON,
        revision.id,
        "T1",
        state=State.WITHDRAWN,
        supersedes=ended.seq,
        why="early",
    )
    add_event(shop, undo)
    assert events(shop, 1, kinds=(EventKind.SOAK_STARTED, EventKind.SOAK_ENDED)) == (started,)
    assert events(shop, 2) == ()


def test_passes_of_a_section(shop, revision):
    made = add_pass(shop, PassEntry(new_id(), revision.id, "T1", "rough", 1, True, NOON, depth=Length.parse("10 thou")))
    add_pass(shop, PassEntry(new_id(), revision.id, "B", "rough", 1, True, NOON))
    assert passes(shop, revision.id, section="T1") == (made,)
    assert len(passes(shop, revision.id)) == 2


def test_the_log_is_the_whole_story_in_sequence(shop, revision):
    cell = Cell(revision.id, "T1", Length.parse("25 in"), "rough", 1, 3)
    soaked = add_event(shop, EventEntry(new_id(), EventKind.SOAK_STARTED, NOON, revision.id))
    first = append(shop, Entry.measured(cell, Length.parse("0.362 in"), wet=True, at=NOON))
    made = add_pass(shop, PassEntry(new_id(), revision.id, "T1", "rough", 2, True, NOON - timedelta(hours=1)))
    second = append(shop, first.again(Length.parse("0.360 in"), "slipped"))
    undo = append(shop, second.withdrawn("it had not"))
    other = append(shop, Entry.measured(Cell(revision.id, "T1", cell.station, "rough", 1, 4), cell.station, wet=True))
    lines = log(shop, 1)
    assert [line.record for line in lines][1:] == [soaked, first, made, second, undo, other]
    assert [line.standing for line in lines if isinstance(line.record, Reading)] == [
        Standing.CURRENT,
        Standing.WITHDRAWN,
        Standing.WITHDRAWN,
        Standing.CURRENT,
    ]
    assert [line.record for line in log(shop, 1, section="T1", strip=3)][1:] == [soaked, first, made, second, undo]
    assert [line.record for line in log(shop, 1, section="B")][1:] == [soaked]
    assert log(shop, 2) == ()


def test_the_sequence_runs_over_readings_passes_events_and_dockets(full_shop):
    told = [line.record.seq for rod in (1, 2) for line in log(full_shop, rod)]
    with full_shop.reading() as connection:
        dockets = [seq for (seq,) in connection.exec_driver_sql("SELECT seq FROM docket")]
    assert len(dockets) == 4
    assert sorted(told + dockets) == list(range(1, len(told) + len(dockets) + 1))


def test_a_fresh_id_will_do_and_the_clock_has_a_zone():
    assert len({new_id() for _ in range(100)}) == 100
    assert now().tzinfo is UTC

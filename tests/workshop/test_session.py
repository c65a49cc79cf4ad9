"""A session at the bench: one input a reading, nothing lost, nothing doubled, nothing kept without a word."""

from __future__ import annotations

from datetime import UTC, datetime

import pytest

from culmwright.ledger.happenings import passes
from culmwright.ledger.readings import current
from culmwright.ledger.shop import open_shop
from culmwright.ledger.tables import READING
from culmwright.measure.errors import BadInput
from culmwright.measure.spot import Spot
from culmwright.workshop.atbench import log_round
from culmwright.workshop.noting import walked
from culmwright.workshop.opening import begin, find
from culmwright.workshop.reading import Inner, Order, Stage, read
from culmwright.workshop.session import Said
from culmwright.workshop.telling import log


def on_target(session):
    """What the gauge shows for a strip exactly on size, to the ten-thousandth of an inch."""
    return f"{session.armed.aim.reading / 0.0254:.4f}"


def rows(shop):
    with shop.reading() as connection:
        return len(connection.execute(READING.select()).all())


def kept(shop, begun):
    return {str(one.entry.cell.spot): one.entry.value.text for one in current(shop, begun.revision.id)}


def test_sixty_readings_cost_sixty_inputs(shop, begun):
    session = read(shop, begun, Stage.FINISH, ("T1",), (1, 2, 3, 4, 5, 6))
    inputs = 0
    while session.armed is not None:
        assert session.take(on_target(session), clock=inputs * 5.0).said is Said.KEPT
        inputs += 1
    assert inputs == 60
    assert len(kept(shop, begun)) == 60


def test_a_reading_is_in_the_file_when_the_answer_comes(shop, begun):
    session = read(shop, begun)
    typed = on_target(session)
    answer = session.take(typed, 0.0)
    with open_shop(shop.file, write=False) as other:
        (one,) = current(other, begun.revision.id)
    assert one.seq == answer.reading.seq
    assert one.entry.value.text == typed


def test_the_verdict_comes_in_words(shop, begun):
    session = read(shop, begun, Stage.FINISH, start=Spot.parse("T1/S1@25in"))
    over = session.armed.aim.reading + 1.2 * 25.4e-6
    answer = session.take(f"{over / 0.0254:.4f}", 0.0)
    assert answer.words == "1.2 thou over at station 25: one pair of passes of 0.6"
    assert session.armed.place.station.m == pytest.approx(30 * 0.0254)


def test_a_unit_mixed_up_is_asked_about_and_never_converted(shop, begun):
    session = read(shop, begun)
    wanted = session.armed.aim.reading
    answer = session.take(f"{wanted * 1000:.2f}", 0.0)
    assert answer.said is Said.HELD
    assert "That looks like millimetres on an inch gauge" in answer.words
    assert rows(shop) == 0
    assert session.take(f"{wanted * 1000:.2f} mm", 1.0).said is Said.KEPT
    (one,) = current(shop, begun.revision.id)
    assert one.entry.value.unit == "mm"


def test_a_double_press_is_held_and_kept_only_when_told(shop, begun):
    session = read(shop, begun, Stage.FINISH, ("B",), start=Spot.parse("B/S1@80in"))
    typed = on_target(session)
    session.take(typed, 10.0)
    assert session.take(typed, 10.5).said is Said.HELD
    assert rows(shop) == 1
    assert session.keep("", 11.0).said is Said.KEPT
    assert rows(shop) == 2


def test_out_of_tolerance_is_kept_with_a_reason(shop, begun):
    session = read(shop, begun, Stage.FINISH)
    low = session.armed.aim.reading - 3 * 25.4e-6
    answer = session.take(f"{low / 0.0254:.4f}", 0.0)
    assert answer.said is Said.HELD
    assert "stop, no pass can put cane back" in answer.words
    with pytest.raises(BadInput, match="it is kept with a reason"):
        session.keep(" ", 1.0)
    session.keep("torn at the node", 2.0)
    (one,) = current(shop, begun.revision.id)
    assert one.entry.why == "torn at the node"


def test_undo_arms_the_cell_again_and_loses_nothing(shop, begun):
    session = read(shop, begun)
    first = session.armed.place
    session.take(on_target(session), 0.0)
    session.undo()
    assert session.armed.place == first
    assert current(shop, begun.revision.id) == ()
    assert rows(shop) == 2  # the reading and its withdrawal
    with pytest.raises(BadInput, match="there is nothing to undo"):
        session.undo()


def test_reading_a_cell_again_replaces_what_counts(shop, begun):
    session = read(shop, begun)
    session.take(on_target(session), 0.0)
    session.back()
    again = f"{session.armed.aim.reading / 0.0254 + 0.001:.4f}"
    session.take(again, 5.0)
    assert list(kept(shop, begun).values()) == [again]
    assert rows(shop) == 2


def test_a_cell_is_skipped_for_a_reason(shop, begun):
    session = read(shop, begun)
    first = session.armed.place
    with pytest.raises(BadInput, match="a cell is skipped for a reason"):
        session.skip("  ")
    assert rows(shop) == 0
    session.skip("a node lies here")
    assert session.armed.place != first
    (one,) = current(shop, begun.revision.id)
    assert one.entry.why == "a node lies here"


def test_a_new_session_goes_on_where_the_last_one_stood(shop, begun):
    session = read(shop, begun, sections=("T1",), strips=(1,))
    for clock in range(4):
        session.take(on_target(session), clock * 5.0)
    again = read(shop, begun, sections=("T1",), strips=(1,))
    assert again.armed == session.armed
    while again.armed is not None:
        again.take(on_target(again), 100.0 + 5 * again.armed.done)
    assert read(shop, begun, sections=("T1",), strips=(1,)).task.cut == 2


def test_two_sessions_on_one_shop_both_work_and_nothing_is_doubled(shop, begun):
    with open_shop(shop.file) as other_shop:
        here = read(shop, begun, sections=("T1",), strips=(1,))
        there = read(other_shop, find(other_shop, "R1"), sections=("T1",), strips=(1,))
        for turn in range(5):
            here.take(on_target(here), turn * 20.0)
            there.onward()  # looks at the ledger again
            while there.armed.place not in there.walk.open:
                there.onward()
            there.take(on_target(there), turn * 20.0 + 9)
            here.onward()
            here.back()
            while here.armed is not None and here.walk.open and here.armed.place not in here.walk.open:
                here.onward()
    assert len(kept(shop, begun)) == 10
    assert rows(shop) == 10


def test_the_walk_can_be_turned_round_and_begun_anywhere(shop, begun):
    stations = read(shop, begun, sections=("B",), order=Order(Inner.STRIPS))
    stations.take(on_target(stations), 0.0)
    assert (stations.armed.place.strip, stations.armed.place.station.m) == (2, pytest.approx(45 * 0.0254))
    backward = read(shop, begun, sections=("T2",), order=Order(backward=True))
    assert str(backward.armed.spot) == "T2/S7@45in"
    begun_there = read(shop, begun, sections=("T1",), start=Spot.parse("T1/S3@25in"))
    assert str(begun_there.armed.spot) == "T1/S3@25in"


def test_a_redrawn_rod_is_frozen_anew_and_readings_stay_where_they_were_made(shop, rod_path, begun):
    session = read(shop, begun)
    session.take(on_target(session), 0.0)
    rod_path.write_text(rod_path.read_text().replace("0.0775", "0.0780"))
    redrawn = begin(shop, str(rod_path))
    assert (begun.code, redrawn.code) == ("R1.1", "R1.2")
    assert current(shop, redrawn.revision.id) == ()
    assert len(current(shop, begun.revision.id)) == 1
    assert find(shop, "R1.1").notes == ("this is R1.1; R1.2 exists, drawn later",)
    assert begin(shop, str(rod_path)).code == "R1.2"  # the same drawing again is the same revision


def test_sections_and_strips_the_rod_does_not_have_are_refused(shop, begun):
    with pytest.raises(BadInput, match="this rod has no section M"):
        read(shop, begun, sections=("M",))
    with pytest.raises(BadInput, match="a section has 7 strips, not a strip 8"):
        read(shop, begun, strips=(8,))


def test_a_gauge_keeps_its_unit(shop, begun):
    session = read(shop, begun, gauge="G1", gauge_unit="mm")
    assert session.bare == "mm"
    assert read(shop, begun, gauge="G1").bare == "mm"
    with pytest.raises(BadInput, match="gauge G1 was declared to show mm"):
        read(shop, begun, gauge="G1", gauge_unit="in")
    with pytest.raises(BadInput, match="gauge G2 is new here"):
        read(shop, begun, gauge="G2")


def test_a_round_cut_is_noted_and_counted_in_the_distance(shop, begun):
    """A pair of strokes along one strip of 51 in, then along all seven."""
    session = read(shop, begun, sections=("T1",))
    assert session.cut("8 thou").words == "a round of 8.0 thou over T1/S1 is in the log"
    assert walked(shop, begun) == pytest.approx(2 * 51 * 0.0254)
    session.cut("", every=True)
    assert walked(shop, begun) == pytest.approx(2 * 8 * 51 * 0.0254)
    with pytest.raises(BadInput, match="8 in is no depth of a pass"):
        session.cut("8")
    told = [line.words for line in log(shop, begun).lines]
    assert told[-2:] == ["pass 1 of 8.0 thou over strip 1 of T1, roughing", "pass 1 over all strips of T1, roughing"]


def test_a_round_after_readings_begins_the_next_pass(shop, begun):
    """Rounds before a strip is read are all of the pass it is read after; the first one after that begins the next."""
    session = read(shop, begun, sections=("T1",), strips=(1, 2))
    for _ in range(3):
        session.cut("8 thou")
    for clock in range(10):
        session.take(on_target(session), 5.0 * clock)
    assert str(session.armed.spot) == "T1/S2@5in" or session.armed.place.strip == 2
    assert session.cut("8 thou").words.endswith("is in the log")  # strip 2 was not read yet
    session.go(Spot.parse("T1/S1@25in"))
    assert session.cut("4 thou").words.startswith(
        "a round of 4.0 thou over T1/S1 is in the log; from here you read after pass 2"
    )
    assert (session.task.cut, session.armed.place.strip, session.armed.place.cut) == (2, 1, 2)
    session.take(on_target(session), 100.0)
    assert (
        session.cut("2 thou", every=True)
        .words.split("; ")[1]
        .startswith("from here you read after pass 3, first T1/S1")
    )
    numbers = [(one.entry.strip, one.entry.number) for one in passes(shop, begun.revision.id)]
    assert numbers == [(1, 1), (1, 1), (1, 1), (2, 1), (1, 2), (None, 3)]
    read_after = sorted({one.entry.cell.pass_number for one in current(shop, begun.revision.id)})
    assert read_after == [1, 2]


def test_a_round_sent_by_a_page_after_the_strip_was_read_is_of_the_next_pass(shop, begun):
    session = read(shop, begun, sections=("T1",), strips=(1,))
    at = datetime(2026, 11, 25, 8, tzinfo=UTC)

    def sent(number):
        return log_round(shop, "R1", f"round-{number}-of-the-page", Stage.ROUGH, 1, "T1", 1, "8 thou", "in", at)

    assert sent(1).words.endswith("is in the log")
    session.take(on_target(session), 0.0)
    assert "is in the log as pass 2, for it was read after pass 1" in sent(2).words
    session.take(on_target(session), 5.0)
    assert sent(1).words.endswith("is in the log")  # the same message again is the same round
    assert [one.entry.number for one in passes(shop, begun.revision.id)] == [1, 2]


def test_a_round_can_be_noted_when_every_cell_is_read(shop, begun):
    session = read(shop, begun, sections=("T1",), strips=(1,))
    while session.armed is not None:
        session.take(on_target(session), 5.0 * session.armed.done)
    assert "after pass 2" in session.cut("4 thou").words
    assert session.armed.place.cut == 2


def test_undo_drops_what_is_held_and_nothing_else(shop, begun):
    session = read(shop, begun)
    session.take(on_target(session), 0.0)
    assert session.take("10.2", 5.0).said is Said.HELD
    assert session.undo().words == "dropped; still at T1/S1@5in"
    assert len(kept(shop, begun)) == 1


def test_what_cannot_be_is_kept_only_with_a_reason(shop, begun):
    session = read(shop, begun)
    session.take("10.2", 0.0)
    with pytest.raises(BadInput, match="it is kept with a reason"):
        session.keep("", 1.0)
    assert kept(shop, begun) == {}


def test_a_cell_another_hand_has_read_is_asked_about(shop, begun):
    with open_shop(shop.file) as other_shop:
        here = read(shop, begun)
        there = read(other_shop, find(other_shop, "R1"))
        typed = on_target(here)
        there.take(typed, 0.0)
        answer = here.take("0.3912", 9.0)
        assert answer.said is Said.HELD
        assert answer.words.startswith("another hand has read 0.39 in here meanwhile")
        assert len(kept(shop, begun)) == 1
        here.keep("", 10.0)
        assert list(kept(shop, begun).values()) == ["0.3912"]
        there.take("0.3938", 20.0)
        here.undo()  # takes back its own, not the other hand's
        assert sorted(kept(shop, begun)) == ["T1/S1@0in", "T1/S1@5in"]
        assert kept(shop, begun)["T1/S1@0in"] == typed


def test_the_log_judges_every_reading_by_its_own_drawing(shop, rod_path, begun):
    session = read(shop, begun, sections=("T1",), strips=(1,))
    for clock in range(10):
        session.take(on_target(session), clock * 9.0)
    before = [line.words for line in log(shop, begun).lines][-1]
    rod_path.write_text(rod_path.read_text().replace("0.095, 0.1075", "0.105, 0.1175"))
    redrawn = begin(shop, str(rod_path))
    told = [line.words for line in log(shop, redrawn).lines]
    assert f"R1.1: {before}" in told
    assert told[-1] == "drawing frozen as R1.2"  # which says itself whose line it is

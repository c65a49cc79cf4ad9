"""Readings are kept for good: replayed, replaced, taken back, never changed."""

from __future__ import annotations

import sqlite3
from contextlib import closing
from dataclasses import replace
from datetime import UTC, datetime, timedelta
from fractions import Fraction

import pytest

from culmwright.ledger.faults import Conflict
from culmwright.ledger.readings import append, current, filled, reading_with
from culmwright.ledger.records import Cell, Entry, new_id
from culmwright.ledger.tables import IN_ORDER
from culmwright.measure.errors import BadInput
from culmwright.measure.lengths import Length


@pytest.fixture
def cell(revision):
    return Cell(revision.id, "T1", Length.parse("25 in"), "rough", 1, 3)


def read(cell, text="0.3620 in", **said):
    return Entry.measured(cell, Length.parse(text), wet=True, **said)


# The inch is 25.4 mm exactly (international yard and pound agreement, 1959), so 0.0001 in = 2540 nm,
# 0.0005 in = 12 700 nm, 1/64 in = 396 875 nm, and 1/128 in = 198 437.5 nm, which is no whole number.
@pytest.mark.parametrize(
    ("text", "nanometres"),
    [
        ("0.0001 in", Fraction(2540)),
        ("0.0005 in", Fraction(12_700)),
        ("1/64 in", Fraction(396_875)),
        ("1/128 in", Fraction(396_875, 2)),
        ("1/127 in", Fraction(200_000)),
        ("1/3 in", Fraction(25_400_000, 3)),
        ("9,19 mm", Fraction(9_190_000)),
        ("-0.5 thou", Fraction(-12_700)),
    ],
)
def test_a_length_comes_back_exactly_with_its_text(shop, cell, text, nanometres):
    kept = reading_with(shop, append(shop, read(cell, text)).entry.id)
    assert kept.entry.value is not None
    assert kept.entry.value.nanometres == nanometres
    assert (kept.entry.value.text, kept.entry.value.unit) == (text, Length.parse(text).unit)


def test_a_raw_text_of_a_gauge_is_kept_as_sent(shop, cell):
    raw = "\x02GN01,+0016.2345\r\n"
    sent = Entry.measured(cell, Length(Fraction(16_234_500), raw, "mm"), wet=False)
    assert reading_with(shop, append(shop, sent).entry.id).entry.value.text == raw


@pytest.mark.parametrize("length", [Length(Fraction(2**63), "x", "mm"), Length(Fraction(1, 2**63), "x", "mm")])
def test_a_length_beyond_what_can_be_kept_exactly_is_refused(shop, cell, length):
    with pytest.raises(BadInput, match="too long or too finely divided"):
        append(shop, Entry.measured(cell, length, wet=False))
    assert current(shop, cell.rod_revision) == ()


def test_the_same_entry_again_is_the_same_reading(shop, cell):
    entry = read(cell)
    first = append(shop, entry)
    assert [append(shop, entry) for _ in range(5)] == [first] * 5
    assert current(shop, cell.rod_revision) == (first,)


@pytest.mark.parametrize(
    "change",
    [
        {"value": Length.parse("0.3621 in")},
        {"value": Length.parse("9.1948 mm")},  # the same length to the nanometre, but typed otherwise
        {"wet": False},
        {"at": datetime(2026, 1, 1, tzinfo=UTC)},
        {"cell": Cell(1, "T1", Length.parse("30 in"), "rough", 1, 3)},
        {"why": "a reason"},
    ],
)
def test_the_same_id_for_something_else_is_a_conflict(shop, cell, change):
    entry = read(cell)
    first = append(shop, entry)
    with pytest.raises(Conflict, match=f"reading {entry.id} was kept before with another"):
        append(shop, replace(entry, **change))
    assert current(shop, cell.rod_revision) == (first,)


@pytest.mark.parametrize("id", ["", "x" * 15, "x" * 65, "x" * 15 + " ", "é" * 16])
def test_an_id_that_is_none_is_refused(shop, cell, id):
    with pytest.raises(BadInput, match="is not an id"):
        append(shop, replace(read(cell), id=id))


def test_a_remeasure_counts_and_the_old_value_stays(shop, cell):
    first = append(shop, read(cell))
    second = append(shop, first.again(Length.parse("0.3600 in"), "the strip had slipped"))
    assert current(shop, cell.rod_revision) == (second,)
    assert reading_with(shop, first.entry.id) == first
    assert (second.entry.supersedes, second.entry.why) == (first.seq, "the strip had slipped")


def test_undo_goes_back_one_step_at_a_time(shop, cell):
    first = append(shop, read(cell))
    second = append(shop, first.again(Length.parse("0.3600 in"), "slipped"))
    third = append(shop, second.again(Length.parse("0.3590 in"), "slipped"))
    for undone, left in ((third, (second,)), (second, (first,)), (first, ())):
        append(shop, undone.withdrawn("a slip of the key"))
        assert current(shop, cell.rod_revision) == left
    assert filled(shop, cell.rod_revision) == {}
    again = append(shop, read(cell))
    assert filled(shop, cell.rod_revision) == {cell: (again,)}


def test_only_what_counts_can_be_superseded(shop, cell):
    first = append(shop, read(cell))
    second = append(shop, first.again(Length.parse("0.3600 in"), "slipped"))
    with pytest.raises(Conflict, match=f"reading {first.seq} does not count any more: it was replaced"):
        append(shop, first.again(Length.parse("0.3601 in"), "late"))
    undo = append(shop, second.withdrawn("a slip of the key"))
    for gone in (second, undo):
        with pytest.raises(Conflict, match="does not count any more: it was withdrawn"):
            append(shop, gone.withdrawn("twice"))
    with pytest.raises(BadInput, match="there is no reading 99 to supersede"):
        append(shop, replace(read(cell), supersedes=99, why="a guess"))
    assert current(shop, cell.rod_revision) == (first,)


def test_a_remeasure_is_of_the_same_cell_and_has_a_reason(shop, cell):
    first = append(shop, read(cell))
    elsewhere = replace(cell, station=Length.parse("30 in"))
    with pytest.raises(Conflict, match="is of another cell"):
        append(shop, replace(read(elsewhere), supersedes=first.seq, why="slipped"))
    with pytest.raises(BadInput, match="needs a reason"):
        append(shop, first.again(Length.parse("0.3600 in"), ""))
    metric = replace(cell, station=Length.parse("635 mm"))  # the same place, said otherwise
    assert append(shop, replace(read(metric), supersedes=first.seq, why="slipped")).seq > first.seq


def test_a_skip_fills_its_cell_and_says_why(shop, cell):
    skip = append(shop, Entry.skipped(cell, "a node stands here", wet=True))
    assert filled(shop, cell.rod_revision) == {cell: (skip,)}
    with pytest.raises(BadInput, match="a skip needs a reason"):
        append(shop, Entry.skipped(cell, "", wet=True))


def test_two_hands_on_one_cell_both_count_until_one_supersedes(shop, cell):
    one, two = append(shop, read(cell)), append(shop, read(cell, "0.3630 in"))
    assert filled(shop, cell.rod_revision) == {cell: (one, two)}


def test_the_order_is_that_of_the_ledger_whatever_the_clock_says(shop, cell):
    noon = datetime(2026, 3, 1, 12, tzinfo=UTC)
    kept = [append(shop, read(cell, at=noon - timedelta(days=day))) for day in range(4)]
    assert list(current(shop, cell.rod_revision)) == kept
    assert [one.seq for one in kept] == list(range(kept[0].seq, kept[0].seq + 4))


def test_a_time_without_a_zone_is_refused(shop, cell):
    with pytest.raises(BadInput, match="without its zone"):
        append(shop, read(cell, at=datetime(2026, 3, 1)))


def test_a_reading_of_what_is_not_there_is_refused_in_words(shop, cell):
    with pytest.raises(Conflict, match="does not take this row"):
        append(shop, read(replace(cell, rod_revision=99)))
    with pytest.raises(Conflict, match="does not take this row"):
        append(shop, read(replace(cell, section="X")))
    assert current(shop, cell.rod_revision) == ()


@pytest.mark.parametrize("table", [table.name for table in IN_ORDER])
def test_no_row_of_any_table_can_be_changed_or_taken_out(full_shop, table):
    with closing(sqlite3.connect(full_shop.file)) as raw:
        (rows,) = raw.execute(f'SELECT count(*) FROM "{table}"').fetchone()
        assert rows
        for statement in (f'UPDATE "{table}" SET at = at', f'DELETE FROM "{table}"'):
            with pytest.raises(sqlite3.IntegrityError, match="never changed"):
                raw.execute(statement)
        assert raw.execute(f'SELECT count(*) FROM "{table}"').fetchone() == (rows,)


@pytest.mark.parametrize("stream", ["reading", "pass", "event"])
@pytest.mark.parametrize("change", ["seq", "id"])
def test_no_row_can_be_put_over_another_or_in_between(full_shop, stream, change):
    with closing(sqlite3.connect(full_shop.file)) as raw:
        raw.row_factory = sqlite3.Row
        row = dict(raw.execute(f'SELECT * FROM "{stream}"').fetchone())
        row |= {"id": new_id()} if change == "seq" else {"seq": 10_000}
        marks = ", ".join("?" * len(row))
        with pytest.raises(sqlite3.IntegrityError, match="new id and comes after all others"):
            raw.execute(f'INSERT OR REPLACE INTO "{stream}" VALUES ({marks})', list(row.values()))


def test_the_file_itself_refuses_to_supersede_what_does_not_count(shop, cell):
    first = append(shop, read(cell))
    append(shop, first.again(Length.parse("0.3600 in"), "slipped"))
    with closing(sqlite3.connect(shop.file)) as raw:
        raw.row_factory = sqlite3.Row
        row = dict(raw.execute("SELECT * FROM reading WHERE seq = ?", (first.seq,)).fetchone())
        for change in ({}, {"strip": 4, "supersedes": first.seq + 1}):
            late = row | {"seq": 10_000, "id": new_id(), "supersedes": first.seq, "why": "late"} | change
            with pytest.raises(sqlite3.IntegrityError, match="only a row that stands, of the same cell"):
                raw.execute(f"INSERT INTO reading VALUES ({', '.join('?' * len(late))})", list(late.values()))


@pytest.mark.parametrize(
    "change",
    [
        {"strip": "third"},  # STRICT: text is no number
        {"station_den": 0},
        {"station_text": ""},
        {"value_num": None},
        {"value_num": None, "value_den": None, "value_text": None, "value_unit": None},
        {"state": "withdrawn"},
        {"state": "skipped", "value_num": None, "value_den": None, "value_text": None, "value_unit": None},
        {"wet": 2},
        {"section": "T0"},
        {"strip": 0},
        {"pass": -1},
        {"at": "2026-03-01 09:30"},
        {"id": "short"},
        {"supersedes": 2, "why": None},
    ],
)
def test_the_file_itself_refuses_a_reading_that_is_none(shop, cell, change):
    kept = append(shop, read(cell))
    with closing(sqlite3.connect(shop.file)) as raw:
        raw.row_factory = sqlite3.Row
        row = dict(raw.execute("SELECT * FROM reading WHERE seq = ?", (kept.seq,)).fetchone())
        row |= {"seq": 10_000, "id": new_id()} | change
        with pytest.raises(sqlite3.IntegrityError, match=r"CHECK|cannot store TEXT"):
            raw.execute(f"INSERT INTO reading VALUES ({', '.join('?' * len(row))})", list(row.values()))

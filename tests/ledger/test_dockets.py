"""Dockets: kept for good, replaced with a reason, taken back; in the one sequence of the bench."""

from __future__ import annotations

import sqlite3
from contextlib import closing
from datetime import UTC, datetime

import pytest

from culmwright.ledger.dockets import LONGEST, dockets, keep_docket, withdraw_docket
from culmwright.ledger.faults import Conflict
from culmwright.ledger.frozen import freeze
from culmwright.measure.errors import BadInput

ID = "made-on-the-tablet-1"
AT = datetime(2026, 3, 1, 9, tzinfo=UTC)


def test_a_docket_sent_twice_is_one_and_another_under_its_id_is_refused(shop):
    first = keep_docket(shop, "weighing", '{"mass": "412 g"}', id=ID, at=AT)
    assert keep_docket(shop, "weighing", '{"mass": "412 g"}', id=ID, at=AT) == first
    with pytest.raises(Conflict, match="kept before with another text"):
        keep_docket(shop, "weighing", '{"mass": "413 g"}', id=ID, at=AT)
    assert dockets(shop) == (first,)


def test_a_replaced_docket_comes_back_when_the_new_one_is_taken_back(shop):
    first = keep_docket(shop, "layout", "1", at=AT)
    second = keep_docket(shop, "layout", "2", at=AT, supersedes=first.seq, why="a node was missed")
    assert dockets(shop, "layout") == (second,)
    with pytest.raises(Conflict, match="does not count any more"):
        keep_docket(shop, "layout", "3", at=AT, supersedes=first.seq, why="late")
    withdraw_docket(shop, second.seq, "it was none")
    assert dockets(shop, "layout") == (first,)


def test_replacing_needs_a_reason_and_the_same_kind(shop):
    first = keep_docket(shop, "layout", "1", at=AT)
    with pytest.raises(BadInput, match="needs a reason"):
        keep_docket(shop, "layout", "2", supersedes=first.seq)
    with pytest.raises(Exception, match="same kind"):
        keep_docket(shop, "weighing", "2", supersedes=first.seq, why="mixed up")
    with pytest.raises(BadInput, match="no docket 99"):
        withdraw_docket(shop, 99, "why")
    assert dockets(shop) == (first,)


def test_dockets_are_found_by_what_they_are_of(shop):
    freeze(shop, "Quillet Water", "text", "a" * 64)
    whole = keep_docket(shop, "weighing", "a", rod=1)
    tip = keep_docket(shop, "weighing", "b", rod=1, section="T1")
    strip = keep_docket(shop, "straightened", "c", rod=1, section="T1", strip=3)
    assert dockets(shop, rod=1) == (whole, tip, strip)
    assert dockets(shop, "weighing", section="T1") == (tip,)
    assert dockets(shop, strip=3) == (strip,)
    assert whole.seq < tip.seq < strip.seq


@pytest.mark.parametrize("text", ["", "  ", "x" * (LONGEST + 1)])
def test_an_empty_or_endless_docket_is_refused(shop, text):
    with pytest.raises(BadInput, match="holds a text"):
        keep_docket(shop, "layout", text)


def test_the_file_itself_keeps_dockets_from_change_and_in_sequence(shop):
    freeze(shop, "Quillet Water", "text", "a" * 64)
    kept = keep_docket(shop, "layout", "1", at=AT)
    with closing(sqlite3.connect(shop.file)) as raw:
        for order in ("UPDATE docket SET text = 'x'", "DELETE FROM docket"):
            with pytest.raises(sqlite3.IntegrityError, match="never changed"):
                raw.execute(order)
        for seq in (kept.seq, 1):
            with pytest.raises(sqlite3.IntegrityError):
                raw.execute(
                    "INSERT INTO docket (seq, id, state, at, kind, text) "
                    f"VALUES ({seq}, 'another-id-of-its-own', 'done', '2026-03-01T09:00:00.000000Z', 'k', 't')"
                )
        with pytest.raises(sqlite3.IntegrityError, match="after all others"):
            raw.execute(
                "INSERT INTO event (seq, id, state, at, kind) "
                f"VALUES ({kept.seq}, 'another-id-of-its-own', 'done', '2026-03-01T09:00:00.000000Z', 'noted')"
            )

"""What a maker notes beside the readings: it stands in the log where it happened, and nonsense does not."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta

import pytest

from culmwright.measure.errors import BadInput
from culmwright.workshop.noting import EventKind, note
from culmwright.workshop.telling import log


def test_what_is_written_down_late_stands_where_it_happened(shop, begun):
    monday = datetime(2026, 3, 2, 9, 0, tzinfo=UTC)
    note(shop, begun, EventKind.DRYING_ENDED, at=monday + timedelta(hours=5))
    note(shop, begun, EventKind.DRYING_STARTED, at=monday)
    words = [line.words for line in log(shop, begun).lines if line.words.startswith("drying")]
    assert words == ["drying started", "drying ended"]


def test_an_event_is_put_into_the_log_and_nonsense_is_not(shop, begun):
    note(shop, begun, EventKind.GLUED, section="T1", words="first batch")
    assert log(shop, begun).lines[-1].words == "glued T1: first batch"
    with pytest.raises(BadInput, match="this rod has no section M"):
        note(shop, begun, EventKind.GLUED, section="M")
    with pytest.raises(BadInput, match="it would be ready before it begins"):
        note(shop, begun, EventKind.SOAK_STARTED, ready_at=datetime(2020, 1, 1, tzinfo=UTC))

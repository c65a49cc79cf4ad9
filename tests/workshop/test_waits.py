"""What waits is told of every section for itself, a walk is a line of the log, and strips are no proof of a rod."""

from __future__ import annotations

from datetime import timedelta

import pytest

from culmwright.bench.judge import Stage
from culmwright.bench.walk import Inner, Order
from culmwright.book.ruler import Ruler
from culmwright.ledger.records import EventKind, now
from culmwright.workshop import proving
from culmwright.workshop.gluing import Glue, Work, finish, glue, leaves_of
from culmwright.workshop.looking import look_at_shop
from culmwright.workshop.noting import note
from culmwright.workshop.opening import begin
from culmwright.workshop.reading import read
from culmwright.workshop.telling import log, waits

DAY = timedelta(days=1)


def test_every_section_waits_for_itself(shop, begun):
    at = now() - 3 * DAY
    for section in ("T1", "T2", "B"):
        note(shop, begun, EventKind.SOAK_STARTED, section=section, at=at)
    note(shop, begun, EventKind.SOAK_ENDED, section="T2", at=at + DAY)
    note(shop, begun, EventKind.DRYING_STARTED, section="T2", at=at + DAY)
    said = list(waits(shop, begun))
    assert [one.split(" since")[0] for one in said] == [
        "section T1 in soak", "section B in soak", "section T2 drying"
    ]  # fmt: skip
    note(shop, begun, EventKind.SOAK_ENDED, at=at + 2 * DAY)  # of the whole rod
    assert [one.split(" since")[0] for one in waits(shop, begun)] == ["section T2 drying"]


def test_glue_is_waited_for_while_it_cures_and_only_where_a_cure_was_given(shop, begun):
    glue(shop, begun, "T1", Glue("slow epoxy", cure=2 * 86_400.0), bound=now() - DAY)
    glue(shop, begun, "T2", Glue("slow epoxy", cure=86_400.0), bound=now() - 2 * DAY)  # over since yesterday
    glue(shop, begun, "B", Glue("hide glue"), bound=now() - DAY)
    (said,) = waits(shop, begun)
    assert said.startswith("section T1 curing since ") and ", planned ready " in said
    (line,) = look_at_shop(shop).rods
    assert line.waits == (said,) and look_at_shop(shop).waiting == (("R1", begun.rod.name, said),)
    words = [
        one.text for leaf in leaves_of(shop, begun, Ruler(2.0, 493.0)) for one in leaf.blocks if hasattr(one, "text")
    ]
    assert [one[:20] for one in words if "stays bound until" in one] == ["T1 stays bound until", "T2 stays bound until"]
    note(shop, begun, EventKind.GLUE_SET, section="T1")
    assert list(waits(shop, begun)) == []


def walked(shop, begun, inner):
    """Read strips of T1 in some order, the second under size and the third over it."""
    session = read(shop, begun, Stage.ROUGH, ("T1",), (1, 2, 3), order=Order(inner))
    clock = 0.0
    while (armed := session.armed) is not None:
        off = -0.012 if armed.place.strip == 2 else 0.012 if armed.place.strip == 3 else 0.0
        session.take(f"{armed.aim.reading / 0.0254 + off:.4f}", clock)
        if session.pending is not None:
            session.keep("the iron dug in", clock + 1)
        clock += 9.0


def readings_in(story):
    return [one.words for one in story.lines if " read at " in one.words]


def test_a_walk_from_strip_to_strip_at_every_station_is_one_line(shop, begun):
    walked(shop, begun, Inner.STRIPS)
    lines = readings_in(log(shop, begun))
    assert len(lines) == 1
    assert lines[0].startswith("T1, 3 strips read at ") and "after pass 1: " in lines[0]
    assert "S2 under size" in lines[0] and "S3 over size" in lines[0]


def test_a_walk_along_a_strip_is_a_line_a_strip(shop, begun):
    walked(shop, begun, Inner.STATIONS)
    assert [one[:5] for one in readings_in(log(shop, begun))] == ["T1/S1", "T1/S2", "T1/S3"]


def test_a_frozen_drawing_is_not_named_twice(shop, begun, rod_path):
    rod_path.write_text(rod_path.read_text().replace("0.1075", "0.1095"))
    redrawn = begin(shop, str(rod_path))
    assert [one.words for one in log(shop, redrawn).lines] == ["drawing frozen as R1.1", "drawing frozen as R1.2"]


@pytest.fixture
def finished(shop, begun):
    """Every strip a section needs, read when finished."""
    for section in ("T1", "T2", "B"):
        session = read(shop, begun, Stage.FINISH, (section,), tuple(range(1, 7)))
        clock = 0.0
        while (armed := session.armed) is not None:
            clock += 9.0
            session.take(f"{armed.aim.reading / 0.0254 + 1e-4 * (armed.place.strip % 2):.5f}", clock)
            if session.pending is not None:
                session.keep("invented", clock + 1)
    return shop, begun


def test_strips_that_are_read_are_half_a_proof_until_the_rod_is_glued(finished):
    assert proving.state_of(*finished) == "half"
    for section in ("T1", "T2"):
        glue(*finished, section, Glue("slow epoxy"))
    assert proving.state_of(*finished) == "half"
    glue(*finished, "B", Glue("slow epoxy"))
    assert proving.state_of(*finished) == "done"


def test_a_rod_that_is_varnished_is_no_heap_of_strips(finished):
    finish(*finished, Work.COAT, "first, thinned 10%")
    assert proving.state_of(*finished) == "done"

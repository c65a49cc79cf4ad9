"""The shop at a glance: where each rod stands, what is next, what waits."""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, datetime

from culmwright.ledger.happenings import add_event
from culmwright.ledger.records import EventEntry, EventKind, new_id
from culmwright.workshop.drafting import draft_of, drafted
from culmwright.workshop.looking import look_at_shop
from culmwright.workshop.looking_stages import look_at_brief, look_at_strips
from culmwright.workshop.opening import find
from culmwright.workshop.reading import read
from culmwright.workshop.redrawing import keep_redrawn


def read_some(shop, begun, count, off=0.0004):
    session = read(shop, begun)
    for clock in range(count):
        session.take(f"{session.armed.aim.reading / 0.0254 + off:.4f}", clock * 5.0)
        if off < -0.01:  # beyond the stop limit a reading is kept for a reason
            session.keep("the iron dug in", clock * 5.0 + 2)


def test_a_rod_just_kept_has_its_first_stage_before_it(shop, begun):
    (rod,) = look_at_shop(shop).rods
    assert (rod.code, rod.state, rod.next) == ("R1", "none", "the next stage")


def test_strips_read_are_counted(shop, begun):
    read_some(shop, begun, 12)  # a strip of the tip has ten stations: one whole, one begun
    (rod,) = look_at_shop(shop).rods
    assert (rod.stage, rod.state) == ("Bench", "half")
    assert rod.next == "go on with roughing: 2 of 21 strips read, 1 of them whole"  # (6 + 1 spare) x T1, T2, B


def test_a_strip_under_size_is_the_next_thing(shop, begun):
    read_some(shop, begun, 10, off=-0.02)
    (rod,) = look_at_shop(shop).rods
    assert (rod.state, rod.next) == ("look", "look at T1/S1: under size")


def test_what_soaks_is_told_with_its_rod(shop, begun):
    moment = datetime(2026, 11, 20, 8, 0, tzinfo=UTC)
    add_event(shop, EventEntry(new_id(), EventKind.SOAK_STARTED, moment, begun.revision.id))
    ((code, name, words),) = look_at_shop(shop).waiting
    assert (code, name) == ("R1", begun.rod.name)
    assert words.startswith("in soak since 2026-11-20")


def test_a_redrawn_rod_says_what_its_strips_were_cut_to(shop, begun):
    read_some(shop, begun, 3)
    draft = draft_of(begun.revision.text)
    keep_redrawn(shop, begun, drafted(replace(draft, across=("0.071", *draft.across[1:]))), "why")
    assert look_at_brief(shop, "R1").head.cut_to == ("R1.1",)
    assert look_at_brief(shop, "R1.1").head.cut_to == ()
    (rod,) = look_at_shop(shop).rods
    assert (rod.code, rod.stage, rod.address) == ("R1", "Bench", "/R1.1/bench")  # the work stands with what was cut
    assert "R1.2 exists" in look_at_brief(shop, "R1.1").head.notes[0]


def test_the_passes_of_a_strip_are_said_beside_it(shop, begun):
    """Split at 0.290 in, roughed to 0.1335 in at the tip: 156.5 thou, in rounds of 10, 8, 6 and 4 thou on either flank
    (common practice, no source)."""
    view = look_at_strips(shop, find(shop, "R1").code)
    (rough, words), (finish, _) = view.groups[0].passes
    assert (rough, finish) == ("Roughing", "Finishing")
    assert words.startswith(
        "where most comes off, from 0.2900 in to 0.1335 in: 10 rounds on either flank, 6 at 10.0, 1 at 8.0, 1 at 6.0"
    )
    assert "7 strips are a walk of 595 ft" in words  # 10 rounds x 2 flanks x 7 strips x (45 + 6) in = 7140 in = 595 ft

"""The shop at a glance: where each rod stands, what is next, what waits."""

from __future__ import annotations

import re
from dataclasses import replace
from datetime import UTC, datetime

import pytest

from culmwright.bench.judge import Stage
from culmwright.cli.bench_render import story as story_words
from culmwright.ledger.backup import backup, restore
from culmwright.ledger.happenings import add_event
from culmwright.ledger.records import EventEntry, EventKind, new_id
from culmwright.workshop import stages
from culmwright.workshop.drafting import draft_of, drafted
from culmwright.workshop.gluing import Glue, glue
from culmwright.workshop.judging import Fate, bench_state
from culmwright.workshop.kept import kept_of
from culmwright.workshop.looking import _next, bench_stop, look_at_shop
from culmwright.workshop.looking_bench import look_at_bench
from culmwright.workshop.looking_stages import look_at_brief, look_at_strips
from culmwright.workshop.noting import note
from culmwright.workshop.opening import find
from culmwright.workshop.reading import read
from culmwright.workshop.redrawing import keep_redrawn
from culmwright.workshop.strips_now import strips_now
from culmwright.workshop.telling import log


def read_some(shop, begun, count, off=0.0004, *, cut=1, stage=Stage.ROUGH, strip=1):
    strips = tuple(range(strip, 8)) if strip > 1 or cut > 1 else ()
    session = read(shop, begun, stage, ("T1",) if strips else (), strips, cut=cut)
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


def test_a_strip_nobody_will_cut_again_is_no_next_thing(shop, begun):
    """Scrapped, or glued as it was: what it was read as stays, the ways it could have gone do not."""
    read_some(shop, begun, 10, off=-0.02)
    (one,) = bench_state(shop, begun).strips
    assert (one.fate, bool(one.ways)) == (Fate.OPEN, True)
    note(shop, begun, EventKind.STRIP_SCRAPPED, section="T1", strip=1)
    (one,) = bench_state(shop, begun).strips
    assert (one.fate, one.ways, one.judgement.sign) == (Fate.SCRAPPED, (), "-")
    assert re.fullmatch(r"from 20\.\d thou under at station \d+ to (19\.9|20\.\d) thou under .*: scrapped", one.words)
    assert look_at_shop(shop).rods[0].state == "half"
    read_some(shop, begun, 10, off=-0.02, cut=2)  # another strip split and planed in its place
    (one,) = bench_state(shop, begun).strips
    assert (one.fate, look_at_shop(shop).rods[0].state) == (Fate.OPEN, "look")


def test_glued_strips_are_as_they_are(shop, begun):
    read_some(shop, begun, 10, off=-0.02)
    for stage in (Stage.ROUGH, Stage.FINISH):
        read_some(shop, begun, 10, off=-0.02, cut=2, stage=stage, strip=2)
    read_some(shop, begun, 10, off=-0.02, cut=2, strip=7)
    for section in ("T1", "T2", "B"):
        glue(shop, begun, section, Glue("two-part glue", "A7"))
    found = {(one.strip, one.stage): one for one in bench_state(shop, begun).strips}
    assert {key: one.fate for key, one in found.items()} == {
        (1, Stage.ROUGH): Fate.GLUED,
        (2, Stage.ROUGH): Fate.FINISHED,
        (2, Stage.FINISH): Fate.GLUED,
        (7, Stage.ROUGH): Fate.LEFT,  # the ring is strips 1 to 6
    }
    assert not any(one.ways or "no pass" in one.words for one in found.values())
    state = bench_state(shop, begun)
    assert bench_stop(begun.rod, state) == "done"  # nothing was ever read of T2 and B, but they are glued too
    assert strips_now(state).said[:2] == (
        "T1 is glued from S1 S2 S3 S4 S5 S6; S7 is left over",
        "T2 is glued from S1 S2 S3 S4 S5 S6",
    )
    seen = look_at_bench(shop, "R1")
    assert (seen.now.verdicts, seen.now.pictures, seen.now.process) == ((), (), ())
    assert len(seen.before.verdicts) == len(state.strips) and seen.before.pictures
    assert not any("Reset" in words for words in seen.before.process)
    assert next(one.state for one in seen.head.rail if one.name == "Bench") == "done"
    story = log(shop, begun)
    assert story.strips == state.strips and story.stands == seen.said
    how = story_words(story, begun).partition("How the strips stand:")[2]
    assert how.strip().splitlines() == [f"{words}." for words in seen.said]  # no line tells what to do about any


def test_a_strip_scrapped_is_said_and_its_section_goes_on(shop, begun):
    read_some(shop, begun, 20)
    note(shop, begun, EventKind.STRIP_SCRAPPED, section="T1", strip=2)
    seen = look_at_bench(shop, "R1")
    assert [strip for _, strip, *_ in seen.now.verdicts] == ["T1/S1"]
    assert [strip for _, strip, *_ in seen.before.verdicts] == ["T1/S2"]
    assert seen.said == ("S2 of T1 is scrapped",)
    assert look_at_shop(shop).rods[0].next == "go on with roughing: 1 of 20 strips read, 1 of them whole"


def test_the_next_step_is_of_the_sections_that_are_not_glued(shop, begun):
    read_some(shop, begun, 70, off=0.0)
    glue(shop, begun, "T1", Glue("two-part glue"))
    assert _next(begun.rod, bench_state(shop, begun)) == "rough the first of 14 strips of T2 and B"


def test_a_pass_over_one_strip_leaves_the_others_on_the_chart(shop, begun):
    """Two strips read after pass 1, one of them planed on and read after pass 2: both on the chart, by their newest."""
    read_some(shop, begun, 20, off=0.001)
    session = read(shop, begun, Stage.ROUGH, ("T1",), (1,), cut=2)
    for clock in range(10):
        session.take(f"{session.armed.aim.reading / 0.0254 + 0.0001:.4f}", clock * 5.0)
    (run,) = bench_state(shop, begun).runs
    assert run.passes == "pass 2 of S1, pass 1 of S2"
    assert set(run.labels) == {"S1", "S2"}
    assert dict(zip(run.labels, run.values, strict=True))["S1"] == pytest.approx(0.1 * 25.4e-6, abs=1.5e-6)
    assert run.signals == ()  # of two stops
    assert [(one.cut, one.labels) for one in bench_state(shop, begun).stops] == [(1, ("S1", "S2")), (2, ("S1",))]
    (picture,) = look_at_bench(shop, "R1").now.pictures
    assert picture.title == "Read, T1 roughing, pass 2 of S1, pass 1 of S2"
    (section,) = kept_of(shop, begun).bench
    assert [(one.strip, len(one.judgement.stations)) for one in section.strips] == [(1, 10), (2, 10)]


def test_the_logs_stop_goes_with_the_rod(shop, begun, monkeypatch):
    def stop():
        return next(one.state for one in look_at_brief(shop, "R1").head.rail if one.name == "Log")

    assert stop() == "none"
    read_some(shop, begun, 1)
    assert stop() == "half"
    monkeypatch.setattr(stages.Stage, "state", lambda self, *_: "done" if self.name == "Proof" else "half")
    assert stop() == "done"


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


def test_after_a_backup_is_put_back_other_readings_are_judged(shop, begun):
    """A sound shop is written over where it stands: its file is the same one, and readings get the same numbers."""

    def next_one(over):
        session = read(shop, begun, Stage.ROUGH, ("T1",), (1,))
        session.take(f"{session.armed.aim.reading / 0.0254 + over:.4f}", 5.0)
        return bench_state(shop, begun).strips[0].words

    next_one(0.0)
    kept = backup(shop.file)
    assert "12.0 thou over" in next_one(0.012)
    restore(kept.path, shop.file)
    assert "over at" not in next_one(0.0)

"""Slips along a strip on the page beside the rig: it asks what the workshop asks, four keys answer, and a gauge that
sends on while a question stands loses nothing unsaid.
"""

from __future__ import annotations

import random

import pytest
from playwright.sync_api import expect
from served import SEND, WALK

from culmwright.bench.gauge import read_typed
from culmwright.bench.guards import Beside
from culmwright.bench.judge import Stage
from culmwright.workshop.atbench import bench_of
from culmwright.workshop.opening import find, the_shop
from culmwright.workshop.taking import Yardstick

pytestmark = pytest.mark.needs_chromium

QUESTION, DONE, NOTE = "#question", "#done", "#note"
ASK = """async ([spot, text, read]) => {
  const { Reader, others, question } = await import('/look/js/reading.js'), data = bench.walk.data;
  const reader = new Reader(data.grammar), cell = bench.walk.bySpot.get(spot);
  const filled = ([at, typed]) => [at, { value: typed && reader.read(typed, 'in').nm }];
  const standing = new Map(Object.entries(read).map(filled));
  const said = question(reader.read(text, 'in'), cell, null, data, reader, others(cell, bench.walk.cells, standing));
  return said && [said.words, said.doubt, Boolean(said.astray)];
}"""


def begin(page, bench, stage="finish", strips="1,2"):
    page.goto(f"http://127.0.0.1:{bench.port}" + WALK.format(stage=stage, strips=strips), wait_until="load")
    page.wait_for_selector("#place:not(:empty)")


def send(page, raw):
    page.evaluate(SEND, [raw, 8, "Enter", 0])


def near(page, over=0.0):
    return f"{float(page.evaluate('bench.walk.armed.shown')) + over:.4f}"


def until(page, so):
    """Waits; the page's own rules forbid it to be asked the other way."""
    for _ in range(600):
        if page.evaluate(so):
            return
        page.wait_for_timeout(20)
    raise AssertionError(so)


def done(page, count):
    expect(page.locator(DONE)).to_have_text(f"{count} of 20")
    until(page, "!bench.flight && bench.outbox.items.length === 0")


def two_read(page, bench, stage="finish"):
    begin(page, bench, stage)
    for count in (1, 2):
        send(page, near(page))
        done(page, count)


@pytest.mark.parametrize("stage", list(Stage), ids=lambda stage: stage.value)
def test_the_page_asks_of_a_strip_what_the_workshop_asks(page, bench, stage):
    begin(page, bench, stage.value)
    with the_shop(bench.file) as shop:
        rod = find(shop, "R1").rod
    aimed = {spot: one for spot, (place, one) in bench_of(rod, stage).items() if str(place.spot).startswith("T1/S1@")}
    spots, rng, seen = list(aimed), random.Random(4), {}
    for _ in range(400):
        level = rng.choice((0, 3, 20, 60))
        far = rng.choice((0.3, 3, 12, 40) if stage is Stage.FINISH else (1, 10, 60, 60))

        def typed(spot, level=level, far=far):
            return f"{aimed[spot].reading / 0.0254 + (level + rng.gauss(0, far)) / 1000:.4f}"

        at = rng.randrange(len(spots))
        read = {spot: typed(spot) for spot in rng.sample(spots, rng.randrange(len(spots)))}
        read[rng.choice(spots)] = None  # left out
        here = typed(spots[at])
        if rng.random() < 0.3 and at:  # each in the other's place
            here, read[spots[at - 1]] = (
                f"{aimed[spots[at - i]].reading / 0.0254 + (level + rng.gauss(0, 0.5)) / 1000:.4f}" for i in (1, 0)
            )
        beside = [
            Beside(aimed[spot], read_typed(text, "in").length)
            for spot, text in read.items()
            if text is not None and spot != spots[at]
        ]
        asked = Yardstick(rod, stage).question(read_typed(here, "in").length, aimed[spots[at]], None, beside)
        next_strip = {spot.replace("S1@", "S2@"): "0.5000" for spot in spots}
        said = page.evaluate(ASK, [spots[at], here, read | next_strip])
        assert said == (None if asked is None else [asked.words, asked.doubt, asked.astray]), (spots[at], here, read)
        kind = next(
            (word for word in ("more than goes", "less than goes", "exchanged") if said and word in said[0]), ""
        )
        seen[kind] = seen.get(kind, 0) + 1
    wanted = ("", "more than goes", "exchanged" if stage is Stage.FINISH else "less than goes")
    assert all(seen.get(kind, 0) >= 3 for kind in wanted), seen


@pytest.mark.parametrize("stage", ["finish", "rough"])
def test_a_slip_is_asked_about_and_one_key_keeps_it(page, bench, stage):
    two_read(page, bench, stage)
    typed = near(page, 0.1)
    send(page, typed)
    expect(page.locator(QUESTION)).to_contain_text("thou more than goes with")
    assert page.evaluate("bench.sound.last") == "held"
    assert not page.locator("#reasons").is_visible()
    assert len(bench.kept(stage)) == 2
    page.keyboard.press("Enter")
    done(page, 3)
    assert bench.kept(stage)[2][:2] == ("T1/S1@10in", typed)
    send(page, near(page))  # the next is not asked about for its neighbour's sake
    done(page, 4)


def test_undo_drops_it_and_next_and_back_leave_the_question_standing(page, bench):
    two_read(page, bench)
    send(page, near(page, 0.1))
    for key in ("PageDown", "PageUp"):
        page.keyboard.press(key)
        expect(page.locator(QUESTION)).to_be_visible()
    page.keyboard.press("Escape")
    expect(page.locator(QUESTION)).to_be_hidden()
    assert page.evaluate("bench.walk.spot") == "T1/S1@10in"
    send(page, near(page))
    done(page, 3)


def test_a_gauge_that_sends_on_takes_the_place_of_what_waits_and_it_is_said(page, bench):
    two_read(page, bench)
    slip, right = near(page, 0.1), near(page)
    send(page, slip)
    expect(page.locator(QUESTION)).to_be_visible()
    send(page, right)
    done(page, 3)
    expect(page.locator(NOTE)).to_contain_text(
        f"T1/S1@10in, {right}: in the shop. {slip}, asked about before, was let go"
    )
    assert [text for _, text, _ in bench.kept("finish")][2] == right
    send(page, near(page))
    done(page, 4)
    assert "let go" not in page.locator(NOTE).inner_text()


def test_what_cannot_be_read_leaves_the_question_standing(page, bench):
    two_read(page, bench)
    slip = near(page, 0.1)
    send(page, slip)
    expect(page.locator(QUESTION)).to_be_visible()
    send(page, "0.1x30")
    expect(page.locator(QUESTION)).to_contain_text("cannot be read as a reading")
    expect(page.locator(QUESTION)).to_contain_text("thou more than goes with")
    page.keyboard.press("Enter")
    done(page, 3)
    assert bench.kept("finish")[2][:2] == ("T1/S1@10in", slip)


def test_the_same_read_again_is_the_answer(page, bench):
    two_read(page, bench)
    slip = near(page, 0.1)
    send(page, slip)
    expect(page.locator(QUESTION)).to_be_visible()
    send(page, slip)  # within 0.7 s: the gauge was pressed twice
    expect(page.locator(QUESTION)).to_be_visible()
    page.wait_for_timeout(900)
    send(page, near(page, 0.1004))
    done(page, 3)
    with the_shop(bench.file, write=False) as shop:
        from culmwright.ledger.readings import current

        newest = current(shop, find(shop, "R1").revision.id, stage="finish")[-1].entry
    assert newest.why == "read twice, it is so"


def test_a_slip_among_readings_that_wait_is_asked_about_and_sent_once(page, bench):
    """The shop is away: what waits on the tablet counts beside what is typed, and the shop asks nothing again."""
    begin(page, bench)
    page.context.set_offline(True)
    for count in (1, 2):
        send(page, near(page))
        expect(page.locator(DONE)).to_have_text(f"{count} of 20")
        until(page, "!bench.flight")
    send(page, near(page, 0.1))
    expect(page.locator(QUESTION)).to_contain_text("thou more than goes with")
    page.keyboard.press("Enter")
    expect(page.locator(DONE)).to_have_text("3 of 20")
    page.context.set_offline(False)
    done(page, 3)
    assert len(bench.kept("finish")) == 3
    expect(page.locator("#sent")).to_have_text("all kept")

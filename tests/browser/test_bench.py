"""The page beside the rig in a real browser: sixty readings cost sixty inputs, a gauge reaches the armed cell, four
keys do a strip, and nothing typed is lost while nobody answers.
"""

from __future__ import annotations

import random
import re
import sys

import pytest
from playwright.sync_api import expect
from served import SEND, WALK

pytestmark = pytest.mark.needs_chromium

DIGITS, DONE, WORDS, NOTE = "#value", "#done", "#words", "#note"


def read(page, bench, stage="rough", strips="1,2,3,4,5,6", host="127.0.0.1"):
    page.goto(f"http://{host}:{bench.port}" + WALK.format(stage=stage, strips=strips), wait_until="load")
    page.wait_for_selector("#place:not(:empty)")


def send(page, raw, gap=8, end="Enter"):
    """What a gauge does: keys at even times, then its end mark. The times are given, so that a slow machine is none."""
    page.evaluate(SEND, [raw, gap, end, 0])


def wanted(page):
    return page.evaluate("bench.walk.armed && bench.walk.armed.shown")


def near(page, over=0.0):
    """What the gauge should show at the armed cell, and a little more."""
    return f"{float(wanted(page)) + over:.4f}"


def done(page, count, of):
    """So many cells are done, and the last reading is no longer on its way."""
    expect(page.locator(DONE)).to_have_text(f"{count} of {of}")
    for _ in range(200):
        if not page.evaluate("Boolean(bench.flight)"):
            return
        page.wait_for_timeout(20)
    raise AssertionError("the last reading is still on its way")


def answered(page):
    """True once nothing is on its way and nothing waits."""
    return page.evaluate("!bench.flight && bench.outbox.items.length === 0")


def all_kept(page, seconds=12):
    for _ in range(int(seconds * 20)):
        if answered(page):
            return
        page.wait_for_timeout(50)
    raise AssertionError(page.evaluate("JSON.stringify([bench.outbox.items, bench.outbox.fault])"))


def test_sixty_readings_cost_sixty_inputs(page, bench):
    read(page, bench)
    cells = page.evaluate("bench.walk.cells.map(one => one.spot)")
    typed, inputs = [], 0
    while (target := wanted(page)) is not None:
        typed.append(f"{float(target) + 0.0001 * (inputs % 7):.4f}")
        send(page, typed[-1], end=("Enter", "Tab")[inputs % 2])
        inputs += 1
        done(page, inputs, 60)
        all_kept(page)
    assert inputs == 60
    assert [(spot, text) for spot, text, _ in bench.kept()] == list(zip(cells, typed, strict=True))
    assert "Every cell is done" in page.locator(NOTE).inner_text()
    ticks = sorted(page.evaluate("performance.getEntriesByName('press to tick').map(one => one.duration)"))
    assert len(ticks) == 60
    sys.stdout.write(f"press to tick: p50 {ticks[30]:.0f} ms, p95 {ticks[57]:.0f} ms\n")


SITUATIONS = {
    "nothing": "document.activeElement.blur()",
    "a digit of the keypad": "document.querySelector('[data-key=\"7\"]').focus()",
    "the accept key": "document.querySelector('[data-key=accept]').focus()",
    "the rub-out key": "document.querySelector('[data-key=back]').focus()",
    "undo": "document.querySelector('[data-do=undo]').focus()",
    "next": "document.querySelector('[data-do=next]').focus()",
    "more": "document.querySelector('[data-do=more]').focus()",
    "the way back to the bench": "document.querySelector('#leave').focus()",
    "what is kept": "document.querySelector('#sent').focus()",
    "a strip of the open panel": (
        "document.querySelector('[data-do=more]').click(); document.querySelector('#strips button').focus()"
    ),
    "a reason of the open panel": "document.querySelector('#skips button').focus()",
    "the sound of the open panel": "document.querySelector('#sound').focus()",
}


def test_a_gauge_reaches_the_armed_cell_whatever_has_the_focus(page, bench):
    """Real keys of the browser's own, at 1 to 50 ms from key to key."""
    read(page, bench)
    send(page, near(page))  # from here on the page knows that this gauge ends its readings itself
    done(page, 1, 60)
    rng = random.Random(1)
    for number, (name, focus) in enumerate(SITUATIONS.items(), 1):
        page.evaluate(focus)
        spot, raw = page.evaluate("bench.walk.spot"), near(page, 0.0002)
        for key in raw:
            page.keyboard.press(key)
            page.wait_for_timeout(rng.choice((1, 5, 20, 50)))
        page.keyboard.press("Enter")
        done(page, number + 1, 60)
        all_kept(page)
        assert bench.kept()[number][:2] == (spot, raw), name
        assert page.url.endswith("unit=in"), name
    assert len(bench.kept()) == 1 + len(SITUATIONS)


def test_in_a_text_field_a_gauge_is_text(page, bench):
    read(page, bench)
    page.locator("[data-do=more]").click()
    page.locator("#depth").focus()
    send(page, "0.0080")  # given to the field as events: nothing of it may reach the cell
    page.keyboard.type("8 thou")
    assert page.locator("#depth").input_value() == "8 thou"
    assert page.evaluate("bench.wedge.draft") == ""
    assert bench.kept() == []


@pytest.mark.parametrize(("words", "said"), [([], ""), (["One strip tells nothing yet."], "The run of T2, thou")])
def test_a_run_that_says_nothing_has_no_heading(page, bench, words, said):
    read(page, bench)
    told = page.evaluate(
        """async words => {
          const { run } = await import("/look/js/bench_picture.js"), box = document.createElement("section");
          run(box, { section: "T2", values: [0.4], labels: ["S1"], words }, { small: { unit: "thou" } });
          return box.textContent;
        }""",
        words,
    )
    assert told == (said + "".join(words))


def test_silence_ends_a_reading_and_half_a_reading_is_none(page, bench):
    read(page, bench)
    raw = near(page)
    send(page, raw, end=None)
    done(page, 1, 60)
    all_kept(page)
    assert bench.kept()[0][1] == raw
    page.wait_for_timeout(320)  # no hand is at the next station sooner
    whole = near(page)
    send(page, whole[:4], gap=5, end=None)  # the radio hesitates inside a number: 0.39
    page.evaluate("new Promise(go => setTimeout(go, 90))")
    page.evaluate(SEND, [whole[4:], 5, "Enter", -60])
    expect(page.locator(WORDS)).to_contain_text("came in two pieces: neither was kept")
    all_kept(page)
    assert len(bench.kept()) == 1
    send(page, whole)  # it is known by now that this gauge ends its readings itself
    done(page, 2, 60)
    send(page, near(page)[:4], gap=5, end=None)
    page.wait_for_timeout(200)
    assert page.evaluate("bench.wedge.draft") != ""
    assert len(bench.kept()) == 2


@pytest.mark.parametrize("raw", ["0.1x30", "6,5,4", "12.", "0.16300.1631", "<script>"])
def test_what_is_no_reading_is_refused_aloud_and_shown_raw(page, bench, raw):
    read(page, bench)
    spot = page.evaluate("bench.walk.spot")
    send(page, raw)
    expect(page.locator(WORDS)).to_contain_text(raw)
    assert "cannot be read as a reading" in page.locator(WORDS).inner_text()
    assert page.evaluate("bench.sound.last") == "refused"
    assert page.evaluate("bench.walk.spot") == spot
    assert bench.kept() == []


def test_a_radio_that_hesitates_does_not_break_a_reading(page, bench):
    """Times given: two keys within 8 ms, half a second of nothing, then the rest and its end mark."""
    read(page, bench)
    send(page, near(page))
    done(page, 1, 60)
    raw = near(page)
    page.evaluate(SEND, [raw[:2], 8, None, 0])
    page.evaluate(SEND, [raw[2:], 8, "Enter", 500])
    done(page, 2, 60)
    all_kept(page)
    assert bench.kept()[1][1] == raw


@pytest.mark.parametrize("end", ["Enter", None])
def test_two_readings_in_one_are_refused(page, bench, end):
    read(page, bench)
    page.locator('[data-key="1"]').click()
    page.locator('[data-key="."]').click()
    send(page, near(page), end=end)
    expect(page.locator(WORDS)).to_contain_text("wo readings came as one")
    assert bench.kept() == []


def test_four_keys_do_a_whole_strip(page, bench):
    """A pedal has four: next, back, accept, undo. The gauge gives the values; one of them is far under."""
    read(page, bench, stage="finish", strips="1")
    send(page, near(page, -0.004))
    expect(page.locator("#question")).to_contain_text("4.0 thou under at station 0: stop, no pass can put cane back")
    page.keyboard.press("Enter")  # without a reason it is not kept
    expect(page.locator("#keep")).to_have_text("Say why first")
    assert bench.kept("finish") == []
    page.keyboard.press("PageDown")
    page.keyboard.press("PageDown")
    page.keyboard.press("PageUp")
    page.keyboard.press("Enter")
    done(page, 1, 10)
    page.keyboard.press("Escape")  # undo
    done(page, 0, 10)
    all_kept(page)
    assert bench.kept("finish") == []
    page.keyboard.press("PageUp")  # back, round to the last
    assert page.evaluate("bench.walk.armed.station") == "45"
    page.keyboard.press("PageDown")
    for number in range(10):
        for key in near(page, 0.0002 * (number % 3)):
            page.keyboard.press(key)
            page.wait_for_timeout(90)  # a hand at a keypad
        page.keyboard.press("Enter")
        done(page, number + 1, 10)
    all_kept(page)
    assert [spot for spot, _, _ in bench.kept("finish")] == page.evaluate("bench.walk.cells.map(one => one.spot)")


def test_undo_reaches_a_reading_that_is_still_on_its_way(page, bench):
    read(page, bench)
    page.evaluate(
        """() => { const now = bench.outbox.send.bind(bench.outbox);
        bench.outbox.send = async item => { await new Promise(go => setTimeout(go, 300)); return now(item) } }"""
    )
    send(page, near(page))
    expect(page.locator(DONE)).to_have_text("1 of 60")
    page.keyboard.press("Escape")
    expect(page.locator(DONE)).to_have_text("0 of 60")
    all_kept(page)
    assert page.evaluate("bench.walk.spot") == "T1/S1@0in"
    assert bench.kept() == []


def test_a_pedal_with_other_keys_is_taught(page, bench):
    read(page, bench)
    page.locator("[data-do=more]").click()
    page.get_by_role("button", name="next: PageDown").click()
    page.keyboard.press("ArrowRight")
    page.locator("#close").click()
    page.keyboard.press("PageDown")
    assert page.evaluate("bench.walk.spot") == "T1/S1@0in"
    page.reload()
    page.wait_for_selector("#place:not(:empty)")
    page.keyboard.press("ArrowRight")
    assert page.evaluate("bench.walk.spot") == "T1/S1@5in"


def test_the_same_value_at_once_is_asked_about(page, bench):
    read(page, bench)
    raw = near(page)
    send(page, raw)
    done(page, 1, 60)
    page.evaluate("bench.walk.arm(bench.walk.cells[10].spot)")  # the same station of the next strip
    page.evaluate("Date.now = (now => () => now)(Date.now())")
    send(page, raw)
    expect(page.locator("#question")).to_contain_text(f"{raw.rstrip('0')} in came twice within 0.7 s")
    page.keyboard.press("Enter")
    done(page, 2, 60)


def test_a_unit_mixed_up_is_asked_about_and_never_converted(page, bench):
    read(page, bench)
    raw = f"{float(near(page)) * 25.4:.2f}"
    send(page, raw)
    expect(page.locator("#question")).to_contain_text("That looks like millimetres on an inch gauge")
    page.keyboard.press("Escape")
    assert bench.kept() == []
    send(page, f"{raw} mm")
    done(page, 1, 60)
    assert bench.kept()[0][1] == f"{raw} mm"


def test_a_half_typed_value_survives_a_reload(page, bench):
    read(page, bench)
    for key in ("0", ".", "1", "6"):
        page.locator(f'[data-key="{key}"]').click()
    expect(page.locator(DIGITS)).to_have_text("0.16")
    page.reload()
    expect(page.locator(DIGITS)).to_have_text("0.16")
    page.locator("[data-key=back]").click()
    expect(page.locator(DIGITS)).to_have_text("0.1")


def test_an_offline_spell_in_the_middle_is_dull(page, bench):
    read(page, bench)
    cells = page.evaluate("bench.walk.cells.map(one => one.spot)")
    typed = []
    for number in range(30):
        if number == 8:
            page.context.set_offline(True)
        if number == 22:
            page.context.set_offline(False)
        typed.append(near(page, 0.0003 * (number % 5)))
        send(page, typed[-1])
        done(page, number + 1, 60)
        if number == 15:
            assert re.fullmatch(r"\d+ waiting, \d+ s", page.locator("#sent").inner_text())
            assert "on this tablet, not in the shop yet" in page.locator(NOTE).inner_text()
    all_kept(page)
    expect(page.locator("#sent")).to_have_text("all kept")
    assert [(spot, text) for spot, text, _ in bench.kept()] == list(zip(cells, typed, strict=False))


def test_what_waited_is_not_said_to_wait_once_it_is_in_the_shop(page, bench):
    read(page, bench)
    page.context.set_offline(True)
    send(page, near(page))
    expect(page.locator(NOTE)).to_have_text("T1/S1@0in: on this tablet, not in the shop yet")
    page.context.set_offline(False)
    all_kept(page)
    expect(page.locator(NOTE)).to_have_text("T1/S1@0in: in the shop")


def test_a_queue_survives_a_reload_and_a_new_start_of_the_shop(page, bench):
    read(page, bench)
    send(page, near(page))
    done(page, 1, 60)
    bench.stop()
    for number in range(3):
        send(page, near(page, 0.0001))
        done(page, number + 2, 60)
    bench.start()  # another process would have another token: so has this one
    page.reload()
    page.wait_for_selector("#place:not(:empty)")
    done(page, 4, 60)
    all_kept(page)
    assert len(bench.kept()) == 4


def test_an_old_page_keeps_its_queue_over_a_new_start(page, bench):
    read(page, bench)
    bench.stop()
    for number in range(2):
        send(page, near(page, 0.0001))
        done(page, number + 1, 60)
    page.evaluate("document.querySelector('meta[name=token]').content = 'of another start'")
    bench.start()
    all_kept(page, 20)  # it fetches the new token by itself
    assert len(bench.kept()) == 2


def test_two_tablets_on_one_rod(browser, bench):
    one, other = (browser.new_context().new_page() for _ in range(2))
    for tablet in (one, other):
        read(tablet, bench)
    first = near(one)
    send(one, first)
    done(one, 1, 60)
    send(other, near(other, 0.0011))  # its cell was open when it was armed
    expect(other.locator("#question")).to_contain_text(
        f"Another hand has read {first} in at T1/S1@0in meanwhile; yours is"
    )
    other.locator("#why").fill("mine is the later")
    other.locator("#keep").click()
    done(other, 1, 60)
    all_kept(other)
    (kept,) = bench.kept()
    assert kept[1] == near_of(first, 0.0011)
    send(other, near(other))
    done(other, 2, 60)
    done(one, 2, 60)  # it sees the other's without being touched
    for tablet in (one, other):
        tablet.context.close()


def test_what_was_held_on_its_way_is_kept_for_a_look(browser, bench):
    """Read offline; meanwhile another tablet fills the cell: the late one is shown with both values, never lost."""
    one, other = (browser.new_context().new_page() for _ in range(2))
    for tablet in (one, other):
        read(tablet, bench)
    first = near(one)
    one.context.set_offline(True)
    send(one, near_of(first, 0.0007))
    done(one, 1, 60)
    send(other, first)
    done(other, 1, 60)
    all_kept(other)
    one.context.set_offline(False)
    expect(one.locator("#sent")).to_contain_text("1 needs a look", timeout=15_000)
    assert [text for _, text, _ in bench.kept()] == [first]
    one.reload()  # it stays for a look
    one.locator("#sent").click()
    said = one.locator("#look-list").inner_text()
    assert first in said and near_of(first, 0.0007) in said
    one.get_by_role("button", name="Keep it").click()
    all_kept(one)
    assert [text for _, text, _ in bench.kept()] == [near_of(first, 0.0007)]
    for tablet in (one, other):
        tablet.context.close()


def test_a_question_is_come_back_to_from_the_list_of_what_waits(page, bench):
    read(page, bench)
    page.context.set_offline(True)
    cell = page.locator("#strip").inner_text().replace("·", ",").replace(" of 6", "").replace(" ,", ",")
    typed = near(page)
    send(page, typed)
    done(page, 1, 60)
    send(page, near(page, -0.02))
    expect(page.locator("#question")).to_contain_text("20.0 thou under")
    page.locator("#sent").click()
    said = page.locator("#look-list").inner_text()
    assert f"{cell}, station 0: {typed}" in said
    assert "The shop does not answer. What waits is kept on this tablet, and goes to the shop by itself" in said
    page.locator("#looks-close").click()
    expect(page.locator("#question")).to_be_visible()
    page.get_by_role("button", name="read twice, it is so").click()
    page.get_by_role("button", name="Keep it").click()
    done(page, 2, 60)
    page.context.set_offline(False)
    all_kept(page)
    assert len(bench.kept()) == 2


def test_what_waits_too_long_is_said(page, bench):
    read(page, bench)
    page.context.set_offline(True)
    send(page, near(page))
    done(page, 1, 60)
    page.evaluate("bench.outbox.items[0].made -= 11 * 60 * 1000")
    expect(page.locator("#sent")).to_contain_text("1 waiting, 11 min: not in the shop")
    page.context.set_offline(False)
    all_kept(page)


def near_of(text, over):
    return f"{float(text) + over:.4f}"


def test_on_plain_http_of_a_network_it_works_and_says_what_is_missing(page, bench):
    read(page, bench, host="bench.lan")
    assert page.evaluate("isSecureContext") is False
    assert page.evaluate("typeof crypto.randomUUID") == "undefined"
    send(page, near(page))
    done(page, 1, 60)
    all_kept(page)
    assert len(bench.kept()) == 1
    assert "without https cannot keep the screen awake" in page.locator("#able").text_content()


def test_a_page_without_scripts_reads_cell_by_cell(browser, bench):
    context = browser.new_context(java_script_enabled=False)
    page = context.new_page()
    page.goto(bench.address + WALK.format(stage="rough", strips="1"))
    target = page.locator(".big").inner_text().split()[0]
    page.locator("input[name=typed]").fill(target)
    page.get_by_role("button", name="Keep").click()
    assert "on size at station 0" in page.locator("#plain [role=status]").inner_text().lower()
    page.locator("input[name=typed]").fill("10.00")
    page.get_by_role("button", name="Keep").click()
    assert "millimetres on an inch gauge" in page.locator("#plain [role=alert]").inner_text()
    page.locator("input[name=why]").fill("so it is")
    page.get_by_role("button", name="Keep it").click()
    page.get_by_role("button", name="Undo the last").click()
    assert "T1/S1@5in taken back" in page.locator("#plain [role=status]").inner_text()
    context.close()
    assert bench.kept()[0][1] == target and len(bench.kept()) == 1


def test_skip_cut_and_go_from_the_panel(page, bench):
    read(page, bench)
    more = page.locator("[data-do=more]")
    more.click()
    page.get_by_role("button", name="a node is there").first.click()
    done(page, 1, 60)
    more.click()
    page.locator("#depth").fill("8 thou")
    page.get_by_role("button", name="on every strip of the section").click()
    expect(page.locator(WORDS)).to_contain_text("over every strip of T1 is in the log")
    more.click()
    page.get_by_role("button", name="strip 4", exact=True).click()
    page.locator("#stations").get_by_role("button", name="25", exact=True).click()
    assert page.evaluate("bench.walk.spot") == "T1/S4@25in"
    assert bench.kept()[0][:2] == ("T1/S1@0in", None)
    page.goto(f"{bench.address}/R1/log")
    assert "8 thou" in page.content() or "8.0 thou" in page.content()


@pytest.mark.parametrize("key", ["ArrowUp", "ArrowDown", "ArrowLeft", "ArrowRight", "Home", "End", "wheel"])
def test_wheel_and_arrows_never_alter_a_value(page, bench, key):
    def turn():
        if key == "wheel":
            page.mouse.move(300, 400)
            page.mouse.wheel(0, 240)
        else:
            page.keyboard.press(key)

    read(page, bench)
    for name in ("0", ".", "3"):
        page.locator(f'[data-key="{name}"]').click()
    turn()
    expect(page.locator(DIGITS)).to_have_text("0.3")
    page.locator("[data-do=more]").click()
    page.locator("#depth").fill("8 thou")
    page.locator("#depth").focus()
    turn()
    assert page.locator("#depth").input_value() == "8 thou"
    assert page.locator("input[type=number]").count() == 0


REFUSED = """for (const name of ["localStorage", "sessionStorage"]) Object.defineProperty(window, name, {
  get() { throw new DOMException("refused", "SecurityError"); },
});
IDBFactory.prototype.open = () => { throw new DOMException("refused", "SecurityError"); };"""
FULL = """const full = () => { throw new DOMException("full", "QuotaExceededError"); };
Storage.prototype.setItem = full;
IDBObjectStore.prototype.add = full;"""
LOST = """const lost = () => { throw new DOMException("lost", "InvalidStateError"); };
window.lose = () => { IDBDatabase.prototype.transaction = lost; };"""


@pytest.mark.parametrize(
    ("harm", "says"), [(REFUSED, ""), (FULL, "keep this page open"), (LOST, "keep this page open")]
)
def test_a_browser_that_keeps_nothing_loses_no_reading(page, bench, harm, says):
    page.add_init_script(harm)
    read(page, bench)
    page.evaluate("window.lose?.()")
    send(page, near(page))
    done(page, 1, 60)
    page.context.set_offline(True)
    for number in (2, 3):
        send(page, near(page, 0.0001 * number))
        done(page, number, 60)
    assert says in page.locator("#sent").inner_text()
    page.context.set_offline(False)
    all_kept(page)
    assert len(bench.kept()) == 3
    expect(page.locator("#sent")).to_have_text("all kept")


def test_a_shop_that_is_silent_is_asked_one_thing_at_a_time(page, bench):
    """A browser has six lines to one server: looks that are never answered must not hold them all."""
    asked = []
    read(page, bench)
    page.route("**/recent?*", lambda route: asked.append(route))
    page.wait_for_timeout(6500)
    assert len(asked) == 1
    send(page, near(page))
    done(page, 1, 60)
    all_kept(page)


def test_a_backup_put_back_is_seen_by_an_open_page(page, bench):
    from culmwright.workshop import guarding

    copy = guarding.backup(bench.file).path
    read(page, bench)
    for number in range(3):
        send(page, near(page, 0.0001 * number))
        done(page, number + 1, 60)
    all_kept(page)
    page.wait_for_timeout(2500)  # it has looked at the shop since
    with bench.desk.alone():
        guarding.restore(copy, bench.file)
    expect(page.locator(DONE)).to_have_text("0 of 60")

"""Drawing a rod in a real browser: started from a paste, dragged, typed, undone, kept, and a station picked everywhere.

The axis shared by drawing and charts is measured on the screen, not taken from the code: a picked station has to lie
under the same pixel in all of them.
"""

from __future__ import annotations

import tomllib
import urllib.request

import pytest

pytestmark = pytest.mark.needs_chromium
DESK, PHONE = {"width": 1440, "height": 900}, {"width": 390, "height": 844}


@pytest.fixture
def page(browser):
    """A desk-wide page on which any error of a script fails the test."""
    context = browser.new_context(viewport=DESK)
    opened, faults = context.new_page(), []
    opened.on("pageerror", lambda fault: faults.append(str(fault)))
    opened.on("console", lambda said: faults.append(said.text) if said.type == "error" else None)
    opened.faults = faults
    yield opened
    context.close()
    assert faults == []


def across(page, row):
    return page.locator("#stations input[name=across]").nth(row).input_value()


def settled(page):
    """Wait until the page has redrawn what the workshop answered last."""
    page.locator("#redraw[aria-busy=false]").wait_for()


def handle_at(page, row):
    box = page.locator(f'.handle[data-row="{row}"] .dot').bounding_box()
    return box["x"] + box["width"] / 2, box["y"] + box["height"] / 2


def file_of(bench, code):
    with urllib.request.urlopen(f"{bench.address}/{code}/rod.toml", timeout=30) as answer:
        return tomllib.loads(answer.read().decode())


def test_a_station_is_dragged_undone_redone_and_kept(page, bench):
    page.goto(bench.address + "/R1/taper")
    settled(page)
    was = page.locator("#stations .stress").nth(5).inner_text()
    x, y = handle_at(page, 5)
    page.mouse.move(x, y)
    page.mouse.down()
    page.mouse.move(x, y - 12, steps=6)
    page.mouse.up()
    settled(page)
    drawn = across(page, 5)
    assert 0.135 < float(drawn) < 0.165  # it was 0.129, and 12 px are about 20 thou
    assert page.url.endswith("#25")
    assert int(page.locator("#stations .stress").nth(5).inner_text()) < int(was)  # a thicker rod is stressed less
    page.keyboard.press("Control+z")
    assert across(page, 5) == "0.129"
    page.keyboard.press("Control+y")
    assert across(page, 5) == drawn
    page.locator("#reason").fill("stiffer there")
    page.get_by_role("button", name="Keep it").click()
    page.wait_for_url("**/R1.2/taper*")
    assert f"{file_of(bench, 'R1.2')['taper']['across'][5]}" == drawn.rstrip("0")
    assert file_of(bench, "R1.1")["taper"]["across"][5] == 0.129
    assert "stiffer there" in page.locator(".revisions").inner_text()


@pytest.mark.parametrize("size", [{"width": 820, "height": 1180}, PHONE])
def test_the_drawing_stays_under_the_hand_while_the_panel_opens_above_it(page, bench, size):
    page.set_viewport_size(size)
    page.goto(bench.address + "/R1/taper")
    settled(page)
    if size == PHONE:
        page.locator("#chart-across").scroll_into_view_if_needed()
    x, y = handle_at(page, 5)
    page.mouse.move(x, y)
    page.mouse.down()
    page.locator("#station h2").wait_for()
    assert handle_at(page, 5) == pytest.approx((x, y), abs=1.5)  # [px] a subpixel of scrolling either way
    page.mouse.move(x, y - 2)
    assert across(page, 5) == "0.129"  # a hand that trembles only picks
    page.mouse.move(x, y - 12, steps=6)
    settled(page)
    assert handle_at(page, 5) == pytest.approx((x, y - 12), abs=1.5)
    page.mouse.up()
    assert 0.135 < float(across(page, 5)) < 0.165  # 12 px are 20 to 30 thou
    page.keyboard.press("Control+z")
    assert across(page, 5) == "0.129"


def test_the_keyboard_alone_changes_a_thou_at_a_time(page, bench):
    page.goto(bench.address + "/R1/taper#25")
    settled(page)
    page.locator('.handle[data-row="5"]').focus()
    for key in ("ArrowUp", "ArrowUp", "ArrowDown", "PageUp"):
        page.keyboard.press(key)
        settled(page)
    assert across(page, 5) == "0.14"  # 0.129 + 0.002 - 0.001 + 0.010
    assert page.evaluate("document.activeElement.dataset.row") == "5"  # redrawn under the hand, and still held
    page.keyboard.press("ArrowRight")
    assert page.evaluate("document.activeElement.getAttribute('aria-label')") == "across at station 30"
    page.mouse.move(*handle_at(page, 6))
    page.mouse.wheel(0, 240)
    assert across(page, 6) == "0.141"


def test_a_draft_survives_a_reload_and_can_be_dropped(page, bench):
    page.goto(bench.address + "/R1/taper")
    settled(page)
    cell = page.locator("#stations input[name=across]").nth(3)
    cell.fill("0,11")
    cell.press("Tab")
    settled(page)
    page.reload()
    settled(page)
    assert across(page, 3) == "0,11"
    assert "not kept yet" in page.locator("#how").inner_text()
    page.get_by_role("button", name="Back to R1.1").click()
    assert across(page, 3) == "0.1075"
    page.reload()
    settled(page)
    assert across(page, 3) == "0.1075"


def test_stations_are_added_and_taken_out(page, bench):
    page.goto(bench.address + "/R1/taper#25")
    settled(page)
    page.get_by_role("button", name="Add a station").click()
    assert page.url.endswith("#27.5")
    assert across(page, 6) == "0.135"  # half way between 0.129 and 0.141
    extra = page.locator("#stations .extra input")
    extra.nth(0).fill("62 1/2")
    extra.nth(1).fill("0.2245")
    extra.nth(1).press("Tab")
    settled(page)
    stations = [one.input_value() for one in page.locator("#stations input[name=station]").all()]
    assert stations[13:16] == ["60", "62 1/2", "65"]  # sorted in, behind twelve stations and the one added
    page.get_by_role("button", name="take out station 27.5").click()
    settled(page)
    assert page.locator("#refused").is_hidden()
    assert page.locator("#stations input[name=station]").count() == 19 + 1 + 1  # the fraction stays; and the empty row


def test_what_cannot_be_is_said_while_it_is_typed(page, bench):
    page.goto(bench.address + "/R1/taper")
    settled(page)
    page.faults.clear()
    cell = page.locator("#stations input[name=across]").nth(3)
    cell.fill("thick")
    cell.press("Tab")
    page.locator("#refused").wait_for(state="visible")
    assert "cannot be read as a length" in page.locator("#refused").inner_text()
    page.faults.clear()  # the browser reports the refusal as a failed request


@pytest.mark.parametrize("size", [DESK, PHONE], ids=["desk", "phone"])
def test_a_picked_station_lies_under_one_line_in_every_chart(page, bench, size):
    page.set_viewport_size(size)
    page.goto(bench.address + "/R1/taper")
    settled(page)
    hand = page.locator(".hand")
    hand.focus()
    for _ in range(6):
        page.keyboard.press("ArrowRight")
    assert hand.get_attribute("aria-valuetext") == "station 25 in"
    assert page.url.endswith("#25")
    lines = page.evaluate(
        "[...document.querySelectorAll('.mark')].filter(one => one.offsetParent)"
        ".map(one => one.getBoundingClientRect().x + one.getBoundingClientRect().width / 2)"
    )
    assert len(lines) == 4  # the rod, across, stress, strip heights
    assert max(lines) - min(lines) < 1
    assert abs(handle_at(page, 5)[0] - lines[0]) < 1.5  # the handle of that station, in another picture, on the line
    row = page.locator("tr.picked")
    assert row.count() == 1 and row.locator("input").first.input_value() == "25"
    panel = page.locator("#station")
    panel.get_by_text("Station 25 in").wait_for()
    assert "0.0630 in" in panel.inner_text()
    page.locator("nav a", has_text="Strips").click()
    page.wait_for_url("**/strips#25")
    assert page.locator("tr.picked th").inner_text() == "25"


def test_the_rod_bends_under_the_slider(page, bench):
    page.goto(bench.address + "/R1/taper")
    settled(page)
    drops = []
    for load in ("1", "3"):
        page.locator("#load").fill(load)
        page.wait_for_function(
            "words => document.getElementById('bend-said').innerText.includes(words)",
            arg=f"Under {load} oz",
            timeout=60_000,
        )
        drops.append(page.locator("#chart-bend svg").bounding_box()["height"])
    assert drops[1] > drops[0] > 20


def test_a_rod_is_started_from_a_paste(page, bench):
    """As a new user would: nothing known of files; a reload in the middle loses nothing."""
    page.goto(bench.address + "/")
    page.get_by_role("link", name="Start a rod").click()
    page.get_by_label("Name").fill("Quillet Water")
    page.get_by_label("Length, tip to butt end").fill("7 ft")
    page.get_by_label("Paste two columns").fill("0\t1,7\n42\t3,9\n84\t5,7\n")
    page.reload()
    assert page.get_by_label("Name").input_value() == "Quillet Water"
    page.get_by_role("button", name="Look at it").click()
    page.get_by_text("Across is taken as millimetres").wait_for()
    page.get_by_role("button", name="Keep it as a rod of the shop").click()
    page.wait_for_url("**/R2")
    assert file_of(bench, "R2")["taper"]["across"] == ["1,7 mm", "3,9 mm", "5,7 mm"]


def test_the_taper_is_redrawn_without_scripts(browser, bench):
    context = browser.new_context(viewport=PHONE, java_script_enabled=False)
    page = context.new_page()
    page.goto(bench.address + "/R1/taper")
    page.locator("#stations input[name=across]").nth(5).fill("0.128")
    page.get_by_label("Why it was redrawn").fill("softer")
    page.get_by_role("button", name="Keep it").click()
    page.wait_for_url("**/R1.2/taper*")
    context.close()
    assert file_of(bench, "R1.2")["taper"]["across"][5] == 0.128

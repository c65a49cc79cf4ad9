"""Nothing drawn or typed is lost by a refusal, and a refusal stands where the hand is; in a real browser."""

from __future__ import annotations

import pytest
from playwright.sync_api import expect
from served import WALK

pytestmark = pytest.mark.needs_chromium
INTO_VIEW = """([place, field]) => [...document.querySelectorAll(place + ', ' + field)].every(one => {
  const box = one.getBoundingClientRect();
  return box.height > 0 && box.top >= 0 && box.bottom <= innerHeight;
})"""


@pytest.fixture
def page(browser):
    context = browser.new_context(viewport={"width": 1180, "height": 820})
    opened, faults = context.new_page(), []
    opened.on("pageerror", lambda fault: faults.append(str(fault)))
    yield opened
    context.close()
    assert faults == []


def settled(page):
    page.locator("#redraw[aria-busy=false]").wait_for()


def across(page, row):
    return page.locator("#stations input[name=across]").nth(row)


def draw(page, row, text):
    across(page, row).fill(text)
    across(page, row).press("Tab")
    settled(page)


def keep(page, why=""):
    page.locator("#reason").fill(why)
    page.get_by_role("button", name="Keep it").click()
    page.wait_for_load_state("load")


def test_a_drawing_outlives_a_refused_keep(page, bench):
    page.goto(bench.address + "/R1/taper")
    settled(page)
    draw(page, 5, "0.131")
    keep(page)
    expect(page.locator("#reason-fault")).to_contain_text("needs a reason")
    assert page.evaluate("document.activeElement.id") == "reason"
    assert page.evaluate(INTO_VIEW, ["#reason-fault", "#reason"])
    settled(page)
    page.locator("nav a", has_text="Behaviour").click()
    page.wait_for_url("**/behaviour*")
    page.locator("nav a", has_text="Taper").click()
    page.wait_for_url("**/taper*")
    settled(page)
    assert across(page, 5).input_value() == "0.131"
    page.reload()
    settled(page)
    assert across(page, 5).input_value() == "0.131"
    keep(page, "stiffer there")
    page.wait_for_url("**/R1.2/taper*")
    settled(page)
    assert "from=" not in page.url  # nothing of how it came is left in the address
    page.goto(bench.address + "/R1.1/taper")
    settled(page)
    assert across(page, 5).input_value() == "0.129"  # what was kept is no draft any more


def test_a_refused_page_can_go_back_to_what_is_frozen(page, bench):
    page.goto(bench.address + "/R1/taper")
    settled(page)
    draw(page, 5, "0.131")
    keep(page)
    settled(page)
    page.get_by_role("button", name="Back to R1.1").click()
    assert across(page, 5).input_value() == "0.129"


def test_what_is_no_length_is_said_at_its_cell(page, bench):
    page.goto(bench.address + "/R1/taper")
    settled(page)
    draw(page, 5, "abc")
    cell = page.locator("#stations tbody tr").nth(5)
    expect(cell.locator(".fault")).to_contain_text("cannot be read as a length")
    assert across(page, 5).get_attribute("aria-invalid") == "true"
    assert page.evaluate("document.getElementById('cell-fault').closest('tr').rowIndex") == 6  # behind the headings
    keep(page, "why not")
    assert page.evaluate("document.activeElement.name") == "across"  # the same, said by the page that comes back
    assert page.evaluate(INTO_VIEW, ["#across-6-fault", "[aria-invalid=true]"])
    settled(page)
    draw(page, 5, "0.130")
    expect(page.locator("#stations .fault")).to_have_count(0)
    assert page.locator("[aria-invalid]").count() == 0


def test_what_is_about_the_whole_taper_is_said_over_the_table(page, bench):
    page.goto(bench.address + "/R1/taper")
    settled(page)
    draw(page, 5, "3")  # wider than any culm gives
    expect(page.locator("#refused-below")).to_be_visible()
    assert page.locator("#refused-below").inner_text() == page.locator("#refused").inner_text() != ""


def test_a_notice_is_one_sentence(page, bench):
    page.goto(bench.address + "/R1/taper")
    settled(page)
    draw(page, 5, "0.29")
    expect(page.locator("#notes")).to_contain_text("is that a slip?")
    said = page.locator("#notes").inner_text()
    assert "[" not in said and "?." not in said


@pytest.mark.parametrize("size", [(1180, 820), (390, 844)], ids=["tablet", "phone"])
def test_the_page_comes_up_at_what_was_refused(page, bench, size):
    page.set_viewport_size({"width": size[0], "height": size[1]})
    page.goto(bench.address + "/new")
    page.locator("#name").fill("Quillet Water")
    page.locator("#length").fill("90")
    page.locator("#pasted").fill("0 0.066\n45 0.155\n90 0.240")
    page.locator("#guides").fill("0\nten")
    page.get_by_role("button", name="Look at it").click()
    page.locator("#guides-fault").wait_for()
    assert page.evaluate("document.activeElement.id") == "guides"
    assert page.evaluate(INTO_VIEW, ["#guides-fault", "#guides"])
    page.locator("#guides").fill("")
    page.get_by_role("button", name="Propose them now").click()
    page.locator("#seen").wait_for()
    assert page.evaluate("document.activeElement.id") == "guides"
    assert page.locator("#guides").input_value().startswith("0\n")
    assert page.evaluate("scrollY") > 300  # [px] the form is longer than that before its guides


def test_what_is_typed_to_start_a_rod_outlives_a_refusal(page, bench):
    page.goto(bench.address + "/new")
    page.locator("#name").fill("Quillet Water")
    page.locator("#pasted").fill("0 0.066\n45 0.155\n90 0.240")
    page.get_by_role("button", name="Look at it").click()
    page.locator("#length-fault").wait_for()
    page.goto(bench.address + "/")
    page.get_by_role("link", name="Start a rod").click()
    page.wait_for_url("**/new")
    assert page.locator("#name").input_value() == "Quillet Water"
    page.locator("#length").fill("90")
    page.get_by_role("button", name="Keep it as a rod of the shop").click()
    page.locator("#seen").wait_for()  # looked at first, then kept
    page.get_by_role("button", name="Keep it as a rod of the shop").click()
    page.wait_for_url("**/R2*")
    page.goto(bench.address + "/new")
    assert page.locator("#name").input_value() == ""


def test_a_slip_comes_up_open_at_its_refusal(page, bench):
    page.goto(bench.address + "/R1/water")
    slip = page.locator("#weigh")
    slip.get_by_label("It weighs").fill("90 g")
    slip.get_by_label("Moisture to come to").fill("60%")
    slip.get_by_role("button").click()
    page.locator("#weigh-target-fault").wait_for()
    assert page.evaluate("document.activeElement.id") == "weigh-target"
    assert page.evaluate(INTO_VIEW, ["#weigh-target-fault", "#weigh-target"])


def test_a_station_past_the_end_is_said(page, bench):
    page.goto(bench.address + "/R1/taper#95")
    expect(page.locator("#station")).to_contain_text("Station 95 in is not on this rod: it runs from 0 to 90 in.")
    page.evaluate("location.hash = '#25'")
    expect(page.locator("#station h2")).to_contain_text("25 in")


def test_a_reason_once_picked_can_be_kept_with(page, bench):
    page.goto(bench.address + WALK.format(stage="finish", strips="1"))
    page.wait_for_selector("#place:not(:empty)")
    low = page.evaluate("Number(bench.walk.armed.shown)") - 0.004  # beyond the stop limit
    for key in (*f"{low:.4f}", "Enter"):
        page.keyboard.press(key, delay=120)
    page.locator("#ask").wait_for()
    button = page.locator("#keep")
    assert button.inner_text() == "Keep it"
    button.click()
    assert button.inner_text() == "Say why first"
    page.locator("#reasons button").first.click()
    assert button.inner_text() == "Keep it"
    page.evaluate("document.querySelector('#why').dispatchEvent(new Event('input'))")
    button.click()
    assert button.inner_text() == "Say why first"
    page.locator("#why").fill("torn there")
    assert button.inner_text() == "Keep it"


def test_the_clock_is_the_one_of_the_other_pages(browser, bench):
    """A tablet set to the habits of the United States shows 13:25 as the other pages do."""
    context = browser.new_context(locale="en-US", viewport={"width": 820, "height": 1180})
    page = context.new_page()
    page.goto(bench.address + WALK.format(stage="rough", strips="1"))
    page.wait_for_selector("#place:not(:empty)")
    context.set_offline(True)
    value = page.evaluate("bench.walk.armed.shown")
    for key in (*value, "Enter"):
        page.keyboard.press(key, delay=120)
    page.locator("#sent").click()
    expect(page.locator("#look-list")).to_contain_text("waits since ")
    said = page.locator("#look-list").inner_text()
    assert " AM" not in said and " PM" not in said
    context.close()

"""The slips of the stages in a real browser: nothing clipped, nothing too small for a damp finger, nothing axe finds.

Targets of 44 px: WCAG 2.2, success criterion 2.5.5 (level AAA), held here because hands at a bench are wet.
"""

from __future__ import annotations

import pytest
from served import Served, new_shop

pytestmark = pytest.mark.needs_chromium

PAGES = ["/R1/culm", "/R1/water", "/R1/settings", "/R1/glue", "/R1/proof", "/R1/log", "/stores", "/lessons"]
OPEN = "document.querySelectorAll('details.slip').forEach(one => one.open = true)"
CLIPPED = """() => [...document.querySelectorAll('.slips *')].filter(one =>
  getComputedStyle(one).display !== 'inline' && one.scrollWidth > one.clientWidth + 1 && one.clientWidth > 0
  && !one.matches('select, textarea, input, .unseen')).map(one => one.outerHTML.slice(0, 120))"""
SMALL = """() => [...document.querySelectorAll(
  '.slips summary, .slips button, .slips select, .slips textarea, .slips label:has(input), .slips .see a,' +
  '.slips input:not([type=hidden]):not([type=checkbox])')].map(one => [one, one.getBoundingClientRect()])
  .filter(([one, box]) => box.height < 44 || box.width < 44)
  .map(([one, box]) => one.outerHTML.slice(0, 120) + box.height)"""


@pytest.fixture(scope="module")
def stocked(tmp_path_factory):
    """A workbench over a shop with a rod, a culm, a rig and a gauge."""
    from culmwright.ledger.shop import open_shop
    from culmwright.workshop.layouts_kept import keep_culm
    from culmwright.workshop.serving import enter_gauge
    from culmwright.workshop.setting_kept import keep_rig
    from culmwright.workshop.starting import culm_text, shop_rig_text

    file = new_shop(tmp_path_factory.mktemp("shop"))
    with open_shop(file) as shop:
        keep_culm(shop, culm_text("k12"))
        keep_rig(shop, shop_rig_text("long-form"))
        enter_gauge(shop, "G1", "in")
    served = Served(file, 0).start()
    yield served
    served.stop()


def violations(page):
    """What axe finds, a line for each place."""
    from axe_playwright_python.sync_playwright import Axe

    found = Axe().run(page).response["violations"]
    return [f"{one['id']}: {node['target']} {node['failureSummary']}" for one in found for node in one["nodes"]]


@pytest.mark.parametrize("theme", ["light", "dark"])
@pytest.mark.parametrize("width", [390, 820, 1440])
def test_slips_fit_a_screen_and_a_finger(browser, stocked, width, theme):
    context = browser.new_context(viewport={"width": width, "height": 900}, color_scheme=theme, bypass_csp=True)
    page = context.new_page()
    found = {}
    for path in PAGES:
        page.goto(stocked.address + path, wait_until="load")
        page.evaluate(OPEN)
        wide = page.evaluate("document.documentElement.scrollWidth")
        clipped, small = page.evaluate(CLIPPED), page.evaluate(SMALL)
        axe = violations(page) if width != 820 else []
        if wide > width or clipped or small or axe:
            found[path] = (wide, clipped, small, axe)
    context.close()
    assert found == {}


def test_a_stage_is_written_to_without_scripts(browser, stocked):
    """Refused with the sentence beside the field, mended, kept, and back on the page."""
    context = browser.new_context(viewport={"width": 390, "height": 900}, java_script_enabled=False)
    page = context.new_page()
    page.goto(stocked.address + "/R1/water", wait_until="load")
    slip = page.locator("#weigh")
    slip.get_by_label("It weighs").fill("heavy")
    slip.get_by_label("When").fill("2026-11-20 08:15")
    slip.get_by_role("button").click()
    assert page.get_by_role("alert").is_visible()
    assert "cannot be read as a mass" in slip.locator("#weigh-mass-fault").inner_text()
    assert slip.get_by_label("When").input_value() == "2026-11-20 08:15"
    slip.get_by_label("It weighs").fill("104.5 g")
    slip.get_by_role("button").click()
    page.wait_for_url("**/R1/water?kept=weigh#sheet")
    assert page.get_by_role("status").inner_text() == "The weighing is kept."
    context.close()


def test_axe_finds_nothing_in_a_refusal(browser, stocked):
    page = browser.new_page(bypass_csp=True)
    page.goto(stocked.address + "/R1/log", wait_until="load")
    page.locator("#event summary").click()
    page.locator("#event button").click()
    assert page.locator("#event .fault, #event .refusal").first.is_visible()
    assert violations(page) == []
    page.close()

"""Tables on a phone: whatever columns a leaf has, every figure is on the screen, or the table says that it goes on."""

from __future__ import annotations

import pytest

from culmwright.book.leaf import Rows
from culmwright.web.render import LOOK, templates
from culmwright.web.tables import on_phone

pytestmark = pytest.mark.needs_chromium

TURNS = Rows(
    ("screw", "on the rig, in", "on the section, in", "depth, in", "gauge shows", "from closed", "from now"),
    tuple((str(n), str(5 * n), "beyond", "0.0998", "0.0798", "12 + 17.8", "close 10 + 18.9") for n in range(1, 14)),
    "Turns",
)
CUTS = Rows(
    ("strip", "split as", "off the butt end, mm", "off the tip end, mm", "nodes, from the section's tip end, mm"),
    tuple((f"S{n}", f"K12-butt/{n + 9}", "1067.5", "1482.5", "279.5, 609.5, 929.5, 1249.5") for n in range(1, 7)),
    "Cut list",
    2,
)
STATIONS = Rows(
    ("station, in", "section", "stiffness, %", "it is", "stress, oz/in²", "drawn", "of limit", "spine, %", "at, deg"),
    (("45", "T1", "105.0 ± 3.3", "within doubt", "141000", "147000", "63%", "0.8 ± 0.8", "not told"),),
    "Stiffness",
    2,
)
NARROW = Rows(("when", "after", "mass, g"), (("2026-10-06 21:05", "12 h", "115.7"),), "Weighings")
EVERY = (TURNS, CUTS, STATIONS, NARROW)
OUT_OF_SIGHT = """() => [...document.querySelectorAll('tbody td')].filter(one => {
  const range = document.createRange(); range.selectNodeContents(one);
  return [...range.getClientRects()].some(box => box.left < 0 || box.right > innerWidth);
}).map(one => one.textContent)"""


def shown(browser, width):
    """A page with every table, in its look."""
    shapes = templates().get_template("shapes.html").module
    body = "".join(str(shapes.block(one)) for one in EVERY)
    page = browser.new_context(viewport={"width": width, "height": 900}, bypass_csp=True).new_page()
    style = (LOOK / "sheet.css").read_text()
    page.set_content(f'<meta name="viewport" content="width=device-width"><style>{style}</style><main>{body}</main>')
    page.add_script_tag(content=(LOOK / "js" / "tables.js").read_text(), type="module")
    page.wait_for_timeout(200)
    return page


@pytest.mark.parametrize("width", [390, 430, 820, 1440])
def test_every_figure_of_a_table_is_on_the_screen(browser, width):
    page = shown(browser, width)
    assert page.evaluate(OUT_OF_SIGHT) == []
    page.context.close()


def test_figures_of_a_folded_row_stand_under_their_heads(browser):
    page = shown(browser, 390)
    ends = page.evaluate(
        """() => [...document.querySelector('table.fold').rows].slice(0, 2)
          .map(row => [...row.cells].slice(1).map(one => one.getBoundingClientRect().right))"""
    )
    assert ends[0] == pytest.approx(ends[1], abs=1)
    assert ends[0][0] + 40 < ends[0][1] and ends[0][1] + 40 < ends[0][2]
    assert ends[0][:3] == pytest.approx(ends[0][3:], abs=1), "both lines have the same columns"
    page.context.close()


def test_a_figure_out_of_sight_would_be_found(browser):
    page = shown(browser, 390)
    page.evaluate("document.querySelectorAll('table').forEach(one => one.classList.remove('fold', 'flow'))")
    assert "close 10 + 18.9" in page.evaluate(OUT_OF_SIGHT)
    assert page.locator("[role=region]").first.get_attribute("tabindex") == "0", "and it can be scrolled by keyboard"
    assert "goes on to the right" in page.locator("[role=region]").first.get_attribute("aria-label")
    page.context.close()


def test_a_table_folds_only_where_it_has_to():
    assert [on_phone(one.heads, one.rows, one.lead) for one in EVERY] == [3, 2, -1, 0]

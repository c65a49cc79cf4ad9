"""No word of a drawing is cut off at the edge of its sheet.

Words are measured as wide as the letters of Source Sans Pro are in the mean: 0.49 of their size, counted over English
text by the font's own advance widths (OpenType, table hmtx), so the check is good to a letter or two.
"""

from __future__ import annotations

import datetime
import re
from xml.etree import ElementTree

import pytest

from culmwright.bench.targets import schedule
from culmwright.book.figures import strip_figure
from culmwright.book.sheets import sheets
from culmwright.design.rod_file import rod_from_text
from culmwright.measure.display import INCH_DISPLAY, METRIC_DISPLAY
from culmwright.workshop.printing import PAPERS, contents
from culmwright.workshop.starting import rod_text

RODS = ("thrimble-beck", "ossel-burn", "pellamere-brook", "quernmoss-water", "starter")
LETTER = 0.49
SLACK = 6.0  # [pt] a letter and a half of 10 pt: what the mean may be out by


def drawings(data):
    """Every drawing of ours in the data of a book, wherever it sits; charts of the chart library measure themselves."""
    if isinstance(data, str):
        if data.startswith("<svg") and 'class="marks"' not in data:
            yield data
    elif isinstance(data, dict):
        for one in data.values():
            yield from drawings(one)
    elif isinstance(data, list):
        for one in data:
            yield from drawings(one)


def cut_off(drawing, slack=SLACK):
    """Words of a drawing that reach over its edges."""
    root = ElementTree.fromstring(drawing)
    width, height = (float(number) for number in root.get("viewBox").split()[2:])
    found = []
    for text in root.iter("{http://www.w3.org/2000/svg}text"):
        words = "".join(text.itertext())
        wide = LETTER * float(text.get("font-size")) * len(words)
        start = float(text.get("x")) - {"start": 0.0, "middle": wide / 2, "end": wide}[text.get("text-anchor")]
        if start < -slack or start + wide > width + slack or not 0 <= float(text.get("y")) <= height + slack:
            found.append(words)
    return found


@pytest.mark.parametrize("show", [INCH_DISPLAY, METRIC_DISPLAY], ids=["inch", "metric"])
@pytest.mark.parametrize("name", RODS)
def test_every_word_lies_on_its_sheet(name, show):
    rod = rod_from_text(rod_text(name))
    book = sheets(contents(rod, PAPERS["a4"], show, datetime.date(2026, 11, 24)))
    seen = list(drawings(book))
    assert len(seen) > 4
    for one in seen:
        assert cut_off(one) == [], re.sub(r"<[^>]+>", " ", one)[:80]


def test_a_word_that_is_cut_off_is_found():
    text = '<text x="90" y="5" font-size="10" text-anchor="start">as glued</text>'
    assert cut_off(f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 100 20">{text}</svg>') == ["as glued"]


@pytest.mark.parametrize("show", [INCH_DISPLAY, METRIC_DISPLAY], ids=["inch", "metric"])
def test_the_crown_of_a_wide_strip_lies_on_its_sheet(show):
    """Strips of four sides have the widest face for their height: what is said beside it has the least room."""
    text = rod_text("thrimble-beck").replace("sides = 6", "sides = 4").replace('apex_angle = "60 deg"', "")
    rod = rod_from_text(re.sub(r"block_(angle|zero) = .*", "", text))
    target = max((one for section in schedule(rod).sections for one in section.stations), key=lambda one: one.height)
    assert target.crown
    assert cut_off(strip_figure(rod.form, target, show), slack=0.0) == []  # figures are as wide as the mean letter


@pytest.mark.parametrize("paper", ["a4", "letter"])
@pytest.mark.parametrize("name", RODS)
def test_every_shape_of_the_cover_lies_on_its_sheet(name, paper):
    """The thick end of a rod is drawn whole, though half of it would stand past the end of the axis."""
    book = sheets(contents(rod_from_text(rod_text(name)), PAPERS[paper], INCH_DISPLAY, datetime.date(2026, 11, 24)))
    root = ElementTree.fromstring(book["drawing"])
    width = float(root.get("viewBox").split()[2])
    shapes = [one.get("points").split() for one in root.iter("{http://www.w3.org/2000/svg}polygon")]
    assert len(shapes) > 8
    assert all(0 <= float(point.split(",")[0]) <= width for points in shapes for point in points)

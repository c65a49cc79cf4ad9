"""The book prints true: size, lettering, bar, order, labels, and the same bytes for the same input."""

from __future__ import annotations

import datetime
import io
import math
import re
import subprocess
from functools import cache, cached_property
from pathlib import Path
from tempfile import TemporaryDirectory

import pypdf
import pytest

from culmwright.design.rod_file import rod_from_text
from culmwright.measure.display import INCH_DISPLAY, METRIC_DISPLAY
from culmwright.workshop.printing import PAPERS, book
from culmwright.workshop.starting import rod_text

DAY = datetime.date(2026, 11, 24)
RODS = ("thrimble-beck", "ossel-burn", "pellamere-brook", "quernmoss-water", "starter")


class Printed:
    """A book as printed: its ``content``, its ``pages`` and the ``texts`` on them."""

    def __init__(self, content):
        self.content = content
        self.pages = pypdf.PdfReader(io.BytesIO(content)).pages

    @cached_property
    def texts(self):
        return [page.extract_text() for page in self.pages]

    def sheet(self, title):
        """Texts of the pages of one sheet."""
        return "\n".join(text for text in self.texts[1:] if title in text.split("\n")[1])


def printed(name, paper="a4", show=None):
    """The book of one of the demo's rods."""
    rod = rod_from_text(rod_text(name))
    return printed_of(rod, paper, show or rod.display)


@cache
def printed_of(rod, paper="a4", show=INCH_DISPLAY):
    """The book of a rod; one that several tests look at is printed once."""
    with TemporaryDirectory() as folder:
        path = Path(folder) / "book.pdf"
        made = book(rod, path, PAPERS[paper], show, DAY)
        found = Printed(path.read_bytes())
    assert len(found.pages) == made.pages
    return found


@pytest.mark.parametrize("name", RODS)
def test_every_demo_rod_prints_on_either_paper_in_either_unit(name):
    rod = rod_from_text(rod_text(name))
    for paper, size in (("a4", (595.28, 841.89)), ("letter", (612.0, 792.0))):
        for show in (INCH_DISPLAY, METRIC_DISPLAY):
            made = printed(name, paper, show)
            for number, (page, text) in enumerate(zip(made.pages, made.texts, strict=True), 1):
                box = (float(page.mediabox.width), float(page.mediabox.height))
                assert box == pytest.approx(size, abs=0.01)
                assert f"page {number} of {len(made.pages)}" in text
                assert "2026-11-24" in text
                if number > 1:
                    assert text.startswith(f"{rod.name} · revision {rod.revision} · {rod.code}")


def lettering(made):
    """Every size of type in points, with a text set in it."""
    sizes = {}

    def visit(text, outer, inner, font, size):
        if text.strip():
            points = size * math.hypot(inner[2], inner[3]) * math.hypot(outer[2], outer[3])
            sizes.setdefault(round(points, 2), text.strip())

    for page in made.pages:
        page.extract_text(visitor_text=visit)
    return sizes


@pytest.mark.parametrize("name", RODS)
def test_no_lettering_is_under_ten_points(name):
    sizes = lettering(printed(name))
    assert min(sizes) >= 10.0, sizes
    assert max(sizes) >= 18.0


def lines(page):
    """Straight strokes on a page: (x0, y0, x1, y1) in points."""
    stack, matrix, here, found = [], (1, 0, 0, 1, 0, 0), None, []

    def times(m, n):
        a, b, c, d, e, f = m
        g, h, i, j, k, l = n  # noqa: E741
        return (a * g + b * i, a * h + b * j, c * g + d * i, c * h + d * j, e * g + f * i + k, e * h + f * j + l)

    def place(x, y):
        a, b, c, d, e, f = matrix
        return (a * x + c * y + e, b * x + d * y + f)

    for operands, operator in pypdf.generic.ContentStream(page.get_contents(), page.pdf).operations:
        numbers = [float(one) for one in operands if isinstance(one, int | float)]
        if operator == b"q":
            stack.append(matrix)
        elif operator == b"Q":
            matrix = stack.pop()
        elif operator == b"cm":
            matrix = times(tuple(numbers), matrix)
        elif operator == b"m":
            here = place(*numbers)
        elif operator == b"l":
            there = place(*numbers)
            found.append((*here, *there))
            here = there
    return found


@pytest.mark.parametrize("paper", ["a4", "letter"])
def test_the_bars_are_100_mm_and_4_in_long(paper):
    """Within 0.1 mm, handbook of the bench; a rule on paper shows no less."""
    made = printed("thrimble-beck", paper)
    assert "100 mm" in made.texts[0]
    level = [abs(x1 - x0) / 72 * 25.4 for x0, y0, x1, y1 in lines(made.pages[0]) if abs(y1 - y0) < 1e-6]
    for length in (100.0, 101.6):
        assert any(abs(one - length) < 0.1 for one in level), length


def test_the_same_rod_and_date_give_the_same_bytes(tmp_path):
    rod = rod_from_text(rod_text("thrimble-beck"))
    first, second = tmp_path / "a.pdf", tmp_path / "b.pdf"
    book(rod, first, date=DAY)
    book(rod, second, date=DAY)
    assert first.read_bytes() == second.read_bytes()
    book(rod, second, date=datetime.date(2026, 11, 25))
    assert first.read_bytes() != second.read_bytes()


@pytest.mark.parametrize("count", [2, 12, 41, 400])
def test_no_row_is_lost_and_headers_repeat(count):
    stations = [round(90 * i / (count - 1), 4) for i in range(count)]
    across = [round(0.07 + 0.2 * i / (count - 1), 5) for i in range(count)]
    head = 'culmwright = 1\nunits = "inch"\n[rod]\nsides = 6\nlength = 90\n'
    lists = f"stations = {stations}\nacross = {across}\n".replace(", ", ",\n")  # a line of a file is not endless
    text = f"{head}[taper]\n{lists}"
    pages = printed_of(rod_from_text(text)).texts
    rows = [row for page in pages for row in re.findall(r"^B@[0-9.]+in ", page, re.MULTILINE)]
    rows = [row for row in rows if "," not in row]
    assert len(dict.fromkeys(rows)) == count
    for page in pages[1:]:
        if re.search(r"^B@[0-9.]+in [0-9.]+ ", page, re.MULTILINE):
            assert "spot across bare glued" in page


@pytest.mark.needs_zbar
@pytest.mark.needs_poppler
def test_labels_scan(tmp_path):
    """Rendered at 300 dpi, each sheet's codes decode to the short address printed below them, at most 20 characters."""
    rod, made = rod_from_text(rod_text("thrimble-beck")), printed("thrimble-beck")
    (tmp_path / "book.pdf").write_bytes(made.content)
    first, *_, last = [i for i, text in enumerate(made.texts, 1) if "\nStrips, " in text[:200]]
    span = ["-f", str(first), "-l", str(last)]
    subprocess.run(["pdftoppm", "-r", "300", "-png", *span, tmp_path / "book.pdf", tmp_path / "page"], check=True)
    found = []
    for picture in sorted(tmp_path.glob("page-*.png")):
        done = subprocess.run(["zbarimg", "-q", "--raw", picture], capture_output=True, text=True, check=True)
        found += done.stdout.split()
    assert sorted(found) == [f"{rod.code}/B", f"{rod.code}/T1", f"{rod.code}/T2"]
    assert all(len(label) <= 20 for label in found)


def test_a_name_that_looks_like_code_stays_text():
    name = '#panic() $x$ <a href> "\\" & */ {{7*7}}'
    text = rod_text("starter").replace('name = "My rod"', f"name = '{name}'")
    assert name in printed_of(rod_from_text(text)).texts[0].replace("\n", " ")


def test_a_proposal_is_marked_as_one():
    proposed = printed("starter").sheet("Ferrules and guides")
    assert "These places are a proposal" in proposed
    assert "common practice, no source" in proposed
    listed = printed("thrimble-beck").sheet("Ferrules and guides")
    assert "As the file lists them" in listed


def test_cautions_stand_where_the_work_is():
    made = printed("thrimble-beck")
    for title in ("Strips, butt B", "Setting up", "Passes, butt B", "Readings, butt B"):
        assert "Cane dust is harmful to breathe" in made.sheet(title), title
    assert "A lathe needs eye protection" in made.sheet("Ferrules and guides")
    assert "where a rule and this book disagree, the rule stands" in made.sheet("Cautions").replace("\n", " ")


def test_the_sheets_of_behaviour_say_what_bend_and_bounce_say():
    from culmwright.workshop.bending import bend
    from culmwright.workshop.bouncing import bounce

    rod, made = rod_from_text(rod_text("thrimble-beck")), printed("thrimble-beck")
    ounces = bend(rod, 4 * INCH_DISPLAY.load.si)
    said = made.sheet("How it bends").replace("\n", " ")
    assert f"half of the whole bend lies within {INCH_DISPLAY.near(ounces.half_station)} of the tip" in said
    assert f"A hanging load of {INCH_DISPLAY.load(ounces.limit_load)} takes the cane to its stress limit" in said
    swings = made.sheet("How the cane works, and how it swings")
    for mode in bounce(rod).modes:
        assert f"{mode.frequency:.2f} {mode.cycles_per_minute:.0f}" in swings
    lesser, first = bend(rod, INCH_DISPLAY.load.si), bounce(rod).modes[0].frequency  # what a little more is worth of
    drop = f"the tip comes down {INCH_DISPLAY.near(lesser.tip_drop)} under 1 oz"
    assert f"As drawn {drop}, and the rod swings at {first:.2f} Hz" in swings.replace("\n", " ")
    assert "Strips and ferrules under load can break and fly" in swings
    assert "a hand is softer" in swings


@pytest.mark.parametrize("paper", ["a4", "letter"])
def test_the_cover_is_one_page_however_many_sheets_follow(paper):
    """Three pieces and two tips that differ: four schedules, passes, readings, glued sections and workings."""
    tips = "".join(
        f"[[tip]]\nstations = [0, 125, 250, 375, 500, 625, 750]\nacross = [1.9, 2.24, 2.76, 3.12, 3.44, 3.76, {end}]\n"
        for end in (4.12, 4.2)
    )
    rod = rod_from_text(rod_text("pellamere-brook").replace("tips = 1", "tips = 2") + tips)
    pages = printed_of(rod, paper).texts
    assert "4 in" in pages[0]
    assert "Working, step by step, and sources" in pages[0]
    assert pages[1].split("\n")[1].startswith("Taper and stress")


def test_short_sheets_of_one_kind_follow_each_other_and_strips_keep_their_page():
    pages = [text.split("\n") for text in printed("pellamere-brook", show=METRIC_DISPLAY).texts[1:]]

    def on_pages(words):
        """How many sheets so called begin on each page that has one."""
        counts = [sum(line.startswith(words) for line in page) for page in pages if page[1] != "Contents"]
        return [count for count in counts if count]

    assert max(on_pages("Glued section")) > 1
    assert max(on_pages("Working, ")) > 1
    assert set(on_pages("Strips, ")) == {1}


@pytest.mark.parametrize("show", [INCH_DISPLAY, METRIC_DISPLAY])
def test_how_it_bends_keeps_its_page_on_letter(show):
    for name in RODS:
        firsts = [text.split("\n")[1] for text in printed(name, "letter", show).texts]
        for at in [i for i, first in enumerate(firsts) if first.startswith("How it bends")]:
            assert firsts[at + 1].startswith("How the cane works")

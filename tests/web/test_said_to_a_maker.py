"""Pages say things as a maker says them: no keys of the rod file, no code where a place has words, nothing twice."""

from __future__ import annotations

import html
import io
import re

import pypdf
import pytest

from culmwright.book.leaf import Figure, Leaf, Rows
from culmwright.book.ruler import Ruler
from culmwright.book.water_leaves import drying_leaf
from culmwright.book.words import sentence
from culmwright.cane.drying import BundleDrying
from culmwright.cane.weighing import Weighing
from culmwright.measure.display import INCH_DISPLAY
from culmwright.workshop.looking_stages import leaf_view


@pytest.mark.parametrize(
    ("note", "said"),
    [
        ("[strips] culm_diameter is 2 mm: is its unit right?", "Culm diameter is 2 mm: is its unit right?"),
        ("[[ferrule]] size 9 at 45 in takes 6 thou off", "Ferrule size 9 at 45 in takes 6 thou off."),
        ("a ferrule without a mass adds none", "A ferrule without a mass adds none."),
    ],
)
def test_a_note_is_a_sentence_without_the_places_of_a_file(note, said):
    assert sentence(note) == said


def test_a_number_says_its_place_and_its_working_knows_no_keys(client):
    page = client.get("/R1/T1/S3@25in:rough").text
    assert "<title>Rough strip height, T1, strip 3, station 25 in</title>" in page
    rules = " ".join(re.findall(r"<small>(.*?)</small>", page))
    assert "glue line = 0.0005 in" in rules and "rough over" in rules
    assert not re.search(r"\[\w+\]|\w_\w", rules)


def words_of(page):
    """What stands on a page, without its marks, drawings and scripts."""
    bare = re.sub(r"<(script|style|svg|title)\b.*?</\1>", " ", page, flags=re.DOTALL)
    return " ".join(html.unescape(re.sub(r"<[^>]+>", " ", bare)).split())


@pytest.mark.parametrize("path", ["/", "/R1/taper", "/R1/book", "/R1/bench", "/state", "/data", "/stores"])
def test_pages_need_no_words_of_a_programmer(client, path):
    """A term may stand in brackets, behind the words it is a term for."""
    said = re.sub(r"\([^)]*\)", "", words_of(client.get(path).text))
    for term in ("TOML", "JSON", "API", "SQLite", "TLS", "CSV", "http", "--lan", "journal", "ecure context"):
        assert term not in said, term
    assert "JSON" not in said and "file lists none" not in said


def test_the_shapes_of_the_rail_have_words(client):
    for path in ("/", "/R1", "/R1/water"):
        legend = re.search(r'<ul class="legend".*?</ul>', client.get(path).text, re.DOTALL)[0]
        assert [words_of(one) for one in legend.split("</li>")[:-1]] == [
            "done", "in hand", "needs a look", "not begun"
        ]  # fmt: skip
        assert legend.count("<svg") == 4 and "unseen" not in legend


@pytest.mark.parametrize("path", ["/R1/culm", "/R1/water", "/R1/glue", "/R1/proof", "/R1/log", "/stores"])
def test_no_two_controls_of_a_page_have_one_name(client, path):
    page = client.get(path).text
    names = [words_of(one) for one in re.findall(r'<label for="[^"]+">(.*?)</label>', page, re.DOTALL)]
    names += [words_of(one) for one in re.findall(r"<button[^>]*>(.*?)</button>", page, re.DOTALL)]
    assert len(names) > 2
    assert [one for one in set(names) if names.count(one) > 1] == []


def test_the_book_is_called_after_its_rod_and_names_one_revision(client):
    """The shop's R1.1 is the drawing; the number a maker wrote into the file would be a second, other one."""
    answer = client.get("/R1/book.pdf")
    assert answer.headers["content-disposition"] == 'inline; filename="R1.1 shop book.pdf"'
    pages = pypdf.PdfReader(io.BytesIO(answer.content)).pages
    for page in (pages[0], pages[1]):
        assert "R1.1" in page.extract_text() and not re.search(r"revision \d", page.extract_text())


def test_the_labels_are_found_where_the_page_scan_says(client):
    assert "on the page of each rod's strips" in client.get("/scan").text
    address = re.search(r'href="([^"]+)">Labels for the strips<', client.get("/R1/strips").text)[1]
    assert client.get(address).status_code == 200


def test_one_weighing_is_no_curve_over_nothing():
    found = []
    for count in (1, 2):
        weighed = tuple(Weighing(86400.0 * k, 0.0884 - 0.001 * k, "88.4 g") for k in range(count))
        leaf = drying_leaf(
            BundleDrying("T1", weighed, None, None, None, "weigh again"), Ruler(2.286, 493.0), INCH_DISPLAY
        )
        found.append(sum(isinstance(one, Figure) for one in leaf.blocks))
    assert found == [0, 1]


def test_boxes_to_write_in_are_for_paper():
    """A drying record has a table of boxes alone; settings have a column of them beside their figures."""
    leaf = drying_leaf(BundleDrying("T1", (), None, None, None, "Not weighed"), Ruler(2.286, 493.0), INCH_DISPLAY)
    assert [one.title for one in leaf.blocks if isinstance(one, Rows)] == ["To come"]
    assert not [one for one in leaf_view(leaf, leaf).blocks if isinstance(one, Rows)]
    settings = Leaf("", (Rows(("screw", "depth", "set, read"), (("1", "0.02", ""), ("2", "", "")), write_in=True),))
    (shown,) = leaf_view(settings, settings).blocks
    assert (shown.heads, shown.rows) == (("screw", "depth"), (("1", "0.02"), ("2", "")))


def test_a_caution_stands_once_on_a_page_that_is_about_one_danger(client):
    page = client.get("/R1/behaviour").text
    cautions = re.findall(r'<p class="caution">(.*?)</p>', page)
    assert page.count("<section id=") > 1 and len(cautions) == len(set(cautions)) > 0

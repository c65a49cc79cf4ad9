"""The certificate of a finished rod, in sentences."""

from __future__ import annotations

import datetime
import io
import re
import shutil
from itertools import pairwise
from types import SimpleNamespace

import pypdf
import pytest

from culmwright.book.contents import PAPERS
from culmwright.book.leaf import Rows, Words
from culmwright.book.press import press
from culmwright.book.ruler import Ruler
from culmwright.design.rod_file import rod_from_text
from culmwright.ledger.readings import append
from culmwright.ledger.records import Cell, Entry
from culmwright.ledger.shop import create_shop, open_shop
from culmwright.measure.lengths import Length
from culmwright.workshop import vouching
from culmwright.workshop.kept import kept_of
from culmwright.workshop.matching import order_of
from culmwright.workshop.opening import begin, find
from culmwright.workshop.playing_on import play_on
from culmwright.workshop.printing import contents
from culmwright.workshop.proving import state_of
from culmwright.workshop.starting import rod_text
from culmwright.workshop.vouching import leaves_of


@pytest.fixture(scope="module")
def finished(tmp_path_factory):
    """The file of a shop with a rod finished by a maker who does not say who that is."""
    folder = tmp_path_factory.mktemp("finished")
    (folder / "nameless.toml").write_text(re.sub(r"(?m)^maker = .*$", "", rod_text("thrimble-beck")))
    with create_shop(folder / "shop.sqlite") as shop:
        play_on(shop, begin(shop, str(folder / "nameless.toml")))
    return folder / "shop.sqlite"


@pytest.fixture
def shop(finished, tmp_path):
    shutil.copyfile(finished, tmp_path / "shop.sqlite")
    with open_shop(tmp_path / "shop.sqlite") as opened:
        yield opened


@pytest.fixture
def nameless(shop):
    return find(shop, "R1")


def test_a_certificate_without_a_maker_says_so_in_whole_sentences(shop, nameless):
    (leaf,) = leaves_of(shop, nameless, Ruler(2.0, 493.0))
    said = [one.text for one in leaf.blocks if isinstance(one, Words)]
    assert not nameless.rod.maker
    assert said[1].startswith("Numbered R1, to the drawing R1.1 (")
    assert all(one[0].isupper() and one.endswith(".") for one in said)
    signed = leaf.blocks[-1]
    assert isinstance(signed, Rows) and signed.heads == ("signed", "date")


def test_no_certificate_of_a_rod_of_which_a_section_was_not_read_through(shop, nameless):
    """One strip of tip 2 read anew at one station only: its ring is not known any more, and nothing is certified."""
    cell = Cell(nameless.revision.id, "T2", Length.parse("0 in"), "finish", 9, order_of(shop, nameless, "T2")[0])
    assert leaves_of(shop, nameless, Ruler(2.0, 493.0)) and state_of(shop, nameless) == "done"
    append(shop, Entry.measured(cell, Length.parse("0.29 in"), wet=False))
    assert leaves_of(shop, nameless, Ruler(2.0, 493.0)) == () and state_of(shop, nameless) == "half"


def test_the_sentence_of_a_rod_with_one_tip_begins_as_a_sentence(monkeypatch):
    monkeypatch.setattr(vouching, "tips_read", lambda *_: (1,))
    monkeypatch.setattr(vouching, "proof", lambda *_: SimpleNamespace(sentence="it came out as drawn"))
    assert vouching._proved(
        None, SimpleNamespace(rod=rod_from_text(rod_text("ossel-burn").replace("tips = 2", "tips = 1")))
    ) == ["It came out as drawn."]


def test_there_is_room_to_write_the_date(shop, nameless):
    """The two boxes of the last row, as the press draws them: a date by hand wants some 30 mm (own choice)."""
    day = datetime.date(2026, 11, 24)
    rod = nameless.rod
    paper = press(contents(rod, PAPERS["a4"], rod.display, day, kept_of(shop, nameless)), day)[0]
    (page,) = [
        one for one in pypdf.PdfReader(io.BytesIO(paper)).pages if one.extract_text().split("\n")[1] == "Certificate"
    ]
    wide = []

    def visit(operator, operands, outer, inner):
        if operator == b"re":
            wide.append(float(operands[2]))
        elif operator in (b"l", b"m"):
            points.append((operator, float(operands[0]), float(operands[1])))

    points: list[tuple[bytes, float, float]] = []
    page.extract_text(visitor_operand_before=visit)
    for (_, x, y), (operator, to, there) in pairwise(points):
        if operator == b"l" and y == there:
            wide.append(abs(to - x))
    boxes = sorted(one for one in wide if 5 < one < 480)
    assert sum(one > 85 for one in boxes) >= 2  # [pt], 30 mm
    assert not [one for one in boxes if 5 < one < 20]

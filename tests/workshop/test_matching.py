"""Matching strips of a shop: what is taken, what is left out, and the order kept. All readings are invented."""

from __future__ import annotations

import json
from datetime import UTC, datetime

import pytest

from culmwright.bench.judge import Stage
from culmwright.cli.main import main
from culmwright.ledger.shop import create_shop
from culmwright.measure.errors import BadInput
from culmwright.workshop.matching import keep_order, match, order_of
from culmwright.workshop.noting import EventKind, note
from culmwright.workshop.opening import begin
from culmwright.workshop.reading import read
from culmwright.workshop.session import Said
from culmwright.workshop.starting import rod_text

OVER = {1: 1.0, 2: 1.0, 3: 1.0, 4: -1.0, 5: -1.0, 6: -1.0, 7: 0.0, 8: 0.5}
"""How far each strip of T1 stands over its target, thou; 1, 2, 3 would each stand opposite 4, 5, 6 as cut."""


@pytest.fixture(scope="module")
def shop(tmp_path_factory):
    folder = tmp_path_factory.mktemp("shop")
    text = rod_text("thrimble-beck")
    assert "spares = 1" in text
    (folder / "rod.toml").write_text(text.replace("spares = 1", "spares = 2"))
    with create_shop(folder / "shop.sqlite") as shop:
        begun = begin(shop, str(folder / "rod.toml"))
        session = read(shop, begun, Stage.FINISH, ("T1",), tuple(OVER))
        clock = 0.0
        while (armed := session.armed) is not None:
            clock += 9.0
            value = armed.aim.reading / 25.4e-6 + OVER[armed.place.strip]
            session.take(f"{value / 1000:.5f}", clock)
            if session.pending is not None:
                session.keep("invented", clock + 1)
        part = read(shop, begun, Stage.FINISH, ("T2",), (1,))
        assert part.take(f"{part.armed.aim.reading / 0.0254:.5f}", clock).said is Said.KEPT
        yield shop, begun


def thou(length):
    return length / 25.4e-6


def test_the_strips_are_taken_that_make_the_section_even(shop):
    found = match(*shop, "T1")
    # three pairs of one over and one under are even and on size in every direction: plain arithmetic
    assert thou(found.spread) == pytest.approx(0, abs=0.11)  # readings are typed to a hundredth of a thou
    assert thou(found.off) == pytest.approx(0, abs=0.11)
    assert found.proved
    assert set(found.left) == {7, 8}
    for i, strip in enumerate(found.ring[:3]):
        assert OVER[strip] == -OVER[found.ring[i + 3]]


def test_what_the_order_as_cut_would_have_been_is_told(shop):
    """As cut, 1 stands opposite 4, 2 opposite 5, 3 opposite 6: even too; of 1 2 3 7 8 4 it is not."""
    begun = shop[1]
    found = match(*shop, "T1", (1, 2, 3, 7, 8, 4))
    # as cut: 1+4 -> 0, 2+7 -> 1, 3+8 -> 1.5 thou: spread 1.5 thou, by hand
    assert thou(found.as_cut.spread) == pytest.approx(1.5, abs=0.11)
    assert thou(found.spread) <= thou(found.as_cut.spread)
    assert begun.code == "R1.1"


def test_a_scrapped_strip_is_left_out_and_a_kept_order_superseded(shop):
    note(*shop, EventKind.STRIP_SCRAPPED, section="T1", strip=8)
    found = match(*shop, "T1")
    assert any("S8 scrapped" in one for one in found.notes)
    assert set(found.left) == {7}
    assert order_of(*shop, "T1") == (1, 2, 3, 4, 5, 6)
    keep_order(*shop, found)
    assert order_of(*shop, "T1") == found.ring
    other = match(*shop, "T1", (1, 2, 3, 4, 5, 7))
    at = datetime(2026, 3, 2, 9, 0, tzinfo=UTC)
    assert keep_order(*shop, other, at=at).at == at
    assert order_of(*shop, "T1") == other.ring


@pytest.mark.parametrize(
    ("section", "strips", "words"),
    [
        ("B", (), "no strip of B was read through at finishing yet"),
        ("T2", (), "no strip of T2 was read through"),
        ("T2", (1,), "strip 1 of T2 was not read at every station"),
        ("T1", (99,), "not a strip 99"),
        ("T1", (1, 2, 3), "3 strips are read through, and a section takes 6"),
        ("X", (), "no section X"),
    ],
)
def test_what_cannot_be_matched_is_said(shop, section, strips, words):
    with pytest.raises(BadInput, match=words):
        match(*shop, section, strips)


def test_the_command_says_it_in_words_and_as_a_document(shop, capsys):
    file = str(shop[0].file)
    assert main(["match", "R1", "--section", "T1", "--shop", file, "--json"]) == 0
    found = json.loads(capsys.readouterr().out)
    assert found["proved"] is True
    assert set(found) >= {"ring", "spread_m", "off_m", "spine", "bound_m", "as_cut", "left"}
    assert main(["match", "R1", "--section", "T1", "--shop", file]) == 0
    said = capsys.readouterr().out
    assert f"glue strips {' '.join(map(str, found['ring']))} in this order" in said
    assert "Nothing is kept yet" in said

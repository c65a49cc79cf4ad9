"""Bench strips joined to the node layout they were cut to, and matched by it. All readings are invented.

Outside: where nodes lie is worked out here from the culm file and the cut list alone; every ring is tried one by one.
"""

from __future__ import annotations

import json
from dataclasses import replace
from itertools import combinations, pairwise, permutations
from shutil import copytree

import pytest

from culmwright.bench.judge import Stage
from culmwright.book.leaf import Rows, Words
from culmwright.book.ruler import Ruler
from culmwright.cli.main import main
from culmwright.ledger.dockets import dockets
from culmwright.ledger.register import culms, strips
from culmwright.ledger.shop import create_shop, open_shop
from culmwright.measure.errors import AnswerIsNo, BadInput
from culmwright.workshop import gluing, layouts_kept, vouching
from culmwright.workshop.gluing import Glue, glue
from culmwright.workshop.laying import USUAL
from culmwright.workshop.layouts_kept import TOO_LATE, lay_texts, layout_kept
from culmwright.workshop.matching import keep_order, match, nodes_words, words_of
from culmwright.workshop.opening import begin, find
from culmwright.workshop.reading import read
from culmwright.workshop.starting import culm_text, rod_text
from culmwright.workshop.strips_laid import lines_of, strips_laid
from culmwright.workshop.telling import log

K12 = culm_text("k12")
NODES = [3.5, 12.25, 21.5, 31, 41, 51.25, 61.75, 72.5, 83.25, 94.25, 105.25, 116.25, 127, 137.5]
"""Nodes of the culm [in] from its butt end, as its file has them; tips come from its length 70 to 142 in."""
OVER = {1: 1.0, 2: -0.9, 3: 0.2, 4: 0.8, 5: -1.1, 6: 0.5, 7: -0.2}
"""How far each strip of T1 stands over its target, thou."""
INCH = 0.0254


@pytest.fixture(scope="module")
def played(tmp_path_factory):
    """A shop whose rod was laid out from K12, then its tip T1 read at finishing."""
    folder = tmp_path_factory.mktemp("laid")
    (folder / "rod.toml").write_text(rod_text("thrimble-beck"))
    with create_shop(folder / "shop.sqlite") as shop:
        begun = begin(shop, str(folder / "rod.toml"))
        lay_texts(shop, begun, (K12,))
        read_t1(shop, begun)
    return folder


@pytest.fixture
def bench(played, tmp_path):
    """A copy of that shop and its rod."""
    copytree(played, tmp_path / "again")
    with open_shop(tmp_path / "again" / "shop.sqlite") as shop:
        yield shop, find(shop, "R1")


def read_t1(shop, begun):
    session = read(shop, begun, Stage.FINISH, ("T1",), tuple(OVER))
    clock = 0.0
    while (armed := session.armed) is not None:
        clock += 9.0
        value = armed.aim.reading / 25.4e-6 + OVER[armed.place.strip]
        session.take(f"{value / 1000:.5f}", clock)
        if session.pending is not None:
            session.keep("invented", clock + 1)


def nodes_on(shop, begun):
    """Nodes [in] on T1 by the line of its cut list, from what comes off the butt end and the culm."""
    found = {}
    for cut in layout_kept(shop, begun, "T1")[1].cuts:
        butt = 70 + cut.from_butt / INCH + 3  # strips stand over by 3 in at either end
        found[cut.line] = [45 - (node - butt) for node in NODES if butt <= node <= butt + 45]
    return found


def by_hand(nodes, ring, lines=None):
    """Least distance [in] of nodes on touching strips of a ring; strips are cut to their own lines or to ``lines``."""
    places = [nodes[strip if lines is None else lines[strip - 1]] for strip in ring]
    return min(abs(a - b) for one, other in pairwise([*places, places[0]]) for a in one for b in other)


def fault_by_hand(ring):
    """Spread and mean of the three flats, thou: every strip is over by the same at all stations."""
    flats = [OVER[ring[i]] + OVER[ring[i + 3]] for i in range(3)]
    return max(flats) - min(flats) + abs(sum(flats) / 3)


def rings_of(numbers):
    for chosen in combinations(numbers, 6):
        for rest in permutations(chosen[1:]):
            if rest[0] < rest[-1]:
                yield (chosen[0], *rest)


def test_the_cut_list_numbers_the_strips_and_the_ledger_has_them_so(bench):
    shop, begun = bench
    laid = layout_kept(shop, begun, "T1")[1]
    leaf = next(
        one for one in layouts_kept.leaves_of(shop, begun, Ruler(begun.rod.length.m, 493.0)) if "T1" in one.title
    )
    rows = next(one.rows for one in leaf.blocks if isinstance(one, Rows) and one.title == "Cut list")
    printed = {row[0]: row[1] for row in rows}
    assert list(printed) == ["S1", "S2", "S3", "S4", "S5", "S6"]
    assert list(printed.values()) == [laid.cuts[i].strip for i in laid.ring]  # in the order round the ring
    said = " ".join(one.text for one in leaf.blocks if isinstance(one, Words))
    assert f"Spares go on: S7 ({laid.spares[0]})" in said
    printed["S7"] = laid.spares[0]
    (culm,) = culms(shop)
    kept = {one.label: one for one in strips(shop, begun.revision.rod) if one.section == "T1"}
    assert {f"S{one.number}": f"K12-tip/{one.place}" for one in kept.values()} == printed
    assert {one.culm for one in kept.values()} == {culm.id}
    assert set(kept) == {f"R1/T1/S{number}" for number in range(1, 8)}  # as the labels are printed


def test_strips_keep_as_far_apart_as_the_layout_has_them(bench):
    """S7, a spare, is left out: nobody knows where its nodes lie. Of the rings of the others every one is tried."""
    nodes = nodes_on(*bench)
    found = match(*bench, "T1")
    laid = by_hand(nodes, (1, 2, 3, 4, 5, 6))
    assert found.apart / INCH == pytest.approx(laid, abs=1e-6)
    assert found.touching / INCH == pytest.approx(by_hand(nodes, found.ring), abs=1e-6)
    keeping = [one for one in rings_of(range(1, 7)) if by_hand(nodes, one) >= laid - 1e-6]
    assert 1 <= len(keeping) < 10
    assert fault_by_hand(found.ring) == pytest.approx(min(map(fault_by_hand, keeping)))
    assert found.keeps and found.proved
    assert (found.left, found.unknown) == ((7,), (7,))
    assert found.as_laid.ring == found.as_cut.ring == (1, 2, 3, 4, 5, 6)
    assert found.as_laid.touching / INCH == pytest.approx(laid, abs=1e-6)
    assert fault_by_hand(found.free.ring) == pytest.approx(min(map(fault_by_hand, rings_of(OVER))))
    assert any("S7 left out" in one for one in found.notes)


def test_another_distance_is_the_makers_to_say(bench):
    nodes = nodes_on(*bench)
    laid = by_hand(nodes, (1, 2, 3, 4, 5, 6))
    least = 0.4 * laid
    found = match(*bench, "T1", apart=least * INCH)
    keeping = [one for one in rings_of(range(1, 7)) if by_hand(nodes, one) >= least]
    assert fault_by_hand(found.ring) == pytest.approx(min(map(fault_by_hand, keeping)))
    assert by_hand(nodes, found.ring) >= least
    anyhow = match(*bench, "T1", apart=0.0)
    assert anyhow.apart is None
    assert fault_by_hand(anyhow.ring) == pytest.approx(min(map(fault_by_hand, rings_of(OVER))))


def test_where_no_ring_keeps_it_the_most_is_told_and_nothing_is_kept(bench):
    shop, begun = bench
    nodes = nodes_on(shop, begun)
    most = max(by_hand(nodes, one) for one in rings_of(range(1, 7)))
    found = match(shop, begun, "T1", apart=9 * INCH)
    assert not found.keeps
    assert found.touching / INCH == pytest.approx(most, abs=1e-6)
    said = " ".join(words_of(found, begun.rod.display))
    assert "No ring of these strips keeps nodes of strips that touch 9.00 in apart" in said
    with pytest.raises(AnswerIsNo, match="is the most") as refusal:
        keep_order(shop, begun, found)
    asked = float(refusal.value.remedy.split("Ask for ")[1].split(" in")[0])
    assert match(shop, begun, "T1", apart=asked * INCH).keeps  # what the remedy says can be kept
    assert not dockets(shop, "strip order")
    with pytest.raises(AnswerIsNo, match=r"1\.23 in is the most"):  # 1.236 in: not a hair more than can be
        keep_order(shop, begun, replace(found, touching=0.0314))


def test_a_spare_cut_to_a_line_is_matched_as_that_line(bench):
    shop, begun = bench
    nodes = nodes_on(shop, begun)
    lines = lines_of(begun, "1 2 3 4 5 6 5")
    found = match(shop, begun, "T1", cut_to=lines)
    laid = by_hand(nodes, (1, 2, 3, 4, 5, 6))
    keeping = [one for one in rings_of(OVER) if by_hand(nodes, one, lines) >= laid - 1e-6]
    assert fault_by_hand(found.ring) == pytest.approx(min(map(fault_by_hand, keeping)))
    assert found.unknown == ()
    without = match(shop, begun, "T1", (1, 2, 3, 4, 6, 7), cut_to=lines)
    assert without.as_laid.ring == (1, 2, 3, 4, 7, 6)  # the spare stands for the strip of its line
    assert without.as_laid.touching / INCH == pytest.approx(laid, abs=1e-6)
    keep_order(shop, begun, found, cut_to=lines)
    again = match(shop, begun, "T1")
    assert (again.ring, again.unknown) == (found.ring, ())  # it is kept, and counts from then on
    assert any("cut to lines 1 2 3 4 5 6 5" in line.words for line in log(shop, begun).lines)


def test_strips_mixed_up_are_matched_as_they_were_cut(bench):
    shop, begun = bench
    nodes = nodes_on(shop, begun)
    lines = (1, 2, 5, 4, 3, 6, None)
    found = match(shop, begun, "T1", cut_to=lines)
    assert found.as_laid.ring == (1, 2, 5, 4, 3, 6)
    assert found.as_cut.touching / INCH == pytest.approx(by_hand(nodes, (1, 2, 3, 4, 5, 6), lines), abs=1e-6)
    assert found.touching / INCH == pytest.approx(by_hand(nodes, found.ring, lines), abs=1e-6)
    keep_order(shop, begun, found, cut_to=lines)
    mixed, as_laid = by_hand(nodes, (1, 2, 3, 4, 5, 6), lines), by_hand(nodes, (1, 2, 3, 4, 5, 6))
    assert nodes_words(shop, begun, "T1", (1, 2, 3, 4, 5, 6)) == (
        f"T1: nodes of touching strips lie {mixed:.2f} in apart or more in this order, {as_laid:.2f} in as laid out, "
        f"{mixed:.2f} in as cut."
    )
    turned = [(*one[at:], *one[:at]) for one in rings_of(range(1, 7)) for at in range(6)]
    open_ends = {one: by_hand(nodes, (*one, *one[-2:0:-1]), lines) for one in turned}  # there and back
    closing = next(one for one, least in open_ends.items() if by_hand(nodes, one, lines) < least - 0.1)
    least = by_hand(nodes, closing, lines)  # of its first and last strip
    assert nodes_words(shop, begun, "T1", closing).startswith(f"T1: nodes of touching strips lie {least:.2f} in apart")


def test_too_few_known_strips_are_filled_up_with_a_spare_and_that_is_said(bench):
    shop, begun = bench
    found = match(shop, begun, "T1", (1, 2, 3, 4, 6, 7))
    assert 7 in found.ring and found.as_laid is None
    at = found.ring.index(7)
    row = [*found.ring[at + 1 :], *found.ring[:at]]  # from its one neighbour round to the other
    nodes = nodes_on(shop, begun)
    places = [nodes[strip] for strip in row]
    known = min(abs(a - b) for one, other in pairwise(places) for a in one for b in other)
    assert found.touching / INCH == pytest.approx(known, abs=1e-6)
    assert any("see where the nodes of S7 lie" in one for one in found.notes)
    assert "apart or more, where known" in " ".join(words_of(found, begun.rod.display))


def test_a_layout_kept_after_strips_were_read_counts_only_once_the_maker_says_so(bench):
    shop, begun = bench
    before = strips(shop, begun.revision.rod)
    own = (1, 2, 3, 4, 5, 6, None)
    keep_order(shop, begun, match(shop, begun, "T1", cut_to=own), cut_to=own)  # said of the layout that stood
    again = lay_texts(shop, begun, (K12,), section="T1", share=2, margins=USUAL)
    assert again.sections[0].notes[-1] == TOO_LATE
    assert strips(shop, begun.revision.rod) == before
    found = match(shop, begun, "T1")
    assert found.apart is None and found.touching is None
    assert any("after its strips were first planed or read" in one for one in found.notes)
    with pytest.raises(BadInput, match="nothing is known of the nodes"):
        match(shop, begun, "T1", apart=0.05)
    assert nodes_words(shop, begun, "T1", (1, 2, 3, 4, 5, 6)) == ""
    nodes, lines = nodes_on(shop, begun), (1, 2, 3, 4, 5, 6, None)
    said = match(shop, begun, "T1", cut_to=lines)
    assert said.apart / INCH == pytest.approx(by_hand(nodes, (1, 2, 3, 4, 5, 6)), abs=1e-6)
    keep_order(shop, begun, said, cut_to=lines)
    assert match(shop, begun, "T1").apart == said.apart


def test_a_layout_of_another_drawing_is_not_used_unsaid(bench, tmp_path):
    shop, _ = bench
    path = tmp_path / "again" / "rod.toml"
    path.write_text(path.read_text().replace("0.275]", "0.276]"))
    redrawn = begin(shop, str(path))
    read_t1(shop, redrawn)
    found = match(shop, redrawn, "T1")
    assert found.apart is None
    assert any("T1 was laid out to R1.1, and this is R1.2" in one for one in found.notes)
    assert match(shop, redrawn, "T1", cut_to=(1, 2, 3, 4, 5, 6, None)).apart is not None


def test_a_section_of_another_length_than_laid_out_has_no_nodes(bench, tmp_path):
    shop, _ = bench
    path = tmp_path / "again" / "rod.toml"
    text = path.read_text()
    assert "station = 45" in text
    path.write_text(text.replace("station = 45", "station = 46"))
    redrawn = begin(shop, str(path))
    read_t1(shop, redrawn)
    found = match(shop, redrawn, "T1", cut_to=(1, 2, 3, 4, 5, 6, None))
    assert found.apart is None
    assert any("laid out to another length" in one for one in found.notes)


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("1 2 3", "3 of the section's 7 strips are told"),
        ("1 2 3 4 5 6 7", '"7" is no line of the cut list'),
        ("1 2 3 4 5 6 x", '"x" is no line'),
        ("1 2 3 4 5 6 0", '"0" is no line'),
    ],
)
def test_what_is_no_line_is_refused(bench, text, words):
    with pytest.raises(BadInput, match=words):
        lines_of(bench[1], text)


def test_a_strip_out_of_another_length_has_other_nodes(bench):
    """A spare of T1 that was split out of the butt length."""
    shop, begun = bench
    docket, laid = layout_kept(shop, begun, "T1")
    other = replace(laid, spares=("K12-butt/3",))
    with pytest.raises(BadInput, match="S7 is out of K12-butt, and line 2 is of a strip out of K12-tip"):
        strips_laid(shop, begun, "T1", (docket, other), (1, 2, 3, 4, 5, 6, 2))


def test_lines_without_a_layout_are_refused(shop, begun):
    read_t1(shop, begun)
    with pytest.raises(BadInput, match="no node layout of T1 is kept"):
        match(shop, begun, "T1", cut_to=(1, 2, 3, 4, 5, 6, None))
    assert any("no node layout of T1 is kept" in one for one in match(shop, begun, "T1").notes)


def test_glue_up_and_strip_map_tell_the_nodes_and_the_places(bench):
    shop, begun = bench
    nodes = nodes_on(shop, begun)
    found = match(shop, begun, "T1")
    keep_order(shop, begun, found)
    glue(shop, begun, "T1", Glue("two-part glue"))
    (leaf,) = gluing.leaves_of(shop, begun, Ruler(begun.rod.length.m, 493.0))
    said = [one.text for one in leaf.blocks if isinstance(one, Words)]
    ring, laid = by_hand(nodes, found.ring), by_hand(nodes, (1, 2, 3, 4, 5, 6))
    assert (
        f"T1: nodes of touching strips lie {ring:.2f} in apart or more in this order, "
        f"{laid:.2f} in as laid out and cut." in said
    )
    rows = vouching._strip_map(shop, begun, {"T1": found.ring}).rows
    known = {one.number: one.place for one in strips(shop, begun.revision.rod) if one.section == "T1"}
    assert rows[0][2] == " ".join(str(known[number]) for number in found.ring)
    assert rows[0][3] == "K12"


def test_the_command_says_it_in_words_and_as_a_document(bench, capsys):
    nodes = nodes_on(*bench)
    file = str(bench[0].file)
    asked = ["match", "R1", "--section", "T1", "--shop", file]
    assert main([*asked, "--json"]) == 0
    found = json.loads(capsys.readouterr().out)
    assert found["touching_m"] / INCH == pytest.approx(by_hand(nodes, found["ring"]), abs=1e-6)
    assert found["as_laid"]["touching_m"] == found["as_cut"]["touching_m"] == found["apart_m"]
    assert found["keeps"] is True
    assert main([*asked, "--nodes-apart", "9 in"]) == 1
    assert "is the most, and this ring keeps it" in capsys.readouterr().out
    assert main([*asked, "--nodes-apart", "0", "--cut-to", "1 2 3 4 5 6 -"]) == 0
    assert "was to be kept" not in capsys.readouterr().out
    assert main([*asked, "--nodes-apart", "-1"]) == 2
    assert "--nodes-apart" in capsys.readouterr().err
    assert main([*asked, "--cut-to", "1 2 3 4 5 6 5", "--keep", "--json"]) == 0
    kept = json.loads(capsys.readouterr().out)
    assert main([*asked, "--json"]) == 0
    assert json.loads(capsys.readouterr().out) == kept
    assert kept["unknown"] == []

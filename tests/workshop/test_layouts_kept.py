"""Culms and layouts of a shop: kept once, found again as they were laid, shown on leaves. Demo data is invented."""

from __future__ import annotations

from datetime import UTC, datetime

import pytest

from culmwright.book.leaf import Figure, Rows, Words
from culmwright.book.ruler import Ruler
from culmwright.ledger.dockets import dockets
from culmwright.ledger.register import culms
from culmwright.measure.errors import AnswerIsNo, BadInput
from culmwright.measure.lengths import Length
from culmwright.measure.record import to_json
from culmwright.workshop.laying import USUAL, Margins, layout, layout_of_length, read_culm
from culmwright.workshop.layouts_kept import (
    culms_kept,
    keep_culm,
    lay_texts,
    layouts_kept,
    leaves_of,
    show_layout,
    state_of,
)
from culmwright.workshop.opening import begin
from culmwright.workshop.parting import culm, parted
from culmwright.workshop.starting import culm_text, rod_text

AT = datetime(2026, 11, 19, 8, tzinfo=UTC)
K12 = culm_text("k12")


@pytest.fixture(scope="module")
def laid_shop(tmp_path_factory):
    """A shop whose rod has been laid out, and what the layout said."""
    from culmwright.ledger.shop import create_shop

    folder = tmp_path_factory.mktemp("laid")
    (folder / "rod.toml").write_text(rod_text("thrimble-beck"))
    with create_shop(folder / "shop.sqlite") as shop:
        begun = begin(shop, str(folder / "rod.toml"))
        yield shop, begun, show_layout(shop, begun, AT)


def test_a_layout_is_found_again_as_it_was_laid(laid_shop):
    shop, begun, found = laid_shop
    assert [to_json(one) for one in layouts_kept(shop, begun)] == [to_json(one) for one in found.sections]


def test_every_section_is_laid_and_proved(laid_shop):
    shop, begun, found = laid_shop
    assert [one.section for one in found.sections] == ["T1", "T2", "B"]
    assert found.proved
    assert all(one.proved and not one.gave_way for one in found.sections)
    assert state_of(shop, begun) == "done"


def test_tips_that_ask_the_same_get_the_same_from_strips_of_their_own(laid_shop):
    _, _, found = laid_shop
    first, second, _ = found.sections
    assert first.slides == second.slides
    assert not {cut.strip for cut in first.cuts} & {cut.strip for cut in second.cuts}


def test_what_is_cut_off_and_what_stays_make_the_strip(laid_shop):
    """Against the culm file itself: lengths of 70 and 72 in, sections of 45 in, 3 in over at either end."""
    _, _, found = laid_shop
    nodes = [3.5, 12.25, 21.5, 31, 41, 51.25, 61.75, 72.5, 83.25, 94.25, 105.25, 116.25, 127, 137.5]  # as in the file
    for one, start, length in zip(found.sections, (70, 70, 0), (72, 72, 70), strict=True):
        for cut, slide in zip(one.cuts, one.slides, strict=True):
            assert cut.from_butt == slide
            assert (cut.from_butt + cut.from_tip + cut.length) / 0.0254 == pytest.approx(length)
            butt = start + slide / 0.0254 + 3  # where the section's butt end lies on the culm
            wanted = sorted(45 - (node - butt) for node in nodes if butt <= node <= butt + 45)
            assert [node / 0.0254 for node in cut.nodes] == pytest.approx(wanted)
            assert not any(43 <= node <= 45 for node in wanted) or one.section == "B"


def test_laying_again_keeps_nothing_twice(laid_shop):
    shop, begun, _ = laid_shop
    before = dockets(shop)
    show_layout(shop, begun, AT)
    assert dockets(shop) == before
    assert [one.kind for one in before] == ["culm", "layout", "layout", "layout"]


def test_leaves_show_the_culm_and_each_section(laid_shop):
    shop, begun, found = laid_shop
    leaves = leaves_of(shop, begun, Ruler(begun.rod.length.m, 493.0))
    assert [one.title for one in leaves] == ["Culm K12", "Nodes: Tip T1", "Nodes: Tip T2", "Nodes: Butt B"]
    tip = leaves[1]
    first = found.sections[0]
    cuts = next(one for one in tip.blocks if isinstance(one, Rows) and one.title == "Cut list")
    assert [row[1] for row in cuts.rows] == [first.cuts[i].strip for i in first.ring]
    assert [float(row[2]) for row in cuts.rows] == pytest.approx(
        [first.slides[i] / 0.0254 for i in first.ring], abs=0.005
    )
    strong = next(one.text for one in tip.blocks if isinstance(one, Words) and one.strong)
    assert f"{first.least_distance / 0.0254:.2f} in apart or more" in strong
    drawing = next(one for one in tip.blocks if isinstance(one, Figure))
    assert drawing.svg.count('fill="#000" stroke="#000" stroke-width="0.2"') == sum(
        len(one.nodes) for one in first.cuts
    )


@pytest.mark.parametrize("width", [358.0, 493.0, 952.0])
def test_drawings_stay_on_their_sheet(laid_shop, width):
    """Every coordinate of every line lies within the picture."""
    import re

    shop, begun, _ = laid_shop
    for leaf in leaves_of(shop, begun, Ruler(begun.rod.length.m, width)):
        for block in leaf.blocks:
            if isinstance(block, Figure):
                wide = float(re.search(r'width="([0-9.]+)"', block.svg)[1])
                tall = float(re.search(r'height="([0-9.]+)"', block.svg)[1])
                assert wide <= width
                xs = [float(x) for pair in re.findall(r'x[12]="(-?[0-9.]+)"', block.svg) for x in [pair]]
                ys = [float(y) for pair in re.findall(r'y[12]="(-?[0-9.]+)"', block.svg) for y in [pair]]
                for points in re.findall(r'points="([^"]+)"', block.svg):
                    xs += [float(point.split(",")[0]) for point in points.split()]
                    ys += [float(point.split(",")[1]) for point in points.split()]
                assert min(xs) >= 0 and max(xs) <= wide
                assert min(ys) >= 0 and max(ys) <= tall


def test_the_same_culm_is_entered_once_and_a_changed_one_supersedes(shop):
    first = keep_culm(shop, K12, AT)
    assert keep_culm(shop, K12, AT).id == first.id
    assert len(dockets(shop, "culm")) == 1
    keep_culm(shop, K12.replace("moisture = 11", "moisture = 9"), AT)
    assert [one.moisture for one in culms_kept(shop)] == [0.09]
    wider = keep_culm(shop, K12.replace('"2 1/8 in"', '"2 3/16 in"'), AT)
    assert wider.id != first.id
    assert [str(one.diameter) for one in culms(shop)] == ["2.1875 in"]


def test_a_redrawn_rod_is_laid_out_anew(shop, rod_path, begun):
    lay_texts(shop, begun, (K12,), section="B", share=3, at=AT)
    assert state_of(shop, begun) == "half"
    rod_path.write_text(rod_path.read_text().replace("0.275]", "0.276]"))
    again = begin(shop, str(rod_path))
    assert state_of(shop, again) == "look"
    (kept,) = layouts_kept(shop, again)
    assert kept.notes[-1] == "this was laid out to R1.1: lay the section out anew"
    lay_texts(shop, again, (K12,), section="B", share=3, at=AT)
    assert state_of(shop, again) == "half"
    assert len(dockets(shop, "layout")) == 1


def test_a_layout_with_wishes_of_its_own_is_found_again(shop, begun):
    margins = Margins(Length.parse("1 in"), Length.parse("6 in"), Length.parse("0 in"), Length.parse("1/4 in"))
    found = lay_texts(shop, begun, (K12,), section="T2", share=2, margins=margins, trim=Length.parse("4 in"), at=AT)
    (kept,) = layouts_kept(shop, begun)
    assert to_json(kept) == to_json(found.sections[0])
    assert kept.trim == pytest.approx(4 * 0.0254)


def test_a_shop_without_layouts_has_no_leaves(shop, begun):
    assert leaves_of(shop, begun, Ruler(2.0, 493.0)) == ()
    assert state_of(shop, begun) == "none"


def culm_of(text, tmp_path):
    path = tmp_path / "culm.toml"
    path.write_text(text)
    return read_culm(path)


def test_a_defect_that_nothing_can_avoid_is_said_and_the_answer_still_comes(begun, tmp_path):
    """A hole all round the middle of the butt length: every strip carries it."""
    text = K12.replace('around = ["205 deg", "228 deg"]\n', "")
    found = layout(begun.rod, (culm_of(text, tmp_path),), section="B")
    (butt,) = found.sections
    assert butt.proved
    assert {one.why for one in butt.gave_way} == {"a defect"}
    assert len(butt.gave_way) == 6
    assert butt.notes == ("6 strips carry a defect on the section: none better is left",)
    assert butt.least_distance > 0


def test_zones_that_cannot_be_kept_say_which_node_gives(begun, tmp_path):
    wide = Margins(USUAL.ferrule, Length.parse("15 in"), USUAL.grip_end)
    found = layout(begun.rod, (culm_of(K12, tmp_path),), section="T1", margins=wide)
    (tip,) = found.sections
    assert {one.why for one in tip.gave_way} == {"the tip end"}
    for one in tip.gave_way:
        cut = next(cut for cut in tip.cuts if cut.strip == one.strip)
        assert one.place in cut.nodes
        assert one.place <= 15 * 0.0254
    assert sum(node <= 15 * 0.0254 for cut in tip.cuts for node in cut.nodes) == len(tip.gave_way)


@pytest.mark.parametrize(
    ("change", "error", "sentence"),
    [
        ({"section": "T9"}, BadInput, "--section: this rod has no section T9. Name T1, T2, B."),
        ({"share": 4}, BadInput, "layout: one, two or three strips may share a place. Give 1, 2 or 3."),
        (
            {"trim": Length.parse("40 in"), "section": "B"},
            AnswerIsNo,
            "section B: 6 of 6 strips are missing: its strips are 85.00 in (2159.0 mm) long, the longest length "
            "70.00 in (1778.0 mm). See what each length yields with: culmwright culm CULM --rod ROD.",
        ),
    ],
)
def test_what_cannot_be_laid_out_is_said(begun, tmp_path, change, error, sentence):
    with pytest.raises(error) as refusal:
        layout(begun.rod, (culm_of(K12, tmp_path),), **change)
    assert str(refusal.value) == sentence


def test_two_culms_whose_lengths_share_a_name_are_refused(begun, tmp_path):
    one = culm_of(K12, tmp_path)
    with pytest.raises(BadInput, match="two culm lengths are called K12-butt"):
        layout(begun.rod, (one, one))


def test_two_culms_serve_one_rod(begun, tmp_path):
    one, two = culm_of(K12, tmp_path), culm_of(K12.replace("K12", "K13"), tmp_path)
    found = culm(begun.rod, (one, two))
    assert {each.culm: [t.section for t in each.taken] for each in found.lengths if each.taken}
    assert found.enough
    assert [each.name for each in found.lengths if not each.taken] == ["K12-tip", "K13-butt"]


def test_a_section_without_a_rod(tmp_path):
    one = culm_of(K12, tmp_path)
    found = layout_of_length((one,), Length.parse("45 in"), trim=Length.parse("6 in"), share=3)
    assert (found.section, len(found.slides), found.parted) == ("section", 6, None)
    assert found.sections[0].cuts[0].source == "K12-butt"
    both = layout_of_length(
        (one,), Length.parse("45 in"), trim=Length.parse("6 in"), lengths=("K12-butt", "K12-tip"), share=3
    )
    assert both.least_distance >= found.least_distance  # more strips to choose from are never worse


def test_strips_that_are_too_short_are_left_out_and_that_is_said(tmp_path):
    found = layout_of_length(
        (culm_of(K12, tmp_path),), Length.parse("45 in"), trim=Length.parse("26 in"), lengths=("K12-butt", "K12-tip")
    )
    (section,) = found.sections
    assert {cut.source for cut in section.cuts} == {"K12-tip"}
    assert section.notes == ("6 strips are too short for the section with its trim and left out",)


@pytest.mark.parametrize(
    ("change", "error", "sentence"),
    [
        ({"lengths": ("gone",)}, BadInput, "--from: there is no culm length gone. Name one of K12-butt, K12-tip."),
        (
            {"trim": Length.parse("28 in")},
            AnswerIsNo,
            "culm: with its trim the section is 73.00 in (1854.2 mm) long, the longest length of cane 72.00 in "
            "(1828.8 mm). Cut the culm into longer lengths, or leave less trim.",
        ),
        (
            {"lengths": ("K12-butt",), "trim": Length.parse("26 in")},
            AnswerIsNo,
            "section: there is no slack: with its trim the section needs 1.00 in (25.4 mm) more than its strips "
            "have. Cut the culm into longer lengths, or let the strips stand over by less.",
        ),
        ({"strips": 0}, BadInput, "layout: 0 strips are no section. A section has four, five or six."),
    ],
)
def test_a_section_that_cannot_be_laid_out(tmp_path, change, error, sentence):
    with pytest.raises(error) as refusal:
        layout_of_length((culm_of(K12, tmp_path),), Length.parse("45 in"), **change)
    assert str(refusal.value) == sentence


def test_a_culm_in_strips_of_one_width(tmp_path):
    found = parted(culm_of(K12, tmp_path), 0.25 * 0.0254)
    assert [(one.name, one.strips, one.nodes) for one in found.lengths] == [("K12-butt", 26, 7), ("K12-tip", 23, 7)]
    assert (found.spacing.least / 0.0254, found.spacing.most / 0.0254) == pytest.approx((8.75, 11.0))

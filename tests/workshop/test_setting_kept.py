"""Rigs and gauges of a shop: kept, set, remembered, printed."""

from __future__ import annotations

import re
from datetime import UTC, datetime
from math import radians

import pytest

from culmwright.book.leaf import Figure, Leaf, Rows, Words
from culmwright.book.ruler import Ruler
from culmwright.book.setting_leaves import closed_chart
from culmwright.design.rod_file import rod_from_text
from culmwright.ledger.register import add_gauge, rigs
from culmwright.measure.display import INCH_DISPLAY, METRIC_DISPLAY
from culmwright.measure.errors import BadInput
from culmwright.measure.lengths import Length
from culmwright.workshop import fit_kept, gauging, setting_kept
from culmwright.workshop.gauging import Instrument
from culmwright.workshop.opening import begin
from culmwright.workshop.setting import settings
from culmwright.workshop.setting_kept import keep_rig, rig_named, set_rig, settings_kept, state_of
from culmwright.workshop.starting import rod_text, shop_rig_text

START = datetime(2026, 11, 20, 8, 0, tzinfo=UTC)
FORM = shop_rig_text("long-form")
PAPER = Ruler(2.286, 493.0)


def test_a_rig_is_kept_once(shop):
    first, again = keep_rig(shop, FORM), keep_rig(shop, FORM)
    assert first.kept.id == again.kept.id
    changed = keep_rig(shop, FORM.replace("most = 0.120", "most = 0.125"))
    assert changed.kept.id != first.kept.id
    assert [one.id for one in rigs(shop)] == [changed.kept.id]
    assert rig_named(shop, "LONG FORM").rig.adjusters.most == pytest.approx(0.125 * 0.0254)


def test_a_rig_that_says_nonsense_is_not_kept(shop):
    with pytest.raises(BadInput):
        keep_rig(shop, FORM.replace('pitch = "1/20 in"', "pitch = 20"))
    assert rigs(shop) == ()


def test_screws_stand_where_they_were_set(shop, begun):
    form = keep_rig(shop, FORM)
    assert form.now == (2.0,) * 13
    set_rig(shop, begun, form, "T1", at=START)
    stands = rig_named(shop, "Long form").now
    found = settings(begun.rod, form.rig, "T1")
    assert stands == pytest.approx([one.turn for one in found.adjusters], abs=0.0026)  # half a tenth of a division
    changed = keep_rig(shop, FORM.replace("most = 0.120", "most = 0.125"))
    assert changed.now == stands  # a new file of the same rig turns no screw
    other = set_rig(shop, begun, rig_named(shop, "Long form"), "B", at=START)
    assert [one.from_now for one in other.adjusters] == pytest.approx(
        [one.turn - was for one, was in zip(other.adjusters, stands, strict=True)]
    )
    assert rig_named(shop, "Long form").now == pytest.approx([one.turn for one in other.adjusters], abs=0.0026)


def test_an_old_setting_is_of_the_rig_as_it_was(shop, begun):
    """Another pitch in the rig's newer file does not turn the screws of an older setting."""
    set_rig(shop, begun, keep_rig(shop, FORM), "T1", at=START)
    ((before, _),) = settings_kept(shop, begun)
    keep_rig(shop, FORM.replace('pitch = "1/20 in"', 'pitch = "1/16 in"'))
    ((after, _),) = settings_kept(shop, begun)
    assert [one.turn for one in after.adjusters] == [one.turn for one in before.adjusters]
    assert after.screw == before.screw


def test_settings_are_remembered_section_by_section(shop, begun):
    form = keep_rig(shop, FORM)
    assert state_of(shop, begun) == "none"
    set_rig(shop, begun, form, "B", at=START)
    set_rig(shop, begun, form, "T1", tip_end=0.1, at=START)
    set_rig(shop, begun, form, "T1", tip_end=0.2, at=START)
    kept = settings_kept(shop, begun)
    assert [one.section for one, _ in kept] == ["T1", "B"]
    assert kept[0][0].tip_end == pytest.approx(0.2)
    assert all(notes == () for _, notes in kept)
    assert state_of(shop, begun) == "half"
    set_rig(shop, begun, form, "T2", at=START)
    assert state_of(shop, begun) == "done"


def test_the_groove_it_was_set_in_is_remembered(shop, begun):
    form = keep_rig(shop, FORM)
    assert set_rig(shop, begun, form, "B", at=START).grooves == ("butts",)
    set_rig(shop, begun, form, "B", groove="tips", at=START)
    ((kept, _),) = settings_kept(shop, begun)
    assert kept.grooves == ("tips",)
    set_rig(shop, begun, form, "B", at=START)
    ((kept, _),) = settings_kept(shop, begun)
    assert kept.grooves == ("butts",)


def test_a_redrawn_rod_wants_its_screws_set_anew(shop, begun, rod_path):
    set_rig(shop, begun, keep_rig(shop, FORM), "T1", at=START)
    rod_path.write_text(rod_text("thrimble-beck").replace("0.129,", "0.130,"))
    redrawn = begin(shop, str(rod_path))
    ((_, notes),) = settings_kept(shop, redrawn)
    assert notes == ("the screws were set for another revision of this drawing: set them anew",)
    assert state_of(shop, redrawn) == "look"


def blocks(leaf: Leaf, kind):
    return [one for one in leaf.blocks if isinstance(one, kind)]


def test_the_demo_has_its_sheets(shop, begun):
    add_gauge(shop, "G1", "in")
    setting_kept.show_rigs(shop, begun, START)
    gauging.show_gauges(shop, START, begun.rod.display)
    leaves = (*setting_kept.leaves_of(shop, begun, PAPER), *gauging.leaves_of(shop, begun, PAPER))
    assert [leaf.title for leaf in leaves] == ["Adjuster settings, T1", "Adjuster settings, B", "Gauge checks"]
    assert "For T2 the screws stand alike: leave them." in [one.text for one in blocks(leaves[0], Words)]
    assert [one.name for one in rigs(shop)] == ["Long form", "Quiet bed", "Pair form"]


@pytest.mark.parametrize("width", [493.0, 952.0, 358.0])
def test_a_sheet_says_what_the_settings_say(shop, begun, width):
    form = keep_rig(shop, FORM)
    found = set_rig(shop, begun, form, "B", at=START)
    (leaf,) = setting_kept.leaves_of(shop, begun, Ruler(2.286, width))
    (table,) = blocks(leaf, Rows)
    show = begun.rod.display
    assert table.write_in and table.heads[-1] == "set, read"
    assert len(table.rows) == len(found.adjusters)
    for row, one in zip(table.rows, found.adjusters, strict=True):
        assert row[0].split(",")[0] == str(one.number)
        assert row[3] == show.height.number(one.depth)
        assert found.brief(one.turn) in row and found.brief_move(one.from_now) in row
        assert row[-1] == ""
        assert all(row[:-1])
    section, departure, *_ = blocks(leaf, Figure)
    assert "counter-clockwise" in table.title and "divisions of 20" in table.title
    assert "60 deg" in section.svg
    assert f'width="{width:.2f}"' in section.svg
    assert "thou" in departure.title
    said = " ".join(one.text for one in blocks(leaf, Words))
    assert show.small(found.worst_departure) in said and show.small(found.plain_departure) in said


def test_a_pair_of_grooves_and_a_bed_are_drawn(shop, begun, tmp_path):
    path = tmp_path / "five.toml"
    path.write_text(rod_text("pellamere-brook"))
    five = begin(shop, str(path))
    set_rig(shop, five, keep_rig(shop, shop_rig_text("pair-form")), "M", at=START)
    set_rig(shop, begun, keep_rig(shop, shop_rig_text("quiet-bed")), "B", at=START)
    (pair,) = setting_kept.leaves_of(shop, five, PAPER)
    (bed,) = setting_kept.leaves_of(shop, begun, PAPER)
    drawn = blocks(pair, Figure)[0].svg
    enamel = re.findall(
        r'<line x1="([\d.]+)" y1="[\d.]+" x2="([\d.]+)" y2="[\d.]+" stroke="#000" stroke-width="2.6"/>', drawn
    )
    assert [float(top) < float(vertex) for vertex, top in enamel] == [True, False]  # the walls have changed sides
    assert drawn.count("54 deg") == drawn.count("72 deg") == 2
    assert "five, left: depth" in drawn and "five, right: depth" in drawn
    assert "stop 0.2300 in" in blocks(bed, Figure)[0].svg
    assert "fixed at the hole or stop at" in " ".join(one.text for one in blocks(bed, Words))


def test_nothing_kept_is_no_sheet(shop, begun):
    assert setting_kept.leaves_of(shop, begun, PAPER) == ()
    assert gauging.leaves_of(shop, begun, PAPER) == ()


def test_a_gauge_is_tried_and_the_sheet_says_so(shop, begun):
    add_gauge(shop, "G1", "in")
    good = gauging.try_gauge(shop, "G1", Instrument.CALIPER, Length.parse("0.25 in"), Length.parse("0.2505 in"))
    off = gauging.try_gauge(shop, "G1", Instrument.CALIPER, Length.parse("0.5 in"), Length.parse("0.498 in"))
    assert (good.good, off.good) == (True, False)
    (leaf,) = gauging.leaves_of(shop, begun, PAPER)
    tried, following = blocks(leaf, Rows)
    assert [row[-1] for row in tried.rows] == ["good", "off: look to it"]
    assert [row[-3] for row in tried.rows] == ["+0.50", "-2.00"]
    assert following.write_in and following.rows[0] == ("1", "")
    with pytest.raises(BadInput, match=r"this shop has no gauge G9. Its gauges are G1"):
        gauging.try_gauge(shop, "G9", Instrument.CALIPER, Length.parse("1 in"), Length.parse("1 in"))


def test_a_gauge_at_its_limit_is_not_called_off(shop, begun):
    """A micrometer may be 4 µm out (DIN 863): 0.0002 in is 5.08 µm, and its last digit, 0.0001 in, leaves 1.27 open.

    Out is what is proven to be: beyond the limit by more than the doubt (ISO 14253-1, from memory).
    """
    add_gauge(shop, "G1", "in")
    add_gauge(shop, "G2", "mm", resolution=Length.parse("0.001 mm"))
    for name, reference, shown in (
        ("G1", "0.25 in", "0.2502 in"),  # 5.08 - 1.27 = 3.81 µm: it may be within
        ("G1", "0.25 in", "0.2503 in"),  # 7.62 - 1.27 = 6.35 µm: it is not
        ("G1", "0.25 in", "0.2501 in"),
        ("G2", "6.35 mm", "6.354 mm"),
        ("G2", "6.35 mm", "6.3545 mm"),  # by half its step beyond: no more than its own doubt
        ("G2", "6.35 mm", "6.3547 mm"),
        ("G2", "6.35 mm", "6.345 mm"),
    ):
        gauging.try_gauge(shop, name, Instrument.MICROMETER, Length.parse(reference), Length.parse(shown))
    (leaf,) = gauging.leaves_of(shop, begun, PAPER)
    tried, _ = blocks(leaf, Rows)
    at_limit = "at its limit"
    assert [row[-1] for row in tried.rows] == [
        at_limit,
        "off: look to it",
        "good",
        "good",
        at_limit,
        "off: look to it",
        "off: look to it",
    ]
    assert any("no more than the gauge's last digit" in one.text for one in blocks(leaf, Words))
    assert [row[-3:-1] for row in tried.rows][:2] == [("+0.20", "0.16"), ("+0.30", "0.16")]  # no "0.2 of 0.2"


def test_a_sheet_in_millimetres():
    rod = rod_from_text(rod_text("pellamere-brook"))
    from culmwright.book.setting_leaves import settings_leaf
    from culmwright.rigs.rig_file import rig_from_text

    leaf = settings_leaf(settings(rod, rig_from_text(shop_rig_text("pair-form")), "T1"), (), PAPER, METRIC_DISPLAY)
    assert "mm" in blocks(leaf, Rows)[0].heads[3]


def test_the_doubt_of_a_reading_is_its_parts_together():
    """By hand: a caliper's 0.02 mm over root three, a step of 0.01 mm over root twelve, a zero known to 5 um."""
    found = gauging.doubt(Instrument.CALIPER, 1e-5, zero_part=gauging.Part("zero", 5e-6))
    by_hand = ((2e-5) ** 2 / 3 + (1e-5) ** 2 / 12 + (5e-6) ** 2) ** 0.5
    assert found.combined == pytest.approx(by_hand, rel=1e-12)
    assert found.expanded == pytest.approx(1.959964 * by_hand, rel=1e-6)
    assert found.freedom is None


def test_the_page_draws_the_groove_as_set_over_the_groove_closed_and_paper_leaves_it_out(shop, begun):
    """With every screw closed a groove is as deep as its rig file says; each screw opened by u adds u sin 60 deg (walls
    of 60 deg: 1/(2 cot 60 deg), plane geometry).
    """
    form = keep_rig(shop, FORM)
    set_rig(shop, begun, form, "T1")
    drawn = {
        width: [
            one.title
            for one in setting_kept.leaves_of(shop, begun, Ruler(2.286, width))[0].blocks
            if isinstance(one, Figure)
        ]
        for width in (358.0, 493.0, 952.0)
    }
    title = "Depth of the groove along the section, in: points as set, line with every screw closed"
    assert title in drawn[358.0] and title in drawn[952.0]
    assert title not in drawn[493.0]
    found = settings_kept(shop, begun)[0][0]
    spec = closed_chart(found, Ruler(found.length, 952.0), INCH_DISPLAY)
    line, points = spec["data"]["values"], spec["layer"][1]["data"]["values"]
    ends = [form.rig.moved.grooves[0].zero.at(found.tip_end + x) / 0.0254 for x in (0.0, found.length)]
    assert [line[0]["value"], line[-1]["value"]] == pytest.approx(ends)
    under = [one for one in found.adjusters if one.under_strip]
    assert len(points) == len(under) > 5
    for point, one in zip(points, under, strict=True):
        assert point["station"] == pytest.approx(one.position / 0.0254)
        closed = form.rig.moved.grooves[0].zero.at(one.place) / 0.0254
        assert point["value"] - closed == pytest.approx(one.opening / 0.0254 * 3**0.5 / 2, rel=1e-6)


def test_a_bed_has_no_groove_to_draw(shop, begun):
    set_rig(shop, begun, keep_rig(shop, shop_rig_text("quiet-bed")), "T1")
    leaf = setting_kept.leaves_of(shop, begun, Ruler(2.286, 952.0))[0]
    assert not [one for one in leaf.blocks if isinstance(one, Figure) and "closed" in one.title]


def other_rod(shop, tmp_path, name):
    path = tmp_path / f"{name}.toml"
    path.write_text(rod_text(name))
    return begin(shop, str(path))


def test_a_bed_is_told_in_the_books_of_the_rods_set_on_it(shop, begun, tmp_path):
    bed = keep_rig(shop, shop_rig_text("quiet-bed"))
    six, five = other_rod(shop, tmp_path, "quernmoss-water"), other_rod(shop, tmp_path, "pellamere-brook")
    titles = {one.code: [leaf.title for leaf in fit_kept.leaves_of(shop, one, PAPER)] for one in (begun, six, five)}
    assert set(map(tuple, titles.values())) == {("Thermal fit, Quiet bed",)}  # set for none yet, it may be any rod's
    set_rig(shop, begun, bed, "T1", at=START)
    assert [len(fit_kept.leaves_of(shop, one, PAPER)) for one in (begun, six, five)] == [1, 0, 0]
    set_rig(shop, five, keep_rig(shop, shop_rig_text("pair-form")), "M", at=START)
    other = shop_rig_text("quiet-bed").replace('name = "Quiet bed"', 'name = "Other bed"')
    keep_rig(shop, other)
    assert [len(fit_kept.leaves_of(shop, one, PAPER)) for one in (begun, six, five)] == [1, 1, 0]
    set_rig(shop, begun, keep_rig(shop, FORM), "T1", at=START)  # roughed on the bed, then finished on the form
    assert [leaf.title for leaf in fit_kept.leaves_of(shop, begun, PAPER)] == ["Thermal fit, Quiet bed"]


def test_zeros_are_told_of_the_block_a_rod_is_read_over(shop, begun, tmp_path):
    six, five = begun, other_rod(shop, tmp_path, "pellamere-brook")
    for degrees, zero in ((61, 6.5e-3), (73, 6.6e-3), (60.8, 6.7e-3)):
        found = gauging.ZeroFound(None, None, "", zero, 2e-6)
        gauging.keep_zero(shop, radians(degrees), found, START)
    assert [told["zero"] for _, told in gauging.zeros_of(shop, six)] == [6.5e-3, 6.7e-3]
    assert [told["zero"] for _, told in gauging.zeros_of(shop, five)] == [6.6e-3]
    (leaf,) = gauging.leaves_of(shop, five, PAPER)
    (table,) = [one for one in blocks(leaf, Rows) if one.title == "Zeros of V blocks"]
    assert [row[1] for row in table.rows] == ["73 deg"]
    four = other_rod(shop, tmp_path, "ossel-burn")
    assert gauging.leaves_of(shop, four, PAPER) == ()

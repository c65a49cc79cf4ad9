"""What a shop keeps of water, heat and inserts: the demo's drying, the sheets, and how far it stands."""

from __future__ import annotations

import json
import re
from datetime import UTC, datetime, timedelta
from math import exp

import pytest

from culmwright.book.fit_drawing import fit_figure
from culmwright.book.leaf import Figure, Ladder, Rows, Words
from culmwright.book.ruler import Ruler
from culmwright.book.water_leaves import heat_chart, mass_chart
from culmwright.book.water_words import mass_format
from culmwright.ledger.dockets import dockets
from culmwright.ledger.faults import Conflict
from culmwright.measure.display import INCH_DISPLAY
from culmwright.measure.errors import BadInput
from culmwright.rigs.expansion import ALUMINIUM, HDPE
from culmwright.rigs.thermal import Joint, fit_at
from culmwright.workshop import fit_kept, water_kept
from culmwright.workshop.bundles import bundles, keep_weighing, take_back
from culmwright.workshop.drying_play import ROOM, show_drying
from culmwright.workshop.heating import heated, plan_kept
from culmwright.workshop.setting_kept import keep_rig
from culmwright.workshop.starting import shop_rig_text

AT = datetime(2026, 11, 22, 9, 0, tzinfo=UTC)
INCH = 0.0254


@pytest.fixture
def ruler(begun):
    return Ruler(begun.rod.length.m, 493.0)


def test_the_demo_s_bundles_end_where_their_room_lets_them(shop, begun):
    """The play's own truth: its layers settle at 8.8 % of a dry mass that the fit is never told."""
    show_drying(shop, begun, AT)
    found = {one.bundle: one for one in water_kept.drying_kept(shop, begun)}
    assert set(found) == {"T1", "T2", "B"}
    for name, count in (("T1", 11), ("T2", 11), ("B", 11)):
        first = found[name].weighings[0].mass
        truth = first / 1.42 * (1 + ROOM)
        fit = found[name].fit
        assert len(found[name].weighings) == count
        assert fit.settles.low - 0.0003 < truth < fit.settles.high + 0.0003
        assert fit.reached
    assert found["T1"].fit.stopped and found["T2"].fit.stopped
    slow, quick = found["B"].fit.constant, found["T1"].fit.constant
    assert 1.2 < slow / quick < 1.7  # played with 1.4 times the time
    assert water_kept.state_of(shop, begun) == "done"
    assert [one.bundle for one in heated(shop, begun)] == ["T1", "T1", "T2", "T2"]
    assert plan_kept(shop, begun).steps[1].cautions


def test_the_play_is_the_same_every_time(shop, begun, tmp_path):
    from culmwright.ledger.shop import create_shop
    from culmwright.workshop.opening import begin
    from culmwright.workshop.starting import rod_text

    show_drying(shop, begun, AT)
    (tmp_path / "again.toml").write_text(rod_text("thrimble-beck"))
    with create_shop(tmp_path / "again.sqlite") as other:
        show_drying(other, begin(other, str(tmp_path / "again.toml")), AT)
        again = [one.text for one in dockets(other, "weighing")]
    assert again == [one.text for one in dockets(shop, "weighing")]


def test_the_sheets(shop, begun, ruler):
    assert water_kept.leaves_of(shop, begun, ruler) == ()
    assert fit_kept.leaves_of(shop, begun, ruler) == ()
    assert water_kept.state_of(shop, begun) == "none"
    show_drying(shop, begun, AT)
    keep_rig(shop, shop_rig_text("quiet-bed"))
    keep_rig(shop, shop_rig_text("long-form"))
    leaves = water_kept.leaves_of(shop, begun, ruler)
    titles = [f"Drying record, {name}" for name in ("T1", "T2", "B")]
    assert [leaf.title for leaf in leaves] == [*titles, "Oven plan"]
    assert all("never unattended" in leaf.caution for leaf in leaves)
    (bed,) = fit_kept.leaves_of(shop, begun, ruler)
    assert bed.title == "Thermal fit, Quiet bed"
    for leaf in (*leaves, bed):
        assert {type(block) for block in leaf.blocks} == {Words, Figure, Rows, Ladder}
        assert sum(block.svg.startswith("<svg") for block in leaf.blocks if isinstance(block, Figure)) == 1
    table, boxes = (block for block in leaves[2].blocks if isinstance(block, Rows))
    assert len(table.rows) == 11 and boxes.write_in
    assert [row[0] for row in boxes.rows] == ["12", "13", "14", "15", "16", "17"]
    assert not any(row[-1] for row in boxes.rows)
    assert f"{table.rows[0][2]} g" == water_kept.drying_kept(shop, begun)[2].weighings[0].text
    assert table.heads == ("when", "after", "mass, g", "lost, g")


def test_a_bundle_weighed_once_has_its_boxes(shop, begun, ruler):
    keep_weighing(shop, begun, "M" if begun.rod.pieces > 2 else "B", "212.4 g", at=AT)
    (leaf,) = water_kept.leaves_of(shop, begun, ruler)
    assert leaf.blocks[0] == Words("Weighed once: two more make a curve.", strong=True)
    assert water_kept.state_of(shop, begun) == "half"


def test_the_chart_shows_the_very_weighings(shop, begun, ruler):
    show_drying(shop, begun, AT)
    one = water_kept.drying_kept(shop, begun)[0]
    chart = mass_chart(one, ruler, 86_400.0, mass_format(one.weighings, begun.rod.display))
    assert [row["mass"] for row in chart["data"]["values"]] == [
        pytest.approx(float(each.text.split()[0])) for each in one.weighings
    ]
    assert chart["data"]["values"][-1]["time"] == 13.0
    (band,) = [layer for layer in chart["layer"] if layer["mark"]["type"] == "area"]
    assert all(row["low"] <= row["mass"] + 1e-9 for row in band["data"]["values"][:40])
    low, high = chart["layer"][-1]["encoding"]["y"]["scale"]["domain"]
    assert all(low < row["mass"] < high for row in chart["data"]["values"])


def test_the_oven_s_chart_holds_the_cane_below_the_oven(shop, begun, ruler):
    show_drying(shop, begun, AT)
    chart = heat_chart(plan_kept(shop, begun), ruler, INCH_DISPLAY)
    oven = [row["oven"] for row in chart["data"]["values"]]
    assert oven == [pytest.approx(240), pytest.approx(240), pytest.approx(335), pytest.approx(335)]
    cane = chart["layer"][0]["data"]["values"]
    assert cane[0]["low"] == pytest.approx(68) and all(row["low"] <= row["high"] <= 335.01 for row in cane)
    first = plan_kept(shop, begun).steps[0]
    early = next(row for row in cane if row["time"] > 2)  # Newton's law of cooling, the quick bound and the slow one
    for side, constant in (("high", first.constant.low), ("low", first.constant.top)):
        assert early[side] == pytest.approx(240 - 172 * exp(-early["time"] * 60 / constant))
    held = [row for row in cane if row["time"] > 20 and row["time"] < 60]
    assert held and all(row["low"] > 240 - 3 * 1.8 - 0.1 for row in held)  # within 3 K once the slow bound is past


def test_the_drawing_puts_screws_on_the_ruler(ruler):
    joint = Joint(HDPE, ALUMINIUM, (2 * INCH, 32 * INCH, 62 * INCH), 2 * INCH, 294.26, 15 * 25.4e-6)
    along = Ruler(64 * INCH, 493.0)
    svg, alt = fit_figure(fit_at(joint, 288.7), along, INCH_DISPLAY)
    lines = re.findall(r'<line x1="([0-9.]+)" y1="42.00" x2="\1" y2="90.00"', svg)
    assert [float(x) for x in lines] == [pytest.approx(along.x(place), abs=0.006) for place in joint.screws]
    boxes = re.findall(r'points="([0-9.]+),43.00 ([0-9.]+),43.00', svg)
    times = int(re.search(r"error (\d+) times", alt)[1])
    error = fit_at(joint, 288.7).screws[2].error
    left, right = (float(edge) for edge in boxes[2])
    assert left + 1.5 == pytest.approx(along.x(62 * INCH) + times * error.low * along.scale, abs=0.01)
    assert right - 1.5 == pytest.approx(along.x(62 * INCH) + times * error.high * along.scale, abs=0.01)
    assert "ring: the screw enters" in alt


def test_the_same_weighing_again_is_one(shop, begun):
    for _ in range(2):
        found = keep_weighing(shop, begun, "T1", "212.4 g", at=AT, id="weighing-of-tuesday-1")
    assert len(found.weighings) == 1
    with pytest.raises(Conflict):
        keep_weighing(shop, begun, "T1", "212.5 g", at=AT, id="weighing-of-tuesday-1")


def test_a_weighing_found_later_goes_to_its_place(shop, begun):
    """Written on paper on Tuesday, typed on Thursday: the order is that of the weighing."""
    for day, mass in ((0, "212.4 g"), (2, "195.0 g"), (1, "202.2 g")):
        found = keep_weighing(shop, begun, "T1", mass, at=AT + timedelta(days=day))
    assert [one.text for one in found.weighings] == ["212.4 g", "202.2 g", "195.0 g"]
    left = take_back(shop, begun, "T1", "wrong bundle")
    assert [one.text for one in left.weighings] == ["212.4 g", "202.2 g"]


def test_what_is_said_beside_a_weighing_is_read_before_it_is_kept(shop, begun):
    with pytest.raises(BadInput, match="cannot be read as a humidity"):
        keep_weighing(shop, begun, "T1", "212.4 g", at=AT, said={"humidity": "damp"})
    with pytest.raises(BadInput, match="no section T9"):
        keep_weighing(shop, begun, "T9", "212.4 g", at=AT)
    assert bundles(shop, begun) == ()
    with pytest.raises(BadInput, match="was not weighed yet"):
        take_back(shop, begun, "T1", "nothing there")
    keep_weighing(shop, begun, "T1", "212.4 g", at=AT, said={"room": "68 F", "humidity": "45%"})
    keep_weighing(shop, begun, "T1", "202.4 g", at=AT + timedelta(days=1), said={"humidity": "55%"})
    (bundle,) = bundles(shop, begun)
    assert (bundle.said.room, bundle.said.humidity) == (pytest.approx(293.15), 0.55)  # the newest word counts
    assert json.loads(dockets(shop, "weighing")[0].text)["mass"] == "212.4 g"


def test_a_bundle_whose_target_its_air_does_not_reach_wants_a_look(shop, begun, ruler):
    """At 68 degF and 45 % cane settles near 8.5 %: 6 % is not to be had there, however long it lies."""
    said = {"room": "68 F", "humidity": "45%", "target": "6%"}
    for day, mass in ((0, "212.4 g"), (1, "202.2 g"), (2, "195.0 g")):
        keep_weighing(shop, begun, "T1", mass, at=AT + timedelta(days=day), said=said)
    (found,) = water_kept.drying_kept(shop, begun)
    assert found.fit is None and "6% cannot be reached in this air" in found.reason
    assert water_kept.state_of(shop, begun) == "look"
    (leaf,) = water_kept.leaves_of(shop, begun, ruler)
    assert "cannot be reached" in leaf.blocks[0].text


def test_an_insert_fitted_nobody_knows_when_has_no_sheet(shop, begun, ruler):
    text = shop_rig_text("quiet-bed")
    assert 'fitted = "70 degF"\n' in text
    keep_rig(shop, text.replace('fitted = "70 degF"\n', ""))
    assert fit_kept.leaves_of(shop, begun, ruler) == ()

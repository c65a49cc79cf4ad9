"""Facts of the trade (common practice, no source) that the defaults and plans must meet."""

from __future__ import annotations

from math import degrees

import pytest

from culmwright.bench.passes import DRY, WET, plan_passes
from culmwright.bench.targets import schedule
from culmwright.design.fittings import propose_guides, seat
from culmwright.design.rod import BLOCK_DEGREES, Cutter
from culmwright.design.rod_file import rod_from_text
from culmwright.measure.lengths import Length

INCH = 0.0254
THOU = 25.4e-6
MILE = 1609.344  # [m], international mile, exact

PLAIN = """
culmwright = 1
units = "inch"
[rod]
sides = {sides}
length = 90
[taper]
stations = [0, 90]
across = [0.070, 0.330]
"""


@pytest.mark.parametrize(("sides", "block"), [(6, 61), (5, 73), (4, 91)])
def test_v_blocks_are_cut_one_degree_open(sides, block):
    rod = rod_from_text(PLAIN.format(sides=sides))
    assert degrees(rod.bench.block_angle) == pytest.approx(block)
    assert BLOCK_DEGREES[sides] == block == 360 / sides + 1


def test_strips_are_roughed_a_hundred_thou_over():
    for strip in schedule(rod_from_text(PLAIN.format(sides=6))).sections[0].stations:
        assert (strip.rough_height - strip.height) / THOU == pytest.approx(100)


def test_soaked_cane_takes_ten_thou_then_eight_six_and_four():
    plan = plan_passes(0.268 * INCH, 0.200 * INCH, cutter=Cutter.TWO_EDGED, depths=WET)
    depths = [round(depth / THOU, 6) for depth in plan.passes]
    assert depths == [10, 10, 10, 10, 10, 8, 6, 4]
    assert max(WET.coarse, *WET.closing) / THOU == pytest.approx(10)
    assert DRY.coarse / THOU == pytest.approx(4)


def test_planing_a_rod_walks_a_mile_six_feet_at_a_time():
    """For which numbers it comes true.

    A two-piece rod with two tips, six sides: three sections, 18 strips and a spare to each, 21 in all, planed with a
    flat iron on both flanks, a walk of six feet a stroke, one way. A strip of the rod's middle thickness is split to
    0.330 in, roughed soaked to 0.190 in and finished dry at 4 thou a pass to 0.090 in. That is 18 soaked and 26 dry
    strokes a strip, 44 in all: 21 x 44 x 6 ft = 5544 ft, a mile and a twentieth.
    """
    strips, stroke = 18 + 3, 6 * 0.3048
    rough = plan_passes(0.330 * INCH, 0.190 * INCH, depths=WET, strips=strips, length=stroke)
    fine = plan_passes(0.190 * INCH, 0.090 * INCH, depths=DRY, strips=strips, length=stroke)
    assert (len(rough.passes), len(fine.passes)) == (18, 26)
    walked = rough.distance_walked + fine.distance_walked
    assert walked == pytest.approx(5544 * 0.3048)
    assert walked / MILE == pytest.approx(1, abs=0.1)  # "about"


@pytest.mark.parametrize(("feet", "guides"), [(6, 7), (7, 8), (8, 9), (9, 10)])
def test_about_one_guide_a_foot_plus_one(feet, guides):
    places = propose_guides(Length.parse(f"{feet} ft"), ())
    assert len(places) - 1 == guides  # without the tip-top


@pytest.mark.parametrize("size", [8, 13, 20])
def test_ferrules_are_numbered_by_their_bore_in_64ths(size):
    assert seat(6, 0.1 * INCH, size).bore / INCH == pytest.approx(size / 64)

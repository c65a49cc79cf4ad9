"""The working behind a moment and a stress: the ladder ends in the check's own numbers and can be climbed by hand."""

from __future__ import annotations

import pytest

from culmwright.design.rod_file import rod_from_text
from culmwright.mechanics.stress import EXACT, ROUNDED, stress_check
from culmwright.mechanics.working import stress_working

ROD = """
culmwright = 1
units = "inch"
[rod]
sides = 6
length = 90
line = 5
[taper]
stations = [0, 45, 90]
across = [0.07, 0.20, 0.33]
varnish = 0.002
[guides]
stations = [0, 60]
masses = ["0.5 g", "0.2 g"]
"""


@pytest.mark.parametrize("rule", [EXACT, ROUNDED], ids=lambda rule: rule.name)
@pytest.mark.parametrize("i", [1, 2])
def test_the_ladder_ends_in_the_number_of_the_check(rule, i):
    rod = rod_from_text(ROD)
    station = stress_check(rod, rule=rule).stations[i]
    found = stress_working(rod, rod.assembled()[-1], station.station, rule)
    assert found["moment"].value == station.moment
    assert found["stress"].value == station.stress


def test_the_ladder_can_be_climbed():
    found = stress_working(rod_from_text(ROD), rod_from_text(ROD).assembled()[-1], 90 * 0.0254, EXACT)
    steps = {one.step: one.value for one in found["stress"].ladder()}
    assert steps["bare apothem"] == pytest.approx(steps["across, as drawn"] / 2 - steps["varnish over a flat"])
    assert steps["section modulus"] == pytest.approx(0.1202813 * (2 * steps["bare apothem"]) ** 3, rel=1e-6)
    parts = [value for step, value in steps.items() if step.startswith("moment of ")]
    assert len(parts) == 6  # line beyond the tip, line in the guides, cane, varnish, tip-top, guide
    assert steps["bending moment"] == pytest.approx(sum(parts))
    assert steps["stress"] == pytest.approx(steps["bending moment"] / steps["section modulus"])
    assert steps["load factor"] == 4.0


def test_loads_that_do_not_pull_there_are_left_out():
    found = stress_working(rod_from_text(ROD), rod_from_text(ROD).assembled()[-1], 45 * 0.0254, EXACT)
    assert "moment of guide 1" not in {one.step for one in found["moment"].ladder()}

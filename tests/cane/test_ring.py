"""Strips around a culm: which of them carry a defect, where their nodes lie."""

from __future__ import annotations

from math import radians

import pytest

from culmwright.cane.culm import Defect
from culmwright.cane.culm_file import culm_from_text
from culmwright.cane.ring import ring_of, strips_in_ring
from culmwright.measure.errors import BadInput
from culmwright.measure.lengths import Length

CULM = """
culmwright = 1
units = "metric"
[culm]
label = "K1"
length = "4 m"
diameter = [60, 55, 50]
nodes = [200, 500, 810, 2100, 2400]
[[defect]]
start = 450
end = 520
around = ["80 deg", "100 deg"]
[[defect]]
start = 2200
end = 2210
[[length]]
start = 300
end = 2000
[[length]]
start = 2000
end = 4000
"""


def defect(low, high):
    return Defect(Length.parse("1 m"), Length.parse("2 m"), (radians(low), radians(high)), "")


def test_nodes_count_from_the_strips_own_butt_end():
    culm = culm_from_text(CULM)
    first = ring_of(culm, culm.lengths[0], 12)[0]
    assert [one.m for one in first.nodes] == pytest.approx([0.2, 0.51])
    assert first.label == "K1-1/1"


def test_a_defect_is_carried_by_the_strips_it_touches():
    culm = culm_from_text(CULM)
    marked = [one.number for one in ring_of(culm, culm.lengths[0], 12) if one.faults]
    assert marked == [3, 4]  # 60 to 90 and 90 to 120 deg
    assert all(one.faults for one in ring_of(culm, culm.lengths[1], 12))  # all round


@pytest.mark.parametrize(
    ("low", "high", "numbers"),
    [(80, 100, [3, 4]), (90, 120, [4]), (350, 10, [1, 12]), (95, 95, [4]), (60, 60, [3])],
)
def test_twelve_strips_of_thirty_degrees(low, high, numbers):
    one = defect(low, high)
    found = [k + 1 for k in range(12) if one.touches(radians(30 * k), radians(30 * (k + 1)))]
    assert found == numbers


@pytest.mark.parametrize(
    ("diameter", "width", "kerf", "what"),
    [
        (2.0, 0.0, 0.0, "a strip, a culm and a kerf are above zero"),
        (0.0, 0.2, 0.0, "a strip, a culm and a kerf are above zero"),
        (2.0, 0.2, -0.1, "a strip, a culm and a kerf are above zero"),
        (2.0, 2.0, 0.0, "the strip is as wide as the culm"),
        (2.0, 1.9, 0.1, "the strip is as wide as the culm"),
    ],
)
def test_a_ring_that_cannot_be(diameter, width, kerf, what):
    with pytest.raises(BadInput, match=what):
        strips_in_ring(diameter, width, kerf)

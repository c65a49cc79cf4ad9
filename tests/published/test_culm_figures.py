"""Strips of a ring and flattened nodes: published counts, and figures of plane geometry worked out twice."""

from __future__ import annotations

from math import acos, asin, cos, pi, sin, sqrt

import pytest

from culmwright.cane.flattening import depth_of_spot, flattened, spot_of_depth
from culmwright.cane.ring import angle_of_strip, strips_in_ring

INCH = 0.0254


@pytest.mark.parametrize(("width", "strips"), [(0.1875, 33), (0.250, 25), (0.3125, 20)])
def test_a_two_inch_ring(width, strips):
    # plane geometry: pi/asin(w/D), rounded down
    assert strips_in_ring(2.0 * INCH, width * INCH) == strips


def test_a_trade_table_rounds_up_where_this_rounds_down():
    # A trade table (read in a public text) gives 24 butt strips of 0.262 in and 32 tip strips of 0.196 in to a ring of
    # 2 in. By the arc there are 23.98 and 32.06, by the chord 23.91 and 32.01: the 24th strip is not there.
    assert strips_in_ring(2.0, 0.262) == 23
    assert strips_in_ring(2.0, 0.196) == 32
    assert 2 * pi / angle_of_strip(2.0, 0.262) == pytest.approx(23.91, abs=5e-3)


@pytest.mark.parametrize("count", [3, 5, 6, 12, 25, 32])
def test_chords_close_the_ring(count):
    """Corners of a regular polygon inscribed in the ring: exactly so many chords fit, and a hair wider one less."""
    corners = [(cos(2 * pi * k / count), sin(2 * pi * k / count)) for k in range(count)]
    (x0, y0), (x1, y1) = corners[:2]
    chord = sqrt((x1 - x0) ** 2 + (y1 - y0) ** 2)
    assert strips_in_ring(2.0, chord) == count
    assert strips_in_ring(2.0, chord * 1.0001) == count - 1


def test_a_saw_takes_its_kerf_from_every_strip():
    assert strips_in_ring(2.0, 0.21, kerf=0.04) == strips_in_ring(2.0, 0.25) == 25


@pytest.mark.parametrize(("spot", "thou"), [(0.5, 3.1), (0.625, 4.9), (0.75, 7.0)])
def test_a_spot_on_a_ten_inch_bend(spot, thou):
    # b = Rb - sqrt(Rb^2 - L^2/4), printed to a tenth of a thou
    assert depth_of_spot(10.0, spot) * 1000 == pytest.approx(thou, abs=0.05)
    assert spot_of_depth(10.0, thou / 1000) == pytest.approx(spot, abs=0.006)  # the depth's last digit is worth so much


@pytest.mark.parametrize("spot", [1e-4, 0.01, 0.3, 1.9])
def test_a_spot_is_the_chord_of_its_angle(spot):
    """By angles instead of roots: the chord subtends 2 asin(L/2R), its sagitta is R (1 - cos of half)."""
    half = asin(spot / 2)
    assert depth_of_spot(1.0, spot) == pytest.approx(2 * sin(half / 2) ** 2, rel=1e-12)
    assert spot_of_depth(1.0, depth_of_spot(1.0, spot)) == pytest.approx(spot, rel=1e-12)
    assert spot_of_depth(1.0, 0.2) == pytest.approx(2 * sin(acos(0.8)), rel=1e-12)


def test_a_ridge_loses_what_stood_proud_too():
    found = flattened(10.0, 0.625, ridge=0.3, proud=0.020)
    assert found.removed == pytest.approx(0.0249, abs=5e-5)


def test_a_spot_within_the_ridge_says_nothing_of_depth():
    found = flattened(10.0, 0.3, ridge=0.3, proud=0.020)
    assert (found.deep, found.removed) == (None, None)

"""Slides that fit, against a fine search that knows nothing of bends; and the share one strip has in stiffness."""

from __future__ import annotations

from math import cos, pi, sin

import numpy as np
import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from culmwright.bench.salvage import stiffness_loss
from culmwright.bench.slide import Line, fitting_slides, least_and_most, nearest

HAIR = 1e-7


@st.composite
def lines(draw, length):
    """Any line over ``length``, bends on whole numbers, rising or not."""
    bends = draw(st.lists(st.integers(1, length - 1), max_size=6, unique=True))
    places = [0, *sorted(bends), length]
    heights = draw(st.lists(st.integers(0, 20), min_size=len(places), max_size=len(places)))
    return Line(tuple(map(float, places)), tuple(map(float, heights)))


def searched_spare(strip, target, slide):
    """The least of strip over target on a fine grid, lines read by numpy, the strip's ends drawn on by hand."""
    x = np.linspace(target.start, target.end, 60 * int(target.end - target.start) + 1)
    places, heights = np.array(strip.places), np.array(strip.heights)
    slopes = np.diff(heights) / np.diff(places)
    far = 100.0
    places = np.concatenate(([places[0] - far], places, [places[-1] + far]))
    heights = np.concatenate(([heights[0] - far * slopes[0]], heights, [heights[-1] + far * slopes[-1]]))
    return float((np.interp(x + slide, places, heights) - np.interp(x, target.places, target.heights)).min())


@given(lines(12), lines(9), st.integers(-5, 0), st.integers(0, 6), st.sampled_from((0.0, 0.0, 0.5, 3.0)))
def test_slides_that_fit_are_found_and_no_others(strip, target, low, high, under):
    found = fitting_slides(strip, target, float(low), float(high), under)
    # On sixtieths both the grid of slides and the grid of places meet every whole-numbered bend.
    for slide in np.arange(low * 12, high * 12 + 1) / 12:
        inside = any(left - HAIR <= slide <= right + HAIR for left, right in found)
        spare = searched_spare(strip, target, slide) + under
        if spare > HAIR:
            assert inside
        elif spare < -HAIR:
            assert not any(left + HAIR < slide < right - HAIR for left, right in found)
    for left, right in found:
        for slide in (left, (left + right) / 2, right):
            assert searched_spare(strip, target, slide) + under >= -1e-6
            assert least_and_most(strip, target, slide)[0] + under >= -1e-6
    edges = [edge for interval in found for edge in interval]
    assert edges == sorted(edges)


@given(lines(12), lines(9), st.integers(-5, 0), st.integers(0, 6), st.floats(-6, 6))
def test_the_nearest_slide_is_the_nearest(strip, target, low, high, to):
    found = fitting_slides(strip, target, float(low), float(high))
    assume(found)
    best = nearest(found, to)
    assert any(left <= best <= right for left, right in found)
    assert all(abs(best - to) <= abs(min(max(to, left), right) - to) for left, right in found)


def test_slides_that_touch_are_one():
    strip, target = Line((0.0, 3.0, 9.0), (5.0, 6.0, 9.0)), Line((0.0, 2.0, 5.0), (1.0, 1.5, 2.0))
    assert fitting_slides(strip, target, 0.0, 4.0) == ((0.0, 4.0),)


def test_the_nearest_of_several():
    slides = ((-4.0, -3.0), (-1.0, -0.5), (2.0, 3.0))
    assert [nearest(slides, to) for to in (0.0, -3.9, 1.0, 9.0)] == [-0.5, -3.9, 2.0, 3.0]
    assert nearest(((-1.0, -1.0), (1.0, 1.0)), 0.0) == 1.0  # of two alike, the larger
    assert nearest((), 0.0) is None


@pytest.mark.parametrize("sides", [4, 5, 6])
def test_one_strip_carries_its_share_of_the_stiffness(sides):
    """The mean over all axes of a thin strip's loss, by summing the moments of triangles (Green's theorem).

    First order, so within (6 e/h)/4 of its own: the next term of (1 - e/h)^4.
    """
    share = 0.001

    def moments(heights):
        """Second moments about the centroid: xx, yy and their sum, of triangles apex to apex in the centre."""
        A = Sx = Sy = Ixx = Iyy = 0.0
        for k, h in enumerate(heights):
            half = pi / sides
            middle = 2 * pi * k / sides
            r = h / cos(half)
            x0, y0 = r * cos(middle - half), r * sin(middle - half)
            x1, y1 = r * cos(middle + half), r * sin(middle + half)
            cross = x0 * y1 - x1 * y0
            A += cross / 2
            Sx += cross * (x0 + x1) / 6
            Sy += cross * (y0 + y1) / 6
            Ixx += cross * (y0**2 + y0 * y1 + y1**2) / 12
            Iyy += cross * (x0**2 + x0 * x1 + x1**2) / 12
        return Ixx - Sy**2 / A + Iyy - Sx**2 / A

    true = moments([1.0] * sides)
    thin = moments([1 - share] + [1.0] * (sides - 1))
    assert stiffness_loss(share, 1.0, sides) == pytest.approx(1 - thin / true, rel=2.5 * share)

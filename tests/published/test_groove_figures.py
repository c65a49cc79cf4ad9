"""Grooves and their gauges: figures of plane geometry, each found a second time by another way.

Outside: the meeting of two lines and a circle that touches them, solved as linear equations; the printed figures are
those of a hand calculation (0.8660, 0.9511, 1.0000; 4.3 thou; 10 thou).
"""

from __future__ import annotations

from math import cos, degrees, pi, radians, sin

import numpy as np
import pytest

from culmwright.design.strip import StripForm
from culmwright.rigs.curve import Curve
from culmwright.rigs.depth_gauge import BallPoint, ConePoint
from culmwright.rigs.rig import Groove, new_stop, shallower

THOU = 25.4e-6
WALLS = {4: (45, 90), 5: (54, 72), 6: (60, 60)}


def groove(n: int, steeper: float = 0.0) -> Groove:
    enamel, flank = WALLS[n]
    return Groove("g", n, False, radians(enamel + steeper), radians(flank), Curve.level(0.0))


def vertex(p: float, q: float, gap: float) -> np.ndarray:
    """Where two walls meet whose upper edges are ``gap`` apart at height 0: solved for both lengths down the walls."""
    left, right = np.array([cos(p), -sin(p)]), np.array([-cos(q), -sin(q)])
    down = np.linalg.solve(np.column_stack([left, -right]), np.array([gap, 0.0]))
    return left * down[0]


@pytest.mark.parametrize(("n", "printed"), [(6, 0.8660), (5, 0.9511), (4, 1.0000)])
def test_depth_per_opening(n, printed):
    p, q = (radians(wall) for wall in WALLS[n])
    assert groove(n).depth_per_opening == pytest.approx(printed, abs=5e-5)
    assert groove(n).depth_per_opening == pytest.approx(-vertex(p, q, 1.0)[1], rel=1e-12)


@pytest.mark.parametrize(("n", "gamma"), [(6, 60), (5, 54), (4, 45)])
def test_a_groove_has_the_strips_base_angle(n, gamma):
    assert degrees(groove(n).angle) == pytest.approx(gamma, rel=1e-12)
    assert degrees(pi / 2 - StripForm(n, 2 * pi / n).apex_angle / 2) == pytest.approx(gamma, rel=1e-12)


@pytest.mark.parametrize("n", [4, 5, 6])
def test_a_strip_fills_the_groove_with_its_second_flank_level(n):
    """Lay the triangle in: enamel from the vertex up one wall, flank up the other; both ends stand h_f high."""
    h = 0.004
    form = StripForm(n, 2 * pi / n)
    enamel, flank = form.face_width(h), h / cos(form.apex_angle / 2)
    tops = enamel * sin(groove(n).enamel_wall), flank * sin(groove(n).flank_wall)
    assert tops == pytest.approx([h * form.flank_altitude] * 2, rel=1e-12)


def test_walls_half_a_degree_steep_make_an_apex_of_59():
    assert degrees(groove(6, 0.5).apex) == pytest.approx(59.0)


@pytest.mark.parametrize("n", [4, 5, 6])
def test_true_walls_make_true_strips(n):
    assert degrees(groove(n).apex) == pytest.approx(360 / n)


def test_a_worn_cone_and_a_ball_read_shallow():
    assert ConePoint(radians(60), 5 * THOU).short(radians(60)) / THOU == pytest.approx(4.3, abs=0.05)
    assert BallPoint(10 * THOU).short(radians(60)) / THOU == pytest.approx(10.0, abs=0.05)


@pytest.mark.parametrize("n", [4, 5, 6])
def test_a_ball_touches_both_walls(n):
    """Its centre is a radius from each wall: two linear equations; its lowest point against the vertex."""
    p, q = groove(n).enamel_wall, groove(n).flank_wall
    across = np.array([[sin(p), cos(p)], [-sin(q), cos(q)]])  # unit vectors square to the walls, from the vertex
    centre = np.linalg.solve(across, np.array([1.0, 1.0]))
    bisector = np.hypot(*centre)
    assert BallPoint(1.0).short(groove(n).angle) == pytest.approx(bisector - 1.0, rel=1e-12)
    touched = [centre @ np.array([-cos(p), sin(p)]) * sin(p), centre @ np.array([cos(q), sin(q)]) * sin(q)]
    assert BallPoint(1.0).least_depth(groove(n).angle, max(p, q)) == pytest.approx(max(touched), rel=1e-12)


@pytest.mark.parametrize("gamma", [54, 45])
def test_a_60_deg_point_fits_no_sharper_groove(gamma):
    point = ConePoint(radians(60))
    assert not point.fits(radians(gamma))
    assert len(point.warnings(radians(gamma))) == 1
    assert point.fits(radians(60)) and point.warnings(radians(60)) == ()


@pytest.mark.parametrize(("n", "share"), [(6, 1.0), (5, 1.1756), (4, 1.4142)])
def test_a_strip_that_reads_over_wants_a_shallower_groove(n, share):
    altitude = StripForm(n, 2 * pi / n).flank_altitude
    assert shallower(0.1503, 0.1493, altitude) == pytest.approx(0.001 * share, abs=5e-8)


def test_a_strip_that_reads_over_wants_a_lower_stop():
    assert new_stop(0.3750, 0.1503, 0.1493) == pytest.approx(0.3740)

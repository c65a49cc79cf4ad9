"""Grooves and their gauges: figures of plane geometry, each found a second time by another way.

Outside: the meeting of two lines and a circle that touches them, solved as linear equations; bars, balls and cones as
polygons of shapely (GEOS); the printed figures are those of a hand calculation (0.8660, 0.9511, 1.0000; 4.3 thou; 10
thou; 0.7071, 0.5878 and 0.5 of a millimetre).
"""

from __future__ import annotations

from math import cos, degrees, pi, radians, sin, tan

import numpy as np
import pytest
from shapely import MultiPoint, Polygon, box, unary_union
from shapely.geometry.base import BaseGeometry

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
    sixty = radians(60), radians(60)
    assert ConePoint(radians(60), 5 * THOU).short(*sixty) / THOU == pytest.approx(4.3, abs=0.05)
    assert BallPoint(10 * THOU).short(*sixty) / THOU == pytest.approx(10.0, abs=0.05)


@pytest.mark.parametrize(("n", "shown"), [(4, 0.7071), (5, 0.5878), (6, 0.5)])
def test_a_ball_of_half_a_millimetre_reads_shallow(n, shown):
    """By hand (plane geometry): in 45/90 deg the centre is r from the upright wall and stands r sqrt 2 over the other's
    foot there, so ``r (1 + sqrt 2) - r``; in 60/60 ``2 r - r``; in 54/72 ``r [cos 9 deg/sin 27 deg - 1]``."""
    assert BallPoint(0.5).short(groove(n).enamel_wall, groove(n).flank_wall) == pytest.approx(shown, abs=5e-5)


@pytest.mark.parametrize("n", [4, 5, 6])
def test_a_ball_touches_both_walls(n):
    """Its centre is a radius from each wall: two linear equations; its lowest point is a radius under its centre."""
    p, q = groove(n).enamel_wall, groove(n).flank_wall
    across = np.array([[sin(p), cos(p)], [-sin(q), cos(q)]])  # unit vectors square to the walls, from the vertex
    centre = np.linalg.solve(across, np.array([1.0, 1.0]))
    assert BallPoint(1.0).short(p, q) == pytest.approx(centre[1] - 1.0, rel=1e-12)
    touched = [centre @ np.array([-cos(p), sin(p)]) * sin(p), centre @ np.array([cos(q), sin(q)]) * sin(q)]
    assert BallPoint(1.0).least_depth(p, q) == pytest.approx(max(touched), rel=1e-12)


def bars(p: float, q: float, slot: float, depth: float) -> list[Polygon]:
    """Two bars in section, their walls' vertex at 0: from the edge ``slot`` over it up to the lip at ``depth``."""
    ends = []
    for angle, side in ((p, -1), (q, 1)):
        edge, lip = (side * high / tan(angle) for high in (slot, depth))
        far = lip + side * 9.0
        ends.append(Polygon([(edge, slot), (lip, depth), (far, depth), (far, -40.0), (edge, -40.0)]))
    return ends


def lowest(kept_out: BaseGeometry, depth: float) -> float | None:
    """How low a point let down from above can come that may not enter ``kept_out``; None if it falls through."""
    room = box(-8.0, -38.0, 8.0, depth + 8.0).difference(kept_out)
    top = next(one for one in getattr(room, "geoms", [room]) if one.bounds[3] > depth + 7.9)
    return None if top.bounds[1] < -37.9 else float(top.bounds[1])


PAIRS = [(45, 90), (90, 45), (54, 72), (72, 54), (60, 60), (44.75, 90), (60.5, 59.5)]
SLOTS = [0.0, 0.5, 0.9, 1.1, 1.2, 1.3, 1.6, 1.9, 2.1]


@pytest.mark.parametrize(("p", "q"), PAIRS)
@pytest.mark.parametrize("slot", SLOTS)
def test_a_ball_let_down_between_open_bars_comes_so_low(p, q, slot):
    """shapely (GEOS): bars grown by the radius are where its centre cannot be."""
    p, q = radians(p), radians(q)
    grown = unary_union([one.buffer(1.0, quad_segs=2000) for one in bars(p, q, slot, 6.0)])
    centre, short = lowest(grown, 6.0), BallPoint(1.0).short(p, q, slot)
    assert (centre is None) is (short is None)
    if centre is not None:  # arcs of 2 000 chords lie 1e-7 inside, and twice that where they cross at a slant
        assert short == pytest.approx(centre - 1.0, abs=1e-6)


@pytest.mark.parametrize(("p", "q"), PAIRS)
@pytest.mark.parametrize("slot", SLOTS)
@pytest.mark.parametrize(
    ("angle", "flat"), [(10, 0.0), (30, 0.0), (36, 0.4), (36, 1.2), (59, 0.4), (60, 0.4), (75, 0.4)]
)
def test_a_cone_let_down_between_open_bars_comes_so_low(p, q, slot, angle, flat):
    """shapely (GEOS): hulls of bar less cone are where its point cannot be; where it reads otherwise it wedges."""
    point, p, q = ConePoint(radians(angle), flat), radians(p), radians(q)
    wide = flat / 2 + 30 * tan(radians(angle / 2))
    cone = [(-flat / 2, 0.0), (flat / 2, 0.0), (wide, 30.0), (-wide, 30.0)]
    kept_out = unary_union(
        [
            MultiPoint([(x - u, y - v) for x, y in one.exterior.coords for u, v in cone]).convex_hull
            for one in bars(p, q, slot, 6.0)
        ]
    )
    low, short = lowest(kept_out, 6.0), point.short(p, q, slot)
    assert low is not None
    assert point.fits(p, q) is (angle / 2 <= 90 - degrees(max(p, q)) + 1e-9)
    if short is not None:
        assert short == pytest.approx(low, abs=1e-9)
    else:  # held up by a lip: higher than on its rim or on the edges
        sunk = max(flat / 2, slot * (1 / tan(p) + 1 / tan(q)) / 2) - flat / 2
        rim = flat / (1 / tan(p) + 1 / tan(q))
        assert low > (rim if slot <= rim else slot - sunk / tan(radians(angle / 2))) + 1e-6


@pytest.mark.parametrize(
    ("n", "angle", "words"),
    [
        (5, 54, "take one of 36 deg or less, or a ball"),
        (5, 37, "take one of 36 deg or less, or a ball"),
        (4, 45, "take a ball"),
        (4, 10, "take a ball"),
        (6, 61, "take one of 60 deg or less, or a ball"),
    ],
)
def test_a_point_too_blunt_for_one_wall_is_said(n, angle, words):
    """18 deg are left beside a wall of 72 deg, none beside an upright one (plane geometry)."""
    walls = groove(n).enamel_wall, groove(n).flank_wall
    (said,) = ConePoint(radians(angle)).warnings(*walls)
    assert said.endswith(words)


@pytest.mark.parametrize(("n", "angle"), [(6, 60), (6, 40), (5, 36)])
def test_a_point_that_reaches_the_root_is_not(n, angle):
    assert ConePoint(radians(angle)).warnings(groove(n).enamel_wall, groove(n).flank_wall) == ()


@pytest.mark.parametrize(("n", "share"), [(6, 1.0), (5, 1.1756), (4, 1.4142)])
def test_a_strip_that_reads_over_wants_a_shallower_groove(n, share):
    altitude = StripForm(n, 2 * pi / n).flank_altitude
    assert shallower(0.1503, 0.1493, altitude) == pytest.approx(0.001 * share, abs=5e-8)


def test_a_strip_that_reads_over_wants_a_lower_stop():
    assert new_stop(0.3750, 0.1503, 0.1493) == pytest.approx(0.3740)

"""The spine of a hollow rod: its section less the hollow, by sympy's moments of polygons."""

from __future__ import annotations

import sys
from pathlib import Path

import numpy as np
import pytest
from sympy import Point, Polygon

from culmwright.design.rod_file import rod_from_text
from culmwright.proof.doubt import usual
from culmwright.proof.yard import yardstick
from culmwright.workshop.starting import rod_text

sys.path.insert(0, str(Path(__file__).parent))
from simulated import simulate

WALL = 0.050  # [in]
HOLLOW = f"\n[hollow]\nstations = [50, 75]\nwall = {WALL}\n"


def corners(faces):
    t = np.pi / len(faces)
    return [
        Point(a / np.cos(t) * np.cos(2 * t * i + s), a / np.cos(t) * np.sin(2 * t * i + s), evaluate=False)
        for i, a in enumerate(faces)
        for s in (-t, t)
    ]


def test_the_hollow_is_taken_off_the_section():
    rod = rod_from_text(rod_text("thrimble-beck") + HOLLOW)
    _, built = simulate(rod, usual(rod), 3)
    yard = yardstick(built, 0.278)
    at = yard.at_nodes(built.faces)
    node = int(np.argmin(np.abs(built.x - 60 * 0.0254)))
    faces = built.faces[node] * 1e3
    outer, inner = (Polygon(*corners(one)) for one in (faces, faces - WALL * 25.4))
    area = [float(abs(one.area)) for one in (outer, inner)]
    at_zero = [[float(v) for v in one.second_moment_of_area(Point(0, 0))] for one in (outer, inner)]
    centre = [[float(v) for v in one.centroid.args] for one in (outer, inner)]
    A = area[0] - area[1]
    x, y = ((area[0] * centre[0][i] - area[1] * centre[1][i]) / A for i in (0, 1))
    # sympy: int y^2, int x^2, int x y; its sign goes with the corners' way round, which is the same for both
    yy, xx, xy = (abs(a) - abs(b) if i < 2 else a - b for i, (a, b) in enumerate(zip(*at_zero, strict=True)))
    xx, yy, xy = xx - A * x**2, yy - A * y**2, xy - A * x * y
    # the two centroids lie micrometres apart, and their squares are left out: a thousandth of the unevenness
    assert float(at.u[node]) == pytest.approx((xx - yy) / (xx + yy), rel=2e-3, abs=1e-6)
    assert float(at.v[node]) == pytest.approx(2 * xy / (xx + yy), rel=2e-3, abs=1e-6)

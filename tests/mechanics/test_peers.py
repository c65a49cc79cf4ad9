"""The bent rod of the demo against scipy's solver of boundary value problems, cut at every station and mass.

Source of the peer: scipy.integrate.solve_bvp (J. Kierzenka, L. F. Shampine, *ACM TOMS* 27 (2001) 299), a collocation
that shares nothing with ours but the differential equation, which is written here anew from the rod file.
"""

from __future__ import annotations

from itertools import pairwise
from math import cos, radians, sin

import numpy as np
import pytest
from scipy.integrate import solve_bvp

from culmwright.design.rod_file import rod_from_text
from culmwright.mechanics.rod_beam import rod_beam
from culmwright.mechanics.statics import Load, bend_surely
from culmwright.workshop.starting import rod_text

INCH, G, OUNCE = 0.0254, 9.80665, 0.45359237 / 16


def demo():
    """Stations [m] from the tip, thickness over cane and over varnish [m], masses at places, read by hand."""
    stations = np.array([0, 5, 10, 15, 20, 25, 30, 35, 40, 45, 50, 55, 60, 65, 70, 75, 80]) * INCH
    across = np.array(
        [70, 77.5, 95, 107.5, 118.5, 129, 141, 153.5, 166.5, 179, 192.5, 205.5, 218, 231, 245, 259.5, 275]
    )
    guides = np.array([0, 4, 8.75, 14.25, 20.5, 27.5, 35.25, 43, 53, 63]) * INCH
    grams = [0.5, *[0.12] * 8, 0.6]
    masses = {**dict(zip(guides, np.array(grams) * 1e-3, strict=True)), 45 * INCH: 0.2 * OUNCE}
    return stations, across * INCH * 1e-3, masses


def peer(pull: float, direction: float, attitude: float) -> tuple[float, float, float, float]:
    """x, y, angle at the tip and moment at the clamp; between two cuts the rod is an unknown function of its own."""
    stations, across, masses = demo()
    cuts = np.unique(np.concatenate([stations, list(masses)]).round(12))
    pieces = list(pairwise(cuts))
    span = np.array([b - a for a, b in pieces])
    starts = np.array([a for a, _ in pieces])
    varnish = 0.002 * INCH
    density, coat = 0.668 * OUNCE / INCH**3, 1100.0

    def d_at(x):
        return np.interp(x, stations, across)

    def outboard(x):
        """Mass nearer the tip: cane and varnish by many points of Gauss, and the masses listed."""
        nodes, weights = np.polynomial.legendre.leggauss(4)
        total = np.zeros_like(x)
        for a, b in pieces:
            top = np.clip(x, a, b)
            for node, weight in zip(nodes, weights, strict=True):
                place = a + (top - a) * (node + 1) / 2
                over = d_at(place)
                bare = over - 2 * varnish
                total += weight * (top - a) / 2 * 0.8660254037844386 * (density * bare**2 + coat * (over**2 - bare**2))
        for place, mass in masses.items():
            total += np.where(x > place + 1e-9, mass, 0.0)
        return total

    # From the tip inwards along x: theta falls off as theta' = -M/EI, and the tip's place is counted from 0.
    def slopes(t, y):
        y = y.reshape(len(pieces), 4, -1)
        x = starts[:, None] + span[:, None] * t[None, :]
        EI = 30e9 * 0.0601406530 * (d_at(x) - 2 * varnish) ** 4
        fx, fy = pull * cos(direction), pull * sin(direction) - G * weights(t)
        theta, moment = y[:, 0], y[:, 1]
        out = np.empty_like(y)
        out[:, 0] = -moment / EI
        out[:, 1] = -(np.sin(theta) * fx - np.cos(theta) * fy)
        out[:, 2], out[:, 3] = -np.cos(theta), -np.sin(theta)
        return (out * span[:, None, None]).reshape(4 * len(pieces), -1)

    known = {}

    def weights(t):
        key = t.tobytes()
        if key not in known:
            x = starts[:, None] + span[:, None] * t[None, :]
            inner = np.clip(x, (starts + 1e-8)[:, None], None)  # a piece carries the mass at its outboard end
            known[key] = outboard(inner)
        return known[key]

    def ends(low, high):
        low, high = low.reshape(-1, 4), high.reshape(-1, 4)
        joints = (low[1:] - high[:-1]).ravel()
        return np.concatenate([joints, [low[0, 1], high[-1, 0] - attitude, high[-1, 2], high[-1, 3]]])

    t = np.linspace(0, 1, 5)
    guess = np.zeros((len(pieces), 4, len(t)))
    place = cuts[-1] - (starts[:, None] + span[:, None] * t)
    guess[:, 0] = attitude - 0.9 * place / cuts[-1]
    guess[:, 2] = place * np.cos(guess[:, 0])
    guess[:, 3] = place * np.sin(guess[:, 0])
    found = solve_bvp(slopes, ends, t, guess.reshape(4 * len(pieces), -1), tol=1e-9, max_nodes=5000)
    assert found.success, found.message
    first, last = found.y[:, 0].reshape(-1, 4)[0], found.y[:, -1].reshape(-1, 4)[-1]
    return float(first[2]), float(first[3]), float(first[0]), float(last[1])


@pytest.mark.parametrize(("pull", "direction", "attitude"), [(1.0, -90, 0), (0.278, -90, 45), (2.0, -20, 60)])
def test_demo_rod_against_solve_bvp(pull, direction, attitude):
    x, y, angle, moment = peer(pull, radians(direction), radians(attitude))
    beam = rod_beam(rod_from_text(rod_text("thrimble-beck")))
    bent = bend_surely(beam, Load(pull, radians(direction), radians(attitude)))
    # The peer's residual is held to 1e-9 of each unknown; the constant 0.0601406530 has ten digits.
    assert bent.x[-1] == pytest.approx(x, abs=2e-8)
    assert bent.y[-1] == pytest.approx(y, abs=2e-8)
    assert bent.angle[-1] == pytest.approx(angle, abs=1e-7)
    assert bent.moment[0] == pytest.approx(moment, abs=1e-7)

"""A line in the guides and the guides it asks for, against a chain of rigid links with a spring at every joint.

The chain knows nothing of the method: every joint turns by the link's own ``int ds/EI`` times the moment that all
forces outboard of the link's middle make there in the bent shape, one force after the other. Guides push by the tension
times the difference of the line's two directions; inboard of the last one the line runs to the grip's front (statics
of a pulley, any textbook). Solved by Powell's hybrid method (scipy, MINPACK). Links of an inch leave an error of the
square of their length; two chains and Richardson's extrapolation take it to a few microradians.
"""

from __future__ import annotations

from itertools import pairwise
from math import radians

import numpy as np
import pytest
from scipy.optimize import root

from culmwright.design.rod_file import rod_from_text
from culmwright.mechanics.guide_plan import guide_plan
from culmwright.workshop.starting import rod_text

GRAVITY = 9.80665
HEXAGON_AREA, HEXAGON_I = 0.8660254038, 0.0601406530  # of d^2 and d^4, Roark
SQUARE_AREA, SQUARE_I = 1.0, 1 / 12
SHAPES = {6: (HEXAGON_AREA, HEXAGON_I), 4: (SQUARE_AREA, SQUARE_I)}
FINE = 1e-4  # [rad] what extrapolation leaves of links of 25 mm, and places that settle to 0.01 mm
EVEN = 2e-4  # [rad] the same at both of two guides, between them
VARNISH = 1100.0  # [kg/m^3] what the notes say is taken


def links_of(rod, guides, longest):
    """From the grip to the tip: lengths of links, their compliance, masses at joints, joints of the guides."""
    free = rod.length.m - rod.grip.m
    places = [one.m for one in rod.taper.stations] + [one.station.m for one in rod.ferrules] + list(guides)
    places = sorted({round(one, 9) for one in places if 1e-6 < one < free - 1e-6} | {0.0, free})
    joints = [0.0]
    for a, b in pairwise(places):
        joints += np.linspace(a, b, int(np.ceil((b - a) / longest)) + 1)[1:].tolist()
    stations = np.array(joints)[::-1]  # from the tip, the grip's front first
    x, w = np.polynomial.legendre.leggauss(6)
    middle, half = (stations[1:] + stations[:-1]) / 2, -np.diff(stations) / 2
    at = middle[:, None] + half[:, None] * x
    drawn = np.interp(at, [one.m for one in rod.taper.stations], [one.m for one in rod.taper.across])
    bare = drawn - 2 * rod.varnish.m
    area, inertia = SHAPES[rod.sides]
    per_length = area * (rod.cane.density.value * bare**2 + VARNISH * (drawn**2 - bare**2))
    compliance = (half[:, None] * w / (rod.cane.modulus.value * inertia * bare**4)).sum(1)
    own = half[:, None] * w * per_length
    outer = (own * ((middle + half)[:, None] - at)).sum(1)
    outer /= 2 * half  # how much of a link's mass its outboard joint carries
    masses = np.zeros(len(stations))
    masses[:-1] += own.sum(1) - outer
    masses[1:] += outer
    for one in rod.ferrules:
        masses[np.argmin(abs(stations - one.station.m))] += one.mass
    return 2 * half, compliance, masses, [int(np.argmin(abs(stations - one))) for one in guides]


def turns_of(rod, guides, carried, pull, attitude, direction, longest):
    """How far the line turns at every guide but the first and last of ``guides`` [m from the tip], by the chain."""
    lengths, compliance, masses, rings = links_of(rod, guides, longest)
    for ring, mass in zip(rings, carried, strict=True):
        masses[ring] += mass

    def posture(angles):
        lean = (np.concatenate([[attitude], angles[:-1]]) + angles) / 2
        steps = lengths[:, None] * np.stack([np.cos(lean), np.sin(lean)], axis=1)
        return np.concatenate([[[0.0, 0.0]], np.cumsum(steps, axis=0)])

    def chords(joints):
        ends = joints[[*rings, 0]]
        along = ends[1:] - ends[:-1]
        return along / np.linalg.norm(along, axis=1)[:, None]

    def miss(angles, share):
        joints = posture(angles)
        forces = np.zeros_like(joints)
        forces[:, 1] -= GRAVITY * masses
        forces[-1] += share * pull * np.array([np.cos(direction), np.sin(direction)])
        for k, chord in enumerate(chords(joints)):
            forces[rings[k]] += share * pull * chord
            if k + 1 < len(rings):
                forces[rings[k + 1]] -= share * pull * chord
        middle = (joints[1:] + joints[:-1]) / 2
        arms = joints[None] - middle[:, None]
        outboard = np.arange(len(joints)) > np.arange(len(lengths))[:, None]
        moment = ((arms[..., 0] * forces[:, 1] - arms[..., 1] * forces[:, 0]) * outboard).sum(1)
        return angles - np.concatenate([[attitude], angles[:-1]]) - compliance * moment

    angles = np.full(len(lengths), attitude)
    for share in np.linspace(0, 1, 9):
        found = root(miss, angles, args=(share,), method="hybr", options={"xtol": 1e-12})
        angles = found.x
    assert np.abs(found.fun).max() < 1e-9
    slopes = np.unwrap(np.arctan2(*-chords(posture(angles)).T[::-1]))
    return np.diff(slopes)[: len(rings) - 2]


@pytest.mark.parametrize(
    ("name", "pull", "attitude", "direction"),
    [
        ("thrimble-beck", 0.6, 0, -90),
        ("thrimble-beck", 5.0, 30, -60),  # strong enough that places found in one bend overshoot in the next
        ("ossel-burn", 2.2, 0, -90),
        ("ossel-burn", 0.4, -80, 10),
    ],
)
def test_the_line_turns_evenly_in_a_chain_too(name, pull, attitude, direction):
    rod = rod_from_text(rod_text(name))
    asked = pull, radians(attitude), radians(direction)
    plan = guide_plan(rod, *asked)
    assert plan.reason == ""
    ways = {way.way: way for way in plan.ways}
    masses = [one.mass for one in rod.guides]
    for way in (ways["as listed"], ways["even turn"]):
        coarse, fine = (turns_of(rod, way.stations, masses, *asked, longest) for longest in (0.05, 0.025))
        found = (4 * fine - coarse) / 3
        found *= np.sign(found.sum())  # counted the way the rod bends: down, or up where it hangs and is pulled aside
        assert way.turns[1:-1] == pytest.approx(found, abs=FINE)
    assert np.ptp(found) < EVEN
    assert len(found) == len(rod.guides) - 2

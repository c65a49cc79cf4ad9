"""What holds for every bent rod: balance, symmetry, reciprocity, energy, and grids that do not matter."""

from __future__ import annotations

from dataclasses import replace
from itertools import pairwise
from math import cos, pi, radians, sin

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from culmwright.mechanics import _kernels
from culmwright.mechanics.beam import Beam, Stretch, beam_of, side_by_side
from culmwright.mechanics.statics import Load, bend_beam, bend_surely

G = 9.80665
few = settings(max_examples=settings.default.max_examples // 8)

LENGTH = 2.0  # [m]
thicknesses = st.lists(st.integers(min_value=20, max_value=80), min_size=2, max_size=6)  # [0.1 mm], tip to root
pulls = st.floats(min_value=0.05, max_value=4.0)  # [N]
angles = st.floats(min_value=-1.2, max_value=1.2)  # [rad]


def rod(across: list[int], rings: tuple[float, ...] = (), masses: tuple[tuple[float, float], ...] = ()) -> Beam:
    """Six-sided cane of these thicknesses, evenly spaced, 30 GPa and 1150 kg/m^3, given tip first."""
    d = [one * 1e-4 for one in reversed(across)]
    step = LENGTH / (len(d) - 1)
    stretches = []
    for i in range(len(d) - 1):
        a, b = d[i], d[i + 1]
        EI = [30e9 * 0.0601406530 * one**4 for one in (a, b)]
        density = [1150 * 0.8660254 * one**2 for one in (a, (a + b) / 2, b)]
        fibre = (30e9 * a / 2, 30e9 * b / 2)
        stretches.append(Stretch(i * step, (i + 1) * step, tuple(EI), tuple(density), fibre))
    return beam_of(stretches, masses, rings)


@few
@given(thicknesses, pulls, angles, angles)
def test_every_cut_is_in_balance(across, pull, attitude, direction):
    """At each node the moment is that of all weights and the pull outboard of it, in the bent shape."""
    load = Load(pull, direction=direction, attitude=attitude)
    bent = bend_surely(rod(across), load)
    beam = bent.beam
    z = np.concatenate([bent.angle, bent.state[1:3, :-1].T.ravel()])
    # Weight of an element acts at its points of Gauss: enough for their moment to be exact to h^6.
    px, py = pull * cos(direction), pull * sin(direction)
    weights, xs = element_weights(beam, z)
    for node in (0, len(beam.s) // 3, len(beam.s) // 2):
        lever_x, lever_y = bent.x[-1] - bent.x[node], bent.y[-1] - bent.y[node]
        moment = lever_x * py - lever_y * px - float(np.sum(weights[node:] * (xs[node:] - bent.x[node])))
        assert bent.moment[node] == pytest.approx(moment, abs=1e-6 * (pull + G * beam.mass) * LENGTH)


def element_weights(beam, z):
    """Weight [N] of every element and where its centre lies [m], by five points of Gauss along it."""
    points, weights = np.polynomial.legendre.leggauss(5)
    points, weights = (points + 1) / 2, weights / 2
    n = len(beam.h)
    shapes = np.array([[1 - x, x, x**2 - x, 2 * x**3 - 3 * x**2 + x] for x in points])
    dofs = np.stack([np.arange(n), np.arange(n) + 1, n + 1 + 2 * np.arange(n), n + 2 + 2 * np.arange(n)], axis=1)
    fine, fine_weights = (np.polynomial.legendre.leggauss(8)[0] + 1) / 2, np.polynomial.legendre.leggauss(8)[1] / 2
    a, m, b = beam.density.T
    x0 = np.concatenate([[0.0], np.cumsum(beam.h * (weights @ np.cos(shapes @ z[dofs].T)))])
    mass, moment = np.zeros(n), np.zeros(n)
    for x, w in zip(points, weights, strict=True):
        rho = a * (1 - x) * (1 - 2 * x) + 4 * m * x * (1 - x) + b * x * (2 * x - 1)
        reach = x0[:-1].copy()
        for y, v in zip(fine * x, fine_weights * x, strict=True):
            shape = np.array([1 - y, y, y**2 - y, 2 * y**3 - 3 * y**2 + y])
            reach += v * beam.h * np.cos(shape @ z[dofs].T)
        mass += w * beam.h * rho
        moment += w * beam.h * rho * reach
    return G * mass, moment / mass


@few
@given(thicknesses, pulls, angles)
def test_turned_upside_down(across, pull, attitude):
    """Without weight, attitude and pull turned over give the shape turned over."""
    beam = rod(across)
    down = bend_beam(beam, Load(pull, -1.3, attitude, weight=False))
    up = bend_beam(beam, Load(pull, 1.3, -attitude, weight=False))
    assert up.y == pytest.approx(-down.y, abs=1e-12)
    assert up.x == pytest.approx(down.x, abs=1e-12)


@few
@given(thicknesses, pulls, st.floats(min_value=-3.0, max_value=3.0))
def test_turned_with_its_load(across, pull, turn):
    """Without weight only the angle between rod and pull matters."""
    beam = rod(across)
    one = bend_beam(beam, Load(pull, -1.3, weight=False))
    other = bend_beam(beam, Load(pull, turn - 1.3, turn, weight=False))
    # Followed by other steps of the load, the two end within what Newton leaves.
    assert other.angle == pytest.approx(one.angle + turn, abs=1e-8)
    assert other.tip_shortening == pytest.approx(one.tip_shortening, abs=1e-8)
    assert other.tip_angle == pytest.approx(one.tip_angle, abs=1e-8)


@few
@given(thicknesses, pulls, angles)
def test_reciprocity_of_the_bent_rod(across, pull, attitude):
    """More load downwards moves the tip forward as much as more load forward moves it down (Maxwell and Betti)."""
    beam = rod(across)

    def tip(fx: float, fy: float) -> np.ndarray:
        load = Load(float(np.hypot(fx, fy)), float(np.arctan2(fy, fx)), attitude)
        bent = bend_beam(beam, load)
        return np.array([bent.x[-1], bent.y[-1]])

    step = 1e-3 * pull
    by_x = (tip(step, -pull) - tip(-step, -pull)) / (2 * step)
    by_y = (tip(0.0, -pull + step) - tip(0.0, -pull - step)) / (2 * step)
    scale = max(np.abs(by_x).max(), np.abs(by_y).max())
    assert by_x[1] == pytest.approx(by_y[0], abs=1e-5 * scale)  # central differences leave the square of the step, 1e-6


def test_reciprocity_of_two_places():
    """A small weight at one place lowers the other as much as the same weight there lowers the one."""
    across, a, b, mass = [20, 35, 60], 0.7, 1.6, 1e-6
    hung = {}
    for place, other in ((a, b), (b, a)):
        plain = rod(across, rings=(a, b))
        light = replace(plain, density=np.zeros_like(plain.density))
        node = int(np.argmin(np.abs(light.s - place)))
        masses = light.masses.copy()
        masses[node] = mass
        bent = bend_beam(replace(light, masses=masses), Load())
        hung[place] = bent.y[int(np.argmin(np.abs(light.s - other)))]
    assert hung[a] == pytest.approx(hung[b], rel=1e-7)


@few
@given(thicknesses, pulls, angles)
def test_energy_of_bending_is_the_work_of_the_load(across, pull, attitude):
    """Without weight ``U = int P d(delta)``, delta the tip's way along the pull: ``P delta - int delta dP``."""
    beam = rod(across)
    direction = attitude - 1.2
    along = np.array([cos(direction), sin(direction)])
    straight = LENGTH * np.array([cos(attitude), sin(attitude)])

    def way(load: float) -> float:
        bent = bend_beam(beam, Load(load, direction, attitude, weight=False))
        return float(along @ (np.array([bent.x[-1], bent.y[-1]]) - straight))

    points, weights = np.polynomial.legendre.leggauss(12)
    # A soft rod does most of its way under the first of the load: evenly spaced in its square root.
    roots = (points + 1) / 2
    integral = sum(w / 2 * 2 * r * pull * way(pull * r * r) for r, w in zip(roots, weights, strict=True))
    bent = bend_beam(beam, Load(pull, direction, attitude, weight=False))
    slopes = np.stack([np.diff(bent.angle), *bent.state[1:3, :-1]])  # against 1, L1, L2 of every element
    energy = 0.5 * np.einsum("ie,eij,je->", slopes, beam.stiff[:, [[0, 1, 2], [1, 3, 4], [2, 4, 5]]], slopes)
    assert energy == pytest.approx(pull * way(pull) - integral, rel=1e-3)


@few
@given(thicknesses, pulls, angles)
def test_the_number_of_elements_does_not_matter(across, pull, attitude):
    one = bend_surely(rod(across), Load(pull, attitude=attitude))
    other = bend_beam(one.beam.finer(3), Load(pull, attitude=attitude))
    # The last halving changed the place by less than 1e-6; of that a 64th is left, more where the bend is very sharp.
    assert other.tip_drop == pytest.approx(one.tip_drop, abs=1e-7 * LENGTH)
    assert other.moment[::3] == pytest.approx(one.moment, abs=1e-6 * np.abs(one.moment).max())


@few
@given(thicknesses, pulls)
def test_a_station_more_on_a_straight_line_does_not_matter(across, pull):
    pieces = [across[0]]
    for a, b in pairwise(across):
        pieces += [(a + b) / 2, b]
    one = bend_surely(rod(across), Load(pull))
    other = bend_surely(rod(pieces), Load(pull))
    assert other.tip_drop == pytest.approx(one.tip_drop, abs=1e-6 * LENGTH)
    assert other.tip_angle == pytest.approx(one.tip_angle, abs=1e-5)


@few
@given(thicknesses, pulls, st.sampled_from([0.5, 2.0]))
def test_similar_rods(across, pull, k):
    """All lengths times k, modulus and stresses as they are, loads times k^2, no weight: shapes times k."""
    small = rod(across)
    large = Beam(
        small.s * k, small.stiffness * k**4, small.tube, small.density, small.fibre * k, small.masses, small.rings
    )
    one, other = bend_beam(small, Load(pull, weight=False)), bend_beam(large, Load(pull * k**2, weight=False))
    assert other.angle == pytest.approx(one.angle, abs=1e-9)
    assert other.y == pytest.approx(one.y * k, abs=1e-9)
    assert other.stress() == pytest.approx(one.stress(), rel=1e-7, abs=1.0)


@pytest.mark.parametrize("elements", [8, 16])
def test_a_manufactured_problem(elements):
    """theta = -0.9 sin(pi s/2) is at rest on a cone of EI = (1 - 0.6 s)^4 if the weight outboard is chosen for it.

    ``Fy = -(EI theta')'/cos theta``, by hand.
    """

    def weight_outboard(s):
        c = 1 - 0.6 * s
        slope, curving = -0.9 * pi / 2 * np.cos(pi * s / 2), 0.9 * pi**2 / 4 * np.sin(pi * s / 2)
        return (-2.4 * c**3 * slope + c**4 * curving) / np.cos(-0.9 * np.sin(pi * s / 2))

    s = np.linspace(0, 1, elements + 1)
    ends = np.stack([(1 - 0.6 * s[:-1]) ** 4, (1 - 0.6 * s[1:]) ** 4], axis=1)
    zero = np.zeros(elements)
    beam = Beam(s, ends, zero, np.zeros((elements, 3)), np.zeros((elements, 2)), np.zeros(elements + 1))
    points = s[:-1, None] + beam.h[:, None] * (np.polynomial.legendre.leggauss(3)[0] + 1) / 2
    load = np.array([0, 0, 0, 1.0, 0, 0, 0, 0])
    state = np.empty((6, elements + 1))
    given = side_by_side(beam.s, beam.stiff, weight_outboard(points))
    assert _kernels.rest(given, beam.span, load, state, 1e-10) == _kernels.DONE
    error = np.abs(state[0] + 0.9 * np.sin(pi * s / 2)).max()
    assert error < 2e-6 * (8 / elements) ** 5.5  # measured 1.3e-6 on 8 elements; it falls with h^6


@few
@given(thicknesses, pulls, angles)
def test_line_through_a_ring_at_the_tip_alone(across, pull, attitude):
    """Line and pull meet at the tip, and the line runs to the clamp: there the moment is the tip's lever."""
    bent = bend_beam(rod(across, rings=(LENGTH,)), Load(pull, attitude=attitude, weight=False, through_guides=True))
    assert bent.moment[0] == pytest.approx(-pull * bent.x[-1], abs=1e-6 * pull * LENGTH)


RINGS = (0.5, 0.9, 1.3, 1.6, 1.8, 2.0)


@few
@given(thicknesses, pulls, angles)
def test_every_guide_is_pushed_by_the_turning_of_the_line(across, pull, attitude):
    """The moment at each guide is that of the pushes outboard: T times the sum of both directions away from it."""
    load = Load(pull, attitude=attitude, weight=False, through_guides=True)
    bent = bend_surely(rod(across, rings=RINGS), load)
    nodes = [0, *bent.beam.rings]
    places = np.stack([bent.x, bent.y], axis=1)[nodes]
    pushes = []
    for i in range(1, len(places)):
        back = places[i - 1] - places[i]
        ahead = places[i + 1] - places[i] if i + 1 < len(places) else np.array([0.0, -1.0])
        pushes.append(pull * (back / np.linalg.norm(back) + ahead / np.linalg.norm(ahead)))
    for i in range(len(places)):
        moment = sum(
            (places[j] - places[i])[0] * pushes[j - 1][1] - (places[j] - places[i])[1] * pushes[j - 1][0]
            for j in range(i + 1, len(places))
        )
        assert bent.moment[nodes[i]] == pytest.approx(moment, abs=1e-6 * pull * LENGTH)


def test_many_guides_make_the_line_a_hanging_load():
    """Where the line follows the rod everywhere, its pushes bend the rod as the same pull at the tip would.

    ``T (d - t) x t = T d x t``. Between guides a stretch of line cuts the corner: the difference falls with the
    square of the spacing.
    """
    hanging = bend_surely(rod([20, 80]), Load(1.0))
    misses = []
    for count in (8, 16, 32):
        rings = tuple(LENGTH * (i + 1) / count for i in range(count))
        bent = bend_surely(rod([20, 80], rings=rings), Load(1.0, through_guides=True))
        misses.append(abs(bent.tip_drop - hanging.tip_drop))
    assert misses[2] < 1e-3 * LENGTH
    assert misses[0] / misses[1] == pytest.approx(4, rel=0.2)
    assert misses[1] / misses[2] == pytest.approx(4, rel=0.1)


def test_line_along_the_axis_does_not_bend_or_buckle_a_rod():
    bent = bend_beam(rod([20, 80], rings=RINGS), Load(500.0, 0.0, weight=False, through_guides=True))
    assert np.abs(bent.angle).max() == 0.0


@pytest.mark.parametrize("attitude", [0, 30, 60, 85, -40])
def test_the_way_up_and_down_again(attitude):
    """A rest reached by loading and unloading is the rest it started from."""
    beam = rod([20, 50, 80])
    first = bend_beam(beam, Load(attitude=radians(attitude)))
    there = bend_beam(beam, Load(3.0, attitude=radians(attitude)), first)
    back = bend_beam(beam, Load(attitude=radians(attitude)), there)
    assert back.state == pytest.approx(first.state, abs=1e-7)

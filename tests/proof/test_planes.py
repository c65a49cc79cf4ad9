"""Two planes of an uneven rod: a bar of b by h, turned sections, and elements that bend both ways at once."""

from __future__ import annotations

from math import atan2, pi

import numpy as np
import pytest
from scipy.linalg import eigh

from culmwright.mechanics.beam import Stretch, beam_of
from culmwright.mechanics.modes import first_modes
from culmwright.mechanics.statics import Load, bend_beam
from culmwright.proof.as_built import in_plane

B, H, L, E, RHO = 6e-3, 4e-3, 2.0, 30e9, 1150.0
TWO = (E * H * B**3 / 12, E * B * H**3 / 12)  # [N m^2] EI of a bar of b by h, bent across b and across h
MEAN = sum(TWO) / 2
UNEVEN = (TWO[0] - TWO[1]) / (TWO[0] + TWO[1])


def bar(taper=1.0):
    EI = (MEAN, MEAN * taper**4)
    density = tuple(RHO * B * H * (1 + (taper - 1) * x) ** 2 for x in (0.0, 0.5, 1.0))
    return beam_of([Stretch(0.0, L, EI, density)])


def plane(beam, u, v, angle):
    """The beam in the plane at this angle of a rod uneven by u and v at the beam's own nodes."""
    nodes = np.eye(len(beam.s))
    return in_plane(beam, np.stack([nodes[:-1], nodes[1:]], axis=1), u, v, angle)


def even(beam, turned):
    """A bar alike all along, lying this way."""
    return (np.full(len(beam.s), UNEVEN * f(2 * turned)) for f in (np.cos, np.sin))


@pytest.mark.parametrize("turned", [0.0, 0.4, pi / 2, 2.9])
def test_a_bar_swings_b_over_h_times_as_fast(turned):
    """f1/f2 = sqrt(I1/I2) = b/h for every mode, whichever way the bar lies."""
    beam = bar()
    u, v = even(beam, turned)
    stiff, soft = (first_modes(plane(beam, u, v, turned + turn)) for turn in (0.0, pi / 2))
    for one, other in zip(stiff, soft, strict=True):
        assert one.frequency / other.frequency == pytest.approx(B / H, rel=1e-9)
    # 3.516015 sqrt(EI/rho A L^4): Thomson, Theory of Vibration with Applications, App. D
    assert soft[0].frequency == pytest.approx(3.516015 / (2 * pi) * (TWO[1] / (RHO * B * H * L**4)) ** 0.5, rel=1e-6)


def test_a_bar_drops_by_the_square_of_b_over_h():
    """P L^3/3EI each way, for a small load."""
    beam = bar()
    u, v = even(beam, 0.0)
    stiff, soft = (bend_beam(plane(beam, u, v, angle), Load(1e-4, weight=False)) for angle in (0.0, pi / 2))
    assert soft.tip_drop / stiff.tip_drop == pytest.approx((B / H) ** 2, rel=1e-6)
    assert soft.tip_drop == pytest.approx(1e-4 * L**3 / 3 / TWO[1], rel=1e-6)


def both_ways(beam, u, v, cells=60):
    """omega/2 pi of a bar that bends both ways at once, by Hermite elements with a 2 x 2 stiffness at each point."""
    s = np.linspace(0, L, cells + 1)
    size = 4 * (cells + 1)
    K, M = np.zeros((size, size)), np.zeros((size, size))
    points, weights = np.polynomial.legendre.leggauss(6)
    root = np.array([beam.stiffness[0, 0], beam.stiffness[-1, 1]]) ** 0.25
    mass = np.array([beam.density[0, 0], beam.density[-1, 2]]) ** 0.5
    h = L / cells
    for e in range(cells):
        for x, weight in zip((points + 1) / 2, weights / 2, strict=True):
            place = s[e] + x * h
            EI = np.interp(place, [0, L], root) ** 4
            at = [np.interp(place, beam.s, each) for each in (u, v)]
            stiff = EI * np.array([[1 + at[0], at[1]], [at[1], 1 - at[0]]])
            w = np.array([1 - 3 * x**2 + 2 * x**3, h * (x - 2 * x**2 + x**3), 3 * x**2 - 2 * x**3, h * (x**3 - x**2)])
            c = np.array([-6 + 12 * x, h * (-4 + 6 * x), 6 - 12 * x, h * (6 * x - 2)]) / h**2
            rows = [np.arange(2 * e, 2 * e + 4) + way * 2 * (cells + 1) for way in (0, 1)]
            for i in (0, 1):
                M[np.ix_(rows[i], rows[i])] += weight * h * np.interp(place, [0, L], mass) ** 2 * np.outer(w, w)
                for j in (0, 1):
                    K[np.ix_(rows[i], rows[j])] += weight * h * stiff[i, j] * np.outer(c, c)
    free = [i for i in range(size) if i % (2 * (cells + 1)) > 1]
    squares, shapes = eigh(K[np.ix_(free, free)], M[np.ix_(free, free)], subset_by_index=(0, 1))
    tip = shapes[[2 * cells - 2, 4 * cells - 2], 1]  # deflection of the faster one's tip, both ways
    return np.sqrt(squares) / (2 * pi), np.arctan2(tip[1], tip[0]) % pi


@pytest.mark.parametrize("uneven", [0.02, 0.06])
def test_a_section_whose_stiff_plane_turns_along_the_rod(uneven):
    """Against elements that bend both ways: frequencies and direction agree to the square of the unevenness.

    The planes are those where the first rate is greatest and least: ``f^2 = a + b cos 2 phi + c sin 2 phi``.
    """
    beam = bar(0.3)
    turning = 0.3 + 1.2 * beam.s / L
    u, v = uneven * np.cos(2 * turning), uneven * np.sin(2 * turning)

    def rate(angle):
        return first_modes(plane(beam, u, v, angle))[0].frequency

    b, c = (rate(angle) ** 2 - rate(angle + pi / 2) ** 2 for angle in (0.0, pi / 4))
    phi = atan2(c, b) / 2 % pi
    (soft, stiff), direction = both_ways(beam, u, v)
    assert rate(phi) == pytest.approx(stiff, rel=uneven**2)
    assert rate(phi + pi / 2) == pytest.approx(soft, rel=uneven**2)
    assert rate(phi) / rate(phi + pi / 2) - 1 == pytest.approx(stiff / soft - 1, abs=uneven**2)
    assert phi == pytest.approx(direction, abs=2 * uneven)


def test_planes_at_right_angles_share_the_mean():
    beam = bar(0.5)
    rng = np.random.default_rng(2)
    u, v = 0.1 * rng.standard_normal((2, len(beam.s)))
    first, second = plane(beam, u, v, 0.7), plane(beam, u, v, 0.7 + pi / 2)
    assert first.stiffness + second.stiffness == pytest.approx(2 * beam.stiffness, rel=1e-12)

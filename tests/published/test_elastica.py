"""Beams that bend far, against elliptic integrals and values printed or computed elsewhere.

Sources: K. Mattiasson, "Numerical results from large deflection beam and frame problems analysed by means of
elliptic integrals", *Int. J. Numer. Meth. Eng.* 17 (1981) 145, table of the cantilever under an end load, here with
more digits of the same integrals; K. E. Bisshopp, D. C. Drucker, "Large deflection of cantilever beams", *Quart.
Appl. Math.* 3 (1945) 272; K. Y. Sze, X. H. Liu, S. H. Lo, *Finite Elem. Anal. Des.* 40 (2004) 1551, end moment; A.
G. Greenhill, *Proc. Camb. Phil. Soc.* 4 (1881) 65, height of a tree; J. M. Gere, S. P. Timoshenko, *Mechanics of
Materials*, for small loads. Straight tapers and own weight: computed twice, by shooting and by collocation, outside
this project.
"""

from __future__ import annotations

from math import pi, radians

import mpmath
import numpy as np
import pytest

from culmwright.measure.errors import AnswerIsNo
from culmwright.mechanics.beam import Beam, Stretch, beam_of
from culmwright.mechanics.statics import Load, bend_beam, bend_surely

G = 9.80665
PRINTED = 0.5e-10 + 1e-12  # half a unit of the tenth digit, and what the scheme leaves on 64 elements
NINE = 0.5e-9 + 1e-11  # values of nine digits


def beam(ratio: float = 1.0, weight: float = 0.0, length: float = 1.0) -> Beam:
    """EI = 1 N m^2 at the root, thickness falling to ``ratio`` of it; ``weight`` per length at the root [N/m]."""
    mass = weight / G
    middle = ((1 + ratio) / 2) ** 2
    return beam_of([Stretch(0.0, length, (1.0, ratio**4), (mass, mass * middle, mass * ratio**2))]).finer(4)


def uniform(elements: int) -> Beam:
    n = elements
    zero = np.zeros(n)
    return Beam(np.linspace(0, 1, n + 1), np.ones((n, 2)), zero, np.zeros((n, 3)), np.zeros((n, 2)), np.zeros(n + 1))


def end_load(alpha: float) -> tuple[float, float, float]:
    """Drop and shortening over L, and angle [rad] of the tip, by Bisshopp and Drucker's elliptic integrals."""
    with mpmath.workdps(30):

        def miss(angle):
            m = (1 + mpmath.sin(angle)) / 2
            return mpmath.ellipk(m) - mpmath.ellipf(mpmath.asin(1 / mpmath.sqrt(2 * m)), m) - mpmath.sqrt(alpha)

        angle = mpmath.findroot(miss, (mpmath.mpf("1e-6"), mpmath.pi / 2 - mpmath.mpf("1e-9")), solver="anderson")
        m = (1 + mpmath.sin(angle)) / 2
        drop = 1 - 2 / mpmath.sqrt(alpha) * (mpmath.ellipe(m) - mpmath.ellipe(mpmath.asin(1 / mpmath.sqrt(2 * m)), m))
        return float(drop), float(1 - mpmath.sqrt(2 * mpmath.sin(angle) / alpha)), float(angle)


MATTIASSON = [
    (0.5, 0.1621435757, 0.0159189625, 0.2445336471),
    (1, 0.3017207738, 0.0564332363, 0.4613519497),
    (2, 0.4934574804, 0.1606417208, 0.7817498316),
    (5, 0.7137915236, 0.3876283607, 1.2153681176),
    (10, 0.8106090249, 0.5549955978, 1.4302855388),
]


@pytest.mark.parametrize(("alpha", "drop", "shortening", "angle"), MATTIASSON)
def test_end_load(alpha, drop, shortening, angle):
    bent = bend_beam(beam(), Load(alpha, weight=False))
    assert bent.tip_drop == pytest.approx(drop, abs=PRINTED)
    assert bent.tip_shortening == pytest.approx(shortening, abs=PRINTED)
    assert bent.tip_angle == pytest.approx(angle, abs=PRINTED)
    assert end_load(alpha) == pytest.approx((drop, shortening, angle), abs=0.5e-10)


@pytest.mark.parametrize("alpha", [0.01, 0.2, 3.0, 7.5, 15.0, 30.0])
def test_end_load_between_and_beyond_the_table(alpha):
    bent = bend_surely(beam(), Load(alpha, weight=False))
    # On 128 elements the scheme leaves 1e-11 at alpha 10 and below 1e-9 at 30, where the bend sits in the first fifth.
    assert (bent.tip_drop, bent.tip_shortening, bent.tip_angle) == pytest.approx(end_load(alpha), abs=1e-9)


@pytest.mark.parametrize("alpha", [3e4, 1e5])
def test_a_bend_much_sharper_than_the_first_grid(alpha):
    """The tip hangs straight down, so that sin(angle) = 1 to fifty digits and its reach is ``sqrt(2/alpha)``."""
    bent = bend_surely(beam(), Load(alpha, weight=False))
    assert bent.x[-1] == pytest.approx((2 / alpha) ** 0.5, abs=1e-6)  # what bend_surely promises
    assert len(bent.beam.h) > 128


@pytest.mark.parametrize("alpha", [0.5, 5.0, 10.0])
def test_the_moment_at_the_root_is_load_times_reach(alpha):
    bent = bend_beam(beam(), Load(alpha, weight=False))
    assert -bent.moment[0] == pytest.approx(alpha * (1 - end_load(alpha)[1]), abs=1e-9)
    assert bent.moment[-1] == pytest.approx(0.0, abs=1e-9)


@pytest.mark.parametrize(
    ("load", "angle", "drop", "shortening"),
    [(0.1, 0.382348504, 0.127612607, 0.014745017), (1.0, 1.426353430, 0.531851696, 0.272132935)],
)
def test_straight_taper_of_a_quarter(load, angle, drop, shortening):
    bent = bend_surely(beam(0.25), Load(load, weight=False))
    assert bent.tip_angle == pytest.approx(angle, abs=NINE)
    assert bent.tip_drop == pytest.approx(drop, abs=NINE)
    assert bent.tip_shortening == pytest.approx(shortening, abs=NINE)


@pytest.mark.parametrize("ratio", [0.2, 0.25, 0.5, 0.8])
def test_straight_taper_under_a_small_load(ratio):
    """Deflection (P L^3/3 EI_r)/r, slope (P L^2/EI_r)(1 + 2 r)/(6 r^2)."""
    load = 1e-4 * ratio**2
    bent = bend_beam(beam(ratio), Load(load, weight=False))
    assert bent.tip_drop == pytest.approx(
        load / (3 * ratio), rel=1e-7
    )  # the next term is of the order of angle^2, 1e-8
    assert bent.tip_angle == pytest.approx(load * (1 + 2 * ratio) / (6 * ratio**2), rel=1e-7)


@pytest.mark.parametrize(
    ("gamma", "angle", "drop", "shortening"),
    [
        (1, 0.165115560502, 0.123471401983, 0.008753604653),
        (10, 1.052643117197, 0.700199715513, 0.343646238761),
    ],
)
def test_own_weight(gamma, angle, drop, shortening):
    bent = bend_beam(beam(weight=gamma), Load())
    assert bent.tip_angle == pytest.approx(angle, abs=2e-12)  # twelve digits, and a few roundings of 64 elements
    assert bent.tip_drop == pytest.approx(drop, abs=2e-12)
    assert bent.tip_shortening == pytest.approx(shortening, abs=2e-12)


@pytest.mark.parametrize("ratio", [0.25, 0.5])
def test_straight_taper_under_a_small_weight(ratio):
    """w/L = gamma (1 + 2 r)/24."""
    gamma = 1e-4
    bent = bend_beam(beam(ratio, gamma), Load())
    assert bent.tip_drop == pytest.approx(gamma * (1 + 2 * ratio) / 24, rel=1e-7)


@pytest.mark.parametrize("gamma", [50.0, 200.0, 1000.0, 1e4])
def test_a_great_weight_does_not_land_on_another_branch(gamma):
    """At these weights a rod has several rests; the one it gets to hangs down on this side, ever steeper."""
    bent = bend_surely(beam(weight=gamma), Load())
    assert bent.angle.max() == 0.0
    assert -pi / 2 - 1e-9 < bent.angle.min()
    assert np.all(np.diff(bent.angle) < 1e-9)
    # A heavy string from a clamp: the bend is near the root, and all but that hangs straight down.
    assert bent.tip_drop > 1 - 2 * gamma ** (-1 / 3)


@pytest.mark.parametrize(("share", "shortening", "lateral"), [(0.25, 4.361, 7.639), (0.5, 12.000, 7.639)])
def test_end_moment(share, shortening, lateral):
    """L = 12 and M/M0, M0 = 2 pi EI/L: three printed decimals."""
    bent = bend_beam(beam(length=12.0), Load(weight=False, couple=share * 2 * pi / 12))
    assert bent.tip_shortening == pytest.approx(shortening, abs=0.5e-3)
    assert -bent.tip_drop == pytest.approx(lateral, abs=0.5e-3)


@pytest.mark.parametrize("turns", [0.25, 0.5, 1.0, 1.25])
def test_an_end_moment_bends_a_circle(turns):
    bent = bend_beam(beam(), Load(weight=False, couple=turns * 2 * pi))
    s = bent.s * turns * 2 * pi
    radius = 1 / (turns * 2 * pi)
    assert bent.angle == pytest.approx(s, abs=1e-9)  # Newton stops at 1e-5 and leaves the square of it
    assert bent.x == pytest.approx(radius * np.sin(s), abs=1e-9)
    assert bent.y == pytest.approx(radius * (1 - np.cos(s)), abs=1e-9)


def stands(ratio: float, gamma: float) -> bool:
    try:
        bend_beam(beam(ratio, gamma), Load(attitude=radians(90)))
    except AnswerIsNo:
        return False
    return True


@pytest.mark.parametrize(("ratio", "critical"), [(1.0, 7.83734743894), (0.0, 30.5298493637)])
def test_greenhill_how_tall_a_rod_stands(ratio, critical):
    """gamma = rho g A_r L^3/EI_r of a uniform rod and of a cone held upright."""
    low, high = 0.9 * critical, 1.1 * critical
    while high - low > 1e-7 * critical:
        middle = (low + high) / 2
        low, high = (middle, high) if stands(ratio, middle) else (low, middle)
    # An angle of 90 deg is off by 6e-17 rad in a float: it grows without bound only in the last millionth.
    assert low == pytest.approx(critical, rel=1e-6)


def test_the_order_of_the_scheme():
    """Twice as many elements, a 64th of the error: h^6 at the nodes, for angle, place and moment."""
    exact = end_load(5.0)
    reach = 5.0 * (1 - exact[1])
    errors = []
    for elements in (10, 20):
        load, one = Load(5.0, weight=False), uniform(elements)
        bent = bend_beam(
            one, load, bend_beam(one, load)
        )  # one step more: what Newton leaves, 1e-10, would be seen here
        errors.append(
            np.abs(
                [
                    bent.tip_drop - exact[0],
                    bent.tip_shortening - exact[1],
                    bent.tip_angle - exact[2],
                    -bent.moment[0] - reach,
                ]
            )
        )
    orders = np.log2(errors[0] / errors[1])
    assert orders.min() > 5.5
    assert orders.max() < 7.5  # more would mean that the test looks at roundings

"""Many rods at once: against elastica tables, against each rod bent by itself, and what it says of itself."""

from __future__ import annotations

import sys
from dataclasses import replace
from math import pi
from pathlib import Path

import numpy as np
import pytest

from culmwright.design.rod_file import rod_from_text
from culmwright.measure.errors import BadInput
from culmwright.mechanics import _many_kernels
from culmwright.mechanics.beam import Beam, Stretch, beam_of
from culmwright.mechanics.many import bend_many, one_of
from culmwright.mechanics.rod_beam import rod_beam
from culmwright.mechanics.statics import Load, bend_beam
from culmwright.workshop.starting import rod_text

sys.path.insert(0, str(Path(__file__).parent))
import twin

TABLE = {  # K. Mattiasson 1981, Int. J. Numer. Meth. Eng. 17:145; more digits from elliptic integrals: alpha, w/L, u/L
    0.5: (0.1621435757, 0.0159189625, 0.2445336471),
    1.0: (0.3017207738, 0.0564332363, 0.4613519497),
    2.0: (0.4934574804, 0.1606417208, 0.7817498316),
    5.0: (0.7137915236, 0.3876283607, 1.2153681176),
    10.0: (0.8106090249, 0.5549955978, 1.4302855388),
}
HOLLOW = "\n[hollow]\nstations = [30, 44]\nwall = 0.055\n"
AS_ONE = 1e-8  # [-] Newton stops at 1e-4 rad, whose square is left; sines are good to 1e-10


def rod(hollow=""):
    return rod_beam(rod_from_text(rod_text("thrimble-beck") + hollow))


def scattered(beam, rods=40, by=0.01, seed=3):
    return 1 + by * np.random.default_rng(seed).standard_normal((rods, len(beam.s)))


def test_rods_of_many_thicknesses_meet_the_elastica_table():
    """EI goes with the fourth power of the thickness: alpha = P L^2/EI = r^-4 for a rod whose own alpha is 1."""
    beam = beam_of([Stretch(0.0, 1.0, (1.0, 1.0), (0.0, 0.0, 0.0))]).finer(2)
    r = np.array([alpha**-0.25 for alpha in TABLE])
    found = bend_many(beam, Load(1.0, weight=False), np.repeat(r[:, None], len(beam.s), axis=1))
    assert found.settled.all()
    for i, (w, u, angle) in enumerate(TABLE.values()):
        assert found.tip_drop[i] == pytest.approx(w, abs=2e-9)
        assert 1 - found.x[i] == pytest.approx(u, abs=2e-9)
        assert found.tip_angle[i] == pytest.approx(angle, abs=2e-9)


def test_moduli_meet_the_elastica_table_too():
    beam = beam_of([Stretch(0.0, 1.0, (1.0, 1.0), (0.0, 0.0, 0.0))]).finer(2)
    modulus = np.array([1 / alpha for alpha in TABLE if alpha < 5])
    found = bend_many(beam, Load(1.0, weight=False), np.ones((len(modulus), len(beam.s))), modulus)
    assert found.tip_drop == pytest.approx([w for alpha, (w, _, _) in TABLE.items() if alpha < 5], abs=2e-9)


@pytest.mark.parametrize("hollow", ["", HOLLOW], ids=["solid", "hollow"])
@pytest.mark.parametrize(
    "load",
    [Load(0.6), Load(1.0, -pi / 3, 0.7), Load(0.4, weight=False), Load(0.0), Load(0.2, couple=-0.05)],
    ids=["hanging", "raised", "no weight", "own weight", "couple"],
)
def test_each_is_as_if_bent_by_itself(load, hollow):
    beam = rod(hollow)
    thickness = scattered(beam)
    modulus = 1 + 0.05 * np.random.default_rng(4).standard_normal(len(thickness))
    found = bend_many(beam, load, thickness, modulus)
    assert found.settled.all()
    assert np.all(found.residual > 0)  # none had to be bent by itself
    for i in (0, 7, 15, 16, 39):  # both sides of a block of sixteen, and the last, which fills no block
        alone = bend_beam(one_of(beam, thickness[i], modulus[i]), load)
        assert found.x[i] == pytest.approx(alone.x[-1], abs=AS_ONE)
        assert found.y[i] == pytest.approx(alone.y[-1], abs=AS_ONE)
        assert found.angle[i] == pytest.approx(alone.angle, abs=AS_ONE)
        assert found.moment[i] == pytest.approx(alone.moment, abs=AS_ONE)


def test_one_of_thickens_what_a_thicker_rod_has_more_of():
    """By hand: EI with the fourth power, spread mass with the square, outer fibre with the first; a wall stays."""
    beam = rod(HOLLOW)
    thick = one_of(beam, np.full(len(beam.s), 1.1), 1.2)
    assert thick.stiffness == pytest.approx(1.2 * 1.1**4 * beam.stiffness, rel=1e-12)
    assert thick.density == pytest.approx(1.21 * beam.density, rel=1e-12)
    assert thick.fibre == pytest.approx(1.2 * 1.1 * beam.fibre, rel=1e-12)
    shape = 30e9 * 80 * 3**0.5 / 144  # E I of a hexagon over a^4
    inside = beam.void > 0
    wall = (beam.stiffness[inside] / shape) ** 0.25 - (beam.void[inside] / shape) ** 0.25
    after = (thick.stiffness[inside] / shape / 1.2) ** 0.25 - (thick.void[inside] / shape / 1.2) ** 0.25
    assert wall == pytest.approx(0.055 * 0.0254, rel=1e-9)
    assert after == pytest.approx(wall, rel=1e-9)
    assert np.all(thick.void[~inside] == 0)


def test_a_rod_made_thicker_is_the_rod_drawn_thicker():
    """Straight lines between nodes, other at each: as drawn anew, for bending and weight alike."""
    stations, d = np.linspace(0.0, 2.0, 17), np.linspace(7e-3, 2e-3, 17)
    ratio = 1 + 0.05 * np.random.default_rng(8).standard_normal(17)

    def drawn(d):
        stretches = []
        for i in range(16):
            a, b = d[i], d[i + 1]
            density = tuple(1150 * 0.8660254 * one**2 for one in (a, (a + b) / 2, b))
            EI = tuple(30e9 * 0.0601406530 * one**4 for one in (a, b))
            stretches.append(Stretch(stations[i], stations[i + 1], EI, density))
        return beam_of(stretches)

    anew = drawn(d * ratio)
    places = [int(np.argmin(np.abs(drawn(d).s - one))) for one in anew.s]
    assert places == list(range(len(places)))
    made = one_of(drawn(d), np.interp(anew.s, stations, d * ratio) / np.interp(anew.s, stations, d))
    assert made.stiffness == pytest.approx(anew.stiffness, rel=1e-12)
    assert made.density == pytest.approx(anew.density, rel=1e-12)


def test_scatter_of_thickness_is_four_times_that_of_stiffness():
    """An even error of all flats, dd/d: the drop of a weightless rod under a small load goes with -4 dd/d."""
    beam = rod()
    ratio = np.repeat(np.array([[0.999], [1.001]]), len(beam.s), axis=1)
    found = bend_many(beam, Load(1e-3, weight=False), ratio)
    assert np.log(found.tip_drop[1] / found.tip_drop[0]) / np.log(1.001 / 0.999) == pytest.approx(-4, rel=1e-3)


def test_the_order_of_rods_and_threads_does_not_matter(monkeypatch):
    beam = rod()
    thickness = scattered(beam, rods=300)
    found = bend_many(beam, Load(0.6), thickness)
    turned = bend_many(beam, Load(0.6), thickness[::-1])
    assert turned.y[::-1] == pytest.approx(found.y, abs=AS_ONE)
    monkeypatch.setattr("culmwright.mechanics.many.SHARED_OUT", 10**9)
    assert bend_many(beam, Load(0.6), thickness).y.tolist() == found.y.tolist()


def blocks(beam, start, ratios):
    """What the kernels work in, for as many rods as they take at once, in the shape ``start``."""
    lanes, rows = _many_kernels.LANES, _many_kernels.NEXT // _many_kernels.LANES
    nodes = np.ones((len(beam.s), rows, lanes))
    nodes[:, _many_kernels.RATIO // lanes] = ratios.T
    for row in range(3):
        nodes[:, row] = start[row][:, None]
    work = nodes.ravel()
    points, weights = np.polynomial.legendre.leggauss(5)
    root, none = beam.stiffness**0.25, np.zeros_like(beam.stiffness)
    _many_kernels._stiffness(work, beam.h, root, none, beam.tube, np.ones(lanes), (points + 1) / 2, weights / 2)
    _many_kernels._weights(work, beam.h, root, beam.density, beam.masses, 9.80665)
    return work


@pytest.mark.parametrize("push", [0.5, -0.1, -0.5, -2.0, -8.0, -20.0, -60.0])
@pytest.mark.parametrize("elements", [1, 16])
def test_what_is_not_stable_is_told(elements, push):
    """A straight rod pushed along its axis, against the signs of the eigenvalues: nodes and inner unknowns give way."""
    s = np.linspace(0.0, 1.0, elements + 1)
    of_each = np.ones((elements, 1))
    beam = Beam(s, of_each * [1.0, 0.9], np.zeros(elements), of_each * [0, 0, 0], of_each * [0, 0], 0 * s)
    start = np.zeros((6, elements + 1))
    work = blocks(beam, start, np.ones((_many_kernels.LANES, elements + 1)))
    _many_kernels._step(work, beam.h, push, 0.0, 0.0)
    told = work[elements * _many_kernels.NEXT + _many_kernels.PIVOT]
    load = Load(push, direction=0.0, weight=False).vector()
    assert (told > 0) == twin.step(beam, load, np.zeros(3 * elements + 1))[1]


def test_newton_converges_with_the_square():
    """Every step's change is a fixed share of the square of the one before, as the residual that is reported claims."""
    beam = rod()
    load = Load(0.6)
    start = bend_beam(beam, load).state
    work = blocks(beam, start, scattered(beam, rods=_many_kernels.LANES, by=0.03))
    changes = [_many_kernels._step(work, beam.h, 0.0, -0.6, 0.0) for _ in range(3)]
    assert changes[1] < changes[0] ** 2
    assert changes[2] < changes[1] ** 2


def test_the_residual_bounds_what_is_left():
    beam = rod()
    found = bend_many(beam, Load(0.6), scattered(beam, by=0.02))
    assert np.all(found.residual < _many_kernels.SETTLED)
    for i in range(0, 40, 8):
        alone = bend_beam(one_of(beam, found.thickness[i]), Load(0.6))
        assert np.abs(found.angle[i] - alone.angle).max() <= found.residual[i] ** 2 + 1e-10


def test_a_rod_far_from_the_others_is_bent_by_itself():
    beam = rod()
    thickness = scattered(beam)
    thickness[11] = 0.45
    found = bend_many(beam, Load(1.0), thickness)
    alone = bend_beam(one_of(beam, thickness[11]), Load(1.0))
    assert found.settled.all()
    assert found.y[11] == pytest.approx(alone.y[-1], abs=AS_ONE)
    assert found.y[10] == pytest.approx(bend_beam(one_of(beam, thickness[10]), Load(1.0)).y[-1], abs=AS_ONE)


def test_a_rod_that_turns_far_from_the_others_is_bent_by_itself_too():
    """It settles, but from more than a radian away there may be another rest: so it is not taken on trust."""
    beam = beam_of([Stretch(0.0, 1.0, (1.0, 1.0), (0.0, 0.0, 0.0))])
    load = Load(weight=False, couple=-1.5)  # the tip turns by C L/EI: 1.5, and for the others more and less than 2.5
    found = bend_many(beam, load, np.repeat([[2.45**-0.25], [1.6**-0.25], [1.7**-0.25]], len(beam.s), axis=1))
    assert found.settled.all()
    assert found.tip_angle == pytest.approx([1.5 * 2.45, 1.5 * 1.6, 1.5 * 1.7], abs=AS_ONE)
    assert found.residual[0] == 0.0
    assert found.residual[1] > 0
    assert found.residual[2] == 0.0


def test_hollows_that_begin_from_nothing_and_such_that_vanish():
    """The walls stay: of a rod much thinner nothing is left of the hollow, nowhere along an element."""
    beam = rod(HOLLOW)
    first = int(np.flatnonzero(beam.void.sum(axis=1))[0])
    void = beam.void.copy()
    void[first, 0] = 0.0
    beam = replace(beam, void=void)
    load = Load(1e-4, weight=False)
    ratio = np.repeat([[1.02], [0.3]], len(beam.s), axis=1)
    found = bend_many(beam, load, ratio)
    assert np.all(found.residual > 0)
    for i in range(2):
        assert found.y[i] == pytest.approx(bend_beam(one_of(beam, ratio[i]), load).y[-1], rel=1e-9)


def test_a_rod_that_finds_no_rest_says_so():
    """Upright, just under and far over the weight it buckles at (Greenhill 1881: rho g A L^3/EI = 7.83734743894)."""
    EI = 9.80665 * 0.02 * 8 / 7.0
    beam = beam_of([Stretch(0.0, 2.0, (EI, EI), (0.02, 0.02, 0.02))])
    ratio = np.ones((3, len(beam.s)))
    ratio[1] = 0.8  # its own weight goes with the square and its stiffness with the fourth power: 7/0.64 = 10.9
    found = bend_many(beam, Load(attitude=pi / 2), ratio)
    assert found.settled.tolist() == [True, False, True]
    assert np.isnan(found.y[1])
    assert found.y[0] == pytest.approx(2.0, abs=1e-6)


@pytest.mark.parametrize(
    ("load", "thickness", "modulus", "words"),
    [
        (Load(0.5, through_guides=True), (3, 0), None, "line in their guides"),
        (Load(0.5), (3, 1), None, "nodes"),
        (Load(0.5), (3, 0), (2,), "moduli"),
    ],
)
def test_what_does_not_fit_is_refused(load, thickness, modulus, words):
    beam = rod()
    ratios = np.ones((thickness[0], len(beam.s) + thickness[1]))
    with pytest.raises(BadInput, match=words):
        bend_many(beam, load, ratios, None if modulus is None else np.ones(modulus))


def test_what_is_no_ratio_is_refused():
    beam = rod()
    for wrong in (0.0, -1.0, float("nan"), 30.0):
        ratios = np.ones((2, len(beam.s)))
        ratios[1, 3] = wrong
        with pytest.raises(BadInput, match="times that"):
            bend_many(beam, Load(0.5), ratios)

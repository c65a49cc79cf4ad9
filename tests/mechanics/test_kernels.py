"""The compiled kernels against the slow twin: one step, the stable and the unstable, the rest, what is recovered."""

from __future__ import annotations

import sys
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path

import numpy as np
import pytest

from culmwright.design.rod_file import rod_from_text
from culmwright.mechanics import _kernels, _shape_kernels
from culmwright.mechanics._block import (
    AA,
    AB,
    BB,
    C1,
    C2,
    NEGATIVE,
    RA,
    RB,
    SIZE,
    TA,
    TB,
    at,
    factored,
    swept_in,
    swept_out,
)
from culmwright.mechanics._element import condensed, sine_cosine
from culmwright.mechanics.beam import GIVEN, LANES, ROWS, Beam
from culmwright.mechanics.rod_beam import rod_beam
from culmwright.mechanics.statics import Load, bend_beam
from culmwright.workshop.starting import rod_text

sys.path.insert(0, str(Path(__file__).parent))
import twin

LOADS = [
    Load(1.0),
    Load(2.5, direction=0.4, attitude=0.7),
    Load(1.5, through_guides=True),
    Load(4.0, direction=-1.0, attitude=0.3, through_guides=True),
    Load(0.2, weight=False, couple=0.05),
]


@pytest.fixture(scope="module")
def beam():
    return rod_beam(rod_from_text(rod_text("thrimble-beck")))


def test_sine_and_cosine_against_those_of_the_machine():
    """numpy's are good to the last digit; a polynomial that lost a term would be off by 1e-12 near a half turn."""
    for angle in np.linspace(-7.0, 7.0, 701):
        sine, cosine = sine_cosine(angle)
        assert sine == pytest.approx(np.sin(angle), abs=1e-14)
        assert cosine == pytest.approx(np.cos(angle), abs=1e-14)


def blocks(beam, theta, bubble):
    """The blocks the kernels work in, with this shape."""
    work = beam.room[: -3 * len(beam.s)].copy()
    work.reshape(-1, ROWS, LANES)[:, GIVEN:] = np.nan  # whatever was there, it is not to matter
    state = np.zeros((6, len(beam.s)))
    state[0], state[1:3, :-1] = theta, bubble.T
    _shape_kernels.take_shape(state, work)
    return work, state


def kernel_step(beam, load, theta, bubble):
    spans = beam.span.max() + 1 if load[4] > 0 else 0
    work, state = blocks(beam, theta, bubble)
    rows, line = np.full((3 + 2 * spans, len(beam.s)), np.nan), np.full((spans, spans + 4), np.nan)
    largest, stable = _kernels._step(beam.span, spans, load, work, rows, line)
    _shape_kernels.keep_shape(state, work)
    return largest, stable, state[0], state[1:3, :-1].T


@pytest.mark.parametrize("load", LOADS, ids=lambda load: f"{load.pull:g}")
def test_the_first_step_from_the_straight_rod(beam, load):
    """Some of these go too far and are held back."""
    theta, bubble = np.full(len(beam.s), load.attitude), np.zeros((len(beam.h), 2))
    z = twin.packed(theta, bubble)
    delta, _, _ = twin.step(beam, load.vector(), z)
    _, _, theta, bubble = kernel_step(beam, load.vector(), theta, bubble)
    assert twin.packed(theta, bubble) == pytest.approx(z + twin.held_back(delta, len(beam.h)), rel=1e-9, abs=1e-11)


@pytest.mark.parametrize("seed", range(4))
@pytest.mark.parametrize("load", LOADS, ids=lambda load: f"{load.pull:g}")
def test_one_step(beam, load, seed):
    random = np.random.default_rng(seed)
    theta = load.attitude - np.linspace(0, 1.2, len(beam.s)) ** 2 + random.normal(0, 0.01, len(beam.s))
    theta[0] = load.attitude
    bubble = random.normal(0, 0.02, (len(beam.h), 2))
    z = twin.packed(theta, bubble)
    delta, stable, _ = twin.step(beam, load.vector(), z)
    largest, kernel_stable, theta, bubble = kernel_step(beam, load.vector(), theta, bubble)
    assert kernel_stable == stable
    nodes = np.abs(delta[: len(beam.s)]).max()
    assert largest == pytest.approx(nodes, rel=1e-9)  # solved in another order: roundings times the condition, 1e3
    assert twin.packed(theta, bubble) == pytest.approx(z + twin.held_back(delta, len(beam.h)), rel=1e-9, abs=1e-11)


def test_the_twin_itself(beam):
    """Its gradient is the slope of its potential: central differences of 1e-5 leave 1e-8."""
    random = np.random.default_rng(5)
    load = Load(4.0, direction=-1.0, attitude=0.3, through_guides=True, couple=0.02).vector()
    z = np.concatenate([0.3 - np.linspace(0, 1, len(beam.s)), random.normal(0, 0.02, 2 * len(beam.h))])
    _, _, gradient = twin.step(beam, load, z)
    for i in random.integers(1, len(z), 12):
        shift = np.zeros(len(z))
        shift[i] = 1e-5
        slope = (twin.potential(beam, load, z + shift) - twin.potential(beam, load, z - shift)) / 2e-5
        assert slope == pytest.approx(gradient[i], abs=1e-7)


@pytest.mark.parametrize("pull", [-60.0, -8.0, -2.0, -0.5, -0.1, 0.5])
@pytest.mark.parametrize("through_guides", [False, True])
def test_what_is_not_stable_is_told(beam, pull, through_guides):
    """A straight rod pushed along its axis: which side of buckling it is on is a matter of signs of eigenvalues."""
    if through_guides:
        load = Load(abs(pull), direction=0.0 if pull > 0 else np.pi, weight=False, through_guides=True).vector()
    else:
        load = Load(pull, direction=0.0, weight=False).vector()
    theta, bubble = np.zeros(len(beam.s)), np.zeros((len(beam.h), 2))
    _, stable, _ = twin.step(beam, load, twin.packed(theta, bubble))
    assert kernel_step(beam, load, theta, bubble)[1] == stable


@pytest.mark.parametrize("pull", np.linspace(-60.0, 2.0, 32).round(2).tolist())
def test_what_is_not_stable_within_an_element_is_told_too(pull):
    """One element pushed harder and harder: sooner or later its inner unknowns give way, and its node seems to hold."""
    one = Beam(np.array([0.0, 1.0]), np.ones((1, 2)), np.zeros(1), np.zeros((1, 3)), np.zeros((1, 2)), np.zeros(2))
    load = Load(pull, direction=0.0, weight=False).vector()
    theta, bubble = np.zeros(2), np.zeros((1, 2))
    _, stable, _ = twin.step(one, load, twin.packed(theta, bubble))
    assert kernel_step(one, load, theta, bubble)[1] == stable


@pytest.mark.parametrize("load", LOADS, ids=lambda load: f"{load.pull:g}")
def test_the_rest_is_where_the_potential_is_level_and_lowest(beam, load):
    bent = bend_beam(beam, load)
    z = twin.packed(bent.angle, bent.state[1:3, :-1].T)
    delta, stable, gradient = twin.step(beam, load.vector(), z)
    assert stable
    assert np.abs(delta).max() < 1e-11  # what is foreseen to be below 1e-12, and may be a few times that
    # The first entry, where the clamp holds, is the clamp's couple.
    assert bent.moment[0] == pytest.approx(-gradient[0], rel=1e-7)
    t = twin.tangents(beam, z)
    places = np.cumsum(np.einsum("q,cqe,e->ce", twin.WEIGHTS, t, beam.h), axis=1)
    assert bent.x[1:] == pytest.approx(places[0], abs=1e-12)
    assert bent.y[1:] == pytest.approx(places[1], abs=1e-12)


def leaning(beam, load):
    """The first guess as the blocks have it: angles at the nodes from the grip's, inner unknowns [rad]."""
    work, _ = blocks(beam, np.full(len(beam.s), np.nan), np.full((len(beam.h), 2), np.nan))
    _shape_kernels.lean(load, work)
    nodes = [work[at(e) + row] for e in range(len(beam.h)) for row in (TA, TB)]
    assert nodes[1:-1:2] == nodes[2::2]
    inner = np.array([[work[at(e) + row] for e in range(len(beam.h))] for row in (C1, C2)])
    return np.array([*nodes[::2], nodes[-1]]) - load[0], inner


TINY = 1e-6


@pytest.mark.parametrize("attitude", [0.0, 0.7, -1.2])
@pytest.mark.parametrize("direction", [-np.pi / 2, 0.4, 2.5])
def test_the_first_guess_of_a_little_load_is_the_rest(beam, attitude, direction):
    """What pulls along the rod, and the curve that holds back, are of second order: a millionth shows none."""
    load = TINY * Load(0.7, direction, attitude).vector()
    load[0] = attitude
    state = np.empty((6, len(beam.s)))
    assert _kernels.rest(beam.room, beam.span, load, state, 1e-18) == _kernels.DONE
    angle, inner = leaning(beam, load)
    assert angle == pytest.approx(state[0] - attitude, rel=1e-4, abs=1e-4 * np.abs(state[0] - attitude).max())
    assert inner == pytest.approx(state[1:3, :-1], rel=1e-4, abs=1e-4 * np.abs(state[1:3, :-1]).max())


@pytest.mark.parametrize("load", LOADS, ids=lambda load: f"{load.pull:g}")
def test_a_first_guess_is_held_back_and_what_it_cannot_know_starts_straight(beam, load):
    load = load.vector()
    angle, inner = leaning(beam, load)
    if load[4] > 0 or load[7]:
        assert not angle.any() and not inner.any()
        return
    little = TINY * load
    little[0] = load[0]
    small, bubbles = (one / TINY for one in leaning(beam, little))

    def held(turn):
        return turn / np.sqrt(1 + _shape_kernels.SOFTENED * abs(turn) + (turn / _shape_kernels.STRAIGHT_DOWN) ** 2)

    assert angle == pytest.approx(held(small), rel=1e-4)
    mean, step = np.abs(small[1:] + small[:-1]) / 2, 1e-6
    slope = (held(mean + step) - held(mean - step)) / (2 * step)
    assert inner == pytest.approx(slope * bubbles, rel=1e-4)


def test_newton_ends_where_it_is_told_to(beam):
    """The error of an end within 1e-4 rad is below that, and above what one within 1e-10 leaves."""
    load = Load(1.0)
    exact = bend_beam(beam, load, within=1e-14).angle
    errors = [np.abs(bend_beam(beam, load, within=within).angle - exact).max() for within in (1e-4, 1e-10)]
    assert errors[0] < 1e-4 and errors[1] < 1e-10 < errors[0]


def test_a_load_followed_in_steps_ends_where_it_ends_at_once(beam):
    """Hanging from a level rod there is one rest only: by way of twenty loads or none."""
    bent = bend_beam(beam, Load())
    for pull in np.linspace(0.1, 2.0, 20):
        before, kept = bent, bent.state.copy()
        bent = bend_beam(beam, Load(float(pull)), before)
        assert before.state.tolist() == kept.tolist()  # what one starts from stays
    assert bent.state == pytest.approx(bend_beam(beam, Load(2.0)).state, abs=1e-9)


@pytest.mark.parametrize(("attitude", "angle", "only"), [(0.0, -0.5, True), (0.0, 0.5, False), (0.3, -0.5, False)])
def test_what_counts_as_the_only_rest(beam, attitude, angle, only):
    """Hanging loads: straight rod and shape must both point level or lower, wherever else Newton may have gone."""
    load = Load(1.0, attitude=attitude).vector()

    def told(load, angle):
        work, _ = blocks(beam, np.full(len(beam.s), angle), np.zeros((len(beam.h), 2)))
        _kernels._forces(load, work)
        return _kernels._only_one(load, work)

    assert told(load, angle) == only
    assert not told(load, angle - 2 * np.pi)
    for place in (4, 7):  # a line through the guides, a couple
        other = load.copy()
        other[place] = 0.1
        assert not told(other, angle)


@pytest.mark.parametrize(("lift", "attitude", "only"), [(0.5, -0.5, False), (0.5, 0.5, False), (2.0, 0.5, True)])
def test_the_straight_rod_counts_from_its_grip_to_its_tip(beam, lift, attitude, only):
    """A level shape feels nothing along it of what pulls up or down; the straight rod does, at one end or the other."""
    load = Load(lift * 9.80665 * beam.mass, direction=np.pi / 2, attitude=attitude).vector()
    work, _ = blocks(beam, np.zeros(len(beam.s)), np.zeros((len(beam.h), 2)))
    _kernels._forces(load, work)
    assert _kernels._only_one(load, work) == only


@pytest.mark.parametrize("seed", range(40))
def test_an_element_without_its_inner_unknowns(seed):
    """Schur's complement in numpy, of elements some of whose inner unknowns give way: one, the other or both."""
    random = np.random.default_rng(seed)
    stiff, along, across = random.normal(0.5, 1, 6), random.normal(0, 10, 3), random.normal(0, 1, 3)
    bend, c1, c2 = random.normal(0, 1, 3)
    i00, i01, i02, i11, i12, i22 = stiff
    slopes = np.array([[-1, 1, 0, 0], [0, 0, 1, 0], [0, 0, 0, 1]])
    bending = slopes.T @ np.array([[i00, i01, i02], [i01, i11, i12], [i02, i12, i22]]) @ slopes
    matrix = bending + np.einsum("q,qi,qj->ij", along, twin.SHAPES, twin.SHAPES)
    right = across @ twin.SHAPES - bending @ [0.0, bend, c1, c2]
    inverse = np.linalg.inv(matrix[2:, 2:])
    taken = inverse @ matrix[2:, :2]
    nodes = matrix[:2, :2] - matrix[:2, 2:] @ taken
    (aa, ab, bb, ra, rb), inner, inverted, negative = condensed(tuple(stiff), tuple(along), tuple(across), bend, c1, c2)
    near = {"rel": 1e-9, "abs": 1e-9 * np.abs(inverse).max() ** 2}  # roundings times what the inverse makes of them
    assert [[aa, ab], [ab, bb]] == pytest.approx(nodes, **near)
    assert [ra, rb] == pytest.approx(right[:2] - taken.T @ right[2:], **near)
    assert [inner[:2], inner[2:4], inner[4:]] == pytest.approx(np.vstack([-inverse @ right[2:], taken.T]), **near)
    assert inverted == pytest.approx(inverse[[0, 0, 1], [0, 1, 1]], **near)
    assert negative == (np.linalg.eigvalsh(matrix[2:, 2:]) < 0).sum()


@pytest.mark.parametrize("elements", [1, 2, 3, 7, 8, 9, 16, 17, 26])
def test_three_diagonals_from_both_ends(elements):
    """Of any number of elements, against numpy: the solution, and by Sylvester's law the negative eigenvalues."""
    random = np.random.default_rng(elements)
    work = random.normal(0, 1, -(-elements // LANES) * SIZE)
    for e in range(elements):
        work[at(e) + NEGATIVE] = 0.0
    matrix = np.zeros((elements + 1, elements + 1))
    for e in range(elements):
        aa, ab, bb = (work[at(e) + row] for row in (AA, AB, BB))
        matrix[e : e + 2, e : e + 2] += [[aa, ab], [ab, bb]]
    right, couple = random.normal(0, 1, elements + 1), 0.3
    rows, column = np.full((3, elements + 1), np.nan), right.copy()
    for e in range(elements):
        work[at(e) + RA], work[at(e) + RB] = right[e] / 2, right[e + 1] / 2
    loaded = right.copy()
    loaded[-1] = right[-1] / 2 + couple
    negative = factored(elements, work, couple, rows)
    assert negative == (np.linalg.eigvalsh(matrix[1:, 1:]) < 0).sum()
    swept_out(rows, rows[2])
    swept_in(rows, column)
    swept_out(rows, column)
    # No pivots are chosen: roundings times what the condition of such a matrix may be, some 1e4.
    for found, wanted in ((rows[2], loaded), (column, right)):
        assert found[0] == 0.0
        assert found[1:] == pytest.approx(np.linalg.solve(matrix[1:, 1:], wanted[1:]), rel=1e-9, abs=1e-9)
    work[at(elements - 1) + NEGATIVE] = 2.0
    assert factored(elements, work, couple, rows) == negative + 2


def test_one_beam_bent_by_two_threads_at_once(beam):
    """Its kernels work in the beam's own room: the interpreter's lock keeps them apart."""
    beam, loads = beam.finer(32), [Load(pull) for pull in (0.3, 1.7)]  # so fine that two would meet in there
    wanted = [bend_beam(beam, load).state for load in loads]

    def again(number):
        return [np.array_equal(bend_beam(beam, loads[number]).state, wanted[number]) for _ in range(500)]

    with ThreadPoolExecutor(2) as pool:
        assert all(all(one) for one in pool.map(again, (0, 1)))

"""The modulus from known weights: closed forms of bars, the elastica table, rods simulated with a known modulus.

Sources: S. P. Timoshenko, *Strength of Materials* (P L^3/48 EI, P L^3/3 EI; from memory); K. Mattiasson, *Int. J.
Numer. Meth. Eng.* 17 (1981) 145, drop of a cantilever under an end load; numpy.polyfit for a line and its covariance;
scipy.stats.chi2.
"""

from __future__ import annotations

import re
from dataclasses import replace
from math import sqrt

import numpy as np
import pytest
from scipy.stats import chi2

from culmwright.measure.display import INCH_DISPLAY
from culmwright.measure.errors import AnswerIsNo, BadInput
from culmwright.mechanics.beam import Stretch, beam_of
from culmwright.mechanics.modes import first_modes
from culmwright.mechanics.rod_beam import rod_beam
from culmwright.mechanics.statics import Load, bend_beam
from culmwright.proof.drops import _below_rest, from_drops
from culmwright.proof.modulus import (
    Held,
    Measured,
    from_bar,
    from_rate,
    normal_of,
    over_culms,
    scaled,
    together,
)

E = 31e9
I = 4.0e-11  # noqa: E741 - what the equation calls it


def bar(held, loads, noise=0.0, zero=0.0, span=0.5, seed=1):
    rng = np.random.default_rng(seed)
    drops = [P * span**3 / (held.value * E * I) + zero + noise * rng.standard_normal() for P in loads]
    return from_bar(span, I, loads, drops, held, reading=noise or 1e-6, inertia_share=0.0, span_doubt=0.0)


@pytest.mark.parametrize(("held", "q"), [(Held.BOTH_ENDS, 48), (Held.ONE_END, 3)])
def test_a_bar_by_the_closed_form(held, q):
    assert held.value == q
    assert bar(held, (0.5, 1.0, 2.0), zero=1e-3).value == pytest.approx(E, rel=1e-12)


def test_a_line_and_its_doubt_as_numpy_has_it():
    """Unweighted fit; the slope's standard uncertainty for a known scatter of one drop."""
    loads, sd = np.array([0.5, 1.0, 1.5, 2.0, 3.0]), 2e-5
    found = bar(Held.BOTH_ENDS, loads.tolist(), noise=sd, seed=4)
    rng = np.random.default_rng(4)
    drops = [P * 0.5**3 / (48 * E * I) + sd * rng.standard_normal() for P in loads]
    (slope, _), covariance = np.polyfit(loads, drops, 1, w=np.full(5, 1 / sd), cov="unscaled")
    assert found.value == pytest.approx(0.5**3 / (48 * I * slope), rel=1e-9)
    assert found.spread / found.value == pytest.approx(sqrt(covariance[0, 0]) / slope, rel=1e-9)


def test_drops_off_by_more_than_chance_widen_the_spread():
    """Read to a tenth of what they scatter: numpy's covariance scaled by what is left over its degrees of freedom."""
    loads, sd = np.array([0.5, 1.0, 1.5, 2.0, 3.0]), 2e-5
    rng = np.random.default_rng(4)
    drops = [P * 0.5**3 / (48 * E * I) + sd * rng.standard_normal() for P in loads]
    found = from_bar(0.5, I, loads.tolist(), drops, Held.BOTH_ENDS, reading=sd / 10, inertia_share=0.0, span_doubt=0.0)
    (slope, _), covariance = np.polyfit(loads, drops, 1, cov=True)
    assert "do not follow the model" in found.notes[0]
    assert found.spread / found.value == pytest.approx(sqrt(covariance[0, 0]) / slope, rel=1e-9)


def test_doubt_of_section_and_span():
    """``(u/E)^2 = (u_I/I)^2 + (3 u_L/L)^2`` where drops leave none (JCGM 100, 5.1.6)."""
    found = from_bar(
        0.5, I, (1, 2), (0.5**3 / (48 * E * I), 2 * 0.5**3 / (48 * E * I)), Held.BOTH_ENDS,
        reading=1e-12, inertia_share=0.03, span_doubt=0.5e-3,
    )  # fmt: skip
    assert found.spread / found.value == pytest.approx(sqrt(0.03**2 + 0.003**2), rel=1e-6)
    assert found.alike == pytest.approx(found.spread, rel=1e-6)


def test_a_rod_by_the_elastica_table():
    """A uniform cantilever without weight, loads of P L^2/EI = 0.5, 1, 2: printed drops w/L to ten digits."""
    EI, L = 2.0, 1.5
    loads = [alpha * EI / L**2 for alpha in (0.5, 1.0, 2.0)]
    drops = [L * w for w in (0.1621435757, 0.3017207738, 0.4934574804)]
    stiffer = beam_of([Stretch(0, L, (0.8 * EI, 0.8 * EI), (0, 0, 0))])  # begun from another modulus
    found = from_drops(stiffer, 0.8 * E, loads, drops, reading=1e-5)
    assert found.value == pytest.approx(E, rel=1e-8)


def test_a_rod_simulated_is_found_and_covered(thrimble):
    """Drops read to a sixteenth of an inch: 89 to 99 of 100 stated 95 % intervals hold the truth."""
    beam = rod_beam(thrimble)
    true, sd = 1.07, 0.0254 / 16 / sqrt(12)
    loads = np.array([0.1, 0.2, 0.3, 0.4])
    drops = _below_rest(scaled(beam, true), loads)
    rng, covered = np.random.default_rng(2), 0
    for _ in range(100):
        found = from_drops(beam, 30e9, loads, drops + sd * rng.standard_normal(4), reading=sd)
        covered += abs(found.value - true * 30e9) < 1.96 * found.spread
    assert 89 <= covered <= 99


def test_the_rate_goes_with_the_root(thrimble):
    """``f ~ sqrt(E)`` where all stiffness is the cane's."""
    beam = rod_beam(thrimble)
    f0 = first_modes(beam)[0].frequency
    found = from_rate(beam, 30e9, 1.05 * f0, 0.01 * f0)
    assert found.value == pytest.approx(30e9 * 1.05**2, rel=1e-9)
    assert found.spread / found.value == pytest.approx(2 * 0.01 / 1.05, rel=1e-9)


def one(value, spread, of="a", alike=0.0):
    return Measured(value * 1e9, spread * 1e9, alike * 1e9, of, f"way {value}")


def test_two_ways_together():
    """The weighted mean of any text on errors: weights 1/u^2."""
    found = together([one(30, 1.0), one(33, 2.0, of="b")])
    assert found.value == pytest.approx((30 / 1 + 33 / 4) / (1 + 1 / 4) * 1e9)
    assert found.spread == pytest.approx(1e9 / sqrt(1 + 1 / 4))
    assert found.notes == ()


def test_what_two_ways_share_does_not_average_out():
    """By hand: equal own doubts o and a common c give ``u^2 = o^2/2 + c^2``."""
    alike, own = 1.0, 0.6
    pair = [one(30, sqrt(alike**2 + own**2), alike=alike) for _ in range(2)]
    assert together(pair).spread == pytest.approx(1e9 * sqrt(own**2 / 2 + alike**2))


def test_a_contradiction_is_said():
    """Chi square of two values ten uncertainties apart, far beyond its 0.999 point; the spread grows by its root."""
    pair = [one(30, 0.3), one(34.2, 0.3, of="b")]
    found = together(pair)
    assert "contradict one another: 30.0 GPa by way 30, 34.2 GPa by way 34.2" in found.notes[-1]
    inch = together(pair, INCH_DISPLAY).notes[-1]
    assert "4.35 Mpsi by way 30, 4.96 Mpsi by" in inch and "GPa" not in inch  # 0.14504 Mpsi in a GPa: NIST SP 811, B.8
    square = 2 * (2.1 / 0.3) ** 2
    assert square > chi2.ppf(0.999, 1)
    assert found.spread == pytest.approx(0.3e9 / sqrt(2) * sqrt(square))


def test_drops_that_do_not_follow_are_said(thrimble):
    """A grip that gives way by five millimetres under the heaviest weight."""
    beam, loads = rod_beam(thrimble), np.array([0.05, 0.1, 0.2, 0.3])
    drops = _below_rest(beam, loads)
    drops[2] += 0.01
    assert "do not follow the model" in from_drops(beam, 30e9, loads, drops, reading=5e-4).notes[0]


@pytest.mark.parametrize("free", [1, 2, 5, 20])
def test_the_point_of_one_in_a_thousand(free):
    """Wilson and Hilferty's normal value of chi square's 0.999 point is within 4 % of the normal's own, 3.09."""
    assert normal_of(float(chi2.ppf(0.999, free)), free) == pytest.approx(3.09, rel=0.04)


def test_culms_of_a_shop():
    """Equal doubts: the mean is plain, and the scatter is ``s^2 - u^2`` (DerSimonian and Laird's estimate, by hand)."""
    values, u = [28.0, 30.0, 35.0, 31.0], 0.5
    found = over_culms([one(value, u, of=str(value)) for value in values])
    assert found.mean == pytest.approx(np.mean(values) * 1e9)
    assert found.scatter == pytest.approx(1e9 * sqrt(np.var(values, ddof=1) - u**2))
    with pytest.raises(AnswerIsNo, match="2 measured culms"):
        over_culms([one(30, 1), one(31, 1)])


@pytest.mark.parametrize(
    ("loads", "drops", "words"),
    [
        ((1.0,), (0.01,), "2 different weights"),
        ((1.0, 1.0), (0.01, 0.01), "2 different weights"),
        ((1.0, 2.0), (0.01, 0.005), "does not come down"),
        ((1.0, 2.0), (1e-9, 2e-9), "no cane has"),
        ((-1.0, 2.0), (0.01, 0.02), "not below zero"),
    ],
)
def test_nonsense_is_refused(loads, drops, words):
    with pytest.raises(BadInput, match=words):
        from_bar(0.5, I, loads, drops, Held.BOTH_ENDS, reading=1e-4, inertia_share=0.0, span_doubt=0.0)


def test_a_bar_bent_too_far_is_said():
    span, P = 0.5, 0.12 * 3 * E * I / 0.5**2
    found = from_bar(
        span, I, (P / 2, P), (0.06 * span, 0.12 * span), Held.ONE_END, reading=1e-4, inertia_share=0.0, span_doubt=0.0
    )
    assert any("bent so far" in note for note in found.notes)


@pytest.mark.parametrize("weights", [(0.25,), (0.15, 0.3)])
def test_own_weight_is_there_before_the_weights(thrimble, weights):
    """One or two weights, drops from where own weight leaves the tip: the modulus comes out, no zero being fitted."""
    stiffer = rod_beam(thrimble)
    stiffer = replace(stiffer, stiffness=1.1 * stiffer.stiffness)
    rest = bend_beam(stiffer, Load()).tip_drop
    drops = [bend_beam(stiffer, Load(one)).tip_drop - rest for one in weights]
    found = from_drops(rod_beam(thrimble), 30e9, weights, drops, reading=1e-5)
    assert found.value == pytest.approx(1.1 * 30e9, rel=1e-6)


def test_a_rule_out_of_place_does_no_harm(thrimble):
    """Four weights, every drop read 4 mm too great: found as well, and said."""
    beam = rod_beam(thrimble)
    rest, loads = bend_beam(beam, Load()).tip_drop, (0.1, 0.2, 0.3, 0.4)
    drops = [bend_beam(beam, Load(one)).tip_drop - rest + 4e-3 for one in loads]
    found = from_drops(beam, 30e9, loads, drops, reading=2e-4)
    assert found.value == pytest.approx(30e9, rel=1e-6)
    assert "the rule's zero" in found.notes[0]


def soft(thrimble):
    """The demo's rod three times as soft: its drop below rest is greatest near 30 GPa, and falls to both sides."""
    beam = rod_beam(thrimble)
    return replace(beam, stiffness=beam.stiffness / 3)


def below_rest(beam, times, loads):
    beam = replace(beam, stiffness=times * beam.stiffness)
    rest = bend_beam(beam, Load()).tip_drop
    return [bend_beam(beam, Load(one)).tip_drop - rest for one in loads]


def test_a_drop_two_moduli_make_tells_neither(thrimble):
    """A very soft rod: scipy's brentq finds the second modulus the one drop has, and both are named."""
    from scipy.optimize import brentq

    beam = soft(thrimble)
    (drop,) = below_rest(beam, 1.4, [0.1])
    second = brentq(lambda times: below_rest(beam, times, [0.1])[0] - drop, 0.4, 0.9)
    mpsi = 0.14503773773  # of a GPa: NIST SP 811, app. B
    soft_one, stiff_one = (f"{E:.1f} GPa ({E * mpsi:.2f} Mpsi)" for E in (30 * second, 42.0))
    with pytest.raises(AnswerIsNo, match=re.escape(f"cane of {soft_one} and of {stiff_one} both")):
        from_drops(beam, 30e9, [0.1], [drop], reading=1e-4)


@pytest.mark.parametrize("times", [0.65, 1.4])
def test_a_heavier_weight_tells_which(thrimble, times):
    """The softer one as well, which is not where the search begins."""
    loads = [0.1, 0.5]
    found = from_drops(soft(thrimble), 30e9, loads, below_rest(soft(thrimble), times, loads), reading=1e-4)
    assert found.value == pytest.approx(times * 30e9, rel=1e-6)

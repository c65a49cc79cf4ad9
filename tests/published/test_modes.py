"""Frequencies of clamped beams, ``omega = Omega sqrt(EI_r/(rho A_r L^4))``, r the root.

Sources: W. T. Thomson, *Theory of Vibration with Applications*, appendix D, uniform beam; H. H. Mabie, C. B. Rogers,
"Transverse vibrations of double-tapered cantilever beams", *J. Acoust. Soc. Am.* 51 (1972) 1771 (0.01 to 0.03 % low);
the characteristic equation of a clamped beam with a tip mass, derived by hand and solved by mpmath; cones and wedges
computed twice outside this project (Frobenius series and collocation).
"""

from __future__ import annotations

from math import pi, sqrt

import mpmath
import numpy as np
import pytest
from scipy.linalg import eigh

from culmwright.mechanics.beam import Beam, Stretch, beam_of
from culmwright.mechanics.modes import first_modes

EIGHT = 0.6e-8  # values of eight decimals


def beam(ratio: float = 1.0, times: int = 4) -> Beam:
    """A similar section all along: EI ~ d^4, mass ~ d^2, 1 at the root, length 1."""
    middle = (1 + ratio) / 2
    return beam_of([Stretch(0, 1, (1.0, ratio**4), (1.0, middle**2, ratio**2))]).finer(times)


def omegas(one: Beam, tip_mass: float = 0.0) -> list[float]:
    return [2 * pi * mode.frequency for mode in first_modes(one, tip_mass)]


def uniform(count: int, mu: float = 0.0) -> list[float]:
    """Roots of ``1 + cos b cosh b = mu b (sin b cosh b - cos b sinh b)``, Omega = b^2, tip mass mu of the beam's."""
    roots: list[float] = []

    def f(b):
        return (
            1
            + mpmath.cos(b) * mpmath.cosh(b)
            - mu * b * (mpmath.sin(b) * mpmath.cosh(b) - mpmath.cos(b) * mpmath.sinh(b))
        )

    b = mpmath.mpf("0.3")
    while len(roots) < count:
        if f(b) * f(b + 0.1) < 0:
            roots.append(float(mpmath.findroot(f, (b, b + 0.1), solver="anderson") ** 2))
        b += 0.1
    return roots


def test_uniform():
    # Printed to 3.516015, 22.0345, 61.6972: half a unit of the last digit.
    for found, printed, half in zip(omegas(beam()), (3.516015, 22.0345, 61.6972), (5e-7, 5e-5, 5e-5), strict=False):
        assert found == pytest.approx(printed, abs=half)
    assert omegas(beam()) == pytest.approx(uniform(4), rel=1e-11)


@pytest.mark.parametrize(
    ("ratio", "first", "second", "third"),
    [
        (0.0, 8.71925886, 21.14566239, 38.45377123),
        (0.25, 5.82306587, 18.47970477, 41.32134257),
        (0.5, 4.62515025, 19.54761318, 48.57889933),
    ],
)
def test_cone_and_truncated_cones(ratio, first, second, third):
    assert omegas(beam(ratio))[:3] == pytest.approx([first, second, third], abs=EIGHT)


def test_truncated_cone_in_tip_units():
    """Mabie and Rogers print 23.289, 73.9, 165.23, 0.01 to 0.03 % low: tip units are root units times d_root/d_tip."""
    found = [4 * one for one in omegas(beam(0.25))[:3]]
    for ours, printed in zip(found, (23.289, 73.9, 165.23), strict=True):
        assert 0 < ours / printed - 1 < 4e-4


def test_wedge():
    """EI ~ d^3, mass ~ d, to a sharp edge: not a rod's law, so it is cut into 160 pieces that follow it nearly."""
    cuts = np.linspace(0, 1, 161)
    thickness = 1 - cuts
    stretches = [
        Stretch(a, b, (p**3, q**3), (p, (p + q) / 2, q))
        for a, b, p, q in zip(cuts, cuts[1:], thickness, thickness[1:], strict=False)
    ]
    # Between two cuts the fourth root of EI is taken straight, where it is a power 3/4: off by the square of a piece.
    assert omegas(beam_of(stretches))[:2] == pytest.approx([5.31509942, 15.20716796], rel=2e-5)


@pytest.mark.parametrize(("mu", "omega"), [(1.0, 1.557297861), (0.1, 2.967838347)])
def test_tip_mass(mu, omega):
    assert omegas(beam(), mu)[0] == pytest.approx(omega, abs=0.6e-9)
    assert omegas(beam(), mu) == pytest.approx(uniform(4, mu), rel=1e-10)


def test_a_mass_on_a_rod_without_mass():
    """One mode, omega^2 = 3 EI/(m L^3), and no other is invented."""
    bare = beam_of([Stretch(0, 1, (1.0, 1.0), (0, 0, 0))])
    assert omegas(bare, 2.0) == pytest.approx([sqrt(1.5)], rel=1e-12)


@pytest.mark.parametrize("ratio", [1.0, 0.25])
def test_order_of_the_scheme_and_no_harm_in_refining(ratio):
    """Measured against 64 elements: far below 1e-9 from the first grid on, and a finer grid never spoils it."""
    reference = omegas(beam(ratio, 8))
    for times in (1, 2, 4, 16):
        assert omegas(beam(ratio, times)) == pytest.approx(reference, rel=2e-10)

    def coarse(elements: int) -> list[float]:
        s = np.linspace(0, 1, elements + 1)
        d = 1 + (ratio - 1) * s
        ends = np.stack([d[:-1] ** 4, d[1:] ** 4], axis=1)
        mass = np.stack([d[:-1] ** 2, ((d[:-1] + d[1:]) / 2) ** 2, d[1:] ** 2], axis=1)
        return omegas(Beam(s, ends, np.zeros(elements), mass, np.zeros((elements, 2)), np.zeros(elements + 1)))

    errors = [abs(coarse(n)[3] / reference[3] - 1) for n in (4, 8)]
    assert np.log2(errors[0] / errors[1]) > 8  # five points of Gauss: of order ten in the end


def test_shapes_are_orthogonal_and_bend_the_beam():
    """A dense twin: flexibility of a uniform beam by its formula ``s^2 (3 t - s)/6``, point masses at many nodes."""
    elements = 40
    s = np.linspace(0, 1, elements + 1)
    masses = np.full(elements + 1, 1 / elements)
    ends = np.ones((elements, 2))
    lumped = Beam(s, ends, np.zeros(elements), np.zeros((elements, 3)), np.zeros((elements, 2)), masses)
    modes = first_modes(lumped)
    t = s[1:]
    flexibility = np.minimum.outer(t, t) ** 2 * (3 * np.maximum.outer(t, t) - np.minimum.outer(t, t)) / 6
    root = np.sqrt(masses[1:])
    values, vectors = eigh(root[:, None] * flexibility * root)
    for i, mode in enumerate(modes):
        assert (2 * pi * mode.frequency) ** 2 == pytest.approx(1 / values[-1 - i], rel=1e-10)
        shape = vectors[:, -1 - i] / root
        assert mode.shape[1:] == pytest.approx(shape / shape[-1], abs=1e-5)
        assert mode.shape[-1] == 1.0
        assert mode.cycles_per_minute == 60 * mode.frequency
        signs = np.sign(np.array(mode.shape)[2:])
        assert np.count_nonzero(np.diff(signs)) == i  # mode number i has i - 1 places at rest

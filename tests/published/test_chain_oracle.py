"""``bend`` against a general-purpose solver of another kind: a rod in time, with shear and stretch, damped to rest.

pyelastica 1.0 (Gazzola, Dudte, McCormick & Mahadevan 2018, *R. Soc. Open Sci.* 5:171628, from memory) knows nothing of
our equations: it moves a Cosserat rod of round elements by its forces until nothing moves any more.
"""

from __future__ import annotations

from math import cos, pi, radians, sin

import numpy as np
import pytest

from culmwright.design.polygon import area, second_moment
from culmwright.design.rod_file import rod_from_text
from culmwright.workshop.bending import bend

pytestmark = pytest.mark.needs_oracles

STATIONS, ACROSS = (0, 40, 90), (0.070, 0.190, 0.280)  # [in] a kink: neither a straight taper nor an even one
RISE = 30.0  # [deg]
TEXT = f"""culmwright = 1
units = "inch"
[rod]
name = "of no stream"
sides = 6
length = 90
pieces = 1
tips = 1
grip = 0
[taper]
stations = {list(STATIONS)}
across = {list(ACROSS)}
[cane]
modulus = "30 GPa"
density = "1150 kg/m^3"
"""
PULL = 1.2  # [-] P L^2/EI at the butt
GRIDS = (20, 40, 80)
E, ROOT, DENSITY, SHEARS = 1e6, 0.012, 1000.0, 0.5  # [Pa, of the length, kg/m^3, G/E] of the chain, 1 m long


def chain_at_rest(elements: int, weight: float) -> tuple[float, float]:
    """Drop and shortening of the tip over the length [-] of a chain of round elements, its EI and mass as the rod's."""
    import elastica

    class Chain(elastica.BaseSystemCollection, elastica.Constraints, elastica.Forcing, elastica.Damping):
        pass

    EI, step = E * pi * ROOT**4 / 4, 1.2e-4
    from_tip = 1 - (np.arange(elements) + 0.5) / elements
    radius = ROOT * np.interp(from_tip * STATIONS[-1], STATIONS, ACROSS) / ACROSS[-1]
    along = np.array([cos(radians(RISE)), sin(radians(RISE)), 0.0])
    rod = elastica.CosseratRod.straight_rod(
        elements,
        np.zeros(3),
        along,
        np.array([0.0, 0.0, 1.0]),
        1.0,
        radius,
        DENSITY,
        youngs_modulus=E,
        shear_modulus=SHEARS * E,
    )
    chain = Chain()
    chain.append(rod)
    chain.constrain(rod).using(elastica.OneEndFixedBC, constrained_position_idx=(0,), constrained_director_idx=(0,))
    down = np.array([0.0, -1.0, 0.0])
    chain.add_forcing_to(rod).using(elastica.EndpointForces, np.zeros(3), PULL * EI * down, ramp_up_time=1.0)
    g = weight * EI / (DENSITY * pi * ROOT**2)
    chain.add_forcing_to(rod).using(elastica.GravityForces, g * down)
    chain.dampen(rod).using(elastica.AnalyticalLinearDamper, uniform_damping_constant=2.4, time_step=step)
    chain.finalize()
    elastica.integrate(elastica.PositionVerlet(), chain, 15.0, round(15.0 / step), progress_bar=False)
    assert np.abs(rod.velocity_collection).max() < 1e-5  # it is at rest
    tip = rod.position_collection[:, -1]
    return sin(radians(RISE)) - tip[1], 1.0 - tip @ along


def test_a_chain_damped_to_rest_lies_where_bend_says():
    """The chain converges with order one, for its clamp holds half an element; the next order is taken out too.

    To 4e-4 of the length: what shear and stretch of a chain as stout as this one add, (R/L)^2 = 1.4e-4 and more where
    it is thin, and what is left when three grids are taken to their limit, the last step of which is 0.8e-4.
    """
    rod = rod_from_text(TEXT)
    L, a = rod.length.m, ACROSS[-1] * 0.0254 / 2
    EI = rod.cane.modulus.value * second_moment(6, a)
    weight = rod.cane.density.value * area(6, a) * 9.80665 * L**3 / EI
    found = bend(rod, PULL * EI / L**2, radians(RISE))
    runs = np.array([chain_at_rest(one, weight) for one in GRIDS])
    order = np.log2((runs[1] - runs[0]) / (runs[2] - runs[1]))
    assert order == pytest.approx(1.0, abs=0.15)
    first = 2 * runs[1:] - runs[:-1]
    drop, shortening = (4 * first[1] - first[0]) / 3
    assert found.tip_drop / L == pytest.approx(drop, abs=4e-4)
    assert found.tip_shortening / L == pytest.approx(shortening, abs=4e-4)
    assert drop > 0.7 and shortening > 0.4  # a bend no small-deflection formula reaches

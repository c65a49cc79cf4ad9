"""The yardstick of one proof: the drawn rod at the nodes of the built one, and how the built one answers."""

from __future__ import annotations

from dataclasses import replace
from itertools import pairwise

import numpy as np

from culmwright.design.line_standard import line_mass
from culmwright.design.polygon import area
from culmwright.design.rod import Rod, Stated
from culmwright.measure.quantities import STANDARD_GRAVITY
from culmwright.mechanics.beam import Array, Beam
from culmwright.mechanics.loads import Load as Carried
from culmwright.mechanics.loads import line_loads, own_loads
from culmwright.mechanics.rod_beam import free_length, rod_beam
from culmwright.mechanics.statics import Load, bend_beam
from culmwright.mechanics.stress import EXACT, LOAD_FACTOR, stress_at
from culmwright.proof.as_built import cane_share, even_face, hats, hats_at, rod_as_built
from culmwright.proof.built import Built
from culmwright.proof.built_cane import walls_of
from culmwright.proof.measures import Yardstick
from culmwright.proof.response import Response, bend_weights, figures, response_of

CUTS = 16
"""Pieces between two nodes for the small change of a moment with the cane outboard of it [-]."""


def yardstick(built: Built, load: float, modulus: Stated | None = None, answer: Response | None = None) -> Yardstick:
    """What ``built`` is measured against, under a hanging ``load`` [N]; ``modulus`` [Pa] of its cane if measured.

    An ``answer`` worked out before on a rod with the same nodes may stand in for a new one: its slopes are taken, its
    base is worked out afresh.
    """
    rod, n = built.rod, built.rod.sides
    as_built = rod_as_built(built, modulus)
    beam, drawn_beam = rod_beam(as_built, built.tip), rod_beam(rod, built.tip)
    line = STANDARD_GRAVITY * line_mass(rod.line) if rod.line is not None else load
    ends, three = hats(built, beam)
    if answer is None:
        answer = response_of(beam, ends, three, load, line)
    else:
        answer = replace(answer, base=figures(beam, load, line))
    even = even_face(built.faces)
    walls, cane = walls_of(rod, built.x), built.cane
    loads = (*line_loads(as_built), *own_loads(as_built, EXACT.area, built.tip))
    moment = np.array([stress_at(as_built, float(x), 1.0, loads, LOAD_FACTOR, EXACT).moment for x in built.x])
    fine, shares = _fine(built)
    per_square = rod.cane.density.value * area(n, 1.0)
    arms = np.maximum(built.x[:, None] - fine[None, :], 0.0)
    weights = bend_weights(drawn_beam, hats(built, drawn_beam)[0], load)
    ahead = built.x <= free_length(rod) + 1e-9
    base = Yardstick(
        rod=rod,
        drawn=built.drawn,
        walls=walls,
        moment=moment,
        levers=LOAD_FACTOR * STANDARD_GRAVITY * per_square * arms @ shares,
        halves=_halves(built, weights),
        weights=answer.swing_shares(),
        answer=answer,
        even=even,
        drawn_answer=figures(drawn_beam, load, line),
        drawn_stress=_stress(built, rod),
        slope=_slope(beam, line),
        modulus=as_built.cane.modulus.value / rod.cane.modulus.value,
        worst=0,
        cane_share=cane_of_mass(built, even),
        cane_mass=per_square * shares.sum(0) * _exactly(loads, per_square * even**2 @ shares.sum(0)),
        cane=cane,
        answer_share=1.0 if cane is None else cane_share(rod, cane, cane.at, built.faces, walls),
    )
    return replace(base, worst=int(np.argmax(np.where(ahead, base.stress(even), 0.0))))


def _exactly(loads: tuple[Carried, ...], lumped: float) -> float:
    """The cane's mass by the stress check's own integral over that summed at the nodes [-]."""
    cane = next(one for one in loads if one.name == "cane")
    return cane.mass_outboard(1e3) / lumped


def _stress(built: Built, rod: Rod) -> Array:
    """Stress [Pa] of the drawn rod at every node, by the trade's method."""
    loads = (*line_loads(rod), *own_loads(rod, EXACT.area, built.tip))
    return np.array(
        [
            stress_at(rod, float(x), built.sections[number].taper.at(float(x)), loads, LOAD_FACTOR, EXACT).stress
            for x, number in zip(built.x, built.owner, strict=True)
        ]
    )


def _slope(beam: Beam, line: float) -> float:
    return (bend_beam(beam, Load(1.05 * line)).tip_drop - bend_beam(beam, Load(0.95 * line)).tip_drop) / (0.1 * line)


def _fine(built: Built) -> tuple[Array, Array]:
    """Middles of fine pieces along the rod [m], and their length shared to the nodes [m]."""
    places, shares = [], []
    for number in range(len(built.sections)):
        own = built.x[built.owner == number]
        cuts = np.unique(np.concatenate([np.linspace(a, b, CUTS + 1) for a, b in pairwise(own)]))
        middles = (cuts[1:] + cuts[:-1]) / 2
        places.append(middles)
        shares.append(hats_at(built, middles, number) * np.diff(cuts)[:, None])
    return np.concatenate(places), np.concatenate(shares)


def _halves(built: Built, weights: Array) -> tuple[Array, Array]:
    """Shares in the bend of the tip half and the butt half of the free length; a node in the middle counts to both."""
    middle = free_length(built.rod) / 2
    tip, butt = (np.where(side, weights, 0.0) for side in (built.x <= middle + 1e-9, built.x >= middle - 1e-9))
    return tip / tip.sum(), butt / butt.sum()


def cane_of_mass(built: Built, even: Array) -> Array:
    """The cane's share of a mass per length of cane and varnish [-], of faces ``even`` [m] by node."""
    rod, n = built.rod, built.rod.sides
    cane = rod.cane.density.value * area(n, 1.0) * even**2
    varnish = rod.varnish_density.value * area(n, 1.0) * ((even + rod.varnish.m) ** 2 - even**2)
    return np.asarray(cane / (cane + varnish))

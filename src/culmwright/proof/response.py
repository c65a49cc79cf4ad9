"""How the figures of a whole rod answer to what its sections are: drop, share of the bend, rate.

In small bends a drop is a sum of flexibilities, linear in 1/EI, and so, nearly, is one over the rate squared; so these
are what is taken as linear, in ``1/EI`` and in mass per length at every node, about the rod as built:
``y = y0 + C . (EI0/EI - 1) + D . (m/m0 - 1)``. ``C`` and ``D`` are central differences of the very solvers that
answer ``bend`` and ``bounce``, large bends included; every proof solves some of its rods outright and says how far the
two are apart.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from culmwright.mechanics.beam import Array, Beam
from culmwright.mechanics.modes import first_modes
from culmwright.mechanics.statics import Bent, Load, bend_beam

STEP = 0.02
"""By how much of itself flexibility or mass is changed at a node, either way [-]."""


@dataclass(frozen=True, slots=True, eq=False)
class Response:
    """``base`` of the drop under a ``load``, that under the ``line``'s weight [m] and one over the first rate squared
    [s^2]; their change for a flexibility or a mass per length twice as large at a node, by figure and node.
    """

    load: float
    line: float
    base: Array
    compliance: Array
    mass: Array

    def swing_shares(self) -> Array:
        """Share of each node in the bending of the first swing, summing to 1 [-].

        What one over the rate squared gains by a softer node is that node's share of the mode's energy (Rayleigh).
        """
        return np.asarray(self.compliance[2] / self.compliance[2].sum())

    def of(self, flexibility: Array, mass: Array) -> Array:
        """The figures [m, m, s^2] of rods whose 1/EI and mass per length stand to the base's as given [-], by node."""
        return np.asarray(self.base + (flexibility - 1) @ self.compliance.T + (mass - 1) @ self.mass.T)


def figures(beam: Beam, load: float, line: float) -> Array:
    """Drop under ``load`` and under ``line`` [N], level, own weight counted [m]; one over the rate squared [s^2]."""
    return np.array(
        [
            bend_beam(beam, Load(load)).tip_drop,
            bend_beam(beam, Load(line)).tip_drop,
            first_modes(beam)[0].frequency ** -2,
        ]
    )


def response_of(beam: Beam, ends: Array, three: Array, load: float, line: float) -> Response:
    """The response [SI] of ``beam`` at the nodes that ``ends`` and ``three`` are hats of (``as_built.hats``)."""
    nodes = ends.shape[-1]
    compliance, mass = np.zeros((3, nodes)), np.zeros((3, nodes))
    for j in range(nodes):
        if not ends[:, :, j].any():
            continue
        for sign in (1, -1):
            times = 1 + sign * STEP * ends[:, :, j]
            void = None if beam.void is None else beam.void / times
            softer = replace(beam, stiffness=beam.stiffness / times, void=void)
            heavier = replace(beam, density=beam.density * (1 + sign * STEP * three[:, :, j]))
            compliance[:, j] += sign * figures(softer, load, line) / (2 * STEP)
            mass[:, j] += sign * figures(heavier, load, line) / (2 * STEP)
    return Response(load, line, figures(beam, load, line), compliance, mass)


def bend_weights(beam: Beam, ends: Array, load: float) -> Array:
    """Share of each node in the energy of the bend under ``load`` [N], summing to 1 [-].

    ``int M^2/EI`` over each element, shared to its nodes: a softer place there bends by so much more.
    """
    bent: Bent = bend_beam(beam, Load(load))
    M = np.stack([bent.moment[:-1], bent.moment[1:]], axis=1)
    dense = M**2 / (beam.stiffness + beam.tube[:, None]) * beam.h[:, None] / 2
    shares = np.einsum("ek,ekj->j", dense, ends)
    return np.asarray(shares / shares.sum())


def rate(slowness: Array) -> Array:
    """The first rate [Hz] from one over its square [s^2]."""
    return np.asarray(slowness**-0.5)

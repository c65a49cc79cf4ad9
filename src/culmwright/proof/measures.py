"""What a rod's faces make of it, for one rod or thousands at once: figures at every node and figures of the whole.

One function each serves the estimate, the first-order spread and the Monte Carlo draws, so that the three cannot be of
different things. Arrays run (…, node, strip) in and (…, node) or (…, figure) out.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import NamedTuple

import numpy as np

from culmwright.design.line_standard import GRAINS, line_mass
from culmwright.design.polygon import bending_modulus, caliper_ratio, second_moment
from culmwright.design.rod import Rod
from culmwright.mechanics.beam import Array
from culmwright.proof.as_built import cane_share, regular
from culmwright.proof.built import over
from culmwright.proof.built_cane import NO_FACE, BuiltCane, CaneAt, net
from culmwright.proof.response import Response, rate
from culmwright.proof.section import Stiffness, stiffness


class AtNodes(NamedTuple):
    """By node: ``across`` in the mean and ``directions`` of it [m], as a caliper reads them over varnish; ``EI`` to the
    drawn one's [-]; ``stress`` [Pa]; ``u``, ``v`` how uneven it is [-].
    """

    across: Array
    directions: Array
    EI: Array
    stress: Array
    u: Array
    v: Array


@dataclass(frozen=True, slots=True, eq=False)
class Yardstick:
    """What faces are measured against: the drawn rod at the same nodes, and how the rod answers to each.

    ``walls`` [m] of a hollow, inf where solid; ``moment`` [N m] with its load factor, and ``levers`` [N m/m^2] how it
    changes with the area at other nodes; ``halves`` the nodes' shares in the bend of the tip half and the butt half,
    each summing to 1 [-]; ``weights`` in the swing of the whole; ``slope`` drop for a greater line weight [m/N];
    ``modulus`` of the cane to the drawn one's [-]; ``answer`` of the whole rod and ``even`` [m] the faces it was
    worked out at; ``drawn_answer`` [m, m, s^2] and ``drawn_stress`` [Pa] of the drawn rod; ``worst`` the node of the
    greatest stress ahead of the grip; ``cane_share`` of a node's mass per length [-] and ``cane_mass`` for the square
    of its face [kg/m^2]. ``cane`` of the strips, None where they are all alike and even, and the ``answer_share`` of
    its sections' cane that the answer was worked out with [-].
    """

    rod: Rod
    drawn: Array
    walls: Array
    moment: Array
    levers: Array
    halves: tuple[Array, Array]
    weights: Array
    answer: Response
    even: Array
    drawn_answer: Array
    drawn_stress: Array
    slope: float
    modulus: float
    worst: int
    cane_share: Array
    cane_mass: Array
    cane: BuiltCane | None = None
    answer_share: Array | float = 1.0

    def solid(self, even: Array, power: int) -> Array:
        """``a^p`` less the hollow's, of faces [m]: stiffness goes with the fourth power, area with the second."""
        return np.asarray(even**power - np.maximum(even - self.walls, 0.0) ** power)

    def stiff(self, even: Array) -> Array:
        """The same of the fourth power, where the rod's own cane is graded by what it makes of it [m^4]."""
        return regular(self.rod, even, self.walls)

    def uneven(self, faces: Array, found: Stiffness) -> tuple[Array, Array]:
        """How uneven sections with ``faces`` [m] are [-]: as ``found`` where solid, else less their hollow.

        Every strip keeps its wall, so the hollow is as uneven as the section and takes away from its stiffness.
        """
        hollow = np.isfinite(self.walls)
        if not hollow.any():
            return found.uneven
        walls = np.where(hollow, self.walls, 0.0)[:, None]
        gone = stiffness(np.maximum(faces - walls, NO_FACE))
        part = hollow.astype(float)
        xx, xy, yy = (getattr(found, one) - part * getattr(gone, one) for one in ("xx", "xy", "yy"))
        return (xx - yy) / (xx + yy), 2 * xy / (xx + yy)

    def stress(self, even: Array) -> Array:
        """Stress [Pa] of the trade's method at every node, moment and section as built."""
        n = self.rod.sides
        heavier = (self.solid(even, 2) - self.solid(self.even, 2)) @ self.levers.T
        solid = np.asarray(bending_modulus(n, 1.0) * even**3)
        return np.asarray((self.moment + heavier) / (solid * self.solid(even, 4) / even**4))

    def planes(self, faces: Array, found: Stiffness, at: CaneAt | None) -> tuple[Array | float, Array, Array]:
        """What cane ``at`` the strips makes of the mean stiffness of sections with ``faces`` [m], of a regular one's,
        and how uneven they are [-]; the cane of the rod as built where none is given.
        """
        if self.cane is None:
            return 1.0, *self.uneven(faces, found)
        at = at or self.cane.at
        u, v = net(faces, self.walls, self.cane.grading, at).uneven
        return cane_share(self.rod, self.cane, at, faces, self.walls), u, v

    def even_cane(self, faces: Array, share: Array | float, at: CaneAt | None) -> Array | float:
        """What stays of ``share`` [-], of :meth:`planes`, were every strip of the drawing's cane: what is scraped."""
        cane = self.cane
        if cane is None or cane.found is None:
            return share
        if cane.grading is None and not np.isfinite(self.walls).any():
            return 1.0
        at = at or cane.at
        return cane_share(self.rod, cane, at._replace(share=np.ones_like(at.share)), faces, self.walls)

    def at_nodes(self, faces: Array, at: CaneAt | None = None) -> AtNodes:
        """Figures of every node of rods with ``faces`` [m], of the cane of the rod as built or that ``at`` strips."""
        n, v = self.rod.sides, self.rod.varnish.m
        found = stiffness(faces)
        even = (found.mean / second_moment(n, 1.0)) ** 0.25
        rows = np.array([over(n, face) for face in range(1, pairs(n) + 1)])
        directions = faces @ rows.T + caliper_ratio(n) * v
        share, u, w = self.planes(faces, found, at)
        EI = self.modulus * share * self.stiff(even) / self.stiff(self.drawn)
        return AtNodes(directions.mean(-1), directions, EI, self.stress(even), u, w)

    def whole(self, faces: Array, modulus: Array | float = 1.0, at: CaneAt | None = None) -> Array:
        """Figures of whole rods [SI], in the order of :data:`WHOLE`; ``modulus`` to the one taken at first [-], cane
        ``at`` the strips as in :meth:`at_nodes`.
        """
        found = stiffness(faces)
        even = (found.mean / second_moment(self.rod.sides, 1.0)) ** 0.25
        share, u, v = self.planes(faces, found, at)
        E = np.asarray(modulus)[..., None] * share
        stiff = E * self.stiff(even)
        mass = 1 + self.cane_share * (self.solid(even, 2) / self.solid(self.even, 2) - 1)
        answer = self.answer.of(self.answer_share * self.stiff(self.even) / stiff, mass)
        softness = self.stiff(self.drawn) / (self.modulus * stiff)
        of_size = self.stiff(self.drawn) / (self.even_cane(faces, share, at) * self.stiff(even))
        (tip, butt), (tip_size, butt_size) = ([1 / (one @ half) for half in self.halves] for one in (softness, of_size))
        lines = self.lines(1 + (self.drawn_answer[1] - answer[..., 1]) / (self.slope * self.answer.line))
        return np.stack(
            [
                tip,
                butt,
                answer[..., 0],
                rate(answer[..., 2]),
                self.stress(even)[..., self.worst],
                self.solid(even, 2) @ self.cane_mass,
                lines,
                tip_size,
                butt_size,
                tip / tip_size,
                butt / butt_size,
                u @ self.weights,
                v @ self.weights,
            ],
            -1,
        )

    def drawn_whole(self) -> Array:
        """The drawn rod's figures [SI], in the order of :data:`WHOLE`."""
        cane = float(self.solid(self.drawn, 2) @ self.cane_mass)
        drop, _, slowness = self.drawn_answer
        stress, causes = self.drawn_stress[self.worst], np.ones(len(CAUSES))
        return np.array([1.0, 1.0, drop, slowness**-0.5, stress, cane, 0.0, *causes, 0.0, 0.0])

    def lines(self, ratio: Array) -> Array:
        """Line numbers [-] from the rod's own to one whose standard mass is ``ratio`` [-] times as great."""
        if self.rod.line is None:
            return np.zeros_like(ratio)
        masses = [line_mass(number) for number in GRAINS]
        return np.asarray(np.interp(ratio * line_mass(self.rod.line), masses, list(GRAINS)) - self.rod.line)


CAUSES = ("tip dimensions", "butt dimensions", "tip cane", "butt cane")
"""What dimensions and what cane make of the stiffness of the halves: the product of the two is the whole of it [-]."""
WHOLE = ("tip half", "butt half", "drop", "rate", "greatest stress", "cane", "lines", *CAUSES, "u", "v")
"""Figures of a whole rod: stiffness of its halves to the drawn one's [-], drop [m], first rate [Hz], greatest stress
[Pa], mass of the cane [kg], line numbers to the one it bends under as drawn [-], causes of the stiffness [-],
unevenness [-]."""


def pairs(n: int) -> int:
    """How many directions a caliper reads a section of ``n`` sides in."""
    return n // 2 if n % 2 == 0 else n

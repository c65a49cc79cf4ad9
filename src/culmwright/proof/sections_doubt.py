"""What a rod's sections, as read, leave in doubt of its own stiffness and mass: for tests of the finished rod.

Stiffness and mass per length hang on the same faces: a rod that is stouter than it was read is stiffer and heavier. By
the law of propagation (JCGM 100:2008, 5.2), ``T C T'``, T by central differences.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from math import sqrt

import numpy as np

from culmwright.mechanics.beam import Array, Beam
from culmwright.mechanics.rod_beam import rod_beam
from culmwright.proof.as_built import even_face, hats, rod_as_built
from culmwright.proof.built import Built
from culmwright.proof.built_cane import CaneAt, net, walls_of
from culmwright.proof.response import Response
from culmwright.proof.spread import covariance_of
from culmwright.proof.yard import cane_of_mass

MOVED = 1e-7
"""By how much a face [m] or a share [-] is moved for a derivative."""


@dataclass(frozen=True, slots=True, eq=False)
class SectionsDoubt:
    """The ``beam`` of a rod as built and what is in doubt of its sections: ``covariance`` [-] of the logarithms of EI
    at its nodes, then of their mass per length. ``ends`` and ``three`` are what each element has of each node [-]
    (``as_built.hats``).
    """

    beam: Beam
    ends: Array
    three: Array
    covariance: Array

    def moved(self, beam: Beam, by: float) -> list[Beam]:
        """``beam`` [SI] with the stiffness of one node after the other greater by ``by`` [-], then so with its mass."""
        beams = []
        for node in range(self.ends.shape[-1]):
            times = 1 + by * self.ends[:, :, node]
            void = None if beam.void is None else beam.void * times
            beams.append(replace(beam, stiffness=beam.stiffness * times, void=void))
        beams += [replace(beam, density=beam.density * (1 + by * one)) for one in np.moveaxis(self.three, -1, 0)]
        return beams

    def of_rate(self, answer: Response) -> float:
        """What is in doubt of a modulus told by the first rate [-], from how the rate ``answer``s to the sections.

        ``1/f^2`` goes with compliance and with mass, and the modulus makes good for both.
        """
        weights = np.concatenate([answer.compliance[2], -answer.mass[2]]) / answer.compliance[2].sum()
        return sqrt(float(weights @ self.covariance @ weights))


def sections_doubt(built: Built) -> SectionsDoubt:
    """The doubt of the sections of ``built`` [-], in figures that add up over a length.

    EI at a node hangs on its own faces, on the shares of its section's cane, and on what was scraped off its faces;
    mass on its faces, by the cane's share of it.
    """
    cane, rod, faces = built.cane, built.rod, built.faces
    nodes, strips = faces.shape
    at = cane.at if cane else CaneAt(np.ones_like(faces), np.full_like(faces, rod.making.finish.m))
    walls, each, every = walls_of(rod, built.x), np.eye(strips), np.arange(nodes)
    of_mass = cane_of_mass(built, even_face(faces))

    def EI(face: Array | float = 0.0, share: Array | float = 0.0, scraped: Array | float = 0.0) -> Array:
        moved = CaneAt(at.share + share, at.scraped + scraped)
        return np.asarray(np.log(net(faces + face, walls, rod.cane.grading, moved).mean))

    def area(face: Array) -> Array:
        even = even_face(faces + face)
        return np.asarray(np.log(even**2 - np.maximum(even - walls, 0.0) ** 2))

    C = covariance_of(built)
    C = C + np.pad(np.diag(np.repeat(built.uneven, strips) ** 2), (0, len(C) - faces.size))
    T = np.zeros((2 * nodes, len(C)))
    shares = 0 if cane is None else len(cane.shares)
    for i in range(strips):
        by = MOVED * each[i]
        own = every * strips + i
        T[every, own] = (EI(face=by) - EI(face=-by)) / (2 * MOVED)
        T[nodes + every, own] = of_mass * (area(by) - area(-by)) / (2 * MOVED)
        if cane is not None:
            T[every, faces.size + built.owner * strips + i] = (EI(share=by) - EI(share=-by)) / (2 * MOVED)
            if len(cane.scraped):
                T[every, faces.size + shares + own] = (EI(scraped=by) - EI(scraped=-by)) / (2 * MOVED)
    beam = rod_beam(rod_as_built(built), built.tip)
    return SectionsDoubt(beam, *hats(built, beam), T @ C @ T.T)

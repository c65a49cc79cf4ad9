"""The cane of a rod as built: what each strip's modulus is to the rod's, and what scraping has left of its depth.

``EI`` of a section is the integral of ``E_o share(d) r y^2``: r the strip's modulus to the rod's
(``proof/unlike.py``), d the depth under the enamel (``proof/section.py``), and ``E_o`` the modulus under the enamel,
one for the whole rod, drawn or built (``design/grading.py``).
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from culmwright.design.grading import Grading
from culmwright.design.rod import Rod
from culmwright.mechanics.beam import Array
from culmwright.proof.section import Stiffness, stiffness
from culmwright.proof.unlike import Unlike

NO_FACE = 1e-9
"""A face this near the centre [m] has no section to speak of."""


class CaneAt(NamedTuple):
    """By node and place in the ring, for one rod or many: each strip's modulus to the rod's ``share`` [-], and what is
    ``scraped`` off its enamel [m].
    """

    share: Array
    scraped: Array


@dataclass(frozen=True, slots=True, eq=False)
class BuiltCane:
    """The cane of a rod as built at its nodes, ``at``, and its doubt: ``shares`` the covariance [-] of each place of
    each section's ring, ``scraped`` that of what was scraped off [m^2] and ``mixed`` that of it with the faces, both
    empty where nothing is graded. ``owner`` which section a node is of. ``found`` are the tests of its strips, None
    where they are taken to be of one cane.
    """

    at: CaneAt
    shares: Array
    scraped: Array
    mixed: Array
    owner: NDArray[np.int64]
    grading: Grading | None
    found: Unlike | None = None

    def with_shares(self, shares: Array) -> CaneAt:
        """The same with the ``shares`` [-] of each section's places; any number of rods at once."""
        return self.at._replace(share=shares[..., self.owner, :])

    def draw_shares(self, random: np.random.Generator, count: int) -> Array:
        """Shares [-] that the tests could have come from, by rod, section and place."""
        values, vectors = np.linalg.eigh(self.shares)
        root = vectors * np.sqrt(np.maximum(values, 0.0))
        shifts = random.standard_normal((count, len(values))) @ root.T
        shares = self.section_shares
        return np.asarray(shares + shifts.reshape(count, *shares.shape))

    @property
    def section_shares(self) -> Array:
        """The shares [-] by section and place: those of the section's first node."""
        return self.at.share[np.searchsorted(self.owner, np.arange(self.owner.max() + 1))]


def built_cane(
    rod: Rod,
    found: Unlike | None,
    rings: list[tuple[str, tuple[int, ...]]],
    owner: NDArray[np.int64],
) -> BuiltCane | None:
    """The cane of a rod whose sections' ``rings`` are of strips as ``found``; None for one alike and even throughout.

    A section whose ring is empty was not read: its shares are 1 [-], without doubt.
    """
    grading, n = rod.cane.grading, rod.sides
    where = {} if found is None else {strip: i for i, strip in enumerate(found.strips)}
    places = [where.get((section, strip)) for section, ring in rings for strip in (ring or (0,) * n)]
    if grading is None and not any(one is not None for one in places):
        return None
    shares, covariance = np.ones(len(places)), np.zeros((len(places), len(places)))
    known = {i: one for i, one in enumerate(places) if one is not None}
    if found is not None and known:
        own, at = np.array(list(known)), np.array(list(known.values()))
        shares[own] = found.shares[at]
        covariance[np.ix_(own, own)] = found.covariance[np.ix_(at, at)]
    nodes = shares.reshape(len(rings), n)[owner]
    at_nodes = CaneAt(nodes, np.full(nodes.shape, rod.making.finish.m))
    none = np.zeros((0, 0))
    return BuiltCane(at_nodes, covariance, none, none, owner, grading, found if known else None)


def net(faces: Array, walls: Array, grading: Grading | None, at: CaneAt) -> Stiffness:
    """Sections with ``faces`` [m] less what their hollow leaves out (``walls`` [m], inf where solid), for a modulus of
    1 [Pa] as a rod file tells it. Every strip keeps its wall: a hollow takes the inside of each, that deep under its
    enamel.

    The area is that of the whole section.
    """
    E = at.share if grading is None else grading.outer * at.share
    found = stiffness(faces, E, grading, at.scraped)
    hollow = np.isfinite(walls)
    if not hollow.any():
        return found
    w = np.where(hollow, walls, 0.0)[:, None]
    gone = stiffness(np.maximum(faces - w, NO_FACE), E, grading, at.scraped + w)
    part = hollow.astype(float)
    EA = found.EA - part * gone.EA
    x, y = ((found.EA * a - part * gone.EA * b) / EA for a, b in ((found.x, gone.x), (found.y, gone.y)))
    xx, xy, yy = (one - part * other for one, other in zip(_about_centre(found), _about_centre(gone), strict=True))
    return Stiffness(found.area, EA, x, y, xx - EA * x * x, xy - EA * x * y, yy - EA * y * y)


def _about_centre(one: Stiffness) -> tuple[Array, Array, Array]:
    return one.xx + one.EA * one.x**2, one.xy + one.EA * one.x * one.y, one.yy + one.EA * one.y**2


def walls_of(rod: Rod, x: Array) -> Array:
    """The wall [m] of a rod's hollow at places ``x`` [m], inf where it is solid."""
    walls = [rod.hollow.wall(float(place)) if rod.hollow else None for place in x]
    return np.array([np.inf if one is None else one for one in walls])

"""A rod stiffer one way than the other: its two planes as a whole, each with a beam of its own.

A built section meets bending in the plane at angle phi with ``EI (1 + u cos 2 phi + v sin 2 phi)``; u and v vary along
the rod, so that no plane is the stiffest everywhere. The planes of the whole rod are those its first mode chooses:
where bending one way does not push it the other way, to first order in u and v. Beyond that order (u^2, a
ten-thousandth for a rod one hundredth uneven) the two are not quite apart, and what is left out is as small.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from math import atan2, cos, pi, sin

import numpy as np

from culmwright.measure.errors import BadInput
from culmwright.mechanics.beam import Array, Beam
from culmwright.mechanics.modes import Mode, first_modes
from culmwright.mechanics.statics import Bent, Load, bend_beam


@dataclass(frozen=True, slots=True, eq=False)
class Planes:
    """The planes of a rod: ``direction`` [rad] of the stiffest, 0 to pi; the ``stiff`` and the ``soft`` beam."""

    direction: float
    stiff: Beam
    soft: Beam

    def bends(self, load: Load) -> tuple[Bent, Bent]:
        """The rod at rest under ``load``, bent in its stiff and in its soft plane, each turned to the load."""
        return bend_beam(self.stiff, load), bend_beam(self.soft, load)

    def modes(self, tip_mass: float = 0.0) -> tuple[tuple[Mode, Mode], ...]:
        """The first modes, each in the stiff and in the soft plane, with ``tip_mass`` [kg] more at the tip."""
        return tuple(zip(first_modes(self.stiff, tip_mass), first_modes(self.soft, tip_mass), strict=True))

    def split(self) -> float:
        """How much faster [-] the rod swings in its stiff plane than in its soft one, first mode."""
        stiff, soft = self.modes()[0]
        return stiff.frequency / soft.frequency - 1


def planes_of(beam: Beam, u: Array, v: Array) -> Planes:
    """The planes of a rod like ``beam`` whose section is uneven by ``u`` and ``v`` [-] at its nodes.

    The first mode at four angles tells the direction: ``f^2 = a + b cos 2 phi + c sin 2 phi`` to first order.
    Raises :class:`BadInput` for arrays that do not fit or an unevenness of one or more.
    """
    if u.shape != beam.s.shape or v.shape != beam.s.shape:
        raise BadInput(f"the beam has {len(beam.s)} nodes", where="u, v", remedy="Give a value for each node")
    if not np.all(np.hypot(u, v) < 1):
        raise BadInput("a section uneven by its whole stiffness has none left one way", where="u, v")

    def squared(angle: float) -> float:
        return first_modes(in_plane(beam, u, v, angle))[0].frequency ** 2

    b, c = (squared(angle) - squared(angle + pi / 2) for angle in (0.0, pi / 4))
    direction = 0.5 * atan2(c, b) % pi if max(abs(b), abs(c)) > 1e-12 * squared(0.0) else 0.0
    return Planes(direction, in_plane(beam, u, v, direction), in_plane(beam, u, v, direction + pi / 2))


def in_plane(beam: Beam, u: Array, v: Array, angle: float) -> Beam:
    """The beam that bends in the plane at ``angle`` [rad] of a rod uneven by ``u`` and ``v`` [-] at its nodes."""
    factor = 1 + u * cos(2 * angle) + v * sin(2 * angle)
    ends = np.stack([factor[:-1], factor[1:]], axis=1)
    return replace(beam, stiffness=beam.stiffness * ends, void=None if beam.void is None else beam.void * ends)

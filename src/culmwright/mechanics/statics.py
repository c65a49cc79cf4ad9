"""How a rod bends, however far: shape, moments and stresses at rest under its own weight and a load.

``EI d(theta)/ds = M(s)``, M the moment of all outboard loads in the bent shape; planar, no stretch. Loads: weight
at any attitude, a pull at the tip (a hanging load by default), or line tension through the guides: at each guide the
line turns and pushes the rod by T times the difference of its two directions. T is equal everywhere (no friction: a
coefficient of 0.1 and a turn of 90 deg would already make it 1.17 T), rings have no height, and inboard of the last
guide the line runs to the axis at the grip's front. The way from the straight rod is followed in load, so that
the shape is the one a rod gets to; why this scheme: docs/decisions/0011-statics.md.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from math import cos, pi, radians, sin

import numpy as np

from culmwright.measure.errors import AnswerIsNo, BadInput
from culmwright.measure.quantities import STANDARD_GRAVITY
from culmwright.mechanics._kernels import DONE, NOT_STABLE, next_rest, rest
from culmwright.mechanics.beam import Array, Beam
from culmwright.mechanics.compiling import first_time

DOWN = -pi / 2
"""Direction [rad] of a hanging load."""
WITHIN = 1e-6
"""A figure is given when two grids agree on the tip's place to this, of the length [-]."""
SETTLED = 1e-12
"""Newton ends where its next step is foreseen to be smaller than this [rad]."""
REFINEMENTS = 4
"""How often the elements are halved before the answer is that there is none."""


@dataclass(frozen=True, slots=True)
class Load:
    """What bends a rod: ``pull`` [N] in ``direction`` [rad] above the horizontal, at the tip or along the line.

    ``attitude`` [rad] of the grip above the horizontal; ``weight`` counts the rod's own; ``through_guides`` makes the
    pull a tension of the line, which leaves the outermost guide in that direction; ``couple`` [N m] at the tip turns
    it upwards.
    """

    pull: float = 0.0
    direction: float = DOWN
    attitude: float = 0.0
    weight: bool = True
    through_guides: bool = False
    couple: float = 0.0
    _vector: Array = field(init=False, repr=False, compare=False)

    def __post_init__(self) -> None:
        """Write the load down as the kernels take it."""
        px, py = self.pull * cos(self.direction), self.pull * sin(self.direction)
        if self.direction == DOWN:
            px = 0.0
        g = STANDARD_GRAVITY if self.weight else 0.0
        pull = (0.0, 0.0, g, self.pull, px, py) if self.through_guides else (px, py, g, 0.0, 0.0, 0.0)
        object.__setattr__(self, "_vector", np.array([self.attitude, *pull, self.couple]))

    def vector(self) -> Array:
        """The load as the kernels take it [SI]; not to be changed."""
        return self._vector


@dataclass(frozen=True, slots=True, eq=False)
class Bent:
    """A beam at rest under a load. World axes: origin at the clamp, x horizontal, y up; all arrays by node.

    ``angle`` [rad] above the horizontal, ``x`` and ``y`` [m], ``moment`` [N m] (downward bending is negative).
    ``state`` has rows for the angle, the two inner unknowns of the element behind the node, x, y and the moment.
    """

    beam: Beam
    load: Load
    state: Array

    @property
    def s(self) -> Array:
        """Arc length from the clamp [m]."""
        return self.beam.s

    @property
    def angle(self) -> Array:
        """Angle of the axis above the horizontal [rad]."""
        return self.state[0, :]

    @property
    def x(self) -> Array:
        """Horizontal place [m]."""
        return self.state[3, :]

    @property
    def y(self) -> Array:
        """Vertical place [m]."""
        return self.state[4, :]

    @property
    def moment(self) -> Array:
        """Bending moment [N m]."""
        return self.state[5, :]

    @property
    def tip_drop(self) -> float:
        """The straight rod's tip less the bent tip, in height [m]."""
        return float(self.beam.length * sin(self.load.attitude) - self.y[-1])

    @property
    def tip_shortening(self) -> float:
        """Length less the tip's projection on the grip's axis [m]."""
        tilt = self.load.attitude
        return float(self.beam.length - self.x[-1] * cos(tilt) - self.y[-1] * sin(tilt))

    @property
    def tip_angle(self) -> float:
        """Turn of the tip from the grip's axis, downward positive [rad]."""
        return float(self.load.attitude - self.angle[-1])

    def stress(self) -> Array:
        """Greatest stress of the cane at the nodes [Pa], ``E y M/EI``; at a step, that of its thinner side."""
        inboard, outboard = self.beam.stress_per_moment()
        ratio = np.zeros_like(self.moment)
        ratio[:-1] = inboard
        ratio[1:] = np.maximum(ratio[1:], outboard)
        return np.abs(self.moment) * ratio

    def turn_between(self, places: Array) -> Array:
        """How far [rad] the rod turns downward between neighbouring ``places`` [m], which are nodes of the beam."""
        nodes = [int(np.argmin(np.abs(self.s - place))) for place in places]
        return -np.diff(self.angle[nodes])


def bend_beam(beam: Beam, load: Load, start: Bent | None = None, within: float = SETTLED) -> Bent:
    """The rest of ``beam`` under ``load``, coming from the straight rod or from the rest ``start`` on the same beam.

    ``within`` [rad]: how near the angles are to come to where no step of Newton changes them any more.
    Raises :class:`BadInput` for a tension without guides, :class:`AnswerIsNo` if no rest is found.
    """
    if load.through_guides and not beam.rings:
        raise BadInput(
            "there are no guides for the line to run through",
            where="[guides]",
            remedy="List their stations; culmwright guides ROD proposes some",
        )
    if start is None:
        state = np.empty((6, len(beam.s)))
        ended = rest(beam.room, beam.span, load._vector, state, within)
    else:
        state = start.state.copy()
        ended = next_rest(beam.room, beam.span, start.load._vector, load._vector, state, within)
    if ended != DONE:
        raise AnswerIsNo(_no_rest(load, ended), remedy="Try a smaller load or another attitude")
    return Bent(beam, load, state)


def bend_surely(beam: Beam, load: Load) -> Bent:
    """As :func:`bend_beam`, on elements halved until the tip's place changes by less than ``WITHIN`` of the length.

    The error left is a small part of that change, since it falls with the sixth power of the element. Raises
    :class:`AnswerIsNo` if that does not come to an end.
    """
    found = bend_beam(beam, load)
    for _ in range(REFINEMENTS):
        finer = bend_beam(found.beam.finer(), load)
        change = np.hypot(finer.x[-1] - found.x[-1], finer.y[-1] - found.y[-1])
        found = finer
        if change < WITHIN * beam.length:
            return found
    raise AnswerIsNo("the shape does not settle as the grid is made finer", remedy="Try a smaller load")


def first_bend() -> bool:
    """True if the next bend on this machine has to wait for its kernel to be compiled, once."""
    return first_time(rest)


def _no_rest(load: Load, ended: int) -> str:
    if abs(load.attitude - radians(90)) < 1e-9 and ended == NOT_STABLE:
        return "held exactly upright the rod does not stand under this load: it falls to one side or the other"
    if ended == NOT_STABLE:
        return "no rest is found near: on the way to this load the rod snaps over to another shape"
    return "no rest is found under this load within the steps allowed"

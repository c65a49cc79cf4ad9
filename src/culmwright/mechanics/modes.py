"""How a rod vibrates: its first modes about the straight rest, alone or with a mass at its tip.

Small vibrations of a slender beam clamped at the grip's front: no shear, no rotary inertia, no damping, no pull of the
line. A hand is softer than a clamp, so a rate counted in the hand is lower. Why flexibility and not finite
elements: docs/decisions/0011-statics.md.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import pi, sqrt

import numpy as np

from culmwright.measure.errors import AnswerIsNo, BadInput
from culmwright.measure.record import si
from culmwright.mechanics import _mode_kernels
from culmwright.mechanics.beam import FIVE, WEIGHTS, Array, Beam
from culmwright.mechanics.compiling import first_time


@dataclass(frozen=True, slots=True)
class Mode:
    """One mode: ``frequency`` [Hz], the same counted as ``cycles_per_minute`` [1/min], and its ``shape``.

    ``shape`` [-] is the deflection at the beam's nodes, the tip's taken as 1.
    """

    frequency: float = si("Hz")
    cycles_per_minute: float = si("-")
    shape: tuple[float, ...] = si("-")


def first_modes(beam: Beam, tip_mass: float = 0.0) -> tuple[Mode, ...]:
    """The first four modes of ``beam``, lowest first, with ``tip_mass`` [kg] more at its tip.

    ``(EI w'')'' = omega^2 m w``, ``frequency = omega/(2 pi)``. Fewer than four where all mass sits in fewer places.
    Raises :class:`BadInput` for a mass below zero or a beam without mass, :class:`AnswerIsNo` if none settle.
    """
    if not 0 <= tip_mass < 100:
        raise BadInput(f"a mass of {tip_mass:g} kg does not go on a tip", remedy="Give one from 0, usually a few grams")
    masses = beam.masses
    if tip_mass:
        masses = masses.copy()
        masses[-1] += tip_mass
    if not (beam.per_length.any() or masses[1:].any()):
        raise BadInput("a beam without mass does not vibrate", remedy="Give the cane a density")
    found, squares, shapes = _mode_kernels.lowest_modes(
        beam.h, beam.compliance, beam.per_length, masses, WEIGHTS, INWARD, OUTWARD
    )
    if not found:
        raise AnswerIsNo("no mode of this rod settles", remedy="Check its taper and masses")
    return tuple(_mode(squares[i], shapes[i]) for i in range(found))


def first_bounce() -> bool:
    """True if the next modes on this machine have to wait for their kernel to be compiled, once."""
    return first_time(_mode_kernels.lowest_modes)


def _mode(square: float, shape: Array) -> Mode:
    frequency = sqrt(square) / (2 * pi)
    return Mode(frequency, 60 * frequency, tuple((shape / shape[-1]).tolist()))


def _integrals(points: Array) -> Array:
    """Weights that integrate the polynomial through ``points`` from 0 to each of them [-]."""
    powers = np.arange(len(points))
    return (points[:, None] ** (powers + 1) / (powers + 1)) @ np.linalg.inv(points[:, None] ** powers)


OUTWARD = _integrals(FIVE)
INWARD = np.ascontiguousarray(OUTWARD[::-1, ::-1])

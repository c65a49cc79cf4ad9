"""``bounce``: how fast a rod swings."""

from __future__ import annotations

from dataclasses import dataclass

from culmwright.design.rod import Rod
from culmwright.measure.record import si
from culmwright.mechanics.modes import Mode, first_modes
from culmwright.mechanics.modes import first_bounce as first_bounce
from culmwright.mechanics.rod_beam import beam_notes, rod_beam


@dataclass(frozen=True, slots=True)
class Planes:
    """First swing of a rod as built in its ``stiffest`` plane and its ``softest``, square to it [Hz]; their ``split``
    with its standard uncertainty ``split_spread`` [Hz].

    ``direction`` [rad] of the stiffest plane, from the middle of the first strip's face towards the second. ``told``
    where the split is more than the readings leave in doubt.
    """

    stiffest: float = si("Hz")
    softest: float = si("Hz")
    split: float = si("Hz")
    split_spread: float = si("Hz")
    direction: float = si("rad")
    told: bool = False


@dataclass(frozen=True, slots=True)
class Bounce:
    """The first modes of a rod with one of its tips, lowest first; their shapes stand at ``s`` [m] from the clamp.

    ``modulus`` is that of the cane, and ``modulus_source`` says who says so. ``planes`` are known of a rod as built.
    """

    name: str
    tip: int
    tip_mass: float = si("kg")
    line_in_guides: bool = False
    modes: tuple[Mode, ...] = ()
    s: tuple[float, ...] = si("m", default=(), required=False)
    modulus: float | None = si("Pa", required=False)
    modulus_source: str = ""
    planes: Planes | None = None
    notes: tuple[str, ...] = ()
    warnings: tuple[str, ...] = ()


def bounce(rod: Rod, tip_mass: float = 0.0, *, line_in_guides: bool = False, tip: int = 1) -> Bounce:
    """The first four modes of ``rod``, held fast up to its grip's front, with ``tip_mass`` [kg] more at its tip.

    ``line_in_guides`` adds the mass of the line that lies between the guides. Raises :class:`BadInput` for a mass
    below zero, a tip the rod does not have, or a line where the file gives no number or no guides.
    """
    beam = rod_beam(rod, tip, line_in_guides=line_in_guides)
    modes = first_modes(beam, tip_mass)
    return Bounce(
        name=rod.name,
        tip=tip,
        tip_mass=tip_mass,
        line_in_guides=line_in_guides,
        modes=modes,
        s=tuple(beam.s.tolist()),
        modulus=rod.cane.modulus.value,
        modulus_source=rod.cane.modulus.source,
        notes=beam_notes(rod),
        warnings=rod.warnings,
    )

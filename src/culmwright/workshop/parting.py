"""``culm``: what culms yield for a rod, or for strips of one width."""

from __future__ import annotations

from dataclasses import dataclass

from culmwright.bench.culm_yield import CulmYield as CulmYield
from culmwright.bench.culm_yield import culm_yield
from culmwright.cane.culm import Culm, Spacing, spacing
from culmwright.cane.ring import strips_in_ring
from culmwright.design.rod import Rod
from culmwright.measure.record import si


@dataclass(frozen=True, slots=True)
class PartedLength:
    """A culm length parted into strips of one width: its ``diameter`` at the narrow end, its ``strips`` and nodes."""

    name: str
    length: float = si("m")
    diameter: float = si("m")
    strips: int = si("-")
    nodes: int = si("-")


@dataclass(frozen=True, slots=True)
class Parted:
    """A culm in strips of one raw ``width``: every length, and how its nodes are spaced; ``mass`` None if unknown."""

    label: str
    width: float = si("m")
    kerf: float = si("m")
    length: float = si("m")
    mass: float | None = si("kg")
    spacing: Spacing | None = si("-")
    lengths: tuple[PartedLength, ...] = si("-")
    warnings: tuple[str, ...] = si("-")


def culm(rod: Rod, culms: tuple[Culm, ...]) -> CulmYield:
    """Which lengths of ``culms`` give ``rod`` its butts and tips, how many strips and spares, what is left or short."""
    return culm_yield(rod, culms)


def parted(one: Culm, width: float) -> Parted:
    """A culm in strips ``width`` [m] wide, saw kerf besides; rounded down at the narrow end of each length."""
    kerf = one.splitting.kerf.m
    return Parted(
        one.label,
        width,
        kerf,
        one.length.m,
        one.mass,
        spacing(one.nodes),
        tuple(
            PartedLength(
                piece.name,
                piece.length,
                one.narrowest(piece),
                strips_in_ring(one.narrowest(piece), width, kerf),
                len(one.nodes_in(piece)),
            )
            for piece in one.lengths
        ),
        one.warnings,
    )

"""How much the materials of a rig grow with heat: bounds, because a bar does not say what it was made of."""

from __future__ import annotations

from dataclasses import dataclass

from culmwright.measure.band import Band
from culmwright.measure.errors import BadInput
from culmwright.measure.quantities import Kind, parse_quantity
from culmwright.measure.record import si

CALLISTER = "W. D. Callister, Materials Science and Engineering, app. B"
LEAST, MOST = 1e-7, 5e-4  # [1/K] of any solid a rig is made of


@dataclass(frozen=True, slots=True)
class Material:
    """A material and the bounds of its linear thermal expansion, with who says so."""

    name: str
    expansion: Band = si("1/K")
    source: str = ""


STEEL = Material("steel", Band(11.7e-6, 11.7e-6), CALLISTER)
ALUMINIUM = Material("aluminium", Band(23.6e-6, 23.6e-6), f"{CALLISTER}, alloy 6061")
BRASS = Material("brass", Band(19.9e-6, 20.5e-6), CALLISTER)
HDPE = Material("HDPE", Band(1.0e-4, 2.0e-4), "handbooks' 106 to 198, rounded outward; from memory")
MATERIALS = {one.name.lower(): one for one in (STEEL, ALUMINIUM, BRASS, HDPE)}


def material(text: str, where: str = "") -> Material:
    """The material a maker names, or one known only by its expansion: ``hdpe``, or ``1.3e-4 /K``."""
    known = MATERIALS.get(text.strip().lower())
    if known is not None:
        return known
    if not any(mark.isdigit() for mark in text):
        raise BadInput(
            f'"{text[:40]}" is not a material known here',
            where=where,
            remedy=f"Write {', '.join(MATERIALS)}, or its expansion like {Kind.EXPANSION.example()}",
        )
    try:
        found = parse_quantity(text, Kind.EXPANSION)
    except BadInput as fault:
        raise fault.at(where) if where else fault from None
    if not LEAST <= found <= MOST:
        raise BadInput(
            f"{text} is no solid's expansion", where=where, remedy=f"Write it like {Kind.EXPANSION.example()}"
        )
    return Material(text.strip(), Band(found, found), "as given")

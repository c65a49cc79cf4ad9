"""Examples beside the fields of culms and gauges, for a shop that works in inches and one that works in millimetres."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Examples:
    """What could stand in each field, as one would type it."""

    length: str
    diameters: tuple[str, str, str]
    walls: tuple[str, str, str]
    nodes: str
    defect: str
    sawn: str
    mass: str
    over: str
    wander: str
    reference: str
    shown: str
    step: str


EXAMPLES = {
    "in": Examples(
        length="12 ft",
        diameters=("2 3/8 in", "2 3/16 in", "1 15/16 in"),
        walls=("0.42 in", "0.34 in", "0.28 in"),
        nodes="4.5 14 24 34.5 45",
        defect="33.5 to 36",
        sawn="0 to 70",
        mass="4 lb",
        over="0.050 in",
        wander="0.020 in",
        reference="0.2500 in",
        shown="0.2502 in",
        step="0.0005 in",
    ),
    "mm": Examples(
        length="3600 mm",
        diameters=("60 mm", "55.5 mm", "49 mm"),
        walls=("10.5 mm", "8.5 mm", "7 mm"),
        nodes="115 355 610 875 1145",
        defect="850 to 915",
        sawn="0 to 1780",
        mass="1.8 kg",
        over="1.3 mm",
        wander="0.5 mm",
        reference="6.350 mm",
        shown="6.355 mm",
        step="0.01 mm",
    ),
}
"""By the unit a bare number stands for."""

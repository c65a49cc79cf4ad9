"""The ring of strips a culm splits into, by the chord: an enamel face of width w is a chord of the culm's circle.

A strip takes the angle ``2 asin(w/D)`` of the ring, so a ring of diameter D holds ``pi/asin(w/D)`` of them, rounded
down, at the narrow end of the length. A saw takes its kerf besides. Plane geometry.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import asin, floor, pi

from culmwright.cane.culm import Culm, CulmLength, Defect
from culmwright.measure.errors import BadInput
from culmwright.measure.lengths import Length

ROUNDING = 1e-9  # [-] a ring that is filled to the last strip but for this is filled


def angle_of_strip(diameter: float, width: float, kerf: float = 0.0) -> float:
    """The angle [rad] of the ring of ``diameter`` [m] that a strip ``width`` [m] wide takes, with its ``kerf`` [m].

    Raises :class:`BadInput` where the strip is as wide as the culm or has no width.
    """
    chord = width + kerf
    if not width > 0 or kerf < 0 or not diameter > 0:
        raise BadInput(
            "a strip, a culm and a kerf are above zero", where="strips of a ring", remedy="Give the widths as measured"
        )
    if chord >= diameter:
        raise BadInput(
            "the strip is as wide as the culm", where="strips of a ring", remedy="Check the width and the diameter"
        )
    return 2 * asin(chord / diameter)


def strips_in_ring(diameter: float, width: float, kerf: float = 0.0) -> int:
    """How many strips ``width`` [m] wide a ring of ``diameter`` [m] yields, ``kerf`` [m] lost at each.

    >>> [strips_in_ring(2.0, width) for width in (0.1875, 0.250, 0.3125)]
    [33, 25, 20]
    """
    return floor(2 * pi / angle_of_strip(diameter, width, kerf) + ROUNDING)


@dataclass(frozen=True, slots=True)
class RawStrip:
    """A strip as it comes out of a culm length: its ``number`` around the ring from the mark on the butt end.

    ``nodes`` are places from the strip's own butt end; ``faults`` the defects it carries.
    """

    length: CulmLength
    number: int
    nodes: tuple[Length, ...]
    faults: tuple[Defect, ...]

    @property
    def label(self) -> str:
        """What it is marked with, e.g. ``K12-1/7``."""
        return f"{self.length.name}/{self.number}"


def ring_of(culm: Culm, length: CulmLength, count: int) -> tuple[RawStrip, ...]:
    """The ``count`` strips a length of a culm is parted into, evenly around from the mark on its butt end."""
    start = length.start.nanometres
    nodes = tuple(Length(one.nanometres - start, unit=one.unit) for one in culm.nodes_in(length))
    crossing = [
        one
        for one in culm.defects
        if one.start.nanometres < length.end.nanometres and one.end.nanometres > length.start.nanometres
    ]
    step = 2 * pi / count
    return tuple(
        RawStrip(length, k + 1, nodes, tuple(one for one in crossing if one.touches(k * step, (k + 1) * step)))
        for k in range(count)
    )

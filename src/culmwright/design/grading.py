"""How stiffness falls through the depth of a rod's cane, as its file says, and the reading of that."""

from __future__ import annotations

from dataclasses import dataclass

from culmwright.measure.lengths import Length
from culmwright.measure.toml_table import Table

HIGHEST_RATIO = 50
"""No cane is more times as stiff under the enamel as at the inside of its wall [-] (own choice, wide)."""
THICKEST_WALL = Length.parse("2 in")
"""No culm's wall is thicker (own choice, wide)."""
TOLD_AT = 1 / 3
"""Apothem of the section whose modulus a rod file tells, over the culm's wall [-] (own choice: amid a trout rod)."""


@dataclass(frozen=True, slots=True)
class Grading:
    """Cane ``ratio`` [-] times as stiff under the enamel as at the inside of its culm's ``wall``, straight between.

    Deeper than the wall, where a strip holds other stuff than cane, it stays what it is at the inside. A culm is of one
    cane, so a stout section, which reaches deeper into the wall, bends softer for its size than a fine one. The modulus
    a rod file tells is that of a solid section of :data:`TOLD_AT` of the wall, its enamel whole.
    """

    ratio: float
    wall: Length

    @property
    def outer(self) -> float:
        """Modulus under the enamel to the one told [-]: over ``1 - (1 - 1/ratio) a/(5 T)``, a of the section told of.

        That is the flexural mean of a section within the wall, ``mechanics/graded.py``.
        """
        return 1 / (1 - (1 - 1 / self.ratio) * TOLD_AT / 5)


def read_grading(table: Table) -> Grading | None:
    """The grading that ``[cane]`` states with ``outer_over_inner`` and ``culm_wall``; None where it states neither."""
    if not (table.has("outer_over_inner") or table.has("culm_wall")):
        return None
    for key, other, like in (
        ("outer_over_inner", "culm_wall", '"5/16 in"'),
        ("culm_wall", "outer_over_inner", "5"),
    ):
        if not table.has(other):
            table.refuse(
                key,
                f"there is no {other} with it: how stiffness falls through the cane is told by both",
                f"Add {other} = {like}, or take {key} out",
            )
    ratio, wall = table.number("outer_over_inner", 1, HIGHEST_RATIO), table.length("culm_wall")
    if not 0 < wall.nanometres <= THICKEST_WALL.nanometres:
        table.refuse(
            "culm_wall", f"{wall} is no wall of a culm", f"Give it as measured, above zero and at most {THICKEST_WALL}"
        )
    return Grading(ratio, wall)

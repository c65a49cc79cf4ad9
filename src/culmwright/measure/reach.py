"""How large the things of a rod maker's bench are: a size that none of them has is a slip of its unit.

Every limit is an own choice, wider than anything made, and narrow enough that most sizes in millimetres read as inches,
or in inches read as millimetres, fall outside.
"""

from __future__ import annotations

from enum import Enum

from culmwright.measure.errors import BadInput
from culmwright.measure.lengths import NANOMETRES

OTHER = {"in": "mm", "mm": "in"}
"""The unit a bare number was likely meant in, where it was read in the one given."""
UNITS = {"in": "inch", "mm": "metric"}
"""What the option of the command calls them."""


class Size(Enum):
    """A kind of size: what is said before it and after it, and its least and its most [m]."""

    STRIP = ("no strip of a rod is", "high", 0.3e-3, 16e-3)
    WIDTH = ("no raw strip is", "wide", 2e-3, 50e-3)
    WALL = ("no culm's wall is", "thick", 1e-3, 30e-3)
    BEND = ("no strip is bent to a radius of", "", 20e-3, 2.5)
    SPOT = ("no flat spot of a node is", "long", 0.5e-3, 150e-3)
    SAND = ("no node is sanded", "deep", 0.0, 5e-3)
    ROD = ("no rod is", "long", 0.3, 9.0)
    ACROSS = ("no rod is", "across", 0.5e-3, 30e-3)
    READING = ("no gauge over a strip reads", "", 0.0, 60e-3)
    PIN = ("no pin in a block for strips is", "across", 0.5e-3, 25.4e-3)

    @property
    def least(self) -> float:
        """The smallest there is [m]."""
        return self.value[2]

    @property
    def most(self) -> float:
        """The largest there is [m]."""
        return self.value[3]

    def has(self, size: float) -> bool:
        """True for a ``size`` [m] that there is."""
        return self.least * (1 - 1e-9) <= size <= self.most * (1 + 1e-9)


def must_reach(kind: Size, size: float, bare: str, where: str) -> float:
    """The ``size`` [m], refused where nothing of that ``kind`` has it, with the likelier unit if there is one.

    ``bare`` is the unit a bare number is read in, ``in`` or ``mm``; ``where`` names what was typed.

    >>> must_reach(Size.STRIP, 0.18034, "in", "--now")
    Traceback (most recent call last):
    culmwright.measure.errors.BadInput: --now: no strip of a rod is 7.1 in high. Look at its unit: write 7.1 mm, or \
add --units metric.
    """
    if kind.has(size):
        return size
    before, after, *_ = kind.value
    digits = f"{size / (NANOMETRES[bare] * 1e-9):.5g}"
    other = OTHER[bare]
    likely = kind.has(float(digits) * NANOMETRES[other] * 1e-9)
    raise BadInput(
        f"{before} {digits} {bare} {after}".strip(),
        where=where,
        remedy=f"Look at its unit: write {digits} {other}, or add --units {UNITS[other]}"
        if likely
        else "Look at the number and its unit",
    )

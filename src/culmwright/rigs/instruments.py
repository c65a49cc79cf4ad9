"""What a gauge may be wrong by when nothing is wrong with it: permissible errors of the standards.

DIN 862 (calipers) and DIN 863 (micrometers); for a caliper that shows 0.01 mm, up to 100 mm, and a micrometer up to
25 mm. A gauge's own certificate counts for more. A gauge is off only where that is proven: by more than the limit and
the doubt of the trial together (ISO 14253-1, from memory).
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import Enum

from culmwright.rigs.budget import Part


class Instrument(Enum):
    """A kind of gauge: its name, its permissible error [m], the most it measures [m], and the standard."""

    CALIPER = ("digital caliper", 20e-6, 0.100, "DIN 862")
    MICROMETER = ("micrometer", 4e-6, 0.025, "DIN 863")

    @property
    def error(self) -> float:
        """Permissible error [m], either way."""
        return self.value[1]

    @property
    def reach(self) -> float:
        """The most it measures [m] with that error."""
        return self.value[2]

    @property
    def standard(self) -> str:
        """Who says so."""
        return self.value[3]

    def part(self) -> Part:
        """Its permissible error [m] as a cause of doubt."""
        return Part.within(f"permissible error of the {self.value[0]} ({self.standard})", self.error)


@dataclass(frozen=True, slots=True)
class Tried:
    """A gauge tried on a ``reference`` [m] and what it ``shown`` [m]: in or out of what its kind may be wrong by.

    ``doubt`` [m] is what its last digit leaves open, either way.
    """

    reference: float
    shown: float
    allowed: float
    doubt: float = 0.0

    @property
    def error(self) -> float:
        """How much too high it shows [m]."""
        return self.shown - self.reference

    @property
    def good(self) -> bool:
        """True if the error is allowed, to a nanometre."""
        return abs(self.error) <= self.allowed + 1e-9

    @property
    def off(self) -> bool:
        """True if it is certainly too much: beyond the limit by more than its own doubt (ISO 14253-1)."""
        return abs(self.error) > self.allowed + self.doubt + 1e-9

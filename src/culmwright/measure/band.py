"""A value known only to lie between two bounds: range in, range out."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Band:
    """Bounds of a value, ``low`` and ``high`` [any] in its field's unit; ``high`` None where it has none."""

    low: float
    high: float | None

    @property
    def top(self) -> float:
        """The upper bound [SI], infinite where there is none."""
        return float("inf") if self.high is None else self.high

    def __contains__(self, value: float) -> bool:
        """True if ``value`` [SI] lies between the bounds."""
        return self.low <= value <= self.top

    def words(self, show: Callable[[float], str]) -> str:
        """Both bounds as ``show`` writes a value [SI]: one text where they look the same.

        >>> Band(1.0, 2.0).words("{:.0f} mm".format), Band(1.0, None).words("{:.0f} mm".format)
        ('1 mm to 2 mm', '1 mm or more')
        """
        if self.high is None:
            return f"{show(self.low)} or more"
        low, high = show(self.low), show(self.high)
        return low if low == high else f"{low} to {high}"


def band(*values: float) -> Band:
    """The narrowest band that holds every one of ``values`` [SI].

    >>> band(2.0, -1.0, 1.5)
    Band(low=-1.0, high=2.0)
    """
    return Band(min(values), max(values))

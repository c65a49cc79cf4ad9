"""A number along a rig that is known at places: straight between them, level beyond the ends."""

from __future__ import annotations

from bisect import bisect_right
from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Curve:
    """``values`` [m] at ``places`` [m], in order; one value is the same everywhere."""

    places: tuple[float, ...]
    values: tuple[float, ...]

    @classmethod
    def level(cls, value: float) -> Curve:
        """The same ``value`` [m] everywhere."""
        return cls((0.0,), (value,))

    def at(self, x: float) -> float:
        """The value [m] at ``x`` [m].

        >>> Curve((0.0, 2.0), (1.0, 3.0)).at(0.5)
        1.5
        """
        if x <= self.places[0]:
            return self.values[0]
        if x >= self.places[-1]:
            return self.values[-1]
        i = bisect_right(self.places, x) - 1
        share = (x - self.places[i]) / (self.places[i + 1] - self.places[i])
        return self.values[i] + (self.values[i + 1] - self.values[i]) * share

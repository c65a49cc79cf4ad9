"""The taper: what a caliper reads across the finished rod, as a function of distance from the tip."""

from __future__ import annotations

from bisect import bisect_right
from dataclasses import dataclass
from functools import cached_property

from culmwright.measure.lengths import Length


@dataclass(frozen=True)
class Taper:
    """Across flats at stations, and straight lines between them.

    ``stations`` and ``across``: equally many exact lengths, distance from the tip and caliper reading over
    varnish (flat to corner on five sides). The straight line is what a bevelling rig cuts between two
    adjusters and what the mechanics integrates exactly; it is stated on every drawing.
    """

    stations: tuple[Length, ...]
    across: tuple[Length, ...]

    between = "straight lines between stations"

    def at(self, x: float) -> float:
        """Across [m] at ``x`` [m] from the tip; beyond the ends the end value holds.

        >>> taper = Taper((Length.parse("0 m"), Length.parse("2 m")), (Length.parse("2 mm"), Length.parse("4 mm")))
        >>> taper.at(0.5)
        0.0025
        """
        places, values = self._floats
        if x <= places[0]:
            return values[0]
        if x >= places[-1]:
            return values[-1]
        i = bisect_right(places, x) - 1
        left, right = places[i], places[i + 1]
        return values[i] if x == left else values[i] + (values[i + 1] - values[i]) * (x - left) / (right - left)

    @cached_property
    def _floats(self) -> tuple[tuple[float, ...], tuple[float, ...]]:
        return tuple(station.m for station in self.stations), tuple(value.m for value in self.across)

    def neighbours(self, x: Length) -> tuple[Length, Length] | None:
        """The two stations ``x`` lies between, or None where it is a station itself."""
        i = bisect_right(self._floats[0], x.m)
        if any(self.stations[k] == x for k in range(max(i - 2, 0), min(i + 2, len(self.stations)))):
            return None
        return (self.stations[i - 1], self.stations[i]) if 0 < i < len(self.stations) else None

"""A hollow rod: how much wall is left, from where to where, and the dams that stay solid.

Every strip's apex is cut flat across at the wall's thickness under its enamel, so that the hollow is a polygon like
the rod's own, centre to flat ``bare apothem - wall``. That is the simplest hollow there is: scallops and flutes with
round floors leave a little more cane in their corners, and ends that run out leave more there.
"""

from __future__ import annotations

from bisect import bisect_right
from dataclasses import dataclass

from culmwright.measure.lengths import Length

SAME_PLACE = 1e-9  # [m]


@dataclass(frozen=True, slots=True)
class Hollow:
    """Where a rod is hollow: between the first and the last of ``stations``, with ``walls`` left at each.

    Walls are measured from the bare enamel, square to the flat, and change in straight lines between stations.
    ``dams`` are the middles of solid stretches of ``dam_length``.
    """

    stations: tuple[Length, ...]
    walls: tuple[Length, ...]
    dams: tuple[Length, ...] = ()
    dam_length: Length | None = None

    def thickness(self, x: float) -> float:
        """The wall as drawn [m] at ``x`` [m] from the tip, dam or not; beyond the ends, the end's."""
        places, walls = [one.m for one in self.stations], [one.m for one in self.walls]
        i = min(max(bisect_right(places, x), 1), len(places) - 1)
        share = min(max((x - places[i - 1]) / (places[i] - places[i - 1]), 0.0), 1.0)
        return walls[i - 1] + (walls[i] - walls[i - 1]) * share

    def wall(self, x: float) -> float | None:
        """The wall [m] at ``x`` [m] from the tip, None where it is solid; ends and dams' edges count as hollow."""
        if not self.stations[0].m - SAME_PLACE <= x <= self.stations[-1].m + SAME_PLACE:
            return None
        half = self.dam_length.m / 2 if self.dam_length else 0.0
        if any(abs(x - dam.m) < half - SAME_PLACE for dam in self.dams):
            return None
        return self.thickness(x)

    def breaks(self) -> tuple[Length, ...]:
        """Its stations and the dams' edges, from the tip: where the section kinks or steps."""
        low, high = self.stations[0].nanometres, self.stations[-1].nanometres
        half = self.dam_length.nanometres / 2 if self.dam_length else 0
        edges = {dam.nanometres + side * half for dam in self.dams for side in (-1, 1)}
        named = {one.nanometres: one for one in self.stations}
        inside = sorted({one for one in edges if low < one < high} | set(named))
        return tuple(named.get(one) or Length(one) for one in inside)

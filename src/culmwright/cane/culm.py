"""The culm: a tapering tube with a dam at every node, as measured, and how it is cut into lengths.

Places run along the culm from its butt end; places around it run as an angle from a mark on the butt end.
"""

from __future__ import annotations

from bisect import bisect_right
from dataclasses import dataclass
from itertools import pairwise
from math import pi

from culmwright.measure.display import Display
from culmwright.measure.lengths import Length
from culmwright.measure.record import si


@dataclass(frozen=True, slots=True)
class Girth:
    """What a caliper reads at one ``place`` along the culm: ``diameter`` and ``wall``, None where it was not taken."""

    place: Length
    diameter: Length
    wall: Length | None


@dataclass(frozen=True, slots=True)
class Defect:
    """A place that no finished strip should hold: from ``start`` to ``end`` along, ``around`` [rad] from and to.

    ``around`` None means all round the culm.
    """

    start: Length
    end: Length
    around: tuple[float, float] | None
    note: str

    def touches(self, left: float, right: float) -> bool:
        """True if it lies on the strip between the angles ``left`` and ``right`` [rad], both from 0 to 2 pi."""
        if self.around is None:
            return True
        start, end = self.around
        pieces = ((start, end),) if start <= end else ((start, 2 * pi), (0.0, end))
        return any((low < right and left < high) or (low == high and left <= low < right) for low, high in pieces)


@dataclass(frozen=True, slots=True)
class CulmLength:
    """A length the culm is sawn into: ``name``, from ``start`` to ``end`` along the culm.

    ``sections`` are the sections of a rod it is kept for, none if it may serve any.
    """

    name: str
    start: Length
    end: Length
    sections: tuple[str, ...] = ()

    @property
    def length(self) -> float:
        """End to end [m]."""
        return self.end.m - self.start.m


@dataclass(frozen=True, slots=True)
class Splitting:
    """How strips are parted: the ``kerf`` of a saw, and what a raw strip is wider than its widest finished face.

    That is ``over`` for roughing and ``wander`` of the split; ``given`` is False where the file says nothing of them.
    """

    kerf: Length
    over: Length
    wander: Length
    given: bool = True

    @property
    def allowance(self) -> float:
        """What a raw strip is wider than its widest finished face [m]."""
        return self.over.m + self.wander.m


@dataclass(frozen=True, slots=True)
class Culm:
    """A culm as its file says. ``moisture`` is the share of water in its dry mass [-]; ``mass`` [kg].

    ``girths`` stand in order from the butt end, ``nodes`` too; ``text`` of the file makes its ``digest``.
    """

    label: str
    note: str
    display: Display
    length: Length
    girths: tuple[Girth, ...]
    nodes: tuple[Length, ...]
    defects: tuple[Defect, ...]
    mass: float | None
    moisture: float | None
    lengths: tuple[CulmLength, ...]
    splitting: Splitting
    warnings: tuple[str, ...]
    digest: str

    def diameter_at(self, place: float) -> float:
        """Outside diameter [m] at ``place`` [m]: straight between the places it was measured at."""
        return _between(tuple((one.place.m, one.diameter.m) for one in self.girths), place)

    def wall_at(self, place: float) -> float | None:
        """Thickness of the wall [m] at ``place`` [m]; None where no wall was measured."""
        known = tuple((one.place.m, one.wall.m) for one in self.girths if one.wall is not None)
        return _between(known, place) if known else None

    def nodes_in(self, length: CulmLength) -> tuple[Length, ...]:
        """The nodes of one of its lengths, in order from the butt end."""
        return tuple(one for one in self.nodes if length.start.nanometres < one.nanometres < length.end.nanometres)

    def narrowest(self, length: CulmLength) -> float:
        """Least diameter [m] of one of its lengths."""
        inside = [one.place.m for one in self.girths if length.start.m < one.place.m < length.end.m]
        return min(self.diameter_at(place) for place in (length.start.m, *inside, length.end.m))


@dataclass(frozen=True, slots=True)
class Spacing:
    """How far apart a culm's nodes stand [m]: the closest two, the mean, the widest two."""

    least: float = si("m")
    mean: float = si("m")
    most: float = si("m")


def spacing(places: tuple[Length, ...]) -> Spacing | None:
    """The spacing of nodes at ``places`` [m]; None with fewer than two."""
    if len(places) < 2:
        return None
    gaps = [b.m - a.m for a, b in pairwise(places)]
    return Spacing(min(gaps), sum(gaps) / len(gaps), max(gaps))


def _between(points: tuple[tuple[float, float], ...], x: float) -> float:
    """The value at ``x`` on straight lines between ``points``, level beyond the first and the last."""
    i = bisect_right([place for place, _ in points], x)
    if i == 0:
        return points[0][1]
    if i == len(points):
        return points[-1][1]
    (x0, y0), (x1, y1) = points[i - 1], points[i]
    return y0 + (y1 - y0) * (x - x0) / (x1 - x0)

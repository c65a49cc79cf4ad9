"""What a rod carries: its own cane and varnish, ferrules, guides, and the line, each a named load.

Places are distances from the tip [m]; masses [kg]. Only what the rod file lists is carried.
"""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Callable
from dataclasses import dataclass
from functools import cached_property
from itertools import pairwise
from math import sqrt

from culmwright.design.line_standard import line_density, line_mass
from culmwright.design.polygon import apothem, area
from culmwright.design.rod import Rod, Section


@dataclass(frozen=True, slots=True)
class PointLoad:
    """A mass [kg] at one place [m]."""

    name: str
    place: float
    mass: float

    def mass_outboard(self, x: float) -> float:
        """Mass [kg] nearer the tip than ``x`` [m]."""
        return self.mass if self.place < x else 0.0

    def moment_arm(self, x: float) -> float:
        """Mass times distance [kg m] about ``x`` [m] from the tip: ``m (x - place)``, nothing inboard."""
        return self.mass * max(x - self.place, 0.0)


@dataclass(frozen=True)
class SpreadLoad:
    """A mass per length [kg/m] between ``breaks`` [m], at most quadratic between two neighbouring breaks.

    Two-point Gauss quadrature is exact for cubics, so masses and moments of a piecewise linear taper are exact.
    """

    name: str
    breaks: tuple[float, ...]
    density: Callable[[float], float]

    def mass_outboard(self, x: float) -> float:
        """Mass [kg] nearer the tip than ``x`` [m]."""
        return self._sums(x)[0]

    def moment_arm(self, x: float) -> float:
        """Mass times distance [kg m] about ``x`` [m] from the tip: the integral of ``mu (x - place)``."""
        mass, moment = self._sums(x)
        return mass * x - moment

    def _sums(self, x: float) -> tuple[float, float]:
        """Integrals of ``mu`` [kg] and ``mu place`` [kg m] from the tip to ``x`` [m]."""
        i = min(bisect_right(self.breaks, x), len(self.breaks)) - 1
        if i < 0:
            return 0.0, 0.0
        mass, moment = self._before[i]
        if i + 1 < len(self.breaks):
            more = self._between(self.breaks[i], x)
            mass, moment = mass + more[0], moment + more[1]
        return mass, moment

    @cached_property
    def _before(self) -> tuple[tuple[float, float], ...]:
        """The sums up to every break."""
        sums = [(0.0, 0.0)]
        for low, high in pairwise(self.breaks):
            mass, moment = self._between(low, high)
            sums.append((sums[-1][0] + mass, sums[-1][1] + moment))
        return tuple(sums)

    def _between(self, low: float, high: float) -> tuple[float, float]:
        """Both integrals over a stretch without a break in it, by two-point Gauss quadrature."""
        half = (high - low) / 2
        mass = moment = 0.0
        for point in (low + half * (1 - 1 / sqrt(3)), low + half * (1 + 1 / sqrt(3))):
            weight = half * self.density(point)
            mass += weight
            moment += weight * point
        return mass, moment


Load = PointLoad | SpreadLoad


def own_loads(rod: Rod, cane_area: Callable[[int, float], float] = area, tip: int = 1) -> tuple[Load, ...]:
    """Cane, varnish, listed ferrules and listed guides [kg] of the rod with tip number ``tip``.

    ``cane_area`` gives the section's area [m^2] from sides and bare apothem [m].
    """
    sections = rod.assembled(tip)
    breaks = (0.0, *(station.m for section in sections for station in section.stations[1:]))
    n, v = rod.sides, rod.varnish.m

    def cane(x: float) -> float:
        across = across_at(sections, x)
        left = cane_area(n, rod.bare_apothem(across)) - cane_area(n, rod.void_apothem(x, across))
        return rod.cane.density.value * left

    def varnish(x: float) -> float:
        outside = apothem(n, across_at(sections, x))
        return rod.varnish_density.value * (area(n, outside) - area(n, outside - v))

    hollow = {one.m for one in rod.hollow.breaks()} if rod.hollow else set()
    loads: list[Load] = [SpreadLoad("cane", tuple(sorted({*breaks, *hollow})) if hollow else breaks, cane)]
    if v:
        loads.append(SpreadLoad("varnish", breaks, varnish))
    for number, ferrule in enumerate(rod.ferrules, 1):
        if ferrule.mass is not None:
            name = "ferrule" if len(rod.ferrules) == 1 else f"ferrule {number}"
            loads.append(PointLoad(name, ferrule.station.m, ferrule.mass))
    for number, guide in enumerate(rod.guides):
        if guide.mass is not None:
            loads.append(
                PointLoad(f"guide {number}" if guide.station.nanometres else "tip-top", guide.station.m, guide.mass)
            )
    return tuple(loads)


def line_loads(rod: Rod) -> tuple[Load, ...]:
    """The line of the rod's number [kg]: its standard 30 ft at the tip, and what lies in the guides listed."""
    if rod.line is None:
        return ()
    loads: list[Load] = [PointLoad("line beyond the tip", 0.0, line_mass(rod.line))]
    if rod.guides:
        per_length, last = line_density(rod.line), rod.guides[-1].station.m
        loads.append(SpreadLoad("line in the guides", (0.0, last), lambda x: per_length))
    return tuple(loads)


def across_at(sections: tuple[Section, ...], x: float) -> float:
    """Across [m] of an assembled rod at ``x`` [m] from the tip; at a joint, that of the piece nearer the butt."""
    for section in reversed(sections):
        if x >= section.start.m:
            return section.taper.at(x)
    return sections[0].taper.at(x)

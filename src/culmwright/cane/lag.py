"""How far the cane in an oven lags behind the oven's air.

A strip, or a bundle of them, takes its heat from the air about it and carries it inward. One time constant stands for
both, ``T = rho c V/(h S) + R^2/(5.783 a)``: what the air gives through the surface, and the slowest mode of a round bar
(H. S. Carslaw, J. C. Jaeger, *Conduction of Heat in Solids*, 7.6). Then ``cane = oven - (oven - start) exp(-t/T)``.
Water that still has to boil off holds the cane back longer, and an oven full of strips heats slowly itself.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from math import log, sin, tan

from culmwright.measure.band import Band
from culmwright.measure.record import si

DENSITY = Band(1000.0, 1156.0)  # [kg/m^3] cane, the trade's constant 0.668 oz/in^3 on top
TO_STILL_AIR = Band(8.0, 16.0)
TO_MOVED_AIR = Band(18.0, 40.0)
"""Heat the air and the walls give [W/(m^2 K)] in an oven, without and with a fan (from memory, usual figures)."""
DIFFUSIVITY = Band(1.0e-7, 1.8e-7)  # [m^2/s] of heat in wood across the grain, *Wood Handbook*, ch. 4
SLOWEST_ROUND = 5.783  # [-] square of the first zero of the Bessel function J0
WITHIN = 3.0
"""Cane this near to the oven [K] counts as being at its temperature (own choice)."""


def heat_capacity(temperature: float) -> float:
    """Heat a kilogram of dry wood takes a kelvin [J/(kg K)] at ``temperature`` [K].

    ``c = 103.1 + 3.867 T``: *Wood Handbook*, FPL-GTR-282 (2021), ch. 4.
    """
    return 103.1 + 3.867 * temperature


@dataclass(frozen=True, slots=True)
class Body:
    """What lies in the oven, in a ``word``: strips of a ``height``; its volume by its surface is its ``depth``, and a
    bar as thick has the ``radius``.
    """

    word: str
    height: float = si("m")
    depth: float = si("m")
    radius: float = si("m")


def one_strip(height: float, apex: float) -> Body:
    """A strip ``height`` [m] high with an ``apex`` angle [rad] lying free: area by the length of its three sides."""
    half = height * tan(apex / 2)
    depth = half * height / (2 * half + 2 * half / sin(apex / 2))
    return Body("a strip lying free", height, depth, 2 * depth)


def bundle(height: float, sides: int) -> Body:
    """Strips ``height`` [m] high bound together as one section, their enamel outside: a bar of ``sides`` flats."""
    return Body(f"{sides} strips bound together", height, height / 2, height)


@dataclass(frozen=True, slots=True)
class Lag:
    """How ``body`` at ``start`` follows an oven at ``oven``: its time ``constant``, the sum of what its ``surface`` and
    its ``core`` take.

    ``capacity`` is its heat capacity [J/(kg K)]; ``give`` [W/(m^2 K)] what the air gives.
    """

    body: Body
    start: float = si("K")
    oven: float = si("K")
    surface: Band = si("s")
    core: Band = si("s")
    capacity: float = field(metadata={"hidden": True}, kw_only=True)
    give: Band = field(metadata={"hidden": True}, kw_only=True)

    @property
    def constant(self) -> Band:
        """Its time constant [s]."""
        return Band(self.surface.low + self.core.low, self.surface.top + self.core.top)

    @property
    def steps(self) -> float:
        """How many time constants [-] until it is within 3 K of the oven: ``ln(|oven - start|/3 K)``, 0 where it is."""
        return log(max(abs(self.oven - self.start) / WITHIN, 1.0))

    @property
    def behind(self) -> Band:
        """How long [s] until the cane is within 3 K of the oven; 0 where it is."""
        return Band(self.constant.low * self.steps, self.constant.top * self.steps)


def lag(body: Body, start: float, oven: float, *, fan: bool) -> Lag:
    """How a ``body`` at ``start`` [K] follows an oven at ``oven`` [K], with or without a ``fan`` that moves its air."""
    c = heat_capacity((start + oven) / 2)
    give = TO_MOVED_AIR if fan else TO_STILL_AIR
    surface = Band(
        DENSITY.low * c * body.depth / give.top,
        DENSITY.top * c * body.depth / give.low,
    )
    core = Band(
        body.radius**2 / (SLOWEST_ROUND * DIFFUSIVITY.top),
        body.radius**2 / (SLOWEST_ROUND * DIFFUSIVITY.low),
    )
    return Lag(body, start, oven, surface, core, capacity=c, give=give)

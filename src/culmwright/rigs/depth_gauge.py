"""The depth gauge of a groove: how far its worn or rounded point stays above the virtual vertex of the walls.

The gauge slides across the bars with its axis upright. ``p`` and ``q`` are the walls' angles from the horizontal: 60/60
for six sides, 54/72 for five, 45/90 for four. Walls that differ lean the groove's bisector, and what fits between them
upright is not what fits along the bisector. In an open groove the walls end ``slot`` above their vertex, and a small
point reaches between their edges. Plane geometry.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import cos, degrees, pi, sin, sqrt, tan

from culmwright.rigs.vblock import pin_top_uneven

CLOSE = 0.0009  # [rad] a twentieth of a degree: a cone blunter by no more is 0.2 thou amiss at 0.15 in (own choice)
LEAST = 0.087  # [rad] half of the sharpest cone a rig file takes: less room is none


@dataclass(frozen=True, slots=True)
class ConePoint:
    """A cone of ``angle`` [rad] whose point is a flat ``flat`` [m] across; a sharp one has a flat of 0."""

    angle: float
    flat: float = 0.0

    def short(self, p: float, q: float, slot: float = 0.0) -> float | None:
        """How much too shallow [m] it reads between walls of ``p`` and ``q`` [rad]; None where it wedges on a lip.

        It stands on the rim of its flat, where the groove is as wide: ``e/(cot p + cot q)``, which is
        ``(e/2)/tan(gamma/2)`` between equal walls. Where they end above that, ``slot`` [m] over their vertex and
        ``g = slot (cot p + cot q)`` apart, it stands on their edges: ``slot - (g - e)/(2 tan(angle/2))``.
        """
        if not self.fits(p, q):
            return None
        rim = self.least_depth(p, q)
        return rim if slot <= rim else slot - (_gap(p, q, slot) - self.flat) / 2 / tan(self.angle / 2)

    def least_depth(self, p: float, q: float) -> float:
        """Depth [m] a groove of walls ``p`` and ``q`` [rad] needs to hold the rim of its flat."""
        return self.flat / _gap(p, q, 1.0)

    def fits(self, p: float, q: float) -> bool:
        """True if the point reaches the root: it leans to neither side, so each wall needs room for half of it.

        ``angle/2 <= 90 deg - p`` and ``angle/2 <= 90 deg - q`` [rad]: beside an upright wall no cone does.
        """
        return self.angle / 2 <= _room(p, q) + CLOSE

    def warnings(self, p: float, q: float) -> tuple[str, ...]:
        """What is wrong with this point between walls of ``p`` and ``q`` [rad]."""
        if self.fits(p, q):
            return ()
        room, steep = _room(p, q), f"{degrees(max(p, q)):.4g} deg"
        remedy = "take a ball" if room < LEAST else f"take one of {degrees(2 * room):.4g} deg or less, or a ball"
        return (
            f"a point of {degrees(self.angle):.4g} deg does not reach the root beside a wall of {steep}: it stands "
            f"upright and wedges on the wall's lip, and what it shows tells no depth; {remedy}",
        )


@dataclass(frozen=True, slots=True)
class BallPoint:
    """A ball of ``radius`` [m]."""

    radius: float

    def short(self, p: float, q: float, slot: float = 0.0) -> float | None:
        """How much too shallow [m] it reads between walls of ``p`` and ``q`` [rad]; None where it drops through.

        It lies in the groove like a pin: ``r [cos((p - q)/2)/sin(gamma/2) - 1]``. Where the walls end higher than it
        would touch them, ``slot`` [m] over their vertex, it lies on an edge and the steeper wall, or on both edges.
        """
        r, low, steep = self.radius, min(p, q), max(p, q)
        if slot <= self._up(p, q) * sin(low):
            return pin_top_uneven(r, pi / 2 - p, pi / 2 - q) - 2 * r
        gap = _gap(p, q, slot)
        if gap >= 2 * r:
            return None
        # The shallower wall's edge, along the steeper wall and square to it; the ball's centre is r from both.
        along = slot * (sin(steep) - cos(steep) / tan(low))
        square = slot * (cos(steep) + sin(steep) / tan(low))
        touch = along + sqrt(square * (2 * r - square))
        if touch * sin(steep) >= slot:
            return touch * sin(steep) + r * cos(steep) - r
        return slot + sqrt(r**2 - gap**2 / 4) - r

    def least_depth(self, p: float, q: float) -> float:
        """Depth [m] a groove of walls ``p`` and ``q`` [rad] needs to hold the ball, highest on the steeper wall."""
        return self._up(p, q) * sin(max(p, q))

    def _up(self, p: float, q: float) -> float:
        """How far up each wall it touches [m]: ``r/tan(gamma/2)``."""
        return self.radius / tan((pi - p - q) / 2)

    def warnings(self, p: float, q: float) -> tuple[str, ...]:
        """Nothing: a ball touches both walls, whatever ``p`` and ``q`` [rad], of any groove that is deep enough."""
        return ()


Point = ConePoint | BallPoint


def _room(p: float, q: float) -> float:
    """Between the vertical and the steeper wall [rad]."""
    return pi / 2 - max(p, q)


def _gap(p: float, q: float, height: float) -> float:
    """How far apart the walls are [m] at a ``height`` [m] above their vertex."""
    return height * (1 / tan(p) + 1 / tan(q))

"""The depth gauge of a groove: how far its worn or rounded point stays above the virtual vertex of the walls.

``gamma`` is the angle of the groove. Plane geometry.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import degrees, sin, tan


@dataclass(frozen=True, slots=True)
class ConePoint:
    """A cone of ``angle`` [rad] whose point is a flat ``flat`` [m] across; a sharp one has a flat of 0."""

    angle: float
    flat: float = 0.0

    def short(self, gamma: float) -> float:
        """How much too shallow [m] it reads in a groove of ``gamma`` [rad].

        A cone sharper than the groove or of its angle stands on the rim of its flat: ``(e/2)/tan(gamma/2)``.
        """
        return self.flat / 2 / tan(gamma / 2)

    def least_depth(self, gamma: float, steepest: float) -> float:
        """Depth [m] a groove of ``gamma`` [rad] needs, its ``steepest`` wall so steep [rad], to hold the rim."""
        return self.flat / 2 / sin(gamma / 2) * sin(steepest)

    def fits(self, gamma: float) -> bool:
        """True if the point reaches into a groove of ``gamma`` [rad]: a cone blunter than it wedges above."""
        return self.angle <= gamma + 1e-6

    def warnings(self, gamma: float) -> tuple[str, ...]:
        """What is wrong with this point in a groove of ``gamma`` [rad]."""
        if self.fits(gamma):
            return ()
        return (
            f"a point of {degrees(self.angle):.4g} deg does not fit a groove of {degrees(gamma):.4g} deg: it wedges "
            "above the root and every depth is wrong; take a sharper point or a ball",
        )


@dataclass(frozen=True, slots=True)
class BallPoint:
    """A ball of ``radius`` [m]."""

    radius: float

    def short(self, gamma: float) -> float:
        """How much too shallow [m] it reads in a groove of ``gamma`` [rad]: ``r (1/sin(gamma/2) - 1)``."""
        return self.radius * (1 / sin(gamma / 2) - 1)

    def least_depth(self, gamma: float, steepest: float) -> float:
        """Depth [m] a groove of ``gamma`` [rad] needs to hold the ball, its ``steepest`` wall so steep [rad].

        The ball touches ``r/tan(gamma/2)`` up each wall.
        """
        return self.radius / tan(gamma / 2) * sin(steepest)

    def warnings(self, gamma: float) -> tuple[str, ...]:
        """Nothing: a ball touches both walls of any groove of ``gamma`` [rad] that is deep enough."""
        return ()


Point = ConePoint | BallPoint

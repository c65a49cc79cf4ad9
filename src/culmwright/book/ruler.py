"""The ruler of a page: one horizontal axis along the rod, shared by the drawing and every chart below it."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Ruler:
    """Places along a rod of ``length`` [m] on a sheet ``width`` points wide, tip at the left.

    ``left`` and ``right`` are the margins [pt] kept for the scale's figures; one unit of a picture is one point.
    """

    length: float
    width: float
    left: float = 46.0
    right: float = 12.0

    @property
    def span(self) -> float:
        """Length of the axis on paper [pt]."""
        return self.width - self.left - self.right

    @property
    def scale(self) -> float:
        """Points of paper for a metre of rod [pt/m]."""
        return self.span / self.length

    def x(self, station: float) -> float:
        """Place on the sheet [pt] of ``station`` [m]."""
        return self.left + station * self.scale

    def ticks(self, step: float) -> tuple[float, ...]:
        """Stations [m] at every ``step`` [m], ends included when they fall on one."""
        return tuple(i * step for i in range(int(self.length / step + 1e-9) + 1))

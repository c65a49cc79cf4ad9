"""Line drawings in SVG: black on white, one unit one point, so that text printed from them keeps its size."""

from __future__ import annotations

from collections.abc import Iterable
from html import escape
from math import atan2, cos, sin

POINTS = 72 / 0.0254  # points of paper in a metre
FONT = "Source Sans Pro"
SIZE = 10.0


class Sheet:
    """An SVG being drawn, in points."""

    def __init__(self, width: float, height: float) -> None:
        self.width, self.height = width, height
        self.parts: list[str] = []

    def line(self, x1: float, y1: float, x2: float, y2: float, width: float = 0.6, dash: str = "") -> None:
        """A straight line."""
        dashed = f' stroke-dasharray="{dash}"' if dash else ""
        self.parts.append(
            f'<line x1="{x1:.2f}" y1="{y1:.2f}" x2="{x2:.2f}" y2="{y2:.2f}" '
            f'stroke="#000" stroke-width="{width}"{dashed}/>'
        )

    def shape(self, points: Iterable[tuple[float, float]], fill: str = "none", width: float = 0.7) -> None:
        """A closed outline."""
        path = " ".join(f"{x:.2f},{y:.2f}" for x, y in points)
        self.parts.append(f'<polygon points="{path}" fill="{fill}" stroke="#000" stroke-width="{width}"/>')

    def text(self, x: float, y: float, words: str, anchor: str = "start", weight: int = 400) -> None:
        """Words at a place."""
        self.parts.append(
            f'<text x="{x:.2f}" y="{y:.2f}" font-family="{FONT}" font-size="{SIZE}" font-weight="{weight}" '
            f'text-anchor="{anchor}">{escape(words)}</text>'
        )

    def path(self, steps: str, fill: str = "none", width: float = 0.8, dash: str = "") -> None:
        """A path in SVG's own steps."""
        dashed = f' stroke-dasharray="{dash}"' if dash else ""
        self.parts.append(f'<path d="{steps}" fill="{fill}" stroke="#000" stroke-width="{width}"{dashed}/>')

    def dimension(self, x1: float, y1: float, x2: float, y2: float) -> None:
        """A dimension line with an arrow head at each end."""
        self.line(x1, y1, x2, y2, 0.6)
        along = atan2(y2 - y1, x2 - x1)
        for x, y, turn in ((x1, y1, along), (x2, y2, along + 3.141592653589793)):
            for side in (-0.35, 0.35):
                self.line(x, y, x + 6 * cos(turn + side), y + 6 * sin(turn + side), 0.6)

    def svg(self) -> str:
        """The whole picture."""
        return (
            f'<svg xmlns="http://www.w3.org/2000/svg" width="{self.width:.2f}" height="{self.height:.2f}" '
            f'viewBox="0 0 {self.width:.2f} {self.height:.2f}">{"".join(self.parts)}</svg>'
        )

"""The rod drawn to scale: true proportion, a side view with its thickness exaggerated, and sections at true size.

Black on white in SVG, one unit one point, so that text printed from it keeps its size. Gets finished lengths
[m] and draws them; it computes no dimension of the rod.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import cos, pi, sin

from culmwright.book.ruler import Ruler
from culmwright.book.svg import POINTS, Sheet
from culmwright.measure.display import Display


@dataclass(frozen=True, slots=True)
class Joint:
    """A ferrule on the drawing: its ``station`` [m], ``bore`` [m] and a short ``label``."""

    station: float
    bore: float
    label: str


@dataclass(frozen=True, slots=True)
class DrawnRod:
    """What the drawing shows. ``outline`` is (station, thickness) [m] tip to butt; ``grip`` its clamped length [m].

    ``sections`` are (station, apothem over varnish) [m] of the sections drawn at true size; ``guides`` stations [m].
    """

    sides: int
    outline: tuple[tuple[float, float], ...]
    grip: float
    joints: tuple[Joint, ...]
    guides: tuple[float, ...]
    sections: tuple[tuple[float, float], ...]
    tick: float


def exaggeration(rod: DrawnRod, ruler: Ruler) -> int:
    """How many times its true proportion the side view's thickness is drawn, so that it fills 62 pt."""
    thickest = max(thickness for _, thickness in rod.outline)
    return max(int(62.0 / (thickest * ruler.scale)), 1)


def draw(rod: DrawnRod, ruler: Ruler, show: Display, *, full: bool = True) -> str:
    """The drawing as SVG: the side view on its axis; with ``full`` also true proportion and true-size sections."""
    times = exaggeration(rod, ruler)
    sheet = Sheet(ruler.width, 224.0 if full else 134.0)
    y = 14.0
    if full:
        scale = POINTS / ruler.scale
        sheet.text(ruler.x(0), y - 2, f"tip · to scale 1 : {scale:.1f}")
        sheet.text(ruler.x(ruler.length), y - 2, "butt", "end")
        y += 12
        sheet.shape(_outline(rod, ruler, y, 1), fill="#000", width=0.2)
        y += 20
    sheet.text(ruler.x(0), y, f"side view · thickness drawn {times} times its proportion")
    middle = y + 52
    _side_view(sheet, rod, ruler, middle, times)
    axis = middle + 50
    _axis(sheet, rod, ruler, axis, show)
    if full:
        _sections(sheet, rod, ruler, axis + 62)
    return sheet.svg()


def _outline(rod: DrawnRod, ruler: Ruler, middle: float, times: float) -> list[tuple[float, float]]:
    top = [(ruler.x(s), middle - t / 2 * ruler.scale * times) for s, t in rod.outline]
    return top + [(x, 2 * middle - y) for x, y in reversed(top)]


def _side_view(sheet: Sheet, rod: DrawnRod, ruler: Ruler, middle: float, times: float) -> None:
    sheet.shape(_outline(rod, ruler, middle, times), fill="#eee")
    end = rod.outline[-1][1] / 2 * ruler.scale * times
    if rod.grip:
        left, right = ruler.x(ruler.length - rod.grip), ruler.x(ruler.length)
        top = middle - end - 5
        sheet.parts.append(
            f'<rect x="{left:.2f}" y="{top:.2f}" width="{right - left:.2f}" height="{2 * (end + 5):.2f}" rx="7" '
            'fill="none" stroke="#000" stroke-width="0.7" stroke-dasharray="4 3"/>'
        )
        sheet.text((left + right) / 2, top - 4, "grip", "middle")
    for joint in rod.joints:
        half = joint.bore / 2 * ruler.scale * times + 4
        x = ruler.x(joint.station)
        sheet.shape(
            [(x - 7, middle - half), (x + 7, middle - half), (x + 7, middle + half), (x - 7, middle + half)], "#fff"
        )
        sheet.line(x, middle - half, x, middle + half)
        sheet.text(x, middle - half - 4, joint.label, "middle")
    for station in rod.guides:
        below = middle + _half_at(rod, station) * ruler.scale * times
        x = ruler.x(station)
        sheet.line(x, below, x, below + 4)
        sheet.parts.append(
            f'<circle cx="{x:.2f}" cy="{below + 6.5:.2f}" r="2.5" fill="none" stroke="#000" stroke-width="0.8"/>'
        )


def _half_at(rod: DrawnRod, station: float) -> float:
    for (s0, t0), (s1, t1) in zip(rod.outline, rod.outline[1:], strict=False):
        if s0 <= station <= s1 and s1 > s0:
            return (t0 + (t1 - t0) * (station - s0) / (s1 - s0)) / 2
    return rod.outline[-1][1] / 2


def _axis(sheet: Sheet, rod: DrawnRod, ruler: Ruler, y: float, show: Display) -> None:
    sheet.line(ruler.x(0), y, ruler.x(ruler.length), y, 0.8)
    ticks = ruler.ticks(rod.tick)
    every = 2 if len(ticks) > 12 else 1
    for i, station in enumerate(ticks):
        named = i % every == 0
        sheet.line(ruler.x(station), y, ruler.x(station), y + (6 if named else 4))
        if named:
            sheet.text(ruler.x(station), y + 17, show.station.number(station), "middle")
    sheet.text(ruler.x(0) - 12, y + 17, show.station.unit, "end")


def _sections(sheet: Sheet, rod: DrawnRod, ruler: Ruler, middle: float) -> None:
    sheet.text(ruler.x(0), middle - 22, "sections at true size, over varnish")
    free = 0.0
    for station, apothem in rod.sections:
        radius = apothem / cos(pi / rod.sides) * POINTS
        x = min(ruler.x(station), ruler.width - radius - 0.5)  # the thick end stays on the paper
        if x - radius < free:
            continue
        free = x + radius + 1.5
        sheet.shape(polygon(rod.sides, x, middle, radius), fill="#eee", width=0.5)


def polygon(sides: int, x: float, y: float, radius: float) -> Sequence[tuple[float, float]]:
    """Corners [pt] of a regular polygon standing on a flat."""
    turn = pi / 2 + pi / sides
    return [
        (x + radius * cos(turn + 2 * pi * i / sides), y + radius * sin(turn + 2 * pi * i / sides)) for i in range(sides)
    ]

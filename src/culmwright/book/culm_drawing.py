"""A culm drawn along its own axis, butt end at the left: outline, nodes, defects, and where it is sawn into lengths.

Gets finished lengths [m] and draws them; thickness is exaggerated and says by how much.
"""

from __future__ import annotations

from itertools import pairwise

from culmwright.book.layout_drawing import LETTER, hatch
from culmwright.book.ruler import Ruler
from culmwright.book.svg import Sheet
from culmwright.cane.culm import Culm
from culmwright.measure.display import Display

TALL = 40.0  # [pt] of the thick end on paper
STEPS = {"in": (12, 6, 24, 36), "mm": (250, 100, 500, 1000)}  # units of the display between two figures of the axis


def culm_view(culm: Culm, ruler: Ruler, show: Display) -> str:
    """The culm as SVG: outline and wall, nodes as rules across, defects hatched, cuts as heavy rules."""
    along = Ruler(culm.length.m, ruler.width, 12.0, 28.0)
    times = exaggeration(culm, along)
    sheet = Sheet(ruler.width, TALL + 94)
    middle = 34 + TALL / 2
    places = sorted({0.0, culm.length.m, *(one.place.m for one in culm.girths)})

    def half(place: float) -> float:
        return culm.diameter_at(place) / 2 * along.scale * times

    top = [(along.x(place), middle - half(place)) for place in places]
    sheet.shape([*top, *((x, 2 * middle - y) for x, y in reversed(top))], "#fff", 0.8)
    if culm.wall_at(0.0) is not None:
        for side in (-1, 1):
            inner = [
                (along.x(p), middle + side * (half(p) - (culm.wall_at(p) or 0.0) * along.scale * times)) for p in places
            ]
            for (x1, y1), (x2, y2) in pairwise(inner):
                sheet.line(x1, y1, x2, y2, 0.4, "3 2")
    for node in culm.nodes:
        x = along.x(node.m)
        sheet.line(x, middle - half(node.m) - 2, x, middle + half(node.m) + 2, 1.0)
    for one in culm.defects:
        reach = half((one.start.m + one.end.m) / 2)
        low, high = along.x(one.start.m), max(along.x(one.end.m), along.x(one.start.m) + 2)
        hatch(sheet, low, high, middle - reach, middle + (reach if one.around is None else 0.0))
    free = 0.0
    for piece in culm.lengths:
        left, right = along.x(piece.start.m), along.x(piece.end.m)
        for x in (left, right):
            sheet.line(x, 16, x, middle + TALL / 2 + 8, 1.4)
        words = piece.name + (f" for {', '.join(piece.sections)}" if piece.sections else "")
        if LETTER * len(words) > right - left:
            words = piece.name
        at = max((left + right) / 2, free + LETTER * len(words) / 2)
        free = at + LETTER * len(words) / 2 + 3
        sheet.text(at, 12, words, "middle")
    _axis(sheet, culm, along, middle + TALL / 2 + 14, show)
    sheet.text(12, middle + TALL / 2 + 48, f"butt end at the left · thickness drawn {times} times its proportion")
    return sheet.svg()


def exaggeration(culm: Culm, along: Ruler) -> int:
    """How many times its true proportion the culm is drawn thick."""
    thickest = max(one.diameter.m for one in culm.girths)
    return max(int(TALL / (thickest * along.scale)), 1)


def _axis(sheet: Sheet, culm: Culm, along: Ruler, y: float, show: Display) -> None:
    sheet.line(along.x(0.0), y, along.x(culm.length.m), y, 0.8)
    step = next(
        (one for one in STEPS[show.bare] if one * show.station.si * along.scale > LETTER * 7), STEPS[show.bare][-1]
    )
    for place in along.ticks(step * show.station.si):
        sheet.line(along.x(place), y, along.x(place), y + 5)
        sheet.text(along.x(place), y + 17, show.station.number(place), "middle")
    sheet.text(along.x(culm.length.m) + 6, y + 4, show.station.unit)

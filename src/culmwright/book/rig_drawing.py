"""Rigs as schematic sections, to scale with their walls' angles: grooves with a strip in, a bed under its cutter."""

from __future__ import annotations

from dataclasses import dataclass
from math import degrees, tan

from culmwright.book.svg import POINTS, Sheet
from culmwright.design.strip import StripForm
from culmwright.measure.display import Display
from culmwright.rigs.rig import Groove

TALL = 62.0  # points a depth is drawn tall, at most
BAR = 60.0  # points of bar drawn beside a groove, at most
LEAST_BAR = 24.0
BELOW = 16.0  # points of bar drawn below its vertex


def enlargement(tall: float, wide: float, cell: float) -> int:
    """How many times full size [-] a section ``tall`` and ``wide`` [m] is drawn in a cell so wide [pt]."""
    return max(int(min(TALL / tall, (cell - 2 * LEAST_BAR - 8) / wide) / POINTS), 1)


@dataclass(frozen=True, slots=True)
class _Opened:
    """A groove opened at a place; lengths [m]."""

    groove: Groove
    zero: float
    depth: float

    @property
    def cots(self) -> tuple[float, float]:
        """Cotangents of the enamel's wall and the flank's [-]."""
        return 1 / tan(self.groove.enamel_wall), 1 / tan(self.groove.flank_wall)

    @property
    def wide(self) -> float:
        """Width at the top."""
        return self.depth * sum(self.cots)


def grooves_view(
    width: float, grooves: tuple[Groove, ...], place: float, opening: float, show: Display, words: str
) -> tuple[str, str]:
    """The grooves side by side on a picture ``width`` [pt] wide, and what it shows in words; lengths [m]."""
    opened = [_Opened(one, one.zero.at(place), one.zero.at(place) + one.depth_per_opening * opening) for one in grooves]
    cell = width / len(opened)
    deepest = max(one.depth for one in opened)
    times = enlargement(deepest, max(one.wide for one in opened), cell)
    y = 22 + deepest * times * POINTS
    sheet = Sheet(width, y + BELOW + 38)
    for i, one in enumerate(opened):
        _groove(sheet, one, times * POINTS, cell * (i + 0.5), cell, y, show)
    sheet.text(0, 10, f"Section {words}, {times} times full size; the thick side is the enamel")
    return sheet.svg(), f"Section through the groove{'s' if len(grooves) > 1 else ''} {words}, to scale"


def _groove(sheet: Sheet, one: _Opened, scale: float, middle: float, cell: float, y: float, show: Display) -> None:
    """Bars, walls down to the virtual vertex at height ``y``, and the strip that fills the groove."""
    hand = -1.0 if one.groove.mirrored else 1.0
    x = middle + hand * (one.cots[0] - one.cots[1]) / 2 * one.depth * scale
    bar = min(BAR, (cell - one.wide * scale) / 2 - 4)
    tall, slot = one.depth * scale, (one.depth - one.zero) * scale
    angles = (one.groove.enamel_wall, one.groove.flank_wall)
    for angle, cot, side in zip(angles, one.cots, (-hand, hand), strict=True):
        lip, end = x + side * tall * cot, x + side * (tall * cot + bar)
        bevel = (x + side * slot * cot, y - slot)
        sheet.shape(((end, y - tall), (lip, y - tall), bevel, (bevel[0], y + BELOW), (end, y + BELOW)), fill="#eee")
        sheet.line(*bevel, x, y, 0.5, "2 2")
        sheet.text(end, y + BELOW + 15, f"{degrees(angle):.4g} deg", "start" if side < 0 else "end")
    corners = ((x, y), (x - hand * tall * one.cots[0], y - tall), (x + hand * tall * one.cots[1], y - tall))
    sheet.shape(corners, fill="#fff", width=1.2)
    sheet.line(*corners[0], *corners[1], 2.6)
    sheet.text(middle, y + BELOW + 32, f"{one.groove.name}: depth {show.height(one.depth)}", "middle")
    inside = x + (corners[1][0] + corners[2][0] - 2 * x) / 6
    sheet.dimension(inside, y - tall, inside, y)


def bed_view(
    width: float, form: StripForm, height: float, lift: float, stop: float, show: Display, words: str
) -> tuple[str, str]:
    """A strip enamel down on the bed under the cutter's two edges on a picture ``width`` [pt] wide; lengths [m]."""
    times = enlargement(stop, form.face_width(height), width)
    scale = times * POINTS
    sheet = Sheet(width, stop * scale + 62)
    x, ground = width / 2, 24 + stop * scale
    half = form.face_width(height) / 2 * scale
    bed, side_room = ground - lift * scale, min(110.0, width / 2 - 100)
    sheet.line(x - side_room - 30, ground, x + side_room + 30, ground, 0.6, "4 3")
    sheet.text(x, ground + 32, "dashed: the bed's zero plane", "middle")
    sheet.shape(
        ((x - side_room, bed), (x + side_room, bed), (x + side_room, ground + 18), (x - side_room, ground + 18)),
        fill="#eee",
    )
    sheet.shape(((x - half, bed), (x + half, bed), (x, bed - height * scale)), fill="#fff", width=1.2)
    sheet.line(x - half, bed, x + half, bed, 2.6)
    apex, reach = ground - stop * scale, height * scale
    for side in (-1, 1):
        sheet.line(x, apex - 6, x + side * reach * tan(form.apex_angle / 2), apex + reach - 6, 1.6)
    sheet.dimension(x + side_room + 18, ground, x + side_room + 18, ground - stop * scale)
    sheet.text(x + side_room + 24, ground - stop * scale / 2, f"stop {show.height(stop)}")
    sheet.dimension(x - side_room - 12, ground, x - side_room - 12, bed)
    sheet.text(x - side_room - 18, (ground + bed) / 2 + 4, f"lift {show.height(lift)}", "end")
    sheet.text(x - half - 8, bed - height * scale / 2, f"strip {show.height(height)}", "end")
    sheet.text(0, 10, f"Section {words}, {times} times full size; the thick side is the enamel")
    said = f"Section through bed, strip and the cutter's two edges {words}, to scale; the enamel lies on the bed"
    return sheet.svg(), said

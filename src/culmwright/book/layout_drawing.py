"""A laid-out section drawn to scale: strips in ring order with nodes, forbidden zones and cut marks; and the ring.

Gets finished lengths [m] and draws them. The tip end is at the left, as everywhere.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from math import cos, pi, sin

from culmwright.book.culm_words import rule
from culmwright.book.rod_drawing import polygon
from culmwright.book.ruler import Ruler
from culmwright.book.svg import Sheet
from culmwright.cane.layout import Cut, KeptClear, SectionLayout
from culmwright.measure.display import Display

MARGIN = 10.0
BAR = 9.0  # [pt] a strip is drawn wide
ROW = 27.0  # [pt] from one strip to the next
PAPER, ROW_OF_PAGE = (400.0, 600.0), 36.0  # [pt] wide between these it is printed; pages have larger letters
HATCH = 5.0  # [pt] from one line of a hatching to the next
LETTER = 5.4  # [pt] about what a letter of the drawing takes
_Place = Callable[[float], float]
AXIS = {"in": 5, "mm": 100}  # units of the display between the figures of the axis


def strips_view(found: SectionLayout, start: float, ruler: Ruler, show: Display) -> str:
    """The strips of a section that begins at station ``start`` [m], each as it comes from the culm, as SVG."""
    half = found.trim / 2
    left = max(cut.from_tip for cut in found.cuts) + half
    right = max(cut.from_butt for cut in found.cuts) + half
    scale = (ruler.width - 2 * MARGIN) / (left + found.length + right)

    def x(place: float) -> float:
        return MARGIN + (left + place) * scale

    names = list(_names(found.kept_clear, x, ruler.width))
    top = 4.0 + 12.0 * len({row for *_, row in names})
    step = ROW if PAPER[0] < ruler.width < PAPER[1] else ROW_OF_PAGE
    sheet = Sheet(ruler.width, top + step * len(found.ring) + 28)
    for words, at, row in names:
        sheet.text(at, 10 + 12 * row, words, "middle")
    near = rule(show)
    for place, number in enumerate(found.ring, 1):
        cut = found.cuts[number]
        y = top + step * place - 12
        sheet.text(MARGIN, y - 6, f"{place}  {cut.strip}")
        _strip(sheet, found, cut, x, y)
        words = f"off the tip end {near.number(cut.from_tip)}, off the butt end {near(cut.from_butt)}"
        if ruler.width > LETTER * (len(words) + len(cut.strip) + 8):
            sheet.text(ruler.width - MARGIN, y - 6, words, "end")
    bottom = top + step * len(found.ring) + 6
    _axis(sheet, found.length, start, x, bottom, show)
    return sheet.svg()


def _names(zones: Sequence[KeptClear], x: _Place, width: float) -> Iterator[tuple[str, float, int]]:
    """What each zone is, where its name stands, and in which row, so that none covers another."""
    ends = [0.0, 0.0, 0.0]
    for one in sorted(zones, key=lambda zone: zone.start):
        words = one.why.removeprefix("a ").removeprefix("the ")
        wide = LETTER * len(words) / 2
        at = min(max((x(one.start) + x(one.end)) / 2, wide + 1), width - wide - 1)
        row = next((i for i, end in enumerate(ends) if at - wide > end), len(ends) - 1)
        ends[row] = at + wide + 4
        yield words, at, row


def _strip(sheet: Sheet, found: SectionLayout, cut: Cut, x: _Place, y: float) -> None:
    """A strip: what is cut off dashed, what stays solid, a mark at each cut, zones hatched, nodes as bars across."""
    half = found.trim / 2
    first, last = -half, found.length + half
    for low, high in ((first - cut.from_tip, first), (last, last + cut.from_butt)):
        if high > low:
            for level in (y, y + BAR):
                sheet.line(x(low), level, x(high), level, 0.5, "2 2")
            outer = low if low < first else high
            sheet.line(x(outer), y, x(outer), y + BAR, 0.5, "2 2")
    sheet.shape([(x(first), y), (x(last), y), (x(last), y + BAR), (x(first), y + BAR)], "#fff", 0.7)
    for zone in found.kept_clear:
        hatch(sheet, x(zone.start), x(zone.end), y, y + BAR)
    for end in (first, last):
        sheet.line(x(end), y - 3, x(end), y + BAR + 3, 1.4)
    for end in (0.0, found.length):
        sheet.line(x(end), y - 2, x(end), y + BAR + 2, 0.6, "3 2")
    for node in cut.nodes:
        sheet.shape(
            [
                (x(node) - 1.6, y - 2),
                (x(node) + 1.6, y - 2),
                (x(node) + 1.6, y + BAR + 2),
                (x(node) - 1.6, y + BAR + 2),
            ],
            "#000",
            0.2,
        )


def hatch(sheet: Sheet, left: float, right: float, top: float, bottom: float) -> None:
    """Slanting lines over a box, with its outline."""
    tall = bottom - top
    sheet.shape([(left, top), (right, top), (right, bottom), (left, bottom)], "none", 0.4)
    start = left - tall
    while start < right:
        low, high = max(start, left), min(start + tall, right)
        if low < high:
            sheet.line(low, bottom - (low - start), high, bottom - (high - start), 0.4)
        start += HATCH


def _axis(sheet: Sheet, length: float, start: float, x: _Place, y: float, show: Display) -> None:
    """Stations of the rod along the section."""
    sheet.line(x(0.0), y, x(length), y, 0.8)
    step = AXIS[show.bare] * show.station.si
    wide = (x(step) - x(0.0)) / (LETTER * 5)
    every = 1 if wide >= 1 else 2 if wide >= 0.5 else 4
    number = 0
    while number * step <= length + 1e-9:
        at = x(number * step)
        named = number % every == 0
        sheet.line(at, y, at, y + (6 if named else 4))
        if named:
            words = show.station.number(start + number * step)
            sheet.text(at, y + 17, words if number else f"{words} {show.station.unit}", "middle" if number else "start")
        number += 1


def ring_view(found: SectionLayout, width: float) -> str:
    """The section seen from its butt end: which strip lies where round the ring."""
    sides, radius = len(found.ring), 32.0
    sheet = Sheet(width, 2 * radius + 30)
    cx, cy = width / 2, radius + 15
    corners = list(polygon(sides, cx, cy, radius))
    sheet.shape(corners)
    for corner_x, corner_y in corners:
        sheet.line(cx, cy, corner_x, corner_y, 0.5)
    turn = pi / 2 + pi / sides
    for place, number in enumerate(found.ring, 1):
        along = turn + 2 * pi * (place - 0.5) / sides
        inner, outer = radius * cos(pi / sides) * 0.66, radius * cos(pi / sides) + 8
        sheet.text(cx + inner * cos(along), cy + inner * sin(along) + 3.5, str(place), "middle", 600)
        anchor = "middle" if abs(cos(along)) < 0.2 else "start" if cos(along) > 0 else "end"
        sheet.text(cx + outer * cos(along), cy + outer * sin(along) + 3.5, found.cuts[number].strip, anchor)
    return sheet.svg()

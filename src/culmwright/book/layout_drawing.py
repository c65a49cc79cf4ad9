"""A laid-out section drawn to scale: strips in ring order with nodes, forbidden zones and cut marks; and the ring.

Gets finished lengths [m] and draws them. The tip end is at the left, as everywhere.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from math import cos, pi, sin

from culmwright.book.culm_words import rule
from culmwright.book.rod_drawing import polygon
from culmwright.book.ruler import Ruler
from culmwright.book.svg import Sheet
from culmwright.cane.layout import Cut, KeptClear, SectionLayout
from culmwright.measure.display import Display

MARGIN = 10.0
UNIT = 20.0  # [pt] for the unit at the right end of the axis
HATCH = 5.0  # [pt] from one line of a hatching to the next
LETTER = 5.4  # [pt] about what a letter of the drawing takes on paper
SHOWN = 0.12  # of the section: as much of an offcut is drawn, what is longer is broken off
_Place = Callable[[float], float]
AXIS = {"in": 5, "mm": 100}  # units of the display between the figures of the axis


@dataclass(frozen=True, slots=True)
class _Size:
    """Sizes [pt]: a strip's ``bar``, the ``row`` it stands in, a ``letter``, a ``line`` of words, half the ``ring``."""

    bar: float
    row: float
    letter: float
    line: float
    ring: float


PAPER = (400.0, 600.0)  # [pt] wide between these it is printed; a phone is narrower, a desk wider
ON_PHONE, ON_PAPER, ON_DESK = _Size(9, 40, 6.2, 14, 40), _Size(9, 28, LETTER, 12, 34), _Size(13, 48, 7.6, 17, 52)


def _size(width: float) -> _Size:
    return ON_PHONE if width <= PAPER[0] else ON_PAPER if width < PAPER[1] else ON_DESK


def strips_view(found: SectionLayout, start: float, ruler: Ruler, show: Display) -> str:
    """The strips of a section that begins at station ``start`` [m], each as it comes from the culm, as SVG."""
    size = _size(ruler.width)
    half, most = found.trim / 2, SHOWN * found.length
    left = half + min(max(cut.from_tip for cut in found.cuts), most)
    right = half + min(max(cut.from_butt for cut in found.cuts), most)
    scale = (ruler.width - 2 * MARGIN - UNIT) / (left + found.length + right)

    def x(place: float) -> float:
        return MARGIN + (left + place) * scale

    names = list(_names(found.kept_clear, x, ruler.width, size))
    top = 4.0 + size.line * len({row for *_, row in names})
    sheet = Sheet(ruler.width, top + size.row * len(found.ring) + 30)
    for words, at, row in names:
        sheet.text(at, size.line * (row + 0.85), words, "middle")
    near = rule(show)
    for cut in found.cut_list:
        y = top + size.row * cut.line - size.bar
        sheet.text(MARGIN, y - 8, f"S{cut.line}  {cut.strip}", weight=600)
        _strip(sheet, found, cut, x, y, size.bar, most)
        words = f"off: tip {near.number(cut.from_tip)}, butt {near(cut.from_butt)}"
        if ruler.width > size.letter * (len(words) + len(cut.strip) + 8):
            sheet.text(ruler.width - MARGIN, y - 8, words, "end")
    bottom = top + size.row * len(found.ring) + 9
    _axis(sheet, found.length, start, x, bottom, show, size.letter)
    return sheet.svg()


def _names(zones: Sequence[KeptClear], x: _Place, width: float, size: _Size) -> Iterator[tuple[str, float, int]]:
    """What each zone is, where its name stands, and in which row, so that none covers another."""
    ends = [0.0, 0.0, 0.0]
    for one in sorted(zones, key=lambda zone: zone.start):
        words = one.why.removeprefix("a ").removeprefix("the ")
        wide = size.letter * len(words) / 2
        at = min(max((x(one.start) + x(one.end)) / 2, wide + 1), width - wide - 1)
        row = next((i for i, end in enumerate(ends) if at - wide > end), len(ends) - 1)
        ends[row] = at + wide + 4
        yield words, at, row


def _strip(sheet: Sheet, found: SectionLayout, cut: Cut, x: _Place, y: float, bar: float, most: float) -> None:
    """A strip: what is cut off dashed, broken beyond ``most`` [m]; what stays solid; cuts, hatched zones, node bars."""
    half = found.trim / 2
    first, last = -half, found.length + half
    for end, off, way in ((first, cut.from_tip, -1), (last, cut.from_butt, 1)):
        if off > 0:
            _offcut(sheet, x(end), x(end + way * min(off, most)), y, bar, broken=off > most)
    sheet.shape([(x(first), y), (x(last), y), (x(last), y + bar), (x(first), y + bar)], "#fff", 0.7)
    for zone in found.kept_clear:
        hatch(sheet, x(zone.start), x(zone.end), y, y + bar)
    for end in (first, last):
        sheet.line(x(end), y - 3, x(end), y + bar + 3, 1.4)
    for end in (0.0, found.length):
        sheet.line(x(end), y - 2, x(end), y + bar + 2, 0.6, "3 2")
    for node in cut.nodes:
        sheet.shape(
            [
                (x(node) - 1.6, y - 2),
                (x(node) + 1.6, y - 2),
                (x(node) + 1.6, y + bar + 2),
                (x(node) - 1.6, y + bar + 2),
            ],
            "#000",
            0.2,
        )


def _offcut(sheet: Sheet, inner: float, outer: float, y: float, bar: float, *, broken: bool) -> None:
    """What is cut off, dashed; two slanting strokes where it goes on further than it is drawn."""
    for level in (y, y + bar):
        sheet.line(inner, level, outer, level, 0.5, "2 2")
    if broken:
        for apart in (-2.0, 2.0):
            sheet.line(outer + apart - 2, y + bar + 3, outer + apart + 2, y - 3, 0.7)
    else:
        sheet.line(outer, y, outer, y + bar, 0.5, "2 2")


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


def _axis(sheet: Sheet, length: float, start: float, x: _Place, y: float, show: Display, letter: float) -> None:
    """Stations of the rod along the section, the unit at its right end."""
    sheet.line(x(0.0), y, x(length), y, 0.8)
    step = AXIS[show.bare] * show.station.si
    widest = letter * (len(show.station.number(start + length)) + 1)
    every = next(one for one in (1, 2, 5, 10, 20, 50) if one * (x(step) - x(0.0)) >= widest or one == 50)
    for number in range(int(length / step + 1e-9) + 1):
        at, named = x(number * step), number % every == 0
        sheet.line(at, y, at, y + (6 if named else 4))
        if named:
            sheet.text(at, y + 19, show.station.number(start + number * step), "middle")
    sheet.text(x(length) + 6, y + 4, show.station.unit)


def ring_view(found: SectionLayout, width: float) -> str:
    """The section seen from its butt end: which strip lies where round the ring."""
    sides, size = len(found.ring), _size(width)
    radius = size.ring
    sheet = Sheet(width, 2 * (radius + size.line + 4))
    cx, cy = width / 2, radius + size.line + 4
    corners = list(polygon(sides, cx, cy, radius))
    sheet.shape(corners)
    for corner_x, corner_y in corners:
        sheet.line(cx, cy, corner_x, corner_y, 0.5)
    turn = pi / 2 + pi / sides
    for cut in found.cut_list:
        along = turn + 2 * pi * (cut.line - 0.5) / sides
        inner, outer = radius * cos(pi / sides) * 0.66, radius * cos(pi / sides) + 8
        sheet.text(cx + inner * cos(along), cy + inner * sin(along) + 3.5, f"S{cut.line}", "middle", 600)
        anchor = "middle" if abs(cos(along)) < 0.2 else "start" if cos(along) > 0 else "end"
        outer += 4 if anchor == "middle" else 0
        sheet.text(cx + outer * cos(along), cy + outer * sin(along) + 3.5, cut.strip, anchor)
    return sheet.svg()

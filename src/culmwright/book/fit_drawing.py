"""A bed and its insert along their length: every screw, and where its hole has gone, drawn enlarged."""

from __future__ import annotations

from culmwright.book.ruler import Ruler
from culmwright.book.svg import Sheet
from culmwright.measure.display import Display
from culmwright.rigs.thermal import Entry, ThermalFit

BED, INSERT, TALL = 66.0, 38.0, 20.0  # tops of the two bars and their height [pt]
REACH = 26.0  # points the hole furthest off is drawn from its screw
ROUND = (1, 2, 5, 10, 20, 50, 100, 200, 500, 1000, 2000, 5000)


def fit_figure(found: ThermalFit, ruler: Ruler, show: Display) -> tuple[str, str]:
    """The bed from its end at the left, its insert on it, and what the picture shows in words.

    Screws stand as lines; a hole is a bar that covers the places it may be at. Under each screw: a ring, it enters; a
    ring with a dot, it may; a cross, it does not.
    """
    sheet = Sheet(ruler.width, 128)
    times = _times(found, ruler)
    left, right = ruler.x(0.0), ruler.x(ruler.length)
    for top, name in ((INSERT, "insert"), (BED, "bed")):
        sheet.shape([(left, top), (right, top), (right, top + TALL), (left, top + TALL)])
        sheet.text(left - 4, top + 14, name, "end")
    x = ruler.x(found.joint.fixed)
    sheet.text(
        x, INSERT - 10, "held here", "middle" if left + 24 < x < right - 24 else "start" if x < right - 24 else "end"
    )
    sheet.line(x, INSERT - 7, x, INSERT - 1, 1.2)
    last = -1e9
    for one in found.screws:
        at = ruler.x(one.place)
        way = 1 if one.place >= found.joint.fixed else -1
        low, high = sorted(at + way * side * times * ruler.scale for side in (one.error.low, one.error.top))
        sheet.line(at, INSERT + 4, at, BED + TALL + 4, 1.4)
        sheet.shape(
            [(low - 1.5, INSERT + 5), (high + 1.5, INSERT + 5), (high + 1.5, INSERT + 15), (low - 1.5, INSERT + 15)],
            "#e6e6e6",
        )
        _mark(sheet, at, BED + TALL + 11, one.entry)
        if at - last > 34:
            sheet.text(at, BED + TALL + 32, show.station.number(one.place), "middle")
            last = at
    return sheet.svg(), (
        f"The {found.joint.insert.name} insert on the {found.joint.bed.name} bed, {show.station.unit} from its end, at "
        f"{show.temperature.fine(found.now)}: screws as lines, holes where they may be in grey, their error {times} "
        "times as large; ring: the screw enters, ring with a dot: it may, cross: it does not"
    )


def _times(found: ThermalFit, ruler: Ruler) -> int:
    """A round number of times [-] to draw errors enlarged."""
    most = max(max(abs(one.error.low), abs(one.error.top)) for one in found.screws)
    if most == 0:
        return 1
    wanted = max(REACH / (most * ruler.scale), 1.0)
    return max(times for times in ROUND if times <= wanted)


def _mark(sheet: Sheet, x: float, y: float, entry: Entry | None) -> None:
    """Ring, ring with a dot or cross; nothing where it is not known."""
    if entry is Entry.NO:
        sheet.line(x - 4, y - 4, x + 4, y + 4, 1.2)
        sheet.line(x - 4, y + 4, x + 4, y - 4, 1.2)
    elif entry is not None:
        sheet.path(f"M{x - 4:.2f} {y:.2f} a4 4 0 1 0 8 0 a4 4 0 1 0 -8 0", width=1.2)
        if entry is Entry.PERHAPS:
            sheet.path(f"M{x - 1.2:.2f} {y:.2f} a1.2 1.2 0 1 0 2.4 0 a1.2 1.2 0 1 0 -2.4 0", "#000")

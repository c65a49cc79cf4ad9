"""The sheet of a section's adjuster settings: how the strips lie, what comes out, and how every screw stands."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from culmwright.book import charts
from culmwright.book.ladders import folded
from culmwright.book.layout_drawing import PAPER
from culmwright.book.leaf import Block, Figure, Leaf, Rows, Words
from culmwright.book.rig_drawing import bed_view, grooves_view
from culmwright.book.ruler import Ruler
from culmwright.book.setting_words import settings_words
from culmwright.book.words import sentence
from culmwright.measure.display import Display
from culmwright.rigs.setting_records import AdjusterSetting, Settings

TICKS = {"in": 5, "mm": 100}  # units of the display between the figures of the axis


def settings_leaf(found: Settings, notes: Sequence[str], ruler: Ruler, show: Display) -> Leaf:
    """The sheet "Adjuster settings" of one section."""
    first, *rest = settings_words(found, show)
    blocks: list[Block] = [Words(first, strong=True), Words(" ".join(rest))]
    blocks += [Words(sentence(one)) for one in (*notes, *found.warnings, *found.notes)]
    blocks += [_section(found, ruler, show), _departure(found, ruler, show)]
    blocks += [*_closed(found, ruler, show), _table(found, show)]
    one = _most_cut(found)
    blocks.append(folded(f"the turns of adjuster {one.number}; the others alike", one.working, show))
    return Leaf(f"Adjuster settings, {found.section}", tuple(blocks))


def _section(found: Settings, ruler: Ruler, show: Display) -> Figure:
    """The rig's section at the adjuster under the strip where most height is cut."""
    one = _most_cut(found)
    where = f"at adjuster {one.number}"
    if found.lies:
        svg, alt = grooves_view(ruler.width, found.lies, one.place, one.opening, show, where)
    else:
        stop = found.stop or 0.0
        svg, alt = bed_view(ruler.width, found.form, stop - one.depth, one.depth, stop, show, where)
    return Figure(svg, alt)


def _most_cut(found: Settings) -> AdjusterSetting:
    """The adjuster under the strip where most height is cut."""
    under = [one for one in found.adjusters if one.under_strip] or list(found.adjusters)
    return max(under, key=lambda each: each.depth) if found.lies else min(under, key=lambda each: each.depth)


def _departure(found: Settings, ruler: Ruler, show: Display) -> Figure:
    along = Ruler(found.length, ruler.width, ruler.left, ruler.right)
    svg = charts.svg(departure_chart(found, along, show), charts.PRINT)
    what = f"Over (+) or under (-) the taper, {show.small.unit}; line: as set, dashed: exact at the adjusters, dotted"
    return Figure(svg, what, what)


def departure_chart(found: Settings, ruler: Ruler, show: Display) -> dict[str, Any]:
    """Departures along the section on its own axis: as set, and the plain way dashed."""
    si, small = show.station.si, show.small.si
    lines = (("as set", found.along.departure), ("exactly at the adjusters", found.along.plain_departure))
    rows: list[dict[str, Any]] = [
        {"way": way, "station": x / si, "value": d / small}
        for way, departures in lines
        for x, d in zip(found.along.position, departures, strict=True)
    ]
    reach = 1.12 * max(abs(row["value"]) for row in rows) or 1.0
    x, y = _along_axis(ruler, show), _axis(-reach, reach)
    places = [{"station": one.position / si} for one in found.adjusters if one.under_strip]
    dash = {"field": "way", "type": "nominal", "legend": None, "sort": None, "scale": {"range": [[1, 0], [4, 3]]}}
    upright = {"type": "rule", "strokeWidth": 0.6, "strokeDash": [1, 3]}
    layers: list[dict[str, Any]] = [
        {"data": {"values": places}, "mark": upright, "encoding": {"x": x}},
        {"data": {"values": [{"value": 0.0}]}, "mark": {"type": "rule", "strokeDash": []}, "encoding": {"y": y}},
        {"mark": {"type": "line"}, "encoding": {"x": x, "y": y, "strokeDash": dash}},
    ]
    return charts.framed(ruler, rows, layers, 84)


def _along_axis(ruler: Ruler, show: Display) -> dict[str, Any]:
    """Places along the section, from its tip end, in the units of the display."""
    si, step = show.station.si, TICKS[show.bare]
    return {
        "field": "station",
        "type": "quantitative",
        "scale": {"domain": [0, ruler.length / si], "nice": False, "zero": False},
        "axis": {
            "title": None,
            "values": [i * step for i in range(int(ruler.length / si / step + 1e-9) + 1)],
            "domain": False,
            "ticks": False,
            "grid": False,
            "format": "~f",
        },
    }


def _axis(low: float, high: float) -> dict[str, Any]:
    return {
        "field": "value",
        "type": "quantitative",
        "scale": {"domain": [low, high], "nice": False, "zero": False},
        "axis": {"title": None, "tickCount": 5, "domain": False, "ticks": False, "format": "~f", "offset": 6},
    }


def _closed(found: Settings, ruler: Ruler, show: Display) -> list[Block]:
    """How deep a form's groove is with every screw closed, and as set: it cannot be made shallower than closed.

    On a page only: the printed sheet goes to the rig in one piece, and has no room for it.
    """
    if not found.lies or PAPER[0] < ruler.width < PAPER[1]:
        return []
    along = Ruler(found.length, ruler.width, ruler.left, ruler.right)
    what = f"Depth of the groove along the section, {show.height.unit}"
    svg = charts.svg(closed_chart(found, along, show), charts.PRINT)
    return [
        Figure(
            svg,
            f"{what}; points: as set at the adjusters, line: with every screw closed, and no shallower can it be",
            f"{what}: points as set, line with every screw closed",
        )
    ]


def closed_chart(found: Settings, ruler: Ruler, show: Display) -> dict[str, Any]:
    """The depth of the first groove with every screw closed, and as set at the adjusters under the strip."""
    si, size, zero = show.station.si, show.height.si, found.lies[0].zero
    closed: list[dict[str, Any]] = [
        {"station": here / si, "value": zero.at(found.tip_end + here) / size} for here in found.along.position
    ]
    points = [{"station": one.position / si, "value": one.depth / size} for one in found.adjusters if one.under_strip]
    values = [row["value"] for row in (*closed, *points)]
    room = 0.1 * (max(values) - min(values)) or 0.1
    x, y = _along_axis(ruler, show), _axis(min(values) - room, max(values) + room)
    layers: list[dict[str, Any]] = [
        {"mark": {"type": "line"}, "encoding": {"x": x, "y": y}},
        {"data": {"values": points}, "mark": {"type": "point"}, "encoding": {"x": x, "y": y}},
    ]
    return charts.framed(ruler, closed, layers, 84)


def _table(found: Settings, show: Display) -> Rows:
    """Every adjuster from the rig's tip end, with a box to tick."""
    gauge = any(one.shown is not None for one in found.adjusters)
    moves = any(one.from_now is not None for one in found.adjusters)
    heads = ["screw", f"on the rig, {show.station.unit}", f"on the section, {show.station.unit}"]
    heads += [f"{'depth' if found.lies else 'lift'}, {show.height.unit}"]
    heads += ["gauge shows"] if gauge else []
    heads += [f"from {'closed' if found.lies else 'zero'}"]
    heads += ["from now"] if moves else []
    rows = tuple(_row(one, found, show, gauge=gauge, moves=moves) for one in found.adjusters)
    return Rows((*heads, "set, read"), rows, f"Turns as {found.screw.brief_words}{_way(found)}", write_in=True)


def _way(found: Settings) -> str:
    """Which way a screw is turned, as far as the rig file says."""
    opens = found.screw.opens
    return "" if opens is None else f"; {found.ways[0]} {opens.value}, {found.ways[1]} {opens.other.value}"


def _row(one: AdjusterSetting, found: Settings, show: Display, *, gauge: bool, moves: bool) -> tuple[str, ...]:
    cells = [
        str(one.number) + (f", {one.limit}" if one.limit else ""),
        show.station.number(one.place),
        show.station.number(one.position) if one.under_strip else "beyond",
        show.height.number(one.depth),
    ]
    cells += ["-" if one.shown is None else show.height.number(one.shown)] if gauge else []
    cells += [found.brief(one.turn)]
    cells += ["-" if one.from_now is None else found.brief_move(one.from_now)] if moves else []
    return (*cells, "")

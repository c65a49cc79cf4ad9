"""The leaves of how a rod bends and swings: load curve, share of the bend, bent shapes to scale, stress, modes."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from typing import Any

from culmwright.book import charts
from culmwright.book.cautions import LOADED
from culmwright.book.contents import Behaviour, BentOnce
from culmwright.book.leaf import Block, Figure, Leaf, Rows, Words
from culmwright.book.ruler import Ruler
from culmwright.book.svg import Sheet
from culmwright.book.words import sentence, signed
from culmwright.design.rod import Rod
from culmwright.measure.display import Display

DASHES = ([1, 0], [6, 3], [2, 2], [8, 2, 2, 2])
"""Lines are told apart by their dashes, never by colour."""


def behaviour_leaves(rod: Rod, seen: Sequence[Behaviour], ruler: Ruler, show: Display) -> tuple[Leaf, ...]:
    """Pictures and words of how ``rod`` behaves, two leaves for each of its tips that differ."""
    leaves = []
    for one in seen:
        named = f", tip T{one.tip}" if len(seen) > 1 else ""
        leaves.append(Leaf(f"How it bends{named}", _bends(rod, one, ruler, show), LOADED))
        leaves.append(Leaf(f"How the cane works, and how it swings{named}", _works(rod, one, ruler, show), LOADED))
    return tuple(leaves)


def _bends(rod: Rod, seen: Behaviour, ruler: Ruler, show: Display) -> tuple[Block, ...]:
    most = round_load(show, seen.shapes[-1].load)
    words = []
    if seen.half_station is not None:
        words.append(
            f"Under {most} half of the whole bend lies within {show.near(seen.half_station)} of the tip: the smaller "
            "that length, the more the tip does alone."
        )
    if seen.limit is not None:
        load, station = seen.limit
        words.append(
            f"A hanging load of {show.load(load)} takes the cane to its stress limit, first near {show.near(station)} "
            "from the tip: the curve of load and drop ends there."
        )
    words += _straightened(seen, show, rod.length.m - rod.grip.m)
    sketch = [(one, round_load(show, one.load), dash) for one, dash in zip(seen.shapes, _dashes(seen), strict=True)]
    blocks: list[Block] = []
    if seen.curve:
        blocks.append(
            Figure(
                charts.svg(_curve(seen, ruler, show), charts.PRINT),
                "Load and drop",
                f"How far the tip comes down, {show.near.unit}, under a hanging load, {show.load.unit}",
            )
        )
    return (
        *blocks,
        Figure(
            charts.svg(_share(seen, ruler, show), charts.PRINT),
            "Share of the bend along the rod",
            f"Share of the whole bend between stations under {most}, per cent",
            along=True,
        ),
        Figure(
            shapes_drawing(rod.length.m - rod.grip.m, sketch, ruler),
            "Bent shapes of the rod to scale",
            "The rod at rest to scale, grip level, under its own weight and hanging loads",
        ),
        Words(" ".join(words)),
    )


def _dashes(seen: Behaviour) -> list[str]:
    """How the line of every load is dashed: the greatest is solid."""
    return [" ".join(map(str, DASHES[i])) if i else "" for i in range(len(seen.shapes))][::-1]


def _straightened(seen: Behaviour, show: Display, free: float) -> list[str]:
    """What a greater load takes from the tip, where it does."""
    more, less = seen.shapes[-1], seen.shapes[-2]
    eased = [free - s for s, one, other in zip(more.s, more.stress, less.stress, strict=True) if one < other]
    if not eased or not less.load:
        return []
    return [
        f"Within {show.near(max(eased))} of the tip the cane works less under {round_load(show, more.load)} than under "
        f"{round_load(show, less.load)}: the load pulls the tip straight, and the bend moves towards the butt."
    ]


def _works(rod: Rod, seen: Behaviour, ruler: Ruler, show: Display) -> tuple[Block, ...]:
    rows = [(str(i), f"{mode.frequency:.2f}", f"{mode.per_minute:.0f}") for i, mode in enumerate(seen.modes, 1)]
    blocks: list[Block] = [
        Figure(
            charts.svg(_stress(rod, seen, ruler, show), charts.PRINT),
            "Stress of the cane along the bent rod",
            f"Stress of the bent rod under the same loads, its lines as in the shapes, {show.stress.unit}",
            along=True,
        ),
        Figure(
            charts.svg(_modes(rod, seen, ruler, show), charts.PRINT),
            "The first three modes along the rod",
            "How it swings to and fro when plucked in a vice: the first three modes along the rod",
            along=True,
        ),
        Rows(("mode", "Hz", "swings a minute"), tuple(rows), lead=0),
        Words("The first line is the whole rod to and fro, the solid curve above; count it against a clock."),
        *_worth(seen, show),
        Words(" ".join(sentence(note) for note in seen.notes)),
    ]
    return tuple(blocks)


def _worth(seen: Behaviour, show: Display) -> tuple[Block, ...]:
    """What a step more across all along a section does to the rod."""
    found, load = seen.oversize, round_load(show, seen.shapes[1].load)
    fine = replace(show.near, places=show.near.places + 1)
    heads = ("section", "stiffness at its finer end", "at the other", f"drop under {load}, {fine.unit}", "swing, Hz")
    rows = tuple(
        (
            one.section or "whole rod",
            *(f"{x:+.1%}" for x in (one.thin_end, one.thick_end)),
            signed(fine, one.drop),
            f"{one.rate:+.3f}",
        )
        for one in found
    )
    drop, rate = -seen.shapes[1].y[-1], seen.modes[0].frequency
    words = [f"As drawn the tip comes down {show.near(drop)} under {load}, and the rod swings at {rate:.2f} Hz."]
    words += ["As much less does as much the other way; what is over here and under there does less."]
    if any(one.rate < 0 for one in found):
        words.append("Where it is stiffer and swings slower, the weight it gains does more than the cane.")
    title = f"What {show.across(found[0].step)} more across is worth, all along a section"
    return Rows(heads, rows, title), Words(" ".join(words))


def shapes_drawing(clamp: float, sketch: Sequence[tuple[BentOnce, str, str]], ruler: Ruler) -> str:
    """Bent rods, tip to the left as everywhere, one scale both ways, all held ``clamp`` [m] from the ruler's zero.

    ``sketch`` holds a shape, what stands at its tip, and how its line is dashed.
    """
    deepest = max(-min(shape.y) for shape, _, _ in sketch)
    sheet = Sheet(ruler.width, deepest * ruler.scale + 38)
    top = 18.0
    sheet.line(ruler.x(clamp), top, ruler.x(ruler.length), top, 5.0)
    sheet.text(ruler.x(ruler.length), top - 8, "grip, held fast", "end")
    sheet.line(ruler.x(0), top, ruler.x(clamp), top, 0.5, "2 3")
    drawn = [
        [(ruler.x(clamp - x), top - y * ruler.scale) for x, y in zip(shape.x, shape.y, strict=True)]
        for shape, _, _ in sketch
    ]
    for points, (_, label, dash) in zip(drawn, sketch, strict=True):
        steps = " ".join(f"{'L' if i else 'M'}{x:.2f} {y:.2f}" for i, (x, y) in enumerate(points))
        sheet.path(steps, width=1.3, dash=dash)
        x, y = points[-1]
        x = min(end for end, level in (each[-1] for each in drawn) if abs(end - x) < 20 and abs(level - y) < 14)
        room = x > 100
        sheet.text(x - 5 if room else x, y + (4 if room else 16), label, "end" if room else "start")
    return sheet.svg()


def round_load(show: Display, load: float) -> str:
    """A round load [N] in words: ``2 oz``, or own weight."""
    return show.load(load) if load else "own weight"


def x_axis(ruler: Ruler, show: Display) -> dict[str, Any]:
    """The ruler as the horizontal axis of a chart, in the unit of stations."""
    si = show.station.si
    step = 0.254 if show.bare == "in" else 0.25
    return {
        "type": "quantitative",
        "scale": {"domain": [0, ruler.length / si], "nice": False, "zero": False},
        "axis": {
            "title": None,
            "values": [station / si for station in ruler.ticks(step)],
            "domain": False,
            "ticks": False,
            "format": "~f",
        },
    }


def lines(ruler: Ruler, rows: Sequence[dict[str, Any]], x: dict[str, Any], y: dict[str, Any], height: float) -> Any:
    """Curves along the rod, one for each ``line`` of the rows, told apart by their dashes."""
    dash = {"field": "line", "type": "nominal", "legend": None, "scale": {"range": list(DASHES)}, "sort": None}
    curve = {
        "mark": "line",
        "encoding": {"x": {**x, "field": "station"}, "y": {**y, "field": "value"}, "strokeDash": dash},
    }
    return charts.framed(ruler, rows, [curve], height)


def _share(seen: Behaviour, ruler: Ruler, show: Display) -> dict[str, Any]:
    si = show.station.si
    rows = [{"a": low / si, "b": high / si, "value": 100 * share} for low, high, share in seen.shares]
    top = max(row["value"] for row in rows) * 1.1
    y = {"field": "value", "type": "quantitative", "scale": {"domain": [0, top]}, "axis": plain(4)}
    x = {**x_axis(ruler, show), "field": "a"}
    bar = {"mark": "rect", "encoding": {"x": x, "x2": {"field": "b"}, "y": y, "y2": {"datum": 0}}}
    return charts.framed(ruler, rows, [bar], 90)


def _stress(rod: Rod, seen: Behaviour, ruler: Ruler, show: Display) -> dict[str, Any]:
    """One line a load, dashed as its shape; the limit a rule with its words."""
    si, free = show.station.si, rod.length.m - rod.grip.m
    rows = [
        {"station": (free - s) / si, "value": stress / show.stress.si, "line": str(number)}
        for number, one in enumerate(reversed(seen.shapes))
        for s, stress in zip(one.s, one.stress, strict=True)
    ]
    greatest = max(max(one.stress) for one in seen.shapes)
    top = 1.08 * max(greatest, seen.stress_limit or 0.0) / show.stress.si
    y = {"type": "quantitative", "scale": {"domain": [0, top], "nice": False}, "axis": plain(4)}
    chart: dict[str, Any] = lines(ruler, rows, x_axis(ruler, show), y, 86)
    if seen.stress_limit:
        at = [{"value": seen.stress_limit / show.stress.si, "words": "stress limit"}]
        word = {"type": "text", "align": "left", "baseline": "bottom", "dx": 4, "dy": -2}
        start, up = {"datum": 0, "type": "quantitative"}, {**y, "field": "value"}
        chart["layer"] += [
            {"data": {"values": at}, "mark": "rule", "encoding": {"y": up}},
            {"data": {"values": at}, "mark": word, "encoding": {"x": start, "y": up, "text": {"field": "words"}}},
        ]
    return chart


def _curve(seen: Behaviour, ruler: Ruler, show: Display) -> dict[str, Any]:
    rows = [{"load": load / show.load.si, "drop": drop / show.near.si} for load, drop in seen.curve]
    x = {"field": "load", "type": "quantitative", "axis": {**plain(8), "format": "~f"}}
    y = {"field": "drop", "type": "quantitative", "scale": {"reverse": True, "zero": True}, "axis": plain(5)}
    layers = [{"mark": mark, "encoding": {"x": x, "y": y}} for mark in ("line", "point")]
    return charts.framed(ruler, rows, layers, 150 if ruler.width > 600 else 92)


def _modes(rod: Rod, seen: Behaviour, ruler: Ruler, show: Display) -> dict[str, Any]:
    si, clamp = show.station.si, ruler.length - rod.grip.m
    rows = [
        {"station": (clamp - s) / si, "value": value, "line": str(number)}
        for number, mode in enumerate(seen.modes[:3], 1)
        for s, value in zip(mode.s, mode.shape, strict=True)
    ]
    y = {"type": "quantitative", "axis": {**plain(3), "labels": False}}
    made: dict[str, Any] = lines(ruler, rows, x_axis(ruler, show), y, 100)
    made["layer"][0]["mark"] = {"type": "line", "interpolate": "monotone"}
    return made


def plain(count: int) -> dict[str, Any]:
    """A bare vertical axis with about ``count`` figures."""
    return {"title": None, "tickCount": count, "domain": False, "ticks": False, "format": ".0f", "offset": 6}

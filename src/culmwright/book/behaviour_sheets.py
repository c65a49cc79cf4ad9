"""The sheets of how a rod bends and swings: bent shapes to scale, the share of the bend, the load curve, the modes."""

from __future__ import annotations

from typing import Any

from culmwright.book import charts
from culmwright.book.contents import Behaviour, BookContents
from culmwright.book.ruler import Ruler
from culmwright.book.svg import Sheet
from culmwright.book.words import sentence
from culmwright.measure.display import Display


def behaviour_sheet(book: BookContents, ruler: Ruler) -> dict[str, Any] | None:
    """Pictures and words of a rod's behaviour; None for a rod it could not be found for."""
    seen, show = book.behaviour, book.show
    if seen is None:
        return None
    words = []
    if seen.half_station is not None:
        words.append(
            f"Under {_round(show, seen.shapes[-1].load)} half of the whole bend lies within "
            f"{show.near(seen.half_station)} of the tip: the smaller that length, the more the tip does alone."
        )
    if seen.limit is not None:
        load, station = seen.limit
        words.append(
            f"A hanging load of {show.load(load)} takes the cane to its stress limit, first near {show.near(station)} "
            "from the tip: the curve of the next sheet ends there."
        )
    return {
        "shapes": _shapes(book, seen, ruler),
        "shapes_words": "The rod at rest to scale, grip level, under its own weight and hanging loads",
        "share": charts.svg(_share(book, seen, ruler), charts.PRINT),
        "share_words": f"Share of the whole bend between stations under {_round(show, seen.shapes[-1].load)}, per cent",
        "curve": charts.svg(_curve(book, seen, ruler), charts.PRINT) if seen.curve else "",
        "curve_words": f"How far the tip comes down, {show.near.unit}, under a hanging load, {show.load.unit}",
        "modes": charts.svg(_modes(book, seen, ruler), charts.PRINT),
        "modes_words": "How it swings to and fro when plucked in a vice: the first three modes along the rod",
        "modes_rows": [
            [str(i), f"{mode.frequency:.2f}", f"{mode.per_minute:.0f}"] for i, mode in enumerate(seen.modes, 1)
        ],
        "words": words,
        "notes": [sentence(note) for note in seen.notes],
    }


def _shapes(book: BookContents, seen: Behaviour, ruler: Ruler) -> str:
    """The bent rod, tip to the left as everywhere, one scale both ways; its grip held at the right."""
    show, clamp = book.show, ruler.length - book.rod.grip.m
    deepest = max(-min(shape.y) for shape in seen.shapes)
    sheet = Sheet(ruler.width, deepest * ruler.scale + 46)
    top = 18.0
    sheet.line(ruler.x(clamp), top, ruler.x(ruler.length), top, 5.0)
    sheet.text(ruler.x(ruler.length), top - 8, "grip, held fast", "end")
    sheet.line(ruler.x(0), top, ruler.x(clamp), top, 0.5, "2 3")
    for shape in seen.shapes:
        points = [(ruler.x(clamp - x), top - y * ruler.scale) for x, y in zip(shape.x, shape.y, strict=True)]
        steps = " ".join(f"{'L' if i else 'M'}{x:.2f} {y:.2f}" for i, (x, y) in enumerate(points))
        sheet.path(steps, width=1.3)
        x, y = points[-1]
        label = "own weight" if shape.load == 0 else _round(show, shape.load)
        room = x > 100
        sheet.text(x - 5 if room else x, y + (4 if room else 16), label, "end" if room else "start")
    return sheet.svg()


def _round(show: Display, load: float) -> str:
    """A round load [N] in words: ``2 oz``."""
    return f"{load / show.load.si:.3g} {show.load.unit}"


def _x(book: BookContents, ruler: Ruler, *, labels: bool) -> dict[str, Any]:
    si = book.show.station.si
    ticks = [station / si for station in ruler.ticks(2 * book.drawing.tick)]
    return {
        "type": "quantitative",
        "scale": {"domain": [0, ruler.length / si], "nice": False, "zero": False},
        "axis": {"title": None, "values": ticks, "domain": False, "ticks": False, "labels": labels, "format": "~f"},
    }


def _share(book: BookContents, seen: Behaviour, ruler: Ruler) -> dict[str, Any]:
    si = book.show.station.si
    rows = [{"a": low / si, "b": high / si, "value": 100 * share} for low, high, share in seen.shares]
    top = max(row["value"] for row in rows) * 1.1
    y = {"field": "value", "type": "quantitative", "scale": {"domain": [0, top]}, "axis": _plain(4)}
    x = {**_x(book, ruler, labels=True), "field": "a"}
    bar = {"mark": "rect", "encoding": {"x": x, "x2": {"field": "b"}, "y": y, "y2": {"datum": 0}}}
    return charts.framed(ruler, rows, [bar], 90)


def _curve(book: BookContents, seen: Behaviour, ruler: Ruler) -> dict[str, Any]:
    show = book.show
    rows = [{"load": load / show.load.si, "drop": drop / show.near.si} for load, drop in seen.curve]
    x = {"field": "load", "type": "quantitative", "axis": {**_plain(8), "format": "~f"}}
    y = {"field": "drop", "type": "quantitative", "scale": {"reverse": True, "zero": True}, "axis": _plain(5)}
    layers = [{"mark": mark, "encoding": {"x": x, "y": y}} for mark in ("line", "point")]
    return charts.framed(ruler, rows, layers, 130)


def _modes(book: BookContents, seen: Behaviour, ruler: Ruler) -> dict[str, Any]:
    si, clamp = book.show.station.si, ruler.length - book.rod.grip.m
    rows = [
        {"station": (clamp - s) / si, "value": value, "mode": str(number)}
        for number, mode in enumerate(seen.modes[:3], 1)
        for s, value in zip(mode.s, mode.shape, strict=True)
    ]
    x = {**_x(book, ruler, labels=True), "field": "station"}
    y = {"field": "value", "type": "quantitative", "axis": {**_plain(3), "labels": False}}
    dash = {"field": "mode", "type": "nominal", "legend": None, "scale": {"range": [[1, 0], [6, 3], [2, 2]]}}
    curve = {"mark": {"type": "line", "interpolate": "monotone"}, "encoding": {"x": x, "y": y, "strokeDash": dash}}
    return charts.framed(ruler, rows, [curve], 100)


def _plain(count: int) -> dict[str, Any]:
    return {"title": None, "tickCount": count, "domain": False, "ticks": False, "format": ".0f"}

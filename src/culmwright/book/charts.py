"""Charts on the rod's own axis, as Vega-Lite specifications: one description for paper and screen.

Marks carry no colour of their own; ``config`` for the medium does. Values arrive in display units, already computed.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from culmwright.book.ruler import Ruler

FONT = "Source Sans Pro"
SCHEMA = "https://vega.github.io/schema/vega-lite/v6.json"  # a name of the format; nothing is fetched
PRINT: dict[str, Any] = {
    "background": "white",
    "font": FONT,
    "view": {"stroke": None},
    "axis": {
        "labelFontSize": 10,
        "labelSeparation": 5,
        "titleFontSize": 10,
        "titleFontWeight": 400,
        "labelColor": "black",
        "titleColor": "black",
        "gridColor": "#d0d0d0",
        "gridWidth": 0.5,
        "domainColor": "black",
        "tickColor": "black",
    },
    "line": {"stroke": "black", "strokeWidth": 1.4},
    "point": {"stroke": "black", "fill": "white", "size": 26, "strokeWidth": 1, "filled": True, "opacity": 1},
    "rule": {"stroke": "black", "strokeDash": [5, 3], "strokeWidth": 0.9},
    "rect": {"fill": "#e6e6e6", "stroke": "black", "strokeWidth": 0.8},
    "area": {"fill": "#e6e6e6", "opacity": 1},
    "text": {"font": FONT, "fontSize": 10, "fill": "black"},
}


SCREEN: dict[str, Any] = {**PRINT, "background": "transparent"}
"""For a page, whose style sheet turns the inks into its own, light or dark."""


def along_rod(
    ruler: Ruler,
    stations: Sequence[float],
    values: Sequence[float],
    *,
    title: str,
    station_of: float,
    height: float = 150.0,
    digits: str = "~f",
    limit: tuple[float, str] | None = None,
    curve: Sequence[tuple[float, float]] = (),
    ticks: Sequence[float] = (),
    labels: bool = False,
) -> dict[str, Any]:
    """A curve along the rod whose horizontal axis is exactly the ruler's.

    ``stations`` and ``values`` are in display units, ``station_of`` is the display unit in metres [m]. ``curve`` is the
    line between them where it is not straight; ``limit`` is drawn with its words; ``ticks`` are stations ruled
    through, named under the chart with ``labels``.
    """
    rows = [{"station": station, "value": value} for station, value in zip(stations, values, strict=True)]
    fine = [{"station": station, "value": value} for station, value in curve] or rows
    top = max([*(row["value"] for row in fine), *([limit[0]] if limit else [])])
    x = {
        "field": "station",
        "type": "quantitative",
        "scale": {"domain": [0, ruler.length / station_of], "nice": False, "zero": False},
        "axis": {
            "title": None,
            "values": list(ticks),
            "domain": False,
            "ticks": False,
            "labels": labels,
            "format": "~f",
        },
    }
    y = {
        "field": "value",
        "type": "quantitative",
        "scale": {"domain": [0.0, top * 1.08], "nice": False},
        "axis": {"title": None, "tickCount": 5, "domain": False, "ticks": False, "format": digits, "offset": 6},
    }
    layers: list[dict[str, Any]] = [
        {"data": {"values": fine}, "mark": "line", "encoding": {"x": x, "y": y}},
        {"mark": "point", "encoding": {"x": x, "y": y}},
    ]
    if limit:
        layers.append({"data": {"values": [{"value": limit[0]}]}, "mark": "rule", "encoding": {"y": {**y}}})
        layers.append(_words(limit[1], 0.0, limit[0], x, y, dx=4, dy=-5))
    chart = framed(ruler, rows, layers, height)
    padding = {**chart["padding"], "bottom": 18 if labels else 4}
    return {**chart, "description": title, "padding": padding}


def _words(
    words: str, station: float, value: float, x: dict[str, Any], y: dict[str, Any], *, dx: float, dy: float
) -> dict[str, Any]:
    return {
        "data": {"values": [{"station": station, "value": value, "words": words}]},
        "mark": {"type": "text", "align": "left", "baseline": "bottom", "dx": dx, "dy": dy + 3},
        "encoding": {"x": x, "y": y, "text": {"field": "words"}},
    }


def framed(ruler: Ruler, rows: Sequence[dict[str, Any]], layers: list[dict[str, Any]], height: float) -> dict[str, Any]:
    """Layers over ``rows`` in a frame that lies exactly under the ruler, ``height`` [pt] tall, figures below it."""
    return {
        "$schema": SCHEMA,
        "width": ruler.span,
        "height": height,
        "autosize": {"type": "none"},
        "padding": {"left": ruler.left, "right": ruler.right, "top": 6, "bottom": 18},
        "data": {"values": list(rows)},
        "layer": layers,
    }


def svg(spec: dict[str, Any], config: dict[str, Any]) -> str:
    """The chart as SVG text, one unit one point, without any network."""
    import vl_convert

    return str(vl_convert.vegalite_to_svg({**spec, "config": config}, vl_version="6.4", allowed_base_urls=[]))

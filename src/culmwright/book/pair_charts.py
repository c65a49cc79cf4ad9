"""Two curves on the rod's own axis: an older one dashed, a newer one solid with its stations marked."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from culmwright.book.charts import framed
from culmwright.book.ruler import Ruler

Points = Sequence[tuple[float, float]]


def two_along(
    ruler: Ruler,
    older: Points,
    newer: Points,
    *,
    station_of: float,
    digits: str,
    ticks: Sequence[float],
    height: float = 150.0,
) -> dict[str, Any]:
    """The curves ``older`` and ``newer``, each (station, value) in display units, under the ruler.

    ``station_of`` is the display unit of stations in metres [m]; ``ticks`` are stations ruled through.
    """
    values = [value for _, value in (*older, *newer)]
    low, high = min(0.0, *values), max(0.0, *values)
    room = 0.08 * ((high - low) or 1.0)
    bottom = low - room if low < 0 else 0.0
    x = {
        "field": "station",
        "type": "quantitative",
        "scale": {"domain": [0, ruler.length / station_of], "nice": False, "zero": False},
        "axis": {"title": None, "values": list(ticks), "domain": False, "ticks": False, "labels": False},
    }
    y = {
        "field": "value",
        "type": "quantitative",
        "scale": {"domain": [bottom, high + room], "nice": False},
        "axis": {"title": None, "tickCount": 5, "domain": False, "ticks": False, "format": digits, "offset": 6},
    }
    layers: list[dict[str, Any]] = [
        {
            "data": {"values": _rows(older)},
            "mark": {"type": "line", "strokeDash": [5, 4]},
            "encoding": {"x": x, "y": y},
        },
        {"mark": "line", "encoding": {"x": x, "y": y}},
        {"mark": "point", "encoding": {"x": x, "y": y}},
    ]
    chart = framed(ruler, _rows(newer), layers, height)
    return {**chart, "padding": {**chart["padding"], "bottom": 4}}


def _rows(points: Points) -> list[dict[str, float]]:
    return [{"station": station, "value": value} for station, value in points]

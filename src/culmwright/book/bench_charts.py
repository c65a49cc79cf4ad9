"""Charts of the bench: what strips read along the rod, and strip after strip at one stop."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from culmwright.book.charts import framed
from culmwright.book.ruler import Ruler


def deviations(
    ruler: Ruler,
    places: Sequence[tuple[str, float, float]],
    limits: tuple[float | None, float | None],
    *,
    station_of: float,
    ticks: Sequence[float],
    height: float = 150.0,
) -> dict[str, Any]:
    """How far each strip is from its target, on the rod's own axis: (strip, station, deviation) in display units.

    ``limits`` are the stop limits under and over, None where there is none.
    """
    low, high = _span([value for _, _, value in places], limits)
    high += 0.22 * (high - low)  # room for the key of shapes
    x = {
        "field": "station",
        "type": "quantitative",
        "scale": {"domain": [0, ruler.length / station_of], "nice": False, "zero": False},
        "axis": {"title": None, "values": list(ticks), "domain": False, "ticks": False, "format": "~f"},
    }
    y = _axis(low, high)
    strips = list(dict.fromkeys(strip for strip, _, _ in places))
    layers: list[dict[str, Any]] = [
        _rule(0.0, y, dash=False),
        *(_rule(limit, y) for limit in limits if limit is not None),
        {"mark": {"type": "line", "strokeWidth": 0.6}, "encoding": {"x": x, "y": y, "detail": {"field": "strip"}}},
        {
            "mark": {"type": "point", "filled": False, "size": 34},
            "encoding": {
                "x": x,
                "y": y,
                "shape": {"field": "strip", "type": "nominal", "sort": strips, "legend": None},
            },
        },
    ]
    key = _key(strips, ruler.length / station_of, high - 0.08 * (high - low))
    named = {"x": x, "y": y}
    shape = {"field": "strip", "type": "nominal", "sort": strips, "legend": None}
    layers += [
        {"data": key, "mark": {"type": "point", "filled": False, "size": 34}, "encoding": {**named, "shape": shape}},
        {
            "data": key,
            "mark": {"type": "text", "align": "left", "dx": 7},
            "encoding": {**named, "text": {"field": "strip"}},
        },
    ]
    rows = [{"strip": strip, "station": station, "value": value} for strip, station, value in places]
    return framed(ruler, rows, layers, height)


def _key(strips: Sequence[str], length: float, value: float) -> dict[str, Any]:
    """Which shape is which strip: a row of them above the readings."""
    step = length / max(len(strips), 10)
    return {"values": [{"strip": one, "station": (i + 0.2) * step, "value": value} for i, one in enumerate(strips)]}


def run_chart(
    ruler: Ruler,
    labels: Sequence[str],
    values: Sequence[float],
    lines: tuple[float, float, float],
    height: float = 110.0,
) -> dict[str, Any]:
    """A control chart: one point a strip in the order read, with ``lines`` lower limit, centre, upper limit."""
    low, high = _span([*values, *lines], (None, None))
    y = _axis(low, high)
    x = {
        "field": "strip",
        "type": "nominal",
        "sort": list(labels),
        "axis": {"title": None, "domain": False, "ticks": False, "labelAngle": 0},
    }
    layers: list[dict[str, Any]] = [
        _rule(lines[1], y, dash=False),
        _rule(lines[0], y),
        _rule(lines[2], y),
        {"mark": "line", "encoding": {"x": x, "y": y}},
        {"mark": "point", "encoding": {"x": x, "y": y}},
    ]
    rows = [{"strip": label, "value": value} for label, value in zip(labels, values, strict=True)]
    return framed(ruler, rows, layers, height)


def _span(values: Sequence[float], limits: tuple[float | None, float | None]) -> tuple[float, float]:
    every = [*values, 0.0, *(limit for limit in limits if limit is not None)]
    margin = 0.1 * (max(every) - min(every) or 1.0)
    return min(every) - margin, max(every) + margin


def _axis(low: float, high: float) -> dict[str, Any]:
    return {
        "field": "value",
        "type": "quantitative",
        "scale": {"domain": [low, high], "nice": False},
        "axis": {"title": None, "tickCount": 5, "domain": False, "ticks": False, "format": "~f"},
    }


def _rule(value: float, y: dict[str, Any], *, dash: bool = True) -> dict[str, Any]:
    mark: dict[str, Any] = {"type": "rule"} if dash else {"type": "rule", "strokeDash": []}
    return {"data": {"values": [{"value": value}]}, "mark": mark, "encoding": {"y": y}}

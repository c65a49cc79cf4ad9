"""Charts of the bench: what strips read along the rod, and strip after strip at one stop."""

from __future__ import annotations

from collections.abc import Sequence
from math import copysign
from statistics import median
from typing import Any

from culmwright.book.charts import framed
from culmwright.book.ruler import Ruler

_Places = Sequence[tuple[str, float, float]]


def deviations(
    ruler: Ruler,
    places: _Places,
    limits: tuple[float | None, float | None],
    *,
    station_of: float,
    ticks: Sequence[float],
    height: float = 150.0,
) -> dict[str, Any]:
    """How far each strip is from its target, on the rod's own axis: (strip, station, deviation) in display units.

    ``limits`` are the stop limits under and over, None where there is none.
    """
    reach = _reach(places, limits)
    seen = [(strip, station, min(max(value, -reach), reach)) for strip, station, value in places]
    low, high = _span([value for _, _, value in seen], limits)
    x = {
        "field": "station",
        "type": "quantitative",
        "scale": {"domain": [0, ruler.length / station_of], "nice": False, "zero": False},
        "axis": {"title": None, "values": list(ticks), "domain": False, "ticks": False, "format": "~f"},
    }
    y = _axis(low, high)
    strips = list(dict.fromkeys(strip for strip, _, _ in places))
    marked = {"x": x, "y": y, "shape": {"field": "strip", "type": "nominal", "sort": strips, "legend": None}}
    layers: list[dict[str, Any]] = [
        _rule(0.0, y, dash=False),
        *(_rule(limit, y) for limit in limits if limit is not None),
        {"mark": {"type": "line", "strokeWidth": 0.6}, "encoding": {"x": x, "y": y, "detail": {"field": "strip"}}},
        {"mark": {"type": "point", "filled": False, "size": 34}, "encoding": marked},
        *_called(ruler, seen, (low, high), x, y, height),
        *_beyond(places, reach, x, y),
    ]
    rows = [{"strip": strip, "station": station, "value": value} for strip, station, value in seen]
    return framed(ruler, rows, layers, height)


USUAL = 3.0  # times what strips usually come to: what is further off is drawn at the edge, with its figure
LEADER = 14.0  # [pt] from a line's end to its name


def _reach(places: _Places, limits: tuple[float | None, float | None]) -> float:
    """How far off target a reading is drawn at most: one strip far off does not press the others flat."""
    worst: dict[str, float] = {}
    for strip, _, value in places:
        worst[strip] = max(worst.get(strip, 0.0), abs(value))
    least = max((abs(limit) for limit in limits if limit is not None), default=0.0)
    usual = (median(worst.values()) or max(worst.values())) if worst else 0.0
    return max(USUAL * usual, 1.5 * least)


def _called(
    ruler: Ruler, places: _Places, ends: tuple[float, float], x: dict[str, Any], y: dict[str, Any], height: float
) -> list[dict[str, Any]]:
    """The name of each strip at the end of its line where there is room, apart from one another."""
    if not places:
        return []
    length = x["scale"]["domain"][1]
    step = LEADER / ruler.span * length
    right = (
        max(station for _, station, _ in places) + 3 * step < length
        or min(station for _, station, _ in places) < 3 * step
    )
    last: dict[str, tuple[float, float]] = {}
    for strip, station, value in sorted(places, key=lambda one: one[1], reverse=not right):
        last[strip] = (station, value)
    line = 11.0 if ruler.width < 600 else 16.0  # [pt] from one name to the next: a page wide has larger letters
    apart = line / height * (ends[1] - ends[0])
    names = sorted(last, key=lambda strip: last[strip][1])
    heights = _spread([last[strip][1] for strip in names], apart, ends)
    way = 1 if right else -1
    rows = [
        {
            "strip": strip,
            "station": last[strip][0],
            "value": last[strip][1],
            "to": last[strip][0] + way * step,
            "at": at,
        }
        for strip, at in zip(names, heights, strict=True)
    ]
    named = {"x": {**x, "field": "to"}, "y": {**y, "field": "at"}, "text": {"field": "strip"}}
    leader = {"x": x, "y": y, "x2": {"field": "to"}, "y2": {"field": "at"}}
    return [
        {"data": {"values": rows}, "mark": {"type": "rule", "strokeDash": [], "strokeWidth": 0.4}, "encoding": leader},
        {
            "data": {"values": rows},
            "mark": {"type": "text", "align": "left" if right else "right", "baseline": "middle", "dx": way * 2},
            "encoding": named,
        },
    ]


def _spread(values: Sequence[float], apart: float, ends: tuple[float, float]) -> list[float]:
    """Places near rising ``values``, each at least ``apart`` above the one before, the highest within ``ends``."""
    found: list[float] = []
    for value in values:
        found.append(max(value, found[-1] + apart) if found else value)
    over = max(found[-1] - ends[1], 0.0) if found else 0.0
    for i in range(len(found) - 1, -1, -1):
        found[i] = min(found[i], found[i + 1] - apart) if i + 1 < len(found) else found[i] - over
    return found


def _beyond(places: _Places, reach: float, x: dict[str, Any], y: dict[str, Any]) -> list[dict[str, Any]]:
    """The figure of what is drawn nearer than it is: for each strip its worst."""
    worst: dict[str, tuple[float, float]] = {}
    for strip, station, value in places:
        if abs(value) > max(reach, abs(worst.get(strip, (0.0, 0.0))[1])):
            worst[strip] = (station, value)
    return [
        {
            "data": {
                "values": [{"station": station, "value": copysign(reach, value), "words": f"{strip} to {value:+.3g}"}]
            },
            "mark": {
                "type": "text",
                "align": "left",
                "baseline": "bottom" if value < 0 else "top",
                "dx": 4,
                "dy": -6 if value < 0 else 6,
            },
            "encoding": {"x": x, "y": y, "text": {"field": "words"}},
        }
        for strip, (station, value) in worst.items()
    ]


def run_chart(
    ruler: Ruler,
    labels: Sequence[str],
    values: Sequence[float],
    lines: tuple[float, float, float],
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
    return framed(ruler, rows, layers, 110.0)


def _span(values: Sequence[float], limits: tuple[float | None, float | None]) -> tuple[float, float]:
    every = [*values, 0.0, *(limit for limit in limits if limit is not None)]
    margin = 0.1 * (max(every) - min(every) or 1.0)
    return min(every) - margin, max(every) + margin


def _axis(low: float, high: float) -> dict[str, Any]:
    return {
        "field": "value",
        "type": "quantitative",
        "scale": {"domain": [low, high], "nice": False},
        "axis": {"title": None, "tickCount": 5, "domain": False, "ticks": False, "format": "~f", "offset": 6},
    }


def _rule(value: float, y: dict[str, Any], *, dash: bool = True) -> dict[str, Any]:
    mark: dict[str, Any] = {"type": "rule"} if dash else {"type": "rule", "strokeDash": []}
    return {"data": {"values": [{"value": value}]}, "mark": mark, "encoding": {"y": y}}

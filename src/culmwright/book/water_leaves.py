"""The sheets of water, heat and the bed: a bundle's drying record, the oven plan, and the thermal fit of an insert."""

from __future__ import annotations

from collections.abc import Sequence
from math import exp
from typing import Any

from culmwright.book import charts
from culmwright.book.cautions import HEAT
from culmwright.book.fit_drawing import fit_figure
from culmwright.book.ladders import folded
from culmwright.book.leaf import Block, Figure, Leaf, Rows, Words
from culmwright.book.ruler import Ruler
from culmwright.book.water_words import (
    FIT_HEADS,
    HEAT_HEADS,
    caution_words,
    drying_words,
    error_words,
    fit_rows,
    fit_words,
    found_words,
    heat_rows,
    heat_words,
    mass_format,
    settled_words,
    weighing_heads,
    weighing_rows,
)
from culmwright.book.words import sentence
from culmwright.cane.drying import BundleDrying
from culmwright.cane.heat_working import step_working
from culmwright.cane.heating import HeatPlan
from culmwright.cane.water_working import bundle_working
from culmwright.measure.display import Display, Format
from culmwright.rigs.thermal import Entry, Joint, ThermalFit, fit_at
from culmwright.rigs.thermal_working import fit_working

BOXES = 6  # weighings to write in
DAY, HOUR, MINUTE = 86_400.0, 3_600.0, 60.0  # [s]
SPAN = {"in": (5 / 9, 5.0), "mm": (1.0, 2.5)}  # size of a degree [K], and degrees between the rows of a fit
STEPS = 4  # of temperature, either way


def drying_leaf(one: BundleDrying, ruler: Ruler, show: Display) -> Leaf:
    """The drying record of a bundle: words, mass against time, weighings made and boxes for those to come."""
    blocks: list[Block] = []
    if one.fit is not None:
        first, *rest = drying_words(one.fit, one.weighings, one.target, show)
        blocks += [Words(first, strong=True), Words(" ".join([*rest, *map(sentence, one.fit.notes)]))]
    else:
        blocks.append(Words(f"{sentence(one.reason)}" if one.reason else "Not weighed yet.", strong=True))
    if one.settled is not None:
        blocks.append(Words(settled_words(one.settled, show) + " Wood's figures stand in for cane's."))
    if len(one.weighings) > 1:
        blocks.append(_mass_figure(one, ruler, show))
    if one.weighings:
        rows = weighing_rows(one.weighings, show)
        blocks.append(Rows(weighing_heads(one.weighings, show), rows, "Weighings"))
    blocks += _drying_folds(one, show)
    done = len(one.weighings)
    boxes = tuple((str(number), "") for number in range(done + 1, done + 1 + BOXES))
    blocks.append(Rows(("weighing", "day, hour and mass"), boxes, "To come", write_in=True))
    return Leaf(f"Drying record, {one.bundle}", tuple(blocks), HEAT)


def _drying_folds(one: BundleDrying, show: Display) -> list[Block]:
    """The working of when it will be dry, of its moisture now, and of where it settles."""
    found = bundle_working(one)
    titles = {
        "dry_in": "the time to go",
        "moisture": "its moisture now",
        "rest": "the moisture it settles at",
    }
    masses = mass_format(one.weighings, show) if one.weighings else None
    return [folded(title, found[name], show, name, masses) for name, title in titles.items() if name in found]


def _mass_figure(one: BundleDrying, ruler: Ruler, show: Display) -> Figure:
    mass = mass_format(one.weighings, show)
    unit, word = (HOUR, "hours") if one.weighings[-1].time < 3 * DAY else (DAY, "days")
    title = f"Mass in {mass.unit} over {word} from the first weighing"
    dashed = "; dashed: the masses its target may be" if one.fit is not None else ""
    band = "; line: the likeliest curve, grey: nine curves in ten" if one.fit is not None else ""
    return Figure(
        charts.svg(mass_chart(one, ruler, unit, mass), charts.PRINT), f"{title}{band}{dashed}", f"{title}{band}{dashed}"
    )


def mass_chart(one: BundleDrying, ruler: Ruler, unit: float, mass: Format) -> dict[str, Any]:
    """Weighings as points, the likeliest curve and its band: ``mass`` over time in a ``unit`` [s] from the first."""
    si = mass.si
    points = [{"time": each.time / unit, "mass": each.mass / si} for each in one.weighings]
    curve = [] if one.fit is None else one.fit.curve
    fine = [
        {"time": time / unit, "mass": mass / si, "low": low / si, "high": high / si} for time, mass, low, high in curve
    ]
    goals = [] if one.fit is None else [one.fit.target_mass.low / si, one.fit.target_mass.top / si]
    lowest = one.weighings[-1].mass / si * 0.9  # a bound far down would press the curve flat
    values = [row["mass"] for row in points] + [max(row["low"], lowest) for row in fine] + [row["high"] for row in fine]
    values += [goal for goal in goals if goal > lowest]
    low, high = min(values), max(values)
    room = 0.06 * (high - low or high)
    end = max([*(row["time"] for row in fine), points[-1]["time"], 1e-9])
    x = _axis("time", 0.0, end, 8)
    y = _axis("mass", low - room, high + room, 5)
    clip = {"clip": True}
    layers: list[dict[str, Any]] = [
        {
            "data": {"values": fine},
            "mark": {"type": "area", **clip},
            "encoding": {"x": x, "y": {**y, "field": "low"}, "y2": {"field": "high"}},
        },
        *(
            {"data": {"values": [{"mass": goal}]}, "mark": {"type": "rule", **clip}, "encoding": {"y": y}}
            for goal in goals
        ),
        {"data": {"values": fine}, "mark": {"type": "line", **clip}, "encoding": {"x": x, "y": y}},
        {"mark": {"type": "point"}, "encoding": {"x": x, "y": y}},
    ]
    return charts.framed(ruler, points, layers, 170)


def _axis(field: str, low: float, high: float, count: int) -> dict[str, Any]:
    return {
        "field": field,
        "type": "quantitative",
        "scale": {"domain": [low, high], "nice": False, "zero": False},
        "axis": {
            "title": None,
            "tickCount": count,
            "domain": False,
            "ticks": False,
            "format": "~f",
            "offset": 0 if field == "time" else 6,
        },
    }


def oven_leaf(plan: HeatPlan | None, done: Sequence[tuple[str, str, str]], ruler: Ruler, show: Display) -> Leaf:
    """The oven plan with its cautions, and what was ``done``: (when, bundle, words)."""
    blocks: list[Block] = []
    if plan is not None:
        blocks += [Words(" ".join(heat_words(plan, show)))]
        blocks += [Words(one, strong=True) for one in caution_words(plan, show)]
        rows = tuple((*row, "") for row in heat_rows(plan, show))
        blocks.append(Rows((*HEAT_HEADS, "in at, out at"), rows, "Steps", lead=1, write_in=True))
        title = f"Temperature in {show.temperature.unit} over minutes; line: the oven, grey: the cane within its range"
        blocks.append(Figure(charts.svg(heat_chart(plan, ruler, show), charts.PRINT), title, title))
        blocks += [Words(" ".join(map(sentence, plan.notes)))]
        blocks += [
            folded(f"step {number}, time in the oven", step_working(one, plan.room, number)["in_oven"], show)
            for number, one in enumerate(plan.steps, 1)
        ]
        if plan.published:
            blocks.append(Words("Published: " + " ".join(found_words(plan, show))))
    if done:
        blocks.append(Rows(("when", "bundle", "what"), tuple(done), "Done", lead=3))
    return Leaf("Oven plan" if plan is not None else "Oven record", tuple(blocks), HEAT)


def heat_chart(plan: HeatPlan, ruler: Ruler, show: Display) -> dict[str, Any]:
    """The oven's temperature and between which bounds the cane follows it, every step held by the slow bound."""
    size, zero = show.temperature.scale
    oven, cane = [], []
    start, quick, slow = 0.0, plan.room.temperature, plan.room.temperature
    for step in plan.steps:
        length = step.in_oven.top
        oven += [{"time": at / MINUTE, "oven": (step.temperature - zero) / size} for at in (start, start + length)]
        for i in range(31):
            at = length * (i / 30) ** 2
            near = [
                step.temperature - (step.temperature - begin) * exp(-at / constant)
                for begin, constant in ((quick, step.constant.low), (slow, step.constant.top))
            ]
            low, high = sorted((one - zero) / size for one in near)
            cane.append({"time": (start + at) / MINUTE, "low": low, "high": high})
        quick, slow = near
        start += length
    x = _axis("time", 0.0, start / MINUTE, 8)
    top = max(row["oven"] for row in oven)
    y = _axis("oven", min(row["low"] for row in cane), top + 0.06 * abs(top), 5)
    layers: list[dict[str, Any]] = [
        {
            "data": {"values": cane},
            "mark": {"type": "area", "stroke": "black", "strokeWidth": 0.5},
            "encoding": {"x": x, "y": {**y, "field": "low"}, "y2": {"field": "high"}},
        },
        {"mark": {"type": "line", "interpolate": "linear"}, "encoding": {"x": x, "y": y}},
    ]
    return charts.framed(ruler, oven, layers, 130)


def fit_leaf(name: str, joint: Joint, ruler: Ruler, show: Display) -> Leaf:
    """The thermal fit of an insert on the bed of a rig called ``name``: at a cold day, and through the year."""
    every = [_fit_off(joint, i, show) for i in range(-STEPS, STEPS + 1)]
    cold = cold_day(joint, show)
    first, *rest = fit_words(cold, show)
    svg, alt = fit_figure(cold, Ruler(_length(joint), ruler.width, ruler.left, ruler.right), show)
    working = fit_working(cold, cold.furthest)
    blocks: list[Block] = [
        Words(first, strong=True),
        Words(" ".join(rest)),
        Figure(svg, alt, alt),
        Rows(FIT_HEADS, fit_rows(cold, show), f"At {show.temperature.fine(cold.now)}", lead=1),
        Rows(
            ("room at", "the hole furthest off lies", "enter for certain", "may enter", "bring the insert to"),
            tuple(_year_row(one, show) for one in every),
            "At other temperatures",
            lead=1,
        ),
        Words(" ".join(map(sentence, cold.notes))),
        folded("the hole furthest off", working["error"], show),
        folded("what to bring the insert to", working["bring_to"], show),
    ]
    return Leaf(f"Thermal fit, {name}", tuple(blocks))


def cold_day(joint: Joint, show: Display) -> ThermalFit:
    """The fit its sheet shows screw by screw: two rows of its table colder than it was made."""
    return _fit_off(joint, -2, show)


def _fit_off(joint: Joint, rows: int, show: Display) -> ThermalFit:
    size, apart = SPAN[show.bare]
    return fit_at(joint, joint.made_at + rows * apart * size)


def _length(joint: Joint) -> float:
    return max(*joint.screws, joint.fixed) * 1.02


def _year_row(found: ThermalFit, show: Display) -> tuple[str, ...]:
    far = found.furthest
    perhaps = sum(one.entry is Entry.PERHAPS for one in found.screws)
    known = found.enters is not None
    return (
        show.temperature.fine(found.now),
        error_words(far.error, show.small),
        str(found.enters) if known else "not known",
        str(perhaps) if known else "not known",
        found.bring_to.words(show.temperature.fine),
    )

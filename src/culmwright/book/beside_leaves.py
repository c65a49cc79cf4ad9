"""The leaves of two rods side by side: bent shapes over one another, how the bend adds up, stress, drops, modes."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from culmwright.book import charts
from culmwright.book.behaviour_leaves import lines, plain, round_load, shapes_drawing, x_axis
from culmwright.book.cautions import LOADED
from culmwright.book.contents import Behaviour
from culmwright.book.leaf import Block, Figure, Leaf, Rows, Words
from culmwright.book.ruler import Ruler
from culmwright.measure.display import Display

DASHED = "6 3"


@dataclass(frozen=True, slots=True)
class BesideRod:
    """One of two rods: its ``name``, its ``free`` length from grip to tip [m], and how it behaves."""

    name: str
    free: float
    seen: Behaviour


def beside_leaves(
    one: BesideRod, other: BesideRod, borne: int, words: Sequence[str], ruler: Ruler, show: Display, titled: str = ""
) -> tuple[Leaf, ...]:
    """``one`` solid, ``other`` dashed, held at one place on a ``ruler`` long enough for both.

    ``borne`` is how many of the loads both bear: the pictures are of the last of these and of own weight.
    """
    load = round_load(show, one.seen.shapes[borne - 1].load)
    pair = (one, other)
    clamp = max(each.free for each in pair)
    sketch = [
        (shape, round_load(show, shape.load) if each is one else "", "" if each is one else DASHED)
        for each in pair
        for shape in (each.seen.shapes[0], each.seen.shapes[borne - 1])
    ]
    first: tuple[Block, ...] = (
        *(Words(each) for each in words),
        Figure(
            shapes_drawing(clamp, sketch, ruler),
            f"Bent shapes of both rods to scale, {one.name} solid, {other.name} dashed",
            f"At rest to scale, grip level, own weight and {load}: {one.name} solid, {other.name} dashed",
        ),
    )
    aligned = (
        ""
        if one.free == other.free
        else " Stations count from the tip of the longer rod; the grips stand at one place."
    )
    second: tuple[Block, ...] = (
        Words(f"Solid lines: {one.name}. Dashed lines: {other.name}.{aligned}"),
        Figure(
            charts.svg(_chart(pair, _added(pair, borne), clamp, ruler, show, "per cent"), charts.PRINT),
            "How the bend adds up from the tip",
            f"How the bend adds up from the tip under {load}, per cent: the steeper, the more the rod bends there",
        ),
        Figure(
            charts.svg(_chart(pair, _stress(pair, borne, show), clamp, ruler, show, show.stress.unit), charts.PRINT),
            "Stress of both rods",
            f"Stress under {load}, {show.stress.unit}",
        ),
        Rows(("tip comes down by", one.name, other.name), _drops(pair, borne, show), "Under hanging loads"),
        Rows(("mode", f"{one.name}, Hz", f"{other.name}, Hz"), _modes(pair), "How they swing"),
    )
    return (
        Leaf(f"How this rod behaves beside {other.name}{titled}", first, LOADED),
        Leaf(f"Bend, stress and swing beside {other.name}{titled}", second, LOADED),
    )


Curve = list[tuple[float, float]]


def _added(pair: tuple[BesideRod, BesideRod], borne: int) -> list[Curve]:
    """For each rod (distance from the tip [m], share of the bend between there and the tip [%])."""
    curves = []
    for each in pair:
        shape = each.seen.shapes[borne - 1]
        whole = shape.angle[0] - shape.angle[-1]
        curves.append(
            [
                (each.free - s, 100 * (angle - shape.angle[-1]) / whole)
                for s, angle in zip(shape.s, shape.angle, strict=True)
            ]
        )
    return curves


def _stress(pair: tuple[BesideRod, BesideRod], borne: int, show: Display) -> list[Curve]:
    """For each rod (distance from the tip [m], stress in the unit shown)."""
    return [
        [
            (each.free - s, stress / show.stress.si)
            for s, stress in zip(each.seen.shapes[borne - 1].s, each.seen.shapes[borne - 1].stress, strict=True)
        ]
        for each in pair
    ]


def _chart(
    pair: tuple[BesideRod, BesideRod], curves: list[Curve], clamp: float, ruler: Ruler, show: Display, unit: str
) -> dict[str, Any]:
    """Both curves along the rods, whose grips stand at one place."""
    rows = [
        {"station": (clamp - each.free + x) / show.station.si, "value": value, "line": str(number)}
        for number, (each, curve) in enumerate(zip(pair, curves, strict=True))
        for x, value in curve
    ]
    top = 1.08 * max(float(value) for curve in curves for _, value in curve)
    y = {"type": "quantitative", "scale": {"domain": [0, top], "nice": False}, "axis": plain(4)}
    made: dict[str, Any] = lines(ruler, rows, x_axis(ruler, show), y, 100)
    return {**made, "description": unit}


def _drops(pair: tuple[BesideRod, BesideRod], borne: int, show: Display) -> tuple[tuple[str, ...], ...]:
    return tuple(
        (round_load(show, pair[0].seen.shapes[i].load), *(show.near(-each.seen.shapes[i].y[-1]) for each in pair))
        for i in range(borne)
    )


def _modes(pair: tuple[BesideRod, BesideRod]) -> tuple[tuple[str, ...], ...]:
    both = zip(*(each.seen.modes for each in pair), strict=False)
    return tuple((str(i), *(f"{one.frequency:.2f}" for one in modes)) for i, modes in enumerate(both, 1))

"""The leaves of a proof: drawn and built in words, one picture on the rod's own axis, figures, spine."""

from __future__ import annotations

from math import degrees
from typing import Any

from culmwright.book import charts
from culmwright.book.cautions import LOADED
from culmwright.book.leaf import Block, Figure, Leaf, Rows, Words
from culmwright.book.press import fonts
from culmwright.book.ruler import Ruler
from culmwright.book.strips_cane import cane_table
from culmwright.book.words import sentence, signed
from culmwright.measure.display import Display, Format
from culmwright.proof.comparison import STRESS, Compared, Proof, StationProof
from culmwright.proof.measures import pairs
from culmwright.proof.sentence import word

FIGURES = {  # what a rod's line comes to is told in words, not as a number beside them
    "tip half": "stiffness, tip half",
    "butt half": "stiffness, butt half",
    "tip dimensions": "by its dimensions, tip half",
    "butt dimensions": "by its dimensions, butt half",
    "tip cane": "by its cane, tip half",
    "butt cane": "by its cane, butt half",
    "drop": "drop under the load",
    "rate": "first swing",
    STRESS: "greatest stress at a station",
    "cane": "mass of the cane",
}
FLOOR = 12.7e-6
"""The chart of the across shows half a thou either way, where nothing stands out farther [m]."""
TICKS = {"in": 5, "mm": 100}


def proof_leaves(proof: Proof, said: str, spine: str, ruler: Ruler, show: Display) -> tuple[Leaf, ...]:
    """The proof of a rod with one of its tips: the sentence ``said``, the picture, the figures; then the stations."""
    fonts()
    pair = "flat to flat" if proof.rod.sides % 2 == 0 else "flat to corner"
    title = f"Proof, tip {proof.tip}" if proof.rod.pieces > 1 else "Proof"
    blocks: list[Block] = [
        Words(sentence(said), strong=True),
        Words(sentence(spine)),
        Figure(
            charts.svg(across_chart(proof, ruler, show), charts.PRINT),
            f"Across, built less drawn, along the rod in {show.small.unit}: the line is the mean of all "
            "directions, the band holds it in 95 of 100, the small marks are single directions",
            f"Across {pair} as built, over (+) or under (-) the drawing, {show.small.unit}; grey: 95 of 100, "
            "marks: each direction",
            along=True,
        ),
        figures_table(proof, show),
        Figure(
            charts.svg(spine_chart(proof, ruler, show), charts.PRINT),
            "How much stiffer each section is one way than square to it, per cent, along the rod; a filled mark is "
            "told from the readings' doubt, an open one is not",
            "Spine along the rod, per cent; filled marks are more than doubt",
            along=True,
        ),
    ]
    blocks += cane_table(proof.strips, show)
    blocks += [Words(sentence(note)) for note in proof.notes]
    return (
        Leaf(title, tuple(blocks), LOADED),
        Leaf(f"{title}, by station", (across_table(proof, show), bend_table(proof, show))),
    )


def figures_table(proof: Proof, show: Display) -> Rows:
    """Figures of the whole rod, drawn and built."""
    return Rows(
        ("of the whole rod", "drawn", "built", "± (95 of 100)", "it is"),
        tuple(_row(one, proof, show) for one in proof.whole if one.name in FIGURES),
        f"Drawn and built, drop under {show.load(proof.load)}, level, own weight counted",
    )


def _row(one: Compared, proof: Proof, show: Display) -> tuple[str, ...]:
    number = figure_format(one, show)
    drawn, built = (number(value) for value in (one.drawn, one.built))
    if one.name == STRESS and not (most := _most_stressed(proof)).measured:
        return FIGURES[one.name], drawn, built, "–", f"in {most.section}, not read: as drawn there"
    return FIGURES[one.name], drawn, built, number((one.high - one.low) / 2), word(one)


def _most_stressed(proof: Proof) -> StationProof:
    """The station of the greatest stress of the rod as built, ahead of the grip."""
    return max((one for one in proof.stations if one.ahead), key=lambda one: one.stress.built)


def figure_format(one: Compared, show: Display) -> Format:
    """How a figure of the whole rod is shown."""
    return {
        "m": show.near,
        "Pa": show.stress,
        "kg": show.mass,
        "Hz": Format("Hz", 1.0, 3),
        "-": Format("%", 0.01, 1),
    }[one.unit]


def across_table(proof: Proof, show: Display) -> Rows:
    """Across at every station, drawn and built, and each direction by itself."""
    unit = show.small.unit
    n = proof.rod.sides
    over = tuple(f"{face}–{face + n // 2}" if n % 2 == 0 else f"{face}" for face in range(1, pairs(n) + 1))
    heads = (f"station, {show.station.unit}", "section", "drawn", "built", f"±, {unit}", "it is", *over)
    return Rows(
        heads,
        tuple(_across(one, show) for one in proof.stations),
        f"Across by station, {show.across.unit}; over each pair of faces less drawn, {unit}",
        lead=2,
    )


def _across(one: StationProof, show: Display) -> tuple[str, ...]:
    across = one.across
    head = show.station.number(one.station), one.section, show.across.number(across.drawn)
    if not one.measured:
        return (*head, "not read", "–", "–", *("–" for _ in one.directions))
    return (
        *head,
        show.across.number(across.built),
        show.small.number((across.high - across.low) / 2),
        word(across),
        *(signed(show.small, each - across.drawn) for each in one.directions),
    )


def bend_table(proof: Proof, show: Display) -> Rows:
    """Stiffness, stress and spine at every station read."""
    heads = (
        f"station, {show.station.unit}",
        "section",
        "stiffness, %",
        "it is",
        f"stress, {show.stress.unit}",
        "drawn",
        "of limit",
        "spine, %",
        "at, deg",
    )
    return Rows(
        heads,
        tuple(_bend(one, show) for one in proof.stations if one.measured and one.stress.drawn),
        "Stiffness beside the drawn rod's, stress at load factor 4, spine",
        lead=2,
    )


def _bend(one: StationProof, show: Display) -> tuple[str, ...]:
    return (
        show.station.number(one.station),
        one.section,
        f"{100 * one.stiffness.built:.1f} ± {50 * (one.stiffness.high - one.stiffness.low):.1f}",
        word(one.stiffness),
        show.stress.number(one.stress.built),
        show.stress.number(one.stress.drawn),
        "–" if one.stress_share is None else f"{one.stress_share:.0%}",
        f"{100 * one.spine.size:.1f} ± {200 * one.spine.spread:.1f}",
        f"{degrees(one.spine.direction):.0f}" if one.spine.told else "not told",
    )


def across_chart(proof: Proof, ruler: Ruler, show: Display) -> dict[str, Any]:
    """Built less drawn along the rod: the mean with its band, every direction a small mark; one piece a section."""
    si, small = show.station.si, show.small.si
    rows: list[dict[str, Any]] = [
        {
            "station": one.station / si,
            "section": one.section,
            "off": one.across.off / small,
            "low": (one.across.low - one.across.drawn) / small,
            "high": (one.across.high - one.across.drawn) / small,
        }
        for one in proof.stations
        if one.measured
    ]
    marks = [
        {"station": one.station / si, "off": (each - one.across.drawn) / small}
        for one in proof.stations
        if one.measured
        for each in one.directions
    ]
    reach = 1.08 * max(
        *(abs(row[name]) for row in rows for name in ("low", "high")),
        *(abs(one["off"]) for one in marks),
        FLOOR / small,
    )
    x = _along(ruler, show)
    y = {
        "field": "off",
        "type": "quantitative",
        "scale": {"domain": [-reach, reach], "nice": False},
        "axis": {"title": None, "tickCount": 5, "domain": False, "ticks": False, "format": "~f", "offset": 6},
    }
    piece = {"field": "section", "type": "nominal"}
    layers: list[dict[str, Any]] = [
        {
            "mark": {"type": "area", "color": "#e6e6e6", "opacity": 1},
            "encoding": {"x": x, "y": {**y, "field": "low"}, "y2": {"field": "high"}, "detail": piece},
        },
        {"data": {"values": [{"off": 0.0}]}, "mark": {"type": "rule", "strokeDash": []}, "encoding": {"y": y}},
        {
            "data": {"values": marks},
            "mark": {"type": "tick", "color": "#000", "size": 7, "thickness": 0.8, "orient": "horizontal"},
            "encoding": {"x": x, "y": y},
        },
        {"mark": "line", "encoding": {"x": x, "y": y, "detail": piece}},
        {"mark": "point", "encoding": {"x": x, "y": y}},
    ]
    return charts.framed(ruler, rows, layers, 140)


def spine_chart(proof: Proof, ruler: Ruler, show: Display) -> dict[str, Any]:
    """Size of the spine at every station read, filled where it is told."""
    rows = [
        {
            "station": one.station / show.station.si,
            "size": 100 * one.spine.size,
            "section": one.section,
            "told": "told" if one.spine.told else "not told",
        }
        for one in proof.stations
        if one.measured
    ]
    top = 1.12 * max(1.0, *(float(str(row["size"])) for row in rows))
    x = _along(ruler, show)
    y = {
        "field": "size",
        "type": "quantitative",
        "scale": {"domain": [0, top], "nice": False},
        "axis": {"title": None, "tickCount": 4, "domain": False, "ticks": False, "format": "~f", "offset": 6},
    }
    fill = {
        "field": "told",
        "type": "nominal",
        "legend": None,
        "scale": {"domain": ["told", "not told"], "range": ["#000", "#fff"]},
    }
    layers: list[dict[str, Any]] = [
        {
            "mark": {"type": "line", "strokeWidth": 0.8},
            "encoding": {"x": x, "y": y, "detail": {"field": "section", "type": "nominal"}},
        },
        {"mark": {"type": "point", "size": 34}, "encoding": {"x": x, "y": y, "fill": fill}},
    ]
    return charts.framed(ruler, rows, layers, 80)


def _along(ruler: Ruler, show: Display) -> dict[str, Any]:
    """The rod's own axis."""
    step = TICKS[show.bare] * (2 if ruler.width > 450 else 4)
    ticks = [station / show.station.si for station in ruler.ticks(step * show.station.si)]
    return {
        "field": "station",
        "type": "quantitative",
        "scale": {"domain": [0, ruler.length / show.station.si], "nice": False, "zero": False},
        "axis": {"title": None, "values": ticks, "domain": False, "ticks": False, "format": "~f"},
    }

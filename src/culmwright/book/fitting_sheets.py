"""The sheet of ferrules and guides."""

from __future__ import annotations

from math import degrees
from typing import Any

from culmwright.book.contents import BookContents, Seated
from culmwright.measure.display import Display


def seat_sheet(show: Display, one: Seated) -> dict[str, Any]:
    """How one ferrule sits: what to turn away on either side of the joint."""
    sides = [(f"{one.outer}, male", one.tip_side), (f"{one.inner}, female", one.butt_side)]
    return {
        "title": f"Ferrule {one.ferrule.size}/64 in at {show.station(one.ferrule.station.m)}",
        "step": f"Step between the two sides: {show.small(one.step)} across the bare flats."
        if abs(one.step) > 1e-9
        else "Both sides are the same across: no step.",
        "fits": f"The smallest size that leaves the flats whole is {one.butt_side.fitting_size}/64 in"
        + (
            ", the one listed"
            if one.butt_side.fitting_size == one.ferrule.size
            else f", and the file lists {one.ferrule.size}/64"
        )
        + " (common practice, no source).",
        "rows": [
            [
                name,
                show.across.number(side.flats),
                show.across.number(side.corners),
                show.across.number(side.bore),
                show.small.number(side.corner_cut),
                show.small.number(side.flat_cut) if side.flat_cut > 1e-9 else "none",
            ]
            for name, side in sides
        ],
        "loose": [
            f"On the {name} the bore stands {show.small(side.slack)} over the corners: it is loose there."
            for name, side in sides
            if side.slack > 1e-9
        ],
        "mass": show.mass(one.ferrule.mass) if one.ferrule.mass is not None else "not given, none counted",
    }


def guide_sheet(book: BookContents) -> dict[str, Any]:
    """Where the guides stand, listed or proposed, beside the places where the bent rod turns its line evenly."""
    show, plan = book.show, book.guide_plan
    heads = [
        f"from the tip, {show.station.unit}",
        f"space before, {show.station.unit}",
        f"mass, {show.mass.unit}",
    ]
    if plan:
        heads += ["line turns, deg", f"even turns at, {show.station.unit}", "line turns, deg"]
    rows = []
    before: float | None = None
    for number, guide in enumerate(book.guides):
        x = guide.station.m
        row = [
            "tip-top" if x == 0 else str(number),
            show.guide.number(x),
            "–" if before is None else show.guide.number(x - before),
            "not given" if guide.mass is None else show.mass.number(guide.mass),
        ]
        if plan:
            ours, even = plan.ways[0], plan.ways[-1]
            row += [_turn(ours.turns[number]), show.guide.number(even.stations[number]), _turn(even.turns[number])]
        rows.append(row)
        before = x
    return {
        "heads": heads,
        "rows": rows,
        "words": "The file lists no guides. These places are a proposal: one a foot plus one, spaces that widen "
        "towards the butt (common practice, no source). Bend the rod and move them before you wrap."
        if book.guides_proposed
        else "As the file lists them. Bend the rod and look at the line before you wrap.",
        "turns": ""
        if plan is None
        else f"On the right: a line at {show.load(plan.load)} hangs from the level rod and "
        "turns at each guide. At the even places it turns by the same angle everywhere, as near as a tape's marks and "
        "the ferrules allow. A stronger pull bends the butt and straightens the tip, and moves even places towards the "
        "butt; common practice keeps guides near the tip-top, so that the line does not touch the cane in a cast.",
    }


def _turn(turn: float | None) -> str:
    return "" if turn is None else f"{degrees(turn):.1f}"

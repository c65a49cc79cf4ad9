"""The sheet of ferrules and guides."""

from __future__ import annotations

from typing import Any

from culmwright.book.contents import BookContents, Seated
from culmwright.design.rod import Rod
from culmwright.measure.display import Display


def seat_sheet(rod: Rod, show: Display, one: Seated) -> dict[str, Any]:
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
    """Where the guides stand, listed or proposed."""
    show = book.show
    rows = []
    before: float | None = None
    for number, guide in enumerate(book.guides):
        x = guide.station.m
        rows.append(
            [
                "tip-top" if x == 0 else str(number),
                show.station.number(x),
                "–" if before is None else show.station.number(x - before),
                "not given" if guide.mass is None else show.mass.number(guide.mass),
            ]
        )
        before = x
    return {
        "rows": rows,
        "mass_unit": show.mass.unit,
        "words": "The file lists no guides. These places are a proposal: one a foot plus one, spaces that widen "
        "towards the butt (common practice, no source). Bend the rod and move them before you wrap."
        if book.guides_proposed
        else "As the file lists them. Bend the rod and look at the line before you wrap.",
    }

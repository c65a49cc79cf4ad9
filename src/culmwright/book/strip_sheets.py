"""The sheets that go to the bench: strip schedule, setting up, passes, readings."""

from __future__ import annotations

from collections.abc import Iterator
from math import degrees
from typing import Any

from culmwright.bench.passes import THOU, PassPlan, depth_words
from culmwright.bench.targets import StripTarget, block_of
from culmwright.book.contents import BookContents, Group
from culmwright.book.figures import block_figure, strip_figure
from culmwright.book.words import NUMBERS, called, low, sentence
from culmwright.design.rod import Cutter
from culmwright.measure.display import Display

COLUMNS = 8
"""Strips a reading table holds side by side."""


def group_sheet(book: BookContents, group: Group) -> dict[str, Any]:
    """The strips of a group of sections: what to plane to."""
    show = book.show
    return {
        "title": called(group.names, book.rod.pieces),
        "same": len(group.names) > 1,
        "length": show.long(group.targets.length),
        "strips": group.targets.strips,
        "over": _strip_over(book),
        "labels": [f"{book.code}/{name}" for name in group.names],
        "rows": [
            [
                show.station.number(one.station),
                show.height.number(one.height),
                show.height.number(one.rough_height),
                show.height.number(one.face_width),
                "–" if one.crown is None else show.small.number(one.crown),
                show.across.number(one.glued_across),
                show.across.number(one.finished_across),
            ]
            for one in group.targets.stations
        ],
        "figure": strip_figure(book.rod.form, group.targets.stations[-1], show),
        "figure_words": f"At station {show.station.number(group.targets.stations[-1].station)}: one strip, and "
        f"{NUMBERS[book.rod.sides]} of them glued, before finishing. Enlarged.",
    }


def setup_sheet(book: BookContents) -> dict[str, Any]:
    """The V block, the cutter, and the readings to expect over every section."""
    rod, show = book.rod, book.show
    flat = rod.bench.cutter is Cutter.FLAT
    zero = rod.bench.block_zero
    by = 2 * THOU if show.bare == "in" else 0.05e-3
    step = show.small(by)
    groove = f", or make the groove {show.small(by * rod.form.flank_altitude)} shallower" if flat else ""
    return {
        "wedged": [sentence(one) for one in block_of(rod).warnings(rod.form)],
        "block": f"V block of {_degrees(rod.bench.block_angle)} for strips of {_degrees(rod.making.apex_angle)}.",
        "zero": f"Its zero is {show.height(zero.m)}: reading = zero + height."
        if zero
        else "Its zero is not measured yet: write it here, and add it to every height.",
        "known": zero is not None,
        "figure": block_figure(rod.form, rod.bench.block_angle),
        "errors": [[words, show.small(shift)] for words, shift in book.block_errors],
        "cutter": "A flat iron takes one flank at a time: passes come in pairs of equal depth, and the strip is turned."
        if flat
        else "A two-edged cutter takes both flanks: one pass lowers the strip by the fall of the stop.",
        "stop": "The first strip is crept down with many readings; then the stop is locked and every other strip "
        f"is cut to it. If a strip reads {step} over, lower the stop by {step}{groove}.",
        "sections": [
            {
                "title": called(group.names, book.rod.pieces),
                "rows": [
                    [
                        show.station.number(one.station),
                        show.height.number(one.groove_depth),
                        show.height.number(one.rough_height)
                        if one.rough_reading is None
                        else show.height.number(one.rough_reading),
                        show.height.number(one.height) if one.reading is None else show.height.number(one.reading),
                    ]
                    for one in group.targets.stations
                ],
            }
            for group in book.groups
        ],
        "reading_words": "reading" if zero else "zero +",
    }


def plan_sheet(book: BookContents, group: Group) -> dict[str, Any]:
    """The passes of a group of sections, with a box for each strip."""
    show = book.show
    thinnest = min(group.targets.stations, key=lambda one: one.height)
    phases = [("Roughing", group.roughing), ("Finishing", group.finishing)]
    return {
        "title": called(group.names, book.rod.pieces),
        "strips": strip_heads(book, group),
        "phases": [_phase(name, plan, show, thinnest) for name, plan in phases if plan is not None],
    }


def _phase(name: str, plan: PassPlan, show: Display, thinnest: StripTarget) -> dict[str, Any]:
    step = plan.strokes_per_round
    paired = " on each flank" if step > 1 else ""
    return {
        "title": name,
        "words": f"{show.height(plan.now)} to {show.height(plan.target)} at station "
        f"{show.station.number(thinnest.station)}, where most comes off. The rig is set to the taper: the other "
        f"stations reach their figure sooner and are not cut further. {depth_words(plan, show)}",
        "depth_head": f"pass{paired}, {show.small.unit}",
        "rows": [
            [
                str(i // step + 1),
                show.small.down(plan.passes[i]),
                show.small.number(plan.heights[i + step - 1] - plan.target),
            ]
            for i in range(0, len(plan.passes), step)
        ],
        "empty": not plan.passes,
        "notes": [sentence(one) for one in plan.notes],
    }


def walk(book: BookContents) -> str:
    """How far all these passes walk."""
    far = book.walked
    share = f"{far / 1609.344:.2f} of a mile" if book.show.bare == "in" else f"{far / 1000:.2f} km"
    return (
        f"All {book.strips} strips, {book.strokes} strokes along their whole length: {book.show.walk(far)} one way, "
        f"{share}, and as much again if you walk back."
    )


def strip_heads(book: BookContents, group: Group) -> list[str]:
    """What the strips of a section are called, the spare ones marked."""
    sides = book.rod.sides
    return [f"S{i + 1}" if i < sides else f"S{i + 1} spare" for i in range(group.targets.strips)]


def _strip_over(book: BookContents) -> str:
    over = book.rod.bench.strip_over.m
    if not over:
        return ""
    return (
        f" Strips are cut {book.show.long(over)} longer than the section: keep half of that beyond each end, and "
        "count stations from the rod's tip."
    )


def glued_sheet(book: BookContents, group: Group, name: str) -> dict[str, Any]:
    """Boxes for the glued section: across in every direction, as glued and as finished."""
    show, sides = book.show, book.rod.sides
    directions = sides // 2 if sides % 2 == 0 else sides
    return {
        "title": f"Glued section, {low(called([name], book.rod.pieces))}",
        "label": f"{book.code}/{name}",
        "directions": [str(i + 1) for i in range(directions)],
        "how": "flat to flat" if sides % 2 == 0 else "flat to corner",
        "rows": [
            [
                show.station.number(one.station),
                show.across.number(one.glued_across),
                show.across.number(one.finished_across),
            ]
            for one in group.targets.stations
        ],
    }


def reading_sheets(book: BookContents, group: Group, name: str) -> Iterator[dict[str, Any]]:
    """Boxes for the readings of one section, in the order of the walk."""
    show = book.show
    strips = strip_heads(book, group)
    known = book.rod.bench.block_zero is not None
    for start in range(0, len(strips), COLUMNS):
        yield {
            "title": f"Readings, {low(called([name], book.rod.pieces))}",
            "label": f"{book.code}/{name}",
            "strips": strips[start : start + COLUMNS],
            "known": known,
            "stages": [
                {
                    "title": "Roughed, wet, no swelling added" if book.rod.bench.wet else "Roughed",
                    "rows": [_wanted(show, one, rough=True) for one in group.targets.stations],
                },
                {"title": "Finished, dry", "rows": [_wanted(show, one, rough=False) for one in group.targets.stations]},
            ],
        }


def _wanted(show: Display, one: StripTarget, *, rough: bool) -> list[str]:
    reading, height = (one.rough_reading, one.rough_height) if rough else (one.reading, one.height)
    return [show.station.number(one.station), show.height.number(height if reading is None else reading)]


def _degrees(angle: float) -> str:
    return f"{degrees(angle):.4g} deg"

"""The sheets that go to the bench: strip schedule, setting up, passes, readings."""

from __future__ import annotations

from collections.abc import Iterator
from math import degrees
from typing import Any

from culmwright.bench.passes import PassPlan, depth_words
from culmwright.bench.targets import StripTarget
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
        "title": called(group.names),
        "same": len(group.names) > 1,
        "length": show.long(group.targets.length),
        "strips": group.targets.strips,
        "labels": [f"{book.rod.code}/{name}" for name in group.names],
        "rows": [
            [
                show.station.number(one.station),
                show.height.number(one.height),
                show.height.number(one.rough_height),
                show.height.number(one.face_width),
                "–" if one.crown is None else show.small.number(one.crown),
                show.across.number(one.glued_across),
                show.across.number(one.across),
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
    return {
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
        "stop": "The first strip is crept down with many readings; then the stop is locked and every other strip is "
        "cut to it. A reading over by e wants the stop lower by e"
        + (f", and a groove shallower by e x {rod.form.flank_altitude:.4f}." if flat else "."),
        "sections": [
            {
                "title": called(group.names),
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
        "title": called(group.names),
        "strips": [f"S{i + 1}" for i in range(group.targets.strips)],
        "phases": [_phase(name, plan, show, thinnest) for name, plan in phases if plan is not None],
    }


def _phase(name: str, plan: PassPlan, show: Display, thinnest: StripTarget) -> dict[str, Any]:
    step = plan.strokes_per_round
    paired = " on each flank" if step > 1 else ""
    return {
        "title": name,
        "words": f"{show.height(plan.now)} to {show.height(plan.target)} at station "
        f"{show.station.number(thinnest.station)}, where most comes off. {depth_words(plan, show)}",
        "depth_head": f"pass{paired}, {show.small.unit}",
        "rows": [
            [
                str(i // step + 1),
                show.small.number(plan.passes[i]),
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
    mile = far / 1609.344
    return (
        f"All {book.strips} strips, {book.strokes} strokes along their whole length: {book.show.walk(far)} one way, "
        f"{mile:.2f} of a mile, and as much again if you walk back."
    )


def reading_sheets(book: BookContents, group: Group, name: str) -> Iterator[dict[str, Any]]:
    """Boxes for the readings of one section, in the order of the walk."""
    show = book.show
    strips = [f"S{i + 1}" for i in range(group.targets.strips)]
    known = book.rod.bench.block_zero is not None
    for start in range(0, len(strips), COLUMNS):
        yield {
            "title": f"Readings, {low(called([name]))}",
            "label": f"{book.rod.code}/{name}",
            "strips": strips[start : start + COLUMNS],
            "known": known,
            "stages": [
                {
                    "title": "Roughed, wet" if book.rod.bench.wet else "Roughed",
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

"""Results as text for a terminal: words first, then a table that lines up."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from math import degrees

from culmwright.measure.display import Display
from culmwright.measure.reckoning import Explanation
from culmwright.workshop.checking import Rod, StressCheck
from culmwright.workshop.passing import PassPlan, depth_words
from culmwright.workshop.scheduling import SectionTargets, StripSchedule


def table(heads: Sequence[str], rows: Iterable[Sequence[str]]) -> str:
    """Right-aligned columns under their heads."""
    lines = [list(heads), *(list(row) for row in rows)]
    widths = [max(len(line[i]) for line in lines) for i in range(len(heads))]
    return "\n".join(
        "  ".join(cell.rjust(width) for cell, width in zip(line, widths, strict=True)).rstrip() for line in lines
    )


def sentences(notes: Iterable[str]) -> str:
    """Notes, one to a line, each a sentence."""
    return "".join(f"\n{note[0].upper()}{note[1:]}." for note in notes)


def stress(check: StressCheck, show: Display) -> str:
    """The stress check of a rod."""
    greatest = check.greatest
    lines = [
        f"{check.name}, tip {check.tip}: {show.mass(check.mass)} of cane, varnish, listed ferrules and guides.",
        f"Load factor {check.load_factor:g}; {check.section_rule}.",
    ]
    if greatest is not None:
        limit = f", {greatest.stress / check.stress_limit:.0%} of the limit" if check.stress_limit else ""
        lines.append(f"Greatest stress {show.stress(greatest.stress)} near {show.near(greatest.station)}{limit}.")
    rows = [
        (
            show.station.number(one.station),
            show.across.number(one.across),
            show.moment.number(one.moment),
            show.stress.number(one.stress),
            "in the grip" if one.in_grip else "",
        )
        for one in check.stations
    ]
    heads = (
        f"station, {show.station.unit}",
        f"across, {show.across.unit}",
        f"moment, {show.moment.unit}",
        f"stress, {show.stress.unit}",
        "",
    )
    lines += ["", table(heads, rows), "", "What it carries:"]
    lines.append(
        table((f"mass, {show.mass.unit}", "load"), ((show.mass.number(one.mass), one.load) for one in check.loads))
    )
    return "\n".join(lines) + sentences(check.notes)


def strips(schedule: StripSchedule, rod: Rod, show: Display) -> str:
    """The strip schedule of a rod."""
    lines = [
        f"{schedule.name}: {rod.sides} strips a section, apex {degrees(rod.making.apex_angle):.4g} deg; heights dry, "
        "from the virtual apex to the top of the crown; finished is across over varnish, as a caliper is to read it."
    ]
    for section in schedule.sections:
        lines.append(f"\n{section.section}, {show.long(section.length)}, {section.strips} strips with spares")
        heads = (
            f"station, {show.station.unit}",
            f"height, {show.height.unit}",
            "roughed",
            "face",
            f"crown, {show.small.unit}",
            "reading",
            "finished",
        )
        rows = [
            (
                show.station.number(one.station),
                show.height.number(one.height),
                show.height.number(one.rough_height),
                show.height.number(one.face_width),
                "not known" if one.crown is None else show.small.number(one.crown),
                "zero + height" if one.reading is None else show.height.number(one.reading),
                show.across.number(one.finished_across),
            )
            for one in section.stations
        ]
        lines.append(table(heads, rows))
        if section.scoops:
            lines += ["", _scoops(section, show)]
    return "\n".join(lines) + sentences(schedule.notes)


def _scoops(section: SectionTargets, show: Display) -> str:
    """What is scooped from a section's strips, just inside the hollow's ends and its dams."""
    heads = (
        f"hollow at, {show.station.unit}",
        f"wall, {show.height.unit}",
        "scoop below the apex",
        "strip left",
        "glue on a flank",
    )
    rows = [
        (show.station.number(one.station), *map(show.height.number, (one.wall, one.depth, one.left, one.glue_width)))
        for one in section.scoops
    ]
    return table(heads, rows)


def passes(plan: PassPlan, show: Display) -> str:
    """A pass plan."""
    lines = [
        f"From {show.height(plan.now)} to {show.height(plan.target)}: {_count(plan, show)}. {depth_words(plan, show)}"
    ]
    if plan.passes:
        rows = []
        step = plan.strokes_per_round
        for i in range(0, len(plan.passes), step):
            rows.append(
                (
                    str(i // step + 1),
                    show.small.down(plan.passes[i]) + (" each flank" if step > 1 else ""),
                    show.height.number(plan.heights[i + step - 1]),
                )
            )
        lines += ["", table(("round", f"pass, {show.small.unit}", f"height after, {show.height.unit}"), rows)]
    if plan.distance_walked is not None and plan.length is not None:
        many = f"{plan.strips} strip{'s' if plan.strips > 1 else ''} of {show.long(plan.length)}"
        lines.append(f"\nDistance walked, one way along each stroke: {show.walk(plan.distance_walked)} for {many}.")
    return "\n".join(lines) + sentences(plan.notes)


def _count(plan: PassPlan, show: Display) -> str:
    rounds = len(plan.passes) // plan.strokes_per_round
    if not rounds:
        return "no pass" if not plan.under_size else f"under size by {show.small(plan.target - plan.now)}, no pass"
    if plan.strokes_per_round == 1:
        return f"{rounds} pass{'es' if rounds > 1 else ''} of a two-edged cutter"
    return f"{rounds} pair{'s' if rounds > 1 else ''} of passes of a flat iron, on a rod of {plan.sides} sides"


def explanation(found: Explanation, show: Display) -> str:
    """A ladder, one step a line: name, value, rule, source."""
    figures = found.figures(show)
    rows = [(one.step, figure, one.rule, one.source) for one, figure in zip(found.ladder, figures, strict=True)]
    widths = [max(len(row[i]) for row in rows) for i in range(3)]
    lines = [
        f"{step:<{widths[0]}}  {value:>{widths[1]}}   {rule:<{widths[2]}}  {source}"
        for step, value, rule, source in rows
    ]
    head = f"{found.spot}: {rows[-1][0]} is {rows[-1][1]}."
    also = ["", f"Also here: {', '.join(found.also)}."] if found.also else []
    return "\n".join([head, "", *lines, *also]) + ("\n" if found.notes else "") + sentences(found.notes)

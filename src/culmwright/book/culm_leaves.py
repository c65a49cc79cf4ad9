"""The leaves of the cane before it meets a rig: a culm and what it gives, a section's nodes and its cut list."""

from __future__ import annotations

from dataclasses import replace
from math import degrees

from culmwright.bench.culm_yield import CulmYield
from culmwright.bench.cut_working import cut_working, strips_working
from culmwright.book.cautions import DUST, EDGES
from culmwright.book.culm_drawing import culm_view
from culmwright.book.culm_words import SERVES, rule, walls_said
from culmwright.book.ladders import folded
from culmwright.book.layout_drawing import ring_view, strips_view
from culmwright.book.leaf import Block, Figure, Ladder, Leaf, Rows, Words
from culmwright.book.ruler import Ruler
from culmwright.book.words import called, sentence
from culmwright.cane.culm import Culm, CulmLength, spacing
from culmwright.cane.layout import SectionLayout
from culmwright.design.rod import Rod
from culmwright.measure.display import Display, Format


def culm_leaf(culm: Culm, found: CulmYield | None, ruler: Ruler, show: Display, rod: Rod | None = None) -> Leaf:
    """A culm as measured, and which of its lengths give which strips of a ``rod``, with their working where it is."""
    near = rule(show)
    gaps = spacing(culm.nodes)
    words = f"{culm.label} is {show.long(culm.length.m)} long and has {len(culm.nodes)} nodes"
    words += "." if gaps is None else f", {near.number(gaps.least)} to {near(gaps.most)} apart."
    if culm.mass is not None:
        words += f" It weighs {Format(show.mass.unit, show.mass.si, 0)(culm.mass)}."
    if culm.moisture is not None:
        words += f" Its moisture is put at {culm.moisture:.0%} of its dry mass."
    blocks: list[Block] = [
        Words(words, strong=True),
        Figure(
            culm_view(culm, ruler, show),
            f"The culm {culm.label} drawn from butt end to tip end with its nodes, lengths and defects",
            "The culm",
        ),
        _measured(culm, show),
    ]
    if culm.defects:
        blocks.append(_defects(culm, show))
    if found is not None:
        blocks += [_yield(found, culm.label, show), Words(SERVES)]
        own = {one.name for one in culm.lengths}
        blocks += [Words(one) for one in walls_said((one for one in found.walls if one.length in own), show)]
        blocks += [Words(sentence(one)) for one in found.notes]
        blocks += [] if rod is None else _strip_folds(rod, culm, found, show)
    return Leaf(f"Culm {culm.label}", tuple(blocks), EDGES)


def _measured(culm: Culm, show: Display) -> Rows:
    rows = tuple(
        (
            show.station(one.place.m),
            show.across.number(one.diameter.m),
            "-" if one.wall is None else show.across.number(one.wall.m),
        )
        for one in culm.girths
    )
    return Rows(
        ("from the butt end", f"diameter, {show.across.unit}", f"wall, {show.across.unit}"), rows, "As measured"
    )


def _defects(culm: Culm, show: Display) -> Rows:
    rows = []
    for one in culm.defects:
        around = (
            "all round" if one.around is None else f"{degrees(one.around[0]):.0f} to {degrees(one.around[1]):.0f} deg"
        )
        rows.append((one.note or "defect", show.station(one.start.m), show.station(one.end.m), around))
    return Rows(("defect", "from", "to", "around, from the mark"), tuple(rows), "Defects")


def _yield(found: CulmYield, label: str, show: Display) -> Rows:
    roughly = replace(show.across, places=show.across.places - 1)  # what a strip is split to is no finer
    rows = tuple(
        (
            one.name,
            show.ruled.number(one.diameter),
            "-" if one.width is None else roughly.number(one.width),
            "-" if one.width is None else str(one.strips),
            ", ".join(f"{len(taken.numbers)} for {taken.section}" for taken in one.taken) or "left whole",
            "-" if one.width is None else str(one.left),
        )
        for one in found.lengths
        if one.culm == label
    )
    heads = (
        "length",
        f"narrow end, {show.across.unit}",
        f"raw width, {show.across.unit}",
        "strips",
        "gives, with spares",
        "left",
    )
    return Rows(heads, rows, f"Strips for {found.name}")


def _strip_folds(rod: Rod, culm: Culm, found: CulmYield, show: Display) -> list[Ladder]:
    """The working of how many strips each length of a ``culm`` holds, and of how wide they are."""
    served = {one.taken[0].section: one for one in found.lengths if one.culm == culm.label and one.taken}
    made = []
    for section, one in served.items():
        working = strips_working(rod, (culm,), found, section)
        if working:
            made.append(folded(f"strips out of {one.name}, and how wide", working["strips"], show))
    return made


def layout_leaf(
    found: SectionLayout, rod: Rod, ruler: Ruler, show: Display, lengths: tuple[CulmLength, ...] = ()
) -> Leaf:
    """A section's nodes drawn to scale, the ring, the cut list, and the classical patterns beside it.

    With the culm ``lengths`` it is cut from, the working of the list's first line too.
    """
    near = rule(show)
    section = next(one for one in rod.sections() if one.name == found.section)
    blocks: list[Block] = [
        Words(_said(found, show), strong=True),
        Words(
            "Lay the strips side by side with their butt ends level, mark them, and take off what the list says: every "
            f"strip is then {show.long(found.length + found.trim)} long, {near(found.trim / 2)} over the section at "
            "each end, and glues up with its ends level."
        ),
        Words(numbers_words(found)),
        Figure(
            strips_view(found, section.start.m, ruler, show),
            f"The strips of {found.section} in the order of the ring, with nodes, cut marks and forbidden zones",
            "Tip end at the left; heavy marks: cuts; bars: nodes; hatched: no node wanted; dashed: cut off",
        ),
        _cut_list(found, show),
        *_cut_folds(found, lengths, show),
        Figure(
            ring_view(found, ruler.width),
            f"The ring of {found.section} seen from its butt end: {_order(found)}",
            "The ring, seen from the butt end",
        ),
    ]
    blocks += [Words(one) for one in gave_words(found, show)]
    if found.patterns:
        blocks.append(_patterns(found, show))
    blocks += [Words(sentence(one)) for one in found.notes]
    return Leaf(f"Nodes: {called((found.section,), rod.pieces)}", tuple(blocks), f"{EDGES} {DUST}")


def _cut_folds(found: SectionLayout, lengths: tuple[CulmLength, ...], show: Display) -> list[Ladder]:
    """The working of the first line of the cut list; the others go the same way."""
    cut = found.cut_list[0]
    length = next((one for one in lengths if one.name == cut.source), None)
    if length is None:
        return []
    off = cut_working(found, cut, length)["off_tip"]
    return [folded(f"what comes off {cut.strip}; the others alike", off, show, "off_tip")]


def _order(found: SectionLayout) -> str:
    return ", ".join(f"S{cut.line} {cut.strip}" for cut in found.cut_list)


def numbers_words(found: SectionLayout) -> str:
    """Which number each strip is pencilled with, spares too: what it is read, labelled and matched by."""
    count = len(found.cuts)
    words = (
        f"Pencil its number on each strip as the list has it, S1 to S{count} round the ring: by it the strip is read, "
        "labelled and matched."
    )
    if not found.spares:
        return words
    spares = ", ".join(f"S{number} ({name})" for number, name in found.split_as.items() if number > count)
    return f"{words} Spares go on: {spares}. Note to which line of the list you cut one."


def _said(found: SectionLayout, show: Display) -> str:
    near = rule(show)
    if found.least_distance is None:
        return "Fewer than two strips have nodes on this section."
    whose = "any two strips" if found.share == 1 else "any two strips that do not share a place"
    words = f"Nodes of {whose} lie {near(found.least_distance)} apart or more"
    if found.least_touching is not None:
        words += f", those of strips that touch {near(found.least_touching)}"
    if found.proved:
        return f"{words}. No layout does better (proved, in steps of half a millimetre)."
    bound = "" if found.distance_bound is None else f"; at most {near(found.distance_bound)} can be"
    return f"{words}. This is the best that was found{bound}."


def gave_words(found: SectionLayout, show: Display) -> tuple[str, ...]:
    """What had to give, a sentence each."""
    near = rule(show)
    said = []
    for one in found.gave_way:
        what = "carries" if one.why == "a defect" else "has a node in the zone of"
        note = f" ({one.note})" if one.note else ""
        where = f"{near(abs(one.place))} {'beyond' if one.place < 0 else 'from'} the tip end"
        said.append(f"What had to give: {one.strip} {what} {one.why}{note}, {where}.")
    return tuple(said)


def _cut_list(found: SectionLayout, show: Display) -> Rows:
    near = rule(show)
    rows = tuple(
        (
            f"S{cut.line}",
            cut.strip,
            near.number(cut.from_butt),
            near.number(cut.from_tip),
            ", ".join(near.number(node) for node in cut.nodes),
        )
        for cut in found.cut_list
    )
    heads = (
        "strip",
        "split as",
        f"off the butt end, {near.unit}",
        f"off the tip end, {near.unit}",
        f"nodes, from the section's tip end, {near.unit}",
    )
    return Rows(heads, rows, "Cut list", lead=2)


def _patterns(found: SectionLayout, show: Display) -> Rows:
    near = rule(show)
    rows = [
        (
            "this layout",
            str(found.share),
            "-" if found.least_distance is None else near.number(found.least_distance),
            "-" if found.least_touching is None else near.number(found.least_touching),
            str(len(found.gave_way)),
        )
    ]
    rows += [
        (
            one.name,
            str(one.share),
            "-" if one.least_distance is None else near.number(one.least_distance),
            "-" if one.least_touching is None else near.number(one.least_touching),
            f"slack short by {near(one.short)}" if one.short else str(one.in_zones),
        )
        for one in found.patterns
    ]
    heads = ("pattern", "may share a place", f"apart, {near.unit}", f"touching, {near.unit}", "nodes ill placed")
    return Rows(heads, tuple(rows), "The classical patterns on the same strips")

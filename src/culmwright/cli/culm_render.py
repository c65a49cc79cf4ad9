"""Culms and node layouts as text for a terminal: the answer in words, then the tables to work from."""

from __future__ import annotations

from culmwright.book.culm_leaves import numbers_words
from culmwright.book.culm_words import SERVES, rule, walls_said
from culmwright.cli.render import sentences, table
from culmwright.measure.display import Display
from culmwright.workshop.flattening import NodeSpot
from culmwright.workshop.laying import News, RodLayout, SectionLayout
from culmwright.workshop.parting import CulmYield, Parted


def parted(found: Parted, show: Display) -> str:
    """A culm in strips of one width."""
    kerf = f" and a kerf of {show.across(found.kerf)}" if found.kerf else ""
    lines = [f"{found.label}, {show.long(found.length)}, in strips of {show.across(found.width)}{kerf}:", ""]
    heads = ("length", f"long, {show.near.unit}", f"narrow end, {show.across.unit}", "strips", "nodes")
    rows = [
        (one.name, show.near.number(one.length), show.across.number(one.diameter), str(one.strips), str(one.nodes))
        for one in found.lengths
    ]
    lines.append(table(heads, rows))
    if found.spacing is not None:
        near = rule(show)
        lines.append(
            f"\nNodes stand {near.number(found.spacing.least)} to {near(found.spacing.most)} apart, "
            f"{near(found.spacing.mean)} in the mean."
        )
    return "\n".join(lines)


def served(found: CulmYield, show: Display) -> str:
    """Which culm lengths give a rod its strips."""
    name = found.name
    lines = [f"There is cane enough for {name}." if found.enough else f"Not every section of {name} gets its strips."]
    lines += [f"No: {one.section} lacks {one.strips} of its strips; {one.why}." for one in found.short]
    heads = ("section", "strips", "spares", f"strip long, {show.near.unit}", f"raw width, {show.across.unit}")
    rows = [
        (one.section, str(one.strips), str(one.spares), show.near.number(one.length), show.across.number(one.width))
        for one in found.needs
    ]
    lines += ["", table(heads, rows), ""]
    heads = ("length", f"narrow end, {show.across.unit}", "strips", "gives", "left")
    rows = [
        (
            one.name,
            show.across.number(one.diameter),
            str(one.strips) if one.width else "-",
            ", ".join(f"{len(taken.numbers)} for {taken.section}" for taken in one.taken) or "left whole",
            str(one.left) if one.width else "-",
        )
        for one in found.lengths
    ]
    lines.append(table(heads, rows))
    lines += ["", SERVES, ""]
    lines += walls_said(found.walls, show)
    return "\n".join(lines) + sentences(found.notes)


def layout(found: RodLayout, show: Display) -> str:
    """The node layouts of a rod, section by section."""
    return "\n\n".join(_section(one, show) for one in found.sections) + sentences(found.notes)


def _section(one: SectionLayout, show: Display) -> str:
    near = rule(show)
    title = "The section" if one.section == "section" else f"Section {one.section}"
    lines = [f"{title}, {show.long(one.length)}, strips {show.long(one.trim)} longer as they are cut."]
    if one.least_distance is not None:
        whose = "any two strips" if one.share == 1 else "any two strips that do not share a place"
        lines.append(f"Nodes of {whose} lie {near(one.least_distance)} apart or more{_better(one, show)}.")
    if one.least_touching is not None:
        lines.append(f"Nodes of strips that touch lie {near(one.least_touching)} apart or more.")
    heads = (
        "strip",
        "split as",
        f"off butt end, {near.unit}",
        f"off tip end, {near.unit}",
        "nodes from the section's tip end",
    )
    rows = [
        (
            f"S{cut.line}",
            cut.strip,
            near.number(cut.from_butt),
            near.number(cut.from_tip),
            "  ".join(near.number(node) for node in cut.nodes),
        )
        for cut in one.cut_list
    ]
    lines += ["", table(heads, rows), numbers_words(one)]
    for gave in one.gave_way:
        note = f" ({gave.note})" if gave.note else ""
        what = "carries" if gave.why == "a defect" else "has a node in the zone of"
        lines.append(f"What had to give: {gave.strip} {what} {gave.why}{note} at {near(gave.place)}.")
    if one.patterns:
        lines += ["", "Classical patterns on these strips, for comparison:"]
        titles = ("pattern", f"apart, {near.unit}", f"touching, {near.unit}", "nodes ill placed")
        beside = [
            (
                pattern.name,
                "-" if pattern.least_distance is None else near.number(pattern.least_distance),
                "-" if pattern.least_touching is None else near.number(pattern.least_touching),
                f"slack short by {near(pattern.short)}" if pattern.short else str(pattern.in_zones),
            )
            for pattern in one.patterns
        ]
        lines.append(table(titles, beside))
    return "\n".join(lines) + sentences(one.notes)


def _better(one: SectionLayout, show: Display) -> str:
    if one.proved:
        return ": proved best, in steps of half a millimetre"
    bound = "" if one.distance_bound is None else f", at most {rule(show)(one.distance_bound)} can be"
    spread = one.distance_bound == one.least_distance
    return ": best, though what comes after is not proved" if spread else f": the best that was found{bound}"


def news(section: str, heard: News, show: Display) -> str:
    """How the search stands, on one line."""
    words = f"{section}: {heard.aim.value}"
    if heard.found is not None:
        words += f", {rule(show)(heard.found / 1e9)} so far"
    if heard.bound is not None:
        words += f", at most {rule(show)(heard.bound / 1e9)}"
    return words


def flattened(found: NodeSpot, show: Display) -> str:
    """A flattened node, both ways, and what it costs."""
    long = f"A spot {show.height(found.spot)} long on a strip bent to a radius of {show.near(found.node.bend)}"
    if found.node.deep is None:
        return f"{long}." + sentences(found.notes)
    lines = [f"{long} lies {show.small(found.node.deep)} below the enamel beside it."]
    if found.node.removed is not None:
        lines.append(f"The ridge lost {show.small(found.node.removed)} with it.")
    if found.cost is not None and found.station is not None:
        one = found.cost
        lines.append(
            f"At station {show.station(found.station)} it costs the section {one.one:.1%} of its bending stiffness, "
            f"{one.even_one:.1%} if cane were alike all through. All flats so lowered cost {one.all_round:.1%}."
        )
        lines.append(f"Under the enamel the cane is {one.outer:.2f} times as stiff as the section is in bending.")
    return "\n".join(lines) + sentences(found.notes)

"""Strip targets: what every strip of a rod has to be at every station, with the working behind each number.

Heights are dry, at the moisture the rod is glued at, from the virtual apex to the top of the crown.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from functools import lru_cache
from math import ceil

from culmwright.bench.scoops import Scoop, reckon_scoop
from culmwright.design.polygon import caliper_ratio, corner_drop
from culmwright.design.rod import Rod, Section
from culmwright.design.strip import StripForm, glue_offset
from culmwright.measure.lengths import Length
from culmwright.measure.reckoning import COMMON_PRACTICE, GEOMETRY, ROD_FILE, Reckoning
from culmwright.measure.record import si
from culmwright.rigs.vblock import VBlock

UNTOLD = 0.2 * 25.4e-6
"""A caliper figure this near the drawing [m] is not worth a note: no hand reads it twice alike (own choice)."""


@dataclass(frozen=True, slots=True)
class StripTarget:
    """One strip at one station; every length in metres.

    ``rough_height`` is what roughing leaves; ``crown`` None without a culm diameter; ``groove_depth`` the altitude
    onto a flank, which a groove's depth has to match; ``glued_across`` what a caliper reads after gluing, before
    finishing, and ``finished_across`` after it, over varnish; ``reading`` and ``rough_reading`` over the V block, None
    until its zero is known. ``working`` maps each quantity's name to its :class:`Reckoning`.
    """

    station: float = si("m")
    across: float = si("m")
    height: float = si("m")
    rough_height: float = si("m")
    face_width: float = si("m")
    crown: float | None = si("m")
    groove_depth: float = si("m")
    glued_across: float = si("m")
    finished_across: float = si("m")
    reading: float | None = si("m")
    rough_reading: float | None = si("m")
    place: Length = field(metadata={"hidden": True}, default_factory=lambda: Length.parse("0 m"))
    working: dict[str, Reckoning] = field(metadata={"hidden": True}, default_factory=dict)


@dataclass(frozen=True, slots=True)
class SectionTargets:
    """The strips of one section, station by station from its tip end; ``length`` shoulder to shoulder.

    ``scoops`` is empty where the section is solid.
    """

    section: str
    length: float = si("m")
    strips: int = si("-")
    stations: tuple[StripTarget, ...] = ()
    scoops: tuple[Scoop, ...] = ()


@dataclass(frozen=True, slots=True)
class StripSchedule:
    """Every strip of a rod, and what to know before reading them."""

    name: str
    sections: tuple[SectionTargets, ...]
    notes: tuple[str, ...] = ()
    warnings: tuple[str, ...] = ()


@lru_cache(maxsize=16)
def schedule(rod: Rod) -> StripSchedule:
    """Strip heights, rough heights, faces, crowns and readings [m] for every section and station of ``rod``."""
    sections = tuple(
        SectionTargets(
            section.name,
            section.length,
            rod.sides + rod.bench.spares,
            tuple(target(rod, section, station) for station in section.stations),
            scoops(rod, section),
        )
        for section in rod.sections()
    )
    return StripSchedule(rod.name, sections, notes(rod), rod.warnings)


def scoops(rod: Rod, section: Section) -> tuple[Scoop, ...]:
    """The scoops of a strip of ``section`` at its stations and the hollow's, from the tip; none where solid."""
    if rod.hollow is None:
        return ()
    places = {one.nanometres: one for one in (*rod.hollow.breaks(), *section.stations) if section.holds(one)}
    found = []
    for _, place in sorted(places.items()):
        height = reckon(rod, section, place)["height"]
        if working := reckon_scoop(rod, place, height):
            wall, left, depth, glue = (working[name].value for name in ("wall", "left", "scoop", "glue_width"))
            found.append(Scoop(place.m, wall, height.value, left, depth, glue))
    return tuple(found)


def block_of(rod: Rod) -> VBlock:
    """The V block this rod's strips are read over."""
    zero = rod.bench.block_zero
    return VBlock(rod.bench.block_angle, zero.m if zero else None)


def notes(rod: Rod) -> tuple[str, ...]:
    """What a maker should know before planing to these numbers."""
    said = _split_notes(rod)
    if rod.bench.block_zero is None:
        said.append("no block zero is given: readings are the block's zero plus the height")
    said += crown_notes(rod)
    if rod.making.culm_diameter is None:
        said.append("no culm diameter is given: the crown is not known and faces are as of flat enamel")
    if rod.hollow:
        said.append(
            "heights are of whole strips: plane and read first, scoop last; a scooped strip no longer sits in the block"
        )
    deepest = max(target(rod, section, at).height for section in rod.sections() for at in section.stations)
    small = rod.display.small
    if (void := rod.form.stand_off(deepest)) > 1e-9:
        said.append(f"apexes stand off the centre by up to {small(void)}: a hidden void, seams tight outside")
    if (gape := rod.form.seam_gape(deepest)) > 1e-9:
        said.append(f"seams gape at the surface by up to {small(gape)}")
    return tuple(said)


def crown_notes(rod: Rod) -> tuple[str, ...]:
    """What to read, or to do, where crowns left by finishing keep a caliper under the drawing; nothing on even sides.

    Strips keep their heights: the crown's top comes to the drawn apothem. The drawing, and with it area and EI, counts
    faces as flat at that apothem; five sides of 8.1 mm on a 55 mm culm, unscraped, have 4.8 % less EI than that counts.
    """
    every = [target(rod, section, at) for section in rod.sections() for at in section.stations]
    worst = max(every, key=lambda one: one.across - one.finished_across)
    under = worst.across - worst.finished_across
    if under <= UNTOLD:
        return ()
    show, finish = rod.display, rod.making.finish.m
    whole = finish
    for _ in range(4):  # a strip left higher is wider: its crown grows a little
        whole = max(rod.form.crown(one.height + (whole - finish)) or 0.0 for one in every)
    step = 10.0**-show.small.places * show.small.si
    return (
        f"a caliper will read {show.small(under)} under the drawing at {show.station(worst.station)}, flat to corner: "
        "the corners of crowned strips lie lower than the crown's top. Read what is given as finished, or take the "
        f'crown off with finish = "{show.small(ceil(whole / step) * step)}"',
    )


def _split_notes(rod: Rod) -> list[str]:
    """What a split strip is too low for."""
    split = rod.bench.split_height
    if split is None:
        return []
    every = [target(rod, section, at) for section in rod.sections() for at in section.stations]
    tallest = max(every, key=lambda one: one.rough_height)
    here, show = rod.display.station(tallest.station), rod.display.height
    if split.m < tallest.height:
        return [f"a split strip of {show(split.m)} is too low for the {show(tallest.height)} finished at {here}"]
    if split.m < tallest.rough_height:
        return [
            f"a split strip of {show(split.m)} is under the {show(tallest.rough_height)} roughed at {here}: "
            "roughing leaves less over there"
        ]
    return []


def target(rod: Rod, section: Section, station: Length) -> StripTarget:
    """The strip of ``section`` at ``station`` [m], each number with its working."""
    working = reckon(rod, section, station)
    value = {name: one.value for name, one in working.items()}
    return StripTarget(
        station=station.m,
        across=value["across"],
        height=value["height"],
        rough_height=value["rough"],
        face_width=value["face"],
        crown=value.get("crown"),
        groove_depth=value["groove"],
        glued_across=value["glued"],
        finished_across=value["finished"],
        reading=value.get("reading"),
        rough_reading=value.get("rough_reading"),
        place=station,
        working=working,
    )


def _arcs(form: StripForm, height: float, culm: Length | None) -> tuple[Reckoning, ...]:
    """The crown of a strip ``height`` [m] high as a cause of other numbers; none where it does not enter."""
    crown = form.crown(height)
    if culm is None or crown is None:
        return ()
    return (Reckoning("its crown", crown, "m", f"R - sqrt(R^2 - face^2/4), 2 R = {culm.given}", GEOMETRY),)


def _given(step: str, length: Length, key: str, defaults: frozenset[str] = frozenset()) -> Reckoning:
    if key in defaults:
        return Reckoning(step, length.m, "m", f"default: {length.given}", COMMON_PRACTICE)
    rule = f"{key} = {length.given}" if length.nanometres else f"{key}: none given"
    return Reckoning(step, length.m, "m", rule, ROD_FILE)


def reckon(rod: Rod, section: Section, station: Length) -> dict[str, Reckoning]:
    """Every number of the strip at ``station`` [m], in the order it is reckoned from the drawing.

    across -> less varnish -> bare apothem -> plus finishing -> less glue -> over k -> height -> as glued, finished,
    rough, face, crown, groove, reading. Lengths in metres.
    """
    n, form, making = rod.sides, rod.form, rod.making
    between = section.taper.neighbours(station)
    across = Reckoning(
        "across, as drawn",
        section.taper.at(station.m),
        "m",
        "[taper] at this station"
        if between is None
        else f"straight line between stations {between[0]} and {between[1]}",
        ROD_FILE,
    )
    varnish = _given("varnish over a flat", rod.varnish, "varnish")
    ratio = "2" if n % 2 == 0 else f"(1 + 1/cos({180 // n} deg))"
    bare = Reckoning(
        "bare apothem", rod.bare_apothem(across.value), "m", f"across/{ratio} - varnish", GEOMETRY, (across, varnish)
    )
    finish = _given("finishing takes off a flat", making.finish, "finish")
    glued = Reckoning(
        "apothem as glued", bare.value + finish.value, "m", "bare apothem + finishing", GEOMETRY, (bare, finish)
    )
    line = _given("glue line in every seam", making.glue_line, "glue_line")
    offset = Reckoning(
        "glue moves a strip out",
        glue_offset(n, line.value),
        "m",
        f"glue line/(2 sin({180 / n:g} deg))",
        GEOMETRY,
        (line,),
    )
    seated = Reckoning(
        "apothem less glue", glued.value - offset.value, "m", "as glued - glue", GEOMETRY, (glued, offset)
    )
    rule, source = (f"360 deg/{n}", GEOMETRY) if "apex_angle" in making.defaults else ("apex_angle", ROD_FILE)
    apex = Reckoning("apex angle of the strip", form.apex_angle, "rad", rule, source)
    k = Reckoning("closing k", form.closing, "-", f"tan(apex/2)/tan({180 / n:g} deg)", GEOMETRY, (apex,))
    crowned = form.closing > 1 and form.culm_radius is not None
    height = Reckoning(
        "strip height, dry",
        form.height(seated.value),
        "m",
        "(less glue - crown)/k + crown" if crowned else "less glue/max(k, 1)",
        GEOMETRY,
        (seated, k, *_arcs(form, form.height(seated.value), making.culm_diameter if crowned else None)),
    )
    found = {"across": across, "apothem": bare, "height": height}
    arcs = _arcs(form, height.value, making.culm_diameter if n % 2 else None)
    found["glued"] = Reckoning(
        "across, as glued",
        glued.value * caliper_ratio(n) - sum(corner_drop(n, arc.value) for arc in arcs),
        "m",
        f"apothem as glued x {ratio}" + (f" - crown/cos({180 // n} deg)" if arcs else ""),
        GEOMETRY,
        (glued, *arcs),
    )
    left = tuple(
        Reckoning(
            "crown left on a flat",
            form.crown_left(height.value, finish.value),
            "m",
            "crown - finishing, none below 0",
            GEOMETRY,
            (arc, finish),
        )
        for arc in arcs
    )
    found["finished"] = Reckoning(
        "across, finished",
        across.value - sum(corner_drop(n, one.value) for one in left),
        "m",
        f"across - crown left/cos({180 // n} deg)" if left else "as drawn",
        GEOMETRY,
        (across, *left),
    )
    over = _given("roughing leaves over", making.rough_over, "rough_over", making.defaults)
    found["rough"] = Reckoning(
        "rough strip height", height.value + over.value, "m", "height + rough_over", ROD_FILE, (height, over)
    )
    if making.culm_diameter is None:
        rule, causes = "2 height tan(apex/2)", [height, apex]
    else:
        culm = Reckoning(
            "culm radius", making.culm_diameter.m / 2, "m", f"half of {making.culm_diameter.given}", ROD_FILE
        )
        rule, causes = "flanks cut with the culm's arc: w = 2 (height - crown) tan(apex/2)", [height, apex, culm]
    found["face"] = Reckoning(
        "width of the enamel face", form.face_width(height.value), "m", rule, GEOMETRY, tuple(causes)
    )
    crown = form.crown(height.value)
    if crown is not None:
        rule = "R - sqrt(R^2 - face^2/4)"
        found["crown"] = Reckoning("crown of the enamel", crown, "m", rule, GEOMETRY, (found["face"], causes[-1]))
    found["groove"] = Reckoning(
        "depth onto a flank", height.value * form.flank_altitude, "m", "2 height sin(apex/2)", GEOMETRY, (height, apex)
    )
    if rod.bench.block_zero is not None and not block_of(rod).wedges(form):
        zero = _given("zero of the V block", rod.bench.block_zero, "block_zero")
        for name, step, of in (
            ("reading", "reading over the V block", height),
            ("rough_reading", "rough reading over the V block", found["rough"]),
        ):
            found[name] = Reckoning(step, zero.value + of.value, "m", f"{of.step} + zero", GEOMETRY, (of, zero))
    return found | reckon_scoop(rod, station, height)

"""The leaf of a hollow rod: a cut along it, a section, and how deep every strip is scooped."""

from __future__ import annotations

from itertools import pairwise

from culmwright.bench.targets import SectionTargets, StripSchedule
from culmwright.book.cautions import DUST, EDGES
from culmwright.book.leaf import Block, Figure, Leaf, Rows, Words
from culmwright.book.rod_drawing import polygon
from culmwright.book.ruler import Ruler
from culmwright.book.svg import Sheet
from culmwright.book.words import called
from culmwright.design.hollow import Hollow
from culmwright.design.polygon import corner_radius
from culmwright.design.rod import Rod
from culmwright.measure.display import Display

TALL = 30.0  # [pt] of half the cut's thickness on paper


def hollow_leaves(rod: Rod, found: StripSchedule, ruler: Ruler, show: Display) -> tuple[Leaf, ...]:
    """What to scoop from the strips of a hollow rod; none for a solid one."""
    hollow = rod.hollow
    scooped = [section for section in found.sections if section.scoops]
    if hollow is None or not scooped:
        return ()
    blocks: list[Block] = [
        Words(
            "Plane and read the strips whole; scoop them last. Cut each apex off flat, across the strip, until what is "
            "left under the top of the crown is what the table says: measure that, not the depth.",
            strong=True,
        ),
        Figure(
            _cut(rod, hollow, ruler, show),
            "A cut along the rod: cane grey, the hollow white, thickness exaggerated",
            "Cut along the rod, thickness exaggerated",
        ),
        Figure(_section(rod, scooped[-1], ruler, show), "A section through the hollow", "A section through the hollow"),
        *(_rows(rod, group, show) for group in _alike(scooped)),
        Words(
            "The flanks beside a scoop are all there is to glue: wet both, and let no glue pool in the hollow. Leave "
            "the cane solid under ferrules and where the grip ends (common practice, no source). Stiffness and stress "
            "are those of the hollow as drawn, with a flat floor; a rounded gouge leaves more cane in its "
            "corners, and a rod a little stiffer."
        ),
    ]
    return (Leaf("Hollowing", tuple(blocks), f"{EDGES} {DUST}"),)


def _alike(sections: list[SectionTargets]) -> list[list[SectionTargets]]:
    """Sections that are scooped alike, together."""
    alike: dict[tuple[object, ...], list[SectionTargets]] = {}
    for section in sections:
        alike.setdefault(section.scoops, []).append(section)
    return list(alike.values())


def _rows(rod: Rod, group: list[SectionTargets], show: Display) -> Rows:
    heads = (
        f"station, {show.station.unit}",
        f"strip left, {show.height.unit}",
        "scoop below the apex",
        "wall, finished",
        "glue on each flank",
    )
    rows = tuple(
        (show.station.number(one.station), *map(show.height.number, (one.left, one.depth, one.wall, one.glue_width)))
        for one in group[0].scoops
    )
    return Rows(heads, rows, called([one.section for one in group], rod.pieces), lead=0)


def _cut(rod: Rod, hollow: Hollow, ruler: Ruler, show: Display) -> str:
    """Half sections above and below the axis, tip at the left, dams solid."""
    sections = rod.assembled()
    thickest = max(rod.bare_apothem(one.taper.at(one.end.m)) for one in sections)
    times = TALL / (thickest * ruler.scale)
    sheet, middle = Sheet(ruler.width, 2 * TALL + 44), TALL + 8
    outer = [(place.m, one.taper.at(place.m)) for one in sections for place in one.stations]
    _both(sheet, [(ruler.x(x), rod.bare_apothem(d) * times * ruler.scale) for x, d in outer], middle, "#e6e6e6")
    for low, high in _open(hollow):
        inside = {low, high, *(x for x, _ in outer if low < x < high), *(one.m for one in hollow.breaks())}
        points = []
        for x in sorted(one for one in inside if low <= one <= high):
            across = next(one for one in reversed(sections) if x >= one.start.m).taper.at(x)
            half = rod.bare_apothem(across) - hollow.thickness(x)
            points.append((ruler.x(x), half * times * ruler.scale))
        _both(sheet, points, middle, "#fff")
    axis = middle + TALL + 10
    for place in ruler.ticks(0.254 if show.bare == "in" else 0.25):
        sheet.line(ruler.x(place), axis, ruler.x(place), axis + 4)
        sheet.text(ruler.x(place), axis + 15, show.station.number(place), "middle")
    sheet.line(ruler.x(0), axis, ruler.x(ruler.length), axis)
    return sheet.svg()


def _open(hollow: Hollow) -> list[tuple[float, float]]:
    """From where to where [m] it is hollow, between ends and dams."""
    pieces: list[tuple[float, float]] = []
    for low, high in pairwise(one.m for one in hollow.breaks()):
        if hollow.wall((low + high) / 2) is None:
            continue
        if pieces and pieces[-1][1] == low:
            low = pieces.pop()[0]
        pieces.append((low, high))
    return pieces


def _both(sheet: Sheet, half: list[tuple[float, float]], middle: float, fill: str) -> None:
    """A shape that is the same above and below the axis."""
    up = [(x, middle - y) for x, y in half]
    sheet.shape([*up, *((x, middle + y) for x, y in reversed(half))], fill=fill, width=0.5)


def _section(rod: Rod, section: SectionTargets, ruler: Ruler, show: Display) -> str:
    """The rod and its hollow at the thickest scooped place of a section, enlarged, with the wall."""
    one = section.scoops[-1]
    place = next(each for each in rod.sections() if each.name == section.section)
    bare = rod.bare_apothem(place.taper.at(one.station))
    radius, x, y = 44.0, 56.0, 48.0
    sheet = Sheet(ruler.width, 96)
    outer = polygon(rod.sides, x, y, radius)
    inner = polygon(rod.sides, x, y, radius * (bare - one.wall) / bare)
    sheet.shape(outer, fill="#e6e6e6")
    sheet.shape(inner, fill="#fff")
    for a, b in zip(outer, inner, strict=True):
        sheet.line(*a, *b)
    words = [f"at station {show.station(one.station)}", f"wall {show.height(one.wall)}"]
    words.append(f"across the corners of the hollow {show.height(2 * corner_radius(rod.sides, bare - one.wall))}")
    for number, each in enumerate(words):
        sheet.text(x + radius + 22, y - 14 + 18 * number, each)
    return sheet.svg()

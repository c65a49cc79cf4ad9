"""What the page of each stage shows: the brief, the taper, strips, the bench, the log, and the leaves of the others."""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import lru_cache
from itertools import groupby

from culmwright.bench.passes import PassPlan, depth_words
from culmwright.bench.targets import schedule
from culmwright.book import charts
from culmwright.book.cautions import DUST, EDGES, GLUE, HEAT, LATHE, LOADED
from culmwright.book.contents import Group
from culmwright.book.leaf import Block, Figure, Leaf, Rows
from culmwright.book.press import fonts
from culmwright.book.ruler import Ruler
from culmwright.book.words import listed
from culmwright.design.rod import Rod
from culmwright.measure.display import Display
from culmwright.measure.errors import BadInput
from culmwright.measure.lengths import Length
from culmwright.measure.spot import Spot
from culmwright.mechanics.stress import StressCheck, stress_check
from culmwright.workshop.hollowing import hollow_of
from culmwright.workshop.looking import Picture, RodHead, head_of, rulers_of
from culmwright.workshop.opening import Begun, Shop, find
from culmwright.workshop.printing import drawing_of, groups_of
from culmwright.workshop.stages import stage_at
from culmwright.workshop.telling import log, waits

CAUTIONS = {
    "culm": f"{EDGES} {DUST}",
    "water": HEAT,
    "settings": f"{DUST} {EDGES}",
    "glue": f"{GLUE} {LATHE}",
    "proof": LOADED,
}
"""The caution of each stage with leaves, by its path."""


@dataclass(frozen=True, slots=True)
class BriefView:
    """The brief: the wish, what waits now, facts (name, figure, address of its working or "") and notes."""

    head: RodHead
    wish: str
    now: tuple[str, ...]
    facts: tuple[tuple[str, str, str], ...]
    notes: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class StripRow:
    """A station of the strip schedule: its figures as shown, each with the address of its working."""

    station: str
    at: float
    cells: tuple[tuple[str, str], ...]


@dataclass(frozen=True, slots=True)
class StripGroup:
    """Sections whose strips are the same: their rows, and the passes that make them, each (what, in words)."""

    title: str
    heads: tuple[str, ...]
    rows: tuple[StripRow, ...]
    passes: tuple[tuple[str, str], ...]


@dataclass(frozen=True, slots=True)
class StripsView:
    """The strip schedule, with the caution that belongs to it; ``leaves`` say how a hollow rod's strips are scooped."""

    head: RodHead
    groups: tuple[StripGroup, ...]
    caution: str
    leaves: tuple[LeafView, ...]


@dataclass(frozen=True, slots=True)
class LogView:
    """What happened, newest first, as (when, what)."""

    head: RodHead
    lines: tuple[tuple[str, str], ...]


@dataclass(frozen=True, slots=True)
class BookView:
    """The book's page."""

    head: RodHead


@dataclass(frozen=True, slots=True)
class LeafView:
    """A leaf at both widths: its title, caution, and blocks in pairs (wide, narrow)."""

    title: str
    caution: str
    blocks: tuple[Block | Picture, ...]


@dataclass(frozen=True, slots=True)
class StageView:
    """A stage whose page is its leaves; ``caution`` belongs to it where none of them carries one."""

    head: RodHead
    name: str
    leaves: tuple[LeafView, ...]
    caution: str


def look_at_brief(shop: Shop, code: str) -> BriefView:
    """The brief of the rod ``R7`` or ``R7.2``. Raises :class:`BadInput` for one the shop does not have."""
    begun = find(shop, code)
    rod = begun.rod
    check = stress_check(rod)
    return BriefView(
        head=head_of(shop, begun, ""),
        wish=rod.wish,
        now=tuple(waits(shop, begun)),
        facts=_facts(begun, check),
        notes=(*rod.warnings, *check.notes, *schedule(rod).notes),
    )


def look_at_strips(shop: Shop, code: str) -> StripsView:
    """The strip schedule of a rod."""
    begun = find(shop, code)
    rod = begun.rod
    groups = groups_of(rod, schedule(rod))
    return StripsView(
        head_of(shop, begun, "strips"),
        tuple(_group(begun, rod.display, group) for group in groups),
        f"{DUST} {EDGES}",
        _hollow(rod),
    )


def _hollow(rod: Rod) -> tuple[LeafView, ...]:
    """What to scoop from the strips of a hollow rod, at both widths."""
    rulers = rulers_of(rod)
    wide, narrow = (hollow_of(rod, rod.display, rulers[width]) for width in ("wide", "narrow"))
    return tuple(leaf_view(one, other) for one, other in zip(wide, narrow, strict=True))


def look_at_log(shop: Shop, code: str) -> LogView:
    """The story of a rod."""
    begun = find(shop, code)
    lines = log(shop, begun).lines
    return LogView(head_of(shop, begun, "log"), tuple((line.at, line.words) for line in reversed(lines)))


def look_at_book(shop: Shop, code: str) -> BookView:
    """The page from which a book is printed."""
    return BookView(head_of(shop, find(shop, code), "book"))


def look_at_stage(shop: Shop, code: str, path: str) -> StageView:
    """A stage whose page is its leaves, at both widths. Raises :class:`BadInput` for a stage there is not."""
    stage = stage_at(path)
    if stage is None:
        raise BadInput(f"a rod has no stage {path}", where=code, remedy="Choose one on the rail")
    begun = find(shop, code)
    rulers = rulers_of(begun.rod)
    wide = stage.leaves(shop, begun, rulers["wide"])
    narrow = stage.leaves(shop, begun, rulers["narrow"])
    leaves = tuple(leaf_view(one, other) for one, other in zip(wide, narrow, strict=True))
    own = "" if any(leaf.caution for leaf in leaves) else CAUTIONS.get(path, "")
    return StageView(head_of(shop, begun, path), stage.name, leaves, own)


def leaf_view(wide: Leaf, narrow: Leaf) -> LeafView:
    """A leaf as a page shows it, made at both widths; what is there to be written on by hand stays on paper."""
    blocks = tuple(
        Picture(one.title, one.alt, one.svg, other.svg, one.along)
        if isinstance(one, Figure) and isinstance(other, Figure)
        else one
        for one, other in zip(map(_to_read, wide.blocks), map(_to_read, narrow.blocks), strict=True)
        if one is not None
    )
    return LeafView(wide.title, wide.caution, blocks)


def _to_read(block: Block) -> Block | None:
    """A block without the columns that are boxes to write in; nothing where no more than a number a line is left."""
    if not isinstance(block, Rows) or not block.write_in:
        return block
    filled = [k for k in range(len(block.heads)) if any(row[k] for row in block.rows)]
    if len(filled) < 2:
        return None
    rows = tuple(tuple(row[k] for k in filled) for row in block.rows)
    return replace(block, heads=tuple(block.heads[k] for k in filled), rows=rows)


def both(title: str, words: str, make: dict[str, str]) -> Picture:
    """A picture made at both widths."""
    return Picture(title, words, make["wide"], make["narrow"])


def ticks_of(rod: Rod, show: Display, ruler: Ruler) -> list[float]:
    """The stations ruled through a chart, in display units."""
    step = 2 * drawing_of(rod, show).tick * (1 if ruler.width > 500 else 2)
    return [station / show.station.si for station in ruler.ticks(step)]


@lru_cache(maxsize=32)
def taper_picture(rod: Rod) -> Picture:
    """Across along the rod; a frozen one is drawn once."""
    show, check = rod.display, stress_check(rod)
    values = [one.across / show.across.si for one in check.stations]
    what = "flat to flat" if rod.sides % 2 == 0 else "flat to corner"
    digits = ".2f" if show.bare == "in" else ".0f"
    made = {name: _along(rod, show, ruler, check, values, digits=digits) for name, ruler in rulers_of(rod).items()}
    return both("Taper", f"across, {what} over varnish, {show.across.unit}; {rod.taper.between}", made)


@lru_cache(maxsize=32)
def stress_picture(rod: Rod) -> Picture:
    """Stress along the rod; a frozen one is drawn once."""
    show, check = rod.display, stress_check(rod)
    values = [one.stress / show.stress.si for one in check.stations]
    curve = [(one.station / show.station.si, one.stress / show.stress.si) for one in check.curve]
    limit = (check.stress_limit / show.stress.si, "stress limit") if check.stress_limit else None
    made = {
        name: _along(rod, show, ruler, check, values, digits=".0f", curve=curve, limit=limit)
        for name, ruler in rulers_of(rod).items()
    }
    words = f"{show.stress.unit}, load factor {check.load_factor:g}; the trade's static method"
    return both("Stress", words, made)


def _along(
    rod: Rod,
    show: Display,
    ruler: Ruler,
    check: StressCheck,
    values: list[float],
    *,
    digits: str,
    curve: list[tuple[float, float]] | None = None,
    limit: tuple[float, str] | None = None,
) -> str:
    fonts()
    spec = charts.along_rod(
        ruler,
        [one.station / show.station.si for one in check.stations],
        values,
        title="",
        station_of=show.station.si,
        digits=digits,
        curve=curve or (),
        limit=limit,
        ticks=ticks_of(rod, show, ruler),
        height=150.0,
    )
    return charts.svg(spec, charts.SCREEN)


def _facts(begun: Begun, check: StressCheck) -> tuple[tuple[str, str, str], ...]:
    rod, show = begun.rod, begun.rod.display
    facts = [("Mass, no grip or seat", show.mass(check.mass), "")]
    if check.greatest is not None:
        share = f", {check.greatest.stress / check.stress_limit:.0%} of the limit" if check.stress_limit else ""
        where = f"near {show.near(check.greatest.station)}, ahead of the grip"
        address = _working(begun, check.greatest.station, "stress")
        facts.append(("Greatest stress", f"{show.stress(check.greatest.stress)}{share}, {where}", address))
    facts.append(("Grip, held fast", show.long(rod.grip.m) if rod.grip.nanometres else "none given", ""))
    facts += [
        (f"Ferrule at {show.station(one.station.m)}", f"{one.size}/64 in", _working(begun, one.station.m, "apothem"))
        for one in rod.ferrules
    ]
    facts.append(("Strips", str(sum(one.strips for one in schedule(rod).sections)), f"/{begun.code}/strips"))
    return tuple(facts)


def _working(begun: Begun, station: float, quantity: str) -> str:
    """The address of the working of a quantity at ``station`` [m], on the first section that holds it; "" for none."""
    place = Length.parse(begun.rod.display.station(station))
    section = next((one for one in begun.rod.sections() if one.holds(place)), None)
    return f"/{begun.code}/{Spot(section.name, station=place).asking(quantity)}" if section else ""


def _group(begun: Begun, show: Display, group: Group) -> StripGroup:
    names, stations = group.names, group.targets.stations
    named = ("roughed", "face", "as glued", "finished", "reading")
    heads = (f"station, {show.station.unit}", f"height, {show.height.unit}", *named)
    rows, address = [], f"/{begun.code}"
    for one in stations:
        place = Spot(names[0], station=one.place)
        figures = (
            ("height", one.height),
            ("rough", one.rough_height),
            ("face", one.face_width),
            ("glued", one.glued_across),
            ("finished", one.finished_across),
            ("reading", one.reading),
        )
        rows.append(
            StripRow(
                show.station.number(one.station),
                one.station,
                tuple(
                    ("–", "") if value is None else (show.height.number(value), f"{address}/{place.asking(quantity)}")
                    for quantity, value in figures
                ),
            )
        )
    plans = (("Roughing", group.roughing), ("Finishing", group.finishing))
    passes = tuple((called, _passes(plan, show)) for called, plan in plans if plan is not None)
    return StripGroup(f"Strips of {' and '.join(names)}", heads, tuple(rows), passes)


def _passes(plan: PassPlan, show: Display) -> str:
    """A pass plan in words: from where to where, the rounds in order, and how far the maker walks."""
    rounds = plan.passes[:: plan.strokes_per_round]
    runs = [(depth, len(list(alike))) for depth, alike in groupby(show.small.down(one) for one in rounds)]
    depths = listed([f"{count} at {depth}" for depth, count in runs]) if len(runs) > 1 else f"each {runs[0][0]}"
    walked = f"; {plan.strips} strips are a walk of {show.walk(plan.distance_walked)}" if plan.distance_walked else ""
    each = " on either flank" if plan.strokes_per_round > 1 else ""
    word = "round" if len(rounds) == 1 else "rounds"
    return (
        f"where most comes off, from {show.height(plan.now)} to {show.height(plan.target)}: "
        f"{len(rounds)} {word}{each}, {depths} {show.small.unit} deep{walked}. {depth_words(plan, show)}"
    )

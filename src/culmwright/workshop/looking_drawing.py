"""What the drawing pages show: a rod being filled in, a taper being redrawn, two revisions, one station."""

from __future__ import annotations

import json
from dataclasses import dataclass, replace
from decimal import Decimal

from culmwright.book import charts
from culmwright.book.pair_charts import two_along
from culmwright.book.press import fonts
from culmwright.book.rod_drawing import draw
from culmwright.design.rod import Rod
from culmwright.design.rod_file import KIND
from culmwright.measure.display import Display
from culmwright.measure.errors import BadInput
from culmwright.measure.lengths import Length
from culmwright.measure.spot import Spot
from culmwright.measure.toml_file import tables_of
from culmwright.workshop.drafting import Draft, Drafted, draft_of
from culmwright.workshop.explaining import explain
from culmwright.workshop.looking import Picture, RodHead, head_of, rulers_of
from culmwright.workshop.looking_stages import both, stress_picture, taper_picture, ticks_of
from culmwright.workshop.opening import Begun, Shop, find
from culmwright.workshop.printing import drawing_of, groups_of
from culmwright.workshop.redrawing import RevisionLine, compare, revision_lines
from culmwright.workshop.scheduling import strips as schedule_of
from culmwright.workshop.trying import Tried, try_rod


@dataclass(frozen=True, slots=True)
class Shown:
    """A drawing that can be built, to look at before it is kept: its picture, its facts, what is ``odd``, its file."""

    drawing: Picture
    facts: tuple[tuple[str, str], ...]
    odd: tuple[str, ...]
    notes: tuple[str, ...]
    text: str


@dataclass(frozen=True, slots=True)
class Row:
    """A station of the taper as it is typed, with what follows from it: stress, and strip heights, each with a link."""

    station: str
    across: str
    at: float | None
    stress: tuple[str, str]
    heights: tuple[tuple[str, str], ...]


@dataclass(frozen=True, slots=True)
class DrawingView:
    """The taper page: the head, the pictures, the rows to type in, the facts, and the revisions there are.

    ``frozen`` are the rows as they were frozen, whatever is typed.
    """

    head: RodHead
    pictures: tuple[Picture, ...]
    rows: tuple[Row, ...]
    facts: tuple[tuple[str, str], ...]
    notes: tuple[str, ...]
    revisions: tuple[RevisionLine, ...]
    code: str
    newest: bool
    units: dict[str, str | float]
    loads: tuple[str, str, float]
    aside: str
    frozen: tuple[dict[str, str], ...]


@dataclass(frozen=True, slots=True)
class ComparedView:
    """Two revisions side by side: a chart of both, a chart of the difference, a table, and words."""

    head: RodHead
    older: str
    newer: str
    pictures: tuple[Picture, ...]
    heads: tuple[str, ...]
    rows: tuple[tuple[float, tuple[str, ...]], ...]
    words: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class StationView:
    """A station of a rod: its figures by section, each (quantity, figure, address of its working)."""

    head_code: str
    name: str
    words: str
    sections: tuple[tuple[str, tuple[tuple[str, str, str], ...]], ...]


LOADS = {"in": ("oz", "0", 6.0), "mm": ("g", "0", 160.0)}
"""Unit, start and end of the load slider."""
QUANTITIES = (
    ("across", "across, as drawn"),
    ("stress", "stress"),
    ("moment", "bending moment"),
    ("height", "strip height, dry"),
    ("rough", "roughed"),
    ("reading", "reading over the block"),
    ("face", "face"),
    ("glued", "across, as glued"),
    ("finished", "across, finished"),
)


def show_drafted(made: Drafted) -> Shown:
    """A draft that can be built, drawn and reckoned."""
    rod, show = made.rod, made.rod.display
    tried = try_rod(rod)
    drawn = {name: draw(drawing_of(rod, show), ruler, show, full=False) for name, ruler in rulers_of(rod).items()}
    picture = Picture("The rod", f"{rod.name} drawn from tip to butt", drawn["wide"], drawn["narrow"])
    heights = [
        (f"strips of {one.sections}", f"{one.shown[0]} to {one.shown[-1]} {show.height.unit} high")
        for one in tried.heights
    ]
    return Shown(picture, (*tried.facts, *heights), rod.warnings, tried.notes, made.text)


def look_at_drawing(shop: Shop, code: str, draft: Draft | None = None, rod: Rod | None = None) -> DrawingView:
    """The taper page of a rod, or of what is typed on it in a ``draft``, which says ``rod`` if it can be built."""
    begun = find(shop, code)
    own_draft = draft_of(begun.revision.text)
    typed = draft or own_draft
    shown = rod or begun.rod
    show = begun.rod.display
    tried = try_rod(shown)
    lines = revision_lines(shop, begun)
    own = (
        "The tips have tapers of their own in the file; this page draws the one below them." if shown.tip_tapers else ""
    )
    return DrawingView(
        head=head_of(shop, begun, "taper"),
        pictures=(taper_picture(shown), stress_picture(shown)),
        rows=_rows(begun, typed, tried, show),
        facts=tried.facts,
        notes=(*shown.warnings, *tried.notes),
        revisions=lines,
        code=begun.code,
        newest=lines[0].code == begun.code,
        units={
            "station": show.station.unit,
            "station_m": show.station.si,
            "across": show.across.unit,
            "across_m": show.across.si,
            "places": show.across.places,
            "stress": show.stress.unit,
            "stress_pa": show.stress.si,
            "step": "0.001" if show.bare == "in" else "0.02",
        },
        loads=LOADS[show.bare],
        aside=own,
        frozen=tuple({"station": a, "across": b} for a, b in zip(own_draft.stations, own_draft.across, strict=True)),
    )


def _rows(begun: Begun, draft: Draft, tried: Tried, show: Display) -> tuple[Row, ...]:
    stress = {round(one.station, 9): one.stress_shown for one in tried.stations}
    sections = {section.name: section for section in begun.rod.sections()}
    rows = []
    for station, across in zip(draft.stations, draft.across, strict=True):
        try:
            place = Length.parse(station, show.bare)
        except BadInput:
            rows.append(Row(station, across, None, ("", ""), ()))
            continue
        found = []
        for one in tried.heights:
            name = one.sections.split(", ")[0]
            for x, figure in zip(one.stations, one.shown, strict=True):
                if abs(x - place.m) < 1e-9 and name in sections and sections[name].holds(place):
                    found.append((f"{name} {figure}", f"/{begun.code}/{Spot(name, station=place).asking('height')}"))
        holding = next((name for name, one in reversed(sections.items()) if one.holds(place)), "")
        address = f"/{begun.code}/{Spot(holding, station=place).asking('stress')}" if holding else ""
        rows.append(Row(station, across, place.m, (stress.get(round(place.m, 9), ""), address), tuple(found)))
    return tuple(rows)


def look_at_compared(shop: Shop, code: str, other: str) -> ComparedView:
    """Two revisions of a rod side by side."""
    found = compare(shop, code, other)
    rod, show = found.newer.rod, found.newer.rod.display
    unit, small = show.station.si, show.small
    fonts()
    pair, apart = {}, {}
    for name, ruler in rulers_of(rod).items():
        lines = [
            [
                (x.m / unit, value.m / show.across.si)
                for x, value in zip(one.taper.stations, one.taper.across, strict=True)
            ]
            for one in (found.older.rod, found.newer.rod)
        ]
        marks = ticks_of(rod, show, ruler)
        digits = ".2f" if show.bare == "in" else ".0f"
        pair[name] = charts.svg(two_along(ruler, *lines, station_of=unit, digits=digits, ticks=marks), charts.SCREEN)
        steps = [(one.station / unit, one.wider / small.si) for one in found.steps]
        apart[name] = charts.svg(
            two_along(
                ruler, [(0.0, 0.0), (rod.length.m / unit, 0.0)], steps, station_of=unit, digits="~f", ticks=marks
            ),
            charts.SCREEN,
        )
    older, newer = found.older.code, found.newer.code
    return ComparedView(
        head=head_of(shop, found.newer, "taper"),
        older=older,
        newer=newer,
        pictures=(
            both("Across", f"{show.across.unit}; dashed {older}, solid {newer}", pair),
            both("Difference", f"{small.unit}; above the dashed line {newer} is wider", apart),
        ),
        heads=(
            f"station, {show.station.unit}",
            f"{older}, {show.across.unit}",
            f"{newer}, {show.across.unit}",
            f"difference, {small.unit}",
        ),
        rows=tuple(
            (
                one.station,
                (
                    show.station.number(one.station),
                    show.across.number(one.older),
                    show.across.number(one.newer),
                    ("+" if small.number(one.wider).strip("-0.") and one.wider > 0 else "") + small.number(one.wider),
                ),
            )
            for one in found.steps
        ),
        words=found.words,
    )


def look_at_station(shop: Shop, code: str, typed: str) -> StationView:
    """Every figure of a rod at a station, with the address of its working. Raises :class:`BadInput` off the rod."""
    begun = find(shop, code)
    rod, show = begun.rod, begun.rod.display
    station = Length.parse(typed, show.bare)
    if not 0 <= station.nanometres <= rod.length.nanometres:
        raise BadInput(
            f"station {show.station(station.m)} is not on this rod",
            where=code,
            remedy=f"It runs from 0 to {rod.length}",
        )
    alike = [group.names for group in groups_of(rod, schedule_of(rod))]
    found = []
    for names in alike:
        section = next(one for one in rod.sections() if one.name == names[0])
        if not section.holds(station):
            continue
        lines = []
        place = Spot(section.name, station=station)
        known = {"height", *explain(rod, place).also}
        for quantity, called in QUANTITIES:
            if quantity in known:
                one = explain(rod, place.asking(quantity))
                lines.append((called, show.shown(one.value, one.unit), f"/{begun.code}/{place.asking(quantity)}"))
        found.append((" and ".join(names), tuple(lines)))
    return StationView(begun.code, rod.name, f"station {show.station(station.m)}", tuple(found))


def own_rods(shop: Shop) -> tuple[tuple[str, str], ...]:
    """(code, name) of every rod of the shop, to begin from."""
    from culmwright.ledger.frozen import rods

    return tuple((f"{one.code}.{one.revision}", one.name) for one in rods(shop))


def begin_from(shop: Shop, code: str) -> Draft:
    """A draft that begins from a rod of the shop and waits for a name of its own."""
    draft = draft_of(find(shop, code).revision.text)
    return replace(draft, fields={**draft.fields, "name": ""})


def file_of(shop: Shop, code: str) -> str:
    """The text of the rod file a rod was frozen from."""
    return find(shop, code).revision.text


def tables_json(shop: Shop, code: str) -> str:
    """What the frozen rod file says, as JSON: its tables and keys, lengths as written."""
    tables = tables_of(find(shop, code).revision.text, KIND)
    return json.dumps(tables, ensure_ascii=False, indent=1, default=_plain)


def _plain(value: object) -> object:
    return float(value) if isinstance(value, Decimal) else str(value)

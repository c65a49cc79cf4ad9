"""The sheets of a shop book as texts, figures and pictures, ready for the press. No dimension is computed here."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

from culmwright.book import cautions, charts
from culmwright.book.appendix import ladder_sheet, sources, worked
from culmwright.book.behaviour_leaves import behaviour_leaves
from culmwright.book.bench_sheets import bench_sheets
from culmwright.book.contents import BookContents
from culmwright.book.fitting_sheets import guide_sheet, seat_sheet
from culmwright.book.leaf import for_press
from culmwright.book.rod_drawing import draw
from culmwright.book.ruler import Ruler
from culmwright.book.strip_sheets import glued_sheet, group_sheet, plan_sheet, reading_sheets, setup_sheet, walk
from culmwright.book.words import sentence, subtitle
from culmwright.design.rod import Stated
from culmwright.measure.display import Format
from culmwright.measure.reckoning import ROD_FILE
from culmwright.mechanics.stress import METHOD, StressCheck


def sheets(book: BookContents) -> dict[str, Any]:
    """Every sheet of ``book``, in the order it is printed."""
    rod, show = book.rod, book.show
    ruler = Ruler(rod.length.m, book.paper.text_width)
    return {
        "paper": book.paper.name,
        "margin_mm": book.paper.margin * 1000,
        "title": rod.name,
        "subtitle": subtitle(rod, show),
        "code": book.frozen,
        "revision": f"revision {rod.revision}" if book.frozen == rod.code else "",  # else the shop's own says it
        "date": book.date,
        "maker": rod.maker,
        "units": "inches and thousandths of an inch" if show.bare == "in" else "millimetres",
        "units_short": "inches" if show.bare == "in" else "millimetres",
        "roomy": book.paper.roomy,
        "guide_view": draw(
            replace(book.drawing, guides=tuple(one.station.m for one in book.guides)), ruler, show, full=False
        ),
        "glued": [glued_sheet(book, group, name) for group in book.groups for name in group.names],
        "unit": show.height.unit,
        "small_unit": show.small.unit,
        "station_unit": show.station.unit,
        "wish": rod.wish,
        "facts": _facts(book),
        "warnings": [sentence(one) for one in rod.warnings],
        "between": f"{rod.taper.between[0].upper()}{rod.taper.between[1:]}.",
        "drawing": draw(book.drawing, ruler, show),
        "side_view": draw(book.drawing, ruler, show, full=False),
        "stress": [_stress(book, check, ruler) for check in book.checks],
        "groups": [group_sheet(book, group) for group in book.groups],
        "notes": [sentence(one) for one in book.schedule.notes],
        "setup": setup_sheet(book),
        "plans": [plan_sheet(book, group) for group in book.groups],
        "walk": walk(book),
        "readings": [one for group in book.groups for name in group.names for one in reading_sheets(book, group, name)],
        "behaviour": [for_press(leaf) for leaf in behaviour_leaves(rod, book.behaviour, ruler, show)],
        "bench": bench_sheets(book, ruler),
        "story": [list(line) for line in book.story],
        "early": [for_press(leaf) for leaf in book.early],
        "late": [for_press(leaf) for leaf in book.late],
        "seats": [seat_sheet(show, one) for one in book.seats],
        "guides": guide_sheet(book),
        "cautions": {
            "bending": cautions.LOADED,
            "stages": [list(stage) for stage in cautions.STAGES],
            "deference": cautions.DEFERENCE,
            "planing": f"{cautions.DUST} {cautions.EDGES}",
            "turning": f"{cautions.LATHE} {cautions.GLUE}",
            "gluing": cautions.GLUE,
        },
        "ladders": [ladder_sheet(rod, show, group) for group in book.groups],
        "worked": [worked(rod, show, group) for group in book.groups],
        "sources": sources(rod, show),
    }


def _culm(book: BookContents) -> str:
    culm, show = book.rod.making.culm_diameter, book.show
    if culm is None:
        return "not given: no crown stated"
    return culm.text if show == book.rod.display else show.long(culm.m)


def _stated(one: Stated, form: Format) -> str:
    spread = f" ± {form.number(one.spread)}" if one.spread else ""
    said = "from the rod file" if one.source == ROD_FILE else "a default: see the sources"
    return f"{form.number(one.value)}{spread} {form.unit}, {said}"


def _facts(book: BookContents) -> list[list[str]]:
    rod, show = book.rod, book.show
    facts = [
        ["Length", show.long(rod.length.m)],
        ["Grip, held fast", show.long(rod.grip.m) if rod.grip.nanometres else "none given"],
        ["Ferrules", ", ".join(f"{one.size}/64 in at {show.station(one.station.m)}" for one in rod.ferrules) or "none"],
        ["Varnish over a flat", show.small(rod.varnish.m) if rod.varnish.nanometres else "none given"],
        ["Culm", _culm(book)],
        ["Strips", f"{book.strips}, of them {rod.bench.spares} spare a section"],
        ["Cut to length", ", ".join(f"{name} {show.long(length)}" for name, length in book.strip_lengths)],
        ["Modulus of the cane", _stated(rod.cane.modulus, show.modulus)],
        ["Density of the cane", _stated(rod.cane.density, show.density)],
    ]
    check = book.checks[0]
    facts.append(["Mass, no grip or seat", show.mass(check.mass)])
    if check.greatest is not None:
        share = f", {check.greatest.stress / check.stress_limit:.0%} of the limit" if check.stress_limit else ""
        where = f"near {show.near(check.greatest.station)}, ahead of the grip"
        facts.append(["Greatest stress", f"{show.stress(check.greatest.stress)}{share}, {where}"])
    return facts


def _stress(book: BookContents, check: StressCheck, ruler: Ruler) -> dict[str, Any]:
    show = book.show
    stations = [one.station / show.station.si for one in check.stations]
    ticks = [station / show.station.si for station in ruler.ticks(2 * book.drawing.tick)]
    limit = (check.stress_limit / show.stress.si, "stress limit") if check.stress_limit else None
    taper = charts.along_rod(
        ruler,
        stations,
        [one.across / show.across.si for one in check.stations],
        title="Across, over varnish",
        digits=".2f" if show.bare == "in" else ".0f",
        station_of=show.station.si,
        ticks=ticks,
        height=book.paper.charts[0],
    )
    stress = charts.along_rod(
        ruler,
        stations,
        [one.stress / show.stress.si for one in check.stations],
        title="Stress",
        curve=[(one.station / show.station.si, one.stress / show.stress.si) for one in check.curve],
        digits=".0f",
        station_of=show.station.si,
        limit=limit,
        ticks=ticks,
        labels=True,
        height=book.paper.charts[1],
    )
    what = "flat to flat" if book.rod.sides % 2 == 0 else "flat to corner"
    return {
        "tip": f"with tip T{check.tip}" if len(book.checks) > 1 else "",
        "taper": charts.svg(taper, charts.PRINT),
        "taper_words": f"Across, {what} over varnish, {show.across.unit}",
        "stress": charts.svg(stress, charts.PRINT),
        "stress_words": f"Stress, {show.stress.unit}, load factor {check.load_factor:g}",
        "method": f"{METHOD[0].upper()}{METHOD[1:]}. It holds the rod level and "
        "straight: it compares tapers and does not foretell a cast.",
        "rows": [
            [
                show.station.number(one.station),
                show.across.number(one.across),
                show.moment.number(one.moment),
                show.stress.number(one.stress) + (" *" if one.in_grip else ""),
            ]
            for one in check.stations
        ],
        "heads": [
            f"station, {show.station.unit}",
            f"across, {show.across.unit}",
            f"moment, {show.moment.unit}",
            f"stress, {show.stress.unit}",
        ],
        "in_grip": any(one.in_grip for one in check.stations),
        "loads": [[one.load, show.mass(one.mass)] for one in check.loads],
        "notes": [sentence(one) for one in check.notes],
    }

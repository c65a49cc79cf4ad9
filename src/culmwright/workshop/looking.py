"""What the pages show: the shop, a rod by stage, and one number with its working. Results as words and pictures."""

from __future__ import annotations

import datetime
from dataclasses import dataclass
from pathlib import Path

from culmwright.bench.targets import StripTarget, schedule
from culmwright.book import charts
from culmwright.book.bench_charts import deviations
from culmwright.book.cautions import DUST, EDGES
from culmwright.book.contents import PAPERS
from culmwright.book.press import fonts, press
from culmwright.book.rod_drawing import draw
from culmwright.book.ruler import Ruler
from culmwright.book.words import subtitle
from culmwright.design.rod import Rod
from culmwright.ledger.frozen import rods
from culmwright.ledger.shop import Shop
from culmwright.measure.display import Display
from culmwright.measure.reckoning import Explanation
from culmwright.measure.spot import Spot
from culmwright.mechanics.stress import StressCheck, stress_check
from culmwright.workshop.explaining import explain
from culmwright.workshop.judging import BenchState, bench_state, stage_called
from culmwright.workshop.kept import kept_of, newest_runs, run_words
from culmwright.workshop.opening import Begun, find, the_shop
from culmwright.workshop.printing import contents, drawing_of, groups_of
from culmwright.workshop.session import limits_of
from culmwright.workshop.telling import log, waits

WIDTHS = {"wide": 952.0, "narrow": 358.0}
"""Widths [px] a drawing is made at: for a desk or tablet, and for a phone."""


@dataclass(frozen=True, slots=True)
class RodLine:
    """A rod of the shop in one line: its code, name and how it stands."""

    code: str
    name: str
    state: str
    words: str


@dataclass(frozen=True, slots=True)
class ShopView:
    """The shop: its file and its rods."""

    file: str
    rods: tuple[RodLine, ...]


@dataclass(frozen=True, slots=True)
class Picture:
    """A picture at the width of a desk and of a phone, as SVG, with its title and what it says in words."""

    title: str
    words: str
    wide: str
    narrow: str


@dataclass(frozen=True, slots=True)
class StripRow:
    """A station of the strip schedule: its figures as shown, each with the address of its working."""

    station: str
    cells: tuple[tuple[str, str], ...]


@dataclass(frozen=True, slots=True)
class StripGroup:
    """Sections whose strips are the same."""

    title: str
    heads: tuple[str, ...]
    rows: tuple[StripRow, ...]


@dataclass(frozen=True, slots=True)
class RodView:
    """A rod by stage, ready to show. ``rail`` is (stage, state, anchor), state one of none, half, done, look."""

    code: str
    name: str
    subtitle: str
    wish: str
    notes: tuple[str, ...]
    rail: tuple[tuple[str, str, str], ...]
    drawing: Picture
    pictures: tuple[Picture, ...]
    facts: tuple[tuple[str, str], ...]
    groups: tuple[StripGroup, ...]
    verdicts: tuple[tuple[str, str, str, tuple[str, ...]], ...]
    process: tuple[str, ...]
    story: tuple[tuple[str, str], ...]
    now: tuple[str, ...]
    caution: str


@dataclass(frozen=True, slots=True)
class SpotView:
    """One number: its address, name and digits, the rungs behind it and its neighbours, each with its address."""

    rod: str
    code: str
    spot: str
    name: str
    shown: str
    rungs: tuple[tuple[str, str, str, str], ...]
    also: tuple[tuple[str, str], ...]


def look_at_shop(file: str | Path | None) -> ShopView:
    """The rods of the shop in ``file``, how each stands."""
    with the_shop(file, write=False) as shop:
        return ShopView(str(shop.file), tuple(_line(shop, one.code) for one in rods(shop)))


def _line(shop: Shop, code: str) -> RodLine:
    begun = find(shop, code)
    state = bench_state(shop, begun)
    said = list(waits(shop, begun))
    if state.strips:
        last = state.strips[-1].stage
        count = sum(one.stage is last for one in state.strips)
        said.append(f"{count} strip{'s' if count > 1 else ''} read at {stage_called(last)}")
    under = [f"{one.section}/S{one.strip}" for one in state.strips if one.judgement.sign == "-"]
    if under:
        said.append(f"under size: {', '.join(under)}")
    look = "look" if under else "half" if state.strips else "none"
    return RodLine(code, begun.rod.name, look, "; ".join(said) or "frozen, nothing read yet")


def look_at_rod(file: str | Path | None, code: str) -> RodView:
    """The rod ``R7`` or ``R7.2`` of the shop, by stage. Raises :class:`BadInput` for one it does not have."""
    with the_shop(file, write=False) as shop:
        begun = find(shop, code)
        state, story = bench_state(shop, begun), log(shop, begun)
    rod, show = begun.rod, begun.rod.display
    check = stress_check(rod)
    found = schedule(rod)
    runs = newest_runs(state)
    return RodView(
        code=begun.code,
        name=rod.name,
        subtitle=subtitle(rod, show),
        wish=rod.wish,
        notes=(*begun.notes, *rod.warnings, *check.notes, *found.notes),
        rail=_rail(state),
        drawing=_drawing(rod, show),
        pictures=(_taper(rod, show, check), _stress(rod, show, check), *_readings(begun, state)),
        facts=_facts(show, check, rod),
        groups=tuple(_group(begun, show, group.names, group.targets.stations) for group in groups_of(rod, found)),
        verdicts=tuple(
            (
                one.judgement.sign,
                f"{one.section}/S{one.strip}",
                f"{stage_called(one.stage)}, pass {one.cut}: {one.words}",
                tuple(way.words for way in one.ways),
            )
            for one in state.strips
        ),
        process=tuple(words for run in runs for words in run_words(run, show)),
        story=tuple((line.at, line.words) for line in reversed(story.lines)),
        now=story.now,
        caution=f"{DUST} {EDGES}",
    )


def look_at_spot(file: str | Path | None, code: str, spot: Spot) -> SpotView:
    """The number at ``spot`` of a rod of the shop, with its working."""
    with the_shop(file, write=False) as shop:
        begun = find(shop, code)
    found: Explanation = explain(begun.rod, spot)
    show = begun.rod.display
    rungs = tuple((rung.step, show.shown(rung.value, rung.unit), rung.rule, rung.source) for rung in found.ladder)
    here = Spot.parse(found.spot)
    return SpotView(
        rod=begun.rod.name,
        code=begun.code,
        spot=found.spot,
        name=rungs[-1][0],
        shown=rungs[-1][1],
        rungs=rungs,
        also=tuple((name, f"/{begun.code}/{here.asking(name)}") for name in found.also),
    )


def book_of(file: str | Path | None, code: str, date: datetime.date) -> bytes:
    """The shop book of a rod of the shop as PDF."""
    with the_shop(file, write=False) as shop:
        begun = find(shop, code)
        kept = kept_of(shop, begun)
    return press(contents(begun.rod, PAPERS["a4"], begun.rod.display, date, kept), date)[0]


def _rail(state: BenchState) -> tuple[tuple[str, str, str], ...]:
    under = any(one.judgement.sign == "-" for one in state.strips)
    bench = "look" if under else "half" if state.strips else "none"
    return (
        ("Brief", "done", "brief"),
        ("Taper", "done", "taper"),
        ("Strips", "done", "strips"),
        ("Bench", bench, "bench"),
        ("Log", "half" if state.strips else "none", "log"),
        ("Book", "done", "book"),
    )


def _both(title: str, words: str, make: dict[str, str]) -> Picture:
    return Picture(title, words, make["wide"], make["narrow"])


def _rulers(rod: Rod) -> dict[str, Ruler]:
    return {name: Ruler(rod.length.m, width, left=44.0, right=10.0) for name, width in WIDTHS.items()}


def _drawing(rod: Rod, show: Display) -> Picture:
    made = {name: draw(drawing_of(rod, show), ruler, show, full=False) for name, ruler in _rulers(rod).items()}
    return _both("The rod", f"{rod.name} drawn from tip to butt", made)


def _ticks(rod: Rod, show: Display, ruler: Ruler) -> list[float]:
    step = 2 * drawing_of(rod, show).tick * (1 if ruler.width > 500 else 2)
    return [station / show.station.si for station in ruler.ticks(step)]


def _taper(rod: Rod, show: Display, check: StressCheck) -> Picture:
    values = [one.across / show.across.si for one in check.stations]
    what = "flat to flat" if rod.sides % 2 == 0 else "flat to corner"
    digits = ".2f" if show.bare == "in" else ".0f"
    made = {name: _along(rod, show, ruler, check, values, digits=digits) for name, ruler in _rulers(rod).items()}
    return _both("Taper", f"across, {what} over varnish, {show.across.unit}; {rod.taper.between}", made)


def _stress(rod: Rod, show: Display, check: StressCheck) -> Picture:
    values = [one.stress / show.stress.si for one in check.stations]
    curve = [(one.station / show.station.si, one.stress / show.stress.si) for one in check.curve]
    limit = (check.stress_limit / show.stress.si, "stress limit") if check.stress_limit else None
    made = {
        name: _along(rod, show, ruler, check, values, digits=".0f", curve=curve, limit=limit)
        for name, ruler in _rulers(rod).items()
    }
    words = f"{show.stress.unit}, load factor {check.load_factor:g}; the trade's static method"
    return _both("Stress", words, made)


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
        ticks=_ticks(rod, show, ruler),
        height=150.0,
    )
    return charts.svg(spec, charts.SCREEN)


def _readings(begun: Begun, state: BenchState) -> tuple[Picture, ...]:
    rod, show = begun.rod, begun.rod.display
    pictures = []
    for run in newest_runs(state):
        places = [
            (f"S{one.strip}", reading.aim.station / show.station.si, reading.deviation / show.small.si)
            for one in state.strips
            if (one.section, one.stage, one.cut) == (run.section, run.stage, run.cut)
            for reading in one.judgement.stations
        ]
        stop = limits_of(run.stage).stop_under
        limits = (None if stop is None else -stop / show.small.si, None)
        made = {}
        for name, ruler in _rulers(rod).items():
            spec = deviations(
                ruler, places, limits, station_of=show.station.si, ticks=_ticks(rod, show, ruler), height=130.0
            )
            made[name] = charts.svg(spec, charts.SCREEN)
        words = f"over or under target, {show.small.unit}; one shape a strip, dashed the stop limit"
        pictures.append(_both(f"Read, {run.section} {run.called}, pass {run.cut}", words, made))
    return tuple(pictures)


def _facts(show: Display, check: StressCheck, rod: Rod) -> tuple[tuple[str, str], ...]:
    facts = [("Mass, no grip or seat", show.mass(check.mass))]
    if check.greatest is not None:
        share = f", {check.greatest.stress / check.stress_limit:.0%} of the limit" if check.stress_limit else ""
        where = f"near {show.near(check.greatest.station)}, ahead of the grip"
        facts.append(("Greatest stress", f"{show.stress(check.greatest.stress)}{share}, {where}"))
    facts.append(("Grip, held fast", show.long(rod.grip.m) if rod.grip.nanometres else "none given"))
    facts += [(f"Ferrule at {show.station(one.station.m)}", f"{one.size}/64 in") for one in rod.ferrules]
    facts.append(("Strips", str(sum(one.strips for one in schedule(rod).sections))))
    return tuple(facts)


def _group(begun: Begun, show: Display, names: tuple[str, ...], stations: tuple[StripTarget, ...]) -> StripGroup:
    heads = (f"station, {show.station.unit}", f"height, {show.height.unit}", "roughed", "face", "as glued", "reading")
    rows, address = [], f"/{begun.code}"
    for one in stations:
        place = Spot(names[0], station=one.place)
        figures = (
            ("height", one.height),
            ("rough", one.rough_height),
            ("face", one.face_width),
            ("glued", one.glued_across),
            ("reading", one.reading),
        )
        rows.append(
            StripRow(
                show.station.number(one.station),
                tuple(
                    ("–", "") if value is None else (show.height.number(value), f"{address}/{place.asking(quantity)}")
                    for quantity, value in figures
                ),
            )
        )
    return StripGroup(f"Strips of {' and '.join(names)}", heads, tuple(rows))

"""What the pages show first: the shop, the head of a rod's pages with its rail of stages, one number, the book."""

from __future__ import annotations

import datetime
from dataclasses import dataclass

from culmwright.book.contents import PAPERS, Paper
from culmwright.book.press import press
from culmwright.book.rod_drawing import draw
from culmwright.book.ruler import Ruler
from culmwright.book.words import subtitle
from culmwright.design.rod import Rod
from culmwright.ledger.frozen import rods
from culmwright.measure.reckoning import Explanation
from culmwright.measure.spot import Spot
from culmwright.workshop.explaining import explain
from culmwright.workshop.judging import BenchState, bench_state, stage_called
from culmwright.workshop.kept import kept_of
from culmwright.workshop.opening import Begun, Shop, find
from culmwright.workshop.printing import contents, drawing_of
from culmwright.workshop.stages import STAGES
from culmwright.workshop.telling import waits

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
class Stop:
    """A stage on the rail: its name, its state (none, half, done or look), its address, and whether this page is it."""

    name: str
    state: str
    address: str
    here: bool


@dataclass(frozen=True, slots=True)
class RodHead:
    """What stands over every page of a rod: who it is, the rail of its stages, and the rod itself, the page's ruler."""

    code: str
    number: str
    name: str
    subtitle: str
    notes: tuple[str, ...]
    rail: tuple[Stop, ...]
    drawing: Picture
    length: float
    unit: float
    unit_name: str
    grip: float
    stations: tuple[str, ...]


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


def look_at_shop(shop: Shop) -> ShopView:
    """The rods of a shop, how each stands."""
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


def head_of(shop: Shop, begun: Begun, here: str) -> RodHead:
    """The head of the page ``here`` (a path under the rod's address, "" for the brief) of a rod."""
    rod, show = begun.rod, begun.rod.display
    rulers = rulers_of(rod)
    made = {name: draw(drawing_of(rod, show), ruler, show, full=False) for name, ruler in rulers.items()}
    return RodHead(
        code=begun.code,
        number=begun.revision.code,
        name=rod.name,
        subtitle=subtitle(rod, show),
        notes=begun.notes,
        rail=tuple(
            Stop(name, state, f"/{begun.code}/{path}".rstrip("/"), path == here)
            for name, path, state in _rail(shop, begun)
        ),
        drawing=Picture("The rod", f"{rod.name} drawn from tip to butt", made["wide"], made["narrow"]),
        length=rod.length.m,
        unit=show.station.si,
        unit_name=show.station.unit,
        grip=rod.grip.m,
        stations=tuple(dict.fromkeys(show.station.number(x) for x in sorted(_places(rod)))),
    )


def _places(rod: Rod) -> set[float]:
    """Every station [m] of a rod's sections."""
    return {station.m for section in rod.sections() for station in section.stations}


def rulers_of(rod: Rod) -> dict[str, Ruler]:
    """The rulers of a rod's pages, by width."""
    return {name: Ruler(rod.length.m, width, left=44.0, right=10.0) for name, width in WIDTHS.items()}


def _rail(shop: Shop, begun: Begun) -> tuple[tuple[str, str, str], ...]:
    """(name, path, state) of every stage, in the order of the job."""
    bench = bench_stop(bench_state(shop, begun))
    before = tuple((one.name, one.path, one.state(shop, begun)) for one in STAGES if not one.late)
    after = tuple((one.name, one.path, one.state(shop, begun)) for one in STAGES if one.late)
    return (
        ("Brief", "", "done"),
        ("Taper", "taper", "done"),
        *before,
        ("Strips", "strips", "done"),
        ("Bench", "bench", bench),
        *after,
        ("Log", "log", "half"),
        ("Book", "book", "done"),
    )


def bench_stop(state: BenchState) -> str:
    """How the bench stands: none, half, done or look."""
    under = any(one.judgement.sign == "-" for one in state.strips)
    return "look" if under else "half" if state.strips else "none"


def look_at_spot(shop: Shop, code: str, spot: Spot) -> SpotView:
    """The number at ``spot`` of a rod of the shop, with its working."""
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


def book_of(shop: Shop, code: str, date: datetime.date, paper: Paper = PAPERS["a4"]) -> bytes:
    """The shop book of a rod of the shop as PDF."""
    begun = find(shop, code)
    return press(contents(begun.rod, paper, begun.rod.display, date, kept_of(shop, begun)), date)[0]

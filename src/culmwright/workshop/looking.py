"""What the pages show first: the shop, the head of a rod's pages with its rail of stages, one number, the book."""

from __future__ import annotations

import datetime
from dataclasses import dataclass, replace

from culmwright.bench.judge import Stage
from culmwright.book.contents import PAPERS, Paper
from culmwright.book.press import press
from culmwright.book.rod_drawing import draw
from culmwright.book.ruler import Ruler
from culmwright.book.words import listed, subtitle
from culmwright.design.rod import Rod
from culmwright.ledger.frozen import revisions, rods
from culmwright.ledger.readings import current
from culmwright.ledger.register import Culm, Gauge, culms, gauges, rigs
from culmwright.measure.display import Display
from culmwright.measure.reckoning import Explanation
from culmwright.measure.spot import Spot
from culmwright.workshop.explaining_kept import explain_kept
from culmwright.workshop.judging import BenchState, Fate, bench_state, stage_called
from culmwright.workshop.kept import kept_of
from culmwright.workshop.opening import Begun, Shop, find
from culmwright.workshop.printing import contents, drawing_of
from culmwright.workshop.stages import STAGES, as_it_stands, remembered
from culmwright.workshop.strips_now import still_to_glue, strips_now
from culmwright.workshop.telling import waits

WIDTHS = {"wide": 952.0, "narrow": 358.0}
"""Widths [px] a drawing is made at: for a desk or tablet, and for a phone."""


@dataclass(frozen=True, slots=True)
class RodLine:
    """A rod of the shop in one line: its code and name, the stage in hand with its state, the next step, what waits."""

    code: str
    name: str
    subtitle: str
    state: str
    stage: str
    address: str
    next: str
    waits: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class ShopView:
    """The shop: its file, its rods in hand, what soaks or dries, and its culms, rigs and gauges in a line each."""

    file: str
    rods: tuple[RodLine, ...]
    waiting: tuple[tuple[str, str, str], ...]
    culms: tuple[tuple[str, str], ...]
    rigs: tuple[tuple[str, str], ...]
    gauges: tuple[tuple[str, str], ...]


@dataclass(frozen=True, slots=True)
class Picture:
    """A picture at the width of a desk and of a phone, as SVG, with its title and what it says in words.

    ``along`` marks one that shares the axis of the page's ruler.
    """

    title: str
    words: str
    wide: str
    narrow: str
    along: bool = False


@dataclass(frozen=True, slots=True)
class Stop:
    """A stage on the rail: its name, its state (none, half, done or look), its address, and whether this page is it."""

    name: str
    state: str
    address: str
    here: bool


@dataclass(frozen=True, slots=True)
class RodHead:
    """What stands over every page of a rod: who it is, the rail of its stages, and the rod itself, the page's ruler.

    ``cut_to`` names other revisions that strips were read to: their readings stand there.
    """

    code: str
    number: str
    name: str
    subtitle: str
    notes: tuple[str, ...]
    cut_to: tuple[str, ...]
    rail: tuple[Stop, ...]
    drawing: Picture
    length: float
    unit: float
    unit_name: str
    grip: float
    stations: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class SpotView:
    """One number: its address, place, name, digits and notes, the rungs behind it, its neighbours' addresses."""

    rod: str
    code: str
    spot: str
    place: str
    name: str
    shown: str
    rungs: tuple[tuple[str, str, str, str], ...]
    also: tuple[tuple[str, str], ...]
    notes: tuple[str, ...] = ()


def look_at_shop(shop: Shop) -> ShopView:
    """The rods of a shop, how each stands and what is next; what waits; and what else the shop has."""
    begun = [(one, tuple(waits(shop, one))) for one in (find(shop, one.code) for one in rods(shop))]
    return ShopView(
        file=str(shop.file),
        rods=tuple(replace(_line(shop, one), waits=waiting) for one, waiting in begun),
        waiting=tuple((one.revision.code, one.rod.name, words) for one, waiting in begun for words in waiting),
        culms=tuple((one.label, _culm(one)) for one in culms(shop)),
        rigs=tuple((one.name, one.kind) for one in rigs(shop)),
        gauges=tuple((one.name, gauge_words(one)) for one in gauges(shop)),
    )


def _culm(one: Culm) -> str:
    sizes = [f"{one.diameter.given} across" if one.diameter else "", f"{one.length.given} long" if one.length else ""]
    return ", ".join(part for part in (*sizes, one.note or "") if part)


_LINES: dict[tuple[object, ...], RodLine] = {}
MOST_LINES = 2000


def _line(shop: Shop, begun: Begun) -> RodLine:
    """The rod in one line, looked up anew only when something happened to it."""
    key = as_it_stands(shop, begun, rod_only=True)
    return remembered(_LINES, MOST_LINES, key, lambda: _looked_up(shop, begun))


def _looked_up(shop: Shop, begun: Begun) -> RodLine:
    older = _cut_to(shop, begun)
    if older and not current(shop, begun.revision.id):
        begun = find(shop, older[-1])  # redrawn since: the work stands with what was cut
    state = bench_state(shop, begun)
    stage, stands, path = _in_hand(_rail(shop, begun, state))
    return RodLine(
        code=begun.revision.code,
        name=begun.rod.name,
        subtitle=subtitle(begun.rod, begun.rod.display),
        state=stands,
        stage=stage,
        address=f"/{begun.code if older else begun.revision.code}/{path}".rstrip("/"),
        next=_next(begun.rod, state) if stage == "Bench" else _STANDS[stands],
        waits=(),  # told by the clock, not by what is kept
    )


_STANDS = {"none": "the next stage", "half": "in hand", "look": "needs a look", "done": "done"}
_ALWAYS = ("Brief", "Taper", "Behaviour", "Strips", "Log", "Book")
"""Stops of the rail that are pages, not work to do."""


def _in_hand(rail: tuple[tuple[str, str, str], ...]) -> tuple[str, str, str]:
    """(name, state, path) of the stage a maker is at: the last begun, or the one after it where that is done."""
    work = [(name, state, path) for name, path, state in rail if name not in _ALWAYS]
    begun = [i for i, (_, state, _) in enumerate(work) if state != "none"]
    if not begun:
        return work[0]
    last = work[begun[-1]]
    return work[begun[-1] + 1] if last[1] == "done" and begun[-1] + 1 < len(work) else last


def _next(rod: Rod, state: BenchState) -> str:
    """The next step at the bench, in words, of the strips that still stand there."""
    now = strips_now(state)
    under = [f"{one.section}/S{one.strip}" for one in now.at_bench if one.judgement.sign == "-"]
    if under:
        return f"look at {', '.join(under)}: under size"
    left = still_to_glue(state, tuple(one.name for one in rod.sections()))
    strips = [one for one in now.at_bench if one.section in left]
    gone = {(one.section, one.strip) for one in now.before if one.section in left and one.fate is Fate.SCRAPPED}
    count = len(left) * (rod.sides + rod.bench.spares) - len(gone)
    of = f" of {listed(left)}" if state.glued else ""
    if not left:
        return "read what is left, or go on"
    if not strips:
        return f"rough the first of {count} strips{of}"
    last = Stage.FINISH if any(one.stage is Stage.FINISH for one in strips) else Stage.ROUGH
    read = [one for one in strips if one.stage is last]
    whole = sum(len(one.judgement.stations) == one.stations for one in read)
    if len(read) < count or whole < count:
        return f"go on with {stage_called(last)}{of}: {len(read)} of {count} strips read, {whole} of them whole"
    return f"dry the strips{of}, then finish them" if last is Stage.ROUGH else f"match the strips{of}, then glue"


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
        cut_to=_cut_to(shop, begun),
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


def _cut_to(shop: Shop, begun: Begun) -> tuple[str, ...]:
    """The codes of the other revisions of a rod that hold readings."""
    others = (one for one in revisions(shop, begun.revision.rod) if one.id != begun.revision.id)
    return tuple(f"{one.code}.{one.revision}" for one in others if current(shop, one.id))


def _places(rod: Rod) -> set[float]:
    """Every station [m] of a rod's sections."""
    return {station.m for section in rod.sections() for station in section.stations}


def rulers_of(rod: Rod) -> dict[str, Ruler]:
    """The rulers of a rod's pages, by width."""
    return {name: Ruler(rod.length.m, width, left=44.0, right=10.0) for name, width in WIDTHS.items()}


def _rail(shop: Shop, begun: Begun, state: BenchState | None = None) -> tuple[tuple[str, str, str], ...]:
    """(name, path, state) of every stage, in the order of the job."""
    bench = bench_stop(begun.rod, state or bench_state(shop, begun))
    before = tuple((one.name, one.path, one.state(shop, begun)) for one in STAGES if not one.late)
    after = tuple((one.name, one.path, one.state(shop, begun)) for one in STAGES if one.late)
    proof = next((state for name, _, state in after if name == "Proof"), "none")
    happened = any(state != "none" for name, _, state in (*before, ("Bench", "", bench), *after) if name not in _ALWAYS)
    return (
        ("Brief", "", "done"),
        ("Taper", "taper", "done"),
        *before,
        ("Strips", "strips", "done"),
        ("Bench", "bench", bench),
        *after,
        ("Log", "log", "done" if proof == "done" else "half" if happened else "none"),
        ("Book", "book", "done"),
    )


def bench_stop(rod: Rod, state: BenchState) -> str:
    """How the bench stands: none, half, done (every section is glued and nothing was read since) or look."""
    now = strips_now(state)
    if any(one.judgement.sign == "-" for one in now.at_bench):
        return "look"
    if not state.strips and not state.glued:
        return "none"
    return "half" if now.at_bench or still_to_glue(state, tuple(one.name for one in rod.sections())) else "done"


def look_at_spot(shop: Shop, code: str, spot: Spot) -> SpotView:
    """The number at ``spot`` of a rod of the shop, with its working."""
    begun = find(shop, code)
    found: Explanation = explain_kept(shop, begun, spot)
    shown = found.figures(begun.rod.display)
    rungs = tuple((one.step, figure, one.rule, one.source) for one, figure in zip(found.ladder, shown, strict=True))
    here = Spot.parse(found.spot)
    return SpotView(
        rod=begun.rod.name,
        code=begun.code,
        spot=found.spot,
        place=_place(here),
        name=rungs[-1][0],
        shown=rungs[-1][1],
        rungs=rungs,
        also=tuple((name, f"/{begun.code}/{here.asking(name)}") for name in found.also),
        notes=found.notes,
    )


def gauge_words(one: Gauge) -> str:
    """What a gauge shows, and what was noted of it."""
    return f"shows {'inches' if one.unit == 'in' else 'millimetres'}{f', {one.note}' if one.note else ''}"


def _place(spot: Spot) -> str:
    thing = {"heat": f"step {spot.of} of the oven plan" if spot.of else "the oven plan"}.get(spot.thing, spot.of)
    parts = (
        ("strip", spot.strip),
        ("adjuster" if spot.section else "screw", spot.adjuster),
        ("line", spot.cut),
        ("station", spot.station),
    )
    said = [f"{what} {which}" for what, which in parts if which is not None]
    return ", ".join(one for one in (spot.section, thing, *said) if one)


def book_of(
    shop: Shop, code: str, date: datetime.date, paper: Paper = PAPERS["a4"], show: Display | None = None
) -> bytes:
    """The shop book of a rod of the shop as PDF, in the rod's own units unless others are to ``show``."""
    begun = find(shop, code)
    return press(contents(begun.rod, paper, show or begun.rod.display, date, kept_of(shop, begun, show)), date)[0]

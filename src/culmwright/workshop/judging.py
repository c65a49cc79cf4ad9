"""What the readings of a rod say so far: every strip judged, the run of strips at a stop, what an under-size strip
can still be."""

from __future__ import annotations

import json
from collections.abc import Callable, Container, Iterable
from dataclasses import dataclass
from enum import Enum
from functools import cache
from statistics import fmean

from culmwright.bench.control import Chart, ControlChart, individuals, means_and_ranges
from culmwright.bench.creep import Creep, creep
from culmwright.bench.judge import Judgement, Stage, judge
from culmwright.bench.judge_strip import StripJudgement, as_it_is, judge_strip
from culmwright.bench.limits import Level, Size
from culmwright.bench.run_rules import Signal, signals
from culmwright.bench.salvage import ReadStrip, Use, Way, ways
from culmwright.bench.slide import Line
from culmwright.bench.targets import block_of, schedule
from culmwright.bench.walk import Stretch
from culmwright.design.rod import Rod
from culmwright.design.rod_file import rod_from_text
from culmwright.ledger.dockets import Docket, dockets
from culmwright.ledger.frozen import rods
from culmwright.ledger.happenings import events
from culmwright.ledger.readings import current
from culmwright.ledger.records import EventKind
from culmwright.ledger.shop import Shop
from culmwright.measure.record import si
from culmwright.workshop.opening import Begun
from culmwright.workshop.session import Task, aims, cutting_of, limits_of
from culmwright.workshop.stages import as_it_stands, remembered

GLUE_UP = "glue-up"
"""The kind of the docket a glue-up is kept in."""
RESOLUTION = 2.54e-6  # [m] the last digit readings are shown to; no drift is told from less


class Fate(Enum):
    """What became of a strip after it was read, in the words of its verdict: nothing is cut off it any more then."""

    OPEN = ""
    SCRAPPED = "scrapped"
    FINISHED = "since finished"
    GLUED = "glued"
    LEFT = "left over"


@dataclass(frozen=True, slots=True)
class StripState:
    """One strip as read last: after pass ``cut`` of a ``stage``; ``ways`` it can go where it is under size.

    ``stands`` says how it stands where its ``fate`` is sealed.
    """

    section: str
    strip: int
    stage: Stage
    cut: int
    judgement: StripJudgement
    ways: tuple[Way, ...]
    stations: int
    fate: Fate = Fate.OPEN
    stands: str = ""

    @property
    def open(self) -> bool:
        """True for a strip that can still be cut."""
        return self.fate is Fate.OPEN

    @property
    def words(self) -> str:
        """The verdict; where only some of its ``stations`` were read, that too."""
        read = len(self.judgement.stations)
        part = "" if read == self.stations else f"{read} of {self.stations} stations read: "
        said = self.judgement.words if self.open else f"{self.stands}: {self.fate.value}"
        return f"{part}{said}"


@dataclass(frozen=True, slots=True)
class Run:
    """The strips of a section and stage, each by its newest reading, in the order read: ``values`` are mean deviations.

    ``chart`` is of individuals and moving ranges, since what sets one strip apart from the next is the same all along
    it; ``along`` charts the range over a strip's stations. Both None below two strips; ``story`` None while scatter
    explains them. Strips under size stand ``apart``: what spoiled them is no scatter. Strips that share no station
    make no chart. ``cut`` is the newest pass, ``passes`` says after which they were read; where those differ, what is
    told of the stop is of the newest. ``open`` while one of them can still be cut.
    """

    section: str
    stage: Stage
    cut: int
    passes: str
    open: bool
    labels: tuple[str, ...]
    values: tuple[float, ...] = si("m")
    chart: ControlChart | None = si("")
    along: Chart | None = si("")
    signals: tuple[Signal, ...] = ()
    story: Creep | None = None
    apart: tuple[str, ...] = ()

    @property
    def called(self) -> str:
        """What the stage is called at the bench."""
        return stage_called(self.stage)


def stage_called(stage: Stage) -> str:
    """``roughing`` or ``finishing``."""
    return "roughing" if stage is Stage.ROUGH else "finishing"


@dataclass(frozen=True, slots=True)
class Ring:
    """A glued ``section`` and its ``strips`` in ring order."""

    section: str
    strips: tuple[int, ...]


@dataclass(frozen=True, slots=True)
class BenchState:
    """Everything a rod's readings say so far, and which sections were ``glued``.

    ``runs`` hold every strip's newest reading, ``stops`` the strips read after one pass.
    """

    code: str
    name: str
    strips: tuple[StripState, ...]
    runs: tuple[Run, ...]
    stops: tuple[Run, ...]
    glued: tuple[Ring, ...]


_Key = tuple[str, int, Stage, int]
_SEEN: dict[tuple[object, ...], BenchState] = {}
MOST_SEEN = 50


def bench_state(shop: Shop, begun: Begun) -> BenchState:
    """Judge all readings that count for a frozen rod, newest pass of each strip and stage."""
    return remembered(_SEEN, MOST_SEEN, as_it_stands(shop, begun), lambda: _bench_state(shop, begun))


def _bench_state(shop: Shop, begun: Begun) -> BenchState:
    judged = _judged(shop, begun)
    newest = {key[:3]: key[3] for key in sorted(judged, key=lambda key: key[3])}
    others = cache(lambda: _uses(shop, begun))  # only a strip under size asks for them
    glued = {one.section or "": one for one in dockets(shop, GLUE_UP, rod=begun.revision.rod)}
    fates = _fates(shop, begun, glued)
    strips = tuple(
        _strip_state(begun.rod, key, judged[key], fates[key], others)
        for key in sorted(judged, key=lambda key: _order(begun.rod, key))
        if newest[key[:3]] == key[3]
    )
    order = list(dict.fromkeys((one.section, one.stage) for one in strips))
    last = {key: readings for key, readings in judged.items() if newest[key[:3]] == key[3]}
    runs = tuple(sorted(_runs(begun.rod, last, fates), key=lambda run: order.index((run.section, run.stage))))
    rings = tuple(
        Ring(one.name, tuple(json.loads(glued[one.name].text)["ring"]))
        for one in begun.rod.sections()
        if one.name in glued
    )
    stops = tuple(_runs(begun.rod, judged, fates, by_pass=True))
    return BenchState(begun.code, begun.rod.name, strips, runs, stops, rings)


def _order(rod: Rod, key: _Key) -> tuple[int, int, int, int]:
    names = [section.name for section in rod.sections()]
    return (list(Stage).index(key[2]), names.index(key[0]), key[1], key[3])


def _judged(shop: Shop, begun: Begun) -> dict[_Key, tuple[Judgement, ...]]:
    """Judgements by section, strip, stage and pass, in the order read; cells left out are not there."""
    rod = begun.rod
    plan = tuple(
        Stretch(section.name, tuple(range(1, rod.sides + rod.bench.spares + 1)), section.stations)
        for section in rod.sections()
    )
    aimed = {stage: aims(rod, Task(stage, 0, plan)) for stage in Stage}
    by_spot = {
        (stage, place.section, place.strip, place.station): one
        for stage in Stage
        for place, one in aimed[stage].items()
    }
    found: dict[_Key, tuple[Judgement, ...]] = {}
    for reading in current(shop, begun.revision.id):
        entry, cell = reading.entry, reading.entry.cell
        stage = Stage(cell.stage)
        aim = by_spot.get((stage, cell.section, cell.strip or 0, cell.station))
        if entry.value is None or cell.strip is None or aim is None:
            continue
        key = (cell.section, cell.strip, stage, cell.pass_number)
        one = judge(entry.value.m, aim, limits_of(stage), cutting_of(rod, stage), rod.display)
        found[key] = (*found.get(key, ()), one)
    return found


def _fates(shop: Shop, begun: Begun, glued: dict[str, Docket]) -> dict[_Key, Fate]:
    """What became of every strip after its last reading, by section, strip, stage and pass."""
    scrapped = {
        (one.entry.section, one.entry.strip): one.seq
        for one in events(shop, begun.revision.rod, kinds=(EventKind.STRIP_SCRAPPED,))
    }
    last: dict[_Key, int] = {}
    for one in current(shop, begun.revision.id):
        cell = one.entry.cell
        if cell.strip is not None:
            key = (cell.section, cell.strip, Stage(cell.stage), cell.pass_number)
            last[key] = max(last.get(key, 0), one.seq)
    finished = {key[:2] for key in last if key[2] is Stage.FINISH}
    return {
        key: Fate.SCRAPPED if scrapped.get(key[:2], 0) > seq else _fate(key, seq, glued.get(key[0]), finished)
        for key, seq in last.items()
    }


def _fate(key: _Key, read: int, glued: Docket | None, finished: Container[tuple[str, int]]) -> Fate:
    section, strip, stage, _ = key
    if stage is Stage.ROUGH and (section, strip) in finished:
        return Fate.FINISHED
    if glued is None or glued.seq < read:
        return Fate.OPEN
    return Fate.GLUED if strip in json.loads(glued.text)["ring"] else Fate.LEFT


def _strip_state(
    rod: Rod, key: _Key, readings: tuple[Judgement, ...], fate: Fate, others: Callable[[], dict[str, Use]]
) -> StripState:
    section, strip, stage, cut = key
    stations = next(len(one.stations) for one in rod.sections() if one.name == section)
    whole = len(readings) == stations
    judged = judge_strip(readings, cutting_of(rod, stage), rod.display)
    ways_left = _ways(rod, section, readings, others) if whole and fate is Fate.OPEN else ()
    stands = "" if fate is Fate.OPEN else as_it_is(judged, rod.display)
    return StripState(section, strip, stage, cut, judged, ways_left, stations, fate, stands)


def _ways(
    rod: Rod, section: str, readings: Iterable[Judgement], others: Callable[[], dict[str, Use]]
) -> tuple[Way, ...]:
    """What a strip that is under size can still be; none to tell of one that is not, or was read at one place only."""
    readings = tuple(readings)
    if all(one.size is not Size.UNDER for one in readings):
        return ()
    start = next(one.start.m for one in rod.sections() if one.name == section)
    zero = block_of(rod).zero or 0.0
    read = sorted({one.aim.station - start: one.reading - zero for one in readings}.items())
    if len(read) < 2:
        return ()
    line = Line(tuple(place for place, _ in read), tuple(height for _, height in read))
    spare = rod.bench.strip_over.m / 2
    uses = others()
    rest = [use for name, use in uses.items() if name != section]
    slack = limits_of(Stage.FINISH).warn_under or 0.0
    return ways(ReadStrip(line, spare, spare), uses[section], rest, rod.display, slack)


def _uses(shop: Shop, begun: Begun) -> dict[str, Use]:
    """Every place a strip could serve: the sections of this rod by name, those of the shop's other rods by code."""
    code = begun.revision.code
    uses = {section.section: Use.of(code, section, begun.rod.form) for section in schedule(begun.rod).sections}
    for other in rods(shop):
        if other.rod != begun.revision.rod:
            rod = rod_from_text(other.text)
            for section in schedule(rod).sections:
                uses[f"{other.code}/{section.section}"] = Use.of(other.code, section, rod.form)
    return uses


def _runs(
    rod: Rod, judged: dict[_Key, tuple[Judgement, ...]], fates: dict[_Key, Fate], *, by_pass: bool = False
) -> Iterable[Run]:
    """The strips of each section and stage (and pass), at the stations every one of them was read at."""
    groups: dict[tuple[str, Stage, int], list[_Key]] = {}
    for key in judged:
        groups.setdefault((key[0], key[2], key[3] if by_pass else 0), []).append(key)
    for (section, stage, _), keys in groups.items():
        strips = [(key[1], judged[key]) for key in keys]
        cut = max(key[3] for key in keys)
        newest = {f"S{key[1]}" for key in keys if key[3] == cut}
        apart = tuple(f"S{strip}" for strip, readings in strips if any(_spoiled(one) for one in readings))
        if len(strips) - len(apart) >= 2:
            strips = [(strip, readings) for strip, readings in strips if f"S{strip}" not in apart]
        else:
            apart = ()
        shared = set.intersection(*({one.aim.place for one in readings} for _, readings in strips))
        rows = [
            tuple(one.deviation for one in readings if one.aim.place in shared or not shared)
            for _, found in strips
            for readings in [sorted(found, key=lambda one: one.aim.station)]
        ]
        labels = tuple(f"S{strip}" for strip, _ in strips)
        means = tuple(fmean(row) for row in rows)
        chart = individuals(labels, means) if len(rows) > 1 and shared else None
        yield Run(
            section,
            stage,
            cut,
            _passes(keys),
            any(fates[key] is Fate.OPEN for key in keys),
            labels,
            means,
            chart,
            _along(labels, rows) if shared else None,
            signals(chart.place) if chart and len(newest) == len(keys) else (),
            creep(*_of(newest, labels, means), rod.display, RESOLUTION) if shared else None,
            apart,
        )


def _of(
    some: set[str], labels: tuple[str, ...], values: tuple[float, ...]
) -> tuple[tuple[str, ...], tuple[float, ...]]:
    """The labels and values of ``some`` strips."""
    found = [(label, value) for label, value in zip(labels, values, strict=True) if label in some]
    return tuple(label for label, _ in found), tuple(value for _, value in found)


def _passes(keys: list[_Key]) -> str:
    """After which passes strips were read, the newest first with those that had it."""
    by_pass: dict[int, list[int]] = {}
    for _, strip, _, cut in sorted(keys, key=lambda key: (-key[3], key[1])):
        by_pass.setdefault(cut, []).append(strip)
    if len(by_pass) == 1:
        return f"pass {next(iter(by_pass))}"
    return ", ".join(f"pass {cut} of {' '.join(f'S{one}' for one in strips)}" for cut, strips in by_pass.items())


def _spoiled(one: Judgement) -> bool:
    return one.size is Size.UNDER and one.level is Level.STOP


def _along(labels: tuple[str, ...], rows: list[tuple[float, ...]]) -> Chart | None:
    """The chart of ranges along each strip; None where strips were read at one station only."""
    return means_and_ranges(labels, rows).scatter if len(rows) > 1 and len(rows[0]) > 1 else None

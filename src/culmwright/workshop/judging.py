"""What the readings of a rod say so far: every strip judged, the run of strips at a stop, what an under-size strip
can still be."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import dataclass
from functools import cache
from statistics import fmean

from culmwright.bench.control import Chart, ControlChart, individuals, means_and_ranges
from culmwright.bench.creep import Creep, creep
from culmwright.bench.judge import Judgement, Stage, judge
from culmwright.bench.judge_strip import StripJudgement, judge_strip
from culmwright.bench.limits import Level, Size
from culmwright.bench.run_rules import Signal, signals
from culmwright.bench.salvage import ReadStrip, Use, Way, ways
from culmwright.bench.slide import Line
from culmwright.bench.targets import block_of, schedule
from culmwright.bench.walk import Stretch
from culmwright.design.rod import Rod
from culmwright.design.rod_file import rod_from_text
from culmwright.ledger.frozen import rods
from culmwright.ledger.readings import current
from culmwright.ledger.shop import Shop
from culmwright.measure.record import si
from culmwright.workshop.opening import Begun
from culmwright.workshop.session import Task, aims, cutting_of, limits_of

RESOLUTION = 2.54e-6  # [m] the last digit readings are shown to; no drift is told from less


@dataclass(frozen=True, slots=True)
class StripState:
    """One strip as read last: after pass ``cut`` of a ``stage``; ``ways`` it can go where it is under size."""

    section: str
    strip: int
    stage: Stage
    cut: int
    judgement: StripJudgement
    ways: tuple[Way, ...]
    stations: int

    @property
    def words(self) -> str:
        """The verdict; where only some of its ``stations`` were read, that too."""
        read = len(self.judgement.stations)
        part = "" if read == self.stations else f"{read} of {self.stations} stations read: "
        return f"{part}{self.judgement.words}"


@dataclass(frozen=True, slots=True)
class Run:
    """The strips of a section read after one pass, in the order read, as a process: ``values`` are mean deviations.

    ``chart`` is of individuals and moving ranges, since what sets one strip apart from the next is the same all along
    it; ``along`` charts the range over a strip's stations. Both None below two strips; ``story`` None while scatter
    explains them. Strips under size stand ``apart``: what spoiled them is no scatter. Strips that share no station
    make no chart.
    """

    section: str
    stage: Stage
    cut: int
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
class BenchState:
    """Everything a rod's readings say so far."""

    code: str
    name: str
    strips: tuple[StripState, ...]
    runs: tuple[Run, ...]


_Key = tuple[str, int, Stage, int]


def bench_state(shop: Shop, begun: Begun) -> BenchState:
    """Judge all readings that count for a frozen rod, newest pass of each strip and stage."""
    judged = _judged(shop, begun)
    newest = {key[:3]: key[3] for key in sorted(judged, key=lambda key: key[3])}
    others = cache(lambda: _uses(shop, begun))  # only a strip under size asks for them
    strips = tuple(
        _strip_state(begun.rod, key, judged[key], others)
        for key in sorted(judged, key=lambda key: _order(begun.rod, key))
        if newest[key[:3]] == key[3]
    )
    runs = tuple(_runs(begun.rod, judged))
    return BenchState(begun.code, begun.rod.name, strips, runs)


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


def _strip_state(
    rod: Rod, key: _Key, readings: tuple[Judgement, ...], others: Callable[[], dict[str, Use]]
) -> StripState:
    section, strip, stage, cut = key
    stations = next(len(one.stations) for one in rod.sections() if one.name == section)
    whole = len(readings) == stations
    return StripState(
        section,
        strip,
        stage,
        cut,
        judge_strip(readings, cutting_of(rod, stage), rod.display),
        _ways(rod, section, readings, others) if whole else (),
        stations,
    )


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


def _runs(rod: Rod, judged: dict[_Key, tuple[Judgement, ...]]) -> Iterable[Run]:
    """The strips of each section read after the same pass, at the stations every one of them was read at."""
    groups: dict[tuple[str, Stage, int], list[tuple[int, tuple[Judgement, ...]]]] = {}
    for (section, strip, stage, cut), readings in judged.items():
        groups.setdefault((section, stage, cut), []).append((strip, readings))
    for (section, stage, cut), strips in groups.items():
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
            labels,
            means,
            chart,
            _along(labels, rows) if shared else None,
            signals(chart.place) if chart else (),
            creep(labels, means, rod.display, RESOLUTION) if shared else None,
            apart,
        )


def _spoiled(one: Judgement) -> bool:
    return one.size is Size.UNDER and one.level is Level.STOP


def _along(labels: tuple[str, ...], rows: list[tuple[float, ...]]) -> Chart | None:
    """The chart of ranges along each strip; None where strips were read at one station only."""
    return means_and_ranges(labels, rows).scatter if len(rows) > 1 and len(rows[0]) > 1 else None

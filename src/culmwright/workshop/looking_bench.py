"""What the page of the bench shows: what stands there, and what was read before of strips that no longer do."""

from __future__ import annotations

from dataclasses import dataclass

from culmwright.book import charts
from culmwright.book.bench_charts import deviations
from culmwright.book.cautions import DUST, EDGES
from culmwright.workshop.judging import Run, StripState, bench_state, stage_called
from culmwright.workshop.kept import run_words
from culmwright.workshop.looking import Picture, RodHead, head_of, rulers_of
from culmwright.workshop.looking_stages import both, ticks_of
from culmwright.workshop.opening import Begun, Shop, find
from culmwright.workshop.session import limits_of
from culmwright.workshop.strips_now import strips_now


@dataclass(frozen=True, slots=True)
class BenchRead:
    """Strips as read: pictures, verdicts (sign, strip, words, ways out) and what they say as a process."""

    pictures: tuple[Picture, ...]
    verdicts: tuple[tuple[str, str, str, tuple[str, ...]], ...]
    process: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class BenchView:
    """What stands at the bench ``now``; what was read ``before`` of strips no longer there, and what became of them."""

    head: RodHead
    now: BenchRead
    before: BenchRead
    said: tuple[str, ...]
    caution: str


def look_at_bench(shop: Shop, code: str) -> BenchView:
    """What was read on a rod and how its strips stand."""
    begun = find(shop, code)
    state = bench_state(shop, begun)
    stand = strips_now(state)
    return BenchView(
        head=head_of(shop, begun, "bench"),
        now=_bench_read(begun, stand.at_bench, stand.runs),
        before=_bench_read(begun, stand.before, stand.runs_before),
        said=stand.said,
        caution=f"{DUST} {EDGES}",
    )


def _bench_read(begun: Begun, strips: tuple[StripState, ...], runs: tuple[Run, ...]) -> BenchRead:
    show = begun.rod.display
    return BenchRead(
        _readings(begun, strips, runs),
        tuple(
            (
                one.judgement.sign,
                f"{one.section}/S{one.strip}",
                f"{stage_called(one.stage)}, pass {one.cut}: {one.words}",
                tuple(way.words for way in one.ways),
            )
            for one in strips
        ),
        tuple(words for run in runs for words in run_words(run, show)),
    )


def _readings(begun: Begun, strips: tuple[StripState, ...], runs: tuple[Run, ...]) -> tuple[Picture, ...]:
    rod, show = begun.rod, begun.rod.display
    pictures = []
    for run in runs:
        places = [
            (f"S{one.strip}", reading.aim.station / show.station.si, reading.deviation / show.small.si)
            for one in strips
            if (one.section, one.stage) == (run.section, run.stage)
            for reading in one.judgement.stations
        ]
        stop = limits_of(run.stage).stop_under
        limits = (None if stop is None else -stop / show.small.si, None)
        made = {}
        for name, ruler in rulers_of(rod).items():
            spec = deviations(
                ruler, places, limits, station_of=show.station.si, ticks=ticks_of(rod, show, ruler), height=130.0
            )
            made[name] = charts.svg(spec, charts.SCREEN)
        words = f"over or under target, {show.small.unit}; dashed the stop limit"
        pictures.append(both(f"Read, {run.section} {run.called}, {run.passes}", words, made))
    return tuple(pictures)

"""The sheets of what was read: every section's strips along the rod, the run at the stop, and the verdicts."""

from __future__ import annotations

from typing import Any

from culmwright.book import bench_charts, charts
from culmwright.book.contents import BenchSection, BookContents
from culmwright.book.ruler import Ruler

ON_SIZE = "on size at every station read, "


def bench_sheets(book: BookContents, ruler: Ruler) -> list[dict[str, Any]]:
    """A sheet for each section and stage that was read."""
    return [_sheet(book, ruler, one) for one in book.bench]


def _sheet(book: BookContents, ruler: Ruler, one: BenchSection) -> dict[str, Any]:
    show = book.show
    small = show.small
    places = [
        (f"S{strip.strip}", reading.aim.station / show.station.si, reading.deviation / small.si)
        for strip in one.strips
        for reading in strip.judgement.stations
    ]
    under, over = one.limits.stop_under, one.limits.stop_over
    along = bench_charts.deviations(
        ruler,
        places,
        (None if under is None else -under / small.si, None if over is None else over / small.si),
        station_of=show.station.si,
        ticks=[station / show.station.si for station in ruler.ticks(2 * book.drawing.tick)],
        height=130,
    )
    return {
        "title": f"Read, {one.section} {one.called}, {one.passes}",
        "along": charts.svg(along, charts.PRINT),
        "along_words": f"Over or under target at each station, {small.unit}; dashed the stop limit",
        "run": _run(one, ruler, small.si),
        "run_words": f"Mean of each strip in the order read, {small.unit}; dashed lines are three sigma",
        "on_size": [
            [f"S{strip.strip}", strip.words.removeprefix(ON_SIZE)]
            for strip in one.strips
            if strip.words.startswith(ON_SIZE)
        ],
        "rows": [
            [
                strip.judgement.sign,
                f"S{strip.strip}",
                f"{strip.words[0].upper()}{strip.words[1:]}.",
                [way.words for way in strip.ways],
            ]
            for strip in one.strips
            if not strip.words.startswith(ON_SIZE)
        ],
        "process": list(one.process),
    }


def _run(one: BenchSection, ruler: Ruler, unit: float) -> str:
    if one.chart is None:
        return ""
    place = one.chart.place
    spec = bench_charts.run_chart(
        ruler,
        one.chart.labels,
        [value / unit for value in place.points],
        (place.lower / unit, place.centre / unit, place.upper / unit),
    )
    return charts.svg(spec, charts.PRINT)

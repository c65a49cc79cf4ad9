"""What the shop holds on a rod, put together for its book."""

from __future__ import annotations

from dataclasses import replace

from culmwright.bench.judge import amount
from culmwright.book.contents import BenchSection, BenchStrip
from culmwright.ledger.shop import Shop
from culmwright.measure.display import Display
from culmwright.workshop.judging import BenchState, Run, bench_state
from culmwright.workshop.opening import Begun
from culmwright.workshop.printing import Kept
from culmwright.workshop.session import limits_of
from culmwright.workshop.stages import early, late
from culmwright.workshop.telling import log


def kept_of(shop: Shop, begun: Begun, show: Display | None = None) -> Kept:
    """The readings, verdicts, runs and log of a frozen rod, and its leaves in the units to ``show``.

    What was said at the bench, and the log, stay in the rod's own units: they are told as they were judged.
    """
    shown = begun if show is None else replace(begun, rod=replace(begun.rod, display=show))
    state = bench_state(shop, begun)
    story = log(shop, begun)
    sections = tuple(_section(shown, state, run) for run in state.runs)
    told = tuple((line.at, line.words) for line in story.lines)
    return Kept(begun.revision.code, begun.code, sections, told, early(shop, shown), late(shop, shown))


def _section(begun: Begun, state: BenchState, run: Run) -> BenchSection:
    strips = tuple(
        BenchStrip(one.section, one.strip, one.judgement, one.ways, one.words)
        for one in state.strips
        if (one.section, one.stage) == (run.section, run.stage)
    )
    return BenchSection(
        run.section,
        run.called,
        run.passes,
        limits_of(run.stage),
        strips,
        run.chart,
        run_words(run, begun.rod.display),
    )


def run_words(run: Run, show: Display) -> tuple[str, ...]:
    """What the strips of a section say as a process, each a sentence; what to do about it while they can be cut."""
    chart = run.chart
    apart = [f"{', '.join(run.apart)} of {run.section} under size: left out of what follows."] if run.apart else []
    if chart is None:
        if len(run.labels) > 1:
            return (
                *apart,
                f"The strips of {run.section} were read at no station in common: there is no chart of them.",
            )
        return tuple(apart)
    side = "over" if chart.place.centre >= 0 else "under"
    said = [
        *apart,
        f"The strips of {run.section} stand {amount(chart.place.centre, show.small)} {side} target in the mean and "
        f"scatter by {show.small(chart.place.sigma)} from strip to strip"
        + (f", {show.small(run.along.centre)} in range along a strip" if run.along else "")
        + ("; the limits are provisional, there are few strips." if chart.provisional else "."),
    ]
    for words in dict.fromkeys(one.words for one in run.signals):
        alike = [one for one in run.signals if one.words == words]
        at = ", ".join(f"{run.section}/{run.labels[one.last]}" for one in alike)
        said.append(f"At {at}: {words} (by chance alone once in {1 / alike[0].false_alarm:.0f} strips).")
    if run.story is not None:
        reset = " Reset it before the next strip, and read these again." if run.open else ""
        said.append(f"In {run.section} {run.story.words}.{reset}")
    return tuple(said)

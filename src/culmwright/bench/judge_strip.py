"""The judgement of a whole strip: its worst places, and the next pass that takes no station under size."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from culmwright.bench.cuts import Cutting, NextCut, next_cut
from culmwright.bench.judge import Judgement, amount, thin_note
from culmwright.bench.limits import Level, Size
from culmwright.measure.display import Display
from culmwright.measure.errors import BadInput
from culmwright.measure.record import si


@dataclass(frozen=True, slots=True)
class StripJudgement:
    """A strip judged over its stations: ``most_over`` and ``least_over`` are those of its readings.

    ``allowance`` is how much every station still has above its aim, below zero where one is under.
    ``next_cut`` is the next round along the whole strip that takes no station below its aim, None where there
    is none to take. ``level`` is the worst of its stations; ``words`` say it, ``note`` adds what they leave
    out.
    """

    stations: tuple[Judgement, ...] = si("")
    most_over: Judgement = si("")
    least_over: Judgement = si("")
    allowance: float = si("m")
    level: Level = si("")
    next_cut: NextCut | None = si("")
    words: str = si("")
    note: str = si("")

    @property
    def sign(self) -> str:
        """``-`` where a station is under size, else ``+`` where one is over, else ``=``."""
        worst = self.least_over if self.least_over.size is Size.UNDER else self.most_over
        return worst.sign


def judge_strip(readings: Sequence[Judgement], cutting: Cutting, display: Display) -> StripJudgement:
    """The judgement of one strip from its ``readings``, one or more stations, all of one stage.

    A pass runs the whole strip and takes the same everywhere, so the station with the least to spare limits
    it.
    """
    if not readings:
        raise BadInput("this strip has no readings yet", where="strip", remedy="Read at least one station first")
    if len({one.aim.stage for one in readings}) > 1:
        raise BadInput(
            "these readings are of more than one stage",
            where="strip",
            remedy="Judge rough and finish separately",
        )
    most = max(readings, key=lambda one: one.deviation)
    least = min(readings, key=lambda one: one.deviation)
    unfinished = any(one.size is Size.OVER for one in readings)
    cut = next_cut(least.deviation, cutting) if unfinished else None
    return StripJudgement(
        stations=tuple(readings),
        most_over=most,
        least_over=least,
        allowance=least.deviation,
        level=max((one.level for one in readings), key=list(Level).index),
        next_cut=cut,
        words=_words(most, least, cut, display),
        note=thin_note(cut, display),
    )


def as_it_is(found: StripJudgement, display: Display) -> str:
    """How a strip stands that is not cut any more: its worst places, and no next pass."""
    most, least = found.most_over, found.least_over
    if most.size is not Size.OVER and least.size is not Size.UNDER:
        return found.words
    return _at(most, display) if most is least else f"from {_at(least, display)} to {_at(most, display)}"


def _words(most: Judgement, least: Judgement, cut: NextCut | None, display: Display) -> str:
    if least.size is Size.UNDER:
        said = f"{_at(least, display)}, the worst"
        if most.size is Size.OVER:
            said += f"; {_at(most, display)}"
        return f"{said}: take nothing more off along the whole strip"
    if most.size is not Size.OVER:
        return f"on size at every station read, {_span(most, least, display)}"
    if cut is None:
        return f"{_at(most, display)}, but {_at(least, display)}: cut only where it is over"
    if most is least:
        return f"{_at(least, display)}: {cut.words(display)}"
    return f"{_at(most, display)}, the least {_at(least, display)}: {cut.words(display)}"


def _span(most: Judgement, least: Judgement, display: Display) -> str:
    """From the least to the most of a strip on size: ``from 0.2 thou under to 0.5 thou over``."""
    low, high = _signed(least.deviation, display), _signed(most.deviation, display)
    return low if low == high else f"from {low} to {high}"


def _signed(deviation: float, display: Display) -> str:
    return f"{amount(deviation, display.small)} {'under' if deviation < 0 else 'over'}"


def _at(one: Judgement, display: Display) -> str:
    return f"{_signed(one.deviation, display)} at station {display.station.number(one.aim.place.m)}"

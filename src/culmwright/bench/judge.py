"""The judgement of one reading: over, on size or under, by how much, and what to do next."""

from __future__ import annotations

from dataclasses import dataclass, field
from enum import Enum

from culmwright.bench.cuts import Cutting, Move, NextCut, groove_move, next_cut, stop_move
from culmwright.bench.limits import Level, Limits, Size, Verdict
from culmwright.bench.passes import TOO_THIN
from culmwright.bench.targets import StripTarget
from culmwright.design.rod import Cutter
from culmwright.measure.display import Display, Format
from culmwright.measure.lengths import Length
from culmwright.measure.record import si


class Stage(Enum):
    """Which height of a strip is being cut to."""

    ROUGH = "rough"
    FINISH = "finish"


@dataclass(frozen=True, slots=True)
class Aim:
    """What a gauge should read on a strip at one station at one stage.

    ``height`` [m] is the strip's own, ``reading`` [m] what the gauge shows for it.
    """

    stage: Stage = si("")
    station: float = si("m")
    height: float = si("m")
    reading: float = si("m")
    place: Length = field(metadata={"hidden": True}, default_factory=lambda: Length.parse("0 m"))


def aim(target: StripTarget, stage: Stage, zero: float = 0.0) -> Aim:
    """The aim of ``stage`` at a station, read with a gauge that shows ``zero`` [m] with no height in its block."""
    height = target.rough_height if stage is Stage.ROUGH else target.height
    return Aim(stage=stage, station=target.station, height=height, reading=zero + height, place=target.place)


@dataclass(frozen=True, slots=True)
class Judgement:
    """One reading judged: ``deviation`` above the aim, the verdict in every form, and what to do.

    ``next_cut`` is None on size, under, or where what is over is too thin to cut; ``move`` of the stop or
    groove is None on size. ``note`` adds what the words leave out, empty if nothing. Kept out of tolerance, a
    reading ``needs_reason``.
    """

    aim: Aim = si("")
    reading: float = si("m")
    deviation: float = si("m")
    size: Size = si("")
    level: Level = si("")
    sign: str = si("")
    shape: str = si("")
    sound: str = si("")
    next_cut: NextCut | None = si("")
    move: Move | None = si("")
    words: str = si("")
    note: str = si("")
    needs_reason: bool = si("")


def judge(reading: float, aim: Aim, limits: Limits, cutting: Cutting, display: Display) -> Judgement:
    """The judgement of ``reading`` [m] against its ``aim``.

    In words like ``1.2 thou over at station 25: one pair of passes of 0.6``.
    """
    deviation = reading - aim.reading
    verdict = limits.verdict(deviation)
    cut = next_cut(deviation, cutting) if verdict.size is Size.OVER else None
    return Judgement(
        aim=aim,
        reading=reading,
        deviation=deviation,
        size=verdict.size,
        level=verdict.level,
        sign=verdict.sign,
        shape=verdict.shape,
        sound=verdict.sound,
        next_cut=cut,
        move=None if verdict.size is Size.ON_SIZE else rig_move(deviation, cutting, display),
        words=_words(deviation, verdict, cut, f"station {display.station.number(aim.place.m)}", display),
        note=thin_note(cut, display),
        needs_reason=verdict.level is Level.STOP,
    )


def rig_move(deviation: float, cutting: Cutting, display: Display) -> Move:
    """How to reset a rig that left a strip ``deviation`` [m] over: its stop, or the groove of a flat iron."""
    if cutting.cutter is Cutter.TWO_EDGED:
        return stop_move(deviation, display)
    return groove_move(deviation, cutting.form, display)


def amount(deviation: float, small: Format) -> str:
    """The size of a deviation [m] to the last digit shown: ``1.2 thou``, or ``less than 0.1 thou``.

    >>> from culmwright.measure.display import INCH_DISPLAY
    >>> amount(-1.2 * 25.4e-6, INCH_DISPLAY.small), amount(1e-7, INCH_DISPLAY.small)
    ('1.2 thou', 'less than 0.1 thou')
    """
    if small.number(abs(deviation)).strip("0."):
        return small(abs(deviation))
    return f"less than {small(10**-small.places * small.si)}"


def thin_note(cut: NextCut | None, display: Display) -> str:
    """What to know of a pass thinner than an edge cuts cleanly; empty for any other."""
    if cut is None or not cut.thin:
        return ""
    thinnest = display.small(TOO_THIN)
    return f"passes under {thinnest} are thin: an iron that is not keen rubs instead of cutting"


def _words(deviation: float, verdict: Verdict, cut: NextCut | None, where: str, display: Display) -> str:
    side = "over" if deviation > 0 else "under"
    by = amount(deviation, display.small)
    if verdict.size is Size.ON_SIZE:
        shown = display.small.number(abs(deviation)).strip("0.")
        return f"on size at {where}, {by} {side}" if shown else f"on size at {where}"
    if verdict.size is Size.OVER:
        return f"{by} over at {where}: {cut.words(display) if cut else 'too thin to cut'}"
    if verdict.level is Level.STOP:
        return f"{by} under at {where}: stop, no pass can put cane back"
    return f"{by} under at {where}: no more passes here"

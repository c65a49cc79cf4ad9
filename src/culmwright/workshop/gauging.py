"""Gauges of a shop: tried on references, studied, set on pins; and the doubt of a reading made with them."""

from __future__ import annotations

import json
import re
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime
from math import inf, radians
from os import PathLike
from pathlib import Path
from random import Random
from typing import Any

from culmwright.bench.gauge_study import GaugeStudy as GaugeStudy
from culmwright.bench.gauge_study import study
from culmwright.book.gauge_leaves import GaugeRecord, gauge_leaf
from culmwright.book.leaf import Leaf
from culmwright.book.ruler import Ruler
from culmwright.design.rod import BLOCK_DEGREES
from culmwright.ledger.dockets import dockets, keep_docket
from culmwright.ledger.register import Gauge, GaugeCheck, add_gauge_check, gauge_checks, gauges
from culmwright.ledger.shop import Shop
from culmwright.measure.columns import columns
from culmwright.measure.display import Display
from culmwright.measure.errors import BadInput
from culmwright.measure.lengths import NANOMETRES, Length
from culmwright.measure.reach import Size, must_reach
from culmwright.measure.record import si
from culmwright.rigs.block_zero import BlockZero, root_words, zero_from_master, zero_from_pins
from culmwright.rigs.block_zero import OverPin as OverPin
from culmwright.rigs.budget import Budget, Part, Share
from culmwright.rigs.instruments import Instrument as Instrument
from culmwright.rigs.instruments import Tried as Tried
from culmwright.workshop.opening import Begun

STUDY, ZERO, KIND, BACK = "gauge study", "block zero", "gauge kind", "gauge trial taken back"
COLUMNS = ("hand", "strip", "trial", "reading")
MOST_ROWS = 5000
LARGEST_FILE = 1_000_000
"""A table of a study holds no more characters."""
LAST_DIGITS = re.compile(r"[0-9]?[.,]([0-9]+)")
SAME_BLOCK = radians(0.5)
"""Blocks whose angles [rad] differ by less are taken for one, as marked and as measured (own choice)."""
SLIP, SLIPS = 0.1, 1e-3
"""A trial off by more than this share of its reference and by more than this [m] is a slip of the key (own choice)."""


@dataclass(frozen=True, slots=True)
class Doubt:
    """How far a reading may be from what it says: ``combined`` standard uncertainty, ``expanded`` for 95 in 100."""

    combined: float = si("m")
    freedom: float | None = si("-")
    coverage: float = si("-")
    expanded: float = si("m")
    parts: tuple[Share, ...] = ()


@dataclass(frozen=True, slots=True)
class ZeroFound:
    """The zero of a block from pins and, or, from a master strip; what they say of its root; the better of them."""

    pins: BlockZero | None
    master: BlockZero | None
    root: str
    zero: float = si("m")
    uncertainty: float = si("m")
    warnings: tuple[str, ...] = ()

    def part(self) -> Part:
        """Its doubt [m] as a part of a reading's."""
        found = self.master or self.pins
        return found.part() if found else Part("zero of the block", self.uncertainty)


def zero(
    angle: float,
    pins: Sequence[OverPin],
    master: tuple[float, float] | None,
    instrument: Instrument,
    show: Display,
) -> ZeroFound:
    """The zero of a block of ``angle`` [rad], read with an ``instrument``.

    ``master`` is a master strip's height and reading [m]. Raises :class:`BadInput` where there is neither.
    """
    from_pins = zero_from_pins(angle, pins, instrument.part(), show) if pins else None
    from_master = zero_from_master(master[0], instrument.error, master[1], instrument.part()) if master else None
    best = from_master or from_pins
    if best is None:
        raise BadInput("nothing was read in the block", where="zero", remedy="Give a pin or a master strip")
    root = root_words(from_pins, from_master, angle, show) if from_pins and from_master else ""
    said = (*(from_pins.warnings if from_pins else ()), *(from_master.warnings if from_master else ()))
    return ZeroFound(from_pins, from_master, root, best.zero, best.uncertainty, said)


def block_angle(sides: int) -> float:
    """The usual block's angle [rad] for so many sides: one degree open."""
    return radians(BLOCK_DEGREES[sides])


def doubt(
    instrument: Instrument,
    step: float,
    zero_part: Part | None = None,
    studied: GaugeStudy | None = None,
    times: int = 1,
) -> Doubt:
    """The doubt [m] of a height read with an ``instrument`` that shows steps of ``step`` [m], the mean of ``times``.

    Without a study the scatter of hands is left out, and the doubt is too small by it.
    """
    if not (step > 0 and times >= 1):
        raise BadInput(
            "a gauge's step is above zero, and it is read once or oftener", where="step", remedy="Check both"
        )
    parts = [instrument.part(), Part.rounded("step of the display", step)]
    parts += [zero_part] if zero_part else []
    if studied is not None:
        parts.append(Part.repeated("one hand reading again (study)", studied.repeatability, times, studied.freedom))
        parts.append(Part("hand to hand (study)", studied.reproducibility, 1.0, studied.hands - 1))
    budget = Budget(tuple(parts))
    freedom = None if budget.freedom == inf else budget.freedom
    return Doubt(budget.combined, freedom, budget.coverage(), budget.expanded(), budget.shares())


def study_text(path: str | PathLike[str]) -> str:
    """The text of a study's table. Raises :class:`BadInput` for what is no text."""
    try:
        with Path(path).open(encoding="utf-8-sig") as stream:
            return stream.read(LARGEST_FILE)
    except (OSError, UnicodeDecodeError):
        raise BadInput("it cannot be read", where=str(path), remedy="Give a CSV file saved as UTF-8") from None


def read_study(text: str, bare: str, path: str) -> GaugeStudy:
    """Study the readings of a table with columns hand, strip, trial and reading; ``bare`` is their unit.

    Raises :class:`BadInput` with ``path`` and the line for what cannot be read.
    """
    rows = [(number, columns(line)) for number, line in enumerate(text.splitlines(), 1) if line.strip()]
    heads = [head.lower() for head in rows[0][1]] if rows else []
    if len(rows) < 2 or not set(COLUMNS) <= set(heads) or len(rows) > MOST_ROWS:
        raise BadInput(
            "this is no table of a gauge study",
            where=path,
            remedy=f"Its first line is {','.join(COLUMNS)}, then one reading a line",
        )
    found: dict[tuple[str, str, str], float] = {}
    for number, cells in rows[1:]:
        place = f"{path}, line {number}"
        row = dict(zip(heads, cells, strict=False))
        if not all(row.get(name) for name in COLUMNS):
            raise BadInput("a cell is missing", where=place, remedy="Fill every column")
        if len(cells) > len(heads):
            remedy = "Part the cells with semicolons, or quote a reading with a decimal comma"
            raise BadInput(f"{len(cells)} cells stand under {len(heads)} heads", where=place, remedy=remedy)
        key = (row["hand"], row["trial"], row["strip"])
        if key in found:
            raise BadInput("this strip was read already", where=place, remedy="Count the trials up")
        try:
            found[key] = Length.parse(row["reading"], bare).m
        except BadInput as fault:
            raise fault.at(place) from None
        must_reach(Size.READING, found[key], bare, place)
    hands, trials, strips = (list(dict.fromkeys(key[i] for key in found)) for i in range(3))
    try:
        table = [[[found[hand, trial, strip] for strip in strips] for trial in trials] for hand in hands]
    except KeyError as missing:
        hand, trial, strip = missing.args[0]
        raise BadInput(
            f"{hand} did not read strip {strip} in trial {trial}",
            where=path,
            remedy="Every hand reads every strip every time",
        ) from None
    return study(table)


def unit_of(shop: Shop, name: str) -> str:
    """The unit a gauge of the shop shows; raises :class:`BadInput` for one it does not have."""
    return _named(shop, name).unit


def try_gauge(
    shop: Shop, name: str, kind: Instrument, reference: Length, shown: Length, at: datetime | None = None
) -> Tried:
    """Keep that a gauge of the shop was tried on a reference; raises :class:`BadInput` for one it does not have."""
    gauge = _named(shop, name)
    if abs(shown.m - reference.m) > max(SLIP * abs(reference.m), SLIPS):
        raise BadInput(
            f"{shown} on a reference of {reference} is no gauge's error",
            where=name,
            remedy="Look at both and their units; nothing was noted",
        )
    if _kind(shop, gauge) is not kind:
        text = json.dumps({"gauge": gauge.id, "kind": kind.name})
        keep_docket(shop, KIND, text, at=at)
    add_gauge_check(shop, gauge.id, reference, shown, at=at)
    return Tried(reference.m, shown.m, kind.error, _last_digit(gauge, reference, shown) / 2)


def trials(shop: Shop, gauge: int) -> tuple[GaugeCheck, ...]:
    """How a gauge was tried, oldest first, without the trials that were taken back."""
    back = {json.loads(one.text)["trial"] for one in dockets(shop, BACK)}
    return tuple(one for one in gauge_checks(shop, gauge) if one.id not in back)


def trials_told(shop: Shop) -> tuple[tuple[str, str], ...]:
    """The trials of every gauge that stand, newest first: the number of each, and words."""
    every = [(gauge, one) for gauge in gauges(shop) for one in trials(shop, gauge.id)]
    return tuple(
        (str(one.id), f"trial {one.id}, {gauge.name}: {one.shown.given} on {one.reference.given}, {one.at:%Y-%m-%d}")
        for gauge, one in sorted(every, key=lambda pair: -pair[1].id)
    )


def newest_trial(shop: Shop, name: str) -> int:
    """The number of the newest trial of a gauge."""
    return trials(shop, _named(shop, name).id)[-1].id


def take_back(shop: Shop, number: int, why: str, id: str | None = None) -> GaugeCheck:
    """Take a trial of a gauge back by its ``number``; raises :class:`BadInput` for one that does not stand."""
    standing = {one.id: one for gauge in gauges(shop) for one in trials(shop, gauge.id)}
    if number not in standing:
        named = ", ".join(map(str, sorted(standing)))
        raise BadInput(
            f"there is no trial {number} of a gauge",
            where="--take-back",
            remedy=f"Nothing was taken back; the trials are {named}" if named else "Nothing was taken back",
        )
    text = json.dumps({"trial": number, "why": why}, ensure_ascii=False)
    keep_docket(shop, BACK, text, id=id)
    return standing[number]


def keep_study(shop: Shop, name: str, found: GaugeStudy, at: datetime | None = None) -> None:
    """Keep a study of a gauge of the shop."""
    text: dict[str, object] = {"gauge": _named(shop, name).id, "words": found.words}
    text |= {"repeatability": found.repeatability}
    text |= {"reproducibility": found.reproducibility, "share": found.share}
    text |= {"asked": [found.hands, found.strips, found.trials]}
    text |= {"ranges": [found.mean_range, found.hand_range, found.part_range]}
    keep_docket(shop, STUDY, json.dumps(text), at=at)


def keep_zero(shop: Shop, angle: float, found: ZeroFound, at: datetime | None = None) -> None:
    """Keep the zero found of a block of ``angle`` [rad]."""
    said = found.root or "; ".join(found.warnings)
    text = {"angle": angle, "zero": found.zero, "uncertainty": found.uncertainty, "words": said}
    keep_docket(shop, ZERO, json.dumps(text), at=at)


def records(shop: Shop) -> tuple[GaugeRecord, ...]:
    """Every gauge of the shop with how it was tried and studied."""
    studies = [json.loads(one.text) for one in dockets(shop, STUDY)]
    found = []
    for gauge in gauges(shop):
        kind = _kind(shop, gauge)
        tried = tuple(
            (
                one.id,
                one.at.date().isoformat(),
                Tried(
                    one.reference.m,
                    one.shown.m,
                    kind.error if kind else 0.0,
                    _last_digit(gauge, one.reference, one.shown) / 2,
                ),
            )
            for one in trials(shop, gauge.id)
        )
        newest = next((one for one in reversed(studies) if one["gauge"] == gauge.id), None)
        found.append(GaugeRecord(gauge.name, gauge.unit, kind, tried, newest))
    return tuple(found)


def leaves_of(shop: Shop, begun: Begun, ruler: Ruler) -> tuple[Leaf, ...]:
    """The sheet of gauge checks, where a gauge was tried, studied or the zero of a rod's block found."""
    tried = [one for one in records(shop) if one.tried or one.study]
    zeros = [(at.date().isoformat(), told) for at, told in zeros_of(shop, begun)]
    return (gauge_leaf(tried, zeros, begun.rod.display),) if tried or zeros else ()


def zeros_of(shop: Shop, begun: Begun) -> tuple[tuple[datetime, dict[str, Any]], ...]:
    """When a block's zero was found and what was, for blocks of the angle a rod is read over; in sequence."""
    every = ((one.at, json.loads(one.text)) for one in dockets(shop, ZERO))
    return tuple((at, told) for at, told in every if abs(told["angle"] - begun.rod.bench.block_angle) < SAME_BLOCK)


def _last_digit(gauge: Gauge, *typed: Length) -> float:
    """The least step [m] a ``gauge`` shows: as its record has it, else the finest digit ``typed``, zeros left out."""
    if gauge.resolution is not None:
        return gauge.resolution.m
    steps = [
        NANOMETRES[one.unit] * 1e-9 * 10.0 ** -len(digits[1])
        for one in typed
        if one.unit in NANOMETRES and (digits := LAST_DIGITS.search(one.text))
    ]
    return min(steps, default=0.0)


def _named(shop: Shop, name: str) -> Gauge:
    every = gauges(shop)
    found = next((one for one in every if one.name == name), None)
    if found is None:
        names = ", ".join(one.name for one in every)
        remedy = (
            f"Its gauges are {names}" if names else "Declare one with: culmwright read … --gauge G1 --gauge-unit in"
        )
        raise BadInput(f"this shop has no gauge {name}", where=name, remedy=remedy)
    return found


def _kind(shop: Shop, gauge: Gauge) -> Instrument | None:
    said = [json.loads(one.text) for one in dockets(shop, KIND)]
    mine = [one for one in said if one["gauge"] == gauge.id]
    return Instrument[mine[-1]["kind"]] if mine else None


def show_gauges(shop: Shop, at: datetime, show: Display) -> None:
    """Put invented trials, a study and a block's zero into the demo shop, for its gauge G1."""
    inch = 0.0254
    angle = block_angle(6)
    pins = [OverPin(d / 2 * inch, r * inch) for d, r in ((0.125, 0.4423), (0.1875, 0.5350), (0.25, 0.6279))]
    keep_zero(shop, angle, zero(angle, pins, (0.1500 * inch, 0.4066 * inch), Instrument.MICROMETER, show), at)
    for reference, shown in (("0.1000 in", "0.1000 in"), ("0.2500 in", "0.2502 in"), ("0.5000 in", "0.5001 in")):
        try_gauge(shop, "G1", Instrument.MICROMETER, Length.parse(reference), Length.parse(shown), at)
    random = Random(61)
    sizes = [(0.120 + 0.004 * i) * inch for i in range(8)]
    table = [
        [[size + hand + random.gauss(0.0, 6e-6) for size in sizes] for _ in range(3)] for hand in (0.0, 4e-6, -3e-6)
    ]
    keep_study(shop, "G1", study(table), at)

"""The sheet of gauge checks: what every gauge was tried on, what it showed, and how its readings scatter."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from math import degrees
from typing import Any

from culmwright.bench.gauge_study import study_again
from culmwright.bench.study_working import study_working
from culmwright.book.ladders import folded
from culmwright.book.leaf import Block, Leaf, Rows, Words
from culmwright.book.words import sentence
from culmwright.measure.display import Display
from culmwright.rigs.instruments import Instrument, Tried

AT_ITS_LIMIT = "at its limit"


@dataclass(frozen=True, slots=True)
class GaugeRecord:
    """A gauge of the shop: its kind if it was said, how it was tried (number, day, trial), its newest study or None."""

    name: str
    unit: str
    kind: Instrument | None
    tried: tuple[tuple[int, str, Tried], ...]
    study: Mapping[str, Any] | None


def gauge_leaf(found: Sequence[GaugeRecord], zeros: Sequence[tuple[str, Mapping[str, Any]]], show: Display) -> Leaf:
    """The sheet "Gauge checks": trials, studies, zeros of blocks, and lines to write the next on."""
    blocks: list[Block] = [
        Words(
            "A gauge is tried on something of known size, near the size it is used at, cleaned and at the same "
            "temperature, before a section is finished."
        )
    ]
    rows = [_trial(record, number, day, one, show) for record in found for number, day, one in record.tried]
    heads = (
        "trial",
        "day",
        "gauge",
        "reference",
        "shown",
        f"off, {show.small.unit}",
        f"allowed, {show.small.unit}",
        "it is",
    )
    if rows:
        blocks.append(Rows(heads, tuple(rows), "Tried", lead=3))
    if any(row[-1] == AT_ITS_LIMIT for row in rows):
        blocks.append(
            Words("At its limit: beyond it, but by no more than the gauge's last digit leaves open. Try it again.")
        )
    for record in found:
        blocks += _study(record, show) if record.study else []
    if zeros:
        blocks.append(
            Rows(
                ("day", "block", "zero", f"doubt (one sigma), {show.small.unit}"),
                tuple(
                    (
                        day,
                        f"{degrees(one['angle']):.4g} deg",
                        show.height(one["zero"]),
                        show.small.number(one["uncertainty"]),
                    )
                    for day, one in zeros
                ),
                "Zeros of V blocks",
                lead=2,
            )
        )
        blocks += [Words(sentence(one["words"])) for _, one in zeros[-1:] if one["words"]]
    lines = tuple((str(number), "") for number in range(1, 9))
    blocks.append(Rows(("", "day, gauge, reference, shown, by"), lines, "Next", write_in=True))
    return Leaf("Gauge checks", tuple(blocks))


def _trial(record: GaugeRecord, number: int, day: str, one: Tried, show: Display) -> tuple[str, ...]:
    known = record.kind is not None
    verdict = ("good" if one.good else "off: look to it" if one.off else AT_ITS_LIMIT) if known else "kind not said"
    return (
        str(number),
        day,
        record.name,
        show.height(one.reference),
        show.height(one.shown),
        ("+" if one.error > 0 else "") + show.fine.number(one.error),
        show.fine.number(one.allowed) if known else "-",
        verdict,
    )


def _study(record: GaugeRecord, show: Display) -> list[Block]:
    """What a study says, and its working where its ranges were kept."""
    found = study_again(record.study or {})
    words: list[Block] = [Words(_studied(record, show))]
    if found is None:
        return words
    return [*words, folded(f"the share of {record.name}", study_working(found)["share"], show)]


def _studied(record: GaugeRecord, show: Display) -> str:
    said = record.study or {}
    return (
        f"{record.name} studied: one hand reading again scatters by {show.small(said['repeatability'])}, hand to "
        f"hand by {show.small(said['reproducibility'])} (one sigma). {sentence(said['words'])}"
    )

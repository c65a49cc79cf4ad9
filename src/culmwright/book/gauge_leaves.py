"""The sheet of gauge checks: what every gauge was tried on, what it showed, and how its readings scatter."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from math import degrees
from typing import Any

from culmwright.book.leaf import Block, Leaf, Rows, Words
from culmwright.book.words import sentence
from culmwright.measure.display import Display
from culmwright.rigs.instruments import Instrument, Tried


@dataclass(frozen=True, slots=True)
class GaugeRecord:
    """A gauge of the shop: its kind if it was said, how it was tried (day, trial), its newest study or None."""

    name: str
    unit: str
    kind: Instrument | None
    tried: tuple[tuple[str, Tried], ...]
    study: Mapping[str, Any] | None


def gauge_leaf(found: Sequence[GaugeRecord], zeros: Sequence[tuple[str, Mapping[str, Any]]], show: Display) -> Leaf:
    """The sheet "Gauge checks": trials, studies, zeros of blocks, and lines to write the next on."""
    blocks: list[Block] = [
        Words(
            "A gauge is tried on something of known size, near the size it is used at, cleaned and at the same "
            "temperature, before a section is finished."
        )
    ]
    rows = [_trial(record, day, one, show) for record in found for day, one in record.tried]
    heads = ("day", "gauge", "reference", "shown", f"off, {show.small.unit}", "allowed", "")
    if rows:
        blocks.append(Rows(heads, tuple(rows), "Tried", lead=2))
    blocks += [Words(_studied(record, show)) for record in found if record.study]
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


def _trial(record: GaugeRecord, day: str, one: Tried, show: Display) -> tuple[str, ...]:
    known = record.kind is not None
    verdict = ("good" if one.good else "off: look to it") if known else "kind not said"
    return (
        day,
        record.name,
        show.height(one.reference),
        show.height(one.shown),
        ("+" if one.error > 0 else "") + show.small.number(one.error),
        show.small.number(one.allowed) if known else "-",
        verdict,
    )


def _studied(record: GaugeRecord, show: Display) -> str:
    said = record.study or {}
    return (
        f"{record.name} studied: one hand reading again scatters by {show.small(said['repeatability'])}, hand to "
        f"hand by {show.small(said['reproducibility'])} (one sigma). {sentence(said['words'])}"
    )

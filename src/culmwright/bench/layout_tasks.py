"""From a rod and the strips its culms yield to the questions the node layout answers, a section each."""

from __future__ import annotations

from culmwright.bench.culm_yield import CulmYield
from culmwright.bench.node_zones import Margins, zones
from culmwright.cane.ring import RawStrip
from culmwright.cane.task import Candidate, Fault, Task
from culmwright.design.rod import Rod
from culmwright.measure.lengths import Length


def candidate(raw: RawStrip) -> Candidate:
    """A raw strip in whole nanometres from its butt end."""
    start, end = _nano(raw.length.start), _nano(raw.length.end)
    return Candidate(
        label=raw.label,
        source=raw.length.name,
        length=end - start,
        nodes=tuple(_nano(one) for one in raw.nodes),
        faults=tuple(
            Fault(max(_nano(one.start) - start, 0), min(_nano(one.end), end) - start, one.note) for one in raw.faults
        ),
    )


def tasks(rod: Rod, found: CulmYield, margins: Margins, share: int, trim: Length | None = None) -> tuple[Task, ...]:
    """Each section of ``rod`` with the strips that were taken for it; ``trim`` in place of what strips stand over."""
    made = []
    for section in rod.sections():
        raw = {(one.name, strip.number): strip for one in found.lengths for strip in one.raw}
        offered = [
            raw[one.name, number]
            for one in found.lengths
            for taken in one.taken
            if taken.section == section.name
            for number in taken.numbers
        ]
        made.append(
            Task(
                section=section.name,
                length=_nano(section.end) - _nano(section.start),
                trim=_nano(rod.bench.strip_over if trim is None else trim),
                strips=rod.sides,
                candidates=tuple(candidate(one) for one in offered),
                zones=zones(rod, section, margins),
                share=share,
            )
        )
    return tuple(made)


def _nano(length: Length) -> int:
    return round(length.nanometres)

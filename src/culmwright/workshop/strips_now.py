"""Which strips still stand at the bench, and what became of the others, in plain sentences.

A strip stands while it can still be cut: it was not scrapped, its section is not glued, and it was not read at a later
stage since. What the others were read as stays on record and asks for nothing.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from culmwright.book.words import listed
from culmwright.workshop.judging import BenchState, Fate, Run, StripState


@dataclass(frozen=True, slots=True)
class StripsNow:
    """The strips and runs that stand ``at_bench``, those read ``before`` whose fate is sealed, and it ``said``."""

    at_bench: tuple[StripState, ...]
    runs: tuple[Run, ...]
    before: tuple[StripState, ...]
    runs_before: tuple[Run, ...]
    said: tuple[str, ...]


def strips_now(state: BenchState) -> StripsNow:
    """The strips of a rod, parted into those that stand at the bench and those that do not."""
    return StripsNow(
        tuple(one for one in state.strips if one.open),
        tuple(run for run in state.runs if run.open),
        tuple(one for one in state.strips if not one.open),
        tuple(run for run in state.runs if not run.open),
        tuple(_said(state)),
    )


def still_to_glue(state: BenchState, sections: tuple[str, ...]) -> tuple[str, ...]:
    """The ``sections`` that are not glued."""
    return tuple(one for one in sections if one not in {ring.section for ring in state.glued})


def _said(state: BenchState) -> Iterator[str]:
    for ring in state.glued:
        left = _strips(state, Fate.LEFT, ring.section)
        over = f"; {listed(left)} {'is' if len(left) == 1 else 'are'} left over" if left else ""
        yield f"{ring.section} is glued from {' '.join(f'S{one}' for one in ring.strips)}{over}"
    for section in dict.fromkeys(one.section for one in state.strips):
        gone = _strips(state, Fate.SCRAPPED, section)
        if gone:
            yield f"{listed(gone)} of {section} {'is' if len(gone) == 1 else 'are'} scrapped"


def _strips(state: BenchState, fate: Fate, section: str) -> list[str]:
    found = {one.strip for one in state.strips if one.fate is fate and one.section == section}
    return [f"S{one}" for one in sorted(found)]

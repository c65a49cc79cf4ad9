"""What the bench found, as text for a terminal."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from culmwright.book.words import listed
from culmwright.cli.render import sentences, table
from culmwright.workshop.guarding import Preview
from culmwright.workshop.judging import BenchState, StripState, stage_called
from culmwright.workshop.kept import run_words
from culmwright.workshop.opening import Begun, Rod
from culmwright.workshop.strips_now import strips_now
from culmwright.workshop.telling import Story


def state(whole: BenchState, rod: Rod, sections: Sequence[str]) -> str:
    """The strips of ``sections`` read so far, the runs at a stop, and what under-size strips can still be."""
    found = replace(
        whole,
        strips=tuple(one for one in whole.strips if one.section in sections),
        runs=tuple(one for one in whole.runs if one.section in sections),
        glued=tuple(one for one in whole.glued if one.section in sections),
    )
    if not found.strips:
        return f"{found.code} {found.name}: nothing is read of {listed(sections)} yet."
    now = strips_now(found)
    lines = [f"{found.code} {found.name}", "", *([strips(now.at_bench)] if now.at_bench else [])]
    lines += [f"{words}." for words in now.said]
    if now.runs:
        lines.append("")
    for run in now.runs:
        lines += run_words(run, rod.display)
    return "\n".join(lines)


def strips(judged: Sequence[StripState]) -> str:
    """A line a strip, with the ways of those that are under size below it."""
    lines = []
    for one in judged:
        where = f"{one.section}/S{one.strip}"
        lines.append(f"{one.judgement.sign} {where:<7} {stage_called(one.stage)}, pass {one.cut}: {one.words}")
        lines += [f"      {number}. {way.words}" for number, way in enumerate(one.ways, 1)]
    return "\n".join(lines)


def story(found: Story, begun: Begun) -> str:
    """The log of a rod."""
    show = begun.rod.display
    lines = [f"{found.code} {found.name}"]
    lines += [f"{note[0].upper()}{note[1:]}." for note in begun.notes]
    lines += ["", table_of_story(found)]
    if found.now:
        lines.append(sentences(found.now).lstrip("\n"))
    if found.distance_walked:
        lines.append(f"Walked so far, one way along each stroke: {show.walk(found.distance_walked)}.")
    if found.strips:
        standing = [one for one in found.strips if one.open]
        lines += ["", "How the strips stand:", *([strips(standing)] if standing else [])]
        lines += [f"{words}." for words in found.stands]
    return "\n".join(lines)


def table_of_story(found: Story) -> str:
    """The lines of the log, time first."""
    return "\n".join(f"{line.at}  {line.words}" for line in found.lines) or "Nothing has happened yet."


def brought(seen: Preview, *, written: bool) -> str:
    """What an import wrote, or would write."""
    rows = [(name, str(seen.adds.get(name, 0)), str(seen.same.get(name, 0))) for name in seen.adds]
    head = f"{'Written' if written else 'This would be written'} from {seen.source}:"
    tail = "The shop then equals what was exported." if seen.as_exported else "The shop holds other rows besides."
    more = "" if written else "\nNothing is written yet: add --write."
    return f"{head}\n\n{table(('table', 'new', 'there already'), rows)}\n\n{tail}{more}"

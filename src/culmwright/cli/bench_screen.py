"""The bench in a terminal: the armed cell in huge digits, the last verdict in words, one line of input a reading.

Where input does not come from a keyboard the same session is played line by line, one answer a line.
"""

from __future__ import annotations

import sys
import time
from collections.abc import Iterator
from typing import TextIO

from culmwright.cli.big import big
from culmwright.measure.display import Display
from culmwright.measure.errors import BadInput
from culmwright.measure.spot import Spot
from culmwright.workshop.judging import stage_called
from culmwright.workshop.session import Answer, Said, Session

HELP = (
    "a reading · k keep what is held (k REASON) · u undo · n next · b back · s REASON skip · g SPOT go there · "
    "c 8 thou a round cut on this strip, ca on every strip · q leave"
)
SETTLES = frozenset(("k", "u", "n", "b", "s", "g", "q", "?"))
"""Keys that settle a reading that is held, or leave it."""
CLEAR = "\x1b[2J\x1b[H"


class Leave(Exception):
    """The maker leaves the bench."""


def obey(session: Session, typed: str, clock: float) -> Answer:
    """What the bench answers to a line: a command of one letter, or else a reading.

    Raises :class:`BadInput` for what is neither, :class:`Leave` for ``q``.
    """
    word, _, rest = typed.strip().partition(" ")
    match word.lower():
        case "q":
            raise Leave
        case "c" | "ca":
            return session.cut(rest, every=word.lower() == "ca")
        case "u":
            return session.undo()
        case "n":
            return session.onward()
        case "b":
            return session.back()
        case "k":
            return session.keep(rest, clock)
        case "s":
            return session.skip(rest)
        case "g":
            return session.go(Spot.parse(rest, session.bare))
        case "?":
            return Answer(Said.MOVED, HELP)
    return session.take(typed, clock)


def run(session: Session, source: TextIO, out: TextIO, notes: tuple[str, ...] = ()) -> bool:
    """Play a session until ``source`` ends or the maker leaves; False if it had to stop with lines unread.

    A pipe cannot be asked: where a reading is held and the next line does not settle it, the session stops, so that no
    later reading is booked in the wrong cell.
    """
    screen = source.isatty() and out.isatty()
    words = " ".join([*(f"{note[0].upper()}{note[1:]}." for note in notes), _opening(session)])
    if screen:
        _draw(session, words, out)
    for line in _lines(source):
        if not line.strip():
            continue
        if not screen and session.pending is not None and line.split()[0].lower() not in SETTLES:
            spot = session.armed.spot if session.armed else "a cell"
            print(f"! {spot} waits for an answer (k REASON keeps it, u drops it): stopped here.", file=out, flush=True)
            return False
        try:
            answer = obey(session, line, time.monotonic())
            words, bell = _said(answer), answer.said is not Said.KEPT
        except BadInput as fault:
            words, bell = f"! {fault}", True
        except Leave:
            break
        if screen:
            out.write("\a" if bell else "")
            _draw(session, words, out)
        else:
            print(words, file=out, flush=True)
    return screen or session.pending is None


def _opening(session: Session) -> str:
    unit = "inches" if session.bare == "in" else "millimetres"
    zero = "" if session.rod.bench.block_zero else " No block zero is given: read the height itself."
    return f"Bare readings count in {unit}.{zero} ? for help."


def _lines(source: TextIO) -> Iterator[str]:
    while line := source.readline():
        yield line.rstrip("\n")


def _said(answer: Answer) -> str:
    if answer.said is Said.HELD:
        return f"? {answer.words}"
    if answer.judgement is None or answer.reading is None:
        return answer.words
    spot = answer.reading.entry.cell.spot
    return f"{answer.judgement.sign} {spot}: {answer.words}"


def _draw(session: Session, words: str, out: TextIO) -> None:
    from rich.console import Console
    from rich.text import Text

    console = Console(file=out, highlight=False)
    show: Display = session.rod.display
    out.write(CLEAR)
    task = session.task
    stage = stage_called(task.stage)
    console.print(Text.assemble((f"{session.begun.code} {session.rod.name}", "bold"), f"  {stage}, pass {task.cut}"))
    console.print()
    console.print(Text(words, style="bold"))
    console.print()
    armed = session.armed
    if armed is None:
        console.print(Text("Every cell is done.", style="bold"))
    else:
        place = armed.place
        console.print(
            f"{place.section} · strip {place.strip} · station {show.station(place.station.m)}   "
            f"({armed.done} of {armed.of} done)   {_should(session)}, {show.height.unit}:"
        )
        console.print()
        console.print(Text(big(show.height.number(armed.aim.reading)), style="bold"))
    console.print()
    console.print(Text(HELP))
    out.write("> ")
    out.flush()


def _should(session: Session) -> str:
    return "the gauge should show" if session.rod.bench.block_zero else "the strip's height should be"


def keyboard() -> TextIO:
    """Where the maker types."""
    return sys.stdin

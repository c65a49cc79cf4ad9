"""A hand of the shop in a process of its own, to be killed.

It reads one job a line (JSON) from its standard input. For each it forks, so that a trial costs no start-up, and the
child writes a line to the shared standard output for everything it has done: what a killed child has said stays said.
"""

from __future__ import annotations

import json
import os
import resource
import signal
import sys
from datetime import UTC, datetime, timedelta
from fractions import Fraction
from importlib import import_module
from pathlib import Path
from typing import Any

from sqlalchemy import event

from culmwright.ledger.backup import backup, restore
from culmwright.ledger.migrate import Steps, our_steps
from culmwright.ledger.readings import append
from culmwright.ledger.records import Cell, Entry, State
from culmwright.ledger.shop import Shop, open_shop
from culmwright.ledger.tables import SCHEMA
from culmwright.measure.errors import CulmwrightError
from culmwright.measure.lengths import Length


def say(*words: object) -> None:
    os.write(1, (" ".join(str(word) for word in words) + "\n").encode())


def entry_of(trial: int, number: int) -> Entry:
    """The entry that trial and number stand for, the same in every process."""
    cell = Cell(1, "T1", Length.parse(f"{number % 50} in"), "rough", 1, 1 + number % 6)
    nanometres = Fraction(1_000_003 * trial + number, 2)
    at = datetime(2026, 3, 1, tzinfo=UTC) + timedelta(seconds=number)
    value = Length(nanometres, f"trial {trial} number {number}", "mm")
    return Entry(f"trial-{trial:06d}-{number:08d}", cell, State.MEASURED, value, True, at)


def die() -> None:
    os.kill(os.getpid(), signal.SIGKILL)


def hook(shop: Shop, place: str) -> None:
    """Die at a named place of the next write."""
    engine = shop._engine

    def at_insert(*said: Any) -> None:
        if said[2].startswith("INSERT"):
            die()

    match place:
        case "before BEGIN":
            event.listen(engine, "begin", lambda _: die(), insert=True)
        case "after BEGIN":
            event.listen(engine, "begin", lambda _: die())
        case "before INSERT":
            event.listen(engine, "before_cursor_execute", at_insert)
        case "after INSERT":
            event.listen(engine, "after_cursor_execute", at_insert)
        case "before COMMIT":
            event.listen(engine, "commit", lambda _: die())
        case "after COMMIT":
            event.listen(engine.pool, "checkin", lambda *_: die())


def write(job: dict[str, Any]) -> None:
    """Enter readings one after another and say each one that is safe."""
    with open_shop(Path(job["file"])) as shop:
        say("ready", os.getpid())
        for number in range(job["count"]):
            if number == job.get("last"):
                hook(shop, job["place"])
            kept = append(shop, entry_of(job["trial"], number))
            if number == job.get("last"):
                die()
            say("ack", number, kept.seq)


def fill(job: dict[str, Any]) -> None:
    """Enter readings on a disk that takes only so much, then once more when there is room again."""
    with open_shop(Path(job["file"])) as shop:
        say("ready", os.getpid())
        _, hard = resource.getrlimit(resource.RLIMIT_FSIZE)
        resource.setrlimit(resource.RLIMIT_FSIZE, (job["limit"], hard))
        for number in range(job["count"]):
            try:
                kept = append(shop, entry_of(job["trial"], number))
            except CulmwrightError as fault:
                say("refused", number, type(fault).__name__, json.dumps(str(fault)))
                resource.setrlimit(resource.RLIMIT_FSIZE, (hard, hard))
                kept = append(shop, entry_of(job["trial"], number))
            say("ack", number, kept.seq)


def keep(job: dict[str, Any]) -> None:
    """Back a shop up."""
    say("ready", os.getpid())
    say("kept", backup(Path(job["file"])).path)


def bring_back(job: dict[str, Any]) -> None:
    """Restore a shop from a backup."""
    say("ready", os.getpid())
    restore(Path(job["backup"]), Path(job["file"]))
    say("restored")


def upgrade(job: dict[str, Any]) -> None:
    """Open a shop with a migration to run."""
    os.environ["TRIED_STEP"] = job["step"]
    say("ready", os.getpid())
    open_shop(Path(job["file"]), steps=Steps((*our_steps().folders, Path(job["later"])), SCHEMA + 1)).close()
    say("upgraded")


JOBS = {"write": write, "fill": fill, "keep": keep, "bring back": bring_back, "upgrade": upgrade}


def main() -> None:
    for heavy in ("alembic.runtime.environment", "alembic.script", "alembic.op"):
        import_module(heavy)  # once here, not in every child
    for line in sys.stdin:
        job = json.loads(line)
        child = os.fork()
        if child == 0:
            JOBS[job["do"]](job)
            os._exit(0)
        _, status = os.waitpid(child, 0)
        say("end", os.waitstatus_to_exitcode(status))


if __name__ == "__main__":
    main()

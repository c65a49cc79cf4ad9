"""Backups that were proven when they were made, and the way back from them.

A live file is never copied: SQLite's own backup reads it under a lock, whoever else is writing.
"""

from __future__ import annotations

import os
import sqlite3
import time
from contextlib import closing
from dataclasses import dataclass
from datetime import UTC, datetime
from pathlib import Path

from culmwright.ledger.connect import one, plain
from culmwright.ledger.digest import count_of, digest_of, faults_of
from culmwright.ledger.disk import give_name, passing_file, sync
from culmwright.ledger.faults import Busy, Damaged, spoken
from culmwright.ledger.migrate import must_be_guarded, must_be_known, must_have_no_strangers, schema_of
from culmwright.ledger.place import backups_of, must_be_writable, must_have_room
from culmwright.ledger.retention import in_folder, name_of, worth_keeping
from culmwright.ledger.tables import SCHEMA
from culmwright.measure.errors import BadInput, CulmwrightError

LONGEST_WAIT = 30.0
"""How long a copy waits for another hand's lock [s]."""


@dataclass(frozen=True, slots=True)
class Backup:
    """A proven backup: its ``path``, the ``digest`` of all it holds, how many ``rows``; ``thinned`` are older ones
    that were taken away by the rule of :mod:`culmwright.ledger.retention`.
    """

    path: Path
    digest: str
    rows: int
    thinned: tuple[Path, ...] = ()


@dataclass(frozen=True, slots=True)
class Restored:
    """A shop put back: what it holds now, and where what stood there before is kept (None if nothing did)."""

    file: Path
    digest: str
    rows: int
    before: Path | None


def backup(
    file: Path,
    folder: Path | None = None,
    *,
    before_schema: int | None = None,
    before_restore: bool = False,
    now: datetime | None = None,
    thin: bool = True,
) -> Backup:
    """Back the shop in ``file`` up into a ``folder``, beside it if none is named; prove it, then thin the older ones.

    The copy is made under a passing name, checked page by page, its rows compared with the shop's by digest, brought
    to the disk, and only then given its name.
    """
    folder = folder or backups_of(file)
    with spoken(folder):
        folder.mkdir(exist_ok=True, mode=0o700)
        must_be_writable(folder)
        must_have_room(folder, 2 * file.stat().st_size)
        goal = folder / name_of(file.stem, now or datetime.now(UTC), before_schema, before_restore=before_restore)
        with passing_file(goal, "part") as passing:
            digest, rows = _copy(file, passing)
            sync(passing)
            if not give_name(passing, goal):
                raise BadInput("there is a backup of this very moment already", where=str(goal), remedy="Try again")
        sync(folder)
        thinned = _thin(folder, file.stem) if thin else ()
    return Backup(goal, digest, rows, thinned)


def _copy(source: Path, target: Path) -> tuple[str, int]:
    """Copy a sound shop page by page and prove the copy: its digest and its number of rows."""
    with closing(plain(source, write=True)) as here:
        here.execute("PRAGMA query_only = 1")
        here.execute("BEGIN")
        wanted = digest_of(here)  # the first read takes a snapshot, and the copy below is of the same
        with closing(plain(target, write=True)) as there:
            _pages(here, there, source)
        here.execute("ROLLBACK")
    with closing(plain(target, write=True)) as there:
        there.execute("PRAGMA journal_mode = delete").fetchall()  # a backup is one file and never two
        if fault := faults_of(there):
            raise Damaged(f"the copy came out damaged ({fault})", where=str(source), remedy="Check the disk")
        if digest_of(there) != wanted:
            raise Damaged("the copy holds other rows than the shop", where=str(source), remedy="Check the disk")
        return wanted, count_of(there)


def _pages(here: sqlite3.Connection, there: sqlite3.Connection, file: Path) -> None:
    """Copy every page in one step, waiting for other hands only so long."""
    patience = time.monotonic() + LONGEST_WAIT

    def still(status: int, remaining: int, total: int) -> None:
        if time.monotonic() > patience:
            raise Busy("another program did not let go of the shop", where=str(file), remedy="Close it, then try again")

    here.backup(there, pages=-1, progress=still, sleep=0.05)


def _thin(folder: Path, stem: str) -> tuple[Path, ...]:
    there = in_folder(folder, stem)
    stay = worth_keeping(there)
    gone = tuple(kept.path for kept in there if kept not in stay)
    for path in gone:
        path.unlink()
    return gone


def fault_of_backup(path: Path) -> str:
    """Why a file is no good as a backup, in words; "" if it can be restored."""
    try:
        schema = schema_of(path)
        must_be_known(path, schema)
        with spoken(path), closing(plain(path, write=True)) as connection:
            connection.execute("PRAGMA query_only = 1")
            must_have_no_strangers(connection, path)
            if schema == SCHEMA:
                must_be_guarded(connection, path)
            return faults_of(connection)
    except CulmwrightError as fault:
        return fault.what


def newest_good(file: Path) -> Path | None:
    """The newest backup beside the shop that can be restored, or None."""
    for kept in in_folder(backups_of(file), file.stem):
        if not fault_of_backup(kept.path):
            return kept.path
    return None


def with_way_out(fault: Damaged, file: Path) -> Damaged:
    """The same fault with what to do about it: the newest good backup by name, and the salvage."""
    good = newest_good(file)
    restore = (
        f"Restore the newest good backup, {good}"
        if good
        else "There is no good backup beside it: look for one elsewhere"
    )
    remedy = f"The file is left as it is and can only be read. {restore}, or export what is still readable"
    return Damaged(fault.what, where=fault.where, remedy=remedy)


def before_migration(file: Path, schema: int) -> Backup | None:
    """Back a shop up before it is brought to ``schema``; an empty new file has nothing to keep."""
    with spoken(file), closing(plain(file)) as connection:
        if not int(one(connection, "user_version")):
            return None
    return backup(file, before_schema=schema)


def restore(path: Path, file: Path) -> Restored:
    """Put the backup in ``path`` back as the shop in ``file``.

    What stands there is kept first: a sound shop as a backup, a damaged one as it is under another name. A sound shop
    is written over in one transaction of its own, so that programs that have it open go on with the restored one, and
    a program killed half way leaves the old shop.
    """
    if not path.is_file():
        raise BadInput("there is no backup here", where=str(path), remedy="Name the backup's file")
    if fault := fault_of_backup(path):
        raise BadInput(f"this backup cannot be restored ({fault})", where=str(path), remedy="Choose another backup")
    if file.exists() and path.samefile(file):
        raise BadInput("this is the shop itself, not a backup of it", where=str(path), remedy="Name the backup's file")
    with spoken(file):
        must_be_writable(file.parent)
        must_have_room(file.parent, 2 * path.stat().st_size)
        if not file.exists():
            return _put(path, file, before=None)
        if fault_of_backup(file):
            return _put(path, file, before=_set_aside(file))
        before = backup(file, before_restore=True, thin=False).path  # thinning could take the very one to be restored
        with closing(plain(path)) as here, closing(plain(file, write=True)) as there:
            there.execute("PRAGMA synchronous = FULL")
            _pages(here, there, file)
        with closing(plain(file)) as there:
            return Restored(file, digest_of(there), count_of(there), before)


def _put(path: Path, file: Path, before: Path | None) -> Restored:
    """Make ``file`` from a backup, whole under a passing name, then swap it in."""
    with passing_file(file, "part") as passing:
        digest, rows = _copy(path, passing)
        sync(passing)
        os.replace(passing, file)
        sync(file.parent)
    return Restored(file, digest, rows, before)


def _set_aside(file: Path) -> Path:
    """Keep a damaged file, and what SQLite left beside it, under another name as well; its own name stays until
    the restored file takes it.
    """
    aside = file.with_name(f"{file.stem}-damaged-{datetime.now(UTC):%Y%m%dT%H%M%S%f}Z{file.suffix}")
    try:
        os.link(file, aside)
    except OSError:  # a disk without second names
        file.rename(aside)
    for ending in ("-journal", "-wal", "-shm"):
        beside = Path(f"{file}{ending}")
        if beside.exists():
            beside.rename(f"{aside}{ending}")
    return aside

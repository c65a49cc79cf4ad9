"""What the ledger says when SQLite or the disk says no."""

from __future__ import annotations

import errno
import shutil
import sqlite3
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

from culmwright.measure.errors import BadInput, CulmwrightError

LITTLE_ROOM = 1 << 20
"""Free space [bytes] under which a refused write is put down to a full disk."""


class Conflict(BadInput):
    """What is asked contradicts what already stands in the ledger."""


class Damaged(BadInput):
    """The shop's file is not what the ledger wrote."""


class Busy(BadInput):
    """Another program held the shop for longer than anybody should wait."""


class DiskRefused(BadInput):
    """The disk is full or refused a write; what stood in the ledger before still stands."""


def _free(file: Path) -> int | None:
    try:
        return shutil.disk_usage(file.parent).free
    except OSError:
        return None


def disk_refused(file: Path, *, certain: bool) -> DiskRefused:
    """The sentence for a write that the disk refused; ``certain`` if it said that it is full."""
    free = _free(file)
    full = certain or (free is not None and free < LITTLE_ROOM)
    what = "the disk is full" if full else "the disk refused a write: it is full, at its quota, or failing"
    return DiskRefused(
        f"{what}, so this was not kept; all that was kept before is safe",
        where=str(file),
        remedy="Make room, then enter it once more",
    )


def damaged(file: Path, fault: str) -> Damaged:
    """The sentence for a file that is no longer sound, before anybody has looked for its backups."""
    return Damaged(
        f"the shop's file is damaged ({fault})",
        where=str(file),
        remedy="It is left as it is. Restore the newest good backup, or export what is still readable",
    )


def in_words(fault: sqlite3.Error, file: Path) -> CulmwrightError:
    """The sentence for an error of SQLite on ``file``."""
    name = getattr(fault, "sqlite_errorname", None) or ""
    if name == "SQLITE_FULL":
        return disk_refused(file, certain=True)
    if name.startswith("SQLITE_IOERR"):
        return disk_refused(file, certain=False)
    if name.startswith(("SQLITE_CORRUPT", "SQLITE_NOTADB")):
        return damaged(file, str(fault))
    if name.startswith(("SQLITE_BUSY", "SQLITE_LOCKED")):
        return Busy(
            "another program is using the shop and did not let go in time, so this was not done",
            where=str(file),
            remedy="Try again; if it stays so, close the other program",
        )
    if name.startswith(("SQLITE_READONLY", "SQLITE_PERM", "SQLITE_AUTH")):
        return BadInput(
            "the shop's file may only be read here", where=str(file), remedy="Allow writing to the file and its folder"
        )
    if name.startswith("SQLITE_CANTOPEN"):
        return BadInput(
            "the shop's file cannot be opened",
            where=str(file),
            remedy="Check that the folder exists, may be written to and that the disk is not full",
        )
    if name.startswith("SQLITE_CONSTRAINT"):
        what = f"the ledger does not take this row ({fault})"
        return Conflict(what, where=str(file), remedy="Check what it refers to and its values")
    return BadInput(f"the shop's file could not be used ({fault})", where=str(file), remedy="Try again")


@contextmanager
def spoken(file: Path) -> Iterator[None]:
    """Let no bare error of SQLite or of the disk out of the block: say it in words."""
    from sqlalchemy.exc import DBAPIError

    try:
        yield
    except DBAPIError as fault:
        if not isinstance(fault.orig, sqlite3.Error):
            raise
        raise in_words(fault.orig, file) from fault
    except sqlite3.Error as fault:
        raise in_words(fault, file) from fault
    except OSError as fault:
        raise disk_in_words(fault, file) from fault


def disk_in_words(fault: OSError, file: Path) -> CulmwrightError:
    """The sentence for an error of the operating system while ``file`` was handled."""
    if fault.errno in (errno.ENOSPC, errno.EDQUOT, errno.EFBIG):
        return disk_refused(file, certain=True)
    if fault.errno == errno.EIO:
        return disk_refused(file, certain=False)
    return BadInput(
        f"this place cannot be used ({(fault.strerror or str(fault)).lower()})",
        where=str(fault.filename or file),
        remedy="Check that the folder exists and may be written to",
    )

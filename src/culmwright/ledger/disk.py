"""Files that come into being whole: made under a passing name, brought to the disk, then named."""

from __future__ import annotations

import os
import secrets
import stat
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

PRIVATE = stat.S_IRUSR | stat.S_IWUSR
"""For the owner's eyes only."""


def sync(path: Path) -> None:
    """Have the disk hold a file, or a folder's list of names, before going on."""
    if path.is_dir() and not hasattr(os, "O_DIRECTORY"):
        return  # a system where a folder cannot be opened writes its names itself
    handle = os.open(path, os.O_RDONLY if path.is_dir() else os.O_RDWR)
    try:
        os.fsync(handle)
    finally:
        os.close(handle)


@contextmanager
def passing_file(goal: Path, ending: str) -> Iterator[Path]:
    """A fresh private file beside ``goal``, gone afterwards unless it was given that name."""
    passing = goal.parent / f".{goal.name}.{secrets.token_hex(4)}.{ending}"
    os.close(os.open(passing, os.O_CREAT | os.O_EXCL | os.O_RDWR, PRIVATE))
    try:
        yield passing
    finally:
        for leftover in (passing, Path(f"{passing}-journal")):
            leftover.unlink(missing_ok=True)


def give_name(passing: Path, file: Path) -> bool:
    """Give a finished file its name and True, unless another hand has taken that name: then False."""
    try:
        os.link(passing, file)
    except FileExistsError:
        return False
    except OSError:  # a disk without second names, such as a memory card
        if file.exists():
            return False
        passing.rename(file)
    return True

"""Where a shop's file stands, and whether it can stand there."""

from __future__ import annotations

import os
import re
import shutil
from collections.abc import Mapping
from pathlib import Path

from culmwright.measure.errors import BadInput

VARIABLE = "CULMWRIGHT_SHOP"
NAME = "shop.sqlite"
ROOM = 32 << 20
"""Free space [bytes] a new shop wants around it: the file, its journal and a few backups."""

OVER_THE_NETWORK = frozenset(
    (
        *("nfs", "nfs4", "cifs", "smb", "smb2", "smb3", "smbfs", "ncpfs", "afs", "coda", "ceph", "glusterfs", "lustre"),
        *("9p", "davfs", "fuse.sshfs", "fuse.davfs2", "fuse.glusterfs", "fuse.rclone", "fuse.s3fs", "fuse.cephfs"),
    )
)
"""Kinds of file system whose locks cannot be relied on (SQLite's own advice, "How To Corrupt", section 2.1)."""

_MOUNT = re.compile(r"^\S+ \S+ \S+ \S+ (?P<at>\S+) .*? - (?P<kind>\S+) ", re.MULTILINE)
_ESCAPE = re.compile(r"\\([0-7]{3})")


def shop_file(given: str | Path | None = None, environment: Mapping[str, str] = os.environ) -> Path:
    """The shop's file: the one given, else the one named by ``CULMWRIGHT_SHOP``, else the user's own."""
    named = str(given) if given is not None else environment.get(VARIABLE, "")
    return Path(named).expanduser().resolve() if named else own_file()


def own_file() -> Path:
    """Where a shop stands if nobody says otherwise: in the user's data folder."""
    from platformdirs import user_data_dir

    return Path(user_data_dir("culmwright", appauthor=False)).resolve() / NAME


def backups_of(file: Path) -> Path:
    """The folder for the backups of the shop in ``file``, beside it."""
    return file.parent / f"{file.stem}-backups"


def kind_of_disk(folder: Path, mounts: str) -> str:
    """The kind of file system that holds ``folder``, by a table of mounts as Linux prints it; "" if unknown.

    The table is that of ``/proc/self/mountinfo`` (proc(5), Linux manual pages).
    """
    found, depth = "", -1
    for match in _MOUNT.finditer(mounts):
        at = Path(_ESCAPE.sub(lambda code: chr(int(code[1], 8)), match["at"]))
        if folder.is_relative_to(at) and len(at.parts) >= depth:
            found, depth = match["kind"], len(at.parts)
    return found


def _mounts() -> str:
    table = Path("/proc/self/mountinfo")
    return table.read_text("utf-8", "surrogateescape") if table.exists() else ""


def must_be_local(file: Path) -> None:
    """Refuse a file on a network drive, where two computers' locks do not see each other."""
    kind = "network share" if str(file).startswith(("\\\\", "//")) else kind_of_disk(file.parent, _mounts())
    if kind == "network share" or kind in OVER_THE_NETWORK:
        raise BadInput(
            f"a shop cannot live on a network drive ({kind}), whose locks do not hold",
            where=str(file),
            remedy="Keep it on this computer's own disk; put backups and exports on the network",
        )


def must_be_a_place(file: Path) -> None:
    """Refuse a place where a shop's file could not be made: no folder, no permission, no room."""
    if file.is_dir():
        raise BadInput("this is a folder", where=str(file), remedy=f"Name a file in it, such as {file / NAME}")
    if not file.parent.is_dir():
        raise BadInput("this folder does not exist", where=str(file.parent), remedy="Make it, or name another place")
    must_be_writable(file.parent)
    must_be_local(file)
    must_have_room(file.parent, ROOM)


def must_be_writable(folder: Path) -> None:
    """Refuse a folder that may not be written to."""
    if not os.access(folder, os.W_OK | os.X_OK):
        raise BadInput(
            "this folder may not be written to", where=str(folder), remedy="Allow writing to it, or name another place"
        )


def must_have_room(folder: Path, room: int) -> None:
    """Refuse a disk with less than ``room`` [bytes] free."""
    free = shutil.disk_usage(folder).free
    if free < room:
        raise BadInput(
            f"the disk is full: {free / 1e6:.0f} MB free, {room / 1e6:.0f} MB wanted",
            where=str(folder),
            remedy="Make room, or name another place",
        )

"""What is sent in from outside, held apart until somebody says what to do with it.

Nothing of it is believed: not its name, not its kind, not the sizes it tells of itself.
"""

from __future__ import annotations

import secrets
import shutil
import tempfile
import threading
from collections.abc import Callable
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from pathlib import Path
from zipfile import BadZipFile, ZipFile, ZipInfo
from zlib import error as ZlibError  # noqa: N812 - it is an error

from culmwright.ledger.sheets import ABOUT
from culmwright.ledger.tables import IN_ORDER
from culmwright.measure.errors import BadInput

LASTS = timedelta(minutes=30)
MOST_HELD = 4
MOST_PARTS = 200
LARGEST_WHOLE = 128 << 20
"""More than this [bytes] is no shop's, once unpacked."""
HIGHEST_RATIO = 200
"""A part that unpacks to more than so many times its packed size is made to burst."""
SMALL = 1 << 20
"""Under this [bytes] a part may unpack at any ratio."""
SHEETS = frozenset(f"{name}.csv" for name in (ABOUT, *(table.name for table in IN_ORDER)))
ZIP, SQLITE = b"PK\x03\x04", b"SQLite format 3\x00"
LITTER = ("__MACOSX/", ".DS_Store")
AGAIN = "Send an export as it was made here"


@dataclass(frozen=True, slots=True)
class Held:
    """Something sent in: its ``id``, where it is held, and when it came."""

    id: str
    path: Path
    at: datetime


class Holding:
    """Holds a few uploads for a while, in a private folder; ``wall`` is the clock on the wall."""

    def __init__(self, wall: Callable[[], datetime] = lambda: datetime.now(UTC)) -> None:
        self._wall = wall
        self._lock = threading.Lock()
        self._folder: Path | None = None
        self._held: dict[str, Held] = {}

    def room(self) -> Path:
        """A fresh private folder to receive something in."""
        with self._lock:
            if self._folder is None or not self._folder.is_dir():
                self._folder = Path(tempfile.mkdtemp(prefix="culmwright-"))
            for one in list(self._held.values()):
                if self._wall() - one.at > LASTS:
                    self._drop(one)
            while len(self._held) >= MOST_HELD:
                self._drop(next(iter(self._held.values())))
            return Path(tempfile.mkdtemp(dir=self._folder))

    def keep(self, path: Path) -> Held:
        """Hold what was received at ``path`` in a folder of its own."""
        held = Held(secrets.token_urlsafe(12), path, self._wall())
        with self._lock:
            self._held[held.id] = held
        return held

    def at(self, id: str) -> Held:
        """What is held under an id; refuses where it is gone."""
        held = self._held.get(id)
        if held is None or self._wall() - held.at > LASTS or not held.path.exists():
            raise BadInput("what was sent is not held any more", where=id[:40], remedy="Send it again")
        return held

    def drop(self, id: str) -> None:
        """Let go of something."""
        with self._lock:
            if id in self._held:
                self._drop(self._held[id])

    def close(self) -> None:
        """Let go of everything."""
        with self._lock:
            if self._folder is not None:
                shutil.rmtree(self._folder, ignore_errors=True)
            self._folder, self._held = None, {}

    def _drop(self, held: Held) -> None:
        del self._held[held.id]
        shutil.rmtree(held.path.parent, ignore_errors=True)


def unpacked(sent: Path) -> Path:
    """An export that was sent in, ready to be imported: the workbook, or the folder of its sheets.

    What it is is told by what is in it. Raises :class:`BadInput` for everything that is not an export: another kind
    of file, names that are no sheet's, parts that burst, more than a shop can hold.
    """
    with sent.open("rb") as opened:
        if opened.read(len(ZIP)) != ZIP:
            raise BadInput("this is neither a workbook nor a zip of sheets", where="the file", remedy=AGAIN)
    try:
        with ZipFile(sent) as packed:
            parts = [one for one in packed.infolist() if not one.is_dir()]
            _must_be_calm(parts)
            if any(one.filename == "[Content_Types].xml" for one in parts):
                for part in parts:
                    _read(packed, part)
                return sent.rename(sent.with_name("export.xlsx"))
            return _sheets(packed, parts, sent.with_name("sheets"))
    except (BadZipFile, ZlibError, EOFError, NotImplementedError, RuntimeError, OSError, ValueError) as fault:
        raise BadInput(f"this cannot be unpacked ({type(fault).__name__})", where="the file", remedy=AGAIN) from fault


def _must_be_calm(parts: list[ZipInfo]) -> None:
    """Refuse what says of itself that it is too much."""
    if len(parts) > MOST_PARTS or sum(one.file_size for one in parts) > LARGEST_WHOLE:
        raise BadInput("this unpacks to more than a shop holds", where="the file", remedy=AGAIN)
    for one in parts:
        if one.file_size > SMALL and one.file_size > HIGHEST_RATIO * max(one.compress_size, 1):
            raise BadInput("a part of this is made to burst when it is unpacked", where="the file", remedy=AGAIN)


def _read(packed: ZipFile, part: ZipInfo) -> bytes:
    """A part, unpacked no further than the size it told; one of XML without entities of its own."""
    content = packed.read(part)
    if not part.filename.endswith(".csv") and (
        b"<!DOCTYPE" in content or b"<!ENTITY" in content or content[:2] in (b"\xff\xfe", b"\xfe\xff")
    ):
        raise BadInput("a part of this workbook defines entities", where="the file", remedy=AGAIN)
    return content


def _sheets(packed: ZipFile, parts: list[ZipInfo], folder: Path) -> Path:
    """The sheets of a zip, in a folder, under names of our own."""
    wanted = [one for one in parts if not one.filename.startswith(LITTER[0]) and not one.filename.endswith(LITTER[1])]
    places = {one.filename.rpartition("/")[0] for one in wanted}
    names = [one.filename.rpartition("/")[2] for one in wanted]
    strange = next((name for name in names if name not in SHEETS), None)
    outside = any(place.startswith("/") or ".." in place.split("/") or "\\" in place for place in places)
    if not wanted or strange is not None or outside or len(places) > 1 or len(set(names)) < len(names):
        said = (
            f'"{strange[:40]}" is no sheet of an export' if strange else "this is not one folder of an export's sheets"
        )
        raise BadInput(said, where="the file", remedy=AGAIN)
    folder.mkdir(mode=0o700)
    for one, name in zip(wanted, names, strict=True):
        (folder / name).write_bytes(_read(packed, one))
    return folder


def must_be_backup(sent: Path) -> Path:
    """A file that was sent in to be put back, if it begins like a backup."""
    with sent.open("rb") as opened:
        if opened.read(len(SQLITE)) != SQLITE:
            raise BadInput("this is no backup", where="the file", remedy="Send a backup's file as it was made here")
    return sent

"""Which backups to keep: the newest 24, 24 by the hour, 30 by the day, 12 by the month, one before each migration."""

from __future__ import annotations

import re
from collections.abc import Iterable
from dataclasses import dataclass
from datetime import UTC, datetime
from pathlib import Path

LATEST = 24
"""So many stay however close together they were made: two of one hour are two states somebody wanted to keep."""
HOURLY, DAILY, MONTHLY = 24, 30, 12
_STAMP = "%Y%m%dT%H%M%S%fZ"
_NAME = re.compile(r"(?P<stem>.+)-(?P<at>[0-9]{8}T[0-9]{12}Z)(?:-before-(?P<before>[0-9]{4}|restore))?\.sqlite")


@dataclass(frozen=True, slots=True)
class Kept:
    """One backup in a folder: its ``path``, when it was made, and the schema whose migration it precedes or None.

    ``before_restore`` is True for what stood there before another backup was put back.
    """

    path: Path
    at: datetime
    before_schema: int | None
    before_restore: bool = False


def name_of(stem: str, at: datetime, before_schema: int | None = None, *, before_restore: bool = False) -> str:
    """The name of a backup made ``at`` a time, e.g. ``shop-20260301T093000000000Z.sqlite``."""
    before = "-before-restore" if before_restore else "" if before_schema is None else f"-before-{before_schema:04d}"
    return f"{stem}-{at.astimezone(UTC).strftime(_STAMP)}{before}.sqlite"


def in_folder(folder: Path, stem: str) -> tuple[Kept, ...]:
    """All backups of the shop named ``stem`` in a folder, newest first."""
    if not folder.is_dir():
        return ()
    found = []
    for path in folder.iterdir():
        match = _NAME.fullmatch(path.name)
        if match and match["stem"] == stem:
            at = datetime.strptime(match["at"], _STAMP).replace(tzinfo=UTC)
            before, restored = match["before"], match["before"] == "restore"
            found.append(Kept(path, at, int(before) if before and not restored else None, restored))
    return tuple(sorted(found, key=lambda kept: (kept.at, kept.path.name), reverse=True))


def worth_keeping(backups: Iterable[Kept]) -> frozenset[Kept]:
    """The backups that stay.

    That is the newest 24, the newest of each of the newest 24 hours, 30 days and 12 months (UTC) in which one was made,
    and the newest before each migration.
    """
    newest_first = sorted(backups, key=lambda kept: kept.at, reverse=True)
    periods = ((HOURLY, 4), (DAILY, 3), (MONTHLY, 2))  # how many, and how much of (year, month, day, hour) tells
    stay = set(newest_first[:LATEST])
    for most, parts in periods:
        first: dict[tuple[int, ...], Kept] = {}
        for kept in newest_first:
            first.setdefault(kept.at.astimezone(UTC).timetuple()[:parts], kept)
        stay.update(list(first.values())[:most])
    before: dict[int, Kept] = {}
    for kept in newest_first:
        if kept.before_schema is not None:
            before.setdefault(kept.before_schema, kept)
    stay.update(before.values())
    return frozenset(stay)

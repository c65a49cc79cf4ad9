"""``backup``, ``restore``, ``export`` and ``import``: the shop's data, out, in and back."""

from __future__ import annotations

import json
import sqlite3
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from pathlib import Path
from tempfile import TemporaryDirectory
from zipfile import ZIP_DEFLATED, ZipFile

from culmwright.ledger.backup import Backup as Backup
from culmwright.ledger.backup import Restored as Restored
from culmwright.ledger.backup import backup as back_up
from culmwright.ledger.backup import fault_of_backup
from culmwright.ledger.backup import restore as put_back
from culmwright.ledger.beyond import rows_beyond
from culmwright.ledger.carry import Exported, Sheets, apply, preview
from culmwright.ledger.carry import Preview as Preview
from culmwright.ledger.carry import export as carry_out
from culmwright.ledger.connect import journal_mode
from culmwright.ledger.devices import write_private
from culmwright.ledger.place import backups_of, shop_file
from culmwright.ledger.retention import DAILY, HOURLY, LATEST, MONTHLY, Kept, in_folder
from culmwright.ledger.salvage import Salvaged as Salvaged
from culmwright.ledger.salvage import salvage
from culmwright.measure.errors import BadInput
from culmwright.workshop.opening import Shop, the_shop

NAG_AFTER = timedelta(days=7)
"""Without a copy off the machine for so long, the pages say so."""
KEPT = (
    f"the newest {LATEST}; older ones {HOURLY} by the hour, {DAILY} by the day and {MONTHLY} by the month; and one "
    "before each change of the file's form"
)


@dataclass(frozen=True, slots=True)
class BackupLine:
    """A backup beside the shop: its ``name``, when it was made, its ``size`` in bytes, and its ``file``.

    ``before_restore`` holds for what stood there before another backup was put back, ``before_schema`` for what stood
    there before the file's form changed.
    """

    name: str
    at: datetime
    size: int
    before_restore: bool = False
    before_schema: bool = False
    file: str = ""


@dataclass(frozen=True, slots=True)
class Safety:
    """How the shop's file stands: the ``sqlite`` that keeps it and its ``journal``, its backups newest first, and when
    a copy was last taken off this machine; ``nag`` says what is missing, "" if nothing is.
    """

    file: str
    sqlite: str
    journal: str
    backups: tuple[BackupLine, ...]
    copied: datetime | None
    nag: str


def backup(shop: str | Path | None = None, folder: str | Path | None = None) -> Backup:
    """Back the shop up, beside itself or into ``folder``, and prove the copy. Raises :class:`BadInput` if it cannot."""
    file = shop_file(shop)
    if not file.exists():
        raise BadInput("there is no shop here", where=str(file), remedy="Name the shop's file with --shop")
    goal = Path(folder).resolve() if folder is not None else None
    made = back_up(file, goal)
    if made.path.stat().st_dev != file.stat().st_dev:  # on another disk, a stick for instance
        note_copy(file)
    return made


def restore(copy: str | Path, shop: str | Path | None = None) -> Restored:
    """Put a backup back as the shop; what stands there now is kept beside it first."""
    return put_back(Path(copy).resolve(), shop_file(shop))


def export(target: str | Path, shop: str | Path | None = None) -> Exported | Salvaged:
    """Write every table of the shop to ``target``: a workbook if it ends in ``.xlsx``, else a folder of CSV files.

    Of a damaged shop, what can still be read of it, as CSV.
    """
    path = Path(target).resolve()
    with the_shop(shop, write=False) as opened:
        if opened.damage:
            return salvage(opened.file, path)
        return carry_out(opened, path, Sheets.XLSX if path.suffix.lower() == ".xlsx" else Sheets.CSV)


def import_(source: str | Path, shop: str | Path | None = None, *, write: bool = False) -> Preview:
    """Read an export back into the shop; nothing is written before ``write`` says so."""
    path = Path(source).resolve()
    if write or shop_file(shop).exists():
        with the_shop(shop, start=write) as opened:
            return import_into(opened, path, write=write)
    with TemporaryDirectory() as folder, the_shop(Path(folder) / "shop.sqlite", start=True) as nothing_yet:
        return preview(nothing_yet, path)


def import_into(opened: Shop, source: Path, *, write: bool) -> Preview:
    """The same into a shop that is open already, so that whoever else uses it waits only while rows go in."""
    return apply(opened, source) if write else preview(opened, source)


def would_lose(copy: str | Path, shop: str | Path | None = None) -> dict[str, int]:
    """How many rows of each table the shop holds that the backup does not; empty where it would lose nothing.

    Of a damaged shop, or where the backup is no good, nothing can be told: empty.
    """
    file, path = shop_file(shop), Path(copy).resolve()
    if not file.exists() or not path.is_file() or fault_of_backup(file) or fault_of_backup(path):
        return {}
    return rows_beyond(file, path)


def safety(shop: str | Path | None = None, now: datetime | None = None) -> Safety:
    """How the shop's file stands, and what is missing for it to be safe."""
    file, moment = shop_file(shop), now or datetime.now(UTC)
    kept, copied = backups_kept(file), _copied(file)
    begun = file.exists()
    return Safety(
        str(file),
        sqlite3.sqlite_version,
        journal_mode() if begun else "",
        kept,
        copied,
        _nag(copied, moment) if begun else "",
    )


def backups_kept(shop: str | Path | None = None) -> tuple[BackupLine, ...]:
    """The backups beside the shop, newest first."""
    return tuple(
        BackupLine(
            one.path.name,
            one.at,
            one.path.stat().st_size,
            one.before_restore,
            one.before_schema is not None,
            str(one.path),
        )
        for one in _kept(shop_file(shop))
    )


def _nag(copied: datetime | None, moment: datetime) -> str:
    if copied is None:
        return "No copy of this shop was taken off this machine yet. Download a backup and keep it elsewhere."
    days = (moment - copied).days
    if moment - copied <= NAG_AFTER:
        return ""
    return f"The last copy off this machine is {days} days old. Download a backup and keep it elsewhere."


def backup_named(name: str, shop: str | Path | None = None) -> Path:
    """The backup of that name beside the shop; refuses any other name."""
    found = next((one.path for one in _kept(shop_file(shop)) if one.path.name == name), None)
    if found is None:
        raise BadInput("there is no backup of that name", where=name[:80], remedy="Choose one of the list")
    return found


def _kept(file: Path) -> tuple[Kept, ...]:
    return in_folder(backups_of(file), file.stem)


def _copies_file(file: Path) -> Path:
    return file.with_name(f"{file.stem}-copies.json")


def note_copy(file: Path, now: datetime | None = None) -> None:
    """Remember that a copy of the shop was taken off this machine."""
    write_private(_copies_file(file), json.dumps({"copied": (now or datetime.now(UTC)).isoformat()}).encode())


def _copied(file: Path) -> datetime | None:
    noted = _copies_file(file)
    try:
        return datetime.fromisoformat(json.loads(noted.read_bytes())["copied"]).astimezone(UTC)
    except (OSError, ValueError, KeyError, TypeError):
        return None


def exported(sheets: str, shop: str | Path | None = None) -> tuple[str, bytes]:
    """Everything the shop holds as one file, its name and content: ``csv`` for a zip of sheets, or ``xlsx``."""
    stem = f"{shop_file(shop).stem}-{datetime.now():%Y-%m-%d}"
    with TemporaryDirectory() as folder:
        if sheets == "xlsx":
            made = export(Path(folder) / f"{stem}.xlsx", shop)
            if isinstance(made, Exported):
                return f"{stem}.xlsx", made.path.read_bytes()
            target = made.folder
        else:
            target = Path(folder) / stem
            export(target, shop)
        packed = Path(folder) / "packed.zip"
        with ZipFile(packed, "w", ZIP_DEFLATED) as opened:
            for one in sorted(target.iterdir()):
                opened.write(one, f"{stem}/{one.name}")
        return f"{stem}.zip", packed.read_bytes()

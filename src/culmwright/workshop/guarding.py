"""``backup``, ``restore``, ``export`` and ``import``: the shop's data, out, in and back."""

from __future__ import annotations

from pathlib import Path
from tempfile import TemporaryDirectory

from culmwright.ledger.backup import Backup, Restored
from culmwright.ledger.backup import backup as back_up
from culmwright.ledger.backup import restore as put_back
from culmwright.ledger.carry import Exported, Sheets, apply, preview
from culmwright.ledger.carry import Preview as Preview
from culmwright.ledger.carry import export as carry_out
from culmwright.ledger.place import shop_file
from culmwright.ledger.salvage import Salvaged as Salvaged
from culmwright.ledger.salvage import salvage
from culmwright.measure.errors import BadInput
from culmwright.workshop.opening import the_shop


def backup(shop: str | Path | None = None, folder: str | Path | None = None) -> Backup:
    """Back the shop up, beside itself or into ``folder``, and prove the copy. Raises :class:`BadInput` if it cannot."""
    file = shop_file(shop)
    if not file.exists():
        raise BadInput("there is no shop here", where=str(file), remedy="Name the shop's file with --shop")
    return back_up(file, Path(folder).resolve() if folder is not None else None)


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
            return apply(opened, path) if write else preview(opened, path)
    with TemporaryDirectory() as folder, the_shop(Path(folder) / "shop.sqlite", start=True) as nothing_yet:
        return preview(nothing_yet, path)

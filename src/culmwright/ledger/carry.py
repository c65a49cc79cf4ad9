"""Everything a shop holds, out to sheets and back in: nothing is written before it is asked for twice."""

from __future__ import annotations

import secrets
import shutil
from collections.abc import Iterator
from dataclasses import dataclass
from enum import Enum
from pathlib import Path

from sqlalchemy import Connection, Table, insert, select
from sqlalchemy.exc import IntegrityError

from culmwright.ledger.csv_files import read_about, read_table, write_about, write_table
from culmwright.ledger.digest import digest_of
from culmwright.ledger.disk import PRIVATE, passing_file, sync
from culmwright.ledger.faults import Conflict, spoken
from culmwright.ledger.place import must_be_writable
from culmwright.ledger.sheets import ABOUT, Value, columns_of
from culmwright.ledger.shop import Shop
from culmwright.ledger.streams import next_seq
from culmwright.ledger.tables import IN_ORDER, SCHEMA, STREAMS
from culmwright.measure.errors import BadInput

Placed = tuple[str, tuple[Value, ...]]
"""A row and the place in the file it was read from."""
Held = dict[Table, tuple[tuple[Value, ...], ...]]
"""Every row of every table, as they stood at one moment."""


class Sheets(Enum):
    """What a shop is carried in."""

    CSV = "csv"
    XLSX = "xlsx"


@dataclass(frozen=True, slots=True)
class Exported:
    """Where a shop was written to, how many ``rows``, and the ``digest`` an import into an empty shop gives."""

    path: Path
    rows: int
    digest: str


@dataclass(frozen=True, slots=True)
class Preview:
    """What an import would write: ``adds`` rows a table, and how many stand in the shop already in ``same``.

    ``digest`` is what the shop would amount to; ``as_exported`` tells whether that is what was exported.
    """

    source: Path
    adds: dict[str, int]
    same: dict[str, int]
    digest: str
    as_exported: bool


def export(shop: Shop, path: Path, sheets: Sheets) -> Exported:
    """Write every table of a shop, as it stands at one moment: CSV into a new folder, XLSX into a new file."""
    if path.exists():
        raise BadInput("there is something here already", where=str(path), remedy="Name a new one")
    with spoken(path):
        if not path.parent.is_dir():
            raise BadInput("this folder does not exist", where=str(path.parent), remedy="Make it first")
        must_be_writable(path.parent)
        with shop.reading() as connection:
            bare = connection.connection.driver_connection
            if bare is None:
                raise BadInput("the shop was closed", where=str(shop.file))
            digest = digest_of(bare)
            held = {table: tuple(_all(connection, table)) for table in IN_ORDER}
        # the shop is let go of before its sheets are written: that takes seconds, and a reading waits for nobody
        said = {"schema": str(SCHEMA), "digest": digest}
        _write_csv(held, path, said) if sheets is Sheets.CSV else _write_xlsx(held, path, said)
        sync(path.parent)
    return Exported(path, sum(len(rows) for rows in held.values()), digest)


def _all(connection: Connection, table: Table) -> Iterator[tuple[Value, ...]]:
    key = next(iter(table.primary_key))
    for row in connection.execute(select(table).order_by(key)):
        yield tuple(row)


def _write_csv(held: Held, folder: Path, said: dict[str, str]) -> None:
    passing = folder.parent / f".{folder.name}.{secrets.token_hex(4)}.part"
    passing.mkdir(mode=0o700)
    try:
        for table in IN_ORDER:
            file = passing / f"{table.name}.csv"
            write_table(file, columns_of(table), held[table])
            sync(file)
        write_about(passing / f"{ABOUT}.csv", said)
        sync(passing / f"{ABOUT}.csv")
        passing.rename(folder)
    finally:
        if passing.exists():
            shutil.rmtree(passing)


def _write_xlsx(held: Held, file: Path, said: dict[str, str]) -> None:
    from culmwright.ledger.xlsx_files import write_book

    with passing_file(file, "part") as passing:
        write_book(passing, said, ((table.name, columns_of(table), held[table]) for table in IN_ORDER))
        passing.chmod(PRIVATE)
        sync(passing)
        passing.rename(file)


def preview(shop: Shop, source: Path) -> Preview:
    """Say what importing ``source`` (a folder of CSV or a workbook) would write; nothing is written.

    Everything is tried in a transaction that is given up, so that what this promises :func:`apply` can keep.
    """
    return _import(shop, source, keep=False)


def apply(shop: Shop, source: Path) -> Preview:
    """Import ``source`` into a shop: all of it, or nothing where anything is wrong."""
    return _import(shop, source, keep=True)


def _import(shop: Shop, source: Path, *, keep: bool) -> Preview:
    about, tables = _read(source)
    if about.get("schema") != str(SCHEMA):
        raise BadInput(
            f"this was exported from schema {about.get('schema', 'unknown')[:9]}; this program reads schema {SCHEMA}",
            where=str(source),
            remedy="Import a whole export, with the program of its time",
        )
    with shop.writing() as connection:
        new = {table: _new(connection, table, tables[table.name], source) for table in IN_ORDER}
        _must_come_after(connection, new, source)
        _insert(connection, new, source)
        bare = connection.connection.driver_connection
        if bare is None:
            raise BadInput("the shop was closed", where=str(shop.file))
        digest = digest_of(bare)
        if not keep:
            connection.rollback()
    adds = {table.name: len(rows) for table, rows in new.items()}
    same = {table.name: len(tables[table.name]) - len(rows) for table, rows in new.items()}
    return Preview(source, adds, same, digest, digest == about.get("digest"))


def _read(source: Path) -> tuple[dict[str, str], dict[str, list[Placed]]]:
    with spoken(source):
        if source.is_dir():
            about = read_about(source)
            tables = {table.name: read_table(source / f"{table.name}.csv") for table in IN_ORDER}
        elif source.is_file():
            from culmwright.ledger.xlsx_files import read_book

            about, found = read_book(source)
            tables = dict(found)
        else:
            raise BadInput("there is nothing here to import", where=str(source), remedy="Name a folder or a workbook")
    if missing := [table.name for table in IN_ORDER if table.name not in tables]:
        what = f"the sheets {', '.join(missing)} are missing"
        raise BadInput(what, where=str(source), remedy="Import a whole export")
    return about, tables


def _new(connection: Connection, table: Table, rows: list[Placed], source: Path) -> list[Placed]:
    """The rows that the shop does not hold yet; refuses one whose number stands for something else."""
    names = [column.name for column in table.columns]
    key = names.index(next(iter(table.primary_key)).name)
    stands = {row[key]: row for row in _all(connection, table)}
    new, seen = [], set()
    for place, row in rows:
        if row[key] in seen:
            raise BadInput(f"{names[key]} {row[key]} is there twice", where=f"{source}, {place}", remedy="Take one out")
        seen.add(row[key])
        if row[key] not in stands:
            new.append((place, row))
        elif row != stands[row[key]]:
            differs = ", ".join(name for name, a, b in zip(names, row, stands[row[key]], strict=True) if a != b)
            raise Conflict(
                f"the shop has another {table.name} {row[key]} ({differs} differs)",
                where=f"{source}, {place}",
                remedy="Nothing was changed. Import into an empty shop, or take this row out",
            )
    return new


def _must_come_after(connection: Connection, new: dict[Table, list[Placed]], source: Path) -> None:
    first = next_seq(connection)
    for stream in STREAMS:
        for place, row in new[stream]:
            if isinstance(row[0], int) and row[0] < first:
                raise Conflict(
                    f"{stream.name} {row[0]} would be put in before things that are kept already",
                    where=f"{source}, {place}",
                    remedy="Nothing was changed. Import into an empty shop",
                )


def _insert(connection: Connection, new: dict[Table, list[Placed]], source: Path) -> None:
    """Insert the registers in the order they point to each other, then the bench in its one sequence."""
    registers = [(table, one) for table in IN_ORDER if table not in STREAMS for one in sorted(new[table], key=_number)]
    bench = sorted(((stream, one) for stream in STREAMS for one in new[stream]), key=lambda pair: _number(pair[1]))
    for table, (place, row) in (*registers, *bench):
        columns = dict(zip((column.name for column in table.columns), row, strict=True))
        try:
            connection.execute(insert(table).values(columns))
        except IntegrityError as fault:
            raise BadInput(
                f"this row breaks a rule of the ledger ({fault.orig})",
                where=f"{source}, {place}",
                remedy="Nothing was changed. Put right the row, or take it out",
            ) from fault


def _number(placed: Placed) -> int:
    number = placed[1][0]
    return number if isinstance(number, int) else 0

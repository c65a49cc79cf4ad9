"""What can still be read of a damaged shop, written out as sheets."""

from __future__ import annotations

import sqlite3
from collections.abc import Iterator
from contextlib import closing
from dataclasses import dataclass
from pathlib import Path

from sqlalchemy import Table

from culmwright.ledger.connect import plain
from culmwright.ledger.csv_files import write_about, write_table
from culmwright.ledger.faults import Damaged, spoken
from culmwright.ledger.place import must_be_writable
from culmwright.ledger.sheets import ABOUT, Column, Value, columns_of
from culmwright.ledger.tables import IN_ORDER, SCHEMA
from culmwright.measure.errors import BadInput


@dataclass(frozen=True, slots=True)
class Salvaged:
    """Where the sheets are, how many rows of each table were ``saved``, and in which tables reading broke off."""

    folder: Path
    saved: dict[str, int]
    broken: tuple[str, ...]


def salvage(file: Path, folder: Path) -> Salvaged:
    """Write whatever rows of a damaged shop can be read into a new ``folder``, one CSV a table.

    Each table is read from its beginning and, if that breaks off, from its end. The damaged file is only read.
    """
    if folder.exists():
        raise BadInput("there is something here already", where=str(folder), remedy="Name a new folder")
    with spoken(folder):
        must_be_writable(folder.parent)
        saved, broken = {}, []
        with closing(plain(file)) as connection:
            try:
                connection.execute("SELECT count(*) FROM sqlite_master").fetchall()
            except sqlite3.DatabaseError as fault:
                raise Damaged(
                    f"nothing of this file can be read ({fault})", where=str(file), remedy="Restore a backup"
                ) from fault
            folder.mkdir(mode=0o700)
            for table in IN_ORDER:
                rows, whole = _readable(connection, table)
                saved[table.name] = write_table(folder / f"{table.name}.csv", columns_of(table), rows)
                if not whole:
                    broken.append(table.name)
        write_about(folder / f"{ABOUT}.csv", {"schema": str(SCHEMA), "salvaged from": file.name})
    return Salvaged(folder, saved, tuple(broken))


def _readable(connection: sqlite3.Connection, table: Table) -> tuple[list[tuple[Value, ...]], bool]:
    columns, key = columns_of(table), next(iter(table.primary_key)).name
    found: dict[Value, tuple[Value, ...]] = {}
    whole = True
    for order in ("", " DESC"):
        try:
            for row in _rows(connection, table.name, columns, key, order):
                if all(_fits(value, column) for value, column in zip(row, columns, strict=True)):
                    found.setdefault(row[0], row)
                else:
                    whole = False
        except (sqlite3.DatabaseError, UnicodeDecodeError):
            whole = False
        if whole:
            break
    return sorted(found.values(), key=lambda row: row[0] if isinstance(row[0], int) else 0), whole


def _rows(
    connection: sqlite3.Connection, table: str, columns: tuple[Column, ...], key: str, order: str
) -> Iterator[tuple[Value, ...]]:
    names = ", ".join(f'"{column.name}"' for column in columns)
    yield from connection.execute(f'SELECT {names} FROM "{table}" NOT INDEXED ORDER BY {key}{order}')


def _fits(value: object, column: Column) -> bool:
    return (value is None and column.blank) or isinstance(value, int if column.whole else str)

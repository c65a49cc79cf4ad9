"""What a shop holds that a backup of it does not: what putting the backup back would take away."""

from __future__ import annotations

from contextlib import closing
from json import dumps
from pathlib import Path
from sqlite3 import Connection

from culmwright.ledger.connect import plain
from culmwright.ledger.digest import tables_in
from culmwright.ledger.faults import spoken


def rows_beyond(file: Path, copy: Path) -> dict[str, int]:
    """How many rows of each table of the shop in ``file`` are not in the backup ``copy``; tables without any left out.

    A row that the backup has otherwise counts too.
    """
    found = {}
    with spoken(file), closing(plain(file)) as here, closing(plain(copy)) as there:
        known = tables_in(there)
        for table in tables_in(here):
            if table == "alembic_version":
                continue
            kept = _rows(there, table, _columns(here, table)) if table in known else set()
            if more := len(_rows(here, table, _columns(here, table)) - kept):
                found[table] = more
    return found


def _columns(connection: Connection, table: str) -> tuple[str, ...]:
    return tuple(str(row[1]) for row in connection.execute(f'PRAGMA table_info("{table}")'))


def _rows(connection: Connection, table: str, columns: tuple[str, ...]) -> set[str]:
    """The rows of a table as text, with nothing in the columns that it does not have."""
    own = set(_columns(connection, table))
    listed = ", ".join(f'"{name}"' if name in own else "NULL" for name in columns)
    return {dumps(row) for row in connection.execute(f'SELECT {listed} FROM "{table}"')}

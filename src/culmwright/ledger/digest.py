"""One fingerprint over every row of every table: two shops with the same one hold the same things."""

from __future__ import annotations

import sqlite3
from collections.abc import Iterator
from hashlib import sha256
from json import JSONEncoder

from culmwright.ledger.connect import one


def tables_in(connection: sqlite3.Connection) -> tuple[str, ...]:
    """Names of all tables of a file, sorted, SQLite's own left out."""
    rows = connection.execute(
        "SELECT name FROM sqlite_master WHERE type = 'table' AND name NOT LIKE 'sqlite\\_%' ESCAPE '\\' ORDER BY name"
    )
    return tuple(name for (name,) in rows)


AT_ONCE = 1000
"""Rows that are put into words together: a shop of many is read under a lock, so this should be quick."""


def _pieces(connection: sqlite3.Connection) -> Iterator[str]:
    worded = JSONEncoder(separators=(",", ":")).encode
    yield worded(["schema", one(connection, "user_version")])
    for table in tables_in(connection):
        cursor = connection.execute(f'SELECT * FROM "{table}" ORDER BY 1')
        yield worded([table, *(column[0] for column in cursor.description)])
        while rows := cursor.fetchmany(AT_ONCE):
            yield worded(rows)


def digest_of(connection: sqlite3.Connection) -> str:
    """SHA-256 over the schema's number, then every table by name with its columns and its rows by key, as JSON.

    Call it inside a transaction where other hands may be writing.
    """
    whole = sha256()
    for piece in _pieces(connection):
        whole.update(piece.encode())
    return whole.hexdigest()


def count_of(connection: sqlite3.Connection) -> int:
    """How many rows all tables of the ledger hold together."""
    return sum(
        int(connection.execute(f'SELECT count(*) FROM "{table}"').fetchone()[0])
        for table in tables_in(connection)
        if table != "alembic_version"
    )


def faults_of(connection: sqlite3.Connection, *, thorough: bool = True) -> str:
    """What is wrong with a file, in SQLite's words; "" if nothing is."""
    check = "integrity_check" if thorough else "quick_check"
    found = [str(row[0]) for row in connection.execute(f"PRAGMA {check}(3)")]
    if found != ["ok"]:
        return "; ".join(" ".join(line.split()) for line in found)
    pointing = connection.execute("PRAGMA foreign_key_check").fetchall() if thorough else []
    return f"{len(pointing)} rows point to rows that are not there" if pointing else ""

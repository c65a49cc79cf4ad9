"""Connections to a shop's file: SQLite's settings, set and then asserted on every one of them."""

from __future__ import annotations

import sqlite3
from pathlib import Path
from typing import Any

from sqlalchemy import Connection, Engine, create_engine, event
from sqlalchemy.pool import QueuePool

from culmwright.ledger.faults import in_words
from culmwright.measure.errors import BadInput

WAL_IS_SOUND = (3, 51, 3)
"""From this SQLite on write-ahead logging is used; before it a reset of the log could lose writes
(sqlite.org/wal.html, "The WAL-Reset Bug")."""
PATIENCE = 5.0
"""How long one hand waits for another [s]."""


def journal_mode(version: tuple[int, ...] = sqlite3.sqlite_version_info) -> str:
    """The kind of journal that is sound with this ``version`` of SQLite."""
    return "wal" if version >= WAL_IS_SOUND else "delete"


def settings(*, write: bool, foreign_keys: bool = True) -> dict[str, str | int]:
    """What every connection is set to; ``synchronous`` 2 is FULL: a commit returns when the disk has it."""
    wanted: dict[str, str | int] = {
        "busy_timeout": round(PATIENCE * 1000),
        "foreign_keys": int(foreign_keys),
        "recursive_triggers": 1,
        "trusted_schema": 0,
        "mmap_size": 0,
        "synchronous": 2,
    }
    if write:
        return {**wanted, "journal_mode": journal_mode()}
    return {**wanted, "query_only": 1}


def address(file: Path, mode: str) -> str:
    """The address of ``file`` for SQLite: ``rw`` or ``ro``, never a mode that would make a new file."""
    return f"{file.absolute().as_uri()}?mode={mode}"


def set_up(connection: sqlite3.Connection, wanted: dict[str, str | int]) -> None:
    """Set a connection to what is ``wanted``, and check that it took it."""
    connection.isolation_level = None
    for name, value in wanted.items():
        connection.execute(f"PRAGMA {name} = {value}").fetchall()
        told = connection.execute(f"PRAGMA {name}").fetchone()
        got = told[0] if told else value  # a setting that this build of SQLite does not have says nothing
        if got != value:
            raise BadInput(
                f"SQLite keeps {name} at {got} where the ledger needs {value}",
                remedy="Close every other program that uses the shop, then try again",
            )


def plain(file: Path, *, write: bool = False) -> sqlite3.Connection:
    """A bare connection of the standard library to ``file``, which has to exist; errors are said in words."""
    try:
        connection = sqlite3.connect(address(file, "rw" if write else "ro"), uri=True, timeout=PATIENCE)
    except sqlite3.Error as fault:
        raise in_words(fault, file) from fault
    connection.isolation_level = None
    return connection


def engine(file: Path, *, write: bool, foreign_keys: bool = True) -> Engine:
    """The one connection of this process to ``file``, taken in turns.

    A transaction that writes takes the file's write lock at its beginning (``BEGIN IMMEDIATE``), so that what it
    reads is still so when it writes.
    """
    wanted = settings(write=write, foreign_keys=foreign_keys)

    def connect() -> sqlite3.Connection:
        connection = sqlite3.connect(address(file, "rw"), uri=True, timeout=PATIENCE, check_same_thread=False)
        try:
            set_up(connection, wanted)
        except BaseException:
            connection.close()
            raise
        return connection

    made = create_engine("sqlite+pysqlite://", creator=connect, poolclass=QueuePool, pool_size=1, max_overflow=0)

    @event.listens_for(made, "begin")
    def begin(connection: Connection) -> None:
        connection.exec_driver_sql("BEGIN IMMEDIATE" if write else "BEGIN")

    return made


def one(connection: Connection | sqlite3.Connection, pragma: str) -> Any:
    """The one value that ``PRAGMA pragma`` tells."""
    run = connection.execute if isinstance(connection, sqlite3.Connection) else connection.exec_driver_sql
    row = run(f"PRAGMA {pragma}").fetchone()
    return None if row is None else row[0]

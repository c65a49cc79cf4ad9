"""What SQLite is set to, and what the file is made of."""

from __future__ import annotations

import sqlite3
import subprocess
import sys
from contextlib import closing

import pytest
from sqlalchemy import create_engine

from culmwright.ledger.connect import journal_mode, plain, set_up, settings
from culmwright.ledger.digest import tables_in
from culmwright.ledger.migrate import GUARDS
from culmwright.ledger.records import EventKind
from culmwright.ledger.shop import open_shop
from culmwright.ledger.tables import APPLICATION, EVENT_KINDS, IN_ORDER, METADATA, SCHEMA
from culmwright.measure.errors import BadInput


# sqlite.org/wal.html, "The WAL-Reset Bug": in every release from 3.7.0 on, mended in 3.51.3.
@pytest.mark.parametrize(
    ("version", "mode"),
    [((3, 40, 1), "delete"), ((3, 51, 2), "delete"), ((3, 51, 3), "wal"), ((3, 52, 0), "wal"), ((4, 0, 0), "wal")],
)
def test_the_journal_goes_by_the_release_of_sqlite(version, mode):
    assert journal_mode(version) == mode


def told(shop):
    names = ("journal_mode", "synchronous", "foreign_keys", "busy_timeout", "recursive_triggers", "query_only")
    with shop.reading() as connection:
        return {name: connection.exec_driver_sql(f"PRAGMA {name}").scalar() for name in names}


def test_every_connection_is_set(shop):
    wanted = {
        "journal_mode": journal_mode(),
        "synchronous": 2,  # FULL
        "foreign_keys": 1,
        "busy_timeout": 5000,
        "recursive_triggers": 1,
        "query_only": 0,
    }
    assert told(shop) == wanted
    shop._engine.dispose()
    assert told(shop) == wanted
    with open_shop(shop.file, write=False) as reader:
        assert told(reader) == wanted | {"query_only": 1}


def test_a_setting_that_does_not_take_is_an_error():
    refused = pytest.raises(BadInput, match="SQLite keeps journal_mode at memory where the ledger needs wal")
    with closing(sqlite3.connect(":memory:")) as connection, refused:  # in memory there is no room for a log
        set_up(connection, settings(write=True) | {"journal_mode": "wal"})


def test_a_writer_takes_the_lock_at_once(shop):
    with shop.writing(), closing(sqlite3.connect(shop.file, timeout=0, isolation_level=None)) as other:
        with pytest.raises(sqlite3.OperationalError, match="locked"):
            other.execute("BEGIN IMMEDIATE")
        assert other.execute("SELECT count(*) FROM rod").fetchone() == (0,)


def test_a_reader_writes_nothing(shop):
    with open_shop(shop.file, write=False) as reader:
        with pytest.raises(BadInput, match="opened for reading only"), reader.writing():
            pass
        with pytest.raises(BadInput, match="may only be read"), reader.reading() as connection:
            connection.exec_driver_sql("INSERT INTO rod VALUES (1, 'x', '2026-03-01T00:00:00.000000Z')")


def test_every_table_is_strict(shop):
    with closing(plain(shop.file)) as connection:
        strict = {row[1]: row[5] for row in connection.execute("PRAGMA table_list") if row[0] == "main"}
    assert {table.name for table in IN_ORDER} == set(METADATA.tables)
    assert all(strict[table.name] == 1 for table in IN_ORDER)


def laid_out(connection):
    rows = connection.execute(
        "SELECT name, sql FROM sqlite_master WHERE type IN ('table', 'index') AND sql IS NOT NULL"
    )
    return {name: " ".join(sql.replace("(", " ( ").replace(")", " ) ").split()) for name, sql in rows}


def test_the_migrations_make_the_tables_that_the_queries_see(shop, tmp_path):
    engine = create_engine(f"sqlite:///{tmp_path / 'model.sqlite'}")
    METADATA.create_all(engine)
    engine.dispose()
    with closing(plain(tmp_path / "model.sqlite")) as model, closing(plain(shop.file)) as made:
        assert {**laid_out(made), "alembic_version": None} == {**laid_out(model), "alembic_version": None}


def test_the_file_says_whose_it_is_and_of_which_schema(shop):
    with closing(plain(shop.file)) as connection:
        assert connection.execute("PRAGMA application_id").fetchone() == (APPLICATION,)
        assert APPLICATION.to_bytes(4, "big") == b"CULM"
        assert connection.execute("PRAGMA user_version").fetchone() == (SCHEMA,)
        assert connection.execute("SELECT version_num FROM alembic_version").fetchone() == (f"{SCHEMA:04d}",)
        assert "sqlite_sequence" not in tables_in(connection)
        triggers = {name for (name,) in connection.execute("SELECT name FROM sqlite_master WHERE type = 'trigger'")}
    assert triggers == GUARDS


def test_the_kinds_of_event_are_those_of_the_file():
    assert tuple(kind.value for kind in EventKind) == EVENT_KINDS


@pytest.mark.parametrize("module", ["culmwright", "culmwright.ledger.records", "culmwright.ledger.place"])
def test_what_is_read_early_does_not_bring_the_database(module):
    ask = f"import {module}, sys; sys.exit('sqlalchemy' in sys.modules or 'alembic' in sys.modules)"
    assert subprocess.run([sys.executable, "-c", ask], check=False).returncode == 0


def test_opening_a_shop_does_not_bring_the_migrations(shop):
    ask = (
        "import sys, pathlib; from culmwright.ledger.shop import open_shop;"
        "open_shop(pathlib.Path(sys.argv[1])).close(); sys.exit('alembic' in sys.modules)"
    )
    assert subprocess.run([sys.executable, "-c", ask, str(shop.file)], check=False).returncode == 0

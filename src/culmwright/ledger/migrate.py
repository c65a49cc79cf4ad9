"""From every schema that was ever released to the one this program writes, in one transaction."""

from __future__ import annotations

import hashlib
import sqlite3
from collections.abc import Callable
from contextlib import closing
from dataclasses import dataclass
from importlib.resources import files
from pathlib import Path

from sqlalchemy import Connection

from culmwright.ledger.connect import engine, one, plain
from culmwright.ledger.faults import Damaged, spoken
from culmwright.ledger.tables import APPLICATION, IN_ORDER, SCHEMA, STREAMS
from culmwright.measure.errors import BadInput

GUARDS = frozenset(
    [f"{table.name}_{what}" for table in IN_ORDER for what in ("unchanged", "kept")]
    + [f"{table.name}_{what}" for table in STREAMS for what in ("in_sequence", "supersedes")]
)
"""The triggers without which nothing is written: they let no row be changed, taken out or put in between."""

GUARDS_SAY = "7dd4283a90bed1f90bddf20abd70a78de0944f0cdba06abf11c98541f67d80d7"
"""SHA-256 of what these triggers do in schema ``SCHEMA``: one of the same name that does otherwise is no guard."""


@dataclass(frozen=True, slots=True)
class Steps:
    """The migrations to run: folders that hold them and the number of the last."""

    folders: tuple[Path, ...]
    head: int


def our_steps() -> Steps:
    """The migrations shipped with this program."""
    return Steps((_scripts() / "versions",), SCHEMA)


def _scripts() -> Path:
    return Path(str(files("culmwright.ledger"))) / "migrations"


def schema_of(file: Path) -> int:
    """The schema of the shop in ``file``, 0 before its first; refuses a file that is no shop at all."""
    if file.stat().st_size == 0:
        raise Damaged(
            "the shop's file is empty",
            where=str(file),
            remedy="It is left as it is. Restore the newest good backup",
        )
    with spoken(file), closing(plain(file, write=True)) as connection:
        application, schema = int(one(connection, "application_id")), int(one(connection, "user_version"))
    if application != APPLICATION:
        raise BadInput("this is a file of another program", where=str(file), remedy="Name a shop's file")
    return schema


def must_be_known(file: Path, schema: int, head: int = SCHEMA) -> None:
    """Refuse a file that a newer program has written."""
    if schema > head:
        raise BadInput(
            f"this shop was written by a newer culmwright (schema {schema}; this one knows up to {head})",
            where=str(file),
            remedy="Use the newer program; the file was not touched",
        )


def upgrade(file: Path, before: Callable[[], object], steps: Steps | None = None) -> bool:
    """Bring ``file`` to the newest schema in one transaction; True if there was anything to do.

    ``before`` is called once the file is locked against writers and before anything is changed: it keeps a backup.
    A program killed at any moment leaves the file as it was.
    """
    steps = steps or our_steps()
    made = engine(file, write=True, foreign_keys=False)
    try:
        with spoken(file), made.connect() as connection, connection.begin():
            schema = int(one(connection, "user_version"))
            must_be_known(file, schema, steps.head)
            if schema == steps.head:
                return False
            before()
            _run(connection, steps)
            broken = connection.exec_driver_sql("PRAGMA foreign_key_check").fetchall()
            if broken:
                raise BadInput(
                    f"the new schema would leave {len(broken)} rows that point nowhere, so nothing was changed",
                    where=str(file),
                    remedy="Keep using the older program and report this",
                )
            connection.exec_driver_sql(f"PRAGMA application_id = {APPLICATION}")
            connection.exec_driver_sql(f"PRAGMA user_version = {steps.head}")
            must_be_guarded(connection.connection.driver_connection, file)
        return True
    finally:
        made.dispose()


def _run(connection: Connection, steps: Steps) -> None:
    from alembic.config import Config
    from alembic.runtime.environment import EnvironmentContext
    from alembic.runtime.migration import MigrationContext
    from alembic.script import ScriptDirectory

    scripts = ScriptDirectory(str(_scripts()), version_locations=[str(folder) for folder in steps.folders])
    goal = f"{steps.head:04d}"

    def way(here: object, _: MigrationContext) -> list[object]:
        return list(scripts._upgrade_revs(goal, here))  # type: ignore[arg-type]

    with EnvironmentContext(Config(), scripts, fn=way, destination_rev=goal) as environment:
        environment.configure(connection=connection, render_as_batch=True, transactional_ddl=True)
        environment.run_migrations()


def must_be_guarded(connection: sqlite3.Connection | None, file: Path) -> None:
    """Refuse to write to a file whose triggers were taken out, altered or added to."""
    if connection is None:
        raise BadInput("the shop's file was closed", where=str(file), remedy="Open it again")
    there = _triggers(connection)
    remedy = "It is left as it is and can only be read. Restore the newest good backup"
    if missing := GUARDS - there.keys():
        raise Damaged(
            f"the guards that keep rows from being changed are missing ({', '.join(sorted(missing))})",
            where=str(file),
            remedy=remedy,
        )
    must_have_no_strangers(connection, file)
    if int(one(connection, "user_version")) == SCHEMA and said(there) != GUARDS_SAY:
        raise Damaged("the guards that keep rows from being changed were altered", where=str(file), remedy=remedy)


def must_have_no_strangers(connection: sqlite3.Connection, file: Path) -> None:
    """Refuse a file in which something runs, or seems to be a table, that the ledger did not put there."""
    views = {name for (name,) in connection.execute("SELECT name FROM sqlite_master WHERE type = 'view'")}
    if strangers := (_triggers(connection).keys() - GUARDS) | views:
        raise Damaged(
            f"something was put into the shop's file that is not the ledger's ({', '.join(sorted(strangers))[:80]})",
            where=str(file),
            remedy="It is left as it is and can only be read. Restore the newest good backup",
        )


def _triggers(connection: sqlite3.Connection) -> dict[str, str]:
    """Every trigger of a file by its name, as SQL."""
    return dict(connection.execute("SELECT name, sql FROM sqlite_master WHERE type = 'trigger'"))


def said(triggers: dict[str, str]) -> str:
    """SHA-256 of what triggers do."""
    told = "\n".join(f"{name}: {' '.join(triggers[name].split())}" for name in sorted(triggers))
    return hashlib.sha256(told.encode()).hexdigest()

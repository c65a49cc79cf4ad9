"""A shop's open ledger: one file, one connection, one writer at a time."""

from __future__ import annotations

import os
from collections.abc import Iterator
from contextlib import closing, contextmanager
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Self

from sqlalchemy import Connection, Engine

from culmwright.ledger.backup import before_migration, with_way_out
from culmwright.ledger.connect import engine, plain
from culmwright.ledger.digest import digest_of, faults_of
from culmwright.ledger.disk import PRIVATE, give_name, passing_file, sync
from culmwright.ledger.faults import Damaged, spoken
from culmwright.ledger.migrate import must_be_guarded, must_be_known, our_steps, schema_of, upgrade
from culmwright.ledger.place import backups_of, must_be_a_place, must_be_local, own_file
from culmwright.measure.errors import BadInput

if TYPE_CHECKING:
    from culmwright.ledger.migrate import Steps


@dataclass(frozen=True, slots=True)
class Shop:
    """An open shop: its ``file``, and in ``damage`` what is wrong with it, "" for a sound one.

    A damaged shop can be read as far as it goes and refuses every write. Close it, or use it in a ``with``.
    """

    file: Path
    damage: str
    _engine: Engine
    _writes: bool

    @contextmanager
    def writing(self) -> Iterator[Connection]:
        """A transaction that writes: all of it is on the disk when the block ends, or none of it ever.

        No other hand writes to the file between its first and its last statement.
        """
        if not self._writes:
            raise BadInput("this shop was opened for reading only", where=str(self.file), remedy=self.damage)
        with self.reading() as connection:
            yield connection

    @contextmanager
    def reading(self) -> Iterator[Connection]:
        """A transaction that reads: everything in it is seen as it stood at one moment."""
        with spoken(self.file), self._engine.connect() as connection, connection.begin():
            yield connection

    def close(self) -> None:
        """Let go of the file."""
        self._engine.dispose()

    def __enter__(self) -> Self:
        return self

    def __exit__(self, *_: object) -> None:
        self.close()


def create_shop(file: Path) -> Shop:
    """Make an empty shop in ``file``, which must not be there yet, and open it.

    The file comes into being whole, under a passing name, readable by its owner only; it never stands half made.
    """
    must_be_a_place(file)
    if file.exists():
        raise BadInput("there is a file here already", where=str(file), remedy="Open it, or name another")
    must_not_be_lost(file)
    with spoken(file), passing_file(file, "new") as passing:
        upgrade(passing, before=lambda: None)
        sync(passing)
        give_name(passing, file)  # if another hand made the shop a moment ago, that one is the shop
        sync(file.parent)
    return open_shop(file)


def must_not_be_lost(file: Path) -> None:
    """Refuse to start a new shop where an old one has left its backups."""
    kept = sorted(backups_of(file).glob("*.sqlite"), reverse=True) if backups_of(file).is_dir() else []
    if kept:
        raise BadInput(
            "the shop's file is gone, but its backups are here",
            where=str(file),
            remedy=f"Restore the newest, {kept[0]}; for a new shop name another file",
        )


def open_shop(file: Path, *, write: bool = True, steps: Steps | None = None) -> Shop:
    """Open the shop in ``file``: recover it from a crash, check it, bring it to the newest schema.

    Refuses with a :class:`Damaged` that names the newest good backup where the file is not sound; with ``write``
    false it is opened for reading all the same, and ``damage`` says what is wrong.
    """
    if not file.exists():
        must_not_be_lost(file)
        raise BadInput(
            "there is no shop here",
            where=str(file),
            remedy="Name the shop's file with --shop, or begin one with: culmwright read my-rod.toml",
        )
    must_be_local(file)
    fault = _fault(file, steps)
    if fault and (write or file.stat().st_size == 0):
        raise fault
    if write:
        _private(file)
    return Shop(file, str(fault or ""), engine(file, write=write), write)


def _fault(file: Path, steps: Steps | None) -> Damaged | None:
    """Check and upgrade ``file``: what is wrong with it, or None."""
    try:
        schema, head = schema_of(file), (steps or our_steps()).head
        must_be_known(file, schema, head)
        with spoken(file), closing(plain(file)) as connection:
            if found := faults_of(connection, thorough=False):
                raise Damaged(f"the shop's file is damaged ({found})", where=str(file))
            if schema == head:
                must_be_guarded(connection, file)
        if schema < head:
            upgrade(file, before=lambda: before_migration(file, head), steps=steps)
    except Damaged as fault:
        return with_way_out(fault, file)
    return None


def start_shop(file: Path) -> Shop:
    """Open the shop in ``file``, or make an empty one if there has never been one."""
    if file.exists():
        return open_shop(file)
    if file == own_file():
        with spoken(file):
            file.parent.mkdir(parents=True, exist_ok=True, mode=0o700)
    return create_shop(file)


def _private(file: Path) -> None:
    """See to it that only the owner reads the shop, where the owner is the one asking."""
    state = file.stat()
    if hasattr(os, "getuid") and state.st_uid == os.getuid() and state.st_mode & 0o077:
        file.chmod(PRIVATE)


def digest(shop: Shop) -> str:
    """The fingerprint of everything in a shop (:func:`culmwright.ledger.digest.digest_of`)."""
    with shop.reading() as connection:
        bare = connection.connection.driver_connection
        if bare is None:
            raise BadInput("the shop was closed", where=str(shop.file))
        return digest_of(bare)

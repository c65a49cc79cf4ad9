"""The same shop with the journal that a newer SQLite is given: a write-ahead log."""

from __future__ import annotations

import os
import shutil
from pathlib import Path

import pytest

from culmwright.ledger import connect
from culmwright.ledger.backup import backup, restore
from culmwright.ledger.carry import Sheets, apply, export
from culmwright.ledger.frozen import freeze, rods
from culmwright.ledger.register import person_named
from culmwright.ledger.shop import create_shop, digest, open_shop


@pytest.fixture
def ahead(monkeypatch, stocked_shop, tmp_path):
    """A full shop that is kept with a write-ahead log, whatever the release of SQLite here."""
    monkeypatch.setattr(connect, "journal_mode", lambda: "wal")
    shutil.copyfile(stocked_shop, tmp_path / "shop.sqlite")
    with open_shop(tmp_path / "shop.sqlite") as shop:
        freeze(shop, "Ash Beck", "text", "a" * 64)
        yield shop


def test_backup_and_restore_take_the_log_along(ahead, tmp_path):
    assert os.path.getsize(f"{ahead.file}-wal") > 0
    made = backup(ahead.file)
    assert made.digest == digest(ahead)
    person_named(ahead, "Somebody New")
    assert restore(made.path, ahead.file).digest == made.digest == digest(ahead)
    person_named(ahead, "Somebody Else")
    elsewhere = restore(made.path, tmp_path / "elsewhere.sqlite")
    assert elsewhere.digest == made.digest
    with open_shop(elsewhere.file) as shop, shop.reading() as connection:
        assert connection.exec_driver_sql("PRAGMA journal_mode").scalar() == "wal"


def test_a_second_program_reads_and_one_without_the_log_takes_it_over(ahead, monkeypatch):
    with open_shop(ahead.file, write=False) as reader:
        assert len(rods(reader)) == 3
    before = digest(ahead)
    ahead.close()
    monkeypatch.setattr(connect, "journal_mode", lambda: "delete")
    with open_shop(ahead.file) as shop:
        assert digest(shop) == before
        freeze(shop, "Ash Beck", "text", "b" * 64, rod=3)
        assert not Path(f"{shop.file}-wal").exists()


def test_a_new_shop_is_one_file_until_it_is_written_to(ahead, tmp_path):
    with create_shop(tmp_path / "new.sqlite") as new:
        out = export(ahead, tmp_path / "out", Sheets.CSV)
        assert apply(new, out.path).digest == digest(ahead)
    left = sorted(path.name for path in tmp_path.iterdir() if path.name.startswith((".new", "new")))
    assert left == ["new.sqlite"]

"""A damaged shop is never written to, never replaced by an empty one, and says the way out."""

from __future__ import annotations

import random
import shutil
import sqlite3
from contextlib import closing

import pytest

from culmwright.ledger.backup import backup
from culmwright.ledger.carry import apply
from culmwright.ledger.connect import plain
from culmwright.ledger.faults import Busy, Conflict, Damaged, DiskRefused, in_words
from culmwright.ledger.frozen import freeze, rods
from culmwright.ledger.happenings import log
from culmwright.ledger.salvage import salvage
from culmwright.ledger.shop import create_shop, digest, open_shop, start_shop
from culmwright.measure.errors import BadInput

PAGE = 4096


def spoil(file, page, content=b"\xff" * PAGE):
    with file.open("r+b") as opened:
        opened.seek((page - 1) * PAGE)
        opened.write(content)


def root_page(file, name):
    with closing(plain(file)) as raw:
        return raw.execute("SELECT rootpage FROM sqlite_master WHERE name = ?", (name,)).fetchone()[0]


@pytest.fixture
def hurt(full_shop):
    """A shop with one good backup whose page of readings is gone."""
    made = backup(full_shop.file)
    full_shop.close()
    spoil(full_shop.file, root_page(full_shop.file, "reading"))
    return full_shop.file, made


def test_a_damaged_shop_says_the_way_out_and_is_not_touched(hurt):
    file, made = hurt
    before, names = file.read_bytes(), sorted(path.name for path in file.parent.iterdir())
    for ask in (open_shop, start_shop):
        with pytest.raises(Damaged, match="damaged") as told:
            ask(file)
        assert str(made.path) in str(told.value)
        assert "export what is still readable" in str(told.value)
    with pytest.raises(BadInput, match="there is a file here already"):
        create_shop(file)
    assert file.read_bytes() == before
    assert sorted(path.name for path in file.parent.iterdir()) == names


def test_a_damaged_shop_can_be_read_as_far_as_it_goes(hurt):
    file, _ = hurt
    with open_shop(file, write=False) as shop:
        assert "damaged" in shop.damage
        assert [one.rod for one in rods(shop)] == [1, 2]
        with pytest.raises(Damaged):
            log(shop, 1)
        with pytest.raises(BadInput, match="reading only"):
            freeze(shop, "x", "text", "0" * 64)


def test_without_a_good_backup_that_is_said(hurt):
    file, made = hurt
    made.path.write_bytes(b"")
    with pytest.raises(Damaged, match="There is no good backup beside it"):
        open_shop(file)


@pytest.mark.parametrize("content", [b"", b"not a database, not even nearly", b"\0" * 8192])
def test_an_empty_or_foreign_file_is_never_taken_for_a_new_shop(tmp_path, content):
    file = tmp_path / "shop.sqlite"
    file.write_bytes(content)
    for ask in (open_shop, start_shop, create_shop):
        with pytest.raises(BadInput):
            ask(file)
    assert file.read_bytes() == content
    assert [path.name for path in tmp_path.iterdir()] == ["shop.sqlite"]


def test_a_database_of_another_program_is_left_alone(tmp_path):
    file = tmp_path / "shop.sqlite"
    with closing(sqlite3.connect(file)) as other:
        other.execute("CREATE TABLE other (x)")
        other.commit()
    with pytest.raises(BadInput, match="file of another program"):
        open_shop(file)


def test_a_shop_whose_guards_were_taken_out_is_not_written_to(full_shop):
    with closing(sqlite3.connect(full_shop.file)) as raw:
        raw.execute("DROP TRIGGER reading_kept")
    with pytest.raises(Damaged, match=r"guards .* missing .reading_kept"):
        open_shop(full_shop.file)
    with open_shop(full_shop.file, write=False) as shop:
        assert "reading_kept" in shop.damage
        assert log(shop, 1)


def test_random_blocks_are_never_followed_by_a_silent_new_shop(full_shop, tmp_path):
    """As the promise has it: blocks written over at random. Found, or (in a page nobody uses) without harm."""
    full_shop.close()
    whole, rows = full_shop.file.read_bytes(), len(full_shop.file.read_bytes()) // PAGE
    chance, found = random.Random(5), 0
    file = tmp_path / "hurt.sqlite"
    for _ in range(60):
        file.write_bytes(whole)
        for _ in range(chance.choice((1, 3, 10))):
            spoil(file, chance.randrange(1, rows + 1), chance.randbytes(chance.choice((512, PAGE))))
        before = file.read_bytes()
        try:
            with open_shop(file) as shop:
                assert len(rods(shop)) == 2
        except BadInput:
            found += 1
        assert file.read_bytes() == before
    assert found >= 55


def test_what_can_be_read_is_salvaged(hurt, tmp_path):
    file, _ = hurt
    before = file.read_bytes()
    saved = salvage(file, tmp_path / "saved")
    assert saved.broken == ("reading",)
    assert saved.saved["strip"] == 6
    assert saved.saved["reading"] == 0
    assert file.read_bytes() == before
    with create_shop(tmp_path / "new.sqlite") as shop:
        assert not apply(shop, saved.folder).as_exported
        assert [one.name for one in rods(shop)] == ["Quillet Water", "Änderung Nr. 2 · ⅜"]
    with pytest.raises(BadInput, match="there is something here already"):
        salvage(file, tmp_path / "saved")


def test_readings_around_a_bad_page_are_salvaged(full_shop, tmp_path):
    with full_shop.writing() as connection:
        connection.exec_driver_sql(
            "WITH RECURSIVE n(i) AS (SELECT 1 UNION ALL SELECT i + 1 FROM n WHERE i < 500) "
            "INSERT INTO event (seq, id, state, at, kind, note) SELECT 1000 + i, printf('%032d', i), 'done', "
            "'2026-03-01T00:00:00.000000Z', 'noted', printf('%0200d', i) FROM n"
        )
        leaf = connection.exec_driver_sql("SELECT count(*) FROM event").scalar()
    full_shop.close()
    text = full_shop.file.read_bytes()
    spoil(full_shop.file, text.index(f"{250:0200d}".encode()) // PAGE + 1)
    saved = salvage(full_shop.file, tmp_path / "saved")
    assert saved.broken == ("event",)
    assert leaf - 25 < saved.saved["event"] < leaf  # a page of 4096 bytes holds under 25 such rows
    sheet = (tmp_path / "saved" / "event.csv").read_text("utf-8-sig")
    assert f"{1:0200d}" in sheet
    assert f"{500:0200d}" in sheet


def test_of_rubbish_nothing_can_be_salvaged(tmp_path):
    (tmp_path / "shop.sqlite").write_bytes(b"rubbish" * 999)
    with pytest.raises(Damaged, match="nothing of this file can be read"):
        salvage(tmp_path / "shop.sqlite", tmp_path / "saved")
    assert not (tmp_path / "saved").exists()


# Names of SQLite's results: sqlite.org/rescode.html.
@pytest.mark.parametrize(
    ("name", "kind", "said"),
    [
        ("SQLITE_FULL", DiskRefused, "the disk is full"),
        ("SQLITE_IOERR_WRITE", DiskRefused, "the disk refused a write"),
        ("SQLITE_CORRUPT_VTAB", Damaged, "damaged"),
        ("SQLITE_NOTADB", Damaged, "damaged"),
        ("SQLITE_BUSY_SNAPSHOT", Busy, "another program"),
        ("SQLITE_LOCKED", Busy, "another program"),
        ("SQLITE_READONLY_DBMOVED", BadInput, "may only be read"),
        ("SQLITE_CANTOPEN", BadInput, "cannot be opened"),
        ("SQLITE_CONSTRAINT_CHECK", Conflict, "does not take this row"),
        ("SQLITE_TOOBIG", BadInput, "could not be used"),
    ],
)
def test_every_kind_of_error_has_its_sentence(tmp_path, name, kind, said):
    fault = sqlite3.OperationalError("raw words")
    fault.sqlite_errorname = name
    told = in_words(fault, tmp_path / "shop.sqlite")
    assert type(told) is kind
    assert said in str(told)


def test_an_error_of_the_disk_on_a_full_disk_is_called_full(tmp_path, monkeypatch):
    usage = shutil.disk_usage(tmp_path)
    monkeypatch.setattr(shutil, "disk_usage", lambda _: usage._replace(free=1000))
    fault = sqlite3.OperationalError("disk I/O error")
    fault.sqlite_errorname = "SQLITE_IOERR_WRITE"
    assert "the disk is full" in str(in_words(fault, tmp_path / "shop.sqlite"))


def test_another_hand_that_does_not_let_go_is_said(full_shop, monkeypatch):
    monkeypatch.setattr("culmwright.ledger.connect.PATIENCE", 0.05)
    before = digest(full_shop)
    with open_shop(full_shop.file) as mine, closing(sqlite3.connect(full_shop.file, isolation_level=None)) as other:
        other.execute("BEGIN IMMEDIATE")
        with pytest.raises(Busy, match="another program is using the shop"):
            freeze(mine, "x", "text", "0" * 64)
        other.execute("ROLLBACK")
        freeze(mine, "x", "text", "0" * 64)
    assert digest(full_shop) != before

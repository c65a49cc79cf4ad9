"""Backups that are proven, thinned by the clock, and restored."""

from __future__ import annotations

import sqlite3
import stat
from contextlib import closing
from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest

from culmwright.ledger import backup as backups
from culmwright.ledger import retention
from culmwright.ledger.backup import backup, fault_of_backup, newest_good, restore
from culmwright.ledger.connect import plain
from culmwright.ledger.digest import digest_of
from culmwright.ledger.faults import Damaged
from culmwright.ledger.frozen import freeze, rods
from culmwright.ledger.register import person_named
from culmwright.ledger.retention import Kept, in_folder, name_of, worth_keeping
from culmwright.ledger.shop import create_shop, digest, open_shop
from culmwright.measure.errors import BadInput

NOON = datetime(2026, 3, 31, 12, tzinfo=UTC)


def test_a_backup_holds_what_the_shop_holds(full_shop):
    made = backup(full_shop.file)
    with open_shop(made.path, write=False) as copy:
        assert digest(copy) == digest(full_shop) == made.digest
        assert rods(copy) == rods(full_shop)
    assert made.path.parent == full_shop.file.with_name("shop-backups")
    assert stat.S_IMODE(made.path.stat().st_mode) == 0o600
    with closing(sqlite3.connect(made.path)) as copy:
        assert copy.execute("PRAGMA journal_mode").fetchone() == ("delete",)
        counted = sum(
            copy.execute(f'SELECT count(*) FROM "{name}"').fetchone()[0]
            for (name,) in copy.execute("SELECT name FROM sqlite_master WHERE type = 'table'").fetchall()
            if name != "alembic_version"
        )
    assert made.rows == counted


def test_the_digest_sees_every_row_and_the_schema(full_shop, tmp_path):
    """Mutations made past the guards, one at a time: a value, a row less, a row more, a column, the schema."""
    made = backup(full_shop.file)
    seen = {made.digest}
    changes = (
        "UPDATE reading SET value_num = value_num + 1 WHERE seq = 12",
        "UPDATE reading SET value_text = value_text || ' ' WHERE seq = 12",
        "DELETE FROM gauge_check",
        "INSERT INTO person VALUES (99, 'x', '2026-03-01T00:00:00.000000Z')",
        "UPDATE culm SET note = '' || note || ' ' WHERE note IS NOT NULL",
        "ALTER TABLE person ADD COLUMN born TEXT",
        "PRAGMA user_version = 77",
    )
    with closing(sqlite3.connect(made.path, isolation_level=None)) as raw:
        raw.execute("PRAGMA foreign_keys = OFF")
        for (name,) in raw.execute("SELECT name FROM sqlite_master WHERE type = 'trigger'").fetchall():
            raw.execute(f"DROP TRIGGER {name}")
        assert digest_of(raw) in seen
        for change in changes:
            raw.execute(change)
            assert digest_of(raw) not in seen, change
            seen.add(digest_of(raw))


@pytest.mark.parametrize("harm", ["UPDATE person SET name = 'x'", "DELETE FROM person"])
def test_a_copy_with_other_rows_is_never_called_a_backup(full_shop, monkeypatch, harm):
    honest = backups._pages

    def pages(here, there, file):
        honest(here, there, file)
        for (name,) in there.execute("SELECT name FROM sqlite_master WHERE type = 'trigger'").fetchall():
            there.execute(f"DROP TRIGGER {name}")
        there.execute("PRAGMA foreign_keys = OFF")
        there.execute(harm)

    monkeypatch.setattr(backups, "_pages", pages)
    with pytest.raises(Damaged):
        backup(full_shop.file)
    assert list(full_shop.file.with_name("shop-backups").iterdir()) == []


def test_a_copy_that_came_out_torn_is_never_called_a_backup(full_shop, monkeypatch):
    honest = backups._pages

    def pages(here, there, file):
        honest(here, there, file)
        (path,) = [row[2] for row in there.execute("PRAGMA database_list")]
        (page,) = there.execute("SELECT rootpage FROM sqlite_master WHERE name = 'reading_cell'").fetchone()
        with Path(path).open("r+b") as torn:  # of an index: every row is still there and right
            torn.seek(4096 * (page - 1))
            torn.write(b"\xff" * 4096)

    monkeypatch.setattr(backups, "_pages", pages)
    with pytest.raises(Damaged, match="damaged"):
        backup(full_shop.file)
    assert list(full_shop.file.with_name("shop-backups").iterdir()) == []


def test_a_backup_made_while_another_hand_holds_the_lock(full_shop):
    with full_shop.writing() as connection:
        connection.exec_driver_sql("INSERT INTO rod VALUES (9, 'half made', '2026-03-01T00:00:00.000000Z')")
        made = backup(full_shop.file)
    with open_shop(made.path, write=False) as copy:
        assert [one.rod for one in rods(copy)] == [1, 2]


def test_restore_brings_it_back_and_keeps_what_was_there(full_shop):
    made = backup(full_shop.file)
    person_named(full_shop, "Somebody New")
    later = digest(full_shop)
    back = restore(made.path, full_shop.file)
    assert back.digest == made.digest == digest(full_shop)  # the open shop goes on with the restored rows
    assert person_named(full_shop, "Somebody Else").id == 2
    assert back.before is not None
    assert restore(back.before, full_shop.file).digest == later == digest(full_shop)


def test_restore_where_the_shop_is_gone(full_shop):
    made = backup(full_shop.file)
    full_shop.close()
    full_shop.file.unlink()
    with pytest.raises(BadInput, match=f"its backups are here.*{made.path.name}"):
        create_shop(full_shop.file)
    with pytest.raises(BadInput, match=f"its backups are here.*{made.path.name}"):
        open_shop(full_shop.file)
    assert restore(made.path, full_shop.file).before is None
    with open_shop(full_shop.file) as shop:
        assert digest(shop) == made.digest
    assert stat.S_IMODE(full_shop.file.stat().st_mode) == 0o600


def test_restore_over_a_damaged_shop_keeps_it_aside_with_its_company(full_shop):
    made = backup(full_shop.file)
    full_shop.close()
    full_shop.file.write_bytes(b"rubbish" * 4096)
    full_shop.file.with_name("shop.sqlite-shm").write_bytes(b"stale")
    back = restore(made.path, full_shop.file)
    assert back.before is not None
    assert back.before.read_bytes() == b"rubbish" * 4096
    assert Path(f"{back.before}-shm").read_bytes() == b"stale"
    with open_shop(full_shop.file) as shop:
        assert digest(shop) == made.digest


def test_what_cannot_be_restored(full_shop, tmp_path):
    before = digest(full_shop)
    bad = tmp_path / "bad.sqlite"
    with pytest.raises(BadInput, match="there is no backup here"):
        restore(bad, full_shop.file)
    bad.write_bytes(b"")
    with pytest.raises(BadInput, match="cannot be restored"):
        restore(bad, full_shop.file)
    with closing(sqlite3.connect(bad)) as other:
        other.execute("CREATE TABLE other (x)")
        other.commit()
    with pytest.raises(BadInput, match="file of another program"):
        restore(bad, full_shop.file)
    with pytest.raises(BadInput, match="this is the shop itself"):
        restore(full_shop.file, full_shop.file)
    newer = backup(full_shop.file).path
    with closing(sqlite3.connect(newer)) as raw:
        raw.execute("PRAGMA user_version = 99")
        raw.commit()
    with pytest.raises(BadInput, match="newer culmwright"):
        restore(newer, full_shop.file)
    assert digest(full_shop) == before


def test_the_newest_good_backup_is_found_past_bad_ones(full_shop):
    good = backup(full_shop.file, now=NOON).path
    assert newest_good(full_shop.file) == good
    bad = backup(full_shop.file, now=NOON + timedelta(days=1)).path
    with bad.open("r+b") as torn:
        torn.seek(4096 * 3)
        torn.write(b"\xff" * 4096)
    assert fault_of_backup(bad)
    assert newest_good(full_shop.file) == good
    good.unlink()
    assert newest_good(full_shop.file) is None


def test_a_folder_for_backups_that_is_a_file(full_shop, tmp_path):
    (tmp_path / "taken").write_text("x")
    with pytest.raises(BadInput, match="this place cannot be used"):
        backup(full_shop.file, tmp_path / "taken")


def test_two_backups_of_one_moment(full_shop):
    backup(full_shop.file, now=NOON)
    with pytest.raises(BadInput, match="of this very moment"):
        backup(full_shop.file, now=NOON)


def test_two_backups_of_one_hour_both_stay(full_shop):
    """Before something is tried and after it: two states that somebody wanted to keep."""
    made = [backup(full_shop.file, now=NOON + timedelta(minutes=5 * n, seconds=n)) for n in range(3)]
    assert [one.thinned for one in made] == [(), (), ()]
    assert [one.path for one in in_folder(made[0].path.parent, "shop")] == [one.path for one in reversed(made)]
    many = {Kept(Path(str(n)), NOON + timedelta(seconds=n), None) for n in range(60)}
    assert {one.path.name for one in worth_keeping(many)} == {str(n) for n in range(36, 60)}  # no hour grows for ever


def test_backup_thins_the_folder_but_no_other_shops(full_shop, tmp_path, monkeypatch):
    monkeypatch.setattr(retention, "LATEST", 1)
    with create_shop(tmp_path / "other.sqlite") as other:
        freeze(other, "Ash Beck", "text", "a" * 64)
        foreign = backup(other.file, full_shop.file.with_name("shop-backups"), now=NOON - timedelta(minutes=5)).path
    early = backup(full_shop.file, now=NOON).path
    late = backup(full_shop.file, now=NOON + timedelta(minutes=59))
    assert late.thinned == (early,)
    assert sorted(late.path.parent.iterdir()) == sorted([foreign, late.path])


# The rule is the project's own (the newest 24, 24 hourly, 30 daily, 12 monthly, one before each migration); what is
# checked against is a clock that runs for a year and a half with a backup every 6 hours, then 30 minutes, thinned each
# time.
def test_retention_by_the_clock():
    def kept(at, schema=None):
        return Kept(Path(name_of("shop", at, schema)), at, schema)

    folder: frozenset[Kept] = frozenset()
    moment = datetime(2025, 6, 1, 5, 40, tzinfo=UTC)
    migrations = {datetime(2025, 6, 3, 5, 40, tzinfo=UTC): 2, datetime(2025, 12, 7, 11, 40, tzinfo=UTC): 3}
    end = datetime(2026, 12, 31, 23, 40, tzinfo=UTC)
    while moment <= end:
        folder = worth_keeping(folder | {kept(moment, migrations.get(moment))})
        assert kept(moment, migrations.get(moment)) in folder
        moment += timedelta(hours=6) if end - moment > timedelta(days=3) else timedelta(minutes=30)
    hours = {end - timedelta(hours=n) for n in range(24)}
    days = {end - timedelta(days=n) for n in range(30)}
    months = {datetime(2026, n, 1, 23, 40, tzinfo=UTC) + timedelta(days=27) for n in range(1, 13)}
    at = {one.at for one in folder}
    assert hours | days <= at
    assert {(one.year, one.month) for one in at} >= {(one.year, one.month) for one in months}
    assert {one.before_schema for one in folder if one.before_schema} == {2, 3}
    # 24 hours and 30 days share the newest; so do 30 days and 12 months, which share two (December and the end of
    # November or the beginning of December); of the newest 24, half-hourly, every second is the newest of its hour:
    # 24 + 29 + 11 or 10 + 2 migrations + 12
    assert len(folder) in (24 + 29 + 11 + 2 + 12, 24 + 29 + 10 + 2 + 12)
    assert {end - timedelta(minutes=30 * n) for n in range(24)} <= at


def test_after_a_long_rest_nothing_more_is_lost():
    """Hours, days and months are counted, not dated: a shop that rests for years keeps what it has."""
    old = frozenset(Kept(Path(str(n)), datetime(2020, 1, 1, tzinfo=UTC) + timedelta(days=n), None) for n in range(20))
    assert worth_keeping(old | {Kept(Path("new"), NOON, None)}) == old | {Kept(Path("new"), NOON, None)}


def test_names_say_when_and_before_what(tmp_path):
    for name in (name_of("shop", NOON), name_of("shop", NOON, 2), "shop-rubbish.sqlite", "note.txt"):
        (tmp_path / name).touch()
    found = in_folder(tmp_path, "shop")
    assert {(one.at, one.before_schema) for one in found} == {(NOON, None), (NOON, 2)}
    assert in_folder(tmp_path / "none", "shop") == ()


def test_a_backup_can_be_looked_into_without_changing_it(full_shop):
    made = backup(full_shop.file).path
    before = made.read_bytes()
    assert fault_of_backup(made) == ""
    with closing(plain(made)) as raw:
        digest_of(raw)
    assert made.read_bytes() == before


CRAFTED = {
    "a trigger more": ["CREATE TRIGGER more AFTER INSERT ON reading BEGIN INSERT INTO person (name) VALUES ('x'); END"],
    "a view": ["CREATE VIEW more AS SELECT * FROM reading"],
    "a guard that takes rows out": [
        "DROP TRIGGER reading_kept",
        "CREATE TRIGGER reading_kept AFTER INSERT ON reading BEGIN DELETE FROM reading WHERE seq < new.seq; END",
    ],
    "a guard that does nothing": [
        "DROP TRIGGER reading_unchanged",
        "CREATE TRIGGER reading_unchanged BEFORE UPDATE ON reading WHEN 0 BEGIN SELECT 1; END",
    ],
    "no guard": ["DROP TRIGGER reading_unchanged"],
}


@pytest.mark.parametrize("harm", CRAFTED)
def test_a_backup_with_something_in_it_that_is_not_the_ledgers_is_not_put_back(shop, tmp_path, harm):
    """What a crafted file would do to every row that comes after it."""
    crafted = backup(shop.file, tmp_path).path
    with closing(sqlite3.connect(crafted)) as connection:
        for statement in CRAFTED[harm]:
            connection.execute(statement)
        connection.commit()
    before = digest(shop)
    with pytest.raises(BadInput, match="cannot be restored"):
        restore(crafted, shop.file)
    assert digest(shop) == before

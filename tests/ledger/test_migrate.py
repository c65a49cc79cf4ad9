"""From every released schema to the newest, and what happens when that goes wrong."""

from __future__ import annotations

import os
import shutil
import signal
import sqlite3
import subprocess
import sys
from contextlib import closing
from pathlib import Path

import pytest
from alembic.config import Config
from alembic.script import ScriptDirectory

from culmwright.ledger.backup import backup
from culmwright.ledger.digest import digest_of
from culmwright.ledger.faults import Damaged
from culmwright.ledger.frozen import revisions, rods
from culmwright.ledger.happenings import log
from culmwright.ledger.migrate import Steps, our_steps, upgrade
from culmwright.ledger.place import backups_of
from culmwright.ledger.readings import append, current
from culmwright.ledger.records import Cell, Entry
from culmwright.ledger.register import culms
from culmwright.ledger.shop import digest, open_shop
from culmwright.ledger.tables import SCHEMA
from culmwright.measure.errors import BadInput
from culmwright.measure.lengths import Length

OLD = sorted((Path(__file__).parents[1] / "old_files").glob("shop-*.sqlite"))
LATER = Steps((*our_steps().folders, Path(__file__).parent / "later"), SCHEMA + 1)


@pytest.fixture
def old(tmp_path):
    """The shop of the newest released schema, to be brought to one that is not released."""
    file = tmp_path / "shop.sqlite"
    shutil.copyfile(OLD[-1], file)
    return file


def bare_digest(file):
    with closing(sqlite3.connect(file)) as raw:
        return digest_of(raw)


def test_the_migrations_are_one_line_and_end_at_the_schema_of_this_program():
    config = Config()
    config.set_main_option("script_location", str(our_steps().folders[0].parent))
    scripts = ScriptDirectory.from_config(config)
    assert scripts.get_heads() == [f"{SCHEMA:04d}"]
    assert [one.revision for one in scripts.walk_revisions()] == [f"{n:04d}" for n in range(SCHEMA, 0, -1)]


def test_a_shop_of_every_schema_is_kept():
    assert [file.name for file in OLD] == [f"shop-{n:04d}.sqlite" for n in range(1, SCHEMA + 1)]


@pytest.mark.parametrize("kept", OLD, ids=lambda file: file.stem)
def test_every_old_shop_is_brought_to_the_newest_schema_with_all_its_rows(kept, tmp_path):
    file = tmp_path / "shop.sqlite"
    shutil.copyfile(kept, file)
    with open_shop(file) as shop:
        # what make_shop.py put in, by hand: 18 strips' readings, 1 left of 3 at 25 in, 1 skip; 1 in the second revision
        first, second = revisions(shop, 1)
        assert [one.name for one in rods(shop)] == ["Quillet Water", "Änderung Nr. 2 · ⅜"]
        assert first.text.startswith("culmwright = 1\r\n")
        assert len(current(shop, first.id)) == 18 + 1 + 1
        (odd,) = [one.entry for one in current(shop, first.id) if one.entry.value and "128" in one.entry.value.text]
        assert odd.value == Length.parse("+25/128 in")
        assert len(current(shop, second.id)) == 1
        assert [culm.diameter for culm in culms(shop)] == [Length.parse("54.2 mm")]
        assert len(log(shop, 1)) == 23 + 1 + 5
        append(shop, Entry.skipped(Cell(first.id, "B", Length.parse("60 in"), "rough"), "it writes", wet=False))


def test_an_upgrade_keeps_a_proven_backup_and_every_row(old):
    before = bare_digest(old)
    with open_shop(old, steps=LATER) as shop:
        assert len(log(shop, 1)) == 29
    with closing(sqlite3.connect(old)) as raw:
        assert raw.execute("PRAGMA user_version").fetchone() == (SCHEMA + 1,)
        assert raw.execute("SELECT shown_text, remark FROM gauge_check").fetchone() == ("0.2500 in", None)
        assert raw.execute("PRAGMA integrity_check").fetchone() == ("ok",)
        with pytest.raises(sqlite3.IntegrityError, match="never changed"):
            raw.execute("DELETE FROM gauge_check")
        (made,) = raw.execute("SELECT sql FROM sqlite_master WHERE name = 'gauge_check'").fetchone()
    # remade by Alembic's batch: its 7 checks, its 2 references and its strictness came along
    assert (made.count("CHECK"), made.count("REFERENCES"), made.rstrip().endswith("STRICT")) == (7, 2, True)
    (kept,) = backups_of(old).iterdir()
    assert kept.name.endswith(f"-before-{SCHEMA + 1:04d}.sqlite")
    assert bare_digest(kept) == before


def test_a_shop_up_to_date_is_neither_backed_up_nor_touched(old):
    before = old.read_bytes()
    open_shop(old).close()
    assert not upgrade(old, before=lambda: pytest.fail("there was nothing to do"))
    assert not backups_of(old).exists()
    assert old.read_bytes() == before


def test_a_newer_shop_is_refused_and_not_touched(old):
    open_shop(old, steps=LATER).close()
    before = old.read_bytes()
    for write in (True, False):
        with pytest.raises(BadInput, match=r"written by a newer culmwright \(schema 3; this one knows up to 2\)"):
            open_shop(old, write=write)
    assert old.read_bytes() == before


STEPS = ("added", "remade", "guarded")


@pytest.mark.parametrize("step", STEPS)
def test_a_failed_upgrade_leaves_the_old_shop(old, monkeypatch, step):
    before = bare_digest(old)
    monkeypatch.setenv("TRIED_STEP", f"fail {step}")
    with pytest.raises(RuntimeError, match=f"told to fail when {step}"):
        open_shop(old, steps=LATER)
    assert bare_digest(old) == before
    with open_shop(old) as shop:
        assert len(log(shop, 1)) == 29


@pytest.mark.parametrize(
    ("step", "said"), [("orphan", r"would leave \d+ rows that point nowhere"), ("unguarded", "reading_kept")]
)
def test_an_upgrade_that_loses_something_is_not_kept(old, monkeypatch, step, said):
    before = bare_digest(old)
    monkeypatch.setenv("TRIED_STEP", step)
    with pytest.raises((BadInput, Damaged), match=said):
        open_shop(old, steps=LATER)
    assert bare_digest(old) == before


@pytest.mark.parametrize("step", STEPS)
def test_a_program_killed_in_an_upgrade_leaves_the_old_shop(old, step):
    before = bare_digest(old)
    ask = (
        "import sys; from pathlib import Path; from culmwright.ledger.migrate import *;"
        "from culmwright.ledger.shop import open_shop;"
        "open_shop(Path(sys.argv[1]), steps=Steps((*our_steps().folders, Path(sys.argv[2])), int(sys.argv[3])))"
    )
    done = subprocess.run(
        [sys.executable, "-c", ask, str(old), str(LATER.folders[-1]), str(LATER.head)],
        env={**os.environ, "TRIED_STEP": f"die {step}"},
        check=False,
    )
    assert done.returncode == -signal.SIGKILL
    with open_shop(old) as shop:
        assert digest(shop) == before
    open_shop(old, steps=LATER).close()


def test_a_full_disk_is_said_before_an_upgrade(old, monkeypatch):
    before = old.read_bytes()
    usage = shutil.disk_usage(old.parent)
    monkeypatch.setattr(shutil, "disk_usage", lambda _: usage._replace(free=1000))
    with pytest.raises(BadInput, match="the disk is full"):
        open_shop(old, steps=LATER)
    assert old.read_bytes() == before


def test_a_backup_of_an_old_schema_can_be_restored_and_is_brought_up(old, tmp_path):
    from culmwright.ledger.backup import restore

    made = backup(old, tmp_path / "kept").path
    open_shop(old, steps=LATER).close()
    old.unlink()
    for left in backups_of(old).iterdir():
        left.unlink()
    restore(made, old)
    with open_shop(old) as shop:
        assert len(log(shop, 1)) == 29

"""What the power leaves when it goes: a torn journal, a torn file. It opens to one of the states it has been in.

A journal is only ever torn while it has not been brought to the disk, and the file itself only once it has
(sqlite.org/atomiccommit.html, sections 3.5 to 3.11): each trial spoils what can be torn at its moment, no more.
"""

from __future__ import annotations

import random
import sqlite3
from contextlib import closing
from pathlib import Path

from culmwright.ledger.connect import PATIENCE
from culmwright.ledger.digest import digest_of
from culmwright.ledger.shop import open_shop

SECTOR = 512
INSERT = (
    "INSERT INTO event (seq, id, state, at, kind, note) VALUES "
    "(?, printf('%032d', ?), 'done', '2026-03-01T00:00:00.000000Z', 'noted', printf('%0400d', ?))"
)


def connected(file, mode):
    raw = sqlite3.connect(file, isolation_level=None, timeout=PATIENCE)
    raw.execute(f"PRAGMA journal_mode = {mode}")
    raw.execute("PRAGMA synchronous = FULL")
    return raw


def put(raw, first, count):
    raw.executemany(INSERT, [(seq, seq, seq) for seq in range(first, first + count)])


def spoiled(content, chance):
    """``content`` cut short at any byte, or with one to eight bits the other way round."""
    if chance.random() < 0.5:
        return content[: chance.randrange(len(content) + 1)]
    flipped = bytearray(content)
    for _ in range(chance.choice((1, 1, 2, 8))):
        flipped[chance.randrange(len(flipped))] ^= 1 << chance.randrange(8)
    return bytes(flipped)


def state_of(file):
    """The digest of a file that is opened by the bare library, after it was found whole."""
    with closing(sqlite3.connect(file)) as raw:
        assert raw.execute("PRAGMA integrity_check").fetchall() == [("ok",)]
        assert raw.execute("PRAGMA foreign_key_check").fetchall() == []
        return digest_of(raw)


def moments(file: Path) -> tuple[dict[str, str], dict[str, tuple[bytes, bytes]]]:
    """A file before and after one transaction, and copies of file and journal from within it.

    ``begun``: the journal is written but not brought to the disk, the file untouched. ``spilled``: the cache was too
    small, so the journal was brought to the disk and part of the pages were written.
    """
    journal = Path(f"{file}-journal")
    within = {}
    with closing(connected(file, "delete")) as raw:
        raw.execute("BEGIN IMMEDIATE")
        put(raw, 2, 60)
        raw.execute("COMMIT")
        before = digest_of(raw)
        old = file.read_bytes()
        raw.execute("BEGIN IMMEDIATE")
        put(raw, 100, 60)
        within["begun"] = (file.read_bytes(), journal.read_bytes())
        assert within["begun"][0] == old
        raw.execute("ROLLBACK")
        raw.execute("PRAGMA cache_size = 5")
        raw.execute("PRAGMA cache_spill = 5")
        raw.execute("BEGIN IMMEDIATE")
        put(raw, 100, 200)
        within["spilled"] = (file.read_bytes(), journal.read_bytes())
        assert within["spilled"][0] != old
        raw.execute("COMMIT")
        after = digest_of(raw)
    within["old"], within["new"] = (old, b""), (file.read_bytes(), within["spilled"][1])
    return {before: "before", after: "after"}, within


def test_a_torn_rollback_journal_or_file(tell, new_shop, depth, quick):
    chance = random.Random(21)
    file = new_shop(quick / "shop.sqlite")
    states, within = moments(file)
    seen = {"before": 0, "after": 0}
    trial_file = quick / "trial.sqlite"
    journal = Path(f"{trial_file}-journal")
    old = within["old"][0]
    for trial in range(depth(50, 1000, 5000)):
        match trial % 3:
            case 0:  # the journal not yet on the disk, the file untouched
                content, torn = within["begun"][0], spoiled(within["begun"][1], chance)
                wanted = "before"
            case 1:  # the journal on the disk; of the pages that were being written, any sector may be old or new
                new, torn = within["spilled"]
                parts = range(0, max(len(old), len(new)), SECTOR)
                content = b"".join((chance.choice((old, new)))[at : at + SECTOR].ljust(SECTOR, b"\0") for at in parts)
                wanted = "before"
            case _:  # all written; the journal's end is being cut off, to nothing
                content, torn = within["new"][0], b""
                wanted = "after"
        trial_file.write_bytes(content)
        journal.write_bytes(torn)
        found = states[state_of(trial_file)]
        assert found == wanted
        seen[found] += 1
        if trial % 25 == 0:
            open_shop(trial_file).close()
    tell(f"{sum(seen.values())} torn journals and files: {seen}")


def test_a_torn_or_flipped_write_ahead_log(tell, new_shop, depth, quick):
    """The log that a newer SQLite uses, made by a bare connection: any prefix of the commits, nothing else."""
    chance = random.Random(22)
    file = new_shop(quick / "shop.sqlite")
    log = Path(f"{file}-wal")
    with closing(connected(file, "wal")) as raw:
        raw.execute("PRAGMA wal_autocheckpoint = 0")
        base = file.read_bytes()
        states = {digest_of(raw): 0}
        for commit in range(1, 21):
            raw.execute("BEGIN IMMEDIATE")
            put(raw, 10 * commit, chance.randrange(1, 6))
            raw.execute("COMMIT")
            states[digest_of(raw)] = commit
        whole = log.read_bytes()
    trial_file = quick / "trial.sqlite"
    reached = dict.fromkeys(range(21), 0)
    for _ in range(depth(50, 1000, 5000)):
        for left in quick.glob("trial.sqlite*"):
            left.unlink()
        trial_file.write_bytes(base)
        Path(f"{trial_file}-wal").write_bytes(spoiled(whole, chance))
        reached[states[state_of(trial_file)]] += 1
    tell(f"torn logs opened after this many commits: {reached}")
    assert sum(count > 0 for count in reached.values()) > 10

"""Backups while others write, two hands at once, and a disk that gets full."""

from __future__ import annotations

import json
import os
import random
import sqlite3
from contextlib import closing

from culmwright.ledger.backup import backup, fault_of_backup, restore
from culmwright.ledger.digest import digest_of


def rows_of(raw):
    return raw.execute("SELECT id, value_num, value_den, value_text FROM reading ORDER BY seq").fetchall()


def row_of(entry):
    return (entry.id, *entry.value.nanometres.as_integer_ratio(), entry.value.text)


def test_backups_under_load_hold_all_that_was_acknowledged(tell, hands, hand_script, new_shop, depth, tmp_path):
    writer = hands()
    file = new_shop(tmp_path / "shop.sqlite")
    pid = writer.start("write", file=str(file), trial=0, count=1_000_000)
    heard, sizes = 0, []
    for trial in range(depth(10, 200, 500)):
        for _ in range(3):
            heard = int(writer.hear()[1])
        made = backup(file, tmp_path / f"kept-{trial % 5}")
        assert fault_of_backup(made.path) == ""
        back = restore(made.path, tmp_path / f"restored-{trial}.sqlite")
        assert back.digest == made.digest
        with closing(sqlite3.connect(back.file)) as raw:
            rows = rows_of(raw)
        assert rows == [row_of(hand_script.entry_of(0, number)) for number in range(len(rows))]
        assert len(rows) > heard
        sizes.append(len(rows))
        made.path.unlink()
        back.file.unlink()
    writer.kill(pid)
    writer.rest()
    tell(f"{len(sizes)} backups of a shop growing from {sizes[0]} to {sizes[-1]} readings")
    assert sizes[-1] > sizes[0]


def test_two_hands_at_once(hands, hand_script, new_shop, depth, tmp_path):
    """Both work; what both send (one and the same trial) is kept once, and the sequence has no gap."""
    file = new_shop(tmp_path / "shop.sqlite")
    one, two = hands(), hands()
    for trial, same in ((1, False), (2, True)):
        count = depth(40, 400, 2000)
        one.start("write", file=str(file), trial=10 * trial, count=count)
        two.start("write", file=str(file), trial=10 * trial + (not same), count=count)
        answers = [hand.rest() for hand in (one, two)]
        assert [code for _, code in answers] == [0, 0]
        told = [[(int(number), int(seq)) for _, number, seq in lines] for lines, _ in answers]
        assert [len(lines) for lines in told] == [count, count]
        assert (told[0] == told[1]) == same
        with closing(sqlite3.connect(file)) as raw:
            kept = dict(raw.execute("SELECT id, seq FROM reading").fetchall())
            numbers = [seq for (seq,) in raw.execute("SELECT seq FROM reading UNION ALL SELECT seq FROM event")]
        for lines, shown in zip(told, (10 * trial, 10 * trial + (not same)), strict=True):
            assert all(kept[hand_script.entry_of(shown, number).id] == seq for number, seq in lines)
        assert sorted(numbers) == list(range(1, len(numbers) + 1))
    assert len(numbers) == 3 * count + 1


def test_a_disk_that_gets_full(tell, hands, hand_script, new_shop, depth, quick):
    """A limit on the size of files, moved through journal and file: said in words, nothing lost, and it goes on."""
    hand, chance = hands(), random.Random(31)
    size = os.path.getsize(new_shop(quick / "probe.sqlite"))
    points = depth(20, 200, 1000)
    said = {"full": 0, "refused": 0}
    for trial in range(points):
        file = new_shop(quick / f"shop-{trial}.sqlite")
        limit = int((size + 24_576) * trial / points) + chance.randrange(512)
        hand.start("fill", file=str(file), trial=trial, count=80, limit=limit)
        lines, code = hand.rest()
        assert code == 0
        for line in lines:
            if line[0] == "refused":
                sentence = json.loads(line[3])
                assert line[2] == "DiskRefused", line
                assert "the disk" in sentence
                assert sentence.endswith("Make room, then enter it once more.")
                said["full" if "the disk is full" in sentence else "refused"] += 1
        acked = [(int(line[1]), int(line[2])) for line in lines if line[0] == "ack"]
        assert [number for number, _ in acked] == list(range(80))
        with closing(sqlite3.connect(file)) as raw:
            assert raw.execute("PRAGMA integrity_check").fetchall() == [("ok",)]
            assert rows_of(raw) == [row_of(hand_script.entry_of(trial, number)) for number in range(80)]
            assert digest_of(raw)
        file.unlink()
    tell(f"{points} limits, refused {said}")
    assert sum(said.values()) >= points * 0.8

"""How long a maker waits for the tick: one reading from entry to safe on the disk, in a shop with many.

    python benchmarks/commit_to_tick.py [--readings 100000] [--entries 300] [--folder FOLDER]

The folder decides which disk is measured. Prints the 50th and 95th percentile [ms] of ``append`` (begin, checks,
insert, COMMIT with synchronous FULL), the same with the journal that a newer SQLite would use, and what a bare
transaction of the same file costs, so that the disk's share can be told from the program's.
"""

from __future__ import annotations

import argparse
import sqlite3
import tempfile
import time
from collections.abc import Callable
from contextlib import closing
from fractions import Fraction
from pathlib import Path

from culmwright.ledger.connect import journal_mode
from culmwright.ledger.frozen import freeze
from culmwright.ledger.readings import append, current
from culmwright.ledger.records import Cell, Entry
from culmwright.ledger.shop import Shop, create_shop, digest, open_shop
from culmwright.measure.lengths import Length

STATION = Length.parse("25 in")


def entry(number: int) -> Entry:
    """One more reading."""
    cell = Cell(1, "T1", STATION, "rough", 1, 1 + number % 6)
    return Entry.measured(cell, Length(Fraction(9_194_800 + number), "0.3620 in", "in"), wet=True)


def stock(shop: Shop, readings: int) -> None:
    """Put the readings of many rods into the shop in one transaction."""
    rods = 1 + readings // 2000
    for number in range(rods):
        freeze(shop, f"rod {number}", "a rod file", "0" * 64)
    with shop.writing() as connection:
        connection.exec_driver_sql(
            "WITH RECURSIVE n(i) AS (SELECT 1 UNION ALL SELECT i + 1 FROM n WHERE i < ?) "
            "INSERT INTO reading (seq, id, state, at, rod_revision, section, strip, station_num, station_den, "
            "station_text, station_unit, stage, pass, value_num, value_den, value_text, value_unit, wet) "
            "SELECT ? + i, lower(hex(randomblob(16))), 'measured', '2026-03-01T00:00:00.000000Z', 1 + i % ?, 'T1', "
            "1 + i % 6, 635000000, 1, '25 in', 'in', 'rough', 1, 9000000 + i, 1, '0.3620 in', 'in', 1 FROM n",
            (readings, rods, rods),
        )


def times(act: Callable[[int], object], entries: int) -> tuple[float, float]:
    """The 50th and 95th percentile of ``act`` [ms]."""
    taken = []
    for number in range(entries):
        began = time.perf_counter()
        act(number)
        taken.append(1000 * (time.perf_counter() - began))
    taken.sort()
    return taken[entries // 2], taken[entries * 95 // 100]


def bare(file: Path) -> Callable[[int], object]:
    """A transaction of the bare library that writes one row."""
    raw = sqlite3.connect(file, isolation_level=None)
    raw.execute("PRAGMA synchronous = FULL")

    def act(number: int) -> None:
        raw.execute("BEGIN IMMEDIATE")
        raw.execute("INSERT INTO person (name, at) VALUES (?, '2026-03-01T00:00:00.000000Z')", (f"{time.time_ns()}",))
        raw.execute("COMMIT")

    return act


def main() -> None:
    """Make the shop, measure, print."""
    asked = argparse.ArgumentParser(description=__doc__.partition("\n")[0])
    asked.add_argument("--readings", type=int, default=100_000)
    asked.add_argument("--entries", type=int, default=300)
    asked.add_argument("--folder", type=Path)
    said = asked.parse_args()
    with tempfile.TemporaryDirectory(dir=said.folder) as folder:
        file = Path(folder) / "shop.sqlite"
        with create_shop(file) as shop:
            stock(shop, said.readings)
        began = time.perf_counter()
        shop = open_shop(file)
        opened = time.perf_counter() - began
        rows = [(f"append, journal {journal_mode()}", times(lambda number: append(shop, entry(number)), said.entries))]
        rows.append(("walk of one rod read back", times(lambda _: current(shop, 2), 20)))
        rows.append(("digest of the whole shop", times(lambda _: digest(shop), 3)))
        shop.close()
        rows.append((f"bare transaction, journal {journal_mode()}", times(bare(file), said.entries)))
        with closing(sqlite3.connect(file)) as raw:
            raw.execute("PRAGMA journal_mode = WAL")
        rows.append(("bare transaction, journal wal", times(bare(file), said.entries)))
        size = file.stat().st_size / 1e6
    print(f"SQLite {sqlite3.sqlite_version}, {said.readings} readings, {size:.1f} MB, opened in {1000 * opened:.0f} ms")
    print(f"{'':32}{'p50 ms':>10}{'p95 ms':>10}")
    for name, (half, most) in rows:
        print(f"{name:32}{half:10.2f}{most:10.2f}")


if __name__ == "__main__":
    main()

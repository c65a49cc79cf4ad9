"""Any run of readings, skips, re-measures, undos and replays, against a plain model of what should count."""

from __future__ import annotations

import atexit
import os
import shutil
import sqlite3
import tempfile
from contextlib import closing
from dataclasses import replace
from functools import cache
from pathlib import Path

import pytest
from hypothesis import settings
from hypothesis import strategies as st
from hypothesis.stateful import RuleBasedStateMachine, invariant, precondition, rule

from culmwright.ledger.faults import Conflict
from culmwright.ledger.frozen import freeze
from culmwright.ledger.readings import append, current, filled
from culmwright.ledger.records import Cell, Entry, Reading, State
from culmwright.ledger.shop import create_shop, open_shop
from culmwright.measure.lengths import Length

EXAMPLES, STEPS = {"commit": (25, 30), "nightly": (500, 100), "release": (2000, 200)}[
    os.environ.get("CULMWRIGHT_SOAK", "commit")
]
MEMORY = Path("/dev/shm")
CELLS = [Cell(1, "T1", Length.parse(f"{station} in"), "rough", 1, strip) for station in (5, 10) for strip in (1, 2)]
NUMBERS = st.integers(0, 10**9)


@cache
def made() -> Path:
    """The file of a shop with one rod, in memory where the machine has one."""
    folder = tempfile.mkdtemp(dir=MEMORY if MEMORY.is_dir() else None)
    atexit.register(shutil.rmtree, folder, ignore_errors=True)
    file = Path(folder) / "made.sqlite"
    with create_shop(file) as shop:
        freeze(shop, "Quillet Water", "a rod file", "0" * 64)
    return file


class Walk(RuleBasedStateMachine):
    """The model is a list of chains: each chain is a reading and what replaced it, the last one counting."""

    def __init__(self) -> None:
        super().__init__()
        self.file = made().with_name("walk.sqlite")
        shutil.copyfile(made(), self.file)
        self.shop = open_shop(self.file)
        self.chains: list[list[Reading]] = []
        self.kept: list[Reading] = []
        self.rows = 0

    def teardown(self) -> None:
        self.shop.close()
        self.file.unlink()

    def keep(self, entry: Entry) -> Reading:
        kept = append(self.shop, replace(entry, id=f"walk-{len(self.kept):012d}"))
        self.kept.append(kept)
        return kept

    @rule(cell=st.sampled_from(CELLS), number=NUMBERS, unit=st.sampled_from(["in", "mm", "thou"]))
    def read(self, cell, number, unit):
        self.chains.append([self.keep(Entry.measured(cell, Length.parse(f"{number}/64 {unit}"), wet=True))])

    @rule(cell=st.sampled_from(CELLS))
    def skip(self, cell):
        self.chains.append([self.keep(Entry.skipped(cell, "a node stands here", wet=True))])

    @precondition(lambda self: self.chains)
    @rule(which=NUMBERS, number=NUMBERS)
    def measure_again(self, which, number):
        chain = self.chains[which % len(self.chains)]
        chain.append(self.keep(chain[-1].again(Length.parse(f"{number} mm"), "slipped")))

    @precondition(lambda self: self.chains)
    @rule(which=NUMBERS)
    def undo(self, which):
        chain = self.chains[which % len(self.chains)]
        self.keep(chain.pop().withdrawn("a slip of the key"))
        if not chain:
            self.chains.remove(chain)

    @precondition(lambda self: self.chains)
    @rule()
    def undo_the_last(self):
        newest = max((chain[-1] for chain in self.chains), key=lambda one: one.seq)
        assert current(self.shop, 1)[-1] == newest
        self.undo(next(n for n, chain in enumerate(self.chains) if chain[-1] == newest))

    @precondition(lambda self: self.kept)
    @rule(which=NUMBERS)
    def replay(self, which):
        kept = self.kept[which % len(self.kept)]
        assert append(self.shop, kept.entry) == kept

    @precondition(lambda self: self.kept)
    @rule(which=NUMBERS)
    def contradict(self, which):
        kept = self.kept[which % len(self.kept)]
        with pytest.raises(Conflict):
            append(self.shop, replace(kept.entry, wet=not kept.entry.wet))

    @precondition(lambda self: any(one.seq not in self.counting() for one in self.kept))
    @rule(which=NUMBERS)
    def supersede_what_does_not_count(self, which):
        gone = [one for one in self.kept if one.seq not in self.counting()]
        with pytest.raises(Conflict):
            append(self.shop, gone[which % len(gone)].withdrawn("late"))

    @rule()
    def reopen(self):
        self.shop.close()
        self.shop = open_shop(self.file)

    def counting(self) -> set[int]:
        return {chain[-1].seq for chain in self.chains}

    @invariant()
    def what_counts_is_what_the_model_says(self):
        found = filled(self.shop, 1)
        assert {one.seq for cell in found.values() for one in cell} == self.counting()
        assert all(one.entry.cell == cell for cell, ones in found.items() for one in ones)
        assert {one for ones in found.values() for one in ones} == {chain[-1] for chain in self.chains}

    @invariant()
    def nothing_is_ever_lost(self):
        with closing(sqlite3.connect(self.file)) as raw:
            (rows,) = raw.execute("SELECT count(*) FROM reading").fetchone()
        assert rows >= self.rows
        assert rows == len(self.kept)
        self.rows = rows
        assert all(one.entry.state in State for one in self.kept)


TestWalk = Walk.TestCase
TestWalk.settings = settings(max_examples=EXAMPLES, stateful_step_count=STEPS)


def teardown_module() -> None:
    shutil.rmtree(made().parent)

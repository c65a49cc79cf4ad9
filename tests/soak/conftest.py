"""How deep to search, and hands to kill."""

from __future__ import annotations

import importlib.util
import json
import os
import shutil
import signal
import subprocess
import sys
import tempfile
from collections.abc import Callable, Iterator
from contextlib import suppress
from pathlib import Path
from types import ModuleType
from typing import Any

import pytest

from culmwright.ledger.frozen import freeze
from culmwright.ledger.shop import create_shop

HERE = Path(__file__).parent
WHICH = ("commit", "nightly", "release").index(os.environ.get("CULMWRIGHT_SOAK", "commit"))


@pytest.fixture(scope="session")
def depth() -> Callable[[int, int, int], int]:
    """How many trials: one number each for commit, nightly and release."""
    return lambda *counts: counts[WHICH]


@pytest.fixture
def tell() -> Callable[[str], object]:
    """Note a figure: ``pytest -rP`` shows what was noted."""
    return lambda line: sys.stdout.write(f"{line}\n")


@pytest.fixture(scope="session")
def hand_script() -> ModuleType:
    """The script of a hand, as a module."""
    spec = importlib.util.spec_from_file_location("hand", HERE / "hand.py")
    assert spec is not None
    assert spec.loader is not None
    module = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(module)
    return module


@pytest.fixture
def quick() -> Iterator[Path]:
    """A folder in memory where the machine has one: for trials that need no disk."""
    memory = Path("/dev/shm")
    with tempfile.TemporaryDirectory(dir=memory if memory.is_dir() else None) as folder:
        yield Path(folder)


@pytest.fixture(scope="session")
def first_shop(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The file of a shop with one rod, made and closed."""
    file = tmp_path_factory.mktemp("made") / "first.sqlite"
    with create_shop(file) as shop:
        freeze(shop, "Quillet Water", "a rod file", "0" * 64)
    return file


@pytest.fixture
def new_shop(first_shop: Path) -> Callable[[Path], Path]:
    """Copy the closed shop with one rod to a place."""
    return lambda file: Path(shutil.copyfile(first_shop, file))


class Hand:
    """A process that forks a child for every job and outlives it."""

    def __init__(self) -> None:
        self.process = subprocess.Popen(
            [sys.executable, str(HERE / "hand.py")], stdin=subprocess.PIPE, stdout=subprocess.PIPE, text=True, bufsize=1
        )

    def start(self, do: str, **job: Any) -> int:
        """Give it a job and return the number of the child's process once it has begun."""
        assert self.process.stdin is not None
        print(json.dumps({"do": do, **job}), file=self.process.stdin, flush=True)
        word, pid = self.hear()
        assert word == "ready", word
        return int(pid)

    def hear(self) -> list[str]:
        """The next line, in words."""
        assert self.process.stdout is not None
        return self.process.stdout.readline().split(" ", 3)

    def rest(self) -> tuple[list[list[str]], int]:
        """Every line until the child's end, and how it ended: a number below zero is a signal."""
        lines = []
        while (line := self.hear())[0] != "end":
            assert line != [""], "the hand itself has died"
            lines.append(line)
        return lines, int(line[1])

    @staticmethod
    def kill(pid: int) -> None:
        """End a child without a word, if it has not ended by itself."""
        with suppress(ProcessLookupError):
            os.kill(pid, signal.SIGKILL)

    def close(self) -> None:
        """Let the process go."""
        assert self.process.stdin is not None
        assert self.process.stdout is not None
        self.process.stdin.close()
        self.process.wait(timeout=60)
        self.process.stdout.close()


@pytest.fixture
def hands() -> Iterator[Callable[[], Hand]]:
    """Engage as many hands as are wanted."""
    engaged: list[Hand] = []

    def engage() -> Hand:
        engaged.append(Hand())
        return engaged[-1]

    yield engage
    for hand in engaged:
        hand.close()

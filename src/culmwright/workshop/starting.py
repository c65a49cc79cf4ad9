"""``new``: a commented file to start from; and reading a rod back."""

from __future__ import annotations

from enum import Enum
from importlib.resources import files
from os import PathLike
from pathlib import Path

from culmwright.design.rod_file import read_rod as read_rod
from culmwright.workshop.writing import write_whole


class Starter(Enum):
    """What a commented file can be of: its word, the key its path goes by, and where its text lies."""

    ROD = ("rod", "rod_file", "rods/starter")
    FORM = ("form", "rig_file", "rigs/starter-form")
    BED = ("bed", "rig_file", "rigs/starter-bed")
    CULM = ("culm", "culm_file", "culms/starter")

    @property
    def word(self) -> str:
        """The word it is asked for by."""
        return self.value[0]

    @property
    def key(self) -> str:
        """The key of its path in a result."""
        return self.value[1]

    @property
    def text(self) -> str:
        """The whole file."""
        return _text(self.value[2])


def new(file: str | PathLike[str], of: Starter = Starter.ROD) -> Path:
    """Write a commented starter rod, or what it is ``of``, to ``file``; its path.

    Raises :class:`BadInput` if it exists already.
    """
    return write_whole(Path(file), of.text.encode(), replace=False)


def rod_text(name: str) -> str:
    """The text of a rod file that comes with the program."""
    return _text(f"rods/{name}")


def shop_rig_text(name: str) -> str:
    """The text of a rig file that comes with the program."""
    return _text(f"rigs/{name}")


def culm_text(name: str) -> str:
    """The text of a culm file that comes with the program."""
    return _text(f"culms/{name}")


def _text(path: str) -> str:
    return (files("culmwright.workshop") / f"{path}.toml").read_text(encoding="utf-8")

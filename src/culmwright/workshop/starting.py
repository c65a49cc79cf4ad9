"""``new``: a commented rod file to start from; and reading it back."""

from __future__ import annotations

from importlib.resources import files
from os import PathLike
from pathlib import Path

from culmwright.design.rod_file import read_rod as read_rod
from culmwright.workshop.writing import write_whole


def new(file: str | PathLike[str]) -> Path:
    """Write a commented starter rod to ``file``; its path. Raises :class:`BadInput` if it exists already."""
    return write_whole(Path(file), rod_text("starter").encode(), replace=False)


def rod_text(name: str) -> str:
    """The text of a rod file that comes with the program."""
    return (files("culmwright.workshop") / "rods" / f"{name}.toml").read_text(encoding="utf-8")

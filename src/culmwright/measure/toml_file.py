"""A TOML file on disk to its tables: read whole, within bounds, with a sentence for what is no such file."""

from __future__ import annotations

import tomllib
from collections.abc import Callable
from dataclasses import dataclass
from decimal import Decimal
from os import PathLike
from pathlib import Path
from typing import Any, TypeVar

from culmwright.measure.errors import BadInput, CulmwrightError, NotThere
from culmwright.measure.toml_slips import slip

T = TypeVar("T")

LARGEST_FILE = 100_000  # bytes
KINDS = ("rod", "culm", "rig")
LONGEST_LINE = 2_000  # characters; the TOML reader takes the square of a line's length in time


@dataclass(frozen=True, slots=True)
class FileKind:
    """What a file is of, for the sentences about it: ``one`` rod, and the ``starter`` command that makes its like.

    Its main table has the name of ``one``, by which the kinds are told apart.
    """

    one: str
    starter: str


def read_as(path: str | PathLike[str], kind: FileKind, made: Callable[[str], T]) -> T:
    """What ``made`` makes of the text of the file at ``path``. Raises :class:`BadInput` with the file's name where it
    is missing, too large, no text, or nothing can be made of it.
    """
    try:
        return made(_text_of(Path(path), kind))
    except CulmwrightError as fault:
        raise fault.at(str(path)) from None


def read_known(path: str | PathLike[str], kind: FileKind, made: Callable[[str], object]) -> str:
    """The text of the file at ``path``, known to be one of its kind. Raises :class:`BadInput` as :func:`read_as`."""

    def known(text: str) -> str:
        made(text)
        return text

    return read_as(path, kind, known)


def _text_of(file: Path, kind: FileKind) -> str:
    try:
        with file.open("rb") as stream:
            content = stream.read(LARGEST_FILE + 1)
    except FileNotFoundError:
        raise NotThere("there is no such file", remedy=f"Check the name, or make one with: {kind.starter}") from None
    except IsADirectoryError:
        raise BadInput("this is a folder", remedy=f"Give the {kind.one} file inside it") from None
    except OSError as fault:
        raise BadInput(f"it cannot be read ({fault.strerror})", remedy="Check the file's rights and its disk") from None
    if len(content) > LARGEST_FILE:
        raise BadInput(f"this is too large to be a {kind.one} file", remedy=f"Give the TOML file of one {kind.one}")
    try:
        return content.decode("utf-8-sig")
    except UnicodeDecodeError:
        raise BadInput("this is not a text file", remedy="Give a TOML file saved as UTF-8") from None


def tables_of(text: str, kind: FileKind) -> dict[str, Any]:
    """The tables of a TOML ``text``, its fractions as exact decimals. Raises :class:`BadInput` where it is not TOML."""
    for number, line in enumerate(text.split("\n"), 1):
        if len(line) > LONGEST_LINE:
            raise BadInput(
                f"line {number} is too long", remedy=f"Break it: a line has {LONGEST_LINE} characters at most"
            )
    tables = _loaded(text, kind)
    other = next((one for one in KINDS if one in tables), kind.one)
    if kind.one not in tables and other != kind.one:
        raise BadInput(
            f"this is a {other} file, not a {kind.one} file",
            where=f"[{other}]",
            remedy=f"Give the file that begins with [{kind.one}]",
        )
    return tables


def _loaded(text: str, kind: FileKind) -> dict[str, Any]:
    try:
        return tomllib.loads(text, parse_float=Decimal)
    except RecursionError:
        raise BadInput("its brackets are nested too deep", remedy=f"Start from: {kind.starter}") from None
    except tomllib.TOMLDecodeError as fault:
        raise slip(text, str(fault), kind.starter) from None
    except (ValueError, ArithmeticError):
        raise BadInput("a number in it is too large for any measurement", remedy="Look for a slip of the key") from None

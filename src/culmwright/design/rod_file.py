"""The rod file: TOML on disk to a frozen :class:`~culmwright.design.rod.Rod`.

What is absent is absent. What cannot be used is refused with file, key and remedy; what is possible but odd
gets a warning that travels with the rod.
"""

from __future__ import annotations

import tomllib
from decimal import Decimal
from os import PathLike
from pathlib import Path

from culmwright.design.rod import Rod
from culmwright.design.rod_reader import RodReader
from culmwright.design.toml_slips import slip
from culmwright.measure.errors import BadInput, CulmwrightError

LARGEST_FILE = 100_000  # bytes
LONGEST_LINE = 2_000  # characters; the TOML reader takes the square of a line's length in time


def read_rod(path: str | PathLike[str]) -> Rod:
    """The rod written in the TOML file at ``path``. Raises :class:`BadInput` with file, key and remedy.

    Lengths in metres, angles in radians, everything else in SI [kg, Pa, kg/m^3].
    """
    try:
        return rod_from_text(_read(Path(path)))
    except CulmwrightError as fault:
        raise fault.at(str(path)) from None


def read_text(path: str | PathLike[str]) -> str:
    """The text of the rod file at ``path``. Raises :class:`BadInput` with the file and the remedy."""
    try:
        return _read(Path(path))
    except CulmwrightError as fault:
        raise fault.at(str(path)) from None


def _read(file: Path) -> str:
    try:
        with file.open("rb") as stream:
            content = stream.read(LARGEST_FILE + 1)
    except FileNotFoundError:
        raise BadInput(
            "there is no such file", remedy="Check the name, or make one with: culmwright new FILE"
        ) from None
    except IsADirectoryError:
        raise BadInput("this is a folder", remedy="Give the rod file inside it") from None
    except OSError as fault:
        raise BadInput(f"it cannot be read ({fault.strerror})", remedy="Check the file's rights and its disk") from None
    if len(content) > LARGEST_FILE:
        raise BadInput("this is too large to be a rod file", remedy="Give the TOML file of one rod")
    try:
        return content.decode("utf-8-sig")
    except UnicodeDecodeError:
        raise BadInput("this is not a text file", remedy="Give a TOML file saved as UTF-8") from None


def rod_from_text(text: str) -> Rod:
    """The rod written in TOML ``text`` (lengths [m], angles [rad], the rest SI). Raises :class:`BadInput`."""
    for number, line in enumerate(text.split("\n"), 1):
        if len(line) > LONGEST_LINE:
            raise BadInput(
                f"line {number} is too long", remedy=f"Break it: a line has {LONGEST_LINE} characters at most"
            )
    try:
        content = tomllib.loads(text, parse_float=Decimal)
    except RecursionError:
        raise BadInput("its brackets are nested too deep", remedy="Start from: culmwright new FILE") from None
    except tomllib.TOMLDecodeError as fault:
        raise slip(text, str(fault)) from None
    except (ValueError, ArithmeticError):
        raise BadInput("a number in it is too large for any measurement", remedy="Look for a slip of the key") from None
    return RodReader(content).rod()

"""The rod file: TOML on disk to a frozen :class:`~culmwright.design.rod.Rod`.

What is absent is absent. What cannot be used is refused with file, key and remedy; what is possible but odd
gets a warning that travels with the rod.
"""

from __future__ import annotations

from functools import lru_cache
from os import PathLike
from pathlib import Path

from culmwright.design.rod import Rod
from culmwright.design.rod_reader import RodReader
from culmwright.measure.errors import CulmwrightError
from culmwright.measure.toml_file import FileKind, read_file, tables_of

KIND = FileKind("rod", "culmwright new FILE")


def read_rod(path: str | PathLike[str]) -> Rod:
    """The rod written in the TOML file at ``path``. Raises :class:`BadInput` with file, key and remedy.

    Lengths in metres, angles in radians, everything else in SI [kg, Pa, kg/m^3].
    """
    try:
        return rod_from_text(read_file(Path(path), KIND))
    except CulmwrightError as fault:
        raise fault.at(str(path)) from None


def read_text(path: str | PathLike[str]) -> str:
    """The text of the rod file at ``path``. Raises :class:`BadInput` with the file and the remedy."""
    try:
        return read_file(Path(path), KIND)
    except CulmwrightError as fault:
        raise fault.at(str(path)) from None


def rod_from_text(text: str) -> Rod:
    """The rod written in TOML ``text`` (lengths [m], angles [rad], the rest SI). Raises :class:`BadInput`."""
    return _read(text)


@lru_cache(maxsize=128)
def _read(text: str) -> Rod:
    """A text says the same rod every time: a shop of many rods asks for each again and again."""
    return RodReader(tables_of(text, KIND)).rod()

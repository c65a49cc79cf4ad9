"""The rod file: TOML on disk to a frozen :class:`~culmwright.design.rod.Rod`.

What is absent is absent. What cannot be used is refused with file, key and remedy; what is possible but odd
gets a warning that travels with the rod.
"""

from __future__ import annotations

from functools import lru_cache
from os import PathLike

from culmwright.design.rod import Rod
from culmwright.design.rod_reader import RodReader
from culmwright.measure.toml_file import FileKind, read_as, read_known, tables_of

KIND = FileKind("rod", "culmwright new FILE")


def read_rod(path: str | PathLike[str]) -> Rod:
    """The rod written in the TOML file at ``path``. Raises :class:`BadInput` with file, key and remedy.

    Lengths in metres, angles in radians, everything else in SI [kg, Pa, kg/m^3].
    """
    return read_as(path, KIND, rod_from_text)


def read_text(path: str | PathLike[str]) -> str:
    """The text of the rod file at ``path``, known to be one. Raises :class:`BadInput` with file, key and remedy."""
    return read_known(path, KIND, rod_from_text)


def rod_from_text(text: str) -> Rod:
    """The rod written in TOML ``text`` (lengths [m], angles [rad], the rest SI). Raises :class:`BadInput`."""
    return _read(text)


@lru_cache(maxsize=128)
def _read(text: str) -> Rod:
    """A text says the same rod every time: a shop of many rods asks for each again and again."""
    return RodReader(tables_of(text, KIND)).rod()

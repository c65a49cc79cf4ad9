"""The rig file: TOML on disk to a frozen :class:`~culmwright.rigs.rig.Rig`. What is absent is absent."""

from __future__ import annotations

from functools import lru_cache
from os import PathLike

from culmwright.measure.toml_file import FileKind, read_as, read_known, tables_of
from culmwright.rigs.rig import Rig
from culmwright.rigs.rig_reader import RigReader

KIND = FileKind("rig", "culmwright new FILE --of form")


def read_rig(path: str | PathLike[str]) -> Rig:
    """The rig written in the TOML file at ``path``, lengths [m], angles [rad]. Raises :class:`BadInput`."""
    return read_as(path, KIND, rig_from_text)


def rig_text(path: str | PathLike[str]) -> str:
    """The text of the rig file at ``path``, known to be one. Raises :class:`BadInput` with file, key and remedy."""
    return read_known(path, KIND, rig_from_text)


def rig_from_text(text: str) -> Rig:
    """The rig written in TOML ``text``, lengths [m], angles [rad]. Raises :class:`BadInput`."""
    return _read(text)


@lru_cache(maxsize=64)
def _read(text: str) -> Rig:
    """A text says the same rig every time: a shop asks for its own again and again."""
    return RigReader(tables_of(text, KIND)).rig()

"""The culm file: TOML on disk to a frozen :class:`~culmwright.cane.culm.Culm`."""

from __future__ import annotations

from os import PathLike

from culmwright.cane.culm import Culm
from culmwright.cane.culm_reader import CulmReader
from culmwright.measure.toml_file import FileKind, read_as, read_known, tables_of

KIND = FileKind("culm", "culmwright new FILE --of culm")


def read_culm(path: str | PathLike[str]) -> Culm:
    """The culm written in the TOML file at ``path``. Raises :class:`BadInput` with file, key and remedy."""
    return read_as(path, KIND, culm_from_text)


def read_culm_text(path: str | PathLike[str]) -> str:
    """The text of the culm file at ``path``, known to be one. Raises :class:`BadInput` with file, key and remedy."""
    return read_known(path, KIND, culm_from_text)


def culm_from_text(text: str) -> Culm:
    """The culm written in TOML ``text``. Raises :class:`BadInput`."""
    return CulmReader(tables_of(text, KIND)).culm()

"""The culm file: TOML on disk to a frozen :class:`~culmwright.cane.culm.Culm`."""

from __future__ import annotations

from os import PathLike
from pathlib import Path

from culmwright.cane.culm import Culm
from culmwright.cane.culm_reader import CulmReader
from culmwright.measure.errors import CulmwrightError
from culmwright.measure.toml_file import FileKind, read_file, tables_of

KIND = FileKind("culm", "culmwright new FILE --of culm")


def read_culm(path: str | PathLike[str]) -> Culm:
    """The culm written in the TOML file at ``path``. Raises :class:`BadInput` with file, key and remedy."""
    try:
        return culm_from_text(read_file(Path(path), KIND))
    except CulmwrightError as fault:
        raise fault.at(str(path)) from None


def read_culm_text(path: str | PathLike[str]) -> str:
    """The text of the culm file at ``path``, known to be one. Raises :class:`BadInput` with file, key and remedy."""
    try:
        text = read_file(Path(path), KIND)
        culm_from_text(text)
    except CulmwrightError as fault:
        raise fault.at(str(path)) from None
    return text


def culm_from_text(text: str) -> Culm:
    """The culm written in TOML ``text``. Raises :class:`BadInput`."""
    return CulmReader(tables_of(text, KIND)).culm()

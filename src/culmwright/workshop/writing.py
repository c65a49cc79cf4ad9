"""Writing files whole or not at all."""

from __future__ import annotations

import contextlib
import os
import tempfile
from pathlib import Path

from culmwright.measure.errors import BadInput


def write_whole(path: Path, content: bytes, *, replace: bool = True) -> Path:
    """Write ``content`` to ``path`` beside it first, then put it in place: never half a file.

    Raises :class:`BadInput` where the folder is missing or cannot be written, or the file exists and
    ``replace`` is False.
    """
    aside = None
    try:
        must_be_free(path, replace=replace)
        handle, aside = tempfile.mkstemp(dir=path.parent, prefix=f".{path.name}.")
        with os.fdopen(handle, "wb") as stream:
            stream.write(content)
            stream.flush()
            os.fsync(stream.fileno())
        os.chmod(aside, 0o666 & ~_umask())
        os.replace(aside, path)
    except OSError as fault:
        if aside is not None:
            with contextlib.suppress(OSError):
                os.unlink(aside)
        raise BadInput(
            f"it cannot be written ({fault.strerror})",
            where=str(path),
            remedy="Check the folder's rights and the disk's room",
        ) from None
    return path


def must_be_free(path: Path, *, replace: bool) -> None:
    """Refuse a ``path`` that is a folder, lies in none, or exists where it is not to be replaced."""
    if path.is_dir():
        raise BadInput("this is a folder", where=str(path), remedy="Give the name of a file")
    if path.exists() and not replace:
        raise BadInput("this file exists already and is left as it is", where=str(path), remedy="Give another name")
    if not path.parent.is_dir():
        raise BadInput("its folder does not exist", where=str(path), remedy=f"Make the folder {path.parent} first")


def _umask() -> int:
    mask = os.umask(0)
    os.umask(mask)
    return mask

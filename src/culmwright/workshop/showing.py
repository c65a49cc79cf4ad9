"""``demo``: the invented shop "Alder Bench", its rods and their books."""

from __future__ import annotations

import datetime
from dataclasses import dataclass
from os import PathLike
from pathlib import Path

from culmwright.design.rod_file import read_rod
from culmwright.measure.errors import BadInput
from culmwright.workshop.printing import book
from culmwright.workshop.starting import rod_text
from culmwright.workshop.writing import write_whole

RODS = ("thrimble-beck", "ossel-burn", "pellamere-brook")
"""The demo's rods, the main one first: six sides, four sides, five sides. All invented."""


@dataclass(frozen=True, slots=True)
class DemoMade:
    """Paths of the main rod file and its book, and of the other rods and books."""

    rod_file: str
    book: str
    rod_files: tuple[str, ...]
    books: tuple[str, ...]


def demo(folder: str | PathLike[str] = "demo", date: datetime.date | None = None) -> DemoMade:
    """Make the demo shop in ``folder`` and run the main job on each of its rods, to a printed book.

    Raises :class:`BadInput` where the folder cannot be made or written.
    """
    shop = Path(folder)
    try:
        shop.mkdir(parents=True, exist_ok=True)
    except OSError as fault:
        raise BadInput(
            f"the folder cannot be made ({fault.strerror})",
            where=str(shop),
            remedy="Give another name, or check its rights",
        ) from None
    rod_files = [write_whole(shop / f"{name}.toml", rod_text(name).encode()) for name in RODS]
    books = [book(read_rod(file), file.with_suffix(".pdf"), date=date) for file in rod_files]
    return DemoMade(
        rod_file=str(rod_files[0]),
        book=books[0].book,
        rod_files=tuple(str(file) for file in rod_files),
        books=tuple(one.book for one in books),
    )

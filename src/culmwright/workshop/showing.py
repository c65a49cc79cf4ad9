"""``demo``: the invented shop "Alder Bench", its rods and their books."""

from __future__ import annotations

import datetime
from dataclasses import dataclass
from datetime import timedelta
from os import PathLike
from pathlib import Path

from culmwright.design.rod_file import read_rod
from culmwright.measure.errors import BadInput
from culmwright.workshop.drying_play import show_drying
from culmwright.workshop.gauging import show_gauges
from culmwright.workshop.kept import kept_of
from culmwright.workshop.layouts_kept import show_layout
from culmwright.workshop.opening import Begun, Shop, begin, find, the_shop
from culmwright.workshop.playing import START, play
from culmwright.workshop.playing_on import play_on
from culmwright.workshop.printing import book
from culmwright.workshop.setting_kept import show_rigs
from culmwright.workshop.starting import rod_text
from culmwright.workshop.writing import write_whole

RODS = ("thrimble-beck", "ossel-burn", "pellamere-brook", "quernmoss-water")
"""The demo's rods, the main one first: six sides, four sides, five sides, six sides and hollow. All invented."""


@dataclass(frozen=True, slots=True)
class DemoMade:
    """Paths of the main rod file and its book, of all rods and books, and of the shop's file."""

    rod_file: str
    book: str
    rod_files: tuple[str, ...]
    books: tuple[str, ...]
    shop: str


def demo_folder(folder: str | PathLike[str]) -> Path:
    """The folder of the demo shop, made if it is not there. Raises :class:`BadInput` where it cannot be made."""
    shop = Path(folder)
    try:
        shop.mkdir(parents=True, exist_ok=True)
    except OSError as fault:
        raise BadInput(
            f"the folder cannot be made ({fault.strerror})",
            where=str(shop),
            remedy="Give another name, or check its rights",
        ) from None
    return shop


def demo(folder: str | PathLike[str] = "demo", date: datetime.date | None = None) -> DemoMade:
    """Make the demo shop in ``folder``: the main job on each of its rods to a printed book, and the main one made on a
    simulated bench from its culm to its certificate.

    Rod files and a shop that are there already are kept as they are; the books are printed anew.

    Raises :class:`BadInput` where the folder cannot be made or written.
    """
    shop = demo_folder(folder)
    rod_files = [shop / f"{name}.toml" for name in RODS]
    for name, one in zip(RODS, rod_files, strict=True):
        if not one.exists():
            write_whole(one, rod_text(name).encode())
    file = shop / "shop.sqlite"
    if not file.exists():
        with the_shop(file, start=True) as opened:
            _make(opened, begin(opened, str(rod_files[0]), START))
            for one in rod_files[1:]:
                begin(opened, str(one), START)
    with the_shop(file) as opened:
        begun = find(opened, "R1")
        books = [book(begun.rod, rod_files[0].with_suffix(".pdf"), date=date, kept=kept_of(opened, begun))]
    books += [book(read_rod(one), one.with_suffix(".pdf"), date=date) for one in rod_files[1:]]
    return DemoMade(
        rod_file=str(rod_files[0]),
        book=books[0].book,
        rod_files=tuple(str(file) for file in rod_files),
        books=tuple(one.book for one in books),
        shop=str(file),
    )


def _make(shop: Shop, begun: Begun) -> None:
    """The whole job on a simulated bench: culm and nodes, roughing, water and heat, rigs, finishing, glue-up, proof."""
    show_layout(shop, begun, START - timedelta(days=3))
    play(shop, begun)
    show_drying(shop, begun, START + timedelta(days=1, hours=13))
    show_rigs(shop, begun, START + timedelta(days=15))
    show_gauges(shop, START + timedelta(days=15, hours=6), begun.rod.display)
    play_on(shop, begun)

"""The rod a verb is about: a rod file, or a rod of the shop as drawn, as measured or as built."""

from __future__ import annotations

import argparse
import re
import sys
from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING, Any

from culmwright.cli.bench_verbs import in_shop, shop_option
from culmwright.cli.declare import Parser
from culmwright.cli.typed import display_of, rods_units_option
from culmwright.measure.display import Display
from culmwright.measure.errors import BadInput

if TYPE_CHECKING:
    from culmwright.workshop.rod_asked import Asked

DRAWN, MEASURED, BUILT = "drawn", "measured", "built"
_ONE = re.compile(r"(?:(?P<code>R[1-9][0-9.]*) +)?(?:as +)?(?P<way>drawn|measured|built)", re.IGNORECASE)


def rod_argument(parser: Parser, ways: tuple[str, ...] = ()) -> None:
    """The rod, the shop it may be in, the unit of the answer; and how it can be taken, where ``ways`` has several."""
    parser.add_argument("rod", metavar="ROD", help="a rod file, or a rod of the shop: R7, or R7.2 its revision 2")
    if ways:
        told = {MEASURED: "measured, its cane's modulus from your bend tests", BUILT: "built, from its finished strips"}
        parser.add_argument(
            "--as",
            dest="way",
            choices=ways,
            default=DRAWN,
            help=f"take a rod of the shop as drawn (default), {', or '.join(told[one] for one in ways if one in told)}",
        )
    shop_option(parser)
    rods_units_option(parser)


def rod_of(args: argparse.Namespace, tip: int = 1) -> tuple[Asked, Display]:
    """The rod asked for and the display to use; what is odd about the rod goes to standard error."""
    found = _taken(args.rod, getattr(args, "way", DRAWN), args.shop, tip)
    return found, display_of(args, found.rod.display)


def other_of(args: argparse.Namespace) -> Asked:
    """The rod to set ``--beside``: a file, a rod of the shop, a way to take the same rod, or both: R2 as built."""
    typed = args.beside.strip()
    match = None if Path(typed).exists() else _ONE.fullmatch(typed)
    if match is None:
        return _taken(typed, DRAWN, args.shop, 1)
    same = match["code"] is None
    return _taken(match["code"] or args.rod, match["way"].lower(), args.shop, args.tip if same else 1)


def rod_named(args: argparse.Namespace, typed: str) -> Asked:
    """The rod ``typed`` after an option, as drawn: a file, or a rod of the shop; what is odd goes to standard error."""
    return _taken(typed, DRAWN, args.shop, 1)


def with_notes(result: Any, asked: Asked) -> Any:
    """A result with what the rod asked for rests on before its own notes."""
    return replace(result, notes=(*asked.notes, *result.notes)) if asked.notes else result


def _taken(typed: str, word: str, shop_named: str | None, tip: int) -> Asked:
    """The rod of a file or of the shop; a file that is to be taken otherwise than drawn is looked up in the shop."""
    from culmwright.workshop.rod_asked import Asked, Way, rod_as

    way = next(one for one in Way if one.word == word)
    if way is Way.DRAWN and not in_shop(typed):
        from culmwright.workshop.starting import read_rod

        found = Asked(read_rod(typed))
    else:
        from culmwright.workshop.opening import find_drawn, the_shop

        with the_shop(shop_named, write=False) as shop:
            begun = find_drawn(shop, typed)
            found = rod_as(shop, begun, way, tip)
        for note in begun.notes:
            print(f"note: {typed}: {note}", file=sys.stderr)
    for warning in found.rod.warnings:
        print(f"warning: {typed}: {warning}", file=sys.stderr)
    return found


def must_differ(one: Asked, other: Asked) -> None:
    """Refuse a rod beside itself."""
    if one.way is other.way and one.rod.digest == other.rod.digest:
        raise BadInput(
            "both are the same rod", where="--beside", remedy="Give another rod, revision, or way to take it"
        )

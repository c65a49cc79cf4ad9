"""The verb ``match``: which strips, in which ring order."""

from __future__ import annotations

import argparse
from typing import TYPE_CHECKING

from culmwright.cli.bench_verbs import shop_option
from culmwright.cli.declare import Answer, Parser, Verb

if TYPE_CHECKING:
    from culmwright.measure.display import Display
    from culmwright.workshop.matching import Matched


def _arguments(parser: Parser) -> None:
    parser.add_argument("rod", metavar="ROD", help="a rod of the shop, such as R7")
    parser.add_argument("--section", required=True, metavar="T1", help="the section to glue")
    parser.add_argument(
        "--strip", action="append", type=int, metavar="N", help="take this strip only; may be repeated (default all)"
    )
    parser.add_argument("--keep", action="store_true", help="keep the order: the section is glued in it")
    shop_option(parser)


def _match(args: argparse.Namespace) -> Answer:
    from culmwright.workshop.matching import keep_order, match
    from culmwright.workshop.opening import find, the_shop

    with the_shop(args.shop, write=args.keep) as shop:
        begun = find(shop, args.rod)
        found = match(shop, begun, args.section, tuple(args.strip or ()))
        if args.keep:
            keep_order(shop, begun, found)
    return Answer(found, lambda: _words(found, begun.rod.display, kept=args.keep))


def _words(found: Matched, show: Display, *, kept: bool) -> str:
    ring = " ".join(str(number) for number in found.ring)
    proved = (
        "no ring of the strips read is evener" if found.proved else f"none can be better than {show.small(found.bound)}"
    )
    lines = [
        f"{found.code} {found.section}: glue strips {ring} in this order around the ring.",
        "",
        f"Directions differ by {show.small(found.spread)} at the worst station, and their mean is "
        f"{show.small(found.off)} off size at the worst; {proved}.",
        f"The section bends {found.spine:.1%} stiffer one way than across it at its most uneven station.",
    ]
    if found.as_cut is not None:
        lines.append(
            f"Strips {' '.join(map(str, found.as_cut.ring))} as they were cut would differ by "
            f"{show.small(found.as_cut.spread)}, be {show.small(found.as_cut.off)} off and bend "
            f"{found.as_cut.spine:.1%} stiffer one way."
        )
    if found.left:
        lines.append(f"Left over: {', '.join(f'S{number}' for number in found.left)}.")
    lines += [f"Note: {note}." for note in found.notes]
    lines.append("The order is kept." if kept else "Nothing is kept yet: add --keep.")
    return "\n".join(lines)


MATCH_VERB = Verb("match", "which strips make a section, in which ring order", _arguments, _match)

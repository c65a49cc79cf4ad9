"""The verb ``match``: which strips, in which ring order."""

from __future__ import annotations

import argparse

from culmwright.cli.bench_verbs import shop_option
from culmwright.cli.declare import Answer, Parser, Verb
from culmwright.cli.typed import length
from culmwright.measure.errors import BadInput


def _arguments(parser: Parser) -> None:
    parser.add_argument("rod", metavar="ROD", help="a rod of the shop, such as R7")
    parser.add_argument("--section", required=True, metavar="T1", help="the section to glue")
    parser.add_argument(
        "--strip", action="append", type=int, metavar="N", help="take this strip only; may be repeated (default all)"
    )
    parser.add_argument(
        "--nodes-apart",
        metavar="TEXT",
        help="least distance between nodes of touching strips, such as 2 in; 0 is wherever they lie "
        "(default: as far as the kept layout has them)",
    )
    parser.add_argument(
        "--cut-to",
        metavar="LINES",
        help='the line of the cut list that S1, S2 … were really cut to, such as "1 2 5 4 3 6 -"; - is none '
        "(default: S1 to line 1, and so on)",
    )
    parser.add_argument("--keep", action="store_true", help="keep the order: the section is glued in it")
    shop_option(parser)


def _match(args: argparse.Namespace) -> Answer:
    from culmwright.workshop.matching import keep_order, match, words_of
    from culmwright.workshop.opening import find_drawn, the_shop
    from culmwright.workshop.strips_laid import lines_of

    with the_shop(args.shop, write=args.keep) as shop:
        begun = find_drawn(shop, args.rod)
        said = args.nodes_apart
        apart = None if said is None else length("--nodes-apart", said, begun.rod.display.bare)
        if apart is not None and apart.nanometres < 0:
            raise BadInput(f"{apart} is no distance", where="--nodes-apart", remedy="Give one like 2 in, or 0")
        cut_to = lines_of(begun, args.cut_to or "")
        found = match(
            shop,
            begun,
            args.section.upper(),
            tuple(args.strip or ()),
            apart=None if apart is None else apart.m,
            cut_to=cut_to,
        )
        if args.keep:
            keep_order(shop, begun, found, cut_to=cut_to)
    end = "The order is kept." if args.keep else "Nothing is kept yet: add --keep."
    return Answer(
        found, lambda: "\n".join((*words_of(found, begun.rod.display), end)), exit_code=0 if found.keeps else 1
    )


MATCH_VERB = Verb("match", "which strips make a section, in which ring order", _arguments, _match)

"""The verb ``match``: which strips, in which ring order."""

from __future__ import annotations

import argparse

from culmwright.cli.bench_verbs import shop_option
from culmwright.cli.declare import Answer, Parser, Verb


def _arguments(parser: Parser) -> None:
    parser.add_argument("rod", metavar="ROD", help="a rod of the shop, such as R7")
    parser.add_argument("--section", required=True, metavar="T1", help="the section to glue")
    parser.add_argument(
        "--strip", action="append", type=int, metavar="N", help="take this strip only; may be repeated (default all)"
    )
    parser.add_argument("--keep", action="store_true", help="keep the order: the section is glued in it")
    shop_option(parser)


def _match(args: argparse.Namespace) -> Answer:
    from culmwright.workshop.matching import keep_order, match, words_of
    from culmwright.workshop.opening import find_drawn, the_shop

    with the_shop(args.shop, write=args.keep) as shop:
        begun = find_drawn(shop, args.rod)
        found = match(shop, begun, args.section.upper(), tuple(args.strip or ()))
        if args.keep:
            keep_order(shop, begun, found)
    end = "The order is kept." if args.keep else "Nothing is kept yet: add --keep."
    return Answer(found, lambda: "\n".join((*words_of(found, begun.rod.display), end)))


MATCH_VERB = Verb("match", "which strips make a section, in which ring order", _arguments, _match)

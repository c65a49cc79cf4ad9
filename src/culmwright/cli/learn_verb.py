"""The verb ``learn``: what the shop's finished rods say."""

from __future__ import annotations

import argparse

from culmwright.cli.bench_verbs import shop_option
from culmwright.cli.declare import Answer, Parser, Verb
from culmwright.measure.display import DISPLAYS, INCH_DISPLAY


def _arguments(parser: Parser) -> None:
    parser.add_argument("--units", choices=tuple(DISPLAYS), help="show lengths in this unit (default inch)")
    shop_option(parser)


def _learn(args: argparse.Namespace) -> Answer:
    from culmwright.workshop.learning import learn, words_of
    from culmwright.workshop.opening import the_shop

    show = DISPLAYS[args.units] if args.units else INCH_DISPLAY
    with the_shop(args.shop, write=False) as shop:
        found = learn(shop)
    return Answer(found, lambda: "\n".join(words_of(found, show)))


LEARN_VERB = Verb("learn", "what the finished rods of the shop say about its rigs", _arguments, _learn)

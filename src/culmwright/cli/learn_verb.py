"""The verb ``learn``: what the shop's finished rods say."""

from __future__ import annotations

import argparse

from culmwright.cli.bench_verbs import shop_option
from culmwright.cli.declare import Answer, Parser, Verb
from culmwright.cli.typed import display_of
from culmwright.measure.display import DISPLAYS


def _arguments(parser: Parser) -> None:
    parser.add_argument("--units", choices=tuple(DISPLAYS), help="unit of the answer (default: of most of its rods)")
    shop_option(parser)


def _learn(args: argparse.Namespace) -> Answer:
    from culmwright.workshop.learning import learn, usual_display, words_of
    from culmwright.workshop.opening import the_shop

    with the_shop(args.shop, write=False) as shop:
        found, show = learn(shop), display_of(args, usual_display(shop))
    return Answer(found, lambda: "\n".join(words_of(found, show)))


LEARN_VERB = Verb("learn", "what the finished rods of the shop say about its rigs", _arguments, _learn)

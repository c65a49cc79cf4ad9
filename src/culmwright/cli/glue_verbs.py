"""The verbs ``glue`` and ``finish``: records of the glue-up and of what comes after."""

from __future__ import annotations

import argparse
import sys

from culmwright.cli.bench_verbs import shop_option
from culmwright.cli.declare import Answer, Parser, Verb
from culmwright.cli.typed import past_moment, quantity
from culmwright.measure.errors import BadInput
from culmwright.measure.quantities import Kind

WORKS = ("straight", "ferrule", "guide", "coat")


def _glue_arguments(parser: Parser) -> None:
    parser.add_argument("rod", metavar="ROD", help="a rod of the shop, such as R7")
    parser.add_argument("--section", required=True, metavar="T1", help="the section that is glued")
    parser.add_argument("--glue", required=True, metavar="NAME", help="the glue, as its label has it")
    parser.add_argument("--batch", default="", metavar="TEXT", help="its batch")
    parser.add_argument("--pot-life", metavar="TIME", help='its pot life by the data sheet, such as "60 min"')
    parser.add_argument("--stated-at", metavar="TEMP", help='the temperature that holds at, such as "73 F"')
    parser.add_argument("--bench", metavar="TEMP", help="the temperature at the bench")
    parser.add_argument("--mixed", metavar="TIME", help="when it was mixed, such as 2026-11-25T08:00")
    parser.add_argument("--bound", metavar="TIME", help="when the last cord was on (default now)")
    parser.add_argument("--again", default="", metavar="WHY", help="it is glued already: replace that record, and why")
    parser.add_argument("--cure", metavar="TIME", help='how long it stays bound, such as "24 h"')
    shop_option(parser)


def _glue(args: argparse.Namespace) -> Answer:
    from culmwright.workshop.gluing import Glue, glue, words_of
    from culmwright.workshop.opening import find_drawn, the_shop

    used = Glue(
        args.glue,
        args.batch,
        quantity("--pot-life", args.pot_life, Kind.TIME),
        quantity("--stated-at", args.stated_at, Kind.TEMPERATURE),
        quantity("--cure", args.cure, Kind.TIME),
    )
    bench = quantity("--bench", args.bench, Kind.TEMPERATURE)
    mixed, bound = past_moment("--mixed", args.mixed), past_moment("--bound", args.bound)
    with the_shop(args.shop) as shop:
        begun = find_drawn(shop, args.rod)
        section = args.section.upper()
        made = glue(shop, begun, section, used, bench=bench, mixed=mixed, bound=bound, again=args.again)
    for warning in made.warnings:
        print(f"warning: {warning}", file=sys.stderr)
    return Answer(made, lambda: "\n".join(words_of(made, begun.rod.display)))


def _finish_arguments(parser: Parser) -> None:
    parser.add_argument("rod", metavar="ROD", help="a rod of the shop, such as R7")
    parser.add_argument("--section", metavar="T1", help="of this section (default: of the whole rod)")
    parser.add_argument("--straight", metavar="WORDS", help="how straight it came out, what was done about it")
    parser.add_argument("--ferrule", metavar="WORDS", help="a ferrule fitted: size, station, how it was bedded")
    parser.add_argument("--guide", metavar="WORDS", help="a guide placed: size and station")
    parser.add_argument("--coat", metavar="WORDS", help="a coat: what, how thinned, how put on")
    shop_option(parser)


def _finish(args: argparse.Namespace) -> Answer:
    from culmwright.workshop.gluing import Work, finish, tidied
    from culmwright.workshop.opening import find_drawn, the_shop

    works = dict(zip(WORKS, Work, strict=True))
    given = [(works[name], getattr(args, name)) for name in WORKS if getattr(args, name) is not None]
    if not given:
        raise BadInput("nothing was said to be done", remedy="Add --straight, --ferrule, --guide or --coat with words")
    for work, words in given:
        tidied(work, words)  # all of them, before the first is kept
    with the_shop(args.shop) as shop:
        begun = find_drawn(shop, args.rod)
        section = None if args.section is None else args.section.upper()
        kept = tuple(finish(shop, begun, work, words, section) for work, words in given)
    said = "\n".join(f"{one.kind}: in the record of {begun.code}." for one in kept)
    return Answer({"kept": [one.seq for one in kept]}, lambda: said)


GLUE_VERBS = (
    Verb("glue", "record a glue-up: with what, how warm, how long it took", _glue_arguments, _glue),
    Verb("finish", "record straightening, ferrules, guides and coats", _finish_arguments, _finish),
)

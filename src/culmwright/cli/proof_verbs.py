"""The verbs ``proof`` and ``modulus``: the rod as built beside its drawing, and the cane as measured."""

from __future__ import annotations

import argparse
import sys
from dataclasses import replace
from typing import TYPE_CHECKING

from culmwright.cli.bench_verbs import shop_option
from culmwright.cli.declare import Answer, Parser, Verb, say_if_first
from culmwright.measure.errors import BadInput

if TYPE_CHECKING:
    from culmwright.workshop.flexing import Bar

MOST_DRAWS = 1_000_000


def _rod_of_shop(parser: Parser) -> None:
    parser.add_argument("rod", metavar="ROD", help="a rod of the shop, such as R7, or the file it was frozen from")


def _proof_arguments(parser: Parser) -> None:
    _rod_of_shop(parser)
    parser.add_argument("--tip", type=int, default=1, metavar="N", help="the tip it is assembled with (default 1)")
    parser.add_argument(
        "--flats",
        action="append",
        default=[],
        metavar="SPOT=VALUES",
        help='flats of the bare glued section, one a direction, such as "T1@25in = 0.1253 0.1255 0.1250"; kept first',
    )
    parser.add_argument("--draws", type=int, default=10_000, metavar="N", help="rods drawn for the spreads (10000)")
    shop_option(parser)


def _proof(args: argparse.Namespace) -> Answer:
    from culmwright.cli import proof_render
    from culmwright.measure.spot import Spot
    from culmwright.workshop.behaving import first_behaviour
    from culmwright.workshop.flats import check_flats, flats_words, keep_flats
    from culmwright.workshop.opening import find_drawn, the_shop
    from culmwright.workshop.proving import proof

    if not 100 <= args.draws <= MOST_DRAWS:
        raise BadInput(
            f"{args.draws} rods are not drawn", where="--draws", remedy=f"Give 100 to {MOST_DRAWS}, usually 10000"
        )
    say_if_first(first_behaviour)
    with the_shop(args.shop, write=bool(args.flats)) as shop:
        begun = find_drawn(shop, args.rod)
        given = [_pair("--flats", text, "T1@25in = 0.1253 0.1255 0.1250") for text in args.flats]
        flats = [(Spot.parse(spot, begun.rod.display.bare), values.split()) for spot, values in given]
        for spot, values in flats:
            check_flats(begun, spot, values)  # all of them, before the first is kept
        for spot, values in flats:
            keep_flats(shop, begun, spot, values)
            print(f"note: {flats_words(begun, spot, values)}", file=sys.stderr)
        bar = _Bar()
        found = proof(shop, begun, args.tip, draws=args.draws, progress=bar)
        bar.done()
    for note in begun.notes:
        print(f"note: {args.rod}: {note}", file=sys.stderr)
    return Answer(found, lambda: proof_render.proof(found, begun.rod.display))


class _Bar:
    """How many of the rods are drawn, on standard error where someone is looking."""

    def __init__(self) -> None:
        self._shown = sys.stderr.isatty()

    def __call__(self, share: float) -> None:
        if self._shown:
            print(f"\rdrawing rods: {share:4.0%} [{'#' * round(30 * share):<30}]", end="", file=sys.stderr, flush=True)

    def done(self) -> None:
        """Clear the line."""
        if self._shown:
            print("\r" + " " * 60 + "\r", end="", file=sys.stderr, flush=True)


def _pair(option: str, text: str, like: str) -> tuple[str, str]:
    left, mark, right = text.partition("=")
    if not mark or not left.strip() or not right.strip():
        raise BadInput(f'"{text[:80]}" has no two sides', where=option, remedy=f'Write it like "{like}"')
    return left.strip(), right.strip()


def _modulus_arguments(parser: Parser) -> None:
    _rod_of_shop(parser)
    parser.add_argument(
        "--drop",
        action="append",
        default=[],
        metavar="WEIGHT=DROP",
        help='a weight hung and how far it came down from rest, such as "1 oz = 3 1/4 in"; keeps a test',
    )
    parser.add_argument("--to", metavar="TEXT", help='how finely drops were read, such as "1/16 in"')
    parser.add_argument("--tip", type=int, default=1, metavar="N", help="the tip tested (default 1)")
    parser.add_argument("--swings", type=int, metavar="N", help="swings counted of the rod in a vice; keeps a test")
    parser.add_argument("--seconds", type=float, metavar="X", help="how long they took")
    parser.add_argument("--bar", metavar="SPAN", help='the drops are of a bar of this span, such as "20 in"')
    parser.add_argument("--width", metavar="TEXT", help="width of the bar")
    parser.add_argument("--depth", metavar="TEXT", help="its depth, the way it bends")
    parser.add_argument("--strip", metavar="HEIGHT", help="the bar is a strip of this height, lying on its enamel")
    parser.add_argument("--of", metavar="STRIP", help="the strip of the rod it is, such as T1/S3")
    parser.add_argument("--apex", default="60 deg", metavar="ANGLE", help="its apex angle (default 60 deg)")
    parser.add_argument("--one-end", action="store_true", help="it is held at one end (default: lies on both)")
    parser.add_argument("--culm", metavar="LABEL", help="the culm the bar is of, if not the rod's own")
    parser.add_argument("--take-back", type=int, metavar="N", help="take the bend test of this number back")
    parser.add_argument("--why", default="a wrong test", metavar="WHY", help="why it is taken back")
    shop_option(parser)


def _modulus(args: argparse.Namespace) -> Answer:
    from culmwright.cli import proof_render
    from culmwright.workshop.behaving import first_behaviour
    from culmwright.workshop.flexing import check_test, keep_test, modulus, take_back, told_drops, told_rate
    from culmwright.workshop.opening import find_drawn, the_shop
    from culmwright.workshop.proving import rods_read
    from culmwright.workshop.strip_tests import strip_named

    if (args.swings is None) != (args.seconds is None):
        raise BadInput("a count has swings and seconds", where="--swings", remedy="Give --swings 30 --seconds 18.4")
    if args.drop and args.to is None:
        raise BadInput("how finely the drops were read is not said", where="--to", remedy='Give it, such as "1/16 in"')
    if args.of is not None and (args.bar is None or args.strip is None):
        raise BadInput(
            "the strip that was bent is not told of", where="--of", remedy='Add --bar "10 in" and --strip, its height'
        )
    bar = _bar(args)
    say_if_first(first_behaviour)
    drops = [_pair("--drop", one, "1 oz = 3 1/4 in") for one in args.drop]
    with the_shop(args.shop, write=bool(drops) or args.swings is not None or args.take_back is not None) as shop:
        begun = find_drawn(shop, args.rod)
        if bar is not None and args.of is not None:
            bar = replace(bar, strip=strip_named(begun, args.of))
        told = [told_drops(drops, args.to, args.tip, bar)] if drops else []
        if args.swings is not None:
            told.append(told_rate(args.swings, args.seconds, args.tip))
        for one in told:
            check_test(shop, begun, one)  # all of them, before the first is kept
        if args.take_back is not None:
            take_back(shop, begun, args.take_back, args.why)
            print(f"note: {args.rod}: bend test {args.take_back} is taken back", file=sys.stderr)
        for one in told:
            keep_test(shop, begun, one)
        found = modulus(shop, begun, *rods_read(shop, begun))
    return Answer(found, lambda: proof_render.modulus(found, begun.rod.display))


def _bar(args: argparse.Namespace) -> Bar | None:
    """The bar that was bent, None where it was the rod."""
    from culmwright.workshop.flexing import Bar, Held

    if args.bar is None:
        return None
    if args.strip is not None:
        section = {"height": args.strip, "apex": args.apex}
    elif args.width is not None and args.depth is not None:
        section = {"width": args.width, "depth": args.depth}
    else:
        raise BadInput("the bar has no section", where="--bar", remedy="Give --width and --depth, or --strip")
    return Bar(args.bar, section, Held.ONE_END if args.one_end else Held.BOTH_ENDS, args.culm)


PROOF_VERBS = (
    Verb("proof", "the rod as built beside its drawing, every figure with its spread", _proof_arguments, _proof),
    Verb("modulus", "the modulus of the cane, from bends under known weights", _modulus_arguments, _modulus),
)

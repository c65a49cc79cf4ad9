"""The verbs of the mechanics: ``bend``, ``bounce`` and ``guides``."""

from __future__ import annotations

import argparse
import sys
from collections.abc import Callable
from math import radians
from typing import TYPE_CHECKING

from culmwright.cli.declare import Answer, Parser, Verb, say_if_first
from culmwright.measure.display import DISPLAYS, Display
from culmwright.measure.errors import BadInput
from culmwright.measure.quantities import Kind, parse_quantity

if TYPE_CHECKING:
    from culmwright.workshop.bending import Rod

LEVEL, HANGING = 0.0, -90.0  # [deg]


def _common(parser: Parser) -> None:
    parser.add_argument("rod", metavar="ROD", help="the rod file")
    parser.add_argument("--tip", type=int, default=1, metavar="N", help="the tip it is assembled with (default 1)")
    parser.add_argument("--units", choices=tuple(DISPLAYS), help="show lengths in this unit (default: the rod file's)")


def _read(args: argparse.Namespace, first_time: Callable[[], bool]) -> tuple[Rod, Display]:
    """The rod and the display to use; what is odd, and that the first run takes a while, goes to standard error."""
    from culmwright.workshop.starting import read_rod

    rod = read_rod(args.rod)
    for warning in rod.warnings:
        print(f"warning: {args.rod}: {warning}", file=sys.stderr)
    say_if_first(first_time)
    return rod, DISPLAYS[args.units] if args.units else rod.display


def _quantity(option: str, text: str, kind: Kind) -> float:
    try:
        return parse_quantity(text, kind)
    except BadInput as fault:
        raise fault.at(option) from None


def _angle(option: str, given: float) -> float:
    if not -180 <= given <= 180:
        raise BadInput(f"{given:g} deg is no angle of a rod", where=option, remedy="Give degrees from -180 to 180")
    return radians(given)


def _bend_arguments(parser: Parser) -> None:
    parser.add_argument("--load", required=True, metavar="TEXT", help='what pulls, such as "1 oz" or "0.5 N"')
    parser.add_argument(
        "--attitude", type=float, default=LEVEL, metavar="DEG", help="the grip above the horizontal (default 0)"
    )
    parser.add_argument(
        "--direction",
        type=float,
        default=HANGING,
        metavar="DEG",
        help="of the pull, above the horizontal (default -90)",
    )
    parser.add_argument("--no-weight", action="store_true", help="leave the rod's own weight out")
    parser.add_argument("--through-guides", action="store_true", help="the load is the tension of a line in the guides")
    parser.add_argument("--beside", metavar="OTHER", help="another rod file, or a revision, to set beside it")
    _common(parser)


def _bend(args: argparse.Namespace) -> Answer:
    from culmwright.cli import bend_render
    from culmwright.workshop.bending import bend, first_bend

    load = _quantity("--load", args.load, Kind.LOAD)
    if load < 0:
        raise BadInput(f'"{args.load}" is below zero', where="--load", remedy="Say where it pulls with --direction")
    attitude, direction = _angle("--attitude", args.attitude), _angle("--direction", args.direction)
    rod, show = _read(args, first_bend)
    if args.beside is not None:
        return _beside(args, rod, show, load)
    found = bend(
        rod,
        load,
        attitude,
        weight=not args.no_weight,
        through_guides=args.through_guides,
        direction=direction,
        tip=args.tip,
    )
    for warning in found.warnings[len(rod.warnings) :]:
        print(f"warning: {args.rod}: {warning}", file=sys.stderr)
    return Answer(found, lambda: bend_render.bend(found, show), exit_code=0 if found.converged else 1)


def _beside(args: argparse.Namespace, rod: Rod, show: Display, load: float) -> Answer:
    """The rod beside another under the hanging load; what else was asked does not go with it."""
    from culmwright.cli import bend_render
    from culmwright.workshop.comparing import beside, same_rod
    from culmwright.workshop.starting import read_rod

    if args.through_guides or args.no_weight or args.attitude != LEVEL or args.direction != HANGING:
        raise BadInput(
            "two rods are set side by side level, under a hanging load",
            where="--beside",
            remedy="Leave --attitude, --direction, --no-weight and --through-guides out",
        )
    other = read_rod(args.beside)
    if args.tip == 1:
        same_rod(rod, other)
    for warning in other.warnings:
        print(f"warning: {args.beside}: {warning}", file=sys.stderr)
    found = beside(rod, other, load, show, tip=args.tip, other_tip=1)
    done = all(one.converged for one in found.bends)
    return Answer(found, lambda: bend_render.beside(found, show), exit_code=0 if done else 1)


def _bounce_arguments(parser: Parser) -> None:
    parser.add_argument("--tip-mass", default="0 g", metavar="TEXT", help='a mass more at the tip, such as "5 g"')
    parser.add_argument("--line", action="store_true", help="with the line that lies between the guides")
    _common(parser)


def _bounce(args: argparse.Namespace) -> Answer:
    from culmwright.cli import bend_render
    from culmwright.workshop.bouncing import bounce, first_bounce

    mass = _quantity("--tip-mass", args.tip_mass, Kind.MASS)
    if mass < 0:
        raise BadInput(f'"{args.tip_mass}" is below zero', where="--tip-mass", remedy="Give one from zero up")
    rod, show = _read(args, first_bounce)
    found = bounce(rod, mass, line_in_guides=args.line, tip=args.tip)
    return Answer(found, lambda: bend_render.bounce(found, show))


def _guides_arguments(parser: Parser) -> None:
    parser.add_argument("--load", default="2 oz", metavar="TEXT", help='pull of the line, such as "1 N" (default 2 oz)')
    parser.add_argument(
        "--attitude", type=float, default=LEVEL, metavar="DEG", help="the grip above the horizontal (default 0)"
    )
    parser.add_argument(
        "--direction", type=float, default=HANGING, metavar="DEG", help="where the line leaves the tip (default -90)"
    )
    _common(parser)


def _guides(args: argparse.Namespace) -> Answer:
    from culmwright.cli import bend_render
    from culmwright.workshop.bending import first_bend
    from culmwright.workshop.guiding import guide_plan

    load = _quantity("--load", args.load, Kind.LOAD)
    attitude, direction = _angle("--attitude", args.attitude), _angle("--direction", args.direction)
    rod, show = _read(args, first_bend)
    found = guide_plan(rod, load, attitude, direction, tip=args.tip, metric=show.bare == "mm")
    return Answer(found, lambda: bend_render.guides(found, show), exit_code=1 if found.reason else 0)


BEND_VERBS = (
    Verb("bend", "how the rod bends under a load", _bend_arguments, _bend),
    Verb("bounce", "how fast the rod swings", _bounce_arguments, _bounce),
    Verb("guides", "where the guides go: common practice, and where the line turns evenly", _guides_arguments, _guides),
)

"""The verbs of the mechanics: ``bend``, ``bounce`` and ``guides``."""

from __future__ import annotations

import argparse
import sys
from collections.abc import Callable
from dataclasses import replace
from typing import TYPE_CHECKING

from culmwright.cli.declare import Answer, Parser, Verb, say_if_first
from culmwright.cli.rod_asked import BUILT, DRAWN, MEASURED, must_differ, other_of, rod_argument, rod_of, with_notes
from culmwright.cli.typed import angle, quantity
from culmwright.measure.display import Display
from culmwright.measure.errors import BadInput
from culmwright.measure.quantities import Kind

if TYPE_CHECKING:
    from culmwright.workshop.rod_asked import Asked

LEVEL, HANGING = "0", "-90"  # deg


def _common(parser: Parser) -> None:
    rod_argument(parser, (DRAWN, MEASURED, BUILT))
    parser.add_argument("--tip", type=int, default=1, metavar="N", help="the tip it is assembled with (default 1)")


def _read(args: argparse.Namespace, first_time: Callable[[], bool]) -> tuple[Asked, Display]:
    """The rod and the display to use; that the first run takes a while goes to standard error."""
    if args.way != DRAWN:
        say_if_first(first_time)
    found = rod_of(args, args.tip)
    if args.way == DRAWN:
        say_if_first(first_time)
    return found


def _bend_arguments(parser: Parser) -> None:
    parser.add_argument("--load", required=True, metavar="TEXT", help='what pulls, such as "1 oz" or "50 g"')
    parser.add_argument("--attitude", default=LEVEL, metavar="DEG", help="the grip above the horizontal (default 0)")
    parser.add_argument(
        "--direction",
        default=HANGING,
        metavar="DEG",
        help="of the pull, above the horizontal (default -90)",
    )
    parser.add_argument("--no-weight", action="store_true", help="leave the rod's own weight out")
    parser.add_argument("--through-guides", action="store_true", help="the load is the tension of a line in the guides")
    parser.add_argument(
        "--beside", metavar="OTHER", help='another to set beside it: a file, R2, built, or "R2 as built"'
    )
    _common(parser)


def _bend(args: argparse.Namespace) -> Answer:
    from culmwright.cli import bend_render
    from culmwright.workshop.bending import bend, first_bend

    load = quantity("--load", args.load, Kind.LOAD)
    if load < 0:
        raise BadInput(f'"{args.load}" is below zero', where="--load", remedy="Say where it pulls with --direction")
    attitude, direction = angle("--attitude", args.attitude), angle("--direction", args.direction)
    asked, show = _read(args, first_bend)
    rod = asked.rod
    if args.beside is not None:
        level = angle("--attitude", LEVEL) == attitude and angle("--direction", HANGING) == direction
        return _beside(args, asked, show, load, level=level)
    found = bend(
        rod,
        load,
        attitude,
        weight=not args.no_weight,
        through_guides=args.through_guides,
        direction=direction,
        tip=args.tip,
    )
    found = with_notes(found, asked)
    for warning in found.warnings[len(rod.warnings) :]:
        print(f"warning: {args.rod}: {warning}", file=sys.stderr)
    return Answer(found, lambda: bend_render.bend(found, show), exit_code=0 if found.converged else 1)


def _beside(args: argparse.Namespace, asked: Asked, show: Display, load: float, *, level: bool) -> Answer:
    """The rod beside another under the hanging load; what else was asked does not go with it."""
    from culmwright.cli import bend_render
    from culmwright.workshop.comparing import beside, called

    if args.through_guides or args.no_weight or not level:
        raise BadInput(
            "two rods are set side by side level, under a hanging load",
            where="--beside",
            remedy="Leave --attitude, --direction, --no-weight and --through-guides out",
        )
    other = other_of(args)
    same = asked.rod.digest == other.rod.digest
    other_tip = args.tip if same and asked.way is not other.way else 1
    if other_tip == args.tip:
        must_differ(asked, other)
    found = beside(asked.rod, other.rod, load, show, tip=args.tip, other_tip=other_tip, names=called(asked, other))
    bends = tuple(with_notes(bent, each) for bent, each in zip(found.bends, (asked, other), strict=True))
    found = replace(found, bends=bends)
    done = all(one.converged for one in found.bends)
    return Answer(found, lambda: bend_render.beside(found, show), exit_code=0 if done else 1)


def _bounce_arguments(parser: Parser) -> None:
    parser.add_argument("--tip-mass", default="0 g", metavar="TEXT", help='a mass more at the tip, such as "5 g"')
    parser.add_argument("--line", action="store_true", help="with the line that lies between the guides")
    _common(parser)


def _bounce(args: argparse.Namespace) -> Answer:
    from culmwright.cli import bend_render
    from culmwright.workshop.bouncing import bounce, first_bounce
    from culmwright.workshop.bouncing_planes import planes_built
    from culmwright.workshop.opening import the_shop

    mass = quantity("--tip-mass", args.tip_mass, Kind.MASS)
    if mass < 0:
        raise BadInput(f'"{args.tip_mass}" is below zero', where="--tip-mass", remedy="Give one from zero up")
    asked, show = _read(args, first_bounce)
    found = with_notes(bounce(asked.rod, mass, line_in_guides=args.line, tip=args.tip), asked)
    if asked.begun is not None and args.way == BUILT:
        if mass or args.line:
            more = "its two planes are told of the rod by itself only: leave --tip-mass and --line out"
            found = replace(found, notes=(*found.notes, more))
        else:
            with the_shop(args.shop, write=False) as shop:
                found = replace(found, planes=planes_built(shop, asked.begun, args.tip))
    return Answer(found, lambda: bend_render.bounce(found, show))


def _guides_arguments(parser: Parser) -> None:
    parser.add_argument("--load", metavar="TEXT", help='pull of the line, such as "1 oz" (default 2 oz, or 50 g)')
    parser.add_argument("--attitude", default=LEVEL, metavar="DEG", help="the grip above the horizontal (default 0)")
    parser.add_argument(
        "--direction", default=HANGING, metavar="DEG", help="where the line leaves the tip (default -90)"
    )
    _common(parser)


def _guides(args: argparse.Namespace) -> Answer:
    from culmwright.cli import bend_render
    from culmwright.workshop.bending import first_bend
    from culmwright.workshop.guiding import LINE, guide_plan

    typed = quantity("--load", args.load, Kind.LOAD)
    if typed is not None and typed <= 0:
        raise BadInput(
            f"a line at {args.load.strip()} does not bend a rod", where="--load", remedy="Give a load above zero"
        )
    attitude, direction = angle("--attitude", args.attitude), angle("--direction", args.direction)
    asked, show = _read(args, first_bend)
    load = LINE[show.bare] * show.load.si if typed is None else typed
    plan = guide_plan(asked.rod, load, attitude, direction, tip=args.tip, metric=show.bare == "mm")
    found = with_notes(plan, asked)
    return Answer(found, lambda: bend_render.guides(found, show), exit_code=1 if found.reason else 0)


BEND_VERBS = (
    Verb("bend", "how the rod bends under a load", _bend_arguments, _bend),
    Verb("bounce", "how fast the rod swings", _bounce_arguments, _bounce),
    Verb("guides", "where the guides go: common practice, and where the line turns evenly", _guides_arguments, _guides),
)

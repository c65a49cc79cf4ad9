"""The verb of rigs, ``settings``; and those of rigs and gauges together."""

from __future__ import annotations

import argparse
import sys

from culmwright.cli.bench_verbs import shop_option
from culmwright.cli.declare import Answer, Parser, Verb
from culmwright.cli.gauge_verbs import GAUGE_VERB
from culmwright.cli.typed import display_of, length, rods_units_option
from culmwright.measure.errors import BadInput


def _settings_arguments(parser: Parser) -> None:
    parser.add_argument("rod", metavar="ROD", help="the rod file, or a rod of the shop, such as R7")
    parser.add_argument("--rig", required=True, metavar="RIG", help="the rig file, or the name of a rig of the shop")
    parser.add_argument("--section", required=True, metavar="NAME", help="the section, such as T1 or B")
    parser.add_argument("--groove", metavar="NAME", help="this groove (default: the first that fits, and its mirror)")
    parser.add_argument(
        "--at", metavar="TEXT", help="where along the rig the section's tip end lies (default: where it fits best)"
    )
    parser.add_argument("--rough", action="store_true", help="for the roughed heights")
    parser.add_argument("--done", action="store_true", help="note in the shop that the screws now stand so")
    parser.add_argument("--adjuster", type=int, metavar="N", help="show the working behind one adjuster's turn")
    parser.add_argument("--over", metavar="TEXT", help="strips read over by so much (under: -TEXT): say what to turn")
    rods_units_option(parser)
    shop_option(parser)


def _settings(args: argparse.Namespace) -> Answer:
    from culmwright.cli import rig_render
    from culmwright.workshop.setting import correction, turns_of
    from culmwright.workshop.setting_kept import set_for

    rod, found = set_for(
        args.rod, args.rig, args.section, args.groove, args.at, rough=args.rough, shop_file=args.shop, done=args.done
    )
    show = display_of(args, rod.display)
    for warning in (*rod.warnings, *found.warnings):
        print(f"warning: {warning}", file=sys.stderr)
    code = 0 if found.met else 1
    if args.over is not None:
        put_right = correction(found, length("--over", args.over, show.bare).m)
        return Answer(put_right, lambda: rig_render.correction(put_right, found, show), exit_code=code)
    if args.adjuster is not None:
        if not 1 <= args.adjuster <= len(found.adjusters):
            raise BadInput(
                f"{found.rig} has no adjuster {args.adjuster}",
                where="--adjuster",
                remedy=f"Name 1 to {len(found.adjusters)}, from the tip end",
            )
        one = turns_of(found, args.adjuster)
        return Answer(one, lambda: rig_render.turn(one, found, show), exit_code=code)
    noted = "\nNoted in the shop: the screws stand so now." if args.done else ""
    return Answer(found, lambda: rig_render.settings(found, show) + noted, exit_code=code)


SETTINGS_VERB = Verb("settings", "how a rig's screws stand for a section", _settings_arguments, _settings)
RIG_VERBS = (SETTINGS_VERB, GAUGE_VERB)

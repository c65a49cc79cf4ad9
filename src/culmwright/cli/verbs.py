"""The verbs as the command line knows them: one declaration each, with its arguments and what it prints.

Heavy parts are imported when a verb runs, so that ``--help`` and ``passes`` answer at once.
"""

from __future__ import annotations

import argparse
import sys
from typing import TYPE_CHECKING

from culmwright.cli.bench_verbs import BENCH_VERBS, DATA_VERBS, in_shop, shop_option
from culmwright.cli.bend_verbs import BEND_VERBS
from culmwright.cli.culm_verbs import CULM_VERBS
from culmwright.cli.declare import Answer, Parser, Verb, say_if_first
from culmwright.cli.glue_verbs import GLUE_VERBS
from culmwright.cli.learn_verb import LEARN_VERB
from culmwright.cli.match_verb import MATCH_VERB
from culmwright.cli.proof_verbs import PROOF_VERBS
from culmwright.cli.rig_verbs import RIG_VERBS
from culmwright.cli.rod_asked import BUILT, DRAWN, rod_argument, rod_of, with_notes
from culmwright.cli.serve_verb import SERVE_VERB
from culmwright.cli.survey_verb import SURVEY_VERB
from culmwright.cli.typed import display_of, length_above_zero, rods_units_option, typed_in, units_option
from culmwright.cli.water_verbs import FIT_VERB, WATER_VERBS
from culmwright.measure.display import Display

if TYPE_CHECKING:
    from culmwright.workshop.checking import Rod


def _read(args: argparse.Namespace) -> tuple[Rod, Display]:
    """The rod of ``args`` and the display to use; what is odd about the rod goes to standard error."""
    from culmwright.workshop.starting import read_rod

    rod = read_rod(args.rod)
    for warning in rod.warnings:
        print(f"warning: {args.rod}: {warning}", file=sys.stderr)
    return rod, display_of(args, rod.display)


def _check_arguments(parser: Parser) -> None:
    rod_argument(parser, (DRAWN, BUILT))
    parser.add_argument(
        "--load-factor", type=float, default=4.0, metavar="X", help="multiplies every moment (default 4)"
    )
    parser.add_argument(
        "--rounded", action="store_true", help="the trade's rounded constants, for comparing with hand sheets"
    )
    parser.add_argument("--tip", type=int, default=1, metavar="N", help="the tip it is assembled with (default 1)")


def _check(args: argparse.Namespace) -> Answer:
    from culmwright.cli import render
    from culmwright.workshop.checking import EXACT, ROUNDED, check

    asked, show = rod_of(args, args.tip)
    found = with_notes(check(asked.rod, args.load_factor, ROUNDED if args.rounded else EXACT, args.tip), asked)
    return Answer(found, lambda: render.stress(found, show))


def _strips_arguments(parser: Parser) -> None:
    rod_argument(parser)


def _strips(args: argparse.Namespace) -> Answer:
    from culmwright.cli import render
    from culmwright.workshop.scheduling import strips

    asked, show = rod_of(args)
    found = strips(asked.rod)
    return Answer(found, lambda: render.strips(found, asked.rod, show))


def _passes_arguments(parser: Parser) -> None:
    parser.add_argument("--now", required=True, metavar="TEXT", help="strip height now")
    parser.add_argument("--target", required=True, metavar="TEXT", help="strip height wanted")
    parser.add_argument("--sides", type=int, default=6, metavar="N", help="sides of the rod: 4, 5 or 6 (default)")
    parser.add_argument("--cutter", choices=("flat", "two-edged"), default="flat", help="kind of edge (default flat)")
    parser.add_argument("--wet", action="store_true", help="a soaked strip: passes of 10 thou, then 8, 6 and 4")
    parser.add_argument("--strips", type=int, default=1, metavar="N", help="how many strips (default 1)")
    parser.add_argument("--length", metavar="TEXT", help="length of a strip, for the distance walked")
    units_option(parser)


def _passes(args: argparse.Namespace) -> Answer:
    from culmwright.cli import render
    from culmwright.workshop.passing import Cutter, passes

    show = display_of(args, typed=typed_in(args, "now", "target", "length"))
    length = None if args.length is None else length_above_zero("--length", args.length, show.bare).m
    now, target = (length_above_zero(f"--{name}", getattr(args, name), show.bare).m for name in ("now", "target"))
    plan = passes(now, target, args.sides, Cutter(args.cutter), args.wet, args.strips, length, show.bare == "mm")
    return Answer(plan, lambda: render.passes(plan, show), exit_code=1 if plan.under_size else 0)


def _explain_arguments(parser: Parser) -> None:
    rod_argument(parser)
    parser.add_argument(
        "spot",
        metavar="SPOT",
        help="address of the number, such as T1@25in:rough, T1:dry_in, T1/C2:off_tip, T1/A3, modulus, heat/2, study/G1",
    )


def _explain(args: argparse.Namespace) -> Answer:
    from culmwright.cli import render
    from culmwright.measure.spot import Spot
    from culmwright.workshop.explaining import explain, within

    asked, show = rod_of(args)
    spot = Spot.parse(args.spot, asked.rod.display.bare)
    if asked.begun is None or spot.station is not None:
        found = explain(asked.rod, within(spot, asked.begun.revision.code) if asked.begun else spot)
    else:
        from culmwright.workshop.explaining_kept import explain_kept
        from culmwright.workshop.opening import the_shop

        with the_shop(args.shop, write=False) as shop:
            found = explain_kept(shop, asked.begun, spot)
    return Answer(found, lambda: render.explanation(found, show))


def _new_arguments(parser: Parser) -> None:
    parser.add_argument("file", metavar="FILE", help="where to write it, for example my-rod.toml")
    parser.add_argument(
        "--of", choices=("rod", "form", "bed", "culm"), default="rod", help="what to start (default rod)"
    )


def _new(args: argparse.Namespace) -> Answer:
    from culmwright.workshop.starting import Starter, new

    starter = next(one for one in Starter if one.word == args.of)
    made = new(args.file, starter)
    named = f'"{made}"' if " " in str(made) else str(made)
    then = {
        "rod_file": f"book {named} -o my-rod.pdf",
        "rig_file": f"settings my-rod.toml --rig {named} --section B",
        "culm_file": f"layout {named} --rod my-rod.toml",
    }[starter.key]
    words = f"A starter {starter.word} is in {made}. Change its numbers, then: culmwright {then}"
    return Answer({starter.key: str(made)}, lambda: words)


def _book_arguments(parser: Parser) -> None:
    parser.add_argument("rod", metavar="ROD", help="the rod file; or a rod of the shop, such as R7, with its readings")
    parser.add_argument("-o", "--output", required=True, metavar="FILE.pdf", help="where to write the book")
    parser.add_argument("--paper", choices=("a4", "letter"), default="a4", help="paper size (default a4)")
    parser.add_argument("--date", metavar="YYYY-MM-DD", help="date printed on it (default today)")
    shop_option(parser)
    rods_units_option(parser)


def _book(args: argparse.Namespace) -> Answer:
    from culmwright.workshop.behaving import first_behaviour
    from culmwright.workshop.printing import PAPERS, book, book_file, day

    book_file(args.output)
    printed = day(args.date)
    if in_shop(args.rod):
        from culmwright.workshop.kept import kept_of
        from culmwright.workshop.opening import find_drawn, the_shop

        with the_shop(args.shop, write=False) as shop:
            begun = find_drawn(shop, args.rod)
            show = display_of(args, begun.rod.display)
            say_if_first(first_behaviour)
            kept = kept_of(shop, begun, show)
            made = book(begun.rod, args.output, PAPERS[args.paper], show, printed, kept)
    else:
        rod, show = _read(args)
        say_if_first(first_behaviour)
        made = book(rod, args.output, PAPERS[args.paper], show, printed)
    return Answer(made, lambda: f"The book is in {made.book}, {made.pages} pages. Print it at 100%.")


def _demo_arguments(parser: Parser) -> None:
    parser.add_argument("dir", metavar="DIR", nargs="?", default="demo", help="folder to make it in (default demo)")


def _demo(args: argparse.Namespace) -> Answer:
    from culmwright.workshop.behaving import first_behaviour
    from culmwright.workshop.showing import demo, demo_folder

    demo_folder(args.dir)
    say_if_first(first_behaviour)
    made = demo(args.dir)
    words = f"The demo shop is in {args.dir}. Its main rod file is {made.rod_file}\nThe shop book is in {made.book}"
    return Answer(made, lambda: words)


VERBS = (
    Verb("demo", "make the invented demo shop and print its books", _demo_arguments, _demo),
    Verb("new", "write a commented starter rod file", _new_arguments, _new),
    Verb("check", "stress along the rod, and its masses", _check_arguments, _check),
    *BEND_VERBS,
    Verb("strips", "strip heights of every section and station", _strips_arguments, _strips),
    *CULM_VERBS,
    *RIG_VERBS,
    FIT_VERB,
    *WATER_VERBS,
    Verb("passes", "the passes from one strip height to another", _passes_arguments, _passes),
    Verb("explain", "the working behind one number", _explain_arguments, _explain),
    Verb("book", "print the shop book", _book_arguments, _book),
    *BENCH_VERBS,
    MATCH_VERB,
    *GLUE_VERBS,
    *PROOF_VERBS,
    SURVEY_VERB,
    LEARN_VERB,
    *DATA_VERBS,
    SERVE_VERB,
)

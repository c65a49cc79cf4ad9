"""The verb ``survey``: an existing rod measured into a taper."""

from __future__ import annotations

import argparse
import sys
from pathlib import Path
from typing import TYPE_CHECKING

from culmwright.cli.bench_verbs import shop_option
from culmwright.cli.declare import Answer, Parser, Verb
from culmwright.cli.render import table
from culmwright.cli.rod_asked import rod_named
from culmwright.cli.typed import display_of, units_option
from culmwright.measure.display import Display
from culmwright.measure.errors import BadInput

if TYPE_CHECKING:
    from culmwright.workshop.surveying import Survey


def _arguments(parser: Parser) -> None:
    parser.add_argument("readings", metavar="FILE", help="a station and its readings on every line; - reads them typed")
    units_option(parser, "the rod's of --beside")
    parser.add_argument("--sides", type=int, choices=(4, 5, 6), help="sides of the rod (default: of --beside, else 6)")
    parser.add_argument(
        "--beside", metavar="ROD", help="a rod to compare it with: a file, or one of the shop such as R7"
    )
    parser.add_argument(
        "--trust",
        action="append",
        default=[],
        metavar="STATION",
        help="a station that was pointed out, read again and found right: the curve keeps it",
    )
    parser.add_argument("-o", "--output", metavar="FILE.toml", help="write the taper as a rod file, to be completed")
    parser.add_argument("--name", default="Surveyed rod", metavar="NAME", help="the rod's name in that file")
    shop_option(parser)


def _survey(args: argparse.Namespace) -> Answer:
    from culmwright.workshop.surveying import rod_file, survey
    from culmwright.workshop.writing import write_whole

    drawn = rod_named(args, args.beside).rod if args.beside else None
    try:
        text = sys.stdin.read() if args.readings == "-" else Path(args.readings).read_text("utf-8")
    except OSError as fault:
        raise BadInput(f"it cannot be read ({fault.strerror})", where=args.readings, remedy="Name another") from None
    except UnicodeDecodeError:
        raise BadInput("this is not text in UTF-8", where=args.readings, remedy='Save it as "CSV UTF-8"') from None
    show = display_of(args, None if drawn is None else drawn.display, [text])
    try:
        found = survey(text, show, drawn, tuple(args.trust))
    except BadInput as fault:
        raise fault.at(args.readings) from None
    sides = args.sides or (6 if drawn is None else drawn.sides)
    if args.output:
        write_whole(Path(args.output), rod_file(found, args.name, sides, show).encode(), replace=False)
    return Answer(found, lambda: _words(found, show, sides, args.output))


def _words(found: Survey, show: Display, sides: int, output: str | None) -> str:
    heads = [
        f"station, {show.station.unit}",
        *([""] if found.odd else []),
        f"read, {show.across.unit}",
        f"smooth, {show.across.unit}",
        f"doubt, {show.small.unit}",
        f"uneven, {show.small.unit}",
    ]
    rows = [
        [
            show.station.number(one.station),
            *(["*" if found.asks(one) else ""] if found.odd else []),
            show.across.number(one.read),
            show.across.number(one.across),
            show.small.number(one.doubt),
            show.small.number(one.uneven),
        ]
        for one in found.stations
    ]
    if found.beside:
        heads += [f"drawn, {show.across.unit}", f"over, {show.small.unit}"]
        for row, one in zip(rows, found.beside, strict=False):
            row += [show.across.number(one.drawn), show.small.number(one.over) + ("" if one.told else " (in doubt)")]
        for row in rows[len(found.beside) :]:
            row += ["–", "–"]
    lines = [table(heads, rows), "", "Doubt is one standard uncertainty, the caliper's own included."]
    if found.beside:
        told = sum(one.told for one in found.beside)
        lines.append(
            f"It differs from the drawing by more than twice its doubt at {told} of {len(found.beside)} stations."
        )
    lines += [f"* {note[0].upper()}{note[1:]}." for note in found.odd]
    lines += [f"{note[0].upper()}{note[1:]}." for note in (*found.least, *found.notes)]
    if output:
        lines.append(f"The smooth taper is in {output}, as that of a rod of {sides} sides: complete it, then check it.")
    return "\n".join(lines)


SURVEY_VERB = Verb("survey", "an existing rod, measured into a taper with its doubt", _arguments, _survey)

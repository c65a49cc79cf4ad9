"""The verb ``gauge``: the zero of a block, a study, a trial on a reference, the doubt of a reading."""

from __future__ import annotations

import argparse
import sys
from typing import TYPE_CHECKING

from culmwright.cli.bench_verbs import shop_option
from culmwright.cli.declare import Answer, Parser, Verb
from culmwright.cli.typed import length, quantity
from culmwright.measure.display import DISPLAYS, INCH_DISPLAY, Display
from culmwright.measure.errors import BadInput
from culmwright.measure.quantities import Kind

if TYPE_CHECKING:
    from culmwright.workshop.gauging import GaugeStudy, Instrument, ZeroFound

WHAT = ("zero", "study", "try", "doubt")
KINDS = ("caliper", "micrometer")


def _arguments(parser: Parser) -> None:
    parser.add_argument(
        "what",
        choices=WHAT,
        help="zero: of a V block, from pins or a master strip; study: how readings scatter; try: note a trial on a "
        "reference; doubt: how far a reading may be off",
    )
    parser.add_argument("--kind", choices=KINDS, default=KINDS[0], help="kind of gauge (default caliper)")
    parser.add_argument("--sides", type=int, choices=(4, 5, 6), default=6, help="sides of the rod (default 6)")
    parser.add_argument("--angle", metavar="TEXT", help='angle of the V block (default "61 deg" for six sides)')
    parser.add_argument(
        "--pin", action="append", default=[], metavar="DIAMETER=READING", help="a pin in the block; once for each pin"
    )
    parser.add_argument("--master", metavar="HEIGHT=READING", help="a master strip in the block")
    parser.add_argument("--keep", action="store_true", help="note the zero that was found in the shop")
    parser.add_argument("--file", metavar="FILE.csv", help="readings of a study: columns hand,strip,trial,reading")
    parser.add_argument("--gauge", metavar="NAME", help="the shop's gauge that was tried or studied: notes it there")
    parser.add_argument("--reference", metavar="TEXT", help="what it was tried on")
    parser.add_argument("--shown", metavar="TEXT", help="what it showed")
    parser.add_argument("--step", metavar="TEXT", help="the smallest step the gauge shows")
    parser.add_argument("--times", type=int, default=1, metavar="N", help="readings taken the mean of (default 1)")
    parser.add_argument("--units", choices=tuple(DISPLAYS), help="show lengths in this unit (default inch)")
    shop_option(parser)


def _gauge(args: argparse.Namespace) -> Answer:
    from culmwright.workshop.gauging import Instrument

    show = DISPLAYS[args.units] if args.units else INCH_DISPLAY
    kind = Instrument.CALIPER if args.kind == KINDS[0] else Instrument.MICROMETER
    return {"zero": _zero, "study": _study, "try": _try, "doubt": _doubt}[args.what](args, kind, show)


def _zero(args: argparse.Namespace, kind: Instrument, show: Display) -> Answer:
    from culmwright.cli import gauge_render

    found = _zero_found(args, kind, show)
    if args.keep:
        from culmwright.workshop.gauging import keep_zero
        from culmwright.workshop.opening import the_shop

        with the_shop(args.shop) as shop:
            keep_zero(shop, _block(args), found)
    for warning in found.warnings:
        print(f"warning: {warning}", file=sys.stderr)
    return Answer(found, lambda: gauge_render.zero(found, show))


def _zero_found(args: argparse.Namespace, kind: Instrument, show: Display) -> ZeroFound:
    """The zero of the block from the pins and the master strip of ``args``."""
    from culmwright.workshop.gauging import OverPin, zero

    pins = []
    for text in args.pin:
        diameter, reading = _pair("--pin", text, show)
        pins.append(OverPin(diameter / 2, reading))
    master = None if args.master is None else _pair("--master", args.master, show)
    return zero(args.sides, _block(args), pins, master, kind, show)


def _study(args: argparse.Namespace, kind: Instrument, show: Display) -> Answer:
    from culmwright.cli import gauge_render

    found = _studied(args, show)
    if args.gauge:
        from culmwright.workshop.gauging import keep_study
        from culmwright.workshop.opening import the_shop

        with the_shop(args.shop) as shop:
            keep_study(shop, args.gauge, found)
    return Answer(found, lambda: gauge_render.study(found, show))


def _studied(args: argparse.Namespace, show: Display) -> GaugeStudy:
    from culmwright.workshop.gauging import read_study

    return read_study(_needed(args.file, "--file", "the readings as a CSV file"), show.bare)


def _try(args: argparse.Namespace, kind: Instrument, show: Display) -> Answer:
    from culmwright.cli import gauge_render
    from culmwright.workshop.gauging import try_gauge
    from culmwright.workshop.opening import the_shop

    name = _needed(args.gauge, "--gauge", "the name of the shop's gauge")
    reference = length("--reference", _needed(args.reference, "--reference", "what it was tried on"), show.bare)
    shown = length("--shown", _needed(args.shown, "--shown", "its reading"), show.bare)
    with the_shop(args.shop) as shop:
        tried = try_gauge(shop, name, kind, reference, shown)
    return Answer(tried, lambda: gauge_render.tried(name, tried, show), exit_code=0 if tried.good else 1)


def _doubt(args: argparse.Namespace, kind: Instrument, show: Display) -> Answer:
    from culmwright.cli import gauge_render
    from culmwright.workshop.gauging import doubt

    step = length("--step", _needed(args.step, "--step", "the smallest step it shows"), show.bare).m
    zeroed = _zero_found(args, kind, show).part() if args.pin or args.master else None
    found = doubt(kind, step, zeroed, _studied(args, show) if args.file else None, args.times)
    return Answer(found, lambda: gauge_render.doubt(found, show, args.file is not None, zeroed is not None))


def _needed(given: str | None, option: str, what: str) -> str:
    if given is None:
        raise BadInput("this option is missing", where=option, remedy=f"Give {what}")
    return given


def _block(args: argparse.Namespace) -> float:
    """The angle of the block of ``args``, one degree open unless it is given."""
    from culmwright.workshop.gauging import block_angle

    return _angle(args.angle) if args.angle else block_angle(args.sides)


def _angle(text: str) -> float:
    angle = quantity("--angle", text, Kind.ANGLE)
    if not 0.5 <= angle <= 2.1:
        raise BadInput(f"{text} is no V block for strips", where="--angle", remedy="Usually 61, 73 or 91 deg")
    return angle


def _pair(option: str, text: str, show: Display) -> tuple[float, float]:
    size, sign, reading = text.partition("=")
    if not sign:
        raise BadInput(f'"{text}" has no reading', where=option, remedy="Write it like 0.250=0.6278")
    return length(option, size.strip(), show.bare).m, length(option, reading.strip(), show.bare).m


GAUGE_VERB = Verb("gauge", "zeros, trials and scatter of gauges, and the doubt of a reading", _arguments, _gauge)

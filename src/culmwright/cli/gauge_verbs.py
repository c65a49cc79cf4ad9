"""The verb ``gauge``: the zero of a block, a study, a trial on a reference, the doubt of a reading."""

from __future__ import annotations

import argparse
import sys
from math import degrees
from typing import TYPE_CHECKING

from culmwright.cli.bench_verbs import shop_option
from culmwright.cli.declare import Answer, Parser, Verb
from culmwright.cli.typed import display_of, length, quantity, typed_in, units_option
from culmwright.measure.display import INCH_DISPLAY, METRIC_DISPLAY, Display
from culmwright.measure.errors import BadInput
from culmwright.measure.quantities import Kind
from culmwright.measure.reach import Size, must_reach
from culmwright.measure.record import to_json

if TYPE_CHECKING:
    from culmwright.workshop.gauging import GaugeStudy, Instrument, ZeroFound

WHAT = ("enter", "zero", "study", "try", "doubt")
KINDS = ("caliper", "micrometer")
INCHES = ("in", "thou", "ft")


def _arguments(parser: Parser) -> None:
    parser.add_argument(
        "what",
        choices=WHAT,
        help="enter: a gauge of the shop, showing --units; zero: of a V block, from pins or a master strip; study: how "
        "readings scatter; try: note a trial on a reference; doubt: how far a reading may be off",
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
    parser.add_argument("--take-back", type=int, metavar="N", help="with try: take the trial of this number back")
    parser.add_argument("--why", default="a wrong trial", metavar="WHY", help="why it is taken back")
    units_option(parser, "the shop's gauge's")
    shop_option(parser)


def _gauge(args: argparse.Namespace) -> Answer:
    from culmwright.workshop.gauging import Instrument

    table = _table(args)
    texts = [*typed_in(args, "pin", "master", "reference", "shown", "step"), table]
    show = display_of(args, _gauges_display(args), texts)
    kind = Instrument.CALIPER if args.kind == KINDS[0] else Instrument.MICROMETER
    if args.take_back is not None and args.what != "try":
        raise BadInput("only a trial is taken back", where="--take-back", remedy="Write gauge try --take-back N")
    match args.what:
        case "enter":
            return _enter(args)
        case "zero":
            return _zero(args, kind, show)
        case "study":
            return _study(args, table, show)
        case "try":
            return _take_back(args) if args.take_back is not None else _try(args, kind, show)
        case _:
            return _doubt(args, table, kind, show)


def _enter(args: argparse.Namespace) -> Answer:
    from culmwright.workshop.opening import the_shop
    from culmwright.workshop.reading import the_gauge

    name = _needed(args.gauge, "--gauge", "what it is marked with")
    unit = {"inch": "in", "metric": "mm"}[_needed(args.units, "--units", "what it shows: inch or metric")]
    with the_shop(args.shop, start=True) as shop:
        entered = the_gauge(shop, name, unit)
    words = f"Gauge {name} is in the shop; it shows {'inches' if unit == 'in' else 'millimetres'}."
    return Answer({"gauge": entered.id, "name": name, "unit": unit}, lambda: words)


def _table(args: argparse.Namespace) -> str | None:
    """The text of the study's file, None where none is named or asked for."""
    from culmwright.workshop.gauging import study_text

    return study_text(args.file) if args.file and args.what in ("study", "doubt") else None


def _gauges_display(args: argparse.Namespace) -> Display | None:
    """The display of the unit the shop's gauge shows, None where no gauge is named."""
    from culmwright.workshop.gauging import unit_of
    from culmwright.workshop.opening import the_shop

    if not args.gauge or args.what not in ("study", "try"):
        return None
    with the_shop(args.shop, write=False) as shop:
        return INCH_DISPLAY if unit_of(shop, args.gauge) in INCHES else METRIC_DISPLAY


def _zero(args: argparse.Namespace, kind: Instrument, show: Display) -> Answer:
    from culmwright.cli import gauge_render

    found = _zero_found(args, kind, show)
    if args.keep:
        from culmwright.workshop.gauging import keep_zero
        from culmwright.workshop.opening import the_shop

        with the_shop(args.shop, start=True) as shop:
            keep_zero(shop, _block(args), found)
        print(f"note: the zero of a block of {degrees(_block(args)):.4g} deg is kept in the shop", file=sys.stderr)
    for warning in found.warnings:
        print(f"warning: {warning}", file=sys.stderr)
    return Answer(found, lambda: gauge_render.zero(found, show))


def _zero_found(args: argparse.Namespace, kind: Instrument, show: Display) -> ZeroFound:
    """The zero of the block from the pins and the master strip of ``args``."""
    from culmwright.workshop.gauging import OverPin, zero

    pins = []
    for text in args.pin:
        diameter, reading = _pair("--pin", text, show, Size.PIN)
        pins.append(OverPin(diameter / 2, reading))
    master = None if args.master is None else _pair("--master", args.master, show, Size.STRIP)
    return zero(_block(args), pins, master, kind, show)


def _study(args: argparse.Namespace, table: str | None, show: Display) -> Answer:
    from culmwright.cli import gauge_render

    found = _studied(args, table, show)
    if args.gauge:
        from culmwright.workshop.gauging import keep_study
        from culmwright.workshop.opening import the_shop

        with the_shop(args.shop) as shop:
            keep_study(shop, args.gauge, found)
    return Answer(found, lambda: gauge_render.study(found, show))


def _studied(args: argparse.Namespace, table: str | None, show: Display) -> GaugeStudy:
    from culmwright.workshop.gauging import read_study

    text = _needed(table, "--file", "the readings as a CSV file")
    return read_study(text, show.bare, args.file)


def _try(args: argparse.Namespace, kind: Instrument, show: Display) -> Answer:
    from culmwright.cli import gauge_render
    from culmwright.workshop.gauging import newest_trial, try_gauge, unit_of
    from culmwright.workshop.opening import the_shop

    name = _needed(args.gauge, "--gauge", "the name of the shop's gauge")
    on = _needed(args.reference, "--reference", "what it was tried on")
    reads = _needed(args.shown, "--shown", "its reading")
    with the_shop(args.shop) as shop:
        bare = show.bare if args.units else unit_of(shop, name)
        reference, shown = length("--reference", on, bare), length("--shown", reads, bare)
        tried = try_gauge(shop, name, kind, reference, shown)
        number = newest_trial(shop, name)
    result = {"trial": number, **to_json(tried)}
    return Answer(result, lambda: gauge_render.tried(number, name, tried, show), exit_code=1 if tried.off else 0)


def _take_back(args: argparse.Namespace) -> Answer:
    from culmwright.workshop.gauging import take_back
    from culmwright.workshop.opening import the_shop

    with the_shop(args.shop) as shop:
        gone = take_back(shop, args.take_back, args.why)
    words = f"Trial {gone.id} is taken back: {gone.shown.given} on a reference of {gone.reference.given}."
    return Answer({"taken_back": gone.id}, lambda: words)


def _doubt(args: argparse.Namespace, table: str | None, kind: Instrument, show: Display) -> Answer:
    from culmwright.cli import gauge_render
    from culmwright.workshop.gauging import doubt

    step = length("--step", _needed(args.step, "--step", "the smallest step it shows"), show.bare).m
    zeroed = _zero_found(args, kind, show).part() if args.pin or args.master else None
    found = doubt(kind, step, zeroed, _studied(args, table, show) if args.file else None, args.times)
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


def _pair(option: str, text: str, show: Display, kind: Size) -> tuple[float, float]:
    """A size of that ``kind`` and the reading over it [m]; nothing at all is refused where it is used."""
    typed, sign, read = text.partition("=")
    if not sign:
        like = "6.35=15.95" if show.bare == "mm" else "0.250=0.6278"
        raise BadInput(f'"{text}" has no reading', where=option, remedy=f"Write it like {like}")
    found, reading = length(option, typed.strip(), show.bare).m, length(option, read.strip(), show.bare).m
    if found:
        must_reach(kind, found, show.bare, option)
    return found, must_reach(Size.READING, reading, show.bare, option)


GAUGE_VERB = Verb("gauge", "zeros, trials and scatter of gauges, and the doubt of a reading", _arguments, _gauge)

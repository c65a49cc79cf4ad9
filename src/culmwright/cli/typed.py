"""What is typed after an option, read into what it stands for; a fault names the option."""

from __future__ import annotations

import argparse
from collections.abc import Iterable
from datetime import UTC, datetime
from math import degrees, pi
from typing import overload

from culmwright.cli.declare import Parser
from culmwright.measure.display import DISPLAYS, INCH_DISPLAY, Display
from culmwright.measure.errors import BadInput
from culmwright.measure.lengths import Length
from culmwright.measure.quantities import Kind, parse_quantity
from culmwright.measure.reach import Size, must_reach
from culmwright.measure.typed_unit import display_typed

AS_TYPED = "metric if a metric unit is typed, else inch"


def units_option(parser: Parser, own: str = "") -> None:
    """The option for the unit of the answer, and of bare numbers; ``own`` names the file that has a unit of its own."""
    usual = f"{own}, else {AS_TYPED}" if own else AS_TYPED
    parser.add_argument("--units", choices=tuple(DISPLAYS), help=f"unit of the answer and of bare numbers: {usual}")


def rods_units_option(parser: Parser) -> None:
    """The option for the unit of the answer of a verb that is always about a rod."""
    parser.add_argument("--units", choices=tuple(DISPLAYS), help="unit of the answer (default: the rod's own)")


def display_of(args: argparse.Namespace, own: Display | None = None, typed: Iterable[str | None] = ()) -> Display:
    """The display of the answer: ``--units`` if given, else a file's ``own``, else that of the units ``typed``.

    With bare numbers only, inches.
    """
    return DISPLAYS[args.units] if args.units else own or display_typed(typed) or INCH_DISPLAY


def typed_in(args: argparse.Namespace, *options: str) -> list[str | None]:
    """The texts typed after ``options``, in their order, None for each left out."""
    found: list[str | None] = []
    for option in options:
        given = getattr(args, option)
        found += given if isinstance(given, list) else [given]
    return found


@overload
def quantity(option: str, text: str, kind: Kind) -> float: ...
@overload
def quantity(option: str, text: str | None, kind: Kind) -> float | None: ...
def quantity(option: str, text: str | None, kind: Kind) -> float | None:
    """A quantity of ``kind`` in SI; None where the option was left out."""
    if text is None:
        return None
    try:
        return parse_quantity(text, kind)
    except BadInput as fault:
        raise fault.at(option) from None


def angle(option: str, text: str) -> float:
    """An angle of a rod [rad] from -180 to 180 deg; a bare number counts in degrees."""
    bare = not any(mark.isalpha() or mark == "°" for mark in text)
    found = quantity(option, f"{text} deg" if bare and text.strip() else text, Kind.ANGLE)
    if abs(found) > pi:
        raise BadInput(
            f"{degrees(found):g} deg is no angle of a rod", where=option, remedy="Give degrees from -180 to 180"
        )
    return found


def length(option: str, text: str, bare: str) -> Length:
    """A length; a bare number counts in the unit ``bare``."""
    try:
        return Length.parse(text, bare)
    except BadInput as fault:
        raise fault.at(option) from None


def length_above_zero(option: str, text: str, bare: str) -> Length:
    """A length that there is something of."""
    found = length(option, text, bare)
    if found.nanometres <= 0:
        raise BadInput(f"{found} is not a length above zero", where=option, remedy="Give it as measured")
    return found


def size(option: str, text: str, show: Display, kind: Size) -> float:
    """A length above zero [m], refused where nothing of that ``kind`` has it."""
    return must_reach(kind, length_above_zero(option, text, show.bare).m, show.bare, option)


def moment(option: str, text: str) -> datetime:
    """A time, in the zone of this computer."""
    try:
        return datetime.fromisoformat(text).astimezone()
    except (ValueError, OverflowError, OSError):
        raise BadInput(f'"{text}" is not a time', where=option, remedy="Write it like 2026-11-25T08:00") from None


def past_moment(option: str, text: str | None) -> datetime | None:
    """A time that has been; None where the option was left out."""
    at = None if text is None else moment(option, text)
    if at is not None and at > datetime.now(UTC):
        raise BadInput(f"{text} is still to come", where=option, remedy="Give when it was")
    return at

"""What is typed after an option, read into what it stands for; a fault names the option."""

from __future__ import annotations

from datetime import UTC, datetime
from typing import overload

from culmwright.measure.errors import BadInput
from culmwright.measure.lengths import Length
from culmwright.measure.quantities import Kind, parse_quantity


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

"""Between records and the columns that hold them."""

from __future__ import annotations

from datetime import UTC, datetime
from fractions import Fraction
from typing import Any

from sqlalchemy import RowMapping

from culmwright.measure.errors import BadInput
from culmwright.measure.lengths import Length

Row = RowMapping
LARGEST = 2**63 - 1
"""The largest whole number SQLite holds."""


def length_columns(name: str, length: Length | None) -> dict[str, Any]:
    """The four columns of an exact ``length``: ratio [nm], text as given, unit."""
    if length is None:
        return dict.fromkeys((f"{name}_num", f"{name}_den", f"{name}_text", f"{name}_unit"))
    ratio = length.nanometres
    if abs(ratio.numerator) > LARGEST or ratio.denominator > LARGEST:
        raise BadInput(
            f"{length.text[:64]} is too long or too finely divided to be kept exactly",
            where=name,
            remedy="Give a length that a gauge can show",
        )
    if not length.text or not length.unit:
        raise BadInput("a length is kept with the text and the unit it was given in", where=name, remedy="Give both")
    return {
        f"{name}_num": ratio.numerator,
        f"{name}_den": ratio.denominator,
        f"{name}_text": length.text,
        f"{name}_unit": length.unit,
    }


def length_of(row: Row, name: str) -> Length | None:
    """The exact length that a row holds under ``name``, or None."""
    if row[f"{name}_num"] is None:
        return None
    return Length(Fraction(row[f"{name}_num"], row[f"{name}_den"]), row[f"{name}_text"], row[f"{name}_unit"])


def must_length(row: Row, name: str) -> Length:
    """The exact length that every row holds under ``name``."""
    return Length(Fraction(row[f"{name}_num"], row[f"{name}_den"]), row[f"{name}_text"], row[f"{name}_unit"])


def clock_text(at: datetime) -> str:
    """A time as it is kept: UTC, to the microsecond."""
    if at.tzinfo is None:
        raise BadInput("a time without its zone cannot be kept", remedy="Give it with its offset from UTC")
    return at.astimezone(UTC).replace(tzinfo=None).isoformat(timespec="microseconds") + "Z"


def clock_of(text: str) -> datetime:
    """The time that a row holds."""
    return datetime.fromisoformat(text)


def clock_or_none(text: str | None) -> datetime | None:
    """The time that a row holds, or None."""
    return None if text is None else clock_of(text)

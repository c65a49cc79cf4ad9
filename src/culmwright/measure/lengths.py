"""Lengths as they are typed, dialled and printed, kept exactly.

A typed length is held as a whole number of nanometres, or as a ratio where the text is finer than that
(1/128 in is 198437.5 nm), together with the text and unit as given. Everything that computes uses
:attr:`Length.m`, a float in metres. The inch is 25.4 mm exactly (international yard and pound, 1959).
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass, field
from decimal import Decimal
from fractions import Fraction
from typing import Self

from culmwright.measure.errors import BadInput
from culmwright.measure.numerals import LONGEST, NUMERAL, is_fraction, plain, quoted, value

NANOMETRES = {
    "in": 25_400_000,
    "thou": 25_400,
    "ft": 304_800_000,
    "mm": 1_000_000,
    "cm": 10_000_000,
    "m": 1_000_000_000,
    "µm": 1_000,
}
"""Nanometres in one of each unit, exact."""

_SPELT = {
    **{unit: unit for unit in NANOMETRES},
    **dict.fromkeys(("inch", "inches", "ins", '"', "''"), "in"),
    **dict.fromkeys(("thousandth", "thousandths"), "thou"),
    **dict.fromkeys(("foot", "feet", "'"), "ft"),
    **dict.fromkeys(("millimetre", "millimetres", "millimeter", "millimeters"), "mm"),
    **dict.fromkeys(("centimetre", "centimetres", "centimeter", "centimeters"), "cm"),
    **dict.fromkeys(("metre", "metres", "meter", "meters"), "m"),
    **dict.fromkeys(("um", "micron", "microns", "micrometre", "micrometres", "micrometer"), "µm"),
}
KNOWN = "in, thou, ft, mm, cm, m, µm"
LIKE = "7 ft 6 in, 3 1/16 in, 62.5 thou or 9.19 mm"

_SINGLE = re.compile(rf"(?P<sign>[-+]?) ?(?P<number>{NUMERAL}) *(?P<unit>[a-zµ]+\.?|\"|''?)?")
_FEET = re.compile(
    rf"(?P<sign>[-+]?) ?(?P<feet>[0-9]+) *(?:ft\.?|foot|feet|') *(?:-|, )? *(?!,)"
    rf"(?P<number>{NUMERAL}) *(?:in\.?|ins|inch|inches|\"|'')?"
)

GRAMMAR = {"single": _SINGLE.pattern, "feet": _FEET.pattern}
"""The patterns, for a reader on a page that has to know the same lengths."""
SPELT: Mapping[str, str] = _SPELT
"""Every spelling of a unit, and the unit."""


@dataclass(frozen=True, slots=True)
class Length:
    """An exact length: ``nanometres`` [nm], with the ``text`` and ``unit`` it was given in.

    Two lengths are equal when their nanometres are, however they were written.
    """

    nanometres: Fraction
    text: str = field(default="", compare=False)
    unit: str = field(default="", compare=False)

    @property
    def m(self) -> float:
        """The length as a float [m]."""
        return self.nanometres.numerator / (self.nanometres.denominator * 1_000_000_000)

    @classmethod
    def of(cls, number: int | Decimal | Fraction, unit: str) -> Self:
        """The length of ``number`` of a ``unit`` of :data:`NANOMETRES`, exactly."""
        digits = f"{number:f}" if isinstance(number, Decimal) else f"{number}"  # 1E+2 is not how a maker types 100
        return cls(Fraction(number) * NANOMETRES[unit], f"{digits} {unit}", unit)

    @classmethod
    def parse(cls, text: str, bare: str | None = None) -> Self:
        """Read a typed length; ``bare`` is the unit of a number that carries none.

        Reads ``7 ft 6 in``, ``7' 6"``, ``3-1/16 in``, ``⅜``, ``62.5 thou``, ``9,19 mm``. A comma is a
        decimal mark, always. Raises :class:`BadInput` for anything else, for a number without a unit
        where none is agreed, and for a bare fraction where bare numbers are millimetres.

        >>> Length.parse("3-1/16 in").m, Length.parse("9,19 mm").m
        (0.0777875, 0.00919)
        """
        tidy = plain(text).lower() if len(text) <= LONGEST else ""
        try:
            if feet := _FEET.fullmatch(tidy):
                inches = value(feet["number"])
                if inches >= 12:
                    raise ValueError("the inches behind the feet should be under 12")
                unit, amount, sign = "in", 12 * int(feet["feet"]) + inches, feet["sign"]
            elif single := _SINGLE.fullmatch(tidy):
                unit, amount, sign = _unit_of(single, bare), value(single["number"]), single["sign"]
            else:
                raise ValueError("it is no number")
            length = cls((-amount if sign == "-" else amount) * NANOMETRES[unit], text.strip(), unit)
            if len(str(length)) > LONGEST:
                raise ValueError("it is finer than any gauge")
        except ValueError as fault:
            raise BadInput(
                f"{quoted(text)} cannot be read as a length: {fault}",
                remedy=f"Write it like {'9.19 mm, 76 cm or 2.29 m' if bare == 'mm' else LIKE}",
            ) from None
        return length

    @property
    def given(self) -> str:
        """The text it was given in, with the unit it was read in where the text has none."""
        unitless = not any(mark.isalpha() or mark in "'\"\u2032\u2033" for mark in self.text)
        return f"{self.text} {self.unit}" if self.text and unitless else self.text or str(self)

    def __str__(self) -> str:
        """Text that reads back to exactly this length, in its own unit where that is possible."""
        return exact_text(self.nanometres, self.unit or "mm")


def _unit_of(match: re.Match[str], bare: str | None) -> str:
    """The unit of a single numeral, or the agreed one; ``ValueError`` with the reason if there is none."""
    spelt = match["unit"]
    if spelt:
        unit = _SPELT.get(spelt.rstrip("."))
        if unit is None:
            raise ValueError(f"{spelt} is not a unit of length known here ({KNOWN})")
        return unit
    if bare is None:
        raise ValueError("it has no unit")
    if bare == "mm" and is_fraction(match["number"]):
        raise ValueError("a fraction needs its unit where bare numbers are millimetres")
    return bare


def exact_text(nanometres: Fraction, unit: str) -> str:
    """The exact text of a length [nm] in ``unit``: a decimal if it ends, else a ratio such as ``5/127 in``.

    >>> exact_text(Fraction(396_875), "in"), exact_text(Fraction(1_000_000), "in")
    ('0.015625 in', '5/127 in')
    """
    number = nanometres / NANOMETRES[unit]
    places, bottom = 0, number.denominator
    while bottom % 10 == 0:
        bottom //= 10
        places += 1
    for prime in (2, 5):
        power = 0
        while bottom % prime == 0:
            bottom //= prime
            power += 1
        places += power
    if bottom != 1:
        return f"{number.numerator}/{number.denominator} {unit}"
    scaled = abs(number.numerator) * 10**places // number.denominator
    digits = str(scaled).rjust(places + 1, "0")
    text = f"{digits[:-places]}.{digits[-places:]}".rstrip("0").rstrip(".") if places else digits
    return f"{'-' if number < 0 else ''}{text} {unit}"

"""Reading the numerals a maker writes: decimals with point or comma, fractions, mixed numbers.

One grammar serves lengths and other quantities, so that ``6,5`` is never 65 and ``3-7/8`` is always
three and seven eighths. Values are exact (:class:`fractions.Fraction`).
"""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Mapping
from fractions import Fraction

LONGEST = 64  # characters; longer text is not a measurement

_VULGAR = {
    character: Fraction(int(parts[0]), int(parts[1]))
    for character in (chr(point) for point in (0xBC, 0xBD, 0xBE, *range(0x2150, 0x215F), 0x2189))
    if len(parts := unicodedata.normalize("NFKC", character).split("\u2044")) == 2
}
"""Single characters such as ``⅜``, each with its exact value (Unicode's number forms)."""

_PLAIN = str.maketrans(
    {
        "\u2212": "-",  # minus sign
        "\u2010": "-",  # hyphen
        "\u2011": "-",  # hyphen that does not break
        "\u2013": "-",  # en dash, as in 3–1/16
        "\u2044": "/",  # fraction slash
        "\u2215": "/",  # division slash
        "\u2032": "'",  # prime: feet
        "\u2019": "'",
        "\u2033": '"',  # double prime: inches
        "\u201d": '"',
        "\u00a0": " ",
        "\u2007": " ",
        "\u2009": " ",
        "\u202f": " ",
        "\u03bc": "\u00b5",  # Greek mu for the micro sign
        "\u00b2": "^2",
        "\u00b3": "^3",
    }
)

_v = "[" + "".join(_VULGAR) + "]"
NUMERAL = (
    rf"(?:[0-9]+(?:\ +|[-+])[0-9]+\ ?/\ ?[0-9]+"  # 3 1/16   3-1/16   3+1/16
    rf"|[0-9]+(?:\ *|[-+]){_v}"  # 3⅜   3 ⅜   3-⅜
    rf"|{_v}"  # ⅜
    rf"|[0-9]+\ ?/\ ?[0-9]+"  # 1/16
    rf"|[0-9]+(?:[.,][0-9]*)?"  # 62   62.5   62,5
    rf"|[.,][0-9]+)"  # .0885
)
"""A numeral without its sign, as a piece of a regular expression (for text through :func:`plain`)."""

_MIXED = re.compile(r"([0-9]+)(?: +|[-+])([0-9]+) ?/ ?([0-9]+)")
_MIXED_VULGAR = re.compile(rf"([0-9]+)[ +-]*({_v})")
_RATIO = re.compile(r"([0-9]+) ?/ ?([0-9]+)")

GRAMMAR = {"mixed": _MIXED.pattern, "mixed_vulgar": _MIXED_VULGAR.pattern, "ratio": _RATIO.pattern}
"""The patterns, for a reader on a page that has to know the same numerals."""
VULGAR: Mapping[str, Fraction] = _VULGAR
PLAIN: Mapping[str, str] = {chr(point): mark for point, mark in _PLAIN.items()}


def plain(text: str) -> str:
    """``text`` with typographic signs, spaces and primes replaced by the ones on a keyboard."""
    return text.translate(_PLAIN).strip()


def quoted(text: str) -> str:
    """A text too long or not, as typed, in one pair of quotation marks: for a sentence that refuses it.

    >>> quoted("9,99"), quoted('"9,99"')
    ('"9,99"', '"9,99"')
    """
    shown = text[:LONGEST]
    return shown if len(shown) > 1 and shown[0] == shown[-1] == '"' else f'"{shown}"'


def is_fraction(numeral: str) -> bool:
    """True if the numeral is written as a fraction or mixed number rather than a decimal."""
    return "/" in numeral or any(character in _VULGAR for character in numeral)


def value(numeral: str) -> Fraction:
    """The exact value of a numeral that matched :data:`NUMERAL`.

    Raises ``ValueError`` with the reason, in words, for a zero denominator or ``3 17/16``.

    >>> value("3-1/16"), value("62,5"), value(".0885")
    (Fraction(49, 16), Fraction(125, 2), Fraction(177, 2000))
    """
    if mixed := _MIXED.fullmatch(numeral):
        whole, top, bottom = (int(part) for part in mixed.groups())
        if bottom == 0:
            raise ValueError("a fraction over zero has no value")
        if top >= bottom:
            raise ValueError(f"{top}/{bottom} behind a whole number should be less than one")
        return whole + Fraction(top, bottom)
    if vulgar := _MIXED_VULGAR.fullmatch(numeral):
        return int(vulgar[1]) + _VULGAR[vulgar[2]]
    if numeral in _VULGAR:
        return _VULGAR[numeral]
    if ratio := _RATIO.fullmatch(numeral):
        if int(ratio[2]) == 0:
            raise ValueError("a fraction over zero has no value")
        return Fraction(int(ratio[1]), int(ratio[2]))
    return Fraction(numeral.replace(",", ".").rstrip("."))

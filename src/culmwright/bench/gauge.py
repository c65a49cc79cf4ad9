"""What a gauge sends and what a maker types in its place, read as one exact length or refused.

Gauges type like keyboards: a prefix that names the gauge, a sign, leading zeros, a number with point or
comma, a unit, a limit mark, an end of line. Everything else is refused and shown raw: a gauge's text is never
repaired, because half a number looks exactly like a number. A prefix that holds a digit has to be parted from the
number by a comma, a space or a sign; without one of these, only letters are a prefix.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from enum import Enum
from fractions import Fraction

from culmwright.measure.errors import BadInput
from culmwright.measure.lengths import NANOMETRES, Length
from culmwright.measure.numerals import LONGEST, quoted

REMEDY = "Send it again, or type it like 0.0885, 9.19 mm or 3 1/16 in"

_FRAME = re.compile(r"[\x02\r\n\t ]*(?P<body>.*?) *(?:\r\n|\r|\n|\t)?", re.DOTALL)
_BODY = re.compile(
    r"(?:(?P<prefix>(?=[0-9]*[A-Za-z])[A-Za-z0-9]{1,6})(?:(?P<comma> *, *)| +|(?=[-+]))"  # GN01,  N  01A+
    r"|(?P<joined>[A-Za-z]{1,6}))?"  # H12.345: letters only, so that no digit can be taken for the number's
    r"(?P<sign>[-+]?) *"
    r"(?P<number>[0-9]+(?:[.,][0-9]+)?|[.,][0-9]+) *"
    r"(?P<unit>mm|in|\")? *"
    r"(?P<status>[<=>])?",
    re.IGNORECASE | re.ASCII,
)
_EXPONENT = re.compile(r"[0-9]+e[0-9]*", re.IGNORECASE | re.ASCII)  # 15E-5 is not gauge 15E reading -5
_UNIT = "(?:mm|in|inch|ins|thou|ft|cm|m|um)"  # 7ft 6in is not gauge 7ft reading 6 in
_UNIT_IN_FRONT = re.compile(rf"{_UNIT}|[0-9]+{_UNIT}[0-9]*", re.IGNORECASE | re.ASCII)
_CUT_OFF = re.compile(r"[0-9][.,][^0-9]*\Z")  # 12.   193, mm
GRAMMAR = {
    "frame": _FRAME.pattern,
    "body": _BODY.pattern,
    "exponent": _EXPONENT.pattern,
    "unit_in_front": _UNIT_IN_FRONT.pattern,
    "cut_off": _CUT_OFF.pattern,
}
"""The patterns, for a reader on a page that has to know the same readings."""


class LimitMark(Enum):
    """What a gauge with limits set on it says of its own reading."""

    UNDER = "<"
    WITHIN = "="
    OVER = ">"


@dataclass(frozen=True, slots=True)
class GaugeReading:
    """One reading: the exact ``length``, the ``raw`` text it came in, and what came with it.

    ``length`` holds the unit it was read in; ``unit_sent`` tells whether the text carried that unit or the
    gauge's declared one was used. ``prefix`` is the gauge's own name for itself, empty if it sent none;
    ``mark`` its limit mark or None.
    """

    length: Length
    raw: str
    unit_sent: bool
    prefix: str = ""
    mark: LimitMark | None = None


def read_gauge(raw: str, gauge_unit: str | None) -> GaugeReading:
    """Read the text of a gauge whose declared unit is ``gauge_unit``: ``in``, ``mm``, None if it has none.

    Raises :class:`BadInput`, the text shown raw, for anything outside the grammar.

    >>> read_gauge("GN01,+0016.2345", "mm").length.m, read_gauge("9,19 mm", "in").length.m
    (0.0162345, 0.00919)
    """
    body = _body(raw)
    match = _BODY.fullmatch(body)
    if match is None:
        raise _refusal(raw, "this is not what a gauge sends")
    if fault := _doubt(match):
        raise _refusal(raw, fault)
    sent = match["unit"]
    unit = "in" if sent == '"' else sent.lower() if sent else gauge_unit
    if unit is None:
        raise _refusal(raw, "no unit came with it and none is declared for this gauge")
    number = Fraction(match["number"].replace(",", "."))
    nanometres = (-number if match["sign"] == "-" else number) * NANOMETRES[unit]
    return GaugeReading(
        length=Length(nanometres, body, unit),
        raw=raw,
        unit_sent=sent is not None,
        prefix=match["prefix"] or match["joined"] or "",
        mark=LimitMark(match["status"]) if match["status"] else None,
    )


def read_typed(text: str, gauge_unit: str | None) -> GaugeReading:
    """Read what came to the armed cell: a gauge's text, or a length typed by hand, ``⅜`` or ``62.5 thou``.

    Raises :class:`BadInput`, the text shown raw, for anything that is neither, and for a number that stops at
    its decimal mark: the rest of it may be missing.

    >>> read_typed("62.5 thou", "in").length.m, read_typed("⅜", "in").length.m
    (0.0015875, 0.009525)
    """
    body = _body(text)
    match = _BODY.fullmatch(body)
    doubt = _doubt(match) if match is not None else ""
    if match is not None and not doubt:
        return read_gauge(text, gauge_unit)
    if _CUT_OFF.search(body):
        raise _refusal(text, "it stops at its decimal mark, so some of it may be missing")
    try:
        length = Length.parse(body, gauge_unit)
    except BadInput as fault:
        raise _refusal(text, doubt or fault.what.partition(" cannot be read as a length: ")[2]) from None
    return GaugeReading(length=length, raw=text, unit_sent=not _is_bare(body))


def visible(raw: str) -> str:
    """``raw`` with every character that cannot be seen replaced by one that can, Enter by ``␍``.

    >>> visible("\\x02+1.5\\r")
    '␂+1.5␍'
    """
    return "".join(_visible(character) for character in raw)


def _visible(character: str) -> str:
    if character.isprintable():
        return character
    code = ord(character)
    return chr(0x2400 + code) if code < 0x20 else f"\\u{code:04x}"


def _body(raw: str) -> str:
    """The text between the frame's marks; a text too long for a reading is refused here."""
    if len(raw) > LONGEST:
        raise _refusal(raw, "it is too long for a reading")
    frame = _FRAME.fullmatch(raw)
    return frame["body"] if frame else raw


def _doubt(match: re.Match[str]) -> str:
    """Why a text in the shape of a reading could be read in two ways; empty if it cannot."""
    prefix = match["prefix"] or match["joined"]
    if prefix is None:
        return ""
    if _EXPONENT.fullmatch(prefix):
        return "it may be a number with an exponent"
    if _UNIT_IN_FRONT.fullmatch(prefix):
        return "a unit stands before the number"
    number = match["number"]
    if match["comma"] and not match["sign"] and number.isdigit():
        return "the comma may be a decimal mark or part the prefix from the number"
    return ""


def _is_bare(body: str) -> bool:
    """True if a typed length carries no unit of its own."""
    try:
        Length.parse(body, None)
    except BadInput:
        return True
    return False


def _refusal(raw: str, fault: str) -> BadInput:
    shown = visible(raw[:LONGEST])
    return BadInput(f"{quoted(shown)} cannot be read as a reading: {fault}", remedy=REMEDY)

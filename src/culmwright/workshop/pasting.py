"""A taper pasted from a spreadsheet or typed line by line: read, with its units guessed and said.

Two columns, station and across, parted by tabs, semicolons, commas or spaces; decimal points or commas; a line of
headings above, or none. A guess is only ever made where nothing is written, and is always said.
"""

from __future__ import annotations

import csv
import re
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

from culmwright.measure.display import Display
from culmwright.measure.errors import BadInput
from culmwright.measure.lengths import Length

MOST_LINES = 400
LONGEST_TEXT = 40_000
_WORD = re.compile(r"[^\W\d_]+|\"|''?|″|′")
_UNIT_WORDS = {
    **dict.fromkeys(("in", "ins", "inch", "inches", '"', "″", "''"), "in"),
    **dict.fromkeys(("mm", "millimetre", "millimetres", "millimeter", "millimeters"), "mm"),
    **dict.fromkeys(("cm", "centimetre", "centimetres", "centimeter", "centimeters"), "cm"),
    **dict.fromkeys(("thou", "thousandth", "thousandths", "mil", "mils"), "thou"),
}
_LONG = {"in": "inches", "mm": "millimetres", "cm": "centimetres", "m": "metres", "ft": "feet", "thou": "thou"}
STATION_UNITS = ("in", "mm", "cm", "ft", "m")
USUAL_ROD = (Length.parse("4 ft").m, Length.parse("16 ft").m)
"""Shortest and longest rod [m] a bare column of stations is taken to be of."""
ACROSS_BELOW = ((1.0, "in"), (30.0, "mm"), (float("inf"), "thou"))
"""What a bare column of across is in, by its largest number: no rod's butt lies in two of these."""
FAR_OUT = 3.0
"""Times the next largest: a number further out is taken for a slip and says nothing about the unit."""


@dataclass(frozen=True, slots=True)
class PastedTaper:
    """A taper as it was read from a paste, tip to butt, and what was ``said`` about how it was read."""

    stations: tuple[Length, ...]
    across: tuple[Length, ...]
    said: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class _Line:
    """A line of a paste: its number, and its first two cells."""

    number: int
    station: str
    across: str


def read_pasted(text: str, show: Display, length: Length | None = None) -> PastedTaper:
    """The taper in a pasted ``text``; bare numbers are in the unit their heading says, else in one that is guessed.

    ``length`` [m] of the rod, where it is known, decides between units of station. Raises :class:`BadInput` with the
    line that cannot be read.
    """
    if len(text) > LONGEST_TEXT:
        raise BadInput("this is more than a taper", remedy="Paste two columns: station and across")
    lines, heads, said = _lines(text)
    unit, why = _station_unit([one.station for one in lines], heads[0], show, length)
    stations = [_cell(one.number, "station", one.station, unit) for one in lines]
    across_unit, across_why = _across_unit([one.across for one in lines], heads[1], show)
    across = [_cell(one.number, "across", one.across, across_unit) for one in lines]
    said = [f"{len(lines)} station{'s' if len(lines) != 1 else ''} read", why, across_why, *said]
    if len(stations) > 1 and all(after.nanometres < before.nanometres for before, after in pairwise(stations)):
        stations.reverse()
        across.reverse()
        said.append("the list began at its far end and is turned round: station 0 is the tip")
    return PastedTaper(tuple(stations), tuple(across), tuple(one for one in said if one))


def _lines(text: str) -> tuple[list[_Line], tuple[str, str], list[str]]:
    """The lines with numbers, the headings above them, and what was left out."""
    numbered = [(i, line) for i, line in enumerate(text.replace("\r\n", "\n").replace("\r", "\n").split("\n"), 1)]
    filled = [(i, line.strip("\ufeff \u00a0")) for i, line in numbered if line.strip("\ufeff \u00a0\t;,")]
    if not filled:
        raise BadInput("nothing is pasted", remedy="Paste two columns: station and across, one station a line")
    if len(filled) > MOST_LINES:
        raise BadInput(f"{len(filled)} lines are more than a taper has", remedy=f"Keep it to {MOST_LINES}")
    split = _splitter([line for _, line in filled])
    found: list[_Line] = []
    heads = ("", "")
    extra = False
    for number, line in filled:
        cells = [cell.strip() for cell in split(line)]
        while cells and not cells[-1]:
            cells.pop()
        if not found and not any(_starts_a_number(cell) for cell in cells):
            heads = (cells[0], cells[1]) if len(cells) > 1 else heads
            continue
        if len(cells) < 2:
            raise BadInput(
                f'line {number} has one column: "{line[:40]}"',
                where=f"line {number}",
                remedy="Give station and across on every line, parted by a tab, a semicolon or a space",
            )
        extra = extra or len(cells) > 2
        found.append(_Line(number, cells[0], cells[1]))
    if not found:
        raise BadInput("there are no numbers in it", remedy="Paste two columns: station and across")
    return found, heads, ["only the first two columns are taken"] if extra else []


def _starts_a_number(cell: str) -> bool:
    return bool(re.match(r"[-+.,]?\s?[0-9\u00bc-\u00be\u2150-\u215e]", cell))


class _Splitter:
    """Parts a line at one kind of mark, with quoted cells as spreadsheets write them."""

    def __init__(self, mark: str) -> None:
        self.mark = mark

    def __call__(self, line: str) -> list[str]:
        if self.mark == " ":
            return line.split()
        if re.search(rf"(?:^|{re.escape(self.mark)})\s*\"[^\"]*\"", line):
            return next(csv.reader([line], delimiter=self.mark, skipinitialspace=True), [])
        return next(csv.reader([line], delimiter=self.mark, skipinitialspace=True, quoting=csv.QUOTE_NONE), [])


def _splitter(lines: Sequence[str]) -> _Splitter:
    """By tab, else semicolon, else comma, else spaces; a comma inside a number parts nothing."""
    for mark in "\t;":
        if any(mark in line for line in lines):
            return _Splitter(mark)
    data = [line for line in lines if _starts_a_number(line.lstrip('"'))]
    if any('","' in line or '", "' in line for line in data):
        return _Splitter(",")
    if data and all("," in line for line in data):
        spaced = all(re.fullmatch(r"\S+\s+\S+.*", line) and not re.search(r",\s", line) for line in data)
        if spaced:
            return _Splitter(" ")
        if all(line.count(",") == 1 or re.search(r",\s|[0-9]\.[0-9]", line) for line in data):
            return _Splitter(",")
        raise BadInput(
            "a comma both parts the columns and stands inside the numbers",
            remedy="Part the columns by a tab or a semicolon, or write the numbers with a point",
        )
    return _Splitter(" ")


def _cell(number: int, column: str, text: str, unit: str) -> Length:
    try:
        return Length.parse(text, unit)
    except BadInput as fault:
        raise BadInput(f"line {number}, {column}: {fault.what}", where=f"line {number}", remedy=fault.remedy) from None


def _bare(texts: Sequence[str]) -> list[float]:
    """The sizes of the cells that carry no unit of their own."""
    found = []
    for text in texts:
        try:
            Length.parse(text)
        except BadInput:
            try:
                found.append(abs(Length.parse(text, "in").m) / 0.0254)
            except BadInput:
                continue  # said where the cell is read, with its line
    return found


def _own_units(texts: Sequence[str]) -> set[str]:
    """The units that cells carry themselves."""
    found = set()
    for text in texts:
        try:
            found.add(Length.parse(text).unit)
        except BadInput:
            continue
    return found


def _named_unit(head: str) -> str:
    """The unit a heading names, or nothing."""
    return next((_UNIT_WORDS[word.lower()] for word in _WORD.findall(head) if word.lower() in _UNIT_WORDS), "")


def _station_unit(texts: Sequence[str], head: str, show: Display, length: Length | None) -> tuple[str, str]:
    bare = _bare(texts)
    if not bare:
        return show.bare, ""
    if named := _named_unit(head):
        return named, f"stations are in {_LONG[named]}, as their heading says"
    if len(own_units := _own_units(texts)) == 1:
        unit = own_units.pop()
        return unit, f"stations are in {_LONG.get(unit, unit)}, as those that say so"
    last = max(bare)
    if length is not None:
        for unit in STATION_UNITS:
            if abs(last * Length.of(1, unit).m - length.m) <= 0.005 * length.m:
                return unit, f"stations are taken as {_LONG[unit]}: the last then lies at the rod's length"
    low, high = USUAL_ROD
    likely = [unit for unit in STATION_UNITS if low <= last * Length.of(1, unit).m <= high]
    own = [unit for unit in likely if unit == show.bare]
    unit = (own or likely or [show.bare])[0]
    return unit, f"stations are taken as {_LONG[unit]}: the last is {last:g}"


def _across_unit(texts: Sequence[str], head: str, show: Display) -> tuple[str, str]:
    bare = _bare(texts)
    if not bare:
        return show.bare, ""
    if named := _named_unit(head):
        return named, f"across is in {_LONG[named]}, as its heading says"
    *_, next_most, most = sorted([0.0, *bare])
    slip = len(bare) > 2 and most > FAR_OUT * next_most
    judged = next_most if slip else most
    unit = next(unit for below, unit in ACROSS_BELOW if judged < below)
    called = f"the largest but {most:g} is" if slip else "the largest is"
    return unit, f"across is taken as {_LONG[unit]}: {called} {judged:g}"

"""``survey``: an existing rod, read with a caliper in several directions, as a taper with its doubt; and as a rod file.

The readings are text, as a spreadsheet saves or pastes them: a station and its readings on every line, a blank line
where a ferrule parts the rod.
"""

from __future__ import annotations

import itertools
from collections.abc import Iterator
from dataclasses import dataclass
from math import sqrt

import numpy as np

from culmwright.design.rod import Rod
from culmwright.measure.columns import columns
from culmwright.measure.display import Display
from culmwright.measure.errors import BadInput
from culmwright.measure.lengths import Length
from culmwright.measure.reach import Size, must_reach
from culmwright.measure.record import si
from culmwright.proof.doubt import CALIPER_LIMIT
from culmwright.proof.existing_rod import SAME, Smoothed, Stretch, smooth

LARGEST = 100_000
"""Readings longer than this [characters] are of no rod."""
SIXTY_FOURTH = 0.0254 / 64  # [m]
COVER = 2.0
"""How many standard uncertainties a difference has to be to be told (JCGM 100:2008, G.1.3: about 95 %)."""


@dataclass(frozen=True, slots=True)
class Beside:
    """A surveyed station beside a drawn rod: ``drawn`` there, and how much the survey stands ``over`` it [m].

    ``told`` is True where that is more than its doubt.
    """

    station: float = si("m")
    drawn: float = si("m")
    over: float = si("m")
    told: bool = si("")


@dataclass(frozen=True, slots=True)
class Survey:
    """An existing rod as measured: its stations smoothed, the rod it was put beside, and what to know.

    ``odd`` says what to read again, ``least`` how small a slip is still told, piece by piece.
    """

    stations: tuple[Smoothed, ...]
    directions: int
    pieces: int
    beside: tuple[Beside, ...] = ()
    odd: tuple[str, ...] = ()
    least: tuple[str, ...] = ()
    notes: tuple[str, ...] = ()

    def asks(self, one: Smoothed) -> bool:
        """True for a station that should be read again."""
        return one.far is not None or one.ragged or any(one.station in other.rivals for other in self.stations)


def survey(text: str, show: Display, drawn: Rod | None = None, trusted: tuple[str, ...] = ()) -> Survey:
    """The taper in the readings of ``text``, bare numbers in the unit of ``show``; beside a ``drawn`` rod if given.

    Stations ``trusted`` were read again and stand. Raises :class:`BadInput` with the line that cannot be read.
    """
    pieces = _pieces(text, show)
    found = smooth(pieces, CALIPER_LIMIT / sqrt(3), tuple(_trusted(one, pieces, show) for one in trusted))
    must_reach(Size.ROD, found[-1].station, show.bare, "stations")
    odd = tuple(words for one in found for words in _odd(one, show))
    notes: list[str] = []
    if drawn is not None and drawn.sides % 2:
        notes.append("five sides are read from a flat to a corner: a worn corner reads low")
    beside: list[Beside] = []
    for one in found:
        if drawn is not None and one.station <= drawn.length.m + 1e-9:
            below = bool(beside) and abs(beside[-1].station - one.station) < 1e-9  # a ferrule's station, read again
            beside.append(_beside(one, drawn, below))
    if drawn is not None and drawn.tip_tapers:
        notes.append("the drawing's tips are not alike: it stands beside the rod with tip 1")
    return Survey(
        found,
        pieces[0].readings.shape[1],
        len(pieces),
        tuple(beside),
        odd,
        tuple(_least(pieces, found, show)),
        tuple(notes),
    )


def _trusted(text: str, pieces: tuple[Stretch, ...], show: Display) -> float:
    """The station [m] that is trusted."""
    station = Length.parse(text, show.bare).m
    if not any(np.any(np.abs(piece.stations - station) < SAME) for piece in pieces):
        raise BadInput(f"no station {show.station(station)} was read", where="--trust", remedy="Name one of the sheet")
    return station


def _odd(one: Smoothed, show: Display) -> Iterator[str]:
    """What to read again at a station, in words."""
    if one.far is not None:
        off = f"{show.small(abs(one.far))} {'over' if one.far > 0 else 'under'} the curve the others make"
        if one.rivals:
            either = " or ".join(show.station(other) for other in one.rivals)
            what = f"or station {either} was misread: read both again"
        else:
            what = "the curve goes by without it: read it again" if one.left_out else "read it again"
        yield (
            f"station {show.station(one.station)} was read {off}{', ' if one.rivals else '; '}{what}. If it stays so, "
            f"the taper bends there, or it is worn{': --trust keeps it in the curve' if one.left_out else ''}"
        )
    if one.ragged:
        yield (
            f"the readings of station {show.station(one.station)} are {show.small(one.uneven)} apart, more than the "
            "others': read it again; if it stays so, its flats differ"
        )


def _least(pieces: tuple[Stretch, ...], found: tuple[Smoothed, ...], show: Display) -> Iterator[str]:
    """How small a slip is told in each piece, in words."""
    rest = iter(found)
    for piece in pieces:
        told = [one.least for one in itertools.islice(rest, len(piece.stations))]
        span = f"from {show.station(float(piece.stations[0]))} to {show.station(float(piece.stations[-1]))}"
        inner = [one for one in told[1:-1] if one is not None]
        ends = [one for one in (told[0], told[-1]) if one is not None]
        if not inner or not ends:
            yield f"{span} too few stations were read for any of them to be judged by the others"
            continue
        yield (
            f"{span}, a slip of {show.small(float(np.median(inner)))} would be found nine times in ten, at the first "
            f"and last station one of {show.small(max(ends))}: smaller ones may pass"
        )


def _beside(one: Smoothed, drawn: Rod, below: bool) -> Beside:
    """The station beside the rod with its first tip; at a ferrule the piece above it, or ``below`` it."""
    there = [
        part for part in drawn.assembled() if part.start.m - 1e-9 <= one.station <= part.start.m + part.length + 1e-9
    ]
    across = there[-1 if below else 0].taper.at(one.station)
    over = one.across - across
    return Beside(one.station, across, over, abs(over) > COVER * one.doubt)


def _pieces(text: str, show: Display) -> tuple[Stretch, ...]:
    if len(text) > LARGEST:
        raise BadInput("these readings are too many for a rod", remedy="Save the one sheet that holds them")
    pieces: list[list[tuple[float, list[float]]]] = [[]]
    width = 0
    for number, line in enumerate(text.lstrip("\ufeff").splitlines(), 1):
        cells = columns(line)
        if not any(cells):
            pieces.append([])
            continue
        if number == 1 and not any(character.isdigit() for character in cells[0]):
            continue  # a line of headings
        while cells and not cells[-1]:
            cells.pop()
        width = width or len(cells)
        if len(cells) != width or width < 3:
            raise BadInput(
                f"{len(cells)} of {width} cells stand here"
                if width >= 3
                else "one reading, or none, stands beside its station",
                where=f"line {number}",
                remedy=f"Give a station and {max(width - 1, 2)} readings on every line",
            )
        station, *readings = (_length(cell, show, number) for cell in cells)
        if not all(reading > 0 for reading in readings) or station < 0:
            raise BadInput("a reading is above zero, a station not below", where=f"line {number}", remedy="Look again")
        for reading in readings:
            must_reach(Size.ACROSS, reading, show.bare, f"line {number}")
        pieces[-1].append((station, readings))
    kept = [piece for piece in pieces if piece]
    for above, below in itertools.pairwise(kept):
        if below[0][0] < above[-1][0]:
            raise BadInput(
                f"the piece that begins at {show.station(below[0][0])} comes after one that ends at "
                f"{show.station(above[-1][0])}",
                where="stations",
                remedy="Count every station from the tip of the whole rod",
            )
    if not kept:
        raise BadInput("no readings are here", remedy="Give a station and its readings on every line")
    return tuple(
        Stretch(np.array([one for one, _ in piece]), np.array([readings for _, readings in piece])) for piece in kept
    )


def _length(cell: str, show: Display, number: int) -> float:
    try:
        return Length.parse(cell, show.bare).m
    except BadInput as fault:
        raise fault.at(f"line {number}") from None


def rod_file(found: Survey, name: str, sides: int, show: Display) -> str:
    """A rod file of the surveyed taper, to be completed: the smooth curve to a tenth of a thou, or a hundredth of a mm.

    Where a ferrule parts the rod both sides were read; the file draws one curve, through the mean of the two.
    """
    if not name.strip() or any(ord(letter) < 32 or letter == '"' or letter == "\\" for letter in name):
        raise BadInput("a rod needs a name without quotation marks", where="--name", remedy="Give one")
    merged: dict[float, list[float]] = {}
    for one in found.stations:
        merged.setdefault(round(one.station, 9), []).append(one.across)
    unit, si_unit, places = ("inch", 0.0254, 4) if show.bare == "in" else ("metric", 0.001, 2)
    stations = [station / si_unit for station in merged]
    across = [sum(values) / len(values) / si_unit for values in merged.values()]
    if stations[0] != 0:
        raise BadInput("the tip was not read", where="stations", remedy="Begin with a line for station 0")
    pieces = 1 + sum(len(values) > 1 for values in merged.values())
    if pieces != found.pieces:
        raise BadInput(
            "where one piece ends the next does not begin, so there is no station for its ferrule",
            where="stations",
            remedy="Give the ferrule's station as the last of one piece and the first of the next",
        )
    if pieces > 3:
        raise BadInput(f"a rod in {pieces} pieces is not drawn here", remedy="Survey up to three pieces together")
    lines = [
        "culmwright = 1",
        f'units = "{unit}"',
        "",
        "[rod]",
        f'name = "{" ".join(name.split())}"',
        f"sides = {sides}",
        f"length = {stations[-1]:.12g}",
        f"pieces = {pieces}",
        *(["tips = 1"] if pieces > 1 else []),
        "",
        "[taper]  # as surveyed: the curve that bends no more than its readings ask for",
        *(f"# {words}" for words in found.odd),
        "# read over its varnish: say how much that is on each flat with varnish = ...",
        f"stations = [{', '.join(f'{one:.12g}' for one in stations)}]",
        f"across = [{', '.join(f'{one:.{places}f}' for one in across)}]",
    ]
    for station, values in merged.items():
        if len(values) > 1:
            size = max(round(min(values) / SIXTY_FOURTH), 1)
            lines += ["", "[[ferrule]]", f"station = {station / si_unit:.12g}"]
            lines += [f"size = {size}  # proposed from the across beside it: enter what is stamped"]
    return "\n".join(lines) + "\n"

"""Weighings of a bundle: what it weighed and when, in order, and how finely the scale shows it."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass, field
from datetime import datetime
from itertools import pairwise

from culmwright.measure.columns import columns
from culmwright.measure.errors import BadInput
from culmwright.measure.quantities import COMMON, Kind, parse_quantity
from culmwright.measure.record import si

LONGEST = 20_000  # lines; longer is no list of weighings
YEAR = 365.25 * 86_400  # [s]
REACH = 3 * YEAR  # [s] a bundle that dries is weighed again before so long (own choice)
SLIP = 3.0  # a bundle soaked through weighs no more than this times what it does dry
_AFTER_MARK = re.compile(r"[.,]([0-9]+)")


@dataclass(frozen=True, slots=True)
class Weighing:
    """A bundle weighed ``mass`` [kg] at a ``time`` [s] after its first weighing; ``text`` is the mass as given."""

    time: float = si("s")
    mass: float = si("kg")
    text: str = ""
    at: datetime | None = field(default=None)

    @property
    def resolution(self) -> float:
        """One unit of the last digit given [kg]."""
        number, unit = split_mass(self.text)
        places = match[1] if (match := _AFTER_MARK.search(number)) else ""
        return float(COMMON[Kind.MASS].get(unit, 1e-3) * 10.0 ** -len(places))


def split_mass(text: str) -> tuple[str, str]:
    """A mass as typed, taken apart into its digits and its unit: ``412.3 g`` is ``412.3`` and ``g``."""
    unit = text.strip().lstrip("+-0123456789.,/ ½¼¾⅛⅜⅝⅞")
    return text.strip().removesuffix(unit).strip(), unit.strip()


def resolution(weighings: Sequence[Weighing]) -> float:
    """How finely the scale shows [kg]: the last digit of the finest of ``weighings``, for zeros are left out."""
    return min(one.resolution for one in weighings)


def weighed(text: str, where: str = "mass") -> float:
    """A mass [kg] as typed, with its unit; refused unless it is above zero."""
    try:
        mass = parse_quantity(text, Kind.MASS)
    except BadInput as fault:
        raise fault.at(where) from None
    if mass <= 0:
        raise BadInput(f'"{text}" is not what a bundle weighs', where=where, remedy="Give a mass above zero")
    return mass


def in_order(weighings: Sequence[Weighing], places: Sequence[str] = ()) -> tuple[Weighing, ...]:
    """The weighings, each later than the one before; ``places`` name them in a refusal."""
    for i, (before, after) in enumerate(pairwise(weighings), 1):
        where = places[i] if places else f"weighing {i + 1}"
        if after.time <= before.time:
            raise BadInput(
                "this weighing is not later than the one before it",
                where=where,
                remedy="Put them in the order they were made, and look at the date",
            )
        ratio = after.mass / before.mass
        if not 1 / SLIP < ratio < SLIP:
            raise BadInput(
                f"{after.text} after {before.text} is {'a gain' if ratio > 1 else 'a loss'} no bundle makes at once",
                where=where,
                remedy="Look at the number and its unit, and whether it is the same bundle",
            )
    return tuple(weighings)


def must_be_near(weighings: Sequence[Weighing], places: Sequence[str]) -> None:
    """Refuse weighings of which one is farther from the one before than :data:`REACH`; ``places`` name them."""
    for (before, after), place in zip(pairwise(weighings), places[1:], strict=True):
        if after.time - before.time > REACH:
            raise BadInput(
                f"{(after.time - before.time) / YEAR:.0f} years lie between this weighing and the one before it",
                where=place,
                remedy=f"Look at the dates: weighings of a bundle are at most {REACH / YEAR:.0f} years apart",
            )


def read_weighings(text: str, where: str) -> tuple[Weighing, ...]:
    """The weighings of a small table, one a line: time and mass, kept apart by a tab, a semicolon or a comma.

    A time is a date and hour, ``2026-12-01 08:00``, or counts from the start, ``2 days``. A mass has its unit, or the
    heading of its column ends in it: ``mass g``. Lines that begin with # are passed over. Raises :class:`BadInput`
    that names ``where`` and the line.
    """
    lines = text.lstrip("\ufeff").splitlines()
    if len(lines) > LONGEST:
        raise BadInput(f"{len(lines)} lines are no list of weighings", where=where, remedy="Give one bundle's alone")
    rows = [(i, _cells(line)) for i, line in enumerate(lines, 1) if line.strip() and not line.lstrip().startswith("#")]
    unit = ""
    if rows and not any(mark.isdigit() for mark in rows[0][1][0]):
        unit = _heading_unit(rows[0][1])
        rows = rows[1:]
    if not rows:
        raise BadInput("there is no weighing in it", where=where, remedy="Write a time and a mass on each line")
    found: list[tuple[float | datetime, float, str]] = []
    for i, cells in rows:
        place = f"{where}, line {i}"
        if len(cells) < 2:
            raise BadInput("a time and a mass are wanted here", where=place, remedy='Write "2026-12-01 08:00, 412.3 g"')
        mass = cells[1] if split_mass(cells[1])[1] or not unit else f"{cells[1]} {unit}"
        found.append((_moment(cells[0], place), weighed(mass, place), mass))
    return _from_first(found, [f"{where}, line {i}" for i, _ in rows])


def _heading_unit(cells: list[str]) -> str:
    """The unit of mass a heading ends in, empty if it names none: ``g`` of ``mass [g]``."""
    words = cells[1].replace("[", " ").replace("(", " ").split() if len(cells) > 1 else []
    unit = words[-1].strip("])") if words else ""
    return unit if unit in COMMON[Kind.MASS] else ""


def _cells(line: str) -> list[str]:
    if not ("\t" in line or ";" in line) and line.count(",") == 2 and (cut := line.index(",")):  # 2 days, 412,3 g
        return [line[:cut].strip(), line[cut + 1 :].strip()]
    return columns(line)


def _moment(text: str, where: str) -> float | datetime:
    try:
        return datetime.fromisoformat(text)
    except ValueError:
        pass
    try:
        return parse_quantity(text, Kind.TIME)
    except BadInput:
        raise BadInput(
            f'"{text[:40]}" is not a time', where=where, remedy="Write it like 2026-12-01 08:00, or like 2 days"
        ) from None


def _from_first(found: Sequence[tuple[float | datetime, float, str]], places: Sequence[str]) -> tuple[Weighing, ...]:
    first = found[0][0]
    made = []
    for (when, mass, text), place in zip(found, places, strict=True):
        if isinstance(when, datetime) and isinstance(first, datetime) and bool(when.tzinfo) == bool(first.tzinfo):
            made.append(Weighing((when - first).total_seconds(), mass, text, when))
        elif isinstance(when, float) and isinstance(first, float):
            made.append(Weighing(when - first, mass, text))
        else:
            raise BadInput(
                "dates and times from a start are mixed", where=place, remedy="Write every time the same way"
            )
    must_be_near(found_in_order := in_order(made, places), places)
    return found_in_order

"""Flats of a glued, scraped section measured in all directions, kept as readings of the shop."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import datetime

from culmwright.bench.gauge import read_typed
from culmwright.bench.judge import Stage
from culmwright.bench.targets import target
from culmwright.design.polygon import across
from culmwright.design.rod import Rod, Section
from culmwright.ledger.readings import append, current, filled
from culmwright.ledger.records import Cell, Entry, Reading
from culmwright.ledger.shop import Shop
from culmwright.measure.errors import BadInput
from culmwright.measure.lengths import Length
from culmwright.measure.spot import Spot
from culmwright.proof.measures import pairs
from culmwright.workshop.opening import Begun

FAR = 0.3
"""A flat that is off by more than this of what the schedule gives there is taken for a slip [-] (own choice)."""
PASS = 1


def ways_of(rod: Rod) -> int:
    """How many directions a section is read over."""
    return pairs(rod.sides)


def check_flats(begun: Begun, spot: Spot, typed: Sequence[str]) -> tuple[Section, Length, tuple[Length, ...]]:
    """The section, the station and the values of flats typed at ``spot``. Raises :class:`BadInput` as keeping them."""
    rod = begun.rod
    section = next((one for one in rod.sections() if one.name == spot.section), None)
    beside = (spot.strip, spot.adjuster, spot.cut)
    if section is None or spot.station is None or spot.station not in section.stations or any(beside):
        raise BadInput(f"{spot} is no station of a section of this rod", remedy="Name one, such as T1@25in")
    ways = pairs(rod.sides)
    if len(typed) != ways:
        raise BadInput(
            f"{len(typed)} {'value' if len(typed) == 1 else 'values'} at {spot}",
            remedy=f"A section of {rod.sides} sides is read {ways} ways: give {ways}",
        )
    values = tuple(read_typed(one, rod.display.bare).length for one in typed)
    expected = bare_across(rod, section, spot.station)
    for value in values:
        if abs(value.m / expected - 1) > FAR:
            raise BadInput(
                f"{value} is far from the {rod.display.across(expected)} bare that {spot} should come to",
                remedy="Look at the caliper and its unit; measure before varnish",
            )
    return section, spot.station, values


def bare_across(rod: Rod, section: Section, station: Length) -> float:
    """What a caliper should read over the scraped section before varnish [m]."""
    return target(rod, section, station).finished_across - across(rod.sides, rod.varnish.m)


def flats_words(begun: Begun, spot: Spot, typed: Sequence[str]) -> str:
    """Flats typed at ``spot`` beside what they should come to, so that a figure read over varnish is seen at once."""
    section, station, values = check_flats(begun, spot, typed)
    show, wanted = begun.rod.display, bare_across(begun.rod, section, station)
    off = sum(one.m for one in values) / len(values) - wanted
    by = f"{show.small(abs(off))} {'over' if off > 0 else 'under'}" if show.small.number(abs(off)).strip("0.") else "on"
    read = ", ".join(show.across.number(one.m) for one in values)
    return f"{spot}: flats {read}, in the mean {by} the {show.across(wanted)} of the drawing before varnish"


def flats_read(shop: Shop, begun: Begun) -> dict[tuple[str, Length], tuple[float, ...]]:
    """What a caliper read over the bare section [m], by section and station, the first over face 1."""
    found: dict[tuple[str, Length], dict[int, float]] = {}
    for one in current(shop, begun.revision.id, stage=Stage.FINISH.value):
        cell, value = one.entry.cell, one.entry.value
        if cell.face is not None and value is not None:
            found.setdefault((cell.section, cell.station), {})[cell.face] = value.m
    return {place: tuple(read[face] for face in sorted(read)) for place, read in found.items()}


def keep_flats(
    shop: Shop,
    begun: Begun,
    spot: Spot,
    typed: Sequence[str],
    *,
    at: datetime | None = None,
    id: str | None = None,
) -> tuple[Reading, ...]:
    """Keep what a caliper read over the bare section at ``spot``, one value a direction, the first over face 1.

    Directions are counted round with the strips of the ring: face 1 to the one opposite, face 2, and so on; on five
    sides face to opposite corner. A station measured again replaces what stood. Raises :class:`BadInput` for a place
    that is no station of the rod, or a value that cannot be one of it. The last value is kept under ``id``.
    """
    section, station, values = check_flats(begun, spot, typed)
    ways = len(values)
    stand = filled(shop, begun.revision.id)
    kept = []
    for face, value in enumerate(values, 1):
        cell = Cell(begun.revision.id, section.name, station, Stage.FINISH.value, PASS, None, face)
        old, name = stand.get(cell), None if id is None else id if face == ways else f"{id}-{face}"
        if old:
            entry = old[-1].again(value, "measured again", id=name, at=at)
        else:
            entry = Entry.measured(cell, value, wet=False, id=name, at=at)
        kept.append(append(shop, entry))
    return tuple(kept)

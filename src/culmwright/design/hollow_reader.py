"""Reads ``[hollow]`` of a rod file, and says what about it cannot be or is odd."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from itertools import pairwise

from culmwright.design.hollow import Hollow
from culmwright.design.rod import Rod
from culmwright.design.taper import Taper
from culmwright.measure.errors import BadInput
from culmwright.measure.lengths import Length
from culmwright.measure.toml_table import Table, one_each

USUAL_WALL = (Length.parse("0.5 mm"), Length.parse("6 mm"))
"""Between what a wall usually lies; outside it is asked about (own choice, wide)."""
LITTLE = 1e-9  # [m]


def read_hollow(table: Table | None, length: Length) -> Hollow | None:
    """The hollow of a rod of ``length``, None where the file has no ``table`` for one."""
    if table is None:
        return None
    stations = table.lengths("stations")
    if len(stations) < 2:
        table.refuse("stations", "a hollow needs two stations or more", "Give where it begins and where it ends")
    for before, after in pairwise(stations):
        if after.nanometres <= before.nanometres:
            table.refuse("stations", f"station {after} comes after {before}", "Put the stations in order from the tip")
    if stations[0].nanometres < 0 or stations[-1].nanometres > length.nanometres:
        off = stations[0] if stations[0].nanometres < 0 else stations[-1]
        table.refuse("stations", f"station {off} is off the rod", f"Keep the hollow between 0, the tip, and {length}")
    hollow = Hollow(stations, _walls(table, len(stations)), *_dams(table, stations))
    table.close()
    return hollow


def _walls(table: Table, count: int) -> tuple[Length, ...]:
    _must_have(table, "wall", "0.060", "1.5")
    listed = isinstance(table.content.get("wall"), list)
    walls = table.lengths("wall") if listed else (table.length("wall"),) * count
    if len(walls) != count:
        table.refuse(
            "wall",
            f"there are {count} stations and {len(walls)} walls",
            one_each(len(walls), count, "Give one wall for each station, or one for all"),
        )
    for wall in walls:
        if wall.nanometres <= 0:
            table.refuse("wall", f"a wall of {wall} leaves no cane", "Give what is left under the enamel, above zero")
    return walls


def _dams(table: Table, stations: tuple[Length, ...]) -> tuple[tuple[Length, ...], Length | None]:
    if not table.has("dams"):
        if table.has("dam_length"):
            table.refuse("dam_length", "there is a length without dams", "Add dams = [...], or take it out")
        return (), None
    _must_have(table, "dam_length", "2", "50")
    dams, long = table.lengths("dams"), table.length("dam_length")
    if long.nanometres <= 0:
        table.refuse("dam_length", f"{long} is not a length above zero", "Give how much stays solid along the rod")
    for dam in dams:
        if not stations[0].nanometres < dam.nanometres < stations[-1].nanometres:
            table.refuse("dams", f"a dam at {dam} is not in the hollow", "Give its middle, from the tip")
    for before, after in pairwise(dams):
        if after.nanometres - before.nanometres <= long.nanometres:
            table.refuse(
                "dams",
                f"the dam at {after} does not stand clear of the one at {before}",
                "Put dams in order from the tip, farther apart than they are long",
            )
    return dams, long


def _must_have(table: Table, key: str, inches: str, millimetres: str) -> None:
    """Refuse a ``table`` without ``key``, with an example in its unit."""
    if not table.has(key):
        example = millimetres if table.bare == "mm" else inches
        table.refuse(key, "this key is missing", f"Add a line such as {key} = {example}")


def check_walls(hollow: Hollow, taper: Taper, bare: Callable[[float], float], where: str) -> None:
    """Refuse a wall that leaves no hollow in ``taper``; ``bare`` gives the bare apothem [m] of an across [m].

    Both the wall and the taper are straight between their stations, so that only those need a look.
    """
    low, high = hollow.stations[0].nanometres, hollow.stations[-1].nanometres
    inside = [one for one in taper.stations if low < one.nanometres < high]
    for station in sorted((*hollow.breaks(), *inside), key=lambda one: one.nanometres):
        wall, room = hollow.thickness(station.m), bare(taper.at(station.m))
        if wall > room - LITTLE:
            raise BadInput(
                f"at station {station} of {where} a wall of {_short(wall)} leaves nothing hollow: "
                f"the bare cane is {_short(room)} from a flat to the middle",
                where="[hollow] wall",
                remedy="Take a thinner wall, or end the hollow where the rod is thicker",
            )


def odd_hollow(rod: Rod) -> Iterator[str]:
    """Warnings about a hollow that can be but is odd: a wall of a slipped unit, a ferrule over it."""
    hollow = rod.hollow
    if hollow is None:
        return
    for station, wall in zip(hollow.stations, hollow.walls, strict=True):
        if not USUAL_WALL[0].nanometres <= wall.nanometres <= USUAL_WALL[1].nanometres:
            yield f"[hollow] wall is {wall} at station {station}: is its unit right?"
            break
    if not any(hollow.wall((a.m + b.m) / 2) for a, b in pairwise(hollow.breaks())):
        yield "[hollow] dams and dam_length leave nothing hollow: is the unit of dam_length right?"
    for ferrule in rod.ferrules:
        half = ferrule.length.m / 2 if ferrule.length else 0.0
        if any(hollow.wall(ferrule.station.m + side * half) is not None for side in (-1, 0, 1)):
            yield (
                f"[hollow] runs under the ferrule at {ferrule.station}: leave the cane solid there, with a dam or "
                "an end of the hollow"
            )


def _short(length: float) -> str:
    return f"{length * 1e3:.3f} mm ({length / 0.0254:.4f} in)"

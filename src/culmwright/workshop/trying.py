"""A drawing tried out while it is being changed: stress, masses, strip heights and the bend, and nothing kept."""

from __future__ import annotations

from dataclasses import dataclass

from culmwright.bench.targets import schedule
from culmwright.design.rod import Rod
from culmwright.measure.errors import AnswerIsNo, BadInput
from culmwright.measure.quantities import Kind, parse_quantity
from culmwright.measure.record import si
from culmwright.mechanics.rod_beam import rod_beam
from culmwright.mechanics.statics import Load, bend_surely
from culmwright.mechanics.stress import stress_check
from culmwright.workshop.printing import groups_of

HEAVIEST = 20.0
"""A load [N] no rod is tried under on a page: past it the answer is for a test rig, not for a drawing."""


@dataclass(frozen=True, slots=True)
class TriedStation:
    """A station of the tried drawing: across [m] and stress [Pa], as numbers and as shown."""

    station: float = si("m")
    across: float = si("m")
    stress: float = si("Pa")
    stress_shown: str = ""
    in_grip: bool = False


@dataclass(frozen=True, slots=True)
class TriedHeights:
    """Strip heights of sections that are alike: ``sections`` in words, then station and height [m] pairs."""

    sections: str
    stations: tuple[float, ...] = si("m")
    heights: tuple[float, ...] = si("m")
    shown: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class TriedBend:
    """The rod bent by ``load`` from the grip to the tip, or the ``reason`` why no rest was found; lengths [m]."""

    load: float = si("N")
    x: tuple[float, ...] = si("m")
    y: tuple[float, ...] = si("m")
    words: str = ""
    reason: str = ""


@dataclass(frozen=True, slots=True)
class Tried:
    """What a drawing would be: everything a page needs to redraw itself."""

    stations: tuple[TriedStation, ...]
    curve_station: tuple[float, ...] = si("m")
    curve_stress: tuple[float, ...] = si("Pa")
    stress_limit: float | None = si("Pa", required=False)
    heights: tuple[TriedHeights, ...] = ()
    mass: float = si("kg", default=0.0, required=False)
    facts: tuple[tuple[str, str], ...] = ()
    notes: tuple[str, ...] = ()
    warnings: tuple[str, ...] = ()
    bend: TriedBend | None = None


def try_rod(rod: Rod, load: float | None = None) -> Tried:
    """Stress [Pa], mass [kg], strip heights [m] of a drawing; its bend if a ``load`` [N] hangs on it.

    Raises :class:`BadInput` for a load that cannot be.
    """
    check, show = stress_check(rod), rod.display
    greatest = check.greatest
    facts = [("mass, no grip or seat", show.mass(check.mass))]
    if greatest is not None:
        share = f", {greatest.stress / check.stress_limit:.0%} of the limit" if check.stress_limit else ""
        facts.append(("greatest stress", f"{show.stress(greatest.stress)}{share}, near {show.near(greatest.station)}"))
    groups = groups_of(rod, schedule(rod))
    return Tried(
        stations=tuple(
            TriedStation(one.station, one.across, one.stress, show.stress.number(one.stress), one.in_grip)
            for one in check.stations
        ),
        curve_station=tuple(one.station for one in check.curve),
        curve_stress=tuple(one.stress for one in check.curve),
        stress_limit=check.stress_limit,
        heights=tuple(
            TriedHeights(
                ", ".join(group.names),
                tuple(one.station for one in group.targets.stations),
                tuple(one.height for one in group.targets.stations),
                tuple(show.height.number(one.height) for one in group.targets.stations),
            )
            for group in groups
        ),
        mass=check.mass,
        facts=tuple(facts),
        notes=check.notes,
        warnings=rod.warnings,
        bend=None if load is None else _bend(rod, load),
    )


def load_typed(text: str) -> float:
    """A hanging load [N] as typed, e.g. ``4 oz``. Raises :class:`BadInput` for one that cannot be tried."""
    load = parse_quantity(text, Kind.LOAD)
    if not 0 <= load <= HEAVIEST:
        raise BadInput("such a load is not tried here", where="load", remedy="Give one from nothing to 2 kg, or 72 oz")
    return load


def _bend(rod: Rod, load: float) -> TriedBend:
    if not 0 <= load <= HEAVIEST:
        raise BadInput("such a load is not tried here", where="load", remedy="Give one from nothing to 2 kg, or 72 oz")
    try:
        bent = bend_surely(rod_beam(rod), Load(load))
    except AnswerIsNo as none:
        return TriedBend(load, (), (), "", none.what)
    show = rod.display
    stress = float(bent.stress().max())
    limit = rod.cane.stress_limit.value if rod.cane.stress_limit else None
    held = f"; the cane is taken to {stress / limit:.0%} of its stress limit" if limit else ""
    warn = ", which may break the rod" if limit and stress > limit else ""
    words = f"under {show.load(load)} the tip of the level rod comes down {show.near(bent.tip_drop)}{held}{warn}"
    return TriedBend(load, tuple(bent.x.tolist()), tuple(bent.y.tolist()), words)

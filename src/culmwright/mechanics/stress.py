"""The trade's static stress method.

The rod is held level and straight; at each station the moment of everything outboard of it, multiplied by
a load factor for the cast, is divided by the section modulus of the bare cane. Small rotations, no line pull
through the guides: a comparison between tapers, not a forecast of a cast. Source of the method: E. E. Garrison,
H. B. Carmichael, *A Master's Guide to Building a Bamboo Fly Rod* (1977), from memory.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field

from culmwright.design.polygon import area, bending_modulus
from culmwright.design.rod import Rod
from culmwright.measure.errors import BadInput
from culmwright.measure.quantities import STANDARD_GRAVITY
from culmwright.measure.reckoning import ROD_FILE
from culmwright.measure.record import si
from culmwright.mechanics.loads import Load, across_at, line_loads, own_loads

LOAD_FACTOR = 4.0
"""Load factor of the trade's hand sheets [-] (Garrison & Carmichael 1977, from memory)."""

HOLLOW_NOTE = (
    "the hollow is taken as cut flat across every strip's apex, with square ends; rounded scoops leave more cane"
)

METHOD = "the trade's static method: Garrison & Carmichael 1977, from memory"


@dataclass(frozen=True, slots=True)
class SectionRule:
    """Where areas [m^2] and section moduli [m^3] come from, given sides and bare apothem [m]."""

    name: str
    formula: str
    area: Callable[[int, float], float]
    modulus: Callable[[int, float], float]


EXACT = SectionRule("exact polygon", "Z = I/y, I = n a^4 tan t (3 + tan^2 t)/12", area, bending_modulus)
ROUNDED = SectionRule(
    "the trade's rounded constants",
    "Z = 0.120 d^3, A = 0.866 d^2",
    lambda n, a: 0.866 * (2 * a) ** 2,
    lambda n, a: 0.120 * (2 * a) ** 3,
)
"""Rounded constants of the trade's hand sheets, six sides, d = 2 a (Garrison & Carmichael 1977, from memory)."""


@dataclass(frozen=True, slots=True)
class LoadMass:
    """A load and its mass [kg], as it enters the sum."""

    load: str
    mass: float = si("kg")


@dataclass(frozen=True, slots=True)
class StationStress:
    """One station: where, across as drawn, bending moment and stress with the load factor in them.

    ``parts`` splits the moment over the loads, in the order of :attr:`StressCheck.loads`. ``in_grip`` marks a
    station inside the clamped length, where the figure is the sum all the same but the hand carries part of it.
    """

    station: float = si("m")
    across: float = si("m")
    moment: float = si("N m")
    stress: float = si("Pa")
    modulus: float = si("m^3")
    parts: tuple[float, ...] = si("N m")
    in_grip: bool = False


@dataclass(frozen=True, slots=True)
class StressCheck:
    """The stress check of a rod with one of its tips.

    ``mass`` is cane, varnish and the listed ferrules and guides, without grip and seat. ``notes`` say what was
    left out, what was taken by default and what is over the limit; ``curve`` is the stress at many places, for a chart.
    """

    name: str
    tip: int
    load_factor: float
    section_rule: str
    mass: float = si("kg")
    loads: tuple[LoadMass, ...] = ()
    stations: tuple[StationStress, ...] = ()
    greatest: StationStress | None = None
    stress_limit: float | None = si("Pa", required=False)
    curve: tuple[StationStress, ...] = field(metadata={"hidden": True}, default=())
    notes: tuple[str, ...] = ()
    warnings: tuple[str, ...] = ()


def stress_check(rod: Rod, load_factor: float = LOAD_FACTOR, rule: SectionRule = EXACT, tip: int = 1) -> StressCheck:
    """Moments [N m] and stresses [Pa] at every drawn station, and masses [kg].

    ``M(x) = load_factor g sum of m (x - x_i)`` over everything outboard; ``stress = M/Z`` of the bare section.
    ``load_factor`` [-] multiplies every moment. Raises :class:`BadInput` for a factor that is not above zero, a tip
    the rod does not have, or rounded constants on other than six sides.
    """
    if not 0 < load_factor < 100:
        raise BadInput(f"a load factor of {load_factor:g} makes no stress", remedy="Give one above 0, usually 4")
    if not 1 <= tip <= rod.tips:
        raise BadInput(
            f"this rod has {rod.tips} tip{'s' if rod.tips > 1 else ''}, not a tip {tip}", remedy="Give a tip it has"
        )
    if rule is ROUNDED and rod.sides != 6:
        raise BadInput(
            f"the rounded constants are for six sides and this rod has {rod.sides}",
            remedy="Leave the exact section moduli on",
        )
    own = own_loads(rod, rule.area, tip)
    loads: tuple[Load, ...] = (*line_loads(rod), *own)
    end = rod.length.m
    sections = rod.assembled(tip)

    def at(x: float, across: float) -> StationStress:
        return stress_at(rod, x, across, loads, load_factor, rule)

    stations = tuple(at(station.m, across) for station, across in rod.drawn_stations(tip))
    hollow = [one.m for one in rod.hollow.breaks()] if rod.hollow else []
    curve = tuple(at(x, across_at(sections, x)) for x in sorted([*_fine(end), *hollow]))
    greatest = max((one for one in (*curve, *stations) if not one.in_grip), key=lambda one: one.stress)
    limit = rod.cane.stress_limit.value if rod.cane.stress_limit else None
    return StressCheck(
        name=rod.name,
        tip=tip,
        load_factor=load_factor,
        section_rule=rule.name,
        mass=sum(load.mass_outboard(end + 1) for load in own),
        loads=tuple(LoadMass(load.name, load.mass_outboard(end + 1)) for load in loads),
        stations=stations,
        greatest=greatest,
        stress_limit=limit,
        curve=curve,
        notes=_notes(rod, greatest, limit),
        warnings=rod.warnings,
    )


def stress_at(
    rod: Rod, x: float, across: float, loads: tuple[Load, ...], load_factor: float, rule: SectionRule
) -> StationStress:
    """Moment [N m] and stress [Pa] at ``x`` [m] from the tip, where the rod is ``across`` [m], under ``loads``."""
    parts = tuple(load_factor * STANDARD_GRAVITY * load.moment_arm(x) for load in loads)
    modulus = rule.modulus(rod.sides, rod.bare_apothem(across)) * solid_share(rod, x, across)
    moment = sum(parts)
    return StationStress(
        x, across, moment, moment / modulus, modulus, parts, x > rod.length.m - rod.grip.m + SAME_PLACE
    )


def solid_share(rod: Rod, x: float, across: float) -> float:
    """What a hollow leaves of the stiffness at ``x`` [m] from the tip [-]: ``1 - (void apothem/bare apothem)^4``."""
    return 1.0 - (rod.void_apothem(x, across) / rod.bare_apothem(across)) ** 4


SAME_PLACE = 1e-9
"""Places nearer than this [m] are one place: the front of the grip is not in it."""

STEPS = 360
"""Places at which the greatest stress is looked for: every quarter inch of a 90 in rod."""


def _fine(end: float) -> list[float]:
    return [end * i / STEPS for i in range(STEPS + 1)]


def _notes(rod: Rod, greatest: StationStress, limit: float | None) -> tuple[str, ...]:
    notes = []
    if rod.line is None:
        notes.append("no line is hung: the file gives no line number")
    if not rod.guides:
        notes.append("the drawing has no guides yet: none are carried, and no line lies in them")
    elif any(guide.mass is None for guide in rod.guides):
        notes.append("guides without a mass add none")
    if any(ferrule.mass is None for ferrule in rod.ferrules):
        notes.append("a ferrule without a mass adds none")
    for what, stated in (("cane", rod.cane.density), ("varnish", rod.varnish_density)):
        if stated.source != ROD_FILE and (what == "cane" or rod.varnish.nanometres):
            notes.append(f"the density of the {what} is a default ({stated.source})")
    if rod.hollow:
        notes.append(HOLLOW_NOTE)
    if rod.tip_tapers:
        notes.append("the tips differ: ask for each of them with --tip")
    if limit is not None and greatest.stress > limit:
        at = rod.display.near(greatest.station)
        notes.append(f"the greatest stress, near {at}, is {greatest.stress / limit:.0%} of the stress limit")
    return tuple(notes)

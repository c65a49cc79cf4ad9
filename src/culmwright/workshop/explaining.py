"""``explain``: the working behind one number."""

from __future__ import annotations

from dataclasses import replace

from culmwright.bench.targets import reckon
from culmwright.design.rod import Rod, Section
from culmwright.measure.errors import BadInput
from culmwright.measure.reckoning import ROD_FILE, Explanation, Reckoning, rungs
from culmwright.measure.spot import Spot
from culmwright.mechanics.stress import EXACT
from culmwright.mechanics.working import graded_working, stress_working

OF_BUNDLE = frozenset({"rest", "settles", "weigh_for", "moisture", "ready", "dry_in"})
OF_CULM = frozenset({"width", "strips"})
OF_GLUE = frozenset({"workable"})
OF_SHOP = OF_BUNDLE | OF_CULM | OF_GLUE
"""Quantities of a whole section that come from what a shop keeps of it: its bundle, its culm, its glue-up."""


def explain(rod: Rod, spot: Spot) -> Explanation:
    """The working of the number at ``spot`` of ``rod`` [SI], the strip height where the spot names none.

    Raises :class:`BadInput` for a section, strip, station or quantity the rod does not have.
    """
    must_be_of(rod, spot)
    if spot.thing or spot.adjuster or spot.cut or (spot.station is None and spot.quantity in OF_SHOP):
        raise BadInput(
            "a drawing alone does not tell that", where=f"spot {spot}", remedy="Name a rod of the shop, such as R1"
        )
    if not spot.section:
        return explained(rod, spot, stated_modulus(rod))
    section = section_of(rod, spot)
    station = spot.station
    if station is None:
        raise BadInput(
            "no station is named",
            where=f"spot {spot}",
            remedy=f"Add one between {section.start} and {section.end}, such as {replace(spot, station=section.end)}",
        )
    if not section.holds(station):
        raise BadInput(
            f"station {station} is not on section {section.name}",
            where=f"spot {spot}",
            remedy=f"It runs from {section.start} to {section.end}",
        )
    tip = int(section.name[1:]) if section.name.startswith("T") else 1
    found: dict[str, Reckoning] = {
        **reckon(rod, section, station),
        **stress_working(rod, section, station.m, EXACT, tip),
        **graded_working(rod, section, station.m),
    }
    quantity = spot.quantity or "height"
    if quantity not in found:
        raise BadInput(
            f'there is no "{quantity}" here',
            where=f"spot {spot}",
            remedy=f"Ask for one of {', '.join(found)}{_why(rod, quantity)}",
        )
    also = tuple(name for name in found if name != quantity)
    return explained(rod, spot.asking(quantity), found[quantity], also)


def must_be_of(rod: Rod, spot: Spot) -> None:
    """Refuse a spot of another rod."""
    if spot.rod and spot.rod != rod.code:
        raise BadInput(
            f"this drawing is {rod.code}, and the address names {spot.rod}",
            where=f"spot {spot}",
            remedy="Give the file of that drawing, or leave the rod out of the address",
        )


def explained(
    rod: Rod, spot: Spot, asked: Reckoning, also: tuple[str, ...] = (), notes: tuple[str, ...] = ()
) -> Explanation:
    """The ladder of what was ``asked`` for at ``spot`` of ``rod``; ``also`` names what else is there."""
    ladder = rungs(asked)
    return Explanation(
        str(spot), spot.quantity, asked.value, asked.unit, ladder, also, rod.warnings, notes, within=asked.within
    )


def within(spot: Spot, code: str) -> Spot:
    """A spot as it is written within the rod of that ``code`` of a shop."""
    return replace(spot, rod="") if spot.rod == code else spot


def stated_modulus(rod: Rod, step: str = "modulus of the cane") -> Reckoning:
    """The modulus [Pa] a rod file takes, or takes by default, with its spread where it has one; named ``step``."""
    stated = rod.cane.modulus
    given = stated.source == ROD_FILE
    rule = "[cane] modulus" if given else "taken where the file gives none"
    spreads: tuple[Reckoning, ...] = ()
    if stated.spread:
        of = "[cane] modulus_spread" if given else "taken with it"
        spreads = (Reckoning("spread from culm to culm", stated.spread, "Pa", of, stated.source),)
    return Reckoning(step, stated.value, "Pa", rule, stated.source, spreads)


def section_of(rod: Rod, spot: Spot) -> Section:
    """The section a spot names. Raises :class:`BadInput` for one, or a strip of it, the rod does not have."""
    names = {section.name: section for section in rod.sections()}
    if spot.section not in names:
        raise BadInput(
            f"this rod has no section {spot.section}",
            where=f"spot {spot}",
            remedy=f"Its sections are {', '.join(names)}",
        )
    strips = rod.sides + rod.bench.spares
    if spot.strip is not None and spot.strip > strips:
        raise BadInput(
            f"section {spot.section} has {strips} strips",
            where=f"spot {spot}",
            remedy=f"Give a strip from S1 to S{strips}",
        )
    return names[spot.section]


def _why(rod: Rod, quantity: str) -> str:
    if quantity in ("reading", "rough_reading") and rod.bench.block_zero is None:
        return "; a reading needs block_zero in the [bench] table of the rod file"
    if quantity == "crown" and rod.making.culm_diameter is None:
        return "; a crown needs culm_diameter in the [strips] table of the rod file"
    return ""

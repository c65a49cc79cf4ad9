"""The working behind the modulus of a rod's cane: what the file says, each bend test, and how they come together."""

from __future__ import annotations

import json
from typing import Any

from culmwright.design.rod import Rod
from culmwright.ledger.dockets import Docket
from culmwright.ledger.shop import Shop
from culmwright.measure.reckoning import ROD_FILE, Explanation, Reckoning
from culmwright.measure.spot import Spot
from culmwright.proof.modulus import Measured, together
from culmwright.workshop.explaining import explain, explained, must_be_of, stated_modulus, within
from culmwright.workshop.flexing import modulus, tried
from culmwright.workshop.opening import Begun
from culmwright.workshop.proving import rods_read

SQUARES = "JCGM 100:2008, generalised least squares"


def explain_kept(shop: Shop, begun: Begun, spot: Spot) -> Explanation:
    """The working of the number at ``spot`` of a rod of the shop; its modulus from the bend tests kept, if any.

    Raises :class:`BadInput` for a rod, section, strip, station or quantity that is not there.
    """
    spot = within(spot, begun.revision.code)
    builts = () if spot.section else rods_read(shop, begun)
    every = () if spot.section else tried(shop, begun, *builts)
    good = [(one.docket, one.measured) for one in every if one.measured is not None]
    if not good:
        return explain(begun.rod, spot)
    must_be_of(begun.rod, spot)
    found = cane_working(begun.rod, tuple(one for one, _ in good), tuple(one for _, one in good))
    return explained(begun.rod, spot, found, notes=modulus(shop, begun, *builts).notes)


def cane_working(rod: Rod, kept: tuple[Docket, ...], tests: tuple[Measured, ...]) -> Reckoning:
    """The modulus [Pa] as ``tests`` measured it, each with its doubt; ``kept`` are the dockets they stand on."""
    given = rod.cane.modulus.source == ROD_FILE
    of = [stated_modulus(rod, f"modulus {'in the rod file' if given else 'by default'}, until measured")]
    for docket, one in zip(kept, tests, strict=True):
        told = json.loads(docket.text)
        source = f"bend test kept {docket.at:%Y-%m-%d}"
        value = Reckoning(f"by {one.how}, {one.of}", one.value, "Pa", _rule(told), source)
        of += [value, Reckoning("its doubt, one standard deviation", one.spread, "Pa", _doubt(told), source, (value,))]
    one = together(tests)
    if len(tests) == 1:
        return Reckoning("modulus of the cane", one.value, "Pa", "the one test there is", SQUARES, tuple(of))
    rule = "tests that agree narrow it, tests that contradict widen it"
    of.append(Reckoning("doubt of all together", one.spread, "Pa", rule, SQUARES))
    rule = "mean of the tests, each by its doubt; those on one piece share its section's"
    return Reckoning("modulus of the cane", one.value, "Pa", rule, SQUARES, tuple(of))


def _rule(told: dict[str, Any]) -> str:
    """How a test was worked out, with what was typed."""
    if told["of"] == "rate":
        return f"the modulus at which the rod swings {told['swings']} times in {told['seconds']:g} s"
    drops = ", ".join(f"{drop} under {weight}" for weight, drop in told["drops"])
    return f"least squares over drops of {drops}"


def _doubt(told: dict[str, Any]) -> str:
    if told["of"] == "rate":
        return "half a swing at the end of the count, and the rod's section"
    return f"drops read to {told['reading']}, and the {'bar' if told['of'] == 'bar' else 'rod'}'s section"

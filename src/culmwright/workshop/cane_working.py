"""The working behind the modulus of a rod's cane: what the file says, each bend test, and how they come together."""

from __future__ import annotations

import json
from typing import Any

from culmwright.design.rod import Rod
from culmwright.ledger.shop import Shop
from culmwright.measure.errors import BadInput
from culmwright.measure.reckoning import ROD_FILE, Explanation, Reckoning
from culmwright.measure.spot import Spot
from culmwright.proof.modulus import Measured, contradiction, together
from culmwright.proof.unlike import Strip, Unlike
from culmwright.workshop.explaining import explain, explained, must_be_of, stated_modulus, within
from culmwright.workshop.flexing import modulus, tried
from culmwright.workshop.opening import Begun
from culmwright.workshop.proving import rods_read
from culmwright.workshop.strip_tests import Tried, by_level, strips_unlike

SQUARES = "JCGM 100:2008, generalised least squares"
SPREAD = "JCGM 100:2008, 5.2"


def explain_kept(shop: Shop, begun: Begun, spot: Spot) -> Explanation:
    """The working of the number at ``spot`` of a rod of the shop; its modulus from the bend tests kept, if any.

    Raises :class:`BadInput` for a rod, section, strip, station or quantity that is not there.
    """
    spot = within(spot, begun.revision.code)
    builts = () if spot.section else rods_read(shop, begun)
    every = () if spot.section else tried(shop, begun, *builts)
    if not any(one.measured for one in every):
        return explain(begun.rod, spot)
    must_be_of(begun.rod, spot)
    measured = modulus(shop, begun, *builts)
    if measured.contradiction:
        return explained(begun.rod, spot, stated_modulus(begun.rod), notes=measured.notes)
    found = cane_working(begun.rod, every, strips_unlike(shop, begun, every), by_level(shop, begun, every))
    return explained(begun.rod, spot, found, notes=measured.notes)


def explain_strip(shop: Shop, begun: Begun, spot: Spot) -> Explanation:
    """The working of the modulus of one strip of a rod's rings: its share of the rod's, by tests of single strips.

    Raises :class:`BadInput` where no tests tell how strips differ, or for a strip in no ring.
    """
    every = tried(shop, begun, *rods_read(shop, begun))
    found = strips_unlike(shop, begun, every)
    strip = (spot.section, spot.strip or 0)
    if found is None or strip not in found.strips:
        raise BadInput(
            f"the modulus of {spot.section}/S{spot.strip} by itself is not known",
            where=f"spot {spot}",
            remedy="It stands in no ring, a spare"
            if found
            else f"Bend two strips of a section or more: culmwright modulus {begun.code} --of T1/S1 --bar …",
        )
    level = by_level(shop, begun, every)
    rod = cane_working(begun.rod, every, found, level if contradiction(level) is None else (found.level,))
    return explained(begun.rod, spot, strip_working(rod, found, strip), notes=modulus(shop, begun).notes)


def strip_working(rod: Reckoning, found: Unlike, strip: Strip) -> Reckoning:
    """The modulus [Pa] of a ``strip``, its share of the ``rod``'s."""
    at = found.strips.index(strip)
    doubt = Reckoning(
        "doubt of its share",
        float(found.covariance[at, at]) ** 0.5,
        "-",
        "its test's own, and the others' through their mean"
        if found.tested[at]
        else "how strips tested scatter, widened for how few they are",
        SPREAD,
    )
    share = Reckoning(
        "its share of the rod's", float(found.shares[at]), "-", "its own over the mean of all rings", found.sources[at]
    )
    value = rod.value * float(found.shares[at])
    return Reckoning(f"modulus of {strip[0]}/S{strip[1]}", value, "Pa", "rod's x share", SPREAD, (rod, doubt, share))


def cane_working(rod: Rod, every: tuple[Tried, ...], strips: Unlike | None, level: tuple[Measured, ...]) -> Reckoning:
    """The modulus [Pa] as the tests of ``every`` measured it, each with its doubt; those of ``strips`` that tell how
    strips differ are one measurement of the ``level`` together.
    """
    given = rod.cane.modulus.source == ROD_FILE
    of = [stated_modulus(rod, f"modulus {'in the rod file' if given else 'by default'}, until measured")]
    for tried_one in every:
        docket, one = tried_one.docket, tried_one.measured
        if one is None:
            continue
        told = json.loads(docket.text)
        source = f"bend test kept {docket.at:%Y-%m-%d}"
        value = Reckoning(f"by {one.how}, {one.of}", one.value, "Pa", _rule(told), source)
        of += [value, Reckoning("its doubt, one standard deviation", one.spread, "Pa", _doubt(told), source, (value,))]
    if strips is not None:
        rule = "mean over all places of the rings; a strip not bent counts as its section's mean: one measurement"
        mean = Reckoning("mean of the rod's strips", strips.level.value, "Pa", rule, SPREAD)
        rule = "each strip's own, how strips not bent may differ, and what caliper and rule are out for all"
        of += [mean, Reckoning("its doubt, one standard deviation", strips.level.spread, "Pa", rule, SPREAD, (mean,))]
    one = together(level)
    if len(level) == 1:
        rule = "the one test there is" if strips is None else "the mean of its strips"
        return Reckoning("modulus of the cane", one.value, "Pa", rule, SQUARES, tuple(of))
    rule = "tests narrow it, the more of them there are"
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

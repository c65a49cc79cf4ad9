"""The working behind the fit of an insert: where a hole has gone, and what to bring the insert to."""

from __future__ import annotations

from culmwright.measure.reckoning import GEOMETRY, Reckoning, span
from culmwright.rigs.expansion import Material
from culmwright.rigs.thermal import ScrewFit, ThermalFit

RIG_FILE = "rig file, or as given"
TAKEN = "as given"
EXPANSION = "linear thermal expansion"
BOUNDS = "bounds of both materials"


def fit_working(found: ThermalFit, screw: ScrewFit) -> dict[str, Reckoning]:
    """What the fit rests on at one ``screw``: its hole's ``error`` [m], ``bring_to`` and, with a clearance, ``room``
    [K], the temperatures between which every screw enters.
    """
    joint = found.joint
    insert, bed = _grows(joint.insert, "insert"), _grows(joint.bed, "bed")
    apart = span("the insert grows more by", joint.apart, "1/K", "insert - bed, at the bounds", BOUNDS, (insert, bed))
    now = Reckoning("temperature now", found.now, "K", "of both", TAKEN)
    made = Reckoning("they met at", joint.made_at, "K", "fitted", RIG_FILE)
    change = Reckoning("warmer by", found.now - joint.made_at, "K apart", "now - made", EXPANSION, (now, made))
    place = Reckoning("screw along the bed", screw.place, "m", "its place", RIG_FILE)
    fixed = Reckoning("insert held at", joint.fixed, "m", "fixed", RIG_FILE)
    arm = Reckoning(
        "from the held end to the screw",
        abs(screw.place - joint.fixed),
        "m",
        "|screw - held|",
        GEOMETRY,
        (place, fixed),
    )
    error = span(
        "way its hole lies off, away from the held end",
        screw.error,
        "m apart",
        "grows more x warmer x way; below zero: short",
        EXPANSION,
        (apart, change, arm),
    )
    bring_to = span(
        "warmth to bring the insert alone to",
        found.bring_to,
        "K",
        "made + bed's growth/insert's growth x warmer",
        EXPANSION,
        (made, bed, insert, change),
    )
    made_of = {"error": error, "bring_to": bring_to}
    if found.room is not None and joint.clearance is not None:
        free = Reckoning("a screw may stand off by", joint.clearance, "m apart", "clearance", RIG_FILE)
        far = Reckoning("longest way to a screw", joint.far, "m", "greatest |screw - held|", GEOMETRY, (fixed,))
        made_of["room"] = span(
            "warmth at which every screw enters for certain",
            found.room,
            "K",
            "made -/+ clearance/(most it grows more x way)",
            EXPANSION,
            (made, free, apart, far),
        )
    return made_of


def _grows(one: Material, what: str) -> Reckoning:
    return span(f"{what} grows", one.expansion, "1/K", one.name, one.source)

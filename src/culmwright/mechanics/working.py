"""The working behind a moment and a stress: every load, the sum, the section, the quotient."""

from __future__ import annotations

from culmwright.design.polygon import caliper_ratio
from culmwright.design.rod import Rod, Section
from culmwright.measure.reckoning import GEOMETRY, ROD_FILE, Reckoning
from culmwright.mechanics.graded import cane_shares
from culmwright.mechanics.loads import Load, SpreadLoad, line_loads, own_loads
from culmwright.mechanics.stress import LOAD_FACTOR, METHOD, SectionRule, solid_share, stress_at

GRADED = "stiffness straight between enamel and inside, integrated over the section"


def stress_working(rod: Rod, section: Section, x: float, rule: SectionRule, tip: int = 1) -> dict[str, Reckoning]:
    """``moment`` [N m] and ``stress`` [Pa] at ``x`` [m] from the tip, on one ``section`` of a joint, load factor 4."""
    loads = (*line_loads(rod), *own_loads(rod, rule.area, tip))
    across = Reckoning("across, as drawn", section.taper.at(x), "m", rod.taper.between, ROD_FILE)
    found = stress_at(rod, x, across.value, loads, LOAD_FACTOR, rule)
    factor = Reckoning("load factor", LOAD_FACTOR, "-", "the trade's usual factor for a cast", METHOD)
    parts = tuple(
        Reckoning(
            f"moment of {load.name}", part, "N m", "factor x g x mass x distance", METHOD, (factor, *_lever(load, x))
        )
        for load, part in zip(loads, found.parts, strict=True)
        if part
    )
    moment = Reckoning("bending moment", found.moment, "N m", "sum of the moments", METHOD, parts)
    varnish = Reckoning("varnish over a flat", rod.varnish.m, "m", "varnish", ROD_FILE)
    bare = Reckoning(
        "bare apothem",
        rod.bare_apothem(across.value),
        "m",
        f"across/{caliper_ratio(rod.sides):g} - varnish",
        GEOMETRY,
        (across, varnish),
    )
    modulus = _modulus(rod, x, across.value, rule, bare)
    stress = Reckoning("stress", found.stress, "Pa", "moment/section modulus", METHOD, (moment, modulus))
    return {"moment": moment, "stress": stress}


def graded_working(rod: Rod, section: Section, x: float) -> dict[str, Reckoning]:
    """``modulus`` [Pa] that graded cane of the section at ``x`` [m] from the tip bends like; none for even cane."""
    grading = rod.cane.grading
    if grading is None:
        return {}
    across = Reckoning("across, as drawn", section.taper.at(x), "m", rod.taper.between, ROD_FILE)
    bare, void = rod.bare_apothem(across.value), rod.void_apothem(x, across.value)
    reach = Reckoning(
        "depth its strips reach to",
        bare + rod.making.finish.m,
        "m",
        "bare apothem + finish, under the enamel",
        GEOMETRY,
        (across,),
    )
    inside = (Reckoning("apothem of the hollow", void, "m", "bare apothem - wall left", GEOMETRY),) if void else ()
    wall = Reckoning("wall of the culm", grading.wall.m, "m", "[cane] culm_wall", ROD_FILE)
    ratio = Reckoning("stiffness outside over inside", grading.ratio, "-", "[cane] outer_over_inner", ROD_FILE)
    outer = Reckoning(
        "modulus under the enamel over the one told",
        grading.outer,
        "-",
        "1/(1 - (1 - 1/ratio)/15): told of a section a third of the wall from centre to flat",
        GRADED,
        (ratio,),
    )
    share = Reckoning(
        "what the section bends like over the one told",
        float(cane_shares(rod, bare, void)[2]),
        "-",
        "outer x mean of the modulus over the section, each part by its share of the second moment",
        GRADED,
        (reach, *inside, wall, outer),
    )
    stated = rod.cane.modulus
    told = Reckoning("modulus of the cane", stated.value, "Pa", "told of the cane", stated.source)
    value = stated.value * share.value
    return {"modulus": Reckoning("modulus of the section", value, "Pa", "modulus x share", GRADED, (told, share))}


def _modulus(rod: Rod, x: float, across: float, rule: SectionRule, bare: Reckoning) -> Reckoning:
    """The section modulus [m^3], less what the hollow takes of it."""
    roark = "Roark's formulas, regular polygon"
    solid = Reckoning("section modulus", rule.modulus(rod.sides, bare.value), "m^3", rule.formula, roark, (bare,))
    wall = rod.hollow.wall(x) if rod.hollow else None
    if wall is None:
        return solid
    left = Reckoning("wall left", wall, "m", "[hollow] wall", ROD_FILE)
    void = Reckoning("apothem of the hollow", bare.value - wall, "m", "bare apothem - wall", GEOMETRY, (bare, left))
    share = solid_share(rod, x, across)
    rule_left = "solid section modulus x (1 - (hollow/bare)^4)"
    return Reckoning("section modulus, hollow", solid.value * share, "m^3", rule_left, roark, (solid, void))


def _lever(load: Load, x: float) -> tuple[Reckoning, Reckoning]:
    """A load's mass outboard of ``x`` [m], and how far from there its centre lies [m]."""
    mass = load.mass_outboard(x)
    spread = isinstance(load, SpreadLoad)
    weight = Reckoning(
        f"mass of {load.name}", mass, "kg", "integral outboard of here" if spread else "as listed", METHOD
    )
    arm = load.moment_arm(x) / mass if mass else 0.0
    return weight, Reckoning(f"distance of {load.name}", arm, "m", "from here to its centre", GEOMETRY)

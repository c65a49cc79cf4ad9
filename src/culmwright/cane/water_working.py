"""The working behind what water does: where cane settles, and when a bundle will be dry."""

from __future__ import annotations

from culmwright.cane.air import Air, saturation_pressure
from culmwright.cane.drying import SETTLED, SHAPES, BundleDrying, DryingFit
from culmwright.cane.moisture import STAND_IN, Settled, coefficients, wood_moisture
from culmwright.measure.reckoning import COMMON_PRACTICE, MEASURED, Reckoning, span

TABLE = "Wood Handbook, FPL-GTR-282, 2021, eq. 4-5"
VAPOUR = "W. Wagner, A. Pruss 2002, eq. 2.5"
CRANK = "J. Crank, The Mathematics of Diffusion, eq. 6.20, and its last term alone"
LIKELIHOOD = "curves weighed by their likelihood"
TAKEN = "as given"
_SHAPE_RULES = {0.0: "exp(-t/T)", 1.0: "6/pi^2 sum of exp(-k^2 t/T)/k^2"}
BETWEEN = "a blend of exp(-t/T) and 6/pi^2 sum of exp(-k^2 t/T)/k^2"


def settled_working(settled: Settled, room: Air | None = None) -> Reckoning:
    """Where cane settles [kg/kg], from its air; from the air of the ``room`` where that was warmed."""
    air = settled.air
    warmth, damp = _air(air, room)
    W, K, K1, K2 = coefficients(air.temperature)
    forms = (
        ("W", W, "349 + 1.29 T + 0.0135 T^2, T in °C"),
        ("K", K, "0.805 + 0.000736 T - 0.00000273 T^2"),
        ("K1", K1, "6.27 - 0.00938 T - 0.000303 T^2"),
        ("K2", K2, "1.91 + 0.0407 T - 0.000293 T^2"),
    )
    terms = tuple(Reckoning(name, value, "-", rule, TABLE, (warmth,)) for name, value, rule in forms)
    wood = Reckoning(
        "wood settles at",
        wood_moisture(air.temperature, air.humidity),
        "kg/kg",
        "18/W [K h/(1 - K h) + (K1 K h + 2 K1 K2 K^2 h^2)/(1 + K1 K h + K1 K2 K^2 h^2)], not below 0",
        TABLE,
        (*terms, damp),
    )
    offset = Reckoning(
        "this shop's cane above wood",
        settled.offset,
        "kg/kg",
        "the shop's offset" if settled.offset else "none given",
        TAKEN,
    )
    found = Reckoning("middle for cane", settled.moisture, "kg/kg", "wood + offset, not below 0", TABLE, (wood, offset))
    rule = f"middle -/+ {100 * STAND_IN:g}%, not below 0: wood stands in for cane"
    return span("moisture cane settles at", settled.spread, "kg/kg", rule, COMMON_PRACTICE, (found,))


def _air(air: Air, room: Air | None) -> tuple[Reckoning, Reckoning]:
    """Temperature [K] and humidity [Pa/Pa] of the air cane stands in."""
    if room is None or room == air:
        warmth = Reckoning("temperature of the air", air.temperature, "K", "read off", TAKEN)
        return warmth, Reckoning("humidity h of the air", air.humidity, "Pa/Pa", "read off", TAKEN)
    cool = Reckoning("temperature of the room", room.temperature, "K", "read off", TAKEN)
    damp = Reckoning("humidity of the room", room.humidity, "Pa/Pa", "read off", TAKEN)
    warmth = Reckoning("temperature of the oven", air.temperature, "K", "read off", TAKEN)
    share = Reckoning(
        "vapour the room's air can hold, by what the oven's can",
        saturation_pressure(room.temperature) / saturation_pressure(air.temperature),
        "-",
        "p_s(room)/p_s(oven)",
        VAPOUR,
        (cool, warmth),
    )
    rule = "humidity of the room x that: no water comes or goes"
    return warmth, Reckoning("humidity h in the oven", air.humidity, "Pa/Pa", rule, VAPOUR, (damp, share))


def bundle_working(one: BundleDrying) -> dict[str, Reckoning]:
    """What a bundle's drying rests on: ``rest`` [kg/kg] where its air is known; where there is a curve ``settles`` and
    ``weigh_for`` [kg], ``moisture`` [kg/kg], ``ready`` and ``dry_in`` [s].
    """
    found: dict[str, Reckoning] = {}
    if one.settled is not None:
        found["rest"] = settled_working(one.settled, one.room)
    fit = one.fit
    if fit is None:
        return found
    first, last = one.weighings[0], one.weighings[-1]
    begun = Reckoning("mass at first", first.mass, "kg", f"weighed {first.text}", MEASURED)
    now = Reckoning("mass at last", last.mass, "kg", f"weighed {last.text}", MEASURED)
    since = Reckoning("time from first to last", last.time, "s", f"{len(one.weighings)} weighings", MEASURED)
    curve = _curve(fit, (begun, now, since))
    settles = span("mass it settles at", fit.settles, "kg", "m of nine curves in ten", LIKELIHOOD, (*curve,))
    found["settles"] = settles
    rest = found.get("rest")
    if one.target is None:
        share = Reckoning("counts as its rest", SETTLED, "kg/kg", "within this of the mass it settles at", "own choice")
        goal = span("mass to weigh for", fit.target_mass, "kg", "m (1 + that)", LIKELIHOOD, (settles, share))
    else:
        wanted = Reckoning("moisture to come to", one.target, "kg/kg", "the target", TAKEN)
        rule = "m (1 + target)/(1 + moisture it settles at)" if rest else "dry mass x (1 + target)"
        causes = (settles, wanted, *((rest,) if rest else ()))
        goal = span("mass to weigh for", fit.target_mass, "kg", rule, LIKELIHOOD, causes)
    found["weigh_for"] = goal
    if fit.moisture is not None:
        rule = "mass at last (1 + moisture it settles at)/m - 1, not below 0"
        found["moisture"] = span(
            "its moisture now",
            fit.moisture,
            "kg/kg",
            rule,
            LIKELIHOOD,
            (now, settles, rest) if rest else (now, settles),
        )
    found |= _when(fit, since, curve, goal)
    return found


def _curve(fit: DryingFit, weighed: tuple[Reckoning, ...]) -> tuple[Reckoning, ...]:
    """The likeliest curve's m and A [kg] and T [s]."""
    shape = next((_SHAPE_RULES[blend] for blend, shape in SHAPES.items() if shape is fit.shape), BETWEEN)
    rule = f"m + A left(t/T) through the weighings, left = {shape}"
    return (
        Reckoning("m, of the likeliest curve", fit.rest, "kg", rule, CRANK, weighed),
        Reckoning("A, what it has to lose", fit.loss, "kg", "the same curve", CRANK, weighed),
        Reckoning("T, its time constant", fit.constant, "s", "the same curve", CRANK, weighed),
        Reckoning("weighings miss it by", fit.scatter, "kg", "root of the mean square left", LIKELIHOOD, weighed),
    )


def _when(fit: DryingFit, since: Reckoning, curve: tuple[Reckoning, ...], goal: Reckoning) -> dict[str, Reckoning]:
    """When it comes to its goal, after the first weighing and from the last [s]."""
    rule = "t where m + A left(t/T) is the mass to weigh for"
    ready = span(
        "time until it is there, from the first weighing",
        fit.ready,
        "s",
        f"{rule}; nine curves in ten",
        LIKELIHOOD,
        (*curve, goal),
    )
    if fit.likely is None:
        return {"ready": ready}
    middle = Reckoning(
        "time as likely too short as too long", fit.likely, "s", "the middle of all curves", LIKELIHOOD, (ready,)
    )
    to_go = Reckoning(
        "time to go",
        max(fit.likely - since.value, 0.0),
        "s",
        "middle - time from first to last, not below 0",
        LIKELIHOOD,
        (middle, since),
    )
    return {"ready": ready, "dry_in": to_go}

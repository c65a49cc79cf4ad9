"""Water and heat: a bundle weighed or its weighing taken back, an oven plan, a step of heat that was done."""

from __future__ import annotations

import re
from dataclasses import replace
from functools import partial

from fastapi import Request

from culmwright.book.cautions import HEAT
from culmwright.measure.errors import BadInput, together
from culmwright.measure.quantities import Kind
from culmwright.web.rooms_form import WHEN, Field, Look, Press, Slip, Typed, beside
from culmwright.web.rooms_stage import Room, routes_of
from culmwright.workshop.bundles import SURROUNDINGS, Surroundings, bundles, keep_weighing, must_be_target, take_back
from culmwright.workshop.drying import settled_in
from culmwright.workshop.heating import ROOM as AIR
from culmwright.workshop.heating import OvenAsked, keep_heat, keep_plan, must_be_room, shop_limit, tallest
from culmwright.workshop.opening import Begun, Shop
from culmwright.workshop.water_kept import state_of

MOST_STEPS = 40
NUMBER = re.compile(r"[0-9]*[.,]?[0-9]+")


def _slips(request: Request, shop: Shop, begun: Begun) -> tuple[Slip, ...]:
    names = tuple((one.name, f"strips of {one.name}") for one in begun.rod.sections())
    weighed = tuple((one.section, f"strips of {one.section}") for one in bundles(shop, begun))
    metric = begun.rod.display.bare == "mm"
    warm, hot, rest = ("21 °C", "120 °C", "6%") if metric else ("70 °F", "250 °F", "6%")
    own, hottest = ("175 °C", "190 °C") if metric else ("350 °F", "375 °F")
    bundle = Field("bundle", "Bundle", "", Look.ONE_OF, names)
    weigh, back, plan, heat = (
        Slip(
            "weigh",
            "Weigh a bundle",
            (
                bundle,
                Field(
                    "mass",
                    "It weighs",
                    f"with the unit the scale shows, like {'88.7 g' if metric else '3.13 oz, or 88.7 g'}",
                ),
                Field("at", "When", WHEN),
                Field("room", "Temperature of the room", f"like {warm}; what is left empty stays as it was said last"),
                Field("humidity", "Humidity of the room", "relative, like 50%"),
                Field("oven", "Temperature of the oven it dries in", f"like {hot}; left empty: it dries in the room"),
                Field("target", "Moisture to come to", f"of its dry mass, like {rest}"),
            ),
            (Press("weigh", "Keep the weighing", "The weighing is kept."),),
            "A bundle is all strips of one section, tied together and weighed on the same scale each time.",
            open=state_of(shop, begun) in ("none", "half"),
        ),
        Slip(
            "back",
            "Take the newest weighing back",
            (
                Field("bundle", "Bundle", "", Look.ONE_OF, weighed),
                Field("why", "Why", "like: the scale stood on a shaving"),
            ),
            (Press("back", "Take it back", "The weighing is taken back."),),
            "It stays in the records, marked so.",
        ),
        Slip(
            "plan",
            "Plan the oven",
            (
                Field("steps", "Steps in order, one a line", f"like {hot} for 30 min", Look.LINES),
                Field("limit", "None hotter than", f"the shop's own limit, like {own}; left empty: {hottest}"),
                Field("room", "Temperature of the room", f"like {warm}; left empty: {warm}"),
                Field("humidity", "Humidity of the room", "like 50%; left empty: 50%"),
                Field("bound", "The strips lie bound in bundles", "", Look.TICK),
                Field("fan", "The oven has a fan that moves its air", "", Look.TICK),
            ),
            (Press("plan", "Keep the plan", "The oven plan is kept."),),
            "The newest plan counts. Strips of the rod's greatest height are reckoned with: they lag the most.",
            caution=HEAT,
        ),
        Slip(
            "heat",
            "Heat that was done",
            (
                Field("bundle", "Bundle", "", Look.ONE_OF, (("", "all of them"), *names)),
                Field("done", "What was done", f"as the oven's thermometer had it, like {hot} for 30 min"),
                Field("words", "In words", "colour, smell, anything odd; may be left empty"),
                Field("at", "When", WHEN),
            ),
            (Press("heat", "Keep it", "The heat is in the record."),),
            caution=HEAT,
        ),
    )
    return (weigh, back, plan, heat) if weighed else (weigh, plan, heat)


def _weigh(shop: Shop, begun: Begun, typed: Typed) -> None:
    said = {name: typed.text(name) for name in SURROUNDINGS if typed.text(name)}
    together(
        partial(_mass, typed),
        partial(typed.moment, "at"),
        *(partial(typed.quantity, name, SURROUNDINGS[name]) for name in said),
        partial(_target, typed),
    )
    air = {name: typed.quantity(name, SURROUNDINGS[name]) for name in said}
    at = typed.moment("at")
    before = [one.said for one in bundles(shop, begun) if one.section == typed.text("bundle")]
    around = replace(before[0], **air) if before else Surroundings(**air)
    if around.oven is not None and around.room is None:
        raise BadInput("an oven's air comes from the room", where="room", remedy="Give the room's temperature")
    for one, other in (("room", "humidity"), ("humidity", "room")):
        if getattr(around, one) is not None and getattr(around, other) is None:
            raise BadInput(f"the {one} alone does not tell", where=other, remedy="Give both, or neither")
    with beside("oven" if "oven" in said else "humidity"):
        settled_in(around)  # air that cannot be keeps no weighing
    with beside("mass"):
        keep_weighing(shop, begun, typed.text("bundle"), typed.text("mass"), at=at, said=said, id=typed.id)


def _target(typed: Typed) -> None:
    if (target := typed.quantity("target", SURROUNDINGS["target"])) is not None:
        with beside("target"):
            must_be_target(target)


def _mass(typed: Typed) -> None:
    mass = typed.words("mass", "Give it with its unit, like 88.7 g")
    if NUMBER.fullmatch(mass):
        remedy = f"Write {mass} g, or {mass} oz, as the scale shows it"
        raise BadInput(f"{mass} needs its unit", where="mass", remedy=remedy)


def _back(shop: Shop, begun: Begun, typed: Typed) -> None:
    why = typed.words("why", "Say why in a few words")
    with beside("bundle"):
        take_back(shop, begun, typed.text("bundle"), why, id=typed.id)


def _plan(shop: Shop, begun: Begun, typed: Typed) -> None:
    steps = tuple(line.strip() for line in typed.text("steps").splitlines() if line.strip())
    if not 0 < len(steps) <= MOST_STEPS:
        raise BadInput("there is no step to plan", where="steps", remedy=f"Give 1 to {MOST_STEPS}, one a line")
    limit = typed.quantity("limit", Kind.TEMPERATURE)
    room, humidity = typed.quantity("room", Kind.TEMPERATURE), typed.quantity("humidity", Kind.HUMIDITY)
    with beside("limit"):
        highest = shop_limit(limit)
    if room is not None:
        with beside("room"):
            must_be_room(room)
    asked = OvenAsked(
        steps,
        tallest(begun.rod),
        begun.rod.sides,
        typed.ticked("bound"),
        typed.ticked("fan"),
        highest,
        AIR.temperature if room is None else room,
        AIR.humidity if humidity is None else humidity,
        0.0,
    )
    with beside("steps"):
        keep_plan(shop, begun, asked, id=typed.id)


def _heat(shop: Shop, begun: Begun, typed: Typed) -> None:
    at, step = typed.moment("at"), typed.words("done", "Write it like 250 F for 30 min, or 120 C for 30 min")
    with beside("done"):
        keep_heat(
            shop,
            begun,
            step,
            section=typed.text("bundle") or None,
            words=" ".join(typed.text("words").split()) or None,
            at=at,
            id=typed.id,
        )


ROOM = Room("water", _slips, {"weigh": _weigh, "back": _back, "plan": _plan, "heat": _heat})
router = routes_of(ROOM)

"""Weighings of a rod's bundles in the shop: kept as dockets, read back in the order they were made.

A bundle is the strips of one section, weighed together. A weighing may say what air the bundle stood in; the newest
that does speaks for it.
"""

from __future__ import annotations

import json
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from datetime import datetime

from culmwright.cane.swelling import SATURATION
from culmwright.cane.weighing import Weighing, in_order, must_be_near, weighed
from culmwright.ledger.dockets import Docket, dockets, keep_docket, withdraw_docket
from culmwright.ledger.records import now as this_moment
from culmwright.ledger.shop import Shop
from culmwright.measure.errors import BadInput
from culmwright.measure.quantities import Kind, parse_quantity
from culmwright.measure.record import si
from culmwright.workshop.noting import must_be_there
from culmwright.workshop.opening import Begun

KIND = "weighing"
SURROUNDINGS: Mapping[str, Kind] = {
    "room": Kind.TEMPERATURE,
    "humidity": Kind.HUMIDITY,
    "oven": Kind.TEMPERATURE,
    "target": Kind.MOISTURE,
    "offset": Kind.MOISTURE,
}
"""What may be said beside a mass, as typed."""


@dataclass(frozen=True, slots=True)
class Surroundings:
    """What a bundle dries in and to: the ``room``'s temperature and ``humidity``, the ``oven``'s temperature if it is
    in one, the ``target`` moisture, and the ``offset`` of the shop's cane above wood; None where nobody said.
    """

    room: float | None = si("K", required=False)
    humidity: float | None = si("-", required=False)
    oven: float | None = si("K", required=False)
    target: float | None = si("-", required=False)
    offset: float | None = si("-", required=False)


@dataclass(frozen=True, slots=True)
class Bundle:
    """A bundle as the shop knows it: the ``section`` it is, its weighings, and what was said of its air."""

    section: str
    weighings: tuple[Weighing, ...]
    said: Surroundings = Surroundings()


def keep_weighing(
    shop: Shop,
    begun: Begun,
    section: str,
    mass: str,
    *,
    at: datetime | None = None,
    said: Mapping[str, str] | None = None,
    id: str | None = None,
) -> Bundle:
    """Keep what the bundle of a ``section`` weighs, ``mass`` as typed; the bundle with it.

    ``said`` holds texts by the names of :data:`SURROUNDINGS`. Raises :class:`BadInput`, and keeps nothing, for a mass
    or a time that does not go with the weighings before and after it.
    """
    must_be_there(begun.rod, section)
    weighed(mass)
    texts = {name: text for name, text in (said or {}).items() if text}
    around = _surroundings([texts])
    if around.target is not None:
        must_be_target(around.target)
    moment = (at or this_moment()).astimezone()
    before = _kept(shop, begun, section)
    if id is None or all(one.id != id for one in before):
        every = _ordered([*((one.at, _content(one)["mass"]) for one in before), (moment, mass)])
        must_be_near(every, [f"weighing of {one.at:%Y-%m-%d %H:%M}" for one in every])
    text = json.dumps({"mass": mass.strip(), **texts}, ensure_ascii=False)
    keep_docket(shop, KIND, text, id=id, rod=begun.revision.rod, section=section, at=moment)
    return _bundle(section, _kept(shop, begun, section))


def must_be_target(target: float) -> None:
    """Refuse to dry to a moisture [-] of wet cane: past fibre saturation water only fills its pores."""
    if target > SATURATION:
        raise BadInput(
            f"a target of {100 * target:.3g}% is wet: from about {100 * SATURATION:.0f}% on cane is wet through",
            where="target",
            remedy="Give what the strips are to dry to, like 6%",
        )


def take_back(shop: Shop, begun: Begun, section: str, why: str, id: str | None = None) -> Bundle | None:
    """Take the newest weighing of a bundle back; what is left of the bundle, None if nothing is."""
    kept = _kept(shop, begun, section)
    if not kept:
        raise BadInput(f"bundle {section} was not weighed yet", remedy="Nothing was taken back")
    withdraw_docket(shop, max(kept, key=lambda one: one.at).seq, why, id=id)
    rest = _kept(shop, begun, section)
    return _bundle(section, rest) if rest else None


def bundles(shop: Shop, begun: Begun, section: str | None = None) -> tuple[Bundle, ...]:
    """The bundles of a rod that were weighed, in the order of its sections; or the one of a ``section``."""
    must_be_there(begun.rod, section)
    names = [one.name for one in begun.rod.sections() if section in (None, one.name)]
    found = ((name, _kept(shop, begun, name)) for name in names)
    return tuple(_bundle(name, kept) for name, kept in found if kept)


def _kept(shop: Shop, begun: Begun, section: str) -> tuple[Docket, ...]:
    return tuple(sorted(dockets(shop, KIND, rod=begun.revision.rod, section=section), key=lambda one: one.at))


def _content(docket: Docket) -> dict[str, str]:
    return {str(key): str(value) for key, value in json.loads(docket.text).items()}


def _bundle(section: str, kept: tuple[Docket, ...]) -> Bundle:
    contents = [_content(one) for one in kept]
    made = _ordered([(one.at, content["mass"]) for one, content in zip(kept, contents, strict=True)])
    return Bundle(section, made, _surroundings(contents))


def _ordered(found: list[tuple[datetime, str]]) -> tuple[Weighing, ...]:
    found = sorted(found, key=lambda one: one[0])
    first = found[0][0]
    made = [Weighing((at - first).total_seconds(), weighed(mass), mass, at) for at, mass in found]
    return in_order(made, [f"weighing of {one[0]:%Y-%m-%d %H:%M}" for one in found])


def _surroundings(contents: list[dict[str, str]]) -> Surroundings:
    said: dict[str, float] = {}
    for content in contents:
        for name, kind in SURROUNDINGS.items():
            if name in content:
                said[name] = _read(parse_quantity, name, content[name], kind)
    return Surroundings(**said)


def _read(parse: Callable[[object, Kind], float], name: str, text: str, kind: Kind) -> float:
    try:
        return parse(text, kind)
    except BadInput as fault:
        raise fault.at(name) from None

"""``heat``: a plan of oven steps, and the record of those that were done."""

from __future__ import annotations

import json
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime

from culmwright.bench.targets import schedule
from culmwright.cane.air import CELSIUS, Air
from culmwright.cane.heating import LIMIT, HeatPlan, Step, cautions_at, check_limit, parse_step, plan_heat
from culmwright.cane.lag import Body, bundle, one_strip
from culmwright.design.rod import Rod, default_apex
from culmwright.ledger.dockets import dockets, keep_docket
from culmwright.ledger.happenings import events
from culmwright.ledger.records import EventKind
from culmwright.ledger.shop import Shop
from culmwright.measure.errors import BadInput
from culmwright.measure.record import si
from culmwright.workshop.noting import note
from culmwright.workshop.opening import Begun

ROOM = Air(CELSIUS + 21.0, 0.50)
"""The room where none is said: 70 °F, 50 %."""
HOTTEST_ROOM = CELSIUS + 50.0
"""No room to work in is hotter [K] (own choice)."""
PLAN = "oven plan"
USUAL_HEIGHT = 0.00508
"""Strip height [m] where none is given: 0.200 in, a butt strip roughed (own choice)."""
LEAST_HEIGHT, MOST_HEIGHT = 0.0005, 0.03  # [m] of a strip
HOTTEST_DONE, LONGEST_DONE = CELSIUS + 400.0, 30 * 86_400.0  # beyond is a slip of the key


@dataclass(frozen=True, slots=True)
class HeatDone:
    """A step that was done: the ``bundle`` or None for all, what the oven was at and for how long, and in words.

    ``temperature`` and ``hold`` are None where the log says it in words only.
    """

    at: datetime
    bundle: str | None
    temperature: float | None = si("K")
    hold: float | None = si("s")
    words: str = si("")
    cautions: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Heating:
    """A plan, None where no step was asked for, and what was ``done`` to the rod, oldest first."""

    plan: HeatPlan | None
    done: tuple[HeatDone, ...] = ()


def body_of(height: float | None = None, sides: int = 6, *, bound: bool = False) -> Body:
    """What lies in the oven: a strip ``height`` [m] high, or all of a section ``bound`` together."""
    if sides not in (4, 5, 6):
        raise BadInput(f"{sides} sides are not made here", where="sides", remedy="Give 4, 5 or 6")
    tall = USUAL_HEIGHT if height is None else height
    if not LEAST_HEIGHT <= tall <= MOST_HEIGHT:
        raise BadInput(f"a strip of {1000 * tall:.4g} mm is none", where="height", remedy="Give it with its unit")
    return bundle(tall, sides) if bound else one_strip(tall, default_apex(sides))


def tallest(rod: Rod) -> float:
    """The tallest roughed strip of a rod [m]: what lags most."""
    return max(one.rough_height for section in schedule(rod).sections for one in section.stations)


def heat(
    steps: Sequence[str | Step],
    body: Body,
    room: Air = ROOM,
    *,
    fan: bool = False,
    limit: float = LIMIT,
    offset: float = 0.0,
) -> HeatPlan:
    """The plan for ``steps``, typed such as ``250 F for 30 min``; ``limit`` [K] and ``offset`` [-] are the shop's.

    Raises :class:`BadInput` for a step above the limit.
    """
    asked = [one if isinstance(one, Step) else parse_step(one, f"step {i}") for i, one in enumerate(steps, 1)]
    return plan_heat(asked, body, room, fan=fan, limit=limit, offset=offset)


def keep_heat(
    shop: Shop,
    begun: Begun,
    step: str,
    *,
    section: str | None = None,
    words: str | None = None,
    at: datetime | None = None,
    id: str | None = None,
) -> HeatDone:
    """Put a step that was done into the log of a rod; whatever the heat was, for a record keeps what happened."""
    done = parse_step(step, "done")
    if not (CELSIUS < done.temperature <= HOTTEST_DONE and 0 < done.hold <= LONGEST_DONE):
        raise BadInput(f'"{step}" is nothing an oven does', where="done", remedy="Write it like 250 F for 30 min")
    text = done.text if not words else f"{done.text}; {words}"
    event = note(shop, begun, EventKind.HEATED, section=section, words=text, at=at, id=id)
    return _done(event.entry.at, section, text)


def heated(shop: Shop, begun: Begun) -> tuple[HeatDone, ...]:
    """What the log of a rod says of heat, oldest first."""
    kept = sorted(events(shop, begun.revision.rod, kinds=(EventKind.HEATED,)), key=lambda one: one.entry.at)
    return tuple(_done(one.entry.at, one.entry.section, one.entry.note or "heated") for one in kept)


def _done(at: datetime, section: str | None, text: str) -> HeatDone:
    try:
        step = parse_step(text.partition(";")[0])
    except BadInput:
        return HeatDone(at, section, None, None, text)
    return HeatDone(at, section, step.temperature, step.hold, text, cautions_at(step.temperature))


def shop_limit(limit: float | None) -> float:
    """The limit [K] of this shop's oven: as given, checked, or 375 °F."""
    return LIMIT if limit is None else check_limit(limit)


@dataclass(frozen=True, slots=True)
class OvenAsked:
    """An oven plan as asked for: its ``steps`` as typed, the strip's ``height``, how it lies, and the shop's limit."""

    steps: tuple[str, ...]
    height: float = si("m")
    sides: int = si("-")
    bound: bool = si("")
    fan: bool = si("")
    limit: float = si("K")
    room: float = si("K")
    humidity: float = si("-")
    offset: float = si("-")

    def plan(self) -> HeatPlan:
        """The plan it makes."""
        body = body_of(self.height, self.sides, bound=self.bound)
        air = Air(self.room, self.humidity)
        return heat(self.steps, body, air, fan=self.fan, limit=shop_limit(self.limit), offset=self.offset)


def must_be_room(temperature: float) -> None:
    """Refuse a ``temperature`` [K] that no room has: the oven's, or a slip of the unit."""
    if temperature > HOTTEST_ROOM:
        raise BadInput(
            f"a room is not at {temperature - CELSIUS:.0f} °C",
            where="room",
            remedy=f"Give the room's temperature, {HOTTEST_ROOM - CELSIUS:.0f} °C at most; the oven's is in the steps",
        )


def keep_plan(shop: Shop, begun: Begun, asked: OvenAsked, at: datetime | None = None, id: str | None = None) -> None:
    """Keep the oven plan of a rod; the newest one counts."""
    must_be_room(asked.room)
    asked.plan()  # what cannot be planned is not kept
    said = {name: getattr(asked, name) for name in OvenAsked.__dataclass_fields__}
    keep_docket(shop, PLAN, json.dumps(said), id=id, rod=begun.revision.rod, at=at)


def plan_kept(shop: Shop, begun: Begun) -> HeatPlan | None:
    """The newest oven plan kept for a rod, None if there is none."""
    kept = dockets(shop, PLAN, rod=begun.revision.rod)
    if not kept:
        return None
    said = json.loads(kept[-1].text)
    return OvenAsked(**{**said, "steps": tuple(said["steps"])}).plan()

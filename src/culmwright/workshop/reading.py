"""``read``: a session at the bench on a rod."""

from __future__ import annotations

from culmwright.bench.judge import Stage as Stage
from culmwright.bench.walk import Inner as Inner
from culmwright.bench.walk import Order as Order
from culmwright.bench.walk import Stretch
from culmwright.design.rod import Rod
from culmwright.ledger.readings import current
from culmwright.ledger.register import Gauge, add_gauge, gauges, person_named
from culmwright.ledger.shop import Shop
from culmwright.measure.errors import BadInput
from culmwright.measure.spot import Spot
from culmwright.workshop.opening import Begun
from culmwright.workshop.session import Session, Task

UNITS = ("in", "mm")
"""What a gauge can be declared to show."""


def read(
    shop: Shop,
    begun: Begun,
    stage: Stage = Stage.ROUGH,
    sections: tuple[str, ...] = (),
    strips: tuple[int, ...] = (),
    *,
    cut: int | None = None,
    order: Order | None = None,
    start: Spot | None = None,
    gauge: str | None = None,
    gauge_unit: str | None = None,
    person: str | None = None,
) -> Session:
    """Begin reading a rod at a ``stage``: all sections and strips, or those named, after pass number ``cut``.

    Without a ``cut`` it goes on with the newest pass that has cells open, else begins the next. Raises
    :class:`BadInput` for sections and strips the rod does not have.
    """
    rod = begun.rod
    plan = plan_of(rod, sections, strips)
    known = None if gauge is None else the_gauge(shop, gauge, gauge_unit)
    task = Task(stage, cut or _next_cut(shop, begun, stage, plan), plan, order or Order())
    session = Session(
        shop,
        begun,
        task,
        bare=known.unit if known else gauge_unit,
        gauge=known.id if known else None,
        person=None if person is None else person_named(shop, person).id,
    )
    if start is not None:
        session.go(start)
    return session


def the_gauge(shop: Shop, name: str, unit: str | None) -> Gauge:
    """The gauge of that name, entered now with its declared ``unit`` if it is new.

    Raises :class:`BadInput` for a new gauge without a unit, and for a unit other than the one declared.
    """
    known = next((one for one in gauges(shop) if one.name == name), None)
    if known is None:
        if unit not in UNITS:
            raise BadInput(f"gauge {name} is new here", remedy="Say what it shows with --gauge-unit in or mm")
        return add_gauge(shop, name, unit)
    if unit is not None and unit != known.unit:
        raise BadInput(
            f"gauge {name} was declared to show {known.unit}", remedy="Leave --gauge-unit out, or name another gauge"
        )
    return known


def plan_of(rod: Rod, sections: tuple[str, ...], strips: tuple[int, ...]) -> tuple[Stretch, ...]:
    """What is walked: all sections and strips, or those named. Raises :class:`BadInput` for those it does not have."""
    count = rod.sides + rod.bench.spares
    every = {section.name: section for section in rod.sections()}
    if unknown := [name for name in sections if name not in every]:
        raise BadInput(f"this rod has no section {unknown[0]}", remedy=f"Its sections are {', '.join(every)}")
    if unknown_strips := [one for one in strips if not 1 <= one <= count]:
        raise BadInput(f"a section has {count} strips, not a strip {unknown_strips[0]}", remedy=f"Name 1 to {count}")
    chosen = strips or tuple(range(1, count + 1))
    return tuple(Stretch(name, chosen, every[name].stations) for name in sections or every)


def _next_cut(shop: Shop, begun: Begun, stage: Stage, plan: tuple[Stretch, ...]) -> int:
    """The newest pass read on these cells, or the one after it if none of its cells is open."""
    wanted = {(one.section, strip, place) for one in plan for strip in one.strips for place in one.stations}
    filled: dict[int, set[tuple[str, int | None, object]]] = {}
    for reading in current(shop, begun.revision.id, stage=stage.value):
        cell = reading.entry.cell
        filled.setdefault(cell.pass_number, set()).add((cell.section, cell.strip, cell.station))
    newest = max(filled, default=1)
    return newest + 1 if wanted <= filled.get(newest, set()) else newest

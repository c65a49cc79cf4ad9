"""How a rod bends and swings, put together for its book."""

from __future__ import annotations

from culmwright.book.behaviour_leaves import behaviour_leaves
from culmwright.book.contents import Behaviour, BentOnce, Swing
from culmwright.book.leaf import Leaf
from culmwright.book.ruler import Ruler
from culmwright.design.rod import Rod
from culmwright.ledger.shop import Shop
from culmwright.measure.display import Display
from culmwright.measure.errors import AnswerIsNo
from culmwright.mechanics.guide_plan import GuidePlan, guide_plan
from culmwright.mechanics.oversize import oversize
from culmwright.workshop.bending import Bend, bend, first_bend
from culmwright.workshop.bouncing import bounce, first_bounce
from culmwright.workshop.guiding import LINE
from culmwright.workshop.opening import Begun

LOADS = {"in": (0.0, 1.0, 2.0, 4.0), "mm": (0.0, 25.0, 50.0, 100.0)}
"""Hanging loads a rod is drawn under, in the unit it is shown in: ounces, grams."""

STEPS = {"in": 2.54e-5, "mm": 2e-5}
"""How much more across is told of [m]: a thousandth of an inch, two hundredths of a millimetre."""


def first_behaviour() -> bool:
    """True if the next book on this machine has to wait for its mechanics to be compiled, once."""
    return first_bend() or first_bounce()


def behaviour_of(rod: Rod, show: Display, tip: int = 1) -> Behaviour | None:
    """Bent shapes, share of the bend, load curve and modes of a rod with ``tip``; None where no rest is found for it.

    Loads that would take it beyond its stress limit are left out.
    """
    try:
        bent = [bend(rod, load * show.load.si, tip=tip) for load in LOADS[show.bare]]
        swung = bounce(rod, tip=tip)
    except AnswerIsNo:
        return None
    shown = [one for one in bent if _bears(one)]
    if len(shown) < 2:
        return None
    last = shown[-1]
    limit = None
    if last.limit_load is not None and last.limit_station is not None:
        limit = (last.limit_load, last.limit_station)
    return Behaviour(
        tip=tip,
        shapes=tuple(
            BentOnce(one.load, one.shape.x, one.shape.y, one.shape.s, one.shape.angle, one.shape.stress)
            for one in shown
            if one.shape is not None
        ),
        shares=tuple(
            (min(one.station, one.to_station), max(one.station, one.to_station), one.share) for one in last.shares
        ),
        half_station=last.half_station,
        curve=tuple((one.load, one.drop) for one in last.curve),
        limit=limit,
        stress_limit=last.stress_limit,
        modes=tuple(Swing(one.frequency, one.cycles_per_minute, swung.s, one.shape) for one in swung.modes),
        oversize=oversize(rod, shown[1].load, STEPS[show.bare], tip),
        notes=tuple(dict.fromkeys((*last.notes, *swung.notes))),
    )


def tips_of(rod: Rod) -> tuple[int, ...]:
    """The tips that differ, by number; the first alone where they are all alike."""
    return tuple(range(1, rod.tips + 1)) if rod.tip_tapers else (1,)


def rod_leaves(rod: Rod, show: Display, ruler: Ruler) -> tuple[Leaf, ...]:
    """How ``rod`` behaves with each of its tips that differ, at the width of ``ruler``."""
    seen = (behaviour_of(rod, show, tip) for tip in tips_of(rod))
    return behaviour_leaves(rod, [one for one in seen if one is not None], ruler, show)


def leaves_of(shop: Shop, begun: Begun, ruler: Ruler) -> tuple[Leaf, ...]:
    """How a rod of the ``shop`` behaves, as it was frozen."""
    return rod_leaves(begun.rod, begun.rod.display, ruler)


def guides_of(rod: Rod, show: Display) -> GuidePlan | None:
    """Ways to place the guides of a rod held level, under a line that hangs; None where there is no even one."""
    plan = guide_plan(rod, LINE[show.bare] * show.load.si, metric=show.bare == "mm")
    return None if plan.reason else plan


def _bears(one: Bend) -> bool:
    return one.converged and one.shape is not None and (one.limit_load is None or one.load <= one.limit_load)

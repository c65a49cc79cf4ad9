"""``passes``: the pass plan of a strip."""

from __future__ import annotations

from culmwright.bench.passes import PassPlan as PassPlan
from culmwright.bench.passes import depth_words as depth_words
from culmwright.bench.passes import depths_for, plan_passes
from culmwright.design.rod import Cutter as Cutter
from culmwright.design.rod import default_apex
from culmwright.design.strip import StripForm
from culmwright.measure.errors import BadInput
from culmwright.measure.reach import Size, must_reach


def passes(
    now: float,
    target: float,
    sides: int = 6,
    cutter: Cutter = Cutter.FLAT,
    wet: bool = False,
    strips: int = 1,
    length: float | None = None,
    metric: bool = False,
) -> PassPlan:
    """Passes from strip height ``now`` [m] to ``target`` [m]; strips are ``length`` [m] each.

    ``metric`` plans for a dial in millimetres.

    Raises :class:`BadInput` for sides other than 4, 5 or 6 and for heights that no strip has.
    """
    if sides not in (4, 5, 6):
        raise BadInput(f"{sides} sides are not made here", where="sides", remedy="Give 4, 5 or 6")
    for name, height in (("now", now), ("target", target)):
        must_reach(Size.STRIP, height, "mm" if metric else "in", name)
    return plan_passes(
        now, target, StripForm(sides, default_apex(sides)), cutter, depths_for(wet=wet, metric=metric), strips, length
    )

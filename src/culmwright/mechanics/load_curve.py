"""Loads found from what they do: the quarter load, and the load-drop curve up to the stress limit."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace

import numpy as np

from culmwright.measure.errors import AnswerIsNo
from culmwright.mechanics.beam import SAME_PLACE, Beam
from culmwright.mechanics.statics import Bent, Load, bend_beam

BUDGET = 60
"""The most loads tried for one answer."""
POINTS = 24
"""Points of a curve beyond its first."""
FARTHEST_DROP = 0.75
"""Without a stress limit a curve ends where the tip has come down by this much of the length [-]."""
EXACT = 1e-9
"""How near a load is found, of itself [-]."""


@dataclass(frozen=True, slots=True)
class LoadCurve:
    """Hanging loads [N] and the tip's drop [m] under each, from none to where it ends, at attitude 0.

    ``limit_place`` [m] from the clamp is where the stress limit is met first, by ``limit_load`` [N]; both None
    where there is no limit or own weight is beyond it.
    """

    loads: tuple[float, ...]
    drops: tuple[float, ...]
    limit_load: float | None = None
    limit_place: float | None = None


def quarter_load(beam: Beam, weight: bool = True) -> Bent:
    """The beam, held level, under the hanging load that lowers its tip by ``L/4`` below its place without the load.

    Its ``load.pull`` [N] is the quarter load. Raises :class:`AnswerIsNo` where own weight leaves no quarter to fall.
    """
    rest = bend_beam(beam, Load(weight=weight))
    wanted = rest.tip_drop + beam.length / 4
    if wanted > 0.98 * beam.length:
        raise AnswerIsNo("under its own weight the tip already hangs too low to come down by another quarter")
    return _where(rest, lambda bent: bent.tip_drop - wanted, beam)


def load_curve(beam: Beam, limit: float | None, weight: bool = True) -> LoadCurve:
    """The load-drop curve of ``beam`` held level, up to the first place that meets the stress ``limit`` [Pa].

    Without a limit up to a drop of three quarters of the length.
    """
    rest = bend_beam(beam, Load(weight=weight))
    if limit is not None and rest.stress().max() >= limit:
        return LoadCurve((0.0,), (rest.tip_drop,))
    if limit is None:
        wanted = max(FARTHEST_DROP * beam.length, (rest.tip_drop + beam.length) / 2)
        last = _where(rest, lambda bent: bent.tip_drop - wanted, beam)
    else:
        last = _where(rest, lambda bent: float(bent.stress().max()) / limit - 1.0, beam)
    loads = [last.load.pull * (i / POINTS) ** 2 for i in range(POINTS + 1)]  # closer where the rod gives most
    bents = [rest]
    for load in loads[1:]:
        bents.append(bend_beam(beam, replace(rest.load, pull=load), bents[-1]))
    place = float(beam.s[int(np.argmax(last.stress()))]) if limit is not None else None
    return LoadCurve(
        tuple(loads),
        tuple(one.tip_drop for one in bents),
        last.load.pull if limit is not None else None,
        place,
    )


def nearest(places: list[float], place: float) -> float:
    """The one of ``places`` [m] nearest to ``place`` [m]; of two equally near, the first."""
    return min(places, key=lambda one: (round(abs(one - place) / SAME_PLACE), one))


def _where(rest: Bent, miss: Callable[[Bent], float], beam: Beam) -> Bent:
    """The rest under the smallest hanging load at which ``miss`` [-], which grows with the load, is zero."""
    low, low_miss = rest, miss(rest)
    step = float(beam.stiff[:, 0].min() / beam.length) * 1e-3
    high = rest
    high_miss = low_miss
    for _ in range(BUDGET):
        high = bend_beam(beam, replace(rest.load, pull=low.load.pull + step), low)
        high_miss = miss(high)
        if high_miss >= 0:
            break
        low, low_miss = high, high_miss
        step *= 2
    else:
        raise AnswerIsNo("no load is found that does this")
    for i in range(BUDGET):
        a, b = low.load.pull, high.load.pull
        guess = b - high_miss * (b - a) / (high_miss - low_miss) if i % 3 < 2 else (a + b) / 2
        if not a < guess < b:
            guess = (a + b) / 2
        found = bend_beam(beam, replace(rest.load, pull=guess), low)
        found_miss = miss(found)
        if b - a < EXACT * b or abs(found_miss) < EXACT * beam.length:
            return found
        if found_miss < 0:
            low, low_miss = found, found_miss
        else:
            high, high_miss = found, found_miss
    return high

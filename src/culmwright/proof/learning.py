"""What the finished rods of a shop say about its hands and rigs: scatter, and bias with the evidence for it.

Strips of a section cut at one setting of one rig are a run. In a run, strip ``i`` at station ``s`` stands over its
target by ``y = m_s + b_i + e_is``: the setting's own error along the section, the strip's, and the rest. By the
two-way analysis of variance without repetition (NIST/SEMATECH *e-Handbook*, 7.4.3; from memory),

    within^2 = MS_rest,    between^2 = (MS_strips - MS_rest) / stations

pooled over runs by their degrees of freedom. What is alike for all strips of a run is one piece of evidence, however
many strips it has: the bias of a rig in a quarter of the section is the mean of its runs, its doubt their standard
deviation over ``sqrt(runs)``, and it is told where it lies beyond Student's t at 95 % (JCGM 100:2008, G.3). The
correction is then to aim as much the other way.
"""

from __future__ import annotations

import itertools
from collections.abc import Sequence
from dataclasses import dataclass
from math import sqrt

import numpy as np

from culmwright.measure.record import si
from culmwright.mechanics.beam import Array

QUARTERS = (0.0, 0.25, 0.5, 0.75, 1.0)
FEWEST_RUNS = 3
"""With fewer no bias is told: two settings may agree by chance (own choice)."""
CONFIDENCE = 0.95


@dataclass(frozen=True, slots=True)
class StripRun:
    """The strips of a ``section`` finished at one setting of a ``rig`` ("" where none was noted).

    ``places`` are its stations as shares of the section from its tip end [-], ``over`` [m] how much each strip (row)
    stands over its target at each station.
    """

    rod: str
    section: str
    rig: str
    places: Array
    over: Array


@dataclass(frozen=True, slots=True)
class QuarterBias:
    """A quarter of a section, ``start`` to ``end`` as shares from its tip end: the ``bias`` of ``runs`` there [m].

    ``doubt`` [m] is its standard uncertainty, None for a single run; ``aim`` [m] what to add to the target of the next
    rod, 0 where no bias is told.
    """

    start: float
    end: float
    runs: int
    bias: float = si("m")
    doubt: float | None = si("m")
    aim: float = si("m")

    @property
    def told(self) -> bool:
        """True where the evidence is enough to correct for."""
        return self.aim != 0.0


@dataclass(frozen=True, slots=True)
class RigLesson:
    """What the runs of one ``rig`` say: strip against strip ``between`` and along a strip ``within`` [m], or None where
    no run has two strips read at two stations; and the bias by quarters.
    """

    rig: str
    rods: tuple[str, ...]
    runs: int
    strips: int
    between: float | None = si("m")
    within: float | None = si("m")
    quarters: tuple[QuarterBias, ...] = ()


def lessons(runs: Sequence[StripRun]) -> tuple[RigLesson, ...]:
    """One lesson for every rig, in the order the rigs come in."""
    return tuple(
        _lesson(rig, [one for one in runs if one.rig == rig]) for rig in dict.fromkeys(one.rig for one in runs)
    )


def _lesson(rig: str, runs: list[StripRun]) -> RigLesson:
    between, within = scatter(runs)
    return RigLesson(
        rig,
        tuple(dict.fromkeys(one.rod for one in runs)),
        len(runs),
        sum(len(one.over) for one in runs),
        between,
        within,
        tuple(
            found
            for start, end in itertools.pairwise(QUARTERS)
            for found in [_bias(runs, start, end)]
            if found is not None
        ),
    )


def scatter(runs: Sequence[StripRun]) -> tuple[float | None, float | None]:
    """Standard deviation strip against strip, and along a strip [m]; None where nothing says it."""
    rest = strips = weight = 0.0
    free_rest = free_strips = 0
    for run in runs:
        count, stations = run.over.shape
        if count < 2 or stations < 2:
            continue
        left = run.over - run.over.mean(axis=0)
        of_strips = left.mean(axis=1)
        strips += stations * float((of_strips**2).sum())
        rest += float(((left - of_strips[:, None]) ** 2).sum())
        free_strips += count - 1
        free_rest += (count - 1) * (stations - 1)
        weight += (count - 1) * stations
    if not free_rest:
        return None, None
    ms_rest = rest / free_rest
    ms_strips = strips / free_strips
    return sqrt(max((ms_strips - ms_rest) * free_strips / weight, 0.0)), sqrt(ms_rest)


def _bias(runs: list[StripRun], start: float, end: float) -> QuarterBias | None:
    from scipy.stats import t

    last = end == QUARTERS[-1]
    means = []
    for run in runs:
        here = (run.places >= start) & ((run.places <= end) if last else (run.places < end))
        if here.any() and run.over.size:
            means.append(float(run.over[:, here].mean()))
    if not means:
        return None
    bias, count = float(np.mean(means)), len(means)
    doubt = float(np.std(means, ddof=1)) / sqrt(count) if count > 1 else None
    known = count >= FEWEST_RUNS and doubt is not None
    told = known and abs(bias) > float(t.ppf((1 + CONFIDENCE) / 2, count - 1)) * (doubt or 0.0)
    return QuarterBias(start, end, count, bias, doubt, -bias if told else 0.0)

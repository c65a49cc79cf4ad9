"""The pass plan: from the height a strip has to the height it should have, pass by pass.

No pass goes deeper than the cane allows, none goes below the target, and a flat iron's passes come in pairs of
equal depth, one on each flank.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import ceil, isfinite

from culmwright.design.rod import Cutter, default_apex
from culmwright.design.strip import StripForm
from culmwright.measure.display import Display
from culmwright.measure.errors import BadInput
from culmwright.measure.record import si
from culmwright.rigs.cutter import fall_per_depth, strokes_per_round

THOU = 25.4e-6  # [m]
SAME = 1e-12  # [m] heights closer than this are one height: far below any gauge, far above float noise
TOO_THIN = 1.0 * THOU  # [m] an edge rubs instead of cutting below about this (common practice, no source)
MOST_ROUNDS = 2000  # rounds beyond which the wish is a slip of the pen


@dataclass(frozen=True, slots=True)
class Depths:
    """How deep the cane lets a pass go: ``coarse`` [m] over and over, then each of ``closing`` [m] once."""

    name: str
    coarse: float
    closing: tuple[float, ...]


WET = Depths("soaked", 10 * THOU, (8 * THOU, 6 * THOU, 4 * THOU))
DRY = Depths("dry", 4 * THOU, ())
"""Depths of a pass for a soaked and for a dry strip: 10, 8, 6, 4 thou (common practice, no source)."""

WET_METRIC = Depths("soaked", 0.25e-3, (0.20e-3, 0.15e-3, 0.10e-3))
DRY_METRIC = Depths("dry", 0.10e-3, ())
"""The same within what a metric dial sets: each a hair under its inch fellow."""


def depths_for(*, wet: bool, metric: bool) -> Depths:
    """The depths for a soaked or dry strip, on a dial in inches or in millimetres."""
    if metric:
        return WET_METRIC if wet else DRY_METRIC
    return WET if wet else DRY


@dataclass(frozen=True, slots=True)
class PassPlan:
    """Passes from ``now`` to ``target``, and what they cost.

    ``passes`` are depths in order, square to the flank for a flat iron and falls of the stop for a two-edged cutter;
    ``heights`` the strip height after each; ``cane`` is soaked or dry and ``deepest`` how deep it lets passes go.
    ``distance_walked`` counts one way along every stroke, None without a length. ``notes`` say what to
    know before starting.
    """

    now: float = si("m")
    target: float = si("m")
    sides: int = si("-")
    cutter: Cutter = si("")
    cane: str = si("")
    deepest: tuple[float, ...] = si("m")
    passes: tuple[float, ...] = si("m")
    heights: tuple[float, ...] = si("m")
    strokes_per_round: int = si("-")
    strips: int = si("-")
    length: float | None = si("m")
    distance_walked: float | None = si("m")
    under_size: bool = False
    notes: tuple[str, ...] = ()


def plan_passes(
    now: float,
    target: float,
    form: StripForm | None = None,
    cutter: Cutter = Cutter.FLAT,
    depths: Depths = DRY,
    strips: int = 1,
    length: float | None = None,
) -> PassPlan:
    """The passes that bring a strip from height ``now`` [m] to ``target`` [m]; strips are ``length`` [m] each.

    ``form`` defaults to a true six-sided strip. The plan is empty for a strip already on size, or over by less than an
    edge cuts; and for one ``under_size``, since cane cannot be put back. Raises :class:`BadInput` for heights or counts
    that cannot be.
    """
    form = form or StripForm(6, default_apex(6))
    for name, value in (("now", now), ("target", target), ("length", 1.0 if length is None else length)):
        if not (isfinite(value) and 0 < value < 100):
            raise BadInput(f"{value} m is not a possible {name}", where=name, remedy="Give a length above zero")
    if not 1 <= strips <= 10_000:
        raise BadInput(f"{strips} is not a number of strips", where="strips", remedy="Give 1 or more")
    fall = fall_per_depth(cutter, form)
    strokes = strokes_per_round(cutter)
    rounds = round_depths((now - target) / (fall * strokes), depths) if now - target > TOO_THIN - SAME else ()
    passes = tuple(depth for depth in rounds for _ in range(strokes))
    heights, left = [], 0.0
    for depth in reversed(passes):
        heights.append(target + left)
        left += depth * fall
    return PassPlan(
        now=now,
        target=target,
        sides=form.sides,
        cutter=cutter,
        cane=depths.name,
        deepest=(depths.coarse, *depths.closing),
        passes=passes,
        heights=tuple(reversed(heights)),
        strokes_per_round=strokes,
        strips=strips,
        length=length,
        distance_walked=None if length is None else len(passes) * strips * length,
        under_size=target - now > SAME,
        notes=_notes(now, target, cutter),
    )


def round_depths(total: float, depths: Depths) -> tuple[float, ...]:
    """Depths [m] of the rounds that add up to ``total`` [m], deepest first, each within ``depths``.

    The closing depths are laid aside from the finest up, the coarse one fills what is left, and the rest is one
    more round in its place by size; a rest too thin to cut shares evenly with the finest round.
    """
    closing: list[float] = []
    left = total
    for depth in sorted(depths.closing):
        if left < depth - SAME:
            break
        closing.append(depth)
        left -= depth
    full = int((left + SAME) / depths.coarse)
    if full > MOST_ROUNDS:
        raise BadInput(
            f"that is {ceil(total / depths.coarse)} rounds of passes",
            remedy="Check the unit of the heights: one may be in mm",
        )
    rest = left - full * depths.coarse
    rounds = [depths.coarse] * full + sorted(closing, reverse=True)
    if rest > SAME:
        if rest < TOO_THIN - SAME and rounds:
            rest = (rest + rounds.pop()) / 2
            rounds.append(rest)
        rounds.append(rest)
    return tuple(sorted(_meeting(rounds, total), reverse=True))


def _meeting(rounds: Sequence[float], total: float) -> list[float]:
    """The rounds with float noise of their sum taken up by the first, so that they never cut below the target."""
    spare = total - sum(rounds)
    return [rounds[0] + spare, *rounds[1:]] if rounds else []


def _notes(now: float, target: float, cutter: Cutter) -> tuple[str, ...]:
    if target - now > SAME:
        return ("the strip is under size: no pass can put cane back",)
    if now - target <= SAME:
        return ("on size: nothing to cut",)
    if now - target < TOO_THIN - SAME:
        return ("over by less than an edge cuts cleanly: leave it, or scrape it",)
    if cutter is Cutter.FLAT:
        return (
            "passes come in pairs of equal depth, one on each flank: a flank cut alone moves the apex off the ridge",
        )
    return ()


def depth_words(plan: PassPlan, show: Display) -> str:
    """How deep the passes of ``plan`` may go, as a sentence."""
    first, *closing = (show.small.number(depth) for depth in plan.deepest)
    if not closing:
        return f"Dry cane: {first} {show.small.unit} a pass at most."
    later = f"{', '.join(closing[:-1])} and {closing[-1]}"
    return f"Soaked cane: {first} {show.small.unit} a pass, then {later} as the cut goes into drier cane."

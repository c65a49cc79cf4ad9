"""Adjuster settings: how every screw of a rig stands so that the strips of a section come out as drawn."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from itertools import groupby
from math import degrees

import numpy as np

from culmwright.rigs.bar import Array, Bar
from culmwright.rigs.depth_gauge import BallPoint, Point
from culmwright.rigs.laying import EVEN, best_place, bounds_of, grooves_for, needs_of, on_rig, places_to_lie
from culmwright.rigs.minimax import SPARE, Bounds, Fit, Need, best
from culmwright.rigs.rig import Groove, GroovedForm, Rig
from culmwright.rigs.setting_records import AdjusterSetting, Along, Miss, Settings, Wanted
from culmwright.rigs.setting_working import working

THOU = 25.4e-6
MISS = THOU
"""A departure [m] beyond which a place is said to miss (own choice)."""
BINDS = 0.1 * THOU  # [m] what limits may cost before they are said to bind
APEX_OFF = 0.0009  # [rad] a twentieth of a degree
DRAWN = 200  # places of the departure along the strip


def settings_for(
    rig: Rig,
    wanted: Wanted,
    *,
    groove: str | None = None,
    tip_end: float | None = None,
    now: Sequence[float] | None = None,
) -> Settings:
    """The best setting of ``rig`` for a section's strips.

    Of several grooves the one that fits best is taken, and of those as good the one that has to be opened least.
    ``tip_end`` [m] fixes where the section's tip end lies along the rig, otherwise the place that fits best is found;
    ``now`` is where each screw stands, in turns [-]. Raises :class:`BadInput` where rig and strip do not go together.
    """
    every = [_set_in(rig, grooves, wanted, tip_end, now) for grooves in grooves_for(rig, wanted.form, groove)]
    least = min(one.least_departure for one in every)
    good = [one for one in every if one.least_departure <= least + EVEN]
    return min(good, key=lambda one: sum(each.opening for each in one.adjusters if each.under_strip))


def _set_in(
    rig: Rig, grooves: Sequence[Groove], wanted: Wanted, tip_end: float | None, now: Sequence[float] | None
) -> Settings:
    """The best setting in these grooves."""
    bar, bounds = Bar(rig.adjusters.places), bounds_of(rig)
    places = places_to_lie(rig, wanted.length)
    if tip_end is not None:
        asked = on_rig(rig, wanted, tip_end)
        places = ((asked, next((hole for start, hole in places if abs(start - asked) < 1e-6), None)),)
    start, hole = best_place(bar, rig, grooves, wanted, bounds, places)
    needs = needs_of(rig, grooves, wanted, start)
    fit = best(bar, needs, bounds, _mark(rig, needs))
    free = fit.least if bounds == Bounds() else best(bar, needs, Bounds()).least
    binding = fit.least > free + BINDS
    return _told(rig, grooves, wanted, needs, bar, fit, start, hole, now, free if binding else None)


def _mark(rig: Rig, needs: Sequence[Need]) -> float:
    """What setting a screw to its nearest mark may cost anyway [m], half its smallest step: less is worth no lever."""
    screw = rig.adjusters.screw
    return max(screw.step * screw.travel * max(abs(need.slope) for need in needs) / 2, SPARE)


def _plain(bar: Bar, need: Need, bounds: Bounds) -> Array:
    """Every adjuster exactly on the taper, those beyond the strip straight on, within the screws' reach."""
    x, places, values = np.array(bar.places), need.places, need.values
    wanted = np.interp(x, places, values)
    first = (values[1] - values[0]) / (places[1] - places[0])
    last = (values[-1] - values[-2]) / (places[-1] - places[-2])
    wanted = np.where(x < places[0], values[0] + first * (x - places[0]), wanted)
    wanted = np.where(x > places[-1], values[-1] + last * (x - places[-1]), wanted)
    return np.asarray(np.clip(wanted / need.slope, bounds.least, bounds.most))


def _told(
    rig: Rig,
    grooves: Sequence[Groove],
    wanted: Wanted,
    needs: Sequence[Need],
    bar: Bar,
    fit: Fit,
    start: float,
    hole: float | None,
    now: Sequence[float] | None,
    free: float | None,
) -> Settings:
    screw, bounds = rig.adjusters.screw, bounds_of(rig)
    plain = _plain(bar, needs[0], bounds)
    as_set = np.array([screw.settable(float(u) / screw.travel) * screw.travel for u in fit.u])
    x, worst_at = _worst_of(bar, needs, fit.u)
    plain_x, plain_d = max((_extreme(bar, need, plain) for need in needs), key=lambda one: abs(one[1]))
    drawn = np.union1d(
        np.linspace(needs[0].places[0], needs[0].places[-1], DRAWN), np.array(wanted.heights.places) + start
    )
    departures = [need.departure(bar, fit.u, drawn) for need in needs]
    greatest = departures[int(np.argmax([np.max(np.abs(one)) for one in departures]))]
    misses = tuple(_misses(drawn - start, greatest))
    altitude = wanted.form.flank_altitude if grooves else 1.0
    said, warned = _notes(rig, grooves, wanted, start, free, fit, misses)
    return Settings(
        section=wanted.section,
        rig=rig.name,
        kind=rig.kind,
        grooves=tuple(one.name for one in grooves),
        what=wanted.what,
        tip_end=start,
        hole=hole,
        length=wanted.length,
        stop=None if isinstance(rig.moved, GroovedForm) else rig.moved.stop + wanted.over,
        adjusters=tuple(
            _adjuster(rig, grooves, wanted, bar, fit, plain, start, i, now) for i in range(len(bar.places))
        ),
        worst_departure=worst_at,
        worst_places=tuple(float(one) - start for one in x),
        least_departure=fit.least,
        worst_height=worst_at / altitude,
        as_set_departure=max(abs(_extreme(bar, need, as_set)[1]) for need in needs),
        mean_departure=float(np.mean(np.abs(greatest))),
        plain_departure=abs(plain_d),
        plain_place=plain_x - start,
        met=free is None or fit.worst <= MISS,
        misses=misses,
        along=Along(
            tuple(float(one) for one in drawn - start),
            tuple(float(one) for one in greatest),
            tuple(float(one) for one in needs[0].departure(bar, plain, drawn)),
        ),
        notes=said,
        warnings=(*rig.warnings, *warned),
        screw=screw,
        form=wanted.form,
        lies=tuple(grooves),
        dial=None if isinstance(rig.moved, GroovedForm) else rig.moved.dial,
        least=rig.adjusters.least,
        most=rig.adjusters.most,
    )


def _worst_of(bar: Bar, needs: Sequence[Need], u: Array) -> tuple[Array, float]:
    """Every place [m] where the greatest departure stands, and that departure [m]."""
    found = [need.extremes(bar, u) for need in needs]
    worst = max(float(np.max(np.abs(d))) for _, d in found)
    return np.unique(np.concatenate([x[np.abs(d) > worst - 2 * SPARE] for x, d in found])), worst


def _extreme(bar: Bar, need: Need, u: Array) -> tuple[float, float]:
    x, d = need.extremes(bar, u)
    i = int(np.argmax(np.abs(d)))
    return float(x[i]), float(d[i])


def _misses(x: Array, departure: Array) -> Iterator[Miss]:
    for missing, run in groupby(zip(x, departure, strict=True), lambda one: abs(one[1]) > MISS):
        if missing:
            points = [(float(at), float(d)) for at, d in run]
            yield Miss(points[0][0], points[-1][0], max((d for _, d in points), key=abs))


def _adjuster(
    rig: Rig,
    grooves: Sequence[Groove],
    wanted: Wanted,
    bar: Bar,
    fit: Fit,
    plain: Array,
    start: float,
    i: int,
    now: Sequence[float] | None,
) -> AdjusterSetting:
    travel = rig.adjusters.screw.travel
    place, u = bar.places[i], float(fit.u[i])
    stands = now if now is not None else rig.adjusters.now
    turn = working(rig, grooves, wanted, place, start, u)
    depth = turn.of[0].value if not grooves else _depth(grooves[0], place, u)
    return AdjusterSetting(
        number=i + 1,
        place=place,
        position=place - start,
        under_strip=-1e-9 <= place - start <= wanted.length + 1e-9,
        depth=depth,
        shown=_shown(rig, grooves, place, depth),
        opening=u,
        turn=turn.value,
        from_now=None if stands is None else turn.value - stands[i],
        plain_depth=_depth(grooves[0], place, float(plain[i])) if grooves else float(plain[i]),
        plain_turn=float(plain[i]) / travel,
        limit=_limit(rig, fit.u, i),
        working=turn,
    )


def _depth(groove: Groove, place: float, u: float) -> float:
    return groove.zero.at(place) + groove.depth_per_opening * u


def _shown(rig: Rig, grooves: Sequence[Groove], place: float, depth: float) -> float | None:
    """What the depth gauge shows in the first groove [m]; None without one, or where its point finds no hold there."""
    if not isinstance(rig.moved, GroovedForm) or rig.moved.point is None:
        return None
    walls, point = (grooves[0].enamel_wall, grooves[0].flank_wall), rig.moved.point
    short = point.short(*walls, max(depth - grooves[0].zero.at(place), 0.0))
    return depth - short if short is not None and depth >= point.least_depth(*walls) else None


def _limit(rig: Rig, u: Array, i: int) -> str:
    one = rig.adjusters
    if one.most is not None and u[i] > one.most - 1e-8:
        return "at its most"
    if u[i] < one.least + 1e-8:
        return "at its least"
    ties = [abs(u[i] - u[j]) for j in (i - 1, i + 1) if 0 <= j < len(u)]
    if one.neighbour is not None and max(ties) > one.neighbour - 1e-8:
        return "at its neighbour's limit"
    return ""


def _notes(
    rig: Rig,
    grooves: Sequence[Groove],
    wanted: Wanted,
    start: float,
    free: float | None,
    fit: Fit,
    misses: Sequence[Miss],
) -> tuple[tuple[str, ...], tuple[str, ...]]:
    """What to know about a setting, and what to be warned of."""
    show, said, warned = rig.display, [], []
    small, near, apex = show.small, show.near, wanted.form.apex_angle
    places = rig.adjusters.places
    if start < places[0] - 1e-9 or start + wanted.length > places[-1] + 1e-9:
        said.append("part of the strip lies beyond the last adjuster, where the bar goes straight on")
    if free is not None:
        warned.append(
            f"the rig's limits cost {small(fit.least - free)}: with none the worst departure would be {small(free)}"
        )
    if small.number(fit.worst - fit.least) != small.number(0.0):
        said.append(
            f"screws beyond the strip used as levers would win {small(fit.worst - fit.least)} of that, less than a "
            "screw's nearest mark: the bar goes as straight on there as it can"
        )
    for one in misses:
        side = "over" if one.most > 0 else "under"
        warned.append(
            f"from {near(one.start)} to {near(one.end)} of the section the taper is missed by up to "
            f"{small(abs(one.most))} {side}"
        )
    under = [one for one in places if start <= one <= start + wanted.length] if len(grooves) == 2 else []
    apart = max((grooves[1].zero.at(one) - grooves[0].zero.at(one) for one in under), key=abs, default=0.0)
    if abs(apart) > 2 * BINDS:
        shallow, deep = (one.name for one in (grooves if apart > 0 else grooves[::-1]))
        said.append(
            f"closed, groove {deep} is up to {small(abs(apart))} deeper than groove {shallow}, and one setting of the "
            f"screws stands half-way: each groove is out by half of that. Measure both again, or cut {shallow} deeper"
        )
    for groove in grooves:
        said += _held(rig, groove, wanted, start, fit)
        if abs(groove.apex - apex) > APEX_OFF:
            warned.append(
                f"groove {groove.name} makes strips of {degrees(groove.apex):.4g} deg and the rod file asks for "
                f"{degrees(apex):.4g} deg: put what the rig makes in [strips] apex_angle"
            )
    if isinstance(rig.moved, GroovedForm) and rig.moved.point is not None:
        warned += rig.moved.point.warnings(grooves[0].enamel_wall, grooves[0].flank_wall)
        said += _dropped(rig, grooves[0], wanted, start, fit, rig.moved.point)
    if grooves and wanted.form.sides in (4, 5) and {one.mirrored for one in grooves} != {False, True}:
        warned.append(
            "only one groove is set: the enamel must lie on its own wall for both flanks, so strips of "
            f"{wanted.form.sides} sides need a second, mirrored groove; turning a strip end for end reverses its taper"
        )
    return tuple(said), tuple(warned)


def _dropped(rig: Rig, groove: Groove, wanted: Wanted, start: float, fit: Fit, point: Point) -> list[str]:
    """A note where a ball falls through between the walls' lower edges of an open groove."""
    through = [
        f"{i}"
        for i, (place, u) in enumerate(zip(rig.adjusters.places, fit.u, strict=True), 1)
        if isinstance(point, BallPoint)
        and start <= place <= start + wanted.length
        and point.short(groove.enamel_wall, groove.flank_wall, _depth(groove, place, float(u)) - groove.zero.at(place))
        is None
    ]
    if not through:
        return []
    at = f"adjuster{'s' if len(through) > 1 else ''} {', '.join(through)}"
    return [f"the depth gauge's point drops between the bars at {at} of groove {groove.name}: take a larger ball"]


def _held(rig: Rig, groove: Groove, wanted: Wanted, start: float, fit: Fit) -> list[str]:
    """A note where the walls of an open groove end less than half way down the strip."""
    show = rig.display.height
    for i, (place, u) in enumerate(zip(rig.adjusters.places, fit.u, strict=True), 1):
        depth, wall = _depth(groove, place, float(u)), groove.zero.at(place)
        if start <= place <= start + wanted.length and wall < depth / 2:
            return [
                f"at adjuster {i} the walls of groove {groove.name} end {show(wall)} down and the strip goes "
                f"{show(depth)}: it is held by less than half of its faces"
            ]
    return []

"""Where a strip lies along a rig, in which grooves, and what the bars then have to do."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import zip_longest

import numpy as np

from culmwright.design.strip import StripForm
from culmwright.measure.errors import BadInput
from culmwright.rigs.bar import Bar
from culmwright.rigs.curve import Curve
from culmwright.rigs.minimax import Bounds, Need, least_departure
from culmwright.rigs.rig import End, Groove, GroovedForm, Rig
from culmwright.rigs.setting_records import Wanted

EVEN = 0.01 * 25.4e-6  # [m] places to lie that differ by less are as good as each other
STEPS = {"in": 0.25 * 0.0254, "mm": 0.005}  # [m] between the places to lie that are tried, by unit shown


def grooves_for(rig: Rig, form: StripForm, named: str | None = None) -> tuple[tuple[Groove, ...], ...]:
    """The sets of grooves these strips can be cut in: every plain groove with its mirrored one, or the set ``named`` by
    one of its grooves.

    The first plain groove for so many sides belongs to the first mirrored one, and so on. On a bed one empty set.
    Raises :class:`BadInput` where the rig has no groove these strips fit.
    """
    if not isinstance(rig.moved, GroovedForm):
        if named is not None:
            raise BadInput("a bed has no grooves", where=named, remedy="Leave the groove out")
        return ((),)
    fitting = rig.moved.for_sides(form.sides)
    if named is not None:
        _must_fit(rig, rig.moved, form, named, fitting)
    if not fitting:
        sides = sorted({one.sides for one in rig.moved.grooves})
        raise BadInput(
            f"{rig.name} has no groove for {form.sides} sides",
            where="[[groove]] sides",
            remedy=f"It has grooves for {' and '.join(map(str, sides))} sides; take another rig or cut another groove",
        )
    sorted_out = ([one for one in fitting if one.mirrored is mirrored] for mirrored in (False, True))
    sets = tuple(tuple(one for one in pair if one is not None) for pair in zip_longest(*sorted_out))
    return sets if named is None else tuple(one for one in sets if named in {groove.name for groove in one})


def _must_fit(rig: Rig, moved: GroovedForm, form: StripForm, named: str, fitting: Sequence[Groove]) -> None:
    """Refuse a groove by name that is not there or is for other sides."""
    chosen = next((one for one in moved.grooves if one.name == named), None)
    if chosen is None:
        names = "; ".join(one.name for one in moved.grooves)
        raise BadInput(f"{rig.name} has no groove of this name", where=named, remedy=f"Its grooves are {names}")
    if chosen.sides != form.sides:
        raise BadInput(
            f"this groove is for {chosen.sides} sides and the rod has {form.sides}", where=named, remedy=_other(fitting)
        )


def _other(fitting: Sequence[Groove]) -> str:
    names = " or ".join(one.name for one in fitting)
    return f"Take {names}" if names else "No groove of this rig fits; take another rig"


def bounds_of(rig: Rig) -> Bounds:
    """How far the rig's screws go."""
    one = rig.adjusters
    return Bounds(one.least, one.most, one.neighbour)


def _too_short(rig: Rig, wanted: Wanted) -> BadInput:
    show = rig.display
    return BadInput(
        f"{rig.name} is {show.long(rig.length)} long and the section is {show.long(wanted.length)}",
        where=wanted.section,
        remedy="Take a longer rig",
    )


def on_rig(rig: Rig, wanted: Wanted, tip_end: float) -> float:
    """The place ``tip_end`` [m], if the section lies on the rig there. Raises :class:`BadInput` if not."""
    if wanted.length > rig.length + 1e-9:
        raise _too_short(rig, wanted)
    if not -1e-9 <= tip_end <= rig.length - wanted.length + 1e-9:
        show = rig.display.station
        raise BadInput(
            f"with its tip end at {show(tip_end)} the section does not lie on the rig",
            where=wanted.section,
            remedy=f"Give a place from 0 to {show(rig.length - wanted.length)}",
        )
    return tip_end


def places_to_lie(rig: Rig, length: float) -> tuple[tuple[float, float | None], ...]:
    """Where the section's tip end can lie [m], each with its hole."""
    room = rig.length - length
    if rig.lay is None:
        step = STEPS[rig.display.bare]
        return tuple((i * step, None) for i in range(int(room / step + 1e-9) + 1)) if room > -1e-9 else ()
    lay = rig.lay
    at = [(hole + lay.gap if lay.end is End.TIP else hole - lay.gap - length, hole) for hole in lay.holes]
    return tuple((start, hole) for start, hole in at if -1e-9 <= start <= room + 1e-9)


def best_place(
    bar: Bar,
    rig: Rig,
    grooves: Sequence[Groove],
    wanted: Wanted,
    bounds: Bounds,
    places: Sequence[tuple[float, float | None]],
) -> tuple[float, float | None]:
    """The place [m] whose worst departure is least, and its hole [m]; of those as good the one nearest the middle."""
    if not places:
        if wanted.length > rig.length + 1e-9:
            raise _too_short(rig, wanted)
        raise BadInput(
            "from none of the rig's holes does the section lie on the rig",
            where=f"{wanted.section}, [lay] holes",
            remedy="Add a hole, or give the place of its tip end",
        )
    if len(places) == 1:
        return places[0]
    found = [(least_departure(bar, needs_of(rig, grooves, wanted, at), bounds), at, hole) for at, hole in places]
    least = min(found, key=lambda one: one[0])[0]
    middle = (bar.places[0] + bar.places[-1] - wanted.length) / 2
    good = [(abs(at - middle), at, hole) for t, at, hole in found if t <= least + EVEN]
    _, at, hole = min(good, key=lambda one: one[:2])
    return at, hole


def needs_of(rig: Rig, grooves: Sequence[Groove], wanted: Wanted, start: float) -> tuple[Need, ...]:
    """What the bars have to do, in each groove: what is wanted less what is there with every screw at zero.

    ``start`` [m] is where the section's tip end lies. A bed lies for roughing as for finishing, under a higher stop.
    """
    heights = wanted.heights
    if not isinstance(rig.moved, GroovedForm):
        return (_need(rig.moved.zero, heights, start, -1.0, rig.moved.stop + wanted.over, -1.0),)
    altitude = wanted.form.flank_altitude
    return tuple(_need(one.zero, heights, start, altitude, 0.0, one.depth_per_opening) for one in grooves)


def _need(zero: Curve, heights: Curve, start: float, times: float, stop: float, slope: float) -> Need:
    """On a form ``h_f - zero = slope u``; on a bed ``h = stop - zero - u``, so ``h - stop + zero = -u``."""
    inside = [x - start for x in zero.places if 0 < x - start < heights.places[-1]]
    x = np.union1d(np.array(heights.places), np.array(inside))
    at_zero = np.array([zero.at(start + float(one)) for one in x])
    height = np.array([heights.at(float(one)) for one in x])
    values = times * height - at_zero if slope > 0 else height - stop + at_zero
    return Need(start + x, values, slope)

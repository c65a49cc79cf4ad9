"""How a rod bends and swings, as text for a terminal: the whole curve first, then the load that was asked about."""

from __future__ import annotations

from math import degrees, pi
from typing import TYPE_CHECKING

from culmwright.cli.render import sentences, table
from culmwright.measure.display import Display

if TYPE_CHECKING:  # the words of one verb need not load what the others are made of
    from culmwright.workshop.bending import Bend
    from culmwright.workshop.bouncing import Bounce, Planes
    from culmwright.workshop.comparing import Beside
    from culmwright.workshop.guiding import GuidePlan

EVERY = 4  # every fourth point of the curve is printed


def bend(found: Bend, show: Display) -> str:
    """The curve of load and drop, how the bend is shared, and the shape under the load asked about."""
    lines = [f"{found.name}, tip {found.tip}.", *_curve(found, show)]
    if found.quarter_load is not None:
        below = "its place under own weight" if found.weight else "straight"
        lines.append(
            f"A hanging load of {show.load(found.quarter_load)} lowers the tip by a quarter of the free length below "
            f"{below}: a plain figure of stiffness, to set beside that of another rod measured so."
        )
    lines += ["", f"Under {_asked(found, show)}:"]
    if not found.converged:
        return "\n".join(lines) + sentences((found.reason, *found.notes))
    if found.tip_drop is not None and found.tip_shortening is not None:
        down = found.tip_drop >= 0
        lines.append(
            f"The tip {'comes down' if down else 'goes up'} by {show.near(abs(found.tip_drop))} and back by "
            f"{show.near(found.tip_shortening)} along the grip's axis."
        )
    if found.half_station is not None:
        lines.append(f"Half of the whole bend lies within {show.near(found.half_station)} of the tip.")
    if found.greatest_stress is not None and found.greatest_station is not None:
        share = f", {found.greatest_stress / found.stress_limit:.0%} of the limit" if found.stress_limit else ""
        at = show.near(found.greatest_station)
        lines.append(f"The greatest stress is {show.stress(found.greatest_stress)} near {at} from the tip{share}.")
    return "\n".join([*lines, "", _shape(found, show)]) + sentences(found.notes)


def _asked(found: Bend, show: Display) -> str:
    """The load asked about, in words."""
    what = f"a line at {show.load(found.load)} through the guides" if found.through_guides else show.load(found.load)
    return f"{what} {_held(found)}{'' if found.weight else ', without own weight'}"


def _held(found: Bend | GuidePlan) -> str:
    """Where a load pulls and how the grip is held, in words."""
    hanging = abs(found.direction + pi / 2) < 1e-9
    where = "hanging" if hanging else f"pulling {degrees(found.direction):.4g} deg above the horizontal"
    held = "level" if found.attitude == 0 else f"{degrees(found.attitude):.4g} deg above the horizontal"
    return f"{where}, the grip {held}"


def _curve(found: Bend, show: Display) -> list[str]:
    if not found.curve:
        return []
    points = [*found.curve[:-1:EVERY], found.curve[-1]]
    rows = [(show.load.number(one.load), show.near.number(one.drop)) for one in points]
    ending = ""
    if found.limit_load is not None and found.limit_station is not None:
        ending = (
            f"At {show.load(found.limit_load)} the cane meets its stress limit, first near "
            f"{show.near(found.limit_station)} from the tip: the curve ends there."
        )
    head = "How far the tip comes down under a hanging load, the rod held level:"
    return [head, "", table((f"load, {show.load.unit}", f"drop, {show.near.unit}"), rows), "", ending]


def _shape(found: Bend, show: Display) -> str:
    """Station by station from the grip to the tip: place, slope, stress, and the share of the bend up to the next."""
    shape = found.shape
    if shape is None:
        return ""
    free = shape.s[-1]
    rows = []
    ahead = {round(one.station, 9): one for one in found.shares}
    stations = [one.station for one in found.shares] + [0.0]
    for station in stations:
        i = min(range(len(shape.s)), key=lambda k: abs(free - shape.s[k] - station))
        share = ahead.get(round(station, 9))
        rows.append(
            (
                show.station.number(station),
                show.near.number(shape.x[i]),
                show.near.number(shape.y[i]),
                f"{round(degrees(shape.angle[i])):d}",
                show.stress.number(shape.stress[i]),
                "" if share is None else f"{share.share:.1%}",
            )
        )
    heads = (
        f"station, {show.station.unit}",
        f"forward, {show.near.unit}",
        f"up, {show.near.unit}",
        "slope, deg",
        f"stress, {show.stress.unit}",
        "share of the bend to the next",
    )
    return table(heads, rows)


def bounce(found: Bounce, show: Display) -> str:
    """The modes of a rod, hertz first."""
    extra = f" with {show.mass(found.tip_mass)} more at its tip" if found.tip_mass else ""
    line = ", the line lying in its guides" if found.line_in_guides else ""
    rows = [
        (str(number), f"{one.frequency:.3f}", f"{one.cycles_per_minute:.1f}")
        for number, one in enumerate(found.modes, 1)
    ]
    lines = [
        f"{found.name}, tip {found.tip}{extra}{line}: how fast it swings.",
        "",
        table(("mode", "Hz", "a minute"), rows),
        "",
        "The first is the whole rod to and fro, as when it is plucked in a vice: count it against a clock.",
        "In every further one, one place more along the rod stands still.",
    ]
    if found.planes is not None:
        lines += ["", *_planes(found.planes)]
    return "\n".join(lines) + sentences(found.notes)


def _planes(found: Planes) -> list[str]:
    """The two planes of a rod as built, in sentences."""
    split = f"{found.split:.3f} ± {2 * found.split_spread:.3f} Hz (95 of 100)"
    if not found.told:
        return [f"Its two planes: within doubt. The readings have them {split} apart, which may be none."]
    return [
        f"Its two planes: {found.stiffest:.3f} Hz in the stiffest, {degrees(found.direction):.0f} deg from the middle "
        f"of the first strip's face towards the second, and {found.softest:.3f} Hz square to it: {split} apart.",
        f"Plucked between the two its tip does not keep to a line: it is back on it after {1 / found.split:.0f} s, if "
        "it swings that long.",
    ]


def guides(found: GuidePlan, show: Display) -> str:
    """Every way to place the guides, side by side: stations, and how far the line turns at each guide."""
    lines = [f"{found.name}, tip {found.tip}: guides under a line at {show.load(found.load)} {_held(found)}.", ""]
    most = max((len(way.stations) for way in found.ways), default=0)
    place, rows = show.guide, []
    for number in range(most):
        row = ["tip-top" if number == 0 else str(number)]
        for way in found.ways:
            turn = way.turns[number] if number < len(way.turns) else None
            row.append(place.number(way.stations[number]) if number < len(way.stations) else "")
            row.append("" if turn is None else f"{degrees(turn):.1f}")
        rows.append(tuple(row))
    heads = [head for way in found.ways for head in (f"{way.way}, {show.station.unit}", "turn, deg")]
    if rows:
        said = "Turn: how far the line bends at the guide. Even, no guide takes more of the pull than another."
        lines += [table(("guide", *heads), rows), "", said]
    return "\n".join(lines) + sentences((*((found.reason,) if found.reason else ()), *found.notes))


def beside(found: Beside, show: Display) -> str:
    """Two rods side by side: what the figures mean first, then load and drop, then the modes."""
    names = found.names
    lines = [f"{found.bends[0].name} beside {found.bends[1].name}.", "", *found.words, ""]
    rows = [
        (show.load.number(one.load), *(_drop(drop, show) for drop in (one.drop, one.other_drop))) for one in found.drops
    ]
    if rows:
        lines += ["How far the tips come down under a hanging load, up to the stress limit of each:", ""]
        lines += [table((f"load, {show.load.unit}", *(f"{name}, {show.near.unit}" for name in names)), rows), ""]
    modes = zip(*(one.modes for one in found.bounces), strict=False)
    rates = [(str(i), *(f"{one.frequency:.3f}" for one in pair)) for i, pair in enumerate(modes, 1)]
    lines.append(table(("mode", *(f"{name}, Hz" for name in names)), rates))
    one, other = (each.notes for each in found.bends)
    own = [
        f"of {name}: {note}"
        for name, a, b in zip(names, (one, other), (other, one), strict=True)
        for note in a
        if note not in b
    ]
    return "\n".join(lines) + sentences((*(note for note in one if note in other), *own))


def _drop(drop: float | None, show: Display) -> str:
    return "beyond" if drop is None else show.near.number(drop)

"""What is said of water, heat and the fit of an insert: one wording for terminal, page and printed sheet."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from datetime import datetime, timedelta
from math import ceil, log10

from culmwright.cane.air import Air
from culmwright.cane.drying import SETTLED, DryingFit
from culmwright.cane.heating import HeatPlan
from culmwright.cane.moisture import TABLE_HIGH, Settled
from culmwright.cane.weighing import Weighing, resolution, split_mass
from culmwright.measure.band import Band
from culmwright.measure.display import Display, Format
from culmwright.measure.moments import CLOCK
from culmwright.measure.quantities import COMMON, Kind
from culmwright.rigs.thermal import Entry, ThermalFit

TELLING = 0.1  # of its mass: bounds wider than this are no help to anyone (own choice)
IN_HOURS = 3 * 86_400.0  # [s] a drying as short as this is told by the hour


def mass_format(weighings: Sequence[Weighing], show: Display) -> Format:
    """Masses as the scale shows them, where every one of ``weighings`` was typed in one unit; else in that of ``show``.

    With as many decimals as the finest of them was typed with.
    """
    typed = {split_mass(one.text)[1] for one in weighings}
    unit = typed.pop() if len(typed) == 1 else ""
    if unit not in COMMON[Kind.MASS] or any("/" in one.text for one in weighings):
        unit = show.mass.unit
    si = COMMON[Kind.MASS][unit]
    places = ceil(log10(si / resolution(weighings)) - 1e-9)
    return Format(unit, si, min(max(places, 0), 4))


def weighed_words(one: Weighing, mass: Format) -> str:
    """A weighing in the unit of ``mass``; what was typed stands beside it where that is another."""
    return one.text if split_mass(one.text)[1] == mass.unit else f"{mass(one.mass)} ({one.text})"


def air_words(air: Air, show: Display) -> str:
    """Air in words: ``70 °F and 50.0 %``."""
    return f"{show.temperature(air.temperature)} and {show.share(air.humidity)} humidity"


def settled_words(settled: Settled, show: Display) -> str:
    """Where cane settles, in a sentence."""
    spread = settled.spread.words(show.share)
    return f"In air of {air_words(settled.air, show)} cane settles at about {show.share(settled.moisture)} ({spread})."


def moment_words(start: datetime | None, after: float, show: Display, *, hours: bool = False) -> str:
    """A time after the first weighing [s]: the day, or the hour too, where the weighings have a clock."""
    if start is None:
        return f"{show.time(after)} after the first weighing"
    return (start + timedelta(seconds=after)).strftime(CLOCK if hours else CLOCK.split()[0])


def drying_words(fit: DryingFit, weighings: Sequence[Weighing], target: float | None, show: Display) -> list[str]:
    """A bundle's drying in sentences, the one that matters first."""
    mass, last = mass_format(weighings, show), weighings[-1]
    weighs = weighed_words(last, mass)

    def when(after: float) -> str:
        return moment_words(weighings[0].at, after, show, hours=last.time < IN_HOURS)

    goal = f"{show.share(target)}" if target is not None else "its rest"
    late = "with no bound to be seen yet" if fit.ready.high is None else f"{when(fit.ready.high)} at the latest"
    said = []
    if fit.reached:
        come = "come to its rest" if target is None else f"dried to {goal} or less"
        said.append(f"It weighs {weighs}: it has {come}.")
    elif fit.likely is None:
        said.append(f"It weighs {weighs}: not at {goal} yet, and when it will be is not to be seen yet.")
    elif fit.ready.high is None and fit.likely > last.time:
        said.append(
            f"It weighs {weighs}: not at {goal} yet. Half of the curves that fit are by {when(fit.likely)}, some never."
        )
    elif fit.likely <= last.time:
        said.append(f"It weighs {weighs}: it may be at {goal} already; {late}.")
    else:
        early = f"not before {when(fit.ready.low)}, " if fit.ready.low > last.time else ""
        said.append(f"It weighs {weighs}: at {goal} in about {show.time(fit.likely - last.time)}; {early}{late}.")
    if target is None:
        said.append(f"Its rest is taken as within {show.share(SETTLED)} of the mass it settles at.")
    said.append("Its mass has stopped changing." if fit.stopped else "Its mass has not stopped changing.")
    if _known(fit.settles, last.mass):
        said.append(
            f"It will settle at {fit.settles.words(mass)}; its target is a mass of {fit.target_mass.words(mass)}."
        )
    if fit.moisture is not None and _known(fit.settles, last.mass):
        said.append(f"Its moisture now is {fit.moisture.words(show.share)}.")
    said.append(
        f"The likeliest curve is a {fit.shape.value} of {show.time(fit.constant)}; it misses the weighings by "
        f"{mass(fit.scatter)}. Bounds hold nine curves in ten."
    )
    return said


def _known(settles: Band, mass: float) -> bool:
    """Whether where a bundle of ``mass`` [kg] settles is known well enough to be told."""
    return settles.top - settles.low < TELLING * mass


def weighing_heads(weighings: Sequence[Weighing], show: Display) -> tuple[str, str, str, str]:
    """What stands over the columns of :func:`weighing_rows`."""
    unit = mass_format(weighings, show).unit
    return ("when", "after", f"mass, {unit}", f"lost, {unit}")


def weighing_rows(weighings: Sequence[Weighing], show: Display) -> tuple[tuple[str, str, str, str], ...]:
    """When, after how long, how much, and how much less than before."""
    mass, rows, before = mass_format(weighings, show), [], None
    for one in weighings:
        lost = "" if before is None else mass.number(before - one.mass)
        clock = "" if one.at is None else one.at.strftime(CLOCK)
        typed = "" if split_mass(one.text)[1] == mass.unit else f" ({one.text})"
        rows.append((clock, show.time(one.time), f"{mass.number(one.mass)}{typed}", lost))
        before = one.mass
    return tuple(rows)


def heat_rows(plan: HeatPlan, show: Display) -> tuple[tuple[str, ...], ...]:
    """Step by step: oven, hold, lag, time in the oven, moisture cane settles at."""
    return tuple(
        (
            str(number),
            show.temperature(step.temperature),
            show.time(step.hold),
            step.behind.words(show.time),
            step.in_oven.words(show.time),
            show.share(step.settled.moisture),
        )
        for number, step in enumerate(plan.steps, 1)
    )


HEAT_HEADS = ("step", "oven and cane", "hold the cane for", "the cane lags", "time in the oven", "settles at")


def heat_words(plan: HeatPlan, show: Display) -> list[str]:
    """What a plan of oven steps comes to."""
    said = [
        f"For {plan.body.word}, {show.height(plan.body.height)} high: {plan.whole.words(show.time)} in the oven all "
        f"told. The plan stops at {show.temperature(plan.limit)}."
    ]
    if any("beyond the table" in note for step in plan.steps for note in step.settled.notes):
        end = show.temperature(TABLE_HIGH)
        said.append(f"Above {end} the published table of moisture ends: beyond the table, cane is simply dry.")
    return said


def caution_words(plan: HeatPlan, show: Display) -> list[str]:
    """The cautions of a plan, step by step."""
    return [
        f"Step {number}, {show.temperature(step.temperature)}: {caution}."
        for number, step in enumerate(plan.steps, 1)
        for caution in step.cautions
    ]


def found_words(plan: HeatPlan, show: Display) -> list[str]:
    """What is published on such heat, each with its source."""
    return [f"At {show.temperature(one.temperature)} {one.words} ({one.source})." for one in plan.published]


def error_words(error: Band, small: Callable[[float], str]) -> str:
    """How far a hole has gone from its screw: ``5.1 thou to 11.8 thou short``."""
    if error.top <= 0:
        short = Band(-error.top or 0.0, -error.low or 0.0)
        return f"{short.words(small)} short" if short.high else short.words(small)
    if error.low >= 0:
        return f"{error.words(small)} long"
    return f"{small(-error.low)} short to {small(error.top)} long"


FIT_HEADS = ("screw at", "its hole lies", "the screw")


def fit_rows(found: ThermalFit, show: Display) -> tuple[tuple[str, str, str], ...]:
    """Screw by screw: place, where its hole has gone, whether it enters."""
    return tuple(
        (
            show.station(one.place),
            error_words(one.error, show.small),
            "not known" if one.entry is None else one.entry.value,
        )
        for one in found.screws
    )


def fit_words(found: ThermalFit, show: Display) -> list[str]:
    """The fit in sentences, the one that matters first."""
    joint, change = found.joint, found.now - found.joint.made_at
    now = show.temperature.fine(found.now)
    said = [f"At {now} it is as warm as it was made: every hole meets its screw."]
    if change:
        far = found.furthest
        than = f"{show.temperature.step(abs(change))} {'colder' if change < 0 else 'warmer'} than it was made at"
        at = f"the hole {show.station(abs(far.place - joint.fixed))} from the fixed end"
        said = [f"At {now}, {than}, {at} lies {error_words(far.error, show.small)}."]
    if joint.clearance is None:
        said.append("Without a clearance nothing can be said of which screws enter.")
    elif change:
        perhaps = sum(one.entry is Entry.PERHAPS for one in found.screws)
        rest = f", {perhaps} may" if perhaps else ""
        off = f"a screw may stand {show.small(joint.clearance)} off its hole's middle"
        said.append(f"{found.enters} of {len(found.screws)} screws enter for certain{rest}; {off}.")
    if change:
        said.append(
            f"Bring the {joint.insert.name} alone to {found.bring_to.words(show.temperature.fine)}, the bed left as it "
            "is, and its holes meet the screws."
        )
    if found.room is not None:
        said.append(f"With both alike every screw enters for certain from {found.room.words(show.temperature.fine)}.")
    return said

"""Water, heat and the fit of an insert as text for a terminal: words first, then a table."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

from culmwright.book.cautions import HEAT
from culmwright.book.water_words import (
    FIT_HEADS,
    HEAT_HEADS,
    caution_words,
    drying_words,
    fit_rows,
    fit_words,
    found_words,
    heat_rows,
    heat_words,
    settled_words,
    weighing_heads,
    weighing_rows,
)
from culmwright.cli.render import sentences, table
from culmwright.measure.display import Display
from culmwright.measure.moments import clock

if TYPE_CHECKING:
    from culmwright.workshop.drying import BundleDrying, Drying
    from culmwright.workshop.fitting import ThermalFit
    from culmwright.workshop.heating import HeatDone, Heating

HOT = 313.15  # [K] air warmer than this is an oven's


def dry(found: Drying, show: Display) -> str:
    """Where cane settles, each bundle, then what theory says where nothing was weighed."""
    parts = []
    if found.settled is not None:
        parts.append(settled_words(found.settled, show) + sentences(found.settled.notes))
    parts += [_bundle(one, show) for one in found.bundles]
    guess = found.estimate
    if guess is not None:
        parts.append(
            f"A strip {show.height(guess.height)} high from {show.share(guess.now)} to {show.share(guess.target)}: "
            f"{guess.time.words(show.time)}." + sentences(guess.notes)
        )
    shrinks = found.shrinking
    if shrinks is not None and shrinks.now > shrinks.then:
        parts.append(
            f"From {show.share(shrinks.now)} to {show.share(shrinks.then)} a strip {show.height(shrinks.height)} high "
            f"shrinks by {shrinks.loss.words(show.small)}; a wet target stands {shrinks.swelling.words(show.share)} "
            "above the dry one."
        )
    if not parts:
        parts.append("Nothing was weighed yet, and no air is given.")
    every = [found.settled, *(one.settled for one in found.bundles)]
    if any(one is not None and one.air.temperature > HOT for one in every):
        parts.append(HEAT)
    return "\n\n".join(parts)


def _bundle(one: BundleDrying, show: Display) -> str:
    rows = weighing_rows(one.weighings, show)
    clocked = any(row[0] for row in rows)
    heads = weighing_heads(one.weighings, show)
    shown = table(heads if clocked else heads[1:], [row if clocked else row[1:] for row in rows])
    if one.fit is None:
        return f"Bundle {one.bundle}: {one.reason}.\n\n{shown}"
    words = "\n".join(drying_words(one.fit, one.weighings, one.target, show))
    return f"Bundle {one.bundle}. {words}{sentences(one.fit.notes)}\n\n{shown}"


def heat(found: Heating, show: Display) -> str:
    """The plan with its cautions, what is published, and what was done."""
    parts = []
    if found.plan is not None:
        plan = found.plan
        parts.append("\n".join([*heat_words(plan, show), *caution_words(plan, show)]))
        parts.append(table(HEAT_HEADS, heat_rows(plan, show)))
        if plan.published:
            parts.append("Published:\n" + "\n".join(found_words(plan, show)))
        parts.append(sentences(plan.notes).strip())
    if found.done:
        parts.append("Done so far:\n" + done(found.done))
    if not parts:
        parts.append("No heat is in the log of this rod, and no step was asked for.")
    return "\n\n".join([*parts, HEAT])


def done(steps: Sequence[HeatDone]) -> str:
    """What was done, a line each, with its caution."""
    return "\n".join(
        f"{clock(one.at)}  {one.bundle or 'all'}  {one.words}{''.join(f' ({c})' for c in one.cautions)}"
        for one in steps
    )


def fit(found: ThermalFit, show: Display) -> str:
    """The fit in words, then every screw."""
    return "\n".join([*fit_words(found, show), "", table(FIT_HEADS, fit_rows(found, show))]) + sentences(found.notes)

"""A plan of oven steps, each held at the strip's own temperature, with what is published on what heat does.

From 160 °C a plan carries a caution, and above the limit there is none. Too hot or too long weakens cane for good.
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass, field

from culmwright.cane.air import CELSIUS, Air
from culmwright.cane.lag import WITHIN, Body, Lag, lag
from culmwright.cane.moisture import Settled, settle
from culmwright.measure.band import Band
from culmwright.measure.errors import BadInput
from culmwright.measure.quantities import Kind, parse_quantity
from culmwright.measure.record import si

CAUTION_FROM = CELSIUS + 160.0  # [K] 320 °F
LIMIT = CELSIUS + (375 - 32) / 1.8
"""Where a plan stops [K] unless the shop sets it otherwise: 375 °F, which is 190 °C (common practice, no source)."""
HIGHEST_LIMIT = CELSIUS + 220.0  # [K] no shop may set it higher: cane chars not far above (own choice)
COOLEST = CELSIUS + 25.0  # [K] an oven cannot hold less
LONGEST = 7 * 86_400.0  # [s]
MOST_STEPS = 24
_STEP = re.compile(r"(.+?)(?: +for +| *, *|@)(.+)")


@dataclass(frozen=True, slots=True)
class Finding:
    """What was published on heat and bamboo at a ``temperature`` [K]: ``words``, and the ``source``."""

    temperature: float = si("K")
    words: str = ""
    source: str = ""


PUBLISHED = (
    Finding(CELSIUS + 140, "moso in saturated steam improved", "Wang et al. 2020, J. Wood Sci."),
    Finding(CELSIUS + 170, "scrimber in dry heat turned from better to worse", "Shangguan 2016"),
    Finding(
        CELSIUS + 180,
        "moso in saturated steam for 30 min lost 47% of its bending strength and 20% of its stiffness",
        "Wang et al. 2020, J. Wood Sci.",
    ),
)
"""As read by this project in secondary accounts; a dry oven is not saturated steam."""


@dataclass(frozen=True, slots=True)
class Step:
    """A step as asked for: the cane is to be ``hold`` [s] long at ``temperature`` [K], its own."""

    temperature: float = si("K")
    hold: float = si("s")
    text: str = ""


@dataclass(frozen=True, slots=True)
class PlannedStep:
    """A step as the oven has to be run: ``behind`` is how long the cane lags with its time ``constant``, ``in_oven``
    that and the hold.

    ``settled`` is where cane settles in the room's air at that heat; ``cautions`` what to know before doing it.
    """

    temperature: float = si("K")
    hold: float = si("s")
    constant: Band = si("s")
    behind: Band = si("s")
    in_oven: Band = si("s")
    settled: Settled = si("")
    cautions: tuple[str, ...] = ()
    lag: Lag = field(metadata={"hidden": True}, kw_only=True)


@dataclass(frozen=True, slots=True)
class HeatPlan:
    """Steps in their order for one ``body``, from cane at the room's temperature; ``whole`` is their time together."""

    body: Body
    room: Air
    limit: float = si("K")
    steps: tuple[PlannedStep, ...] = si("")
    whole: Band = si("s")
    published: tuple[Finding, ...] = ()
    notes: tuple[str, ...] = ()


def parse_step(text: str, where: str = "step") -> Step:
    """A step as typed: ``250 F for 30 min``."""
    match = _STEP.fullmatch(text.strip())
    if match is None:
        raise BadInput(f'"{text[:60]}" is not a step', where=where, remedy="Write it like 250 F for 30 min")
    try:
        return Step(parse_quantity(match[1], Kind.TEMPERATURE), parse_quantity(match[2], Kind.TIME), text.strip())
    except BadInput as fault:
        raise fault.at(where) from None


def check_limit(limit: float) -> float:
    """The ``limit`` [K] a shop sets for its oven; refused above 220 °C, or where it leaves no oven at all."""
    if not COOLEST < limit <= HIGHEST_LIMIT:
        raise BadInput(
            f"{_both(limit)} is no limit for an oven with cane in it",
            where="limit",
            remedy=f"Set it up to {_both(HIGHEST_LIMIT)}; cane chars and burns not far above",
        )
    return limit


def check_step(step: Step, limit: float, where: str) -> Step:
    """The ``step``, refused where it is hotter than the ``limit`` [K] or is no step of an oven."""
    if step.temperature > limit + 1e-6:
        raise BadInput(
            f"{_both(step.temperature)} is above this shop's limit of {_both(limit)}: such heat weakens cane, and it "
            "may char",
            where=where,
            remedy="Stay below the limit",
        )
    if step.temperature < COOLEST:
        raise BadInput(
            f"{_both(step.temperature)} is no heat of an oven", where=where, remedy=f"Give {_both(COOLEST)} or more"
        )
    if not 0 < step.hold <= LONGEST:
        raise BadInput("this is no time in an oven", where=where, remedy="Give some minutes or hours, at most 7 days")
    return step


def plan_heat(
    steps: Sequence[Step], body: Body, room: Air, *, fan: bool = False, limit: float = LIMIT, offset: float = 0.0
) -> HeatPlan:
    """The ``steps`` as the oven has to be run for a ``body`` that starts at the ``room``'s temperature.

    ``limit`` [K] is where the shop stops; ``offset`` [-] is its own of settled moisture. Raises :class:`BadInput` for a
    step above the limit.
    """
    check_limit(limit)
    if not 1 <= len(steps) <= MOST_STEPS:
        raise BadInput(f"{len(steps)} steps make no plan", where="step", remedy=f"Give 1 to {MOST_STEPS}")
    planned, cane = [], room.temperature
    for number, asked in enumerate(steps, 1):
        step = check_step(asked, limit, f"step {number}")
        follows = lag(body, cane, step.temperature, fan=fan)
        behind = follows.behind
        in_oven = Band(behind.low + step.hold, behind.top + step.hold)
        settled = settle(room.warmed(step.temperature), offset)
        planned.append(
            PlannedStep(
                step.temperature,
                step.hold,
                follows.constant,
                behind,
                in_oven,
                settled,
                cautions_at(step.temperature),
                lag=follows,
            )
        )
        cane = step.temperature
    whole = Band(sum(one.in_oven.low for one in planned), sum(one.in_oven.top for one in planned))
    hottest = max(one.temperature for one in planned)
    found = tuple(one for one in PUBLISHED if hottest >= CAUTION_FROM or one.temperature <= hottest)
    return HeatPlan(body, room, limit, tuple(planned), whole, found, _notes(body))


def cautions_at(temperature: float) -> tuple[str, ...]:
    """What to know before cane is brought to ``temperature`` [K]; nothing below 160 °C."""
    if temperature < CAUTION_FROM:
        return ()
    return (f"from {_both(CAUTION_FROM)} heat weakens cane, the more the longer: try an offcut first and bend it",)


def _notes(body: Body) -> tuple[str, ...]:
    return (
        f"times are for {body.word}, dry, in an oven that is at heat already; within {WITHIN:g} °C "
        f"({9 / 5 * WITHIN:.0f} °F) counts as there",
        "the lag is a reckoned range; a probe in a drilled offcut of the same size is better",
        "water that still has to leave holds the cane back longer: dry it first, below the boil",
    )


def _both(temperature: float) -> str:
    """A temperature [K] in both scales."""
    return f"{temperature - CELSIUS:.4g} °C ({temperature * 9 / 5 - 459.67:.4g} °F)"

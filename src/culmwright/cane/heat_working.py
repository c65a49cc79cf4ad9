"""The working behind an oven plan: how far the cane lags, and how long it stays in the oven."""

from __future__ import annotations

from culmwright.cane.air import Air
from culmwright.cane.heating import HeatPlan, PlannedStep
from culmwright.cane.lag import DENSITY, DIFFUSIVITY, SLOWEST_ROUND, TO_MOVED_AIR, WITHIN
from culmwright.cane.water_working import settled_working
from culmwright.measure.reckoning import GEOMETRY, Reckoning, span

HANDBOOK = "Wood Handbook, FPL-GTR-282, 2021, ch. 4"
CARSLAW = "H. S. Carslaw, J. C. Jaeger, Conduction of Heat in Solids, 7.6"
MEMORY = "from memory, usual figures"
ASKED = "as given"
SHORT = "lower bounds together, and upper bounds"


def plan_working(plan: HeatPlan) -> Reckoning:
    """The time in the oven of all steps together [s]."""
    each = tuple(step_working(step, plan.room, number)["in_oven"] for number, step in enumerate(plan.steps, 1))
    return span("time in the oven, all told", plan.whole, "s", "sum of the steps", SHORT, each)


def step_working(step: PlannedStep, room: Air, number: int) -> dict[str, Reckoning]:
    """What a step of a plan rests on: ``surface``, ``core``, ``lag`` and ``in_oven`` [s], and ``rest`` [kg/kg]."""
    lag = step.lag
    body, c = lag.body, lag.capacity
    start = Reckoning("cane goes in at", lag.start, "K", "the room's, or that of the step before", ASKED)
    oven = Reckoning(f"oven at step {number}", lag.oven, "K", "the step", ASKED)
    density = span("density of cane", DENSITY, "kg/m^3", "rho, between bounds", "trade constant on top; from memory")
    capacity = Reckoning(
        "heat capacity", c, "J/(kg K)", "c = 103.1 + 3.867 T at half-way, T in K", HANDBOOK, (start, oven)
    )
    depth = Reckoning("volume by surface", body.depth, "m", f"V/S of {body.word}", GEOMETRY)
    give = span(
        "what the air gives",
        lag.give,
        "W/(m^2 K)",
        f"h, {'with a fan' if lag.give is TO_MOVED_AIR else 'without a fan'}",
        MEMORY,
    )
    surface = span(
        "lag at the surface", lag.surface, "seconds", "rho c (V/S)/h", CARSLAW, (density, capacity, depth, give)
    )
    radius = Reckoning("a round bar as thick has the radius", body.radius, "m", "R = 2 V/S", GEOMETRY, (depth,))
    spread = span("diffusivity of heat", DIFFUSIVITY, "m^2/s", "a, across the grain", HANDBOOK)
    core = span("lag of the core", lag.core, "seconds", f"R^2/({SLOWEST_ROUND} a)", CARSLAW, (radius, spread))
    constant = span("time constant", lag.constant, "seconds", "surface + core", CARSLAW, (surface, core))
    near = Reckoning("counts as there within", WITHIN, "K apart", "taken", "own choice")
    steps = Reckoning(
        "time constants until there",
        lag.steps,
        "-",
        "ln(|oven - cane|/within), not below 0",
        CARSLAW,
        (start, oven, near),
    )
    behind = span("lag of the cane", step.behind, "s", "time constant x that many", CARSLAW, (constant, steps))
    hold = Reckoning("cane is held for", step.hold, "s", "the step", ASKED)
    in_oven = span(f"time in the oven, step {number}", step.in_oven, "s", "lag + hold", SHORT, (behind, hold))
    rest = settled_working(step.settled, room)
    return {"in_oven": in_oven, "lag": behind, "surface": surface, "core": core, "rest": rest}

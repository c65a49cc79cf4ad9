"""A number with its working: what it is, by which rule, from which numbers, on whose authority."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, field

from culmwright.measure.band import Band
from culmwright.measure.display import Display, Format

COMMON_PRACTICE = "common practice, no source"
GEOMETRY = "plane geometry"
ROD_FILE = "rod file"
MEASURED = "measured"
"""What the source of a value that was measured in the shop begins with."""


@dataclass(frozen=True, slots=True, eq=False)
class Reckoning:
    """One number a maker acts on: ``value`` [SI] of ``unit``, named ``step``, made by ``rule``.

    ``rule`` is the equation or the statement in words; ``source`` who says so; ``of`` the reckonings it
    was made from, in the order the rule reads them. A number known only between bounds has them in ``within``; its
    value is then the lower one.
    """

    step: str
    value: float
    unit: str
    rule: str
    source: str
    of: tuple[Reckoning, ...] = ()
    within: Band | None = None

    def ladder(self) -> tuple[Reckoning, ...]:
        """Every reckoning behind this one, each once, causes before effects, this one last."""
        return tuple(self._rungs(set()))

    def _rungs(self, seen: set[int]) -> Iterator[Reckoning]:
        if id(self) in seen:
            return
        seen.add(id(self))
        for cause in self.of:
            yield from cause._rungs(seen)
        yield self


@dataclass(frozen=True, slots=True)
class Rung:
    """One step of a ladder: its name, rule, value [SI] of ``unit``, source, and bounds where it has them."""

    step: str
    rule: str
    value: float
    unit: str
    source: str
    within: Band | None = None


@dataclass(frozen=True, slots=True)
class Explanation:
    """The number [SI] at ``spot`` and every step it was reckoned from, causes first. ``also`` names its neighbours.

    Where it is known only between bounds they are ``within``, and its value is the lower one.
    ``masses`` is how its masses are shown, as a scale showed them; None where no scale did.
    """

    spot: str
    quantity: str
    value: float
    unit: str
    ladder: tuple[Rung, ...]
    also: tuple[str, ...]
    warnings: tuple[str, ...] = ()
    notes: tuple[str, ...] = ()
    within: Band | None = None
    masses: Format | None = field(metadata={"hidden": True}, default=None)

    def figures(self, show: Display) -> tuple[str, ...]:
        """The figure of every rung as ``show`` has it, the number asked for last."""
        return figures(self.ladder, show, self.quantity, self.masses)


def rungs(asked: Reckoning) -> tuple[Rung, ...]:
    """The ladder of a reckoning as plain steps, causes first."""
    return tuple(Rung(one.step, one.rule, one.value, one.unit, one.source, one.within) for one in asked.ladder())


def span(step: str, within: Band, unit: str, rule: str, source: str, of: tuple[Reckoning, ...] = ()) -> Reckoning:
    """A number of ``unit`` known only ``within`` bounds [SI]; one value where both are the same."""
    return Reckoning(step, within.low, unit, rule, source, of, None if within.low == within.high else within)


def figures(
    ladder: tuple[Rung, ...], show: Display, quantity: str = "", masses: Format | None = None
) -> tuple[str, ...]:
    """The figure of every rung of the ``ladder`` of a ``quantity`` as ``show`` has it."""
    own = show.ladder_of(quantity, masses)
    return tuple(own.shown(one.value, one.unit, one.within) for one in ladder)

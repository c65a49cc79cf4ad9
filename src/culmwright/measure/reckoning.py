"""A number with its working: what it is, by which rule, from which numbers, on whose authority."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

COMMON_PRACTICE = "common practice, no source"
GEOMETRY = "plane geometry"
ROD_FILE = "rod file"
MEASURED = "measured"
"""What the source of a value that was measured in the shop begins with."""


@dataclass(frozen=True, slots=True, eq=False)
class Reckoning:
    """One number a maker acts on: ``value`` [SI] of ``unit``, named ``step``, made by ``rule``.

    ``rule`` is the equation or the statement in words; ``source`` who says so; ``of`` the reckonings it
    was made from, in the order the rule reads them.
    """

    step: str
    value: float
    unit: str
    rule: str
    source: str
    of: tuple[Reckoning, ...] = ()

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
    """One step of a ladder: its name, rule, value [SI] of ``unit`` and source."""

    step: str
    rule: str
    value: float
    unit: str
    source: str


@dataclass(frozen=True, slots=True)
class Explanation:
    """The number [SI] at ``spot`` and every step it was reckoned from, causes first. ``also`` names its neighbours."""

    spot: str
    quantity: str
    value: float
    unit: str
    ladder: tuple[Rung, ...]
    also: tuple[str, ...]
    warnings: tuple[str, ...] = ()
    notes: tuple[str, ...] = ()


def rungs(asked: Reckoning) -> tuple[Rung, ...]:
    """The ladder of a reckoning as plain steps, causes first."""
    return tuple(Rung(one.step, one.rule, one.value, one.unit, one.source) for one in asked.ladder())

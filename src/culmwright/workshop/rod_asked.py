"""Which rod a verb is asked about: a rod of the shop as drawn, as drawn with its cane as measured, or as built."""

from __future__ import annotations

from dataclasses import dataclass, replace
from enum import Enum
from typing import TYPE_CHECKING

from culmwright.design.rod import Rod
from culmwright.measure.errors import AnswerIsNo

if TYPE_CHECKING:
    from culmwright.ledger.shop import Shop
    from culmwright.workshop.opening import Begun


class Way(Enum):
    """How a rod of the shop is taken: its word, and what it is called beside another of itself."""

    DRAWN = ("drawn", "as drawn")
    MEASURED = ("measured", "with its cane as measured")
    BUILT = ("built", "as built")

    @property
    def word(self) -> str:
        """What is typed for it."""
        return self.value[0]

    @property
    def called(self) -> str:
        """What it is called in a sentence."""
        return self.value[1]


@dataclass(frozen=True, slots=True)
class Asked:
    """A rod ready for every verb, the ``way`` it is taken, and ``notes`` on what that rests on.

    ``begun`` is the rod of the shop it is, None for a file's.
    """

    rod: Rod
    way: Way = Way.DRAWN
    notes: tuple[str, ...] = ()
    begun: Begun | None = None


def rod_as(shop: Shop, begun: Begun, way: Way, tip: int = 1) -> Asked:
    """A rod of the shop taken that ``way``, as built with tip number ``tip``; its name says so.

    Raises :class:`AnswerIsNo` where no bend test is kept, where bend tests contradict one another, or no finished strip
    was read, :class:`BadInput` for a tip the rod does not have.
    """
    if way is Way.DRAWN:
        return Asked(begun.rod, way, (), begun)
    from culmwright.proof.as_built import rod_as_built  # what a drawn rod can do without is opened here
    from culmwright.proof.strips_told import cane_notes
    from culmwright.workshop.flexing import as_measured, cane_of, modulus
    from culmwright.workshop.proving import as_read, rods_read

    named = f"{begun.rod.name}, {way.called}"
    builts = rods_read(shop, begun)
    if way is Way.MEASURED:
        found = modulus(shop, begun, *builts)
        if found.contradiction:
            raise AnswerIsNo(
                f"the bend tests contradict one another: {found.contradiction}",
                where=begun.code,
                remedy=f"Take one back: culmwright modulus {begun.code} --take-back N",
            )
        notes = found.notes
        return Asked(replace(as_measured(shop, begun, *builts), name=named), way, notes, begun)
    built = as_read(shop, begun, tip)
    cane = cane_of(shop, begun, *builts)
    rod = rod_as_built(built, cane.modulus)
    regular = "as built, a section counts as the regular one with the same mean stiffness"
    notes = (*built.notes, *cane.notes, *cane_notes(built), regular)
    return Asked(replace(rod, name=named), way, notes, begun)

"""``check``: stress along the rod and its masses."""

from __future__ import annotations

from dataclasses import replace

from culmwright.bench.targets import crown_notes
from culmwright.design.rod import Rod as Rod
from culmwright.mechanics.stress import EXACT as EXACT
from culmwright.mechanics.stress import LOAD_FACTOR, SectionRule, stress_check
from culmwright.mechanics.stress import ROUNDED as ROUNDED
from culmwright.mechanics.stress import StressCheck as StressCheck


def check(rod: Rod, load_factor: float = LOAD_FACTOR, rule: SectionRule = EXACT, tip: int = 1) -> StressCheck:
    """The trade's stress method on ``rod``: moments [N m], stresses [Pa] and masses [kg], factor included.

    ``rule`` is ``EXACT`` or ``ROUNDED`` of :mod:`culmwright.mechanics.stress`. Raises :class:`BadInput` for a
    load factor, tip or rule that does not fit the rod.
    """
    found = stress_check(rod, load_factor, rule, tip)
    made = bool(rod.section_tapers)  # a rod as built is past what its drawing asks for
    return replace(found, notes=(*found.notes, *(() if made else crown_notes(rod))))

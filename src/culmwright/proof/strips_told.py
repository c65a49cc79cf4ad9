"""What a proof says of its cane: the modulus of every strip, how much of a spine it makes, what was taken for it."""

from __future__ import annotations

from collections.abc import Collection
from dataclasses import dataclass
from math import sqrt

import numpy as np

from culmwright.design.rod import Stated
from culmwright.measure.record import si
from culmwright.mechanics.beam import Array
from culmwright.proof.built import Built
from culmwright.proof.measures import Yardstick
from culmwright.proof.unlike import Unlike


@dataclass(frozen=True, slots=True)
class StripCane:
    """The cane of one strip of a ring: its ``modulus`` and standard uncertainty ``spread`` [Pa], its ``share`` to the
    rod's [-] and ``share_spread``; ``tested`` by itself or taken from others, as ``source`` says.
    """

    section: str
    strip: int
    modulus: float = si("Pa")
    spread: float = si("Pa")
    share: float = si("-")
    share_spread: float = si("-")
    tested: bool = False
    source: str = ""


def strips_cane(built: Built, modulus: Stated | None) -> tuple[StripCane, ...]:
    """Each strip's cane in a rod of that ``modulus`` [Pa], the strips' own where None, section by section.

    Empty where no strips were tested.
    """
    found = built.cane.found if built.cane else None
    return () if found is None else cane_of_strips(found, modulus or level_of(found), tuple(built.parts))


def level_of(found: Unlike) -> Stated:
    """The mean of the strips tested, as a modulus [Pa]."""
    return Stated(found.level.value, found.level.how, found.level.spread)


def cane_of_strips(found: Unlike, modulus: Stated, sections: Collection[str]) -> tuple[StripCane, ...]:
    """The same [Pa] of the strips in the rings of some ``sections``."""
    E, doubt = modulus.value, (modulus.spread or 0.0) / modulus.value
    rows = []
    for i, (section, strip) in enumerate(found.strips):
        if section in sections:
            share, spread = float(found.shares[i]), sqrt(float(found.covariance[i, i]))
            both = E * sqrt(spread**2 + (share * doubt) ** 2)
            rows.append(
                StripCane(section, strip, E * share, both, share, spread, bool(found.tested[i]), found.sources[i])
            )
    return tuple(rows)


def share_of_cane(built: Built, yard: Yardstick, whole: Array) -> float | None:
    """How much of a rod's spine its uneven cane makes [-], the rest being its strips' sizes; along its stiffest plane.

    ``whole`` are the rod's figures [SI]. None where its strips are taken to be of one cane.
    """
    cane = built.cane
    size = float(np.hypot(*whole[-2:]))
    if cane is None or cane.found is None or size == 0:
        return None
    alike = cane.with_shares(np.ones_like(cane.section_shares))
    without = yard.whole(built.faces, 1.0, alike)[-2:]
    return 1 - float(without @ whole[-2:]) / size**2


def cane_notes(built: Built) -> tuple[str, ...]:
    """What was taken for granted of the strips' cane, each a sentence without its stop."""
    cane = built.cane
    if cane is None:
        return ()
    notes = []
    if cane.found is not None:
        found = cane.found
        for section, part in built.parts.items():
            bent = sum(bool(found.tested[found.strips.index((section, strip))]) for strip in part.ring)
            if bent == 0:
                notes.append(f"no strip of {section} was bent by itself: each is taken as the mean of all that were")
            elif bent < len(part.ring):
                notes.append(
                    f"{bent} of {len(part.ring)} strips of {section} were bent by themselves; the others are taken as "
                    "their mean"
                )
        notes.append(
            f"strips of a section scatter by {found.scatter:.1%} in their modulus, as tested (one standard deviation)"
            if found.scatter
            else "strips of a section differ in their modulus by no more than tests of them do"
        )
    if cane.grading is not None:
        notes.append("of graded cane a section that lost of its inside or its enamel bends by what it has left")
    return tuple(notes)

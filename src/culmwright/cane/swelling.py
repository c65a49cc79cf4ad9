"""Water and size: how much higher a wet strip stands than the dry one it will become.

Across the grain cane changes by 0.15 to 0.30 % for every 1 % of moisture (from memory; along the radius a little more
than along the ring), up to fibre saturation. Water beyond that fills the pores and changes nothing.
"""

from __future__ import annotations

from culmwright.measure.band import Band
from culmwright.measure.errors import BadInput

PER_MOISTURE = Band(0.15, 0.30)
"""Change of size [-] for a change of moisture [-]: 0.15 to 0.30 % for 1 % (from memory)."""
SATURATION = 0.30
"""Moisture [-] at which the fibre is full: about 30 % for wood, *Wood Handbook*, FPL-GTR-282 (2021), ch. 4."""
WETTEST = 2.0  # [-] of dry mass: more water than that is a slip of the key


def swelling(moisture: float, dry: float) -> Band:
    """How much larger cane is at ``moisture`` [-] than at ``dry`` [-], as a share of its dry size [-].

    The swelling a wet target is reckoned with: ``wet = dry (1 + swelling)``. Below 0 where it is drier.
    """
    for one in (moisture, dry):
        if not 0 <= one <= WETTEST:
            raise BadInput(
                f"a moisture of {100 * one:.4g}% cannot be",
                where="moisture",
                remedy=f"Give per cent of the dry mass, from 0% to {100 * WETTEST:g}%",
            )
    change = min(moisture, SATURATION) - min(dry, SATURATION)
    ends = (change * PER_MOISTURE.low, change * PER_MOISTURE.top)
    return Band(min(ends), max(ends))


def shrinkage(height: float, moisture: float, dry: float) -> Band:
    """How much a strip ``height`` [m] high at ``moisture`` [-] loses [m] on its way to ``dry`` [-].

    The height is the one read now, so the loss is ``height s/(1 + s)`` with the swelling s.
    """
    s = swelling(moisture, dry)
    ends = (height * s.low / (1 + s.low), height * s.top / (1 + s.top))
    return Band(min(ends), max(ends))

"""How long a glue stays workable at the bench's temperature, when its data sheet says it for another.

A curing reaction runs two to three times as fast for every 10 K (van 't Hoff's rule, 1884; from memory), so

    pot life = stated . q^((T_stated - T) / 10 K),    2 <= q <= 3

A range, not a figure, and only within ``REACH`` of the temperature the data sheet names: the sheet of the product
stands above it. A large pot in a warm hand warms itself and sets sooner than any of this says.
"""

from __future__ import annotations

from culmwright.measure.band import Band, band
from culmwright.measure.errors import BadInput

SLOWER, FASTER = 2.0, 3.0
"""How many times as fast a reaction runs 10 K warmer, least and most [-]."""
REACH = 15.0
"""How far from the data sheet's temperature the rule is used [K] (own choice)."""
LONGEST = 30 * 86_400.0
"""A pot life beyond this [s] is a slip."""


def pot_life(stated: float, stated_at: float, now_at: float) -> Band:
    """Pot life [s] at ``now_at`` [K] of a glue whose data sheet says ``stated`` [s] at ``stated_at`` [K].

    Raises :class:`BadInput` for a time that is none, and beyond ``REACH`` of the data sheet's temperature.

    >>> pot_life(3600.0, 296.15, 306.15)
    Band(low=1200.0, high=1800.0)
    """
    if not 0 < stated <= LONGEST:
        raise BadInput("this is no pot life", where="pot life", remedy="Give it as the data sheet says, such as 60 min")
    apart = stated_at - now_at
    if abs(apart) > REACH:
        raise BadInput(
            f"the bench is {abs(apart):.0f} °C {'colder' if apart > 0 else 'warmer'} than the data sheet's figure: "
            "no rule of thumb reaches that far",
            where="pot life",
            remedy="Ask the maker of the glue, or bring the bench nearer",
        )
    return band(stated * SLOWER ** (apart / 10.0), stated * FASTER ** (apart / 10.0))

"""How stiffness falls through the wall of a culm, from the enamel inwards.

Moso's outer layer is about five times as stiff as its inner one (P. G. Dixon, L. J. Gibson, *J. R. Soc. Interface* 11,
2014; the figure from memory). Between them a straight line stands in for what was measured: an approximation.
"""

from __future__ import annotations

OUTER_OVER_INNER = 5.0
"""Stiffness under the enamel over stiffness at the inside of the wall [-]."""

SOURCE = "Dixon & Gibson 2014, moso, outer layer about five times the inner, from memory; straight line between"


def half_stiff(ratio: float = OUTER_OVER_INNER) -> float:
    """Depth [-] of the wall at which cane is half as stiff as under the enamel; the whole wall where it nowhere is.

    >>> half_stiff()
    0.625
    """
    return min(0.5 / (1 - 1 / ratio), 1.0) if ratio > 1 else 1.0

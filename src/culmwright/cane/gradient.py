"""How stiffness falls through the wall of a culm, from the enamel inwards.

Moso's outer layer is about five times as stiff as its inner one (P. G. Dixon, L. J. Gibson, *J. R. Soc. Interface* 11,
2014; the figure from memory). Between them a straight line stands in for what was measured: an approximation.
"""

from __future__ import annotations

OUTER_OVER_INNER = 5.0
"""Stiffness under the enamel over stiffness at the inside of the wall [-]."""

SOURCE = "Dixon & Gibson 2014, moso, outer layer about five times the inner, from memory; straight line between"

HALF_STIFF = 0.5 / (1 - 1 / OUTER_OVER_INNER)
"""Depth [-] of the wall at which cane is half as stiff as under the enamel, on that line: 0.625."""

"""Fly lines by number: mass of the first 30 ft.

Source: the fly-fishing trade association's published standard of line weights, in grains.
"""

from __future__ import annotations

from culmwright.measure.quantities import GRAIN

STANDARD_LENGTH = 9.144
"""The length the standard weighs [m]: 30 ft."""

GRAINS = {
    **{1: 60, 2: 80, 3: 100, 4: 120, 5: 140, 6: 160, 7: 185, 8: 210},
    **{9: 240, 10: 280, 11: 330, 12: 380, 13: 450, 14: 500, 15: 550},
}
"""Mass of the first 30 ft [grain], by line number."""


def line_mass(number: int) -> float:
    """Mass [kg] of the first 30 ft of a line of this ``number``.

    >>> round(line_mass(5) * 1000, 3)
    9.072
    """
    return GRAINS[number] * GRAIN


def line_density(number: int) -> float:
    """Mean mass per length [kg/m] over those 30 ft."""
    return line_mass(number) / STANDARD_LENGTH

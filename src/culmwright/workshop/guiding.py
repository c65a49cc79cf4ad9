"""``guides``: where the guides go."""

from __future__ import annotations

from culmwright.mechanics.guide_plan import GuidePlan as GuidePlan
from culmwright.mechanics.guide_plan import guide_plan as guide_plan

LINE = {"in": 2.0, "mm": 50.0}
"""Pull of the line for which guides are placed, where none is said, in ounces or in grams."""

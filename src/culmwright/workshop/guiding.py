"""``guides``: where the guides go."""

from __future__ import annotations

from culmwright.mechanics.guide_plan import GuidePlan as GuidePlan
from culmwright.mechanics.guide_plan import GuideWay as GuideWay
from culmwright.mechanics.guide_plan import guide_plan as guide_plan

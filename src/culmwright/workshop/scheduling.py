"""``strips``: the strip schedule."""

from __future__ import annotations

from culmwright.bench.targets import SectionTargets as SectionTargets
from culmwright.bench.targets import StripSchedule as StripSchedule
from culmwright.bench.targets import schedule
from culmwright.design.rod import Rod


def strips(rod: Rod) -> StripSchedule:
    """Heights, rough heights, faces and crowns [m] of every strip of ``rod``, by section and station."""
    return schedule(rod)

"""A moment as a maker reads it."""

from __future__ import annotations

from datetime import datetime

CLOCK = "%Y-%m-%d %H:%M"


def clock(moment: datetime) -> str:
    """A moment as the shop's wall clock shows it."""
    return f"{moment.astimezone():{CLOCK}}"

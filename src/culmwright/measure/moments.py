"""A moment as a maker reads it."""

from __future__ import annotations

from datetime import datetime

CLOCK, EXACT = "%Y-%m-%d %H:%M", "%Y-%m-%d %H:%M:%S"


def to_the_second(moment: datetime) -> str:
    """A moment told apart from another of the same minute."""
    return f"{moment.astimezone():{EXACT}}"


def clock(moment: datetime) -> str:
    """A moment as the shop's wall clock shows it."""
    return f"{moment.astimezone():{CLOCK}}"

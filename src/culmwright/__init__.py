"""culmwright: from a taper on paper to a split-cane rod, and the proof that it is the rod that was drawn."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

__version__ = "0.1.0"

if TYPE_CHECKING:
    from culmwright.design.rod_file import read_rod as read_rod


def __getattr__(name: str) -> Any:
    if name == "read_rod":
        from culmwright.design.rod_file import read_rod

        return read_rod
    raise AttributeError(f"module {__name__!r} has no attribute {name!r}")

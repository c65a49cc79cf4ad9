"""Whether a kernel stands compiled: the first run on a machine makes it, once, and that takes a while."""

from __future__ import annotations

from pathlib import Path
from typing import Any


def first_time(kernel: Any) -> bool:
    """True if the store numba keeps (beside the source, else in the user's cache) has no ``kernel`` newer than it."""
    source = Path(kernel.py_func.__code__.co_filename)
    store = Path(kernel.stats.cache_path)
    made = [one.stat().st_mtime for one in store.glob(f"{source.stem}.{kernel.py_func.__name__}-*.nbi")]
    return not made or max(made) < source.stat().st_mtime

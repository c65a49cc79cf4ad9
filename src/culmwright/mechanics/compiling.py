"""Compiling a kernel and keeping it: the first run on a machine makes it, once, and that takes a while.

numba keeps what it made beside the source, or in the user's cache folder where the source may not be written to. It
looks at the file of a kernel alone: where another file that is compiled into it has changed, all are made anew.
"""

from __future__ import annotations

from collections.abc import Callable
from contextlib import suppress
from functools import cache
from pathlib import Path
from typing import Any, TypeVar, cast

from numba import njit

Kernel = TypeVar("Kernel", bound=Callable[..., Any])


def compiled(function: Kernel) -> Kernel:
    """``function`` compiled: a product and a sum may round once instead of twice, all else is as written."""
    return _kept(function, {"contract"})


def compiled_within(function: Kernel) -> Kernel:
    """``function`` compiled as a part of whatever calls it, so that a loop over it can be done side by side."""
    return _kept(function, {"contract"}, within=True)


def compiled_sum(function: Kernel) -> Kernel:
    """``function``, a sum, compiled to add its terms in whatever order is fast."""
    return _kept(function, {"contract", "reassoc"})


def compiled_apart(function: Kernel) -> Kernel:
    """``function`` compiled to run beside others in threads; no value in it is infinite or not a number."""
    return _kept(function, {"contract", "nnan", "nsz", "arcp"}, nogil=True)


def _kept(function: Kernel, freedom: set[str], *, nogil: bool = False, within: bool = False) -> Kernel:
    ways: dict[str, Any] = {"error_model": "numpy", "fastmath": freedom, "nogil": nogil, "forceinline": within}
    try:
        made: Any = njit(cache=True, **ways)(function)
        _forget_old(Path(made.stats.cache_path))
    except RuntimeError:  # numba finds no folder to keep it in: it is made anew in every run
        made = njit(**ways)(function)
    return cast("Kernel", made)


@cache
def _forget_old(store: Path) -> None:
    """Throw away what is kept of kernels if any of their files is not the one they were made of.

    Which files those were stands in a file beside them; times are compared for being the same, not for their order: the
    clock of a small computer may begin in the past.
    """
    here, told = Path(__file__).parent, store / "made-of"
    files = (*sorted(here.glob("_*.py")), here / "beam.py", here / "compiling.py")  # the last tells how they are made
    made_of = "\n".join(f"{one.name} {one.stat().st_size} {one.stat().st_mtime_ns}" for one in files)
    with suppress(OSError):  # it may not be written to, or another process may be doing the same
        store.mkdir(parents=True, exist_ok=True)
        if told.exists() and told.read_text("utf-8") == made_of:
            return
        for kept in store.glob("*.nbi"):
            kept.unlink(missing_ok=True)
        told.write_text(made_of, "utf-8")


def first_time(kernel: Any) -> bool:
    """True if nothing is kept of ``kernel``: the next call has to wait for it to be made."""
    store, source = kernel.stats.cache_path, Path(kernel.py_func.__code__.co_filename)
    return store is None or not any(Path(store).glob(f"{source.stem}.{kernel.py_func.__name__}-*.nbi"))

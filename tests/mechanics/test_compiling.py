"""Where compiled kernels are kept, and that a folder that cannot be written stops nobody."""

from __future__ import annotations

import os
import subprocess
import sys

import numba.core.caching
import pytest

from culmwright.mechanics.compiling import compiled, first_time

HALF = """
def half(x):
    return x / 2
"""


@pytest.fixture
def half(tmp_path, monkeypatch):
    """A function in a module of its own, for numba keeps what it compiles beside the source."""
    (tmp_path / "halving.py").write_text(HALF)
    monkeypatch.syspath_prepend(tmp_path)
    monkeypatch.delitem(sys.modules, "halving", raising=False)
    import halving  # type: ignore[import-not-found]

    return halving.half


def test_the_first_time_is_told_until_it_is_over(half, tmp_path):
    kernel = compiled(half)
    assert first_time(kernel)
    assert kernel(3.0) == 1.5
    assert not first_time(kernel)
    source = tmp_path / "halving.py"
    later = source.stat().st_mtime + 3600
    os.utime(source, (later, later))
    assert first_time(kernel)  # a release that came since


def test_without_a_folder_to_keep_it_in_it_works_all_the_same(half, monkeypatch):
    monkeypatch.setattr(numba.core.caching.CacheImpl, "_locator_classes", [])
    kernel = compiled(half)
    assert kernel(3.0) == 1.5
    assert first_time(kernel)


def test_only_the_mechanics_load_numba():
    code = "import sys, culmwright.cli.main, culmwright.workshop.checking; print('numba' in sys.modules)"
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert done.stdout == "False\n"


def test_bend_waits_for_nothing_it_does_not_use():
    """A maker waits for whatever a verb loads: the shop's database and the book are no part of how a rod bends."""
    code = (
        "import sys, culmwright.cli.bend_render, culmwright.workshop.bending; "
        "print(sorted({'sqlalchemy', 'typst', 'ortools', 'culmwright.workshop.comparing'} & set(sys.modules)))"
    )
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert done.stdout == "[]\n"

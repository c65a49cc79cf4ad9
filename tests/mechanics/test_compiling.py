"""Kernels kept from a run before: none of an older source is used."""

from __future__ import annotations

import os
from pathlib import Path

from culmwright.mechanics import compiling


def test_what_was_made_before_a_source_changed_is_thrown_away(tmp_path):
    """numba looks at a kernel's own file; what is compiled into it may stand in another."""
    element = Path(compiling.__file__).with_name("_element.py").stat().st_mtime
    newest = max(one.stat().st_mtime for one in Path(compiling.__file__).parent.glob("*.py"))
    for name, moment in (("old.nbi", element - 1), ("new.nbi", newest + 1), ("old.pyc", element - 1)):
        (tmp_path / name).write_bytes(b"")
        os.utime(tmp_path / name, (moment, moment))
    compiling._forget_old(tmp_path)
    assert sorted(one.name for one in tmp_path.iterdir()) == ["new.nbi", "old.pyc"]
    compiling._forget_old(tmp_path / "none")  # nothing is kept there yet

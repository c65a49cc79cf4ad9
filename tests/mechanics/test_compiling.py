"""Kernels kept from a run before: none of an older source is used."""

from __future__ import annotations

import os

from culmwright.mechanics import compiling


def kept(folder):
    return sorted(one.name for one in folder.glob("*.nb?"))


def test_what_was_made_of_other_files_is_thrown_away(tmp_path, monkeypatch):
    """numba looks at a kernel's own file; what is compiled into it may stand in another. Clocks do not matter."""
    (tmp_path / "mechanics").mkdir()
    store = tmp_path / "store"
    store.mkdir()
    for name in ("compiling.py", "beam.py", "_element.py"):
        (tmp_path / "mechanics" / name).write_text("", "utf-8")
    monkeypatch.setattr(compiling, "__file__", str(tmp_path / "mechanics" / "compiling.py"))
    look = compiling._forget_old.__wrapped__
    (store / "one.nbi").write_bytes(b"")
    look(store)
    assert kept(store) == []  # nobody knows what it was made of
    for name in ("one.nbi", "one.nbc"):
        (store / name).write_bytes(b"")
        os.utime(store / name, (0, 0))  # made while the clock had not been set yet
    look(store)
    assert kept(store) == ["one.nbc", "one.nbi"]
    (tmp_path / "mechanics" / "_element.py").write_text("1", "utf-8")
    look(store)
    assert kept(store) == ["one.nbc"]  # the index is what numba looks for
    (store / "one.nbi").write_bytes(b"")
    (tmp_path / "mechanics" / "compiling.py").write_text("1", "utf-8")  # how freely sums are rounded stands here
    look(store)
    assert kept(store) == ["one.nbc"]
    fresh = tmp_path / "cache" / "fresh"
    look(fresh)
    (fresh / "one.nbi").write_bytes(b"")
    look(fresh)
    assert kept(fresh) == ["one.nbi"]  # made by the run that found nothing there
    (tmp_path / "file").write_bytes(b"")
    look(tmp_path / "file" / "none")  # nothing can be kept there

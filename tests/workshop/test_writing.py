"""Files are written whole or not at all."""

from __future__ import annotations

import os

import pytest

from culmwright.measure.errors import BadInput
from culmwright.workshop.writing import write_whole


def test_it_replaces_a_file_in_one_step(tmp_path):
    target = tmp_path / "book.pdf"
    target.write_bytes(b"old")
    assert write_whole(target, b"new") == target
    assert target.read_bytes() == b"new"
    assert [one.name for one in tmp_path.iterdir()] == ["book.pdf"]


def test_it_keeps_a_file_it_may_not_replace(tmp_path):
    target = tmp_path / "rod.toml"
    target.write_bytes(b"mine")
    with pytest.raises(BadInput) as fault:
        write_whole(target, b"new", replace=False)
    assert str(fault.value) == f"{target}: this file exists already and is left as it is. Give another name."
    assert target.read_bytes() == b"mine"


def test_a_missing_folder_and_a_folder_in_its_place_are_said(tmp_path):
    with pytest.raises(BadInput, match="its folder does not exist"):
        write_whole(tmp_path / "none" / "book.pdf", b"x")
    with pytest.raises(BadInput, match="this is a folder"):
        write_whole(tmp_path, b"x")


def test_a_failed_write_leaves_the_old_file_and_nothing_beside_it(tmp_path, monkeypatch):
    target = tmp_path / "book.pdf"
    target.write_bytes(b"old")

    def full(descriptor):
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(os, "fsync", full)
    with pytest.raises(BadInput, match=r"cannot be written \(No space left on device\)"):
        write_whole(target, b"new")
    assert target.read_bytes() == b"old"
    assert [one.name for one in tmp_path.iterdir()] == ["book.pdf"]

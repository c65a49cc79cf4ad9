"""Where a shop stands, and where it must not."""

from __future__ import annotations

import os
import shutil
import stat
from collections import namedtuple
from pathlib import Path

import pytest
from platformdirs import user_data_dir

from culmwright.ledger import place
from culmwright.ledger.place import kind_of_disk, must_be_a_place, must_be_local, shop_file
from culmwright.ledger.shop import create_shop, open_shop, start_shop
from culmwright.measure.errors import BadInput

# The line with the optional field is the example of proc_pid_mountinfo(5), Linux manual pages; the others are its kin.
MOUNTS = """\
36 35 98:0 /mnt1 /mnt2 rw,noatime master:1 - ext3 /dev/root rw,errors=continue
25 1 254:0 / / rw,relatime shared:1 - ext4 /dev/vda rw
40 25 0:50 / /srv/my\\040shop rw - nfs4 server:/export rw
41 40 0:51 / /srv/my\\040shop/near rw shared:7 master:2 - tmpfs none rw
42 25 0:52 / /media/stick rw - fuse.sshfs far: rw
"""


@pytest.mark.parametrize(
    ("folder", "kind"),
    [
        ("/mnt2/x", "ext3"),
        ("/mnt22", "ext4"),
        ("/srv/my shop", "nfs4"),
        ("/srv/my shop/deeper", "nfs4"),
        ("/srv/my shop/near/by", "tmpfs"),
        ("/media/stick", "fuse.sshfs"),
    ],
)
def test_the_kind_of_disk_is_that_of_the_nearest_mount(folder, kind):
    assert kind_of_disk(Path(folder), MOUNTS) == kind
    assert kind_of_disk(Path(folder), "") == ""


def test_a_network_drive_is_refused(monkeypatch, tmp_path):
    monkeypatch.setattr(place, "_mounts", lambda: f"1 1 0:1 / {tmp_path} rw - nfs4 server:/ rw\n")
    with pytest.raises(BadInput, match=r"network drive \(nfs4\)"):
        create_shop(tmp_path / "shop.sqlite")
    with pytest.raises(BadInput, match=r"network drive \(network share\)"):
        must_be_local(Path("//server/share/shop.sqlite"))
    assert list(tmp_path.iterdir()) == []


def test_the_place_is_given_or_named_or_the_users_own(tmp_path):
    assert shop_file(tmp_path / "a.sqlite", {"CULMWRIGHT_SHOP": "/b"}) == tmp_path / "a.sqlite"
    assert shop_file(None, {"CULMWRIGHT_SHOP": str(tmp_path / "b.sqlite")}) == tmp_path / "b.sqlite"
    own = Path(user_data_dir("culmwright", appauthor=False)).resolve() / "shop.sqlite"
    assert shop_file(None, {}) == shop_file(None, {"CULMWRIGHT_SHOP": ""}) == own


def test_a_link_leads_to_the_file_itself(shop, tmp_path):
    """Two names of one file would give it two journals (sqlite.org/howtocorrupt.html, section 2.5)."""
    (tmp_path / "link.sqlite").symlink_to(shop.file)
    assert shop_file(tmp_path / "link.sqlite") == shop.file


def test_the_users_own_folder_is_made_and_no_other(monkeypatch, tmp_path):
    monkeypatch.setenv("XDG_DATA_HOME", str(tmp_path / "data"))
    with start_shop(shop_file(None, {})) as shop:
        assert shop.file.is_relative_to(tmp_path / "data")
    with start_shop(shop.file) as again:
        assert again.file == shop.file
    with pytest.raises(BadInput, match="this folder does not exist"):
        start_shop(tmp_path / "slip" / "shop.sqlite")


def test_a_place_that_cannot_be_one(monkeypatch, tmp_path):
    with pytest.raises(BadInput, match="this is a folder"):
        must_be_a_place(tmp_path)
    monkeypatch.setattr(os, "access", lambda *_: False)  # the tests may run as root, who may write anywhere
    with pytest.raises(BadInput, match="this folder may not be written to"):
        must_be_a_place(tmp_path / "shop.sqlite")


def test_a_full_disk_is_said_before_anything_is_made(monkeypatch, tmp_path):
    usage = namedtuple("usage", "total used free")
    monkeypatch.setattr(shutil, "disk_usage", lambda _: usage(10**9, 10**9, 3_000_000))
    with pytest.raises(BadInput, match="the disk is full: 3 MB free"):
        create_shop(tmp_path / "shop.sqlite")
    assert list(tmp_path.iterdir()) == []


def test_the_file_is_for_its_owner_only(shop):
    assert stat.S_IMODE(shop.file.stat().st_mode) == 0o600
    shop.file.chmod(0o644)
    open_shop(shop.file).close()
    assert stat.S_IMODE(shop.file.stat().st_mode) == 0o600


def test_a_shop_is_made_once(shop):
    with pytest.raises(BadInput, match="there is a file here already"):
        create_shop(shop.file)
    assert [path.name for path in shop.file.parent.iterdir()] == ["shop.sqlite"]


def test_no_shop_no_file(tmp_path):
    for write in (True, False):
        with pytest.raises(BadInput, match="there is no shop here"):
            open_shop(tmp_path / "shop.sqlite", write=write)
    assert list(tmp_path.iterdir()) == []

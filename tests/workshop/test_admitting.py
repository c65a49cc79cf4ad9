"""Pairing: one code, one device, ten minutes; guessing it leads nowhere; only a hash is kept."""

from __future__ import annotations

import json
from datetime import UTC, datetime, timedelta
from math import log2

import pytest

from culmwright.ledger.devices import register_file
from culmwright.measure.errors import BadInput
from culmwright.workshop.admitting import CODE_LENGTH, LETTERS, TRIES, TRIES_OF_ALL, Admission, Right, TooManyTries


class Wall:
    def __init__(self):
        self.now = datetime(2026, 3, 1, 9, tzinfo=UTC)

    def __call__(self):
        return self.now

    def on(self, **length):
        self.now += timedelta(**length)


@pytest.fixture
def wall():
    return Wall()


@pytest.fixture
def admission(tmp_path, wall):
    return Admission(tmp_path / "shop.sqlite", wall=wall)


def wrong(admission, peer="192.168.1.4"):
    with pytest.raises(BadInput, match="this code is not open"):
        admission.pair("AAAA AAAA", "x", peer)


def test_a_code_lets_one_device_in_once(admission):
    code = admission.new_code(Right.BENCH)
    device, token = admission.pair(f" {code.shown.lower()} ", "bench  tablet", "192.168.1.4")
    assert (device.name, device.right) == ("bench tablet", Right.BENCH)
    assert admission.admits(token) == device
    assert admission.code is None
    with pytest.raises(BadInput, match="this code is not open"):
        admission.pair(code.text, "another", "192.168.1.5")


def test_a_code_is_open_for_ten_minutes(admission, wall):
    code = admission.new_code(Right.LOOK)
    wall.on(minutes=9, seconds=59)
    assert admission.code is code
    wall.on(seconds=1)
    assert admission.code is None
    with pytest.raises(BadInput, match="this code is not open"):
        admission.pair(code.text, "late", "192.168.1.4")


def test_a_new_code_closes_the_one_before(admission):
    old = admission.new_code(Right.KEEP)
    admission.new_code(Right.LOOK)
    with pytest.raises(BadInput, match="this code is not open"):
        admission.pair(old.text, "x", "192.168.1.4")


def test_five_wrong_codes_a_minute_then_it_waits_longer_each_time(admission, wall):
    code = admission.new_code(Right.BENCH)
    for wait in (1, 2, 4, 8):
        for _ in range(TRIES):
            wrong(admission)
        with pytest.raises(TooManyTries):
            admission.pair(code.text, "x", "192.168.1.4")  # even the right one
        wall.on(minutes=wait, seconds=-1)
        with pytest.raises(TooManyTries):
            admission.pair(code.text, "x", "192.168.1.4")
        wall.on(seconds=1)
    code = admission.new_code(Right.BENCH)
    admission.pair(code.text, "x", "192.168.1.4")


def test_many_peers_guess_no_faster(admission, wall):
    """All together may be wrong 30 times a minute: of 31^8 codes, in ten minutes."""
    admission.new_code(Right.BENCH)
    made = refused = 0
    for number in range(200):
        try:
            wrong(admission, f"192.168.1.{number}")
            made += 1
        except TooManyTries:
            refused += 1
    assert (made, refused) == (TRIES_OF_ALL, 200 - TRIES_OF_ALL)


def test_a_code_is_worth_guessing_and_a_token_is_not():
    """ASVS 5.0 wants 128 bits of chance in a session token (7.2.3); a code is guarded by its ten minutes and tries."""
    assert CODE_LENGTH >= 8
    assert log2(len(LETTERS)) * CODE_LENGTH > 39
    assert 10 * TRIES_OF_ALL / len(LETTERS) ** CODE_LENGTH < 1e-9


def test_codes_and_tokens_do_not_repeat(admission):
    codes = {admission.new_code(Right.LOOK).text for _ in range(300)}
    assert len(codes) == 300
    assert {one for code in codes for one in code} == set(LETTERS)


def test_only_a_hash_is_kept_and_only_for_the_owner(admission, tmp_path):
    code = admission.new_code(Right.KEEP)
    _, token = admission.pair(code.text, "tablet", "192.168.1.4")
    file = register_file(tmp_path / "shop.sqlite")
    text = file.read_text()
    assert token not in text
    assert code.text not in text
    assert file.stat().st_mode & 0o777 == 0o600
    assert len(token) * 6 >= 128
    assert len(json.loads(text)["devices"][0]["hash"]) == 64


def test_devices_and_pages_survive_a_restart(admission, tmp_path, wall):
    code = admission.new_code(Right.KEEP)
    device, token = admission.pair(code.text, "tablet", "192.168.1.4")
    again = Admission(tmp_path / "shop.sqlite", wall=wall)
    assert again.admits(token) == device
    assert again.page_token("d1") == admission.page_token("d1")
    assert again.page_token("d1") != again.page_token("d2")
    assert again.code is None


def test_a_revoked_device_stays_out_and_in_the_list(admission):
    code = admission.new_code(Right.KEEP)
    device, token = admission.pair(code.text, "tablet", "192.168.1.4")
    admission.revoke(device.id)
    assert admission.admits(token) is None
    assert [one.name for one in admission.devices] == ["tablet"]
    assert admission.admits("") is None


@pytest.mark.parametrize("name", ["", "  ", "x" * 41, "a\x00b", "a\u202eb"])
def test_a_device_has_a_name_that_can_be_read(admission, name):
    code = admission.new_code(Right.LOOK)
    with pytest.raises(BadInput, match="a device has a name"):
        admission.pair(code.text, name, "192.168.1.4")
    assert admission.code is code


def test_no_network_without_a_secret_that_is_kept(tmp_path):
    nowhere = tmp_path / "gone" / "shop.sqlite"
    with pytest.raises(BadInput, match="without a secret kept beside the shop it is not opened to the network"):
        Admission(nowhere, must=True)
    assert Admission(nowhere).page_token("x")  # on its own machine it goes on


@pytest.mark.parametrize(
    "text", ["", "{}", "[]", '{"secret": "", "devices": []}', '{"secret": "short", "devices": []}', "\x00"]
)
def test_a_list_of_devices_that_is_none_is_said(tmp_path, text):
    (tmp_path / "shop-devices.json").write_text(text)
    with pytest.raises(BadInput, match="the list of devices cannot be read"):
        Admission(tmp_path / "shop.sqlite", must=True)

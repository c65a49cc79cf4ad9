"""Which peers may come in: private, link-local and unique local addresses, and this machine's own networks.

The ranges: RFC 1918 (10/8, 172.16/12, 192.168/16), RFC 3927 (169.254/16), RFC 4291 (::1, fe80::/10), RFC 4193
(fc00::/7). Documentation ranges 192.0.2/24, 198.51.100/24, 203.0.113/24 (RFC 5737) and 2001:db8::/32 (RFC 3849), and
100.64/10 (RFC 6598, a provider's own), are outside of all of them.
"""

from __future__ import annotations

import ipaddress

import pytest

from culmwright.measure.errors import BadInput
from culmwright.web.peers import Reach, Standing, is_loopback, is_near, must_be_host

NEAR = [
    *("127.0.0.1", "127.255.255.254", "10.0.0.1", "10.255.255.255", "172.16.0.0", "172.31.255.255"),
    *("192.168.0.1", "192.168.255.255", "169.254.1.1", "::1", "fe80::1", "fe80::1%eth0", "febf:ffff::1"),
    *("fc00::1", "fdff:ffff::1", "::ffff:192.168.1.4", "::ffff:10.1.2.3", "::ffff:127.0.0.1"),
]
FAR = [
    *("9.255.255.255", "11.0.0.0", "172.15.255.255", "172.32.0.0", "192.167.255.255", "192.169.0.0", "169.253.255.255"),
    *("169.255.0.0", "100.64.0.1", "203.0.113.7", "198.51.100.1", "8.8.8.8", "0.0.0.0", "255.255.255.255", "224.0.0.1"),
    *("::", "fec0::1", "fbff::1", "fe00::1", "2001:db8::1", "::ffff:203.0.113.7", "64:ff9b::c0a8:104"),
    *("", "testclient", "192.168.1", "localhost", "192.168.1.4, 8.8.8.8"),
]


def test_there_are_forty_of_them():
    assert len(NEAR) + len(FAR) >= 40


@pytest.mark.parametrize("peer", NEAR)
def test_what_no_router_carries_in_may_come_in(peer):
    assert is_near(peer)


@pytest.mark.parametrize("peer", FAR)
def test_what_a_router_could_carry_in_may_not(peer):
    assert not is_near(peer)


def test_the_own_network_may_come_in_where_its_addresses_are_public():
    """A network of public addresses of IPv6: the tablet beside the host has one too."""
    own = [ipaddress.ip_network("2001:db8:5:6::/64"), ipaddress.ip_network("198.51.100.0/24")]
    assert is_near("2001:db8:5:6::99", own)
    assert is_near("198.51.100.77", own)
    assert not is_near("2001:db8:5:7::99", own)
    assert not is_near("198.51.101.77", own)


def test_only_loopback_is_this_machine():
    assert [one for one in NEAR if is_loopback(one)] == ["127.0.0.1", "127.255.255.254", "::1", "::ffff:127.0.0.1"]


def test_a_far_peer_is_sent_away_even_with_a_right(lan, visit):
    from culmwright.workshop.admitting import Right

    assert visit(lan, Right.KEEP).get("/").status_code == 200
    for path in ("/", "/pair", "/look/sheet.css", "/api/me", "/certificate"):
        assert visit(lan, Right.KEEP, peer=("203.0.113.7", 1)).get(path).status_code == 403, path


def test_the_keeper_is_told_of_a_stranger(lan, visit):
    from culmwright.workshop.admitting import Right

    keeper, looker = visit(lan, Right.KEEP), visit(lan, Right.LOOK)
    assert "sent away" not in keeper.get("/").text
    visit(lan, peer=("203.0.113.7", 1)).get("/")
    assert "203.0.113.7 on 2" in keeper.get("/state").text
    assert "203.0.113.7" not in looker.get("/state").text


def standing(text):
    address = ipaddress.ip_interface(text)
    return Standing(address.ip, address.network)


def test_a_new_address_is_answered_after_it_came(monkeypatch):
    now = [standing("192.168.7.20/24")]
    told = []
    reach = Reach(8642, secure=True, find=lambda: tuple(now))
    reach.changed = told.append
    now[0] = standing("192.168.8.3/24")
    assert "192.168.7.20:8642" in reach
    assert "192.168.8.3:8642" not in reach  # it looked a moment ago
    reach._looked -= 10
    assert "192.168.8.3:8642" in reach
    assert "192.168.7.20:8642" not in reach
    assert reach.near("192.168.8.9")
    assert "192.168.8.3" in told[0]


def test_hosts_are_written_as_browsers_send_them():
    found = (standing("192.168.7.20/24"), standing("2001:db8::5/64"))
    reach = Reach(8642, secure=False, names=["bench.lan"], find=lambda: found)
    for host in ("192.168.7.20:8642", "[2001:db8::5]:8642", "bench.lan:8642", "localhost:8642", "[::1]:8642"):
        assert host in reach
        assert reach.from_here(f"http://{host}")
        assert not reach.from_here(f"https://{host}")
    assert "192.168.7.20" not in reach  # a browser leaves the port out only where it is the scheme's own
    assert "192.168.7.20" in Reach(443, secure=True, find=lambda: found)


@pytest.mark.parametrize("name", ["", "a b", "-a", "a/b", "evil.example:80", "a" * 64, "ä.lan", "a..b", "http://a"])
def test_what_no_host_is_called_is_refused(name):
    with pytest.raises(BadInput, match="no name of a host"):
        must_be_host(name)

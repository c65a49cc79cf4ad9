"""Who can reach the workbench over the network, and under which names it is reached."""

from __future__ import annotations

import ipaddress
import re
import socket
import time
from collections.abc import Callable, Iterable
from dataclasses import dataclass
from datetime import datetime

from culmwright.measure.errors import BadInput

Network = ipaddress.IPv4Network | ipaddress.IPv6Network
NEAR: tuple[Network, ...] = tuple(
    ipaddress.ip_network(one)
    for one in (
        *("127.0.0.0/8", "10.0.0.0/8", "172.16.0.0/12", "192.168.0.0/16", "169.254.0.0/16"),
        *("::1/128", "fe80::/10", "fc00::/7"),
    )
)
"""Addresses that no router carries in from outside: loopback, private (RFC 1918), link-local (RFC 3927, RFC 4291),
unique local (RFC 4193)."""
FORWARDING = (
    "x-forwarded-for",
    "x-forwarded-host",
    "x-forwarded-proto",
    "x-real-ip",
    "forwarded",
    "via",
    "remote-user",
)
"""Headers a go-between adds. They are believed of nobody; one that carries them is not this machine itself."""
_NAME = re.compile(r"(?=.{1,63}\Z)[a-z0-9](?:[a-z0-9-]*[a-z0-9])?(?:\.[a-z0-9](?:[a-z0-9-]*[a-z0-9])?)*")


@dataclass(frozen=True, slots=True)
class Standing:
    """An address of this machine, and the network it is on."""

    address: ipaddress.IPv4Address | ipaddress.IPv6Address
    network: Network


def own_addresses() -> tuple[Standing, ...]:
    """The addresses this machine has now, loopback left out; no question is put to any network."""
    import ifaddr

    found = []
    for adapter in ifaddr.get_adapters():
        for one in adapter.ips:
            text = one.ip if isinstance(one.ip, str) else one.ip[0]
            address = ipaddress.ip_address(text.partition("%")[0])
            if not address.is_loopback:
                found.append(Standing(address, ipaddress.ip_network(f"{address}/{one.network_prefix}", strict=False)))
    return tuple(found)


def address_of(peer: str) -> ipaddress.IPv4Address | ipaddress.IPv6Address | None:
    """A peer's address, one of IPv4 written as IPv6 unwrapped; None if it is none."""
    try:
        address = ipaddress.ip_address(peer.partition("%")[0])
    except ValueError:
        return None
    mapped = address.ipv4_mapped if isinstance(address, ipaddress.IPv6Address) else None
    return mapped or address


def is_near(peer: str, own: Iterable[Network] = ()) -> bool:
    """True if a peer is on this machine, on a private network, or on one of this machine's ``own`` networks."""
    address = address_of(peer)
    return address is not None and any(
        address in network for network in (*NEAR, *own) if network.version == address.version
    )


def is_loopback(peer: str) -> bool:
    """True for this machine itself."""
    address = address_of(peer)
    return address is not None and address.is_loopback


def must_be_host(name: str) -> str:
    """A name this machine is known by in the shop's network; refuses what no host is called."""
    tidy = name.strip().lower()
    if not _NAME.fullmatch(tidy):
        raise BadInput(f'"{name[:64]}" is no name of a host', where="--name", remedy="Give one like bench.local")
    return tidy


def own_names() -> tuple[str, ...]:
    """What this machine calls itself: its host name, alone and with ``.local``."""
    first = socket.gethostname().lower().partition(".")[0]
    return (first, f"{first}.local") if _NAME.fullmatch(first) and first != "localhost" else ()


class Reach:
    """Under which hosts a workbench on the network is reached, and from which networks.

    Asked for a host it does not know, it looks whether this machine has got a new address meanwhile. ``changed`` is
    told when it has.
    """

    def __init__(
        self,
        port: int,
        *,
        secure: bool,
        names: Iterable[str] = (),
        find: Callable[[], tuple[Standing, ...]] = own_addresses,
    ) -> None:
        self.port = port
        self.scheme = "https" if secure else "http"
        self.names = tuple(dict.fromkeys(("localhost", *own_names(), *names)))
        self._find = find
        self.changed: Callable[[tuple[str, ...]], None] = lambda identities: None
        self._looked = 0.0
        self.stranger = ""
        self.own: tuple[Standing, ...] = ()
        self.look()

    def look(self) -> None:
        """See which addresses this machine has now."""
        self._looked = time.monotonic()
        found = self._find()
        if found != self.own:
            self.own = found
            self.changed(self.identities)

    @property
    def identities(self) -> tuple[str, ...]:
        """Every name and address, as a certificate holds them."""
        return (*self.names, "127.0.0.1", "::1", *(str(one.address) for one in self.own))

    @property
    def hosts(self) -> frozenset[str]:
        """Every host header that is answered."""
        bare = [f"[{one}]" if ":" in one else one for one in self.identities]
        usual = {"http": 80, "https": 443}[self.scheme] == self.port
        return frozenset((*(f"{one}:{self.port}" for one in bare), *(bare if usual else ())))

    @property
    def addresses(self) -> tuple[str, ...]:
        """Where other devices find it: IPv4 first, then by name, then IPv6."""
        four = [str(one.address) for one in self.own if one.address.version == 4]
        six = [f"[{one.address}]" for one in self.own if one.address.version == 6 and not one.address.is_link_local]
        names = [one for one in self.names if one != "localhost" and "." in one]
        return tuple(f"{self.scheme}://{one}:{self.port}/" for one in (*four, *names, *six))

    def __contains__(self, host: object) -> bool:
        if host not in self.hosts and time.monotonic() - self._looked > 5.0:
            self.look()
        return host in self.hosts

    def from_here(self, origin: str) -> bool:
        """True for an origin that is one of the workbench's own."""
        scheme, _, host = origin.partition("://")
        return scheme == self.scheme and host in self

    def near(self, peer: str) -> bool:
        """True for a peer that may come in at all; one that may not is remembered, for the keeper to see."""
        near = is_near(peer, (one.network for one in self.own))
        if not near:
            self.stranger = f"{peer or 'somebody'} on {datetime.now().astimezone():%Y-%m-%d at %H:%M}"
        return near

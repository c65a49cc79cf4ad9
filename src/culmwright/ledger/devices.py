"""Who may come in over the network: the devices of a shop, in a private file beside it.

Of a device's token only a hash is kept; whoever reads the file cannot come in with it. The file is written whole.
"""

from __future__ import annotations

import json
import os
import secrets
from dataclasses import dataclass, replace
from datetime import datetime
from enum import Enum
from hashlib import sha256
from pathlib import Path
from typing import Any

from culmwright.ledger.disk import PRIVATE, passing_file, sync
from culmwright.ledger.faults import spoken
from culmwright.measure.errors import BadInput

TOKEN_BYTES = 32
"""Chance in a token or in the secret [bytes]: 256 bits."""


class Right(Enum):
    """What a device may do: look, read at the bench too, or keep the shop."""

    LOOK = "look"
    BENCH = "bench"
    KEEP = "keep"


@dataclass(frozen=True, slots=True)
class Device:
    """A device that was let in: its ``id``, ``name`` and ``right``, the hash of its token, since when, and when its
    right was taken away (None while it stands).
    """

    id: str
    name: str
    right: Right
    hash: str
    since: datetime
    revoked: datetime | None = None


@dataclass(frozen=True, slots=True)
class Register:
    """The devices of a shop, and the ``secret`` from which the tokens of its pages are made."""

    secret: str
    devices: tuple[Device, ...] = ()

    def admits(self, token: str) -> Device | None:
        """The device that holds ``token``, unless its right was taken away; an empty token is nobody's."""
        if not token:
            return None
        wanted = hash_of(token)
        for one in self.devices:
            if secrets.compare_digest(one.hash, wanted) and one.revoked is None:
                return one
        return None

    def changed(self, device: Device) -> Register:
        """The register with ``device`` in the place of the one of the same id, or added."""
        others = tuple(one for one in self.devices if one.id != device.id)
        if len(others) == len(self.devices):
            return replace(self, devices=(*self.devices, device))
        return replace(self, devices=tuple(device if one.id == device.id else one for one in self.devices))


def new_token() -> str:
    """A fresh token of 256 bits of chance."""
    return secrets.token_urlsafe(TOKEN_BYTES)


def hash_of(token: str) -> str:
    """What is kept of a token. A token is chance throughout, so one round of SHA-256 is enough."""
    return sha256(token.encode()).hexdigest()


def register_file(shop: Path) -> Path:
    """Where the devices of the shop in a file are kept: beside it."""
    return shop.with_name(f"{shop.stem}-devices.json")


def read_register(file: Path) -> Register | None:
    """The devices in ``file``, or None if nobody was ever let in. Raises :class:`BadInput` if it cannot be read."""
    with spoken(file):
        if not file.exists():
            return None
        state = file.stat()
        if hasattr(os, "getuid") and state.st_mode & 0o077 and state.st_uid == os.getuid():
            file.chmod(PRIVATE)
        text = file.read_bytes()
    try:
        found = json.loads(text)
        return _register(found)
    except (ValueError, KeyError, TypeError) as fault:
        raise BadInput(
            f"the list of devices cannot be read ({type(fault).__name__})",
            where=str(file),
            remedy="Move it away and pair the devices again",
        ) from None


def _register(found: dict[str, Any]) -> Register:
    secret = str(found["secret"])
    if len(secret) < 32:
        raise ValueError("no secret")
    return Register(secret, tuple(_device(one) for one in found["devices"]))


def _device(found: dict[str, Any]) -> Device:
    revoked = found["revoked"]
    return Device(
        str(found["id"]),
        str(found["name"]),
        Right(found["right"]),
        str(found["hash"]),
        datetime.fromisoformat(found["since"]),
        None if revoked is None else datetime.fromisoformat(revoked),
    )


def write_register(file: Path, register: Register) -> None:
    """Write the devices whole, for the owner's eyes only."""
    rows = [
        {
            "id": one.id,
            "name": one.name,
            "right": one.right.value,
            "hash": one.hash,
            "since": one.since.isoformat(),
            "revoked": None if one.revoked is None else one.revoked.isoformat(),
        }
        for one in register.devices
    ]
    write_private(file, json.dumps({"secret": register.secret, "devices": rows}, indent=1).encode())


def write_private(file: Path, content: bytes) -> None:
    """Write ``content`` to ``file`` whole, readable by its owner only."""
    with spoken(file), passing_file(file, "part") as passing:
        passing.write_bytes(content)
        sync(passing)
        os.replace(passing, file)
        sync(file.parent)

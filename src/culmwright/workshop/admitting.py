"""Who is let in over the network: a one-time code on the shop's own screen becomes a token on one device."""

from __future__ import annotations

import secrets
import threading
from collections import OrderedDict
from collections.abc import Callable
from dataclasses import dataclass, replace
from datetime import UTC, datetime, timedelta
from hmac import new as keyed
from pathlib import Path

from culmwright.ledger.devices import Device as Device
from culmwright.ledger.devices import (
    Register,
    hash_of,
    new_token,
    read_register,
    register_file,
    write_register,
)
from culmwright.ledger.devices import Right as Right
from culmwright.measure.errors import BadInput, CulmwrightError

LETTERS = "23456789ABCDEFGHJKMNPQRSTUVWXYZ"
"""What a code is made of: nothing that looks like something else."""
CODE_LENGTH = 8  # 31^8: 39.6 bits
CODE_LASTS = timedelta(minutes=10)
TRIES, WINDOW = 5, timedelta(minutes=1)
TRIES_OF_ALL = 30
"""Wrong codes a minute from one peer, and from all together; then it waits, twice as long each time."""
LONGEST_WAIT = timedelta(hours=1)
MOST_PEERS = 256
LONGEST_NAME = 40


class TooManyTries(CulmwrightError):
    """Too many wrong codes: wait."""


@dataclass(frozen=True, slots=True)
class Code:
    """A code that lets one device in once: its ``text``, with which ``right``, and until when."""

    text: str
    right: Right
    until: datetime

    @property
    def shown(self) -> str:
        """The code as it is read aloud: two groups of four."""
        return f"{self.text[:4]} {self.text[4:]}"


class Tries:
    """Counts wrong codes and tells how long to wait: ``most`` a minute, then a wait that doubles."""

    def __init__(self, most: int) -> None:
        self.most = most
        self._wrong: list[datetime] = []
        self._wait = WINDOW
        self._until: datetime | None = None

    def waits(self, moment: datetime) -> timedelta:
        """How long to wait before the next try; nothing if it may be made now."""
        return max(self._until - moment, timedelta()) if self._until else timedelta()

    def wrong(self, moment: datetime) -> None:
        """A wrong code was given."""
        self._wrong = [*(one for one in self._wrong if moment - one < WINDOW), moment]
        if len(self._wrong) >= self.most:
            self._until = moment + self._wait
            self._wait = min(2 * self._wait, LONGEST_WAIT)
            self._wrong = []


class Admission:
    """The devices of the shop in ``file``, and the one code that is open.

    ``must`` refuses to begin where the secret could not be kept beside the shop, as a workbench on the network needs
    it; else a secret that cannot be kept lasts as long as the program. ``wall`` is the clock on the wall.
    """

    def __init__(
        self, file: Path, *, must: bool = False, wall: Callable[[], datetime] = lambda: datetime.now(UTC)
    ) -> None:
        self._file = register_file(file)
        self._wall = wall
        self._lock = threading.Lock()
        self._code: Code | None = None
        self._peers: OrderedDict[str, Tries] = OrderedDict()
        self._all = Tries(TRIES_OF_ALL)
        self._register = self._begin(must=must)

    def _begin(self, *, must: bool) -> Register:
        found = read_register(self._file)
        if found is not None:
            return found
        made = Register(new_token())
        try:
            write_register(self._file, made)
        except BadInput as fault:
            if must:
                raise BadInput(
                    f"without a secret kept beside the shop it is not opened to the network ({fault.what})",
                    where=str(self._file),
                    remedy="Allow writing there, or leave --lan out",
                ) from None
        return made

    @property
    def devices(self) -> tuple[Device, ...]:
        """Every device that was ever let in, those that still are first."""
        return tuple(sorted(self._register.devices, key=lambda one: (one.revoked is not None, one.since)))

    @property
    def code(self) -> Code | None:
        """The code that is open now."""
        code = self._code
        return code if code is not None and self._wall() < code.until else None

    def page_token(self, who: str) -> str:
        """What the pages of ``who`` carry to show that they are ours; the same after a restart."""
        return keyed(self._register.secret.encode(), f"page {who}".encode(), "sha256").hexdigest()

    def new_code(self, right: Right) -> Code:
        """Open a new code with a ``right``; the one before is closed."""
        text = "".join(secrets.choice(LETTERS) for _ in range(CODE_LENGTH))
        self._code = Code(text, right, self._wall() + CODE_LASTS)
        return self._code

    def pair(self, typed: str, name: str, peer: str) -> tuple[Device, str]:
        """Let a device in by the code ``typed`` on it: the device under its ``name``, and its token, told only now.

        Raises :class:`BadInput` for a wrong, used or old code, :class:`TooManyTries` where ``peer`` guesses.
        """
        tidy = must_be_name(name)
        with self._lock:
            moment = self._wall()
            tries = self._tries(peer)
            wait = max(tries.waits(moment), self._all.waits(moment))
            if wait:
                raise TooManyTries("too many wrong codes", remedy=f"Wait {_in_words(wait)}, then type the code again")
            code, given = self.code, "".join(typed.split()).upper().replace("-", "")
            if code is None or not secrets.compare_digest(code.text.encode(), given.encode("utf-8", "replace")):
                tries.wrong(moment)
                self._all.wrong(moment)
                raise BadInput(
                    "this code is not open",
                    where="code",
                    remedy="Ask for a new one at the shop's computer: it is for one device and ten minutes",
                )
            token = new_token()
            number = 1 + max((int(one.id[1:]) for one in self._register.devices), default=0)
            device = Device(f"d{number}", tidy, code.right, hash_of(token), moment)
            self._write(self._register.changed(device))
            self._code = None
            return device, token

    def admits(self, token: str) -> Device | None:
        """The device that holds a token."""
        return self._register.admits(token)

    def revoke(self, id: str) -> Device:
        """Take a device's right away, at once and for good."""
        return self._change(id, lambda one: one if one.revoked else replace(one, revoked=self._wall()))

    def rename(self, id: str, name: str) -> Device:
        """Call a device otherwise."""
        tidy = must_be_name(name)
        return self._change(id, lambda one: replace(one, name=tidy))

    def _change(self, id: str, change: Callable[[Device], Device]) -> Device:
        with self._lock:
            for one in self._register.devices:
                if one.id == id:
                    changed = change(one)
                    self._write(self._register.changed(changed))
                    return changed
        raise BadInput("there is no such device", where=id[:40], remedy="Look at the list of devices")

    def _write(self, register: Register) -> None:
        write_register(self._file, register)
        self._register = register

    def _tries(self, peer: str) -> Tries:
        found = self._peers.setdefault(peer, Tries(TRIES))
        self._peers.move_to_end(peer)
        while len(self._peers) > MOST_PEERS:
            self._peers.popitem(last=False)
        return found


def must_be_name(name: str) -> str:
    """A device's name, tidy; refuses one that is empty, too long or not to be printed."""
    tidy = " ".join(name.split())
    if not tidy or len(tidy) > LONGEST_NAME or not tidy.isprintable():
        raise BadInput(
            f"a device has a name of 1 to {LONGEST_NAME} letters", where="name", remedy="Call it as in: bench tablet"
        )
    return tidy


def _in_words(wait: timedelta) -> str:
    minutes = -int(-wait.total_seconds() // 60)
    return "a minute" if minutes <= 1 else f"{minutes} minutes"

"""What stands before every page: only known hosts are answered, nothing foreign writes or runs, nothing too large."""

from __future__ import annotations

import asyncio
import logging
from collections.abc import Callable, Container

from starlette.responses import PlainTextResponse
from starlette.types import ASGIApp, Message, Receive, Scope, Send

SAFE = ("GET", "HEAD")
WRITING = ("POST", "PUT", "PATCH", "DELETE")
LARGEST = 2 << 20
"""A body longer than this [bytes] is refused, unless its path is one of ``ROOMY``."""
SILENCE = 30.0
"""A body that does not go on for so long [s] is given up: whoever asks that way only holds the line."""
MORE = "This is more than is taken here.\n"
ROOMY = {"/data/import": 64 << 20, "/data/restore": 512 << 20, "/api/import": 64 << 20, "/api/restore": 512 << 20}
HEADERS = (
    (
        b"content-security-policy",
        b"default-src 'none'; script-src 'self'; style-src 'self' 'unsafe-inline'; font-src 'self'; "
        b"connect-src 'self'; img-src 'self' data: blob:; base-uri 'none'; form-action 'self'; frame-ancestors 'none'",
    ),
    (b"x-content-type-options", b"nosniff"),
    (b"referrer-policy", b"same-origin"),
    (b"cross-origin-resource-policy", b"same-origin"),
)
"""Headers of every answer. Style attributes are the one thing inline: drawings carry their own."""
ON_TLS = (b"strict-transport-security", b"max-age=31536000")
"""Said over TLS only: come back over TLS."""
ALONE = (b"cross-origin-opener-policy", b"same-origin")
"""Said where browsers heed it: over TLS, and on this machine."""
LOG = logging.getLogger("culmwright-door")
Peer = Callable[[str], bool]


class Unheard(Exception):
    """A body was not heard to its end: ``status`` and the words it is answered with."""

    def __init__(self, status: int, words: str) -> None:
        super().__init__(words)
        self.status, self.words = status, words


class Guard:
    """Asks who it is first, then for the host, on every route; then where a writing request comes from and its size.

    ``near`` tells which peers may come in at all; None where the socket lets in this machine only.
    """

    def __init__(
        self, app: ASGIApp, hosts: Container[str], from_here: Peer, near: Peer | None = None, *, secure: bool = False
    ) -> None:
        self.app = app
        self.hosts = hosts
        self.from_here = from_here
        self.near = near
        self.headers = (*HEADERS, ALONE, ON_TLS) if secure else HEADERS if near is not None else (*HEADERS, ALONE)

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Answer 421 to an unknown host, 405 to a strange method, 403 to a foreign origin, 413 to too much."""
        if scope["type"] != "http":
            if scope["type"] == "lifespan":
                await self.app(scope, receive, send)
            return
        begun = False
        body = _Body(receive, ROOMY.get(scope["path"], LARGEST))

        async def guarded(message: Message) -> None:
            nonlocal begun
            if body.unheard is not None and not begun:
                raise body.unheard  # whatever the route has made of it
            if message["type"] == "http.response.start":
                begun = True
                message = {**message, "headers": [*message["headers"], *self.headers]}
            await send(message)

        status, said = self._verdict(scope)
        if status:
            await PlainTextResponse(said, status)(scope, receive, guarded)
            return
        try:
            await self.app(scope, body.receive, guarded)
        except Unheard as fault:
            body.unheard = None
            if not begun:
                await PlainTextResponse(fault.words, fault.status)(scope, receive, guarded)

    def _verdict(self, scope: Scope) -> tuple[int, str]:
        peer = (scope.get("client") or ("",))[0]
        if self.near is not None and not self.near(peer):
            LOG.warning("%s is not on the shop's own network and was sent away", peer)
            return 403, "This workbench answers its own network only.\n"
        if _only(scope, b"host").lower() not in self.hosts:
            return 421, "This is not the address of this workbench. Open the one the command printed.\n"
        method = scope["method"]
        if method not in (*SAFE, *WRITING):
            return 405, "This is not done here.\n"
        if method in WRITING:
            origin = _all(scope, b"origin")
            site = _all(scope, b"sec-fetch-site")
            foreign = bool(origin) and (len(origin) > 1 or not self.from_here(origin[0]))
            if foreign or (site and site != ["same-origin"]):
                LOG.warning("%s sent a writing request from a page that is not ours", peer)
                return 403, "This was asked for by a page from elsewhere. Nothing was changed.\n"
            length = _only(scope, b"content-length")
            if length and (not length.isdecimal() or int(length) > ROOMY.get(scope["path"], LARGEST)):
                return 413, MORE
        return 0, ""


class _Body:
    """What a request sends, heard as far as ``most`` bytes and no longer than it goes on."""

    def __init__(self, receive: Receive, most: int) -> None:
        self._receive, self._most = receive, most
        self._taken, self._whole = 0, False
        self.unheard: Unheard | None = None

    async def receive(self) -> Message:
        """The next piece; past the last one whatever comes, however long it takes."""
        if self._whole:
            return await self._receive()
        try:
            message = await asyncio.wait_for(self._receive(), SILENCE)
        except TimeoutError:
            self.unheard = Unheard(408, "This was not sent to its end.\n")
            raise self.unheard from None
        self._taken += len(message.get("body", b""))
        self._whole = not message.get("more_body", False)
        if self._taken > self._most:
            self.unheard = Unheard(413, MORE)
            raise self.unheard
        return message


def _all(scope: Scope, name: bytes) -> list[str]:
    return [value.decode("latin-1") for key, value in scope["headers"] if key == name]


def _only(scope: Scope, name: bytes) -> str:
    """The one value of a header; "" if it is not there exactly once."""
    values = _all(scope, name)
    return values[0] if len(values) == 1 else ""

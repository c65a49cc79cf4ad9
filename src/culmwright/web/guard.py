"""What stands before every page: only known hosts are answered, only reading is allowed, nothing foreign runs."""

from __future__ import annotations

from collections.abc import Iterable

from starlette.responses import PlainTextResponse
from starlette.types import ASGIApp, Message, Receive, Scope, Send

READING = ("GET", "HEAD")
HEADERS = (
    (
        b"content-security-policy",
        b"default-src 'none'; style-src 'self' 'unsafe-inline'; font-src 'self'; img-src 'self' data:; "
        b"base-uri 'none'; form-action 'none'; frame-ancestors 'none'",
    ),
    (b"x-content-type-options", b"nosniff"),
    (b"referrer-policy", b"no-referrer"),
    (b"cross-origin-opener-policy", b"same-origin"),
    (b"cross-origin-resource-policy", b"same-origin"),
)
"""Headers of every answer. Style attributes are the one thing inline: drawings carry their own."""


class Guard:
    """Asks for the host first, on every route, before anything else looks at a request."""

    def __init__(self, app: ASGIApp, hosts: Iterable[str]) -> None:
        self.app = app
        self.hosts = frozenset(hosts)

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Answer 421 to an unknown host, 405 to anything but reading, and set the headers of every answer."""
        if scope["type"] != "http":
            if scope["type"] == "lifespan":
                await self.app(scope, receive, send)
            return

        async def guarded(message: Message) -> None:
            if message["type"] == "http.response.start":
                message = {**message, "headers": [*message["headers"], *HEADERS]}
            await send(message)

        if not self._is_ours(scope):
            said = "This is not the address of this workbench. Open the one the command printed.\n"
            await PlainTextResponse(said, 421)(scope, receive, guarded)
        elif scope["method"] not in READING:
            said = "These pages only show. Nothing is changed here.\n"
            await PlainTextResponse(said, 405)(scope, receive, guarded)
        else:
            await self.app(scope, receive, guarded)

    def _is_ours(self, scope: Scope) -> bool:
        named = [value for name, value in scope["headers"] if name == b"host"]
        return len(named) == 1 and named[0].decode("latin-1").lower() in self.hosts

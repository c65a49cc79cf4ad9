"""The two doors: of a workbench that only this machine can reach, and of one on the network."""

from __future__ import annotations

from fastapi import Request, Response

from culmwright.web.access import Role, Visitor
from culmwright.web.peers import FORWARDING, is_loopback
from culmwright.workshop.admitting import Admission

YEAR = 365 * 24 * 3600
HERE = "this machine"
STRANGER = "a stranger"


class OwnMachine:
    """The door of a workbench that only this machine can reach: whoever sits at it keeps the shop."""

    def __init__(self, admission: Admission) -> None:
        self.admission = admission
        self._visitor = Visitor(Role.KEEP, HERE, admission.page_token(HERE))

    def visitor(self, request: Request) -> Visitor:
        """The keeper."""
        return self._visitor


class OnNetwork:
    """The door of a workbench on the network: this machine keeps the shop, any other device shows its token."""

    def __init__(self, admission: Admission, *, secure: bool) -> None:
        self.admission = admission
        self.secure = secure

    @property
    def cookie(self) -> str:
        """The name of the cookie that holds a device's token."""
        return "__Host-culmwright" if self.secure else "culmwright"

    def visitor(self, request: Request) -> Visitor:
        """The visitor behind a request: this machine, a device that was let in, or a stranger."""
        page_token = self.admission.page_token
        device = self.admission.admits(request.cookies.get(self.cookie, ""))
        if device is not None:
            return Visitor(Role[device.right.name], device.id, page_token(device.id))
        if self._is_here(request):
            return Visitor(Role.KEEP, HERE, page_token(HERE))
        return Visitor(Role.NONE, STRANGER, page_token(STRANGER))

    @staticmethod
    def _is_here(request: Request) -> bool:
        """True for a browser on this machine; one that comes through a go-between could be anybody."""
        peer = request.client.host if request.client else ""
        return is_loopback(peer) and not any(name in request.headers for name in FORWARDING)

    def let_in(self, response: Response, token: str) -> None:
        """Give a device its token to keep."""
        response.set_cookie(
            self.cookie, token, max_age=YEAR, path="/", secure=self.secure, httponly=True, samesite="strict"
        )

    def let_out(self, response: Response) -> None:
        """Take it back."""
        response.delete_cookie(self.cookie, path="/", secure=self.secure, httponly=True, samesite="strict")

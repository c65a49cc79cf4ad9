"""Devices: pairing them, naming them, taking their right away; and the certificate they install."""

from __future__ import annotations

import logging
from datetime import datetime
from typing import Annotated

from fastapi import APIRouter, Form, Request, Response
from fastapi.responses import HTMLResponse, RedirectResponse

from culmwright.book.words import sentence
from culmwright.measure.errors import BadInput, CulmwrightError
from culmwright.web.access import Role
from culmwright.web.doors import OnNetwork, OwnMachine
from culmwright.web.peers import Reach
from culmwright.web.problems import status_of
from culmwright.web.render import page
from culmwright.workshop.admitting import LONGEST_NAME, Device, Right

router = APIRouter(include_in_schema=False)
LOG = logging.getLogger("culmwright-door")
RIGHTS = {
    Right.LOOK: "may look",
    Right.BENCH: "may look and read at the bench",
    Right.KEEP: "may do everything, as at the shop's computer",
}
LONGEST_FIELD = 200


def door_of(request: Request) -> OwnMachine | OnNetwork:
    """The door behind a request."""
    door: OwnMachine | OnNetwork = request.app.state.door
    return door


def on_network(request: Request) -> OnNetwork:
    """The door of a workbench on the network; refuses where it is not on one."""
    door = door_of(request)
    if not isinstance(door, OnNetwork):
        raise BadInput(
            "this workbench answers its own machine only, so there is nothing to pair",
            remedy="Start it with: culmwright serve --lan",
        )
    return door


def pairing_address(request: Request) -> str:
    """Where another device pairs; "" where none can."""
    reach: Reach | None = request.app.state.reach
    return f"{reach.addresses[0]}pair" if reach is not None and reach.addresses else ""


def peer_of(request: Request) -> str:
    """Who is really at the other end; addresses of IPv6 count by their network, which one machine has to itself."""
    host = request.client.host if request.client else ""
    return ":".join(host.split(":")[:4]) if host.count(":") > 3 else host


@router.get("/devices", response_class=HTMLResponse)
def devices_page(request: Request) -> str:
    """The devices, and the code that is open."""
    from culmwright.book.labels import drawn

    door = door_of(request)
    reach: Reach | None = request.app.state.reach
    code, address = door.admission.code, pairing_address(request)
    return page(
        request,
        "devices.html",
        devices=door.admission.devices,
        rights=RIGHTS,
        code=code,
        right="" if code is None else RIGHTS[code.right],
        until="" if code is None else f"{code.until.astimezone():%H:%M}",
        address=address,
        addresses=() if reach is None else reach.addresses,
        secure=reach is not None and reach.scheme == "https",
        drawn=drawn(f"{address}#{code.text}") if code is not None and address else "",
        day=_day,
        longest=LONGEST_NAME,
    )


def _day(moment: datetime | None) -> str:
    return "" if moment is None else f"{moment.astimezone():%Y-%m-%d}"


@router.post("/devices/code")
def new_code(request: Request, right: Annotated[Right, Form()]) -> Response:
    """Open a code for one device."""
    on_network(request).admission.new_code(right)
    return RedirectResponse("/devices", 303)


@router.post("/devices/{id}/name")
def rename(request: Request, id: str, name: Annotated[str, Form(max_length=LONGEST_FIELD)]) -> Response:
    """Call a device otherwise."""
    door_of(request).admission.rename(id, name)
    return RedirectResponse("/devices", 303)


@router.post("/devices/{id}/revoke")
def revoke(request: Request, id: str) -> Response:
    """Take a device's right away."""
    door_of(request).admission.revoke(id)
    return RedirectResponse("/devices", 303)


@router.get("/pair", response_class=HTMLResponse)
def pair_page(request: Request) -> str:
    """Where a new device types its code."""
    return _pair(request)


def _pair(request: Request, fault: CulmwrightError | None = None, code: str = "", name: str = "") -> str:
    known = request.state.visitor.role is not Role.NONE and fault is None
    said = "" if fault is None else " ".join(sentence(one) for one in (fault.what, fault.remedy) if one)
    return page(
        request,
        "pair.html",
        known=known,
        name=_own_name(request),
        longest=LONGEST_NAME,
        said=said,
        wrong="" if fault is None else "name" if fault.where == "name" else "code",
        code=code[:20],
        called=name[:LONGEST_NAME],
    )


@router.post("/pair")
def pair(
    request: Request,
    code: Annotated[str, Form(max_length=LONGEST_FIELD)] = "",
    name: Annotated[str, Form(max_length=LONGEST_FIELD)] = "",
) -> Response:
    """Let a device in by its code."""
    answer = RedirectResponse("/", 303)
    on_network(request)
    try:
        come_in(request, answer, code, name)
    except CulmwrightError as fault:
        return HTMLResponse(_pair(request, fault, code, name), status_of(fault, "POST"))
    return answer


def come_in(request: Request, answer: Response, code: str, name: str) -> Device:
    """Let a device in by its code, with its token in the ``answer``; what it was known as before ends."""
    door, before = on_network(request), _own_device(request)
    device, token = door.admission.pair(code, name, peer_of(request))
    if before is not None:
        door.admission.revoke(before.id)
    door.let_in(answer, token)
    LOG.warning("%s came in as %s, %s", peer_of(request), device.id, RIGHTS[device.right])
    return device


@router.post("/leave")
def leave(request: Request) -> Response:
    """Let this device out: its right ends here and now."""
    door, device = door_of(request), _own_device(request)
    if device is not None:
        door.admission.revoke(device.id)
    answer = RedirectResponse("/pair", 303)
    if isinstance(door, OnNetwork):
        door.let_out(answer)
        answer.headers["clear-site-data"] = '"cache"'  # not "storage": readings that wait there are not lost
    return answer


@router.get("/certificate", response_class=HTMLResponse)
def certificate_page(request: Request) -> str:
    """How a device comes to trust the shop's certificate."""
    from culmwright.workshop.certifying import fingerprint

    reach: Reach | None = request.app.state.reach
    secure = reach is not None and reach.scheme == "https"
    shown = fingerprint(request.app.state.desk.file) if secure else ""
    return page(request, "certificate.html", fingerprint=shown, secure=secure)


@router.get("/certificate/authority.crt")
def authority(request: Request) -> Response:
    """The certificate of the shop's authority, to be installed."""
    from culmwright.workshop.certifying import authority_der

    content = authority_der(request.app.state.desk.file)
    if not content:
        raise BadInput("this shop has no certificate", remedy="Start it with: culmwright serve --lan --tls")
    return Response(
        content,
        media_type="application/x-x509-ca-cert",
        headers={"content-disposition": 'attachment; filename="authority.crt"'},
    )


def _own_device(request: Request) -> Device | None:
    visitor = request.state.visitor
    return next((one for one in door_of(request).admission.devices if one.id == visitor.device), None)


def _own_name(request: Request) -> str:
    device = _own_device(request)
    return "" if device is None else device.name

"""The API of what a shop keeps beside its rods: people, gauges, dockets, devices; and its data, out, in and back."""

from __future__ import annotations

import shutil
from dataclasses import dataclass
from pathlib import Path as File
from typing import Annotated, Any, Literal

from fastapi import APIRouter, Path, Query, Request, Response
from fastapi.concurrency import run_in_threadpool
from pydantic import Field

from culmwright.measure.errors import BadInput
from culmwright.web.admission_pages import come_in, door_of, on_network
from culmwright.web.data_pages import MEDIA, SQLITE, Copy, attached, holding_of, import_sent, replace_by
from culmwright.web.pages import desk_of
from culmwright.web.problems import PROBLEMS
from culmwright.web.shapes import Strict, answer, shape_of
from culmwright.workshop import guarding
from culmwright.workshop.admitting import Device, Right
from culmwright.workshop.guarding import Backup, Preview, Restored, Safety
from culmwright.workshop.holding import must_be_backup, unpacked
from culmwright.workshop.serving import (
    DocketList,
    DocketRecord,
    GaugeList,
    GaugeRecord,
    PersonList,
    PersonRecord,
    docket_list,
    enter_docket,
    enter_gauge,
    enter_person,
    gauge_list,
    person_list,
    withdraw,
)

api = APIRouter(prefix="/api")
MANY = 10**6
Id = Annotated[str, Field(pattern=r"^[0-9A-Za-z_-]{16,64}$", description="made by the sender, once and for good")]
Number = Annotated[int, Field(ge=1, le=MANY)]
Why = Annotated[str, Field(max_length=200)]
RodCode = r"^[Rr][1-9][0-9]{0,8}(\.[1-9][0-9]{0,4})?$"
Kind = r"^[a-z][a-z ]{0,39}$"
BackupName = Annotated[str, Path(max_length=120)]


class PersonSent(Strict):
    """A hand of the shop."""

    name: Annotated[str, Field(min_length=1, max_length=60)]


class GaugeSent(Strict):
    """A gauge and the unit it shows; with ``supersedes`` what that gauge shows from now on, and why."""

    name: Annotated[str, Field(min_length=1, max_length=60)]
    unit: Literal["in", "mm"]
    resolution: Annotated[str, Field(max_length=64, examples=["0.01 mm"])] = ""
    supersedes: Number | None = None
    why: Why = ""


class DocketSent(Strict):
    """A small paper of the shop: a kind in a word or two, and a text."""

    id: Id
    kind: Annotated[str, Field(pattern=Kind, examples=["weighing"])]
    text: Annotated[str, Field(min_length=1, max_length=1 << 20)]
    rod: Annotated[str | None, Field(pattern=RodCode)] = None
    section: Annotated[str | None, Field(pattern=r"^(B|M|T[1-9][0-9]?)$")] = None
    strip: Annotated[int | None, Field(ge=1, le=9999)] = None
    person: Number | None = None
    supersedes: Number | None = None
    why: Annotated[str | None, Field(min_length=1, max_length=200)] = None


class Reason(Strict):
    """Why something is taken back."""

    why: Annotated[str, Field(min_length=1, max_length=200)]


class CodeAsked(Strict):
    """What the next device may do."""

    right: Literal["look", "bench", "keep"]


class NameSent(Strict):
    """What a device is to be called."""

    name: Annotated[str, Field(min_length=1, max_length=60)]


class PairSent(Strict):
    """The code that the shop's computer shows, and a name for this device."""

    code: Annotated[str, Field(max_length=40)]
    name: Annotated[str, Field(max_length=60)]


class Confirmed(Strict):
    """The word that is typed before a shop is replaced: restore."""

    confirm: Annotated[str, Field(max_length=40)]


@dataclass(frozen=True, slots=True)
class VisitorRecord:
    """Who is asking: what they may do, and the token that their writing requests carry."""

    device: str
    right: str
    token: str


@dataclass(frozen=True, slots=True)
class DeviceRecord:
    """A device: what it is called and may do, since when, and when its right was taken away."""

    id: str
    name: str
    right: str
    since: str
    revoked: str | None


@dataclass(frozen=True, slots=True)
class DeviceList:
    """The devices that were ever let in."""

    devices: tuple[DeviceRecord, ...]


@dataclass(frozen=True, slots=True)
class CodeRecord:
    """A code for one device, what it lets it do, and until when."""

    code: str
    right: str
    until: str


@dataclass(frozen=True, slots=True)
class PreviewHeld:
    """What an import would write, and under which id it is held until it is applied."""

    held: str
    preview: Preview


@api.get("/me", tags=["shop"], responses=PROBLEMS, response_model=shape_of(VisitorRecord))
def me(request: Request) -> Response:
    """Who is asking; the token goes into the header X-Culmwright-Token of every request that writes."""
    visitor = request.state.visitor
    return answer(VisitorRecord(visitor.device, visitor.role.name.lower(), visitor.token))


@api.get("/people", tags=["shop"], responses=PROBLEMS, response_model=shape_of(PersonList))
def list_people(request: Request) -> Response:
    """The hands of the shop."""
    with desk_of(request).shop() as opened:
        return answer(person_list(opened))


@api.post("/people", tags=["shop"], responses=PROBLEMS, response_model=shape_of(PersonRecord))
def add_person(request: Request, sent: PersonSent) -> Response:
    """Enter a hand of the shop, or find them."""
    with desk_of(request).shop() as opened:
        return answer(enter_person(opened, sent.name))


@api.get("/gauges", tags=["shop"], responses=PROBLEMS, response_model=shape_of(GaugeList))
def list_gauges(request: Request) -> Response:
    """The gauges of the shop as they are declared now."""
    with desk_of(request).shop() as opened:
        return answer(gauge_list(opened))


@api.post("/gauges", tags=["shop"], responses=PROBLEMS, response_model=shape_of(GaugeRecord))
def add_gauge(request: Request, sent: GaugeSent) -> Response:
    """Enter a gauge, or what it shows from now on."""
    with desk_of(request).shop() as opened:
        return answer(
            enter_gauge(opened, sent.name, sent.unit, sent.resolution, supersedes=sent.supersedes, why=sent.why)
        )


@api.get("/dockets", tags=["shop"], responses=PROBLEMS, response_model=shape_of(DocketList))
def list_dockets(
    request: Request,
    kind: Annotated[str | None, Query(pattern=Kind)] = None,
    rod: Annotated[str | None, Query(pattern=RodCode)] = None,
) -> Response:
    """The dockets that stand, of one kind and one rod where they are named."""
    with desk_of(request).shop() as opened:
        return answer(docket_list(opened, kind, rod))


@api.post("/dockets", tags=["shop"], responses=PROBLEMS, response_model=shape_of(DocketRecord))
def add_docket(request: Request, sent: DocketSent) -> Response:
    """Keep a docket; sent again with the same id it is the same one."""
    with desk_of(request).shop() as opened:
        return answer(
            enter_docket(
                opened, sent.kind, sent.text, id=sent.id, rod=sent.rod, section=sent.section, strip=sent.strip,
                person=sent.person, supersedes=sent.supersedes, why=sent.why,
            )
        )  # fmt: skip


@api.post("/dockets/{seq}/withdraw", tags=["shop"], responses=PROBLEMS, response_model=shape_of(DocketList))
def take_docket_back(request: Request, seq: Annotated[int, Path(ge=1, le=2**53)], sent: Reason) -> Response:
    """Take a docket back; it stays in the ledger."""
    with desk_of(request).shop() as opened:
        withdraw(opened, seq, sent.why)
        return answer(docket_list(opened))


def _device(one: Device) -> DeviceRecord:
    revoked = one.revoked.isoformat() if one.revoked else None
    return DeviceRecord(one.id, one.name, one.right.value, one.since.isoformat(), revoked)


@api.get("/devices", tags=["devices"], responses=PROBLEMS, response_model=shape_of(DeviceList))
def list_devices(request: Request) -> Response:
    """The devices that were ever let in."""
    return answer(DeviceList(tuple(_device(one) for one in door_of(request).admission.devices)))


@api.post("/devices/code", tags=["devices"], responses=PROBLEMS, response_model=shape_of(CodeRecord))
def open_code(request: Request, sent: CodeAsked) -> Response:
    """Open a code for one device and ten minutes; the one before is closed."""
    code = on_network(request).admission.new_code(Right(sent.right))
    return answer(CodeRecord(code.text, code.right.value, code.until.isoformat()))


@api.post("/devices/{id}/name", tags=["devices"], responses=PROBLEMS, response_model=shape_of(DeviceRecord))
def name_device(request: Request, id: Annotated[str, Path(max_length=12)], sent: NameSent) -> Response:
    """Call a device otherwise."""
    return answer(_device(door_of(request).admission.rename(id, sent.name)))


@api.post("/devices/{id}/revoke", tags=["devices"], responses=PROBLEMS, response_model=shape_of(DeviceRecord))
def revoke_device(request: Request, id: Annotated[str, Path(max_length=12)]) -> Response:
    """Take a device's right away, at once and for good."""
    return answer(_device(door_of(request).admission.revoke(id)))


@api.post("/pair", tags=["devices"], responses=PROBLEMS, response_model=shape_of(DeviceRecord))
def pair(request: Request, sent: PairSent) -> Response:
    """Let this device in by its code; the cookie of the answer is what it is known by."""
    made = Response()
    device = come_in(request, made, sent.code, sent.name)
    told = answer(_device(device))
    told.raw_headers += [one for one in made.raw_headers if one[0] == b"set-cookie"]
    return told


@api.get("/backups", tags=["data"], responses=PROBLEMS, response_model=shape_of(Safety))
def list_backups(request: Request) -> Response:
    """The backups beside the shop, and when a copy was last taken off the machine."""
    return answer(guarding.safety(desk_of(request).file))


@api.post("/backups", tags=["data"], responses=PROBLEMS, response_model=shape_of(Backup))
def back_up(request: Request) -> Response:
    """Make a backup and prove it."""
    return answer(guarding.backup(desk_of(request).file))


@api.get(
    "/backups/{name}",
    tags=["data"],
    responses=PROBLEMS | {200: {"description": "The backup.", "content": {SQLITE: {}}}},
    response_class=Response,
)
def download(request: Request, name: BackupName) -> Response:
    """One of the backups, to be kept elsewhere."""
    file = desk_of(request).file
    return Copy(guarding.backup_named(name, file), file)


@api.post("/backups/{name}/restore", tags=["data"], responses=PROBLEMS, response_model=shape_of(Restored))
def put_back(request: Request, name: BackupName, sent: Confirmed) -> Response:
    """Put one of the backups back; what stands there is kept beside it."""
    path = guarding.backup_named(name, desk_of(request).file)
    return answer(replace_by(request, path, sent.confirm))


@api.get(
    "/export",
    tags=["data"],
    responses=PROBLEMS | {200: {"description": "The sheets.", "content": {one: {} for one in MEDIA.values()}}},
    response_class=Response,
)
def export(request: Request, sheets: Literal["csv", "xlsx"] = "csv") -> Response:
    """Everything the shop holds: a zip of CSV sheets, or a workbook."""
    name, content = guarding.exported(sheets, desk_of(request).file)
    return Response(content, media_type=MEDIA["csv" if name.endswith(".zip") else "xlsx"], headers=attached(name))


def _body(*kinds: str) -> dict[str, Any]:
    """The description of a body that is a file."""
    file = {"schema": {"type": "string", "format": "binary"}}
    return {"requestBody": {"required": True, "content": dict.fromkeys(kinds, file)}}


async def _received(request: Request, kinds: tuple[str, ...]) -> File:
    """The body, in a room of its own; refuses what does not say that it is one of these kinds of file."""
    kind = request.headers.get("content-type", "").partition(";")[0].strip().lower()
    if kind not in kinds:
        raise BadInput("this is not said to be such a file", where="content-type", remedy=f"Send {' or '.join(kinds)}")
    target = holding_of(request).room() / "sent"
    with target.open("wb") as goal:
        async for piece in request.stream():
            await run_in_threadpool(goal.write, piece)
    return target


@api.post(
    "/import",
    tags=["data"],
    responses=PROBLEMS,
    response_model=shape_of(PreviewHeld),
    openapi_extra=_body(*MEDIA.values()),
)
async def preview(request: Request) -> Response:
    """What importing a zip of sheets or a workbook would write; nothing is written before it is applied."""
    holding = holding_of(request)
    source = await run_in_threadpool(unpacked, await _received(request, tuple(MEDIA.values())))
    held = holding.keep(source)
    found = await run_in_threadpool(import_sent, request, source)
    return answer(PreviewHeld(held.id, found))


@api.post("/import/{held}/apply", tags=["data"], responses=PROBLEMS, response_model=shape_of(Preview))
def apply(request: Request, held: Annotated[str, Path(max_length=40)]) -> Response:
    """Write what was shown."""
    holding = holding_of(request)
    found = import_sent(request, holding.at(held).path, write=True)
    holding.drop(held)
    return answer(found)


@api.post("/restore", tags=["data"], responses=PROBLEMS, response_model=shape_of(Restored), openapi_extra=_body(SQLITE))
async def put_back_sent(request: Request, confirm: Annotated[str, Query(max_length=40)] = "") -> Response:
    """Put a backup back that is sent in; what stands there is kept beside it. ``confirm`` is the word restore."""
    sent = await _received(request, (SQLITE,))
    try:
        path = must_be_backup(sent)
        return answer(await run_in_threadpool(replace_by, request, path, confirm))
    finally:
        shutil.rmtree(sent.parent, ignore_errors=True)

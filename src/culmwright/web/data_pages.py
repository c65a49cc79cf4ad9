"""The shop's data: backups, export, import and restore; and what is on or off."""

from __future__ import annotations

import shutil
from dataclasses import replace
from pathlib import Path
from typing import Annotated, Literal

from fastapi import APIRouter, Form, Request, Response
from fastapi.concurrency import run_in_threadpool
from fastapi.responses import FileResponse, HTMLResponse, RedirectResponse
from starlette.datastructures import UploadFile
from starlette.types import Message, Receive, Scope, Send

from culmwright.book.words import sentence
from culmwright.measure.errors import AnswerIsNo, BadInput, CulmwrightError
from culmwright.measure.moments import clock, to_the_second
from culmwright.web.pages import desk_of
from culmwright.web.problems import status_of
from culmwright.web.render import page
from culmwright.workshop import guarding
from culmwright.workshop.guarding import Preview, Restored
from culmwright.workshop.holding import Holding, must_be_backup, unpacked

router = APIRouter(include_in_schema=False)
WORD = "restore"
"""What is typed before a shop is replaced."""
TELLS = {
    "backup": "A backup was made and proven. Download it and keep it elsewhere.",
    "import": "The rows were imported.",
    "restore": "The backup is put back. What stood there before is kept beside it.",
}
MEDIA = {"csv": "application/zip", "xlsx": "application/vnd.openxmlformats-officedocument.spreadsheetml.sheet"}
SQLITE = "application/vnd.sqlite3"


def holding_of(request: Request) -> Holding:
    """What is held for this workbench."""
    holding: Holding = request.app.state.holding
    return holding


def attached(name: str) -> dict[str, str]:
    """The headers of a file that is saved, not shown; the name is one of ours."""
    return {"content-disposition": f'attachment; filename="{name}"', "cache-control": "no-store"}


class Copy(FileResponse):
    """A backup on its way off this machine; only what was sent to its end is noted as a copy of the shop."""

    def __init__(self, path: Path, shop: Path) -> None:
        super().__init__(path, media_type=SQLITE, headers=attached(path.name))
        self._shop = shop

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Send it, then note it; a part of it, or one that broke off, is no copy."""
        status, whole = 0, False

        async def watched(message: Message) -> None:
            nonlocal status, whole
            await send(message)
            status = message.get("status", status)
            whole = message["type"] == "http.response.body" and not message.get("more_body", False)

        await super().__call__(scope, receive, watched)
        if status == 200 and whole and scope["method"] == "GET":
            await run_in_threadpool(guarding.note_copy, self._shop)


@router.get("/state", response_class=HTMLResponse)
def state_page(request: Request) -> str:
    """What is on and what is off, and why."""
    desk, reach = desk_of(request), request.app.state.reach
    found = guarding.safety(desk.file)
    damage = look_for_damage(request)
    return page(
        request,
        "state.html",
        found=found,
        reach=reach,
        secure=reach is not None and reach.scheme == "https",
        begun=desk.begun,
        harm=damage,
        when=clock,
        https=request.url.scheme == "https",
    )


def look_for_damage(request: Request) -> str:
    """What is wrong with the shop's file, "" if nothing is or there is none."""
    desk = desk_of(request)
    if not desk.begun:
        return ""
    try:
        with desk.shop() as shop:
            return shop.damage
    except BadInput as fault:
        return str(fault)


@router.get("/data", response_class=HTMLResponse)
def data_page(request: Request, done: Literal["", "backup", "import", "restore"] = "") -> str:
    """Backups, export, import and restore."""
    return _data(request, TELLS.get(done, ""))


def _data(request: Request, told: str = "", form: str = "", said: str = "") -> str:
    """The page; with what is ``said`` against one of its forms, by the ``form``'s name, beside it."""
    desk = desk_of(request)
    damage = look_for_damage(request)
    return page(
        request,
        "data.html",
        found=guarding.safety(desk.file),
        told=told,
        form=form,
        said=said,
        begun=desk.begun,
        harm=damage,
        retention=guarding.KEPT,
        when=to_the_second,
        size=_size,
        word=WORD,
    )


OWN_PLACES = ("", "file", "the file", "word")
"""Places of a refusal that its form tells already."""


def refused(request: Request, form: str, fault: CulmwrightError, own: str = "") -> Response:
    """The page with a refusal beside the form it belongs to; a place of the form's ``own`` is not said again."""
    what = fault.what if fault.where in (*OWN_PLACES, own) else f"{fault.where}: {fault.what}"
    said = " ".join(sentence(one) for one in (what, fault.remedy) if one)
    return HTMLResponse(_data(request, form=form, said=said), status_of(fault, "POST"))


def _size(count: int) -> str:
    return f"{count / 1e6:.1f} MB" if count >= 100_000 else f"{max(count // 1000, 1)} kB"


@router.post("/data/backup")
def back_up(request: Request) -> Response:
    """Make a backup and prove it."""
    try:
        guarding.backup(desk_of(request).file)
    except CulmwrightError as fault:
        return refused(request, "backup", fault)
    return RedirectResponse("/data?done=backup", 303)


@router.get("/data/backups/{name}")
def download(request: Request, name: str) -> Response:
    """One of the backups, to be kept elsewhere."""
    file = desk_of(request).file
    return Copy(guarding.backup_named(name, file), file)


@router.get("/data/export/{sheets}")
def export(request: Request, sheets: Literal["csv", "xlsx"]) -> Response:
    """Everything the shop holds, as sheets."""
    name, content = guarding.exported(sheets, desk_of(request).file)
    return Response(content, media_type=MEDIA["csv" if name.endswith(".zip") else "xlsx"], headers=attached(name))


async def received(request: Request, holding: Holding) -> Path:
    """The one file of a form, copied into a room of its own under a name of ours."""
    form = await request.form()
    sent = form.get("file")
    if not isinstance(sent, UploadFile) or not sent.size:
        raise BadInput("no file was sent", where="file", remedy="Choose one, then send it again")
    target = holding.room() / "sent"
    with target.open("wb") as goal:
        await run_in_threadpool(shutil.copyfileobj, sent.file, goal, 1 << 20)
    return target


@router.post("/data/import", response_class=HTMLResponse)
async def preview(request: Request) -> Response:
    """What an import would write; nothing is written."""
    holding = holding_of(request)
    try:
        source = await run_in_threadpool(unpacked, await received(request, holding))
        held = holding.keep(source)
        found = await run_in_threadpool(import_sent, request, source)
    except CulmwrightError as fault:
        return await run_in_threadpool(refused, request, "import", fault)
    return HTMLResponse(page(request, "import.html", found=found, held=held.id, adds=sum(found.adds.values())))


def import_sent(request: Request, source: Path, *, write: bool = False) -> Preview:
    """Import what was sent in, or show what that would write; places in it are told without those of this machine."""
    try:
        desk = desk_of(request)
        if write or desk.begun:
            with desk.shop(start=write) as shop:
                found = guarding.import_into(shop, source, write=write)
        else:
            found = guarding.import_(source, desk.file)
        return replace(found, source=Path("the file"))
    except BadInput as fault:
        where = fault.where.replace(str(source), "the file").replace(str(source.parent), "the file")
        raise type(fault)(fault.what, where=where, remedy=fault.remedy) from None


@router.post("/data/import/{held}/apply")
def apply(request: Request, held: str) -> Response:
    """Write what was shown."""
    holding = holding_of(request)
    try:
        import_sent(request, holding.at(held).path, write=True)
    except CulmwrightError as fault:
        return refused(request, "import", fault, held[:40])
    holding.drop(held)
    return RedirectResponse("/data?done=import", 303)


@router.post("/data/backups/{name}/restore")
def put_back(request: Request, name: str, word: Annotated[str, Form(max_length=40)] = "") -> Response:
    """Put one of the backups back, if that was typed."""
    try:
        replace_by(request, guarding.backup_named(name, desk_of(request).file), word)
    except CulmwrightError as fault:
        return refused(request, name, fault, name[:80])
    return RedirectResponse("/data?done=restore", 303)


@router.post("/data/restore", response_class=HTMLResponse)
async def put_back_sent(request: Request) -> Response:
    """Put a backup back that was sent in, if that was typed."""
    word = (await request.form()).get("word")
    try:
        sent = await received(request, holding_of(request))
        try:
            path = must_be_backup(sent)
            await run_in_threadpool(replace_by, request, path, word if isinstance(word, str) else "")
        finally:
            shutil.rmtree(sent.parent, ignore_errors=True)
    except CulmwrightError as fault:
        return await run_in_threadpool(refused, request, "file", fault)
    return RedirectResponse("/data?done=restore", 303)


def replace_by(request: Request, path: Path, word: str) -> Restored:
    """Replace the shop by a backup; refuses where the word was not typed, and says what would be lost."""
    desk = desk_of(request)
    if word.strip().lower() != WORD:
        lost = guarding.would_lose(path, desk.file)
        newer = ", ".join(f"{count} in {table}" for table, count in lost.items())
        what = f"it holds rows the backup does not: {newer}" if lost else "it holds nothing the backup does not"
        raise AnswerIsNo(
            f"the shop was not replaced; {what}", where="word", remedy=f"Type {WORD} beside the backup, then go on"
        )
    with desk.alone() as file:
        return guarding.restore(path, file)

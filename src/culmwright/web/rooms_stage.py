"""The page of a stage with its slips: shown, kept through a verb and shown again, or refused with what was typed."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from urllib.parse import quote

from fastapi import APIRouter, Request, Response
from fastapi.responses import HTMLResponse, RedirectResponse

from culmwright.measure.errors import BadInput, CulmwrightError
from culmwright.web.access import Refused, Role
from culmwright.web.pages import desk_of
from culmwright.web.problems import status_of
from culmwright.web.render import page
from culmwright.web.rooms_form import ONCE, Refusal, Sent, Slip, Typed, filled, must_fit, refused
from culmwright.workshop.looking_stages import LeafView, look_at_stage
from culmwright.workshop.noting import kept_already
from culmwright.workshop.opening import Begun, Shop, find

Seen = tuple[LeafView, ...]
Act = Callable[[Shop, Begun, Typed], Seen | None]
"""What a button does: an answer to show and nothing kept, or None once it is kept."""
Slips = Callable[[Request, Shop, Begun], tuple[Slip, ...]]


@dataclass(frozen=True, slots=True)
class Room:
    """A stage's page that can be written to: its ``path``, ``slips``, what each button does, what else it shows."""

    path: str
    slips: Slips
    acts: Mapping[str, Act]
    template: str = "stage_work.html"
    more: Callable[[Shop, Begun], Seen] = lambda shop, begun: ()
    look: Callable[[Shop, str, str], object] = look_at_stage


def role_of(request: Request) -> Role:
    """What the visitor may do."""
    role: Role = request.state.visitor.role
    return role


def told_of(slips: tuple[Slip, ...], act: str) -> str:
    """What is said once ``act`` was done."""
    return next((press.told for one in slips for press in one.presses if press.act == act), "")


def shown(
    request: Request,
    room: Room,
    code: str,
    *,
    refusal: Refusal | None = None,
    seen: Seen = (),
    status: int = 200,
    waits: str = "",
) -> Response:
    """The page, with a refusal beside its field or an answer that is not kept."""
    with desk_of(request).shop() as shop:
        begun = find(shop, code)
        slips = room.slips(request, shop, begun)
        return HTMLResponse(
            page(
                request,
                room.template,
                view=room.look(shop, code, room.path),
                slips=filled(slips, role_of(request), refusal),
                may=role_of(request),
                told="" if refusal or seen else told_of(slips, request.query_params.get("kept", "")),
                refusal=refusal if refusal and refusal.said else None,
                seen=seen,
                answered=refusal.slip if refusal and seen else "",
                more=room.more(shop, begun),
                waits=waits,
                action=f"/{quote(code)}/{room.path}",
            ),
            status,
        )


def slip_of(slips: tuple[Slip, ...], act: str) -> Slip:
    """The slip with this button. Raises :class:`BadInput` where none has it."""
    found = next((one for one in slips if any(press.act == act for press in one.presses)), None)
    if found is None:
        raise BadInput("this page has no such button", remedy="Load it again, then try once more")
    return found


def must_may(request: Request, slip: Slip, act: str) -> None:
    """Refuse a visitor who may not press this."""
    if role_of(request) < next(press.role for press in slip.presses if press.act == act):
        raise Refused("this device may not do that", remedy="Use one with more rights, or ask the keeper of the shop")


def sent(request: Request, room: Room, code: str, typed: Typed) -> Response:
    """Do what a button asks: back to the page once it is kept, or the page again with the sentence beside the field."""
    with desk_of(request).shop() as shop:
        begun = find(shop, code)
        slip = slip_of(room.slips(request, shop, begun), typed.act)
        must_may(request, slip, typed.act)
        answer: list[Seen] = []

        def work() -> None:
            if (found := room.acts[typed.act](shop, begun, typed)) is not None:
                answer.append(found)

        try:
            must_fit(slip, typed)
            if told_of((slip,), typed.act):
                ONCE.do(typed.id, lambda: kept_already(shop, typed.id), work)
            else:
                work()
        except CulmwrightError as fault:
            return again(request, room, code, slip, typed, fault)
    if answer:
        asked = Refusal(slip.name, typed.values)
        return shown(request, room, code, refusal=asked, seen=answer[0])
    return RedirectResponse(f"/{quote(code)}/{room.path}?kept={quote(typed.act)}#sheet", 303)


def routes_of(room: Room) -> APIRouter:
    """The two routes of a room's page: shown, and sent to."""
    router = APIRouter(include_in_schema=False)

    @router.get(f"/{{code}}/{room.path}", response_class=HTMLResponse)
    def room_page(request: Request, code: str) -> Response:
        return shown(request, room, code)

    @router.post(f"/{{code}}/{room.path}")
    def room_sent(request: Request, code: str, typed: Sent) -> Response:
        return sent(request, room, code, typed)

    return router


def again(request: Request, room: Room, code: str, slip: Slip, typed: Typed, fault: CulmwrightError) -> Response:
    """The page as it was filled in, with what was refused."""
    status = max(status_of(fault, "POST"), 422) if isinstance(fault, BadInput) else 422
    return shown(request, room, code, refusal=refused(slip, typed, fault), status=status)

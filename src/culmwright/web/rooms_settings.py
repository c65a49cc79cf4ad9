"""Settings: a rig of the shop set for a section, first shown, then noted as the screws stand; a gauge tried."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager

from fastapi import Request

from culmwright.book.cautions import EDGES
from culmwright.measure.errors import BadInput
from culmwright.web.rooms_form import Field, Look, Press, Slip, Typed, beside
from culmwright.web.rooms_stage import Room, Seen, routes_of
from culmwright.web.rooms_stores import gauge_slip, try_typed
from culmwright.workshop.looking_work import settings_shown
from culmwright.workshop.opening import Begun, Shop
from culmwright.workshop.serving import gauge_list
from culmwright.workshop.setting import settings
from culmwright.workshop.setting_kept import ShopRig, rig_files, rig_named, set_rig, state_of

CUTS = (("finish", "finished, dry"), ("rough", "roughed"))


def _slips(request: Request, shop: Shop, begun: Begun) -> tuple[Slip, ...]:
    rigs = tuple(rig_files(shop))
    bare = begun.rod.display.bare
    back = f"/stores?back=/{begun.code}/settings"
    rig = Slip(
        "rig",
        "Set a rig",
        (
            Field("rig", "Rig", "", Look.ONE_OF, tuple((one, one) for one in rigs)),
            Field("section", "Section", "", Look.ONE_OF, tuple((one.name, one.name) for one in begun.rod.sections())),
            Field("cut", "For strips", "", Look.ONE_OF, CUTS, first="finish"),
            Field("groove", "Groove", "as the rig's file names it, like top; left empty: the first that fits"),
            Field(
                "at",
                f"The section's tip end lies along the rig at, {bare}",
                f"like {'100 mm' if bare == 'mm' else '4 in'}; left empty: where it fits best",
                digits=True,
            ),
        ),
        (
            Press("show", "Show the settings"),
            Press("set", "The screws stand so now", "It is noted: the screws stand so now."),
        ),
        "Look first; once the screws are turned, note it, so that the next setting counts the turns from there.",
        blocked="" if rigs else "No rig is entered yet: enter yours with the shop's culms, rigs and gauges.",
        see=((f"{back}#rigfile", "Enter or change a rig"),),
        caution=EDGES,
        open=bool(rigs) and state_of(shop, begun) == "none",
    )
    names = tuple(one.name for one in gauge_list(shop).gauges)
    return (rig, gauge_slip(names, bare=bare))


def _show(shop: Shop, begun: Begun, typed: Typed) -> Seen:
    rig, at = _asked(shop, begun, typed)
    rough, groove = typed.text("cut") == "rough", typed.text("groove") or None
    with _beside(typed):
        found = settings(begun.rod, rig.rig, typed.text("section"), groove=groove, tip_end=at, rough=rough, now=rig.now)
    return (settings_shown(begun, found),)


def _set(shop: Shop, begun: Begun, typed: Typed) -> None:
    rig, at = _asked(shop, begun, typed)
    rough, groove = typed.text("cut") == "rough", typed.text("groove") or None
    with _beside(typed):
        set_rig(shop, begun, rig, typed.text("section"), groove=groove, tip_end=at, rough=rough, id=typed.id)


def _asked(shop: Shop, begun: Begun, typed: Typed) -> tuple[ShopRig, float | None]:
    """The rig, and where along it the section's tip end lies [m], None for where it fits best."""
    with beside("rig"):
        rig = rig_named(shop, typed.words("rig", "Choose one"))
    if typed.text("cut") not in dict(CUTS):
        raise BadInput("strips are roughed or finished", where="cut", remedy="Choose one")
    at = typed.length("at", begun.rod.display.bare)
    return rig, None if at is None else at.m


@contextmanager
def _beside(typed: Typed) -> Iterator[None]:
    """A refusal of the settings, said at the field it comes from."""
    try:
        yield
    except BadInput as fault:
        groove = typed.text("groove")
        place = "groove" if groove and fault.where == groove else "at" if typed.text("at") else "rig"
        raise BadInput(fault.what, where=place, remedy=fault.remedy) from None


def _try(shop: Shop, begun: Begun, typed: Typed) -> None:
    try_typed(shop, typed)


ROOM = Room("settings", _slips, {"show": _show, "set": _set, "try": _try})
router = routes_of(ROOM)

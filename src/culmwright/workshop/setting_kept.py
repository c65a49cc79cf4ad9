"""Rigs of a shop: kept, found by name, set for the sections of its rods, and shown in their books."""

from __future__ import annotations

import json
from dataclasses import dataclass
from datetime import datetime, timedelta
from pathlib import Path

from culmwright.book.leaf import Leaf
from culmwright.book.ruler import Ruler
from culmwright.book.setting_leaves import settings_leaf
from culmwright.design.rod_file import read_rod
from culmwright.ledger.dockets import Docket, dockets, keep_docket
from culmwright.ledger.register import Rig as KeptRig
from culmwright.ledger.register import add_rig, rig_row, rigs
from culmwright.ledger.shop import Shop
from culmwright.measure.errors import BadInput
from culmwright.measure.lengths import Length
from culmwright.rigs.rig import Rig
from culmwright.rigs.rig_file import read_rig, rig_from_text, rig_text
from culmwright.rigs.setting_records import Settings
from culmwright.workshop.opening import Begun, begin, find, the_shop
from culmwright.workshop.setting import Rod, settings
from culmwright.workshop.starting import shop_rig_text

KIND = "rig settings"


@dataclass(frozen=True, slots=True)
class ShopRig:
    """A rig of the shop: its row, what its file says, and the turns each screw stands at, None if not known."""

    kept: KeptRig
    rig: Rig
    now: tuple[float, ...] | None


def keep_rig(shop: Shop, text: str) -> ShopRig:
    """Keep the rig a file says; one of its name that says otherwise is superseded."""
    rig = rig_from_text(text)
    old = next((one for one in rigs(shop) if one.name == rig.name), None)
    if old is not None and old.text == text:
        return ShopRig(old, rig, _stands(shop, rig))
    why = "its file was changed" if old else None
    kept = add_rig(shop, rig.name, rig.kind, text, supersedes=old.id if old else None, why=why)
    return ShopRig(kept, rig, _stands(shop, rig))


def keep_rig_file(shop: Shop, path: str) -> ShopRig:
    """Keep the rig in the file at ``path``."""
    return keep_rig(shop, rig_text(path))


def rig_files(shop: Shop) -> dict[str, str]:
    """The text of the file of every rig of the shop, by its name."""
    return {one.name: one.text for one in rigs(shop)}


def rig_named(shop: Shop, name: str) -> ShopRig:
    """The shop's rig of that name. Raises :class:`BadInput` where there is none."""
    every = rigs(shop)
    kept = next((one for one in every if one.name.lower() == name.lower()), None)
    if kept is None:
        names = ", ".join(one.name for one in every)
        remedy = f"Its rigs are {names}" if names else "Give a rig file, or keep one with: culmwright settings … --done"
        raise BadInput(f'there is no file and no rig of this shop called "{name}"', where="--rig", remedy=remedy)
    rig = rig_from_text(kept.text)
    return ShopRig(kept, rig, _stands(shop, rig))


def _stands(shop: Shop, rig: Rig) -> tuple[float, ...] | None:
    """The turns its screws were last set to in this shop, else those of its file."""
    for one in reversed(dockets(shop, KIND)):
        said = json.loads(one.text)
        if said["rig"] == rig.name and len(said["turns"]) == len(rig.adjusters.places):
            return tuple(said["turns"])
    return rig.adjusters.now


def set_rig(
    shop: Shop,
    begun: Begun,
    rig: ShopRig,
    section: str,
    *,
    groove: str | None = None,
    tip_end: float | None = None,
    rough: bool = False,
    at: datetime | None = None,
    id: str | None = None,
) -> Settings:
    """Set a rig of the shop for a section of a rod and note that its screws stand so now; lengths [m]."""
    found = settings(begun.rod, rig.rig, section, groove=groove, tip_end=tip_end, rough=rough, now=rig.now)
    said = {
        "rig": rig.rig.name,
        "revision": begun.revision.id,
        "groove": found.grooves[0] if found.grooves else None,
        "tip_end": found.tip_end,
        "rough": rough,
        "before": rig.now,
        "turns": [found.screw.settable(one.turn) for one in found.adjusters],
    }
    text = json.dumps(said)
    keep_docket(shop, KIND, text, id=id, rod=begun.revision.rod, section=found.section, rig=rig.kept.id, at=at)
    return found


def settings_kept(shop: Shop, begun: Begun) -> tuple[tuple[Settings, tuple[str, ...]], ...]:
    """The newest setting kept for each section of a rod, in its order, and what to know about it.

    Worked out with the rig as its file was then.
    """
    newest: dict[str, Docket] = {}
    for one in dockets(shop, KIND, rod=begun.revision.rod):
        if one.section is not None:
            newest[one.section] = one
    found = []
    for section in begun.rod.sections():
        docket = newest.get(section.name)
        row = None if docket is None or docket.rig is None else rig_row(shop, docket.rig)
        if docket is None or row is None:
            continue
        said, rig = json.loads(docket.text), rig_from_text(row.text)
        now = said["before"] if said["before"] and len(said["before"]) == len(rig.adjusters.places) else None
        made = settings(
            begun.rod, rig, section.name, groove=said["groove"], tip_end=said["tip_end"], rough=said["rough"], now=now
        )
        old = said["revision"] != begun.revision.id
        found.append(
            (made, ("the screws were set for another revision of this drawing: set them anew",) if old else ())
        )
    return tuple(found)


def rods_set(shop: Shop) -> dict[str, set[int]]:
    """The rods each rig was set for, by the rig's name."""
    found: dict[str, set[int]] = {}
    for one in dockets(shop, KIND):
        if one.rod is not None:
            found.setdefault(json.loads(one.text)["rig"], set()).add(one.rod)
    return found


def leaves_of(shop: Shop, begun: Begun, ruler: Ruler) -> tuple[Leaf, ...]:
    """The sheets of the settings kept for a rod, one for the sections whose screws stand alike."""
    show = begun.rod.display
    alike: dict[tuple[object, ...], list[tuple[Settings, tuple[str, ...]]]] = {}
    for one, notes in settings_kept(shop, begun):
        key = (one.rig, one.grooves, one.what, one.tip_end, tuple(found.turn for found in one.adjusters))
        alike.setdefault(key, []).append((one, notes))
    leaves = []
    for same in alike.values():
        others = [one.section for one, _ in same[1:]]
        first, notes = same[0]
        also = (f"for {' and '.join(others)} the screws stand alike: leave them",) if others else ()
        leaves.append(settings_leaf(first, (*also, *notes), ruler, show))
    return tuple(leaves)


def state_of(shop: Shop, begun: Begun) -> str:
    """How far the rigs are set for a rod: none, half or done; look where a taper is not met or a drawing is newer."""
    found = settings_kept(shop, begun)
    if any(notes or not one.met for one, notes in found):
        return "look"
    if not found:
        return "none"
    return "done" if len(found) == len(begun.rod.sections()) else "half"


def set_for(
    rod: str,
    rig: str,
    section: str,
    groove: str | None = None,
    at: str | None = None,
    *,
    rough: bool = False,
    shop_file: str | None = None,
    done: bool = False,
) -> tuple[Rod, Settings]:
    """The settings of a rig for a section, each named as typed: a file, or a rod or rig of the shop; with the rod.

    ``at`` is where along the rig the section's tip end lies, as typed; ``done`` notes in the shop that the screws
    stand so now.
    """
    if done:
        with the_shop(shop_file, start=True) as shop:
            begun = begin(shop, rod)
            kept = keep_rig_file(shop, rig) if _is_file(rig) else rig_named(shop, rig)
            place = _place(at, begun.rod)
            return begun.rod, set_rig(shop, begun, kept, section, groove=groove, tip_end=place, rough=rough)
    drawn, found, now = _looked_up(rod, rig, shop_file)
    return drawn, settings(drawn, found, section, groove=groove, tip_end=_place(at, drawn), rough=rough, now=now)


def _looked_up(rod: str, rig: str, shop_file: str | None) -> tuple[Rod, Rig, tuple[float, ...] | None]:
    """Rod, rig and where its screws stand, from files, or from the shop where one is named by its number or name."""
    if _is_file(rod) and _is_file(rig):
        return read_rod(rod), read_rig(rig), None
    with the_shop(shop_file, write=False) as shop:
        drawn = read_rod(rod) if _is_file(rod) else find(shop, rod).rod
        if _is_file(rig):
            return drawn, read_rig(rig), None
        kept = rig_named(shop, rig)
        return drawn, kept.rig, kept.now


def _is_file(asked: str) -> bool:
    return asked.lower().endswith(".toml") or Path(asked).exists()


def _place(at: str | None, rod: Rod) -> float | None:
    if at is None:
        return None
    try:
        return Length.parse(at, rod.display.bare).m
    except BadInput as fault:
        raise fault.at("--at") from None


def show_rigs(shop: Shop, begun: Begun, at: datetime) -> None:
    """Put the demo shop's rigs into it, and its form's settings for every section of a rod; all of it invented.

    Its butt strips were roughed on the bed before.
    """
    form = keep_rig(shop, shop_rig_text("long-form"))
    bed = keep_rig(shop, shop_rig_text("quiet-bed"))
    keep_rig(shop, shop_rig_text("pair-form"))
    set_rig(shop, begun, bed, begun.rod.sections()[-1].name, rough=True, at=at - timedelta(hours=1))
    for number, section in enumerate(begun.rod.sections()):
        set_rig(shop, begun, form, section.name, at=at + timedelta(hours=number))
        form = rig_named(shop, form.rig.name)

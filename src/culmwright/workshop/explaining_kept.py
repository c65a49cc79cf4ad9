"""``explain`` for a rod of the shop: the working behind what is kept with it, its cane, water, heat, rigs and glue."""

from __future__ import annotations

from dataclasses import replace

from culmwright.bench.cut_working import cut_working, strips_working
from culmwright.bench.gauge_study import study_again
from culmwright.bench.glue_working import pot_working
from culmwright.bench.study_working import study_working
from culmwright.book.water_leaves import cold_day
from culmwright.book.water_words import mass_format
from culmwright.cane.drying import BundleDrying
from culmwright.cane.heat_working import plan_working, step_working
from culmwright.cane.water_working import bundle_working
from culmwright.ledger.shop import Shop
from culmwright.measure.display import Format
from culmwright.measure.errors import BadInput
from culmwright.measure.reckoning import Explanation, Reckoning
from culmwright.measure.spot import Spot
from culmwright.rigs.rig_file import rig_from_text
from culmwright.rigs.thermal import joint_of
from culmwright.rigs.thermal_working import fit_working
from culmwright.workshop import cane_working
from culmwright.workshop.explaining import (
    OF_BUNDLE,
    OF_CULM,
    OF_GLUE,
    explain,
    explained,
    must_be_of,
    section_of,
    within,
)
from culmwright.workshop.gauging import records
from culmwright.workshop.gluing import glued, inputs_of
from culmwright.workshop.heating import plan_kept
from culmwright.workshop.layouts_kept import culms_of, layouts_kept
from culmwright.workshop.opening import Begun
from culmwright.workshop.setting_kept import rig_files, settings_kept
from culmwright.workshop.water_kept import drying_kept

Found = dict[str, Reckoning]


def explain_kept(shop: Shop, begun: Begun, spot: Spot) -> Explanation:
    """The working of the number at ``spot`` of a rod of the shop: of its drawing, or of what is kept with it.

    Raises :class:`BadInput` for a rod, section, thing or quantity that is not there.
    """
    spot = within(spot, begun.revision.code)
    if not (spot.section or spot.thing):
        return cane_working.explain_kept(shop, begun, spot)
    if spot.section and spot.station is not None:
        return explain(begun.rod, spot)
    must_be_of(begun.rod, spot)
    if spot.thing:
        return _told(begun, spot, {"heat": _heat, "fit": _fit, "study": _study}[spot.thing](shop, begun, spot))
    section_of(begun.rod, spot)
    if spot.strip is not None and spot.quantity == "modulus":
        return cane_working.explain_strip(shop, begun, spot)
    if spot.adjuster is not None:
        return _adjuster(shop, begun, spot)
    if spot.cut is not None:
        return _told(begun, spot, _cut(shop, begun, spot))
    if spot.quantity in OF_BUNDLE:
        one = _bundle(shop, begun, spot)
        return _told(begun, spot, bundle_working(one), mass_format(one.weighings, begun.rod.display))
    if spot.quantity in OF_CULM:
        return _told(begun, spot, _strips(shop, begun, spot))
    if spot.quantity in OF_GLUE:
        return _told(begun, spot, _glue(shop, begun, spot))
    return explain(begun.rod, spot)


def _told(begun: Begun, spot: Spot, found: Found, masses: Format | None = None) -> Explanation:
    """The ladder asked for among those ``found``, the first where none is named."""
    quantity = spot.quantity or next(iter(found))
    if quantity not in found:
        raise BadInput(
            f'there is no "{quantity}" here', where=f"spot {spot}", remedy=f"Ask for one of {', '.join(found)}"
        )
    also = tuple(name for name in found if name != quantity)
    told = explained(begun.rod, spot.asking(quantity), found[quantity], also)
    return replace(told, masses=masses)


def _none(spot: Spot, what: str, remedy: str) -> BadInput:
    return BadInput(what, where=f"spot {spot}", remedy=remedy)


def _bundle(shop: Shop, begun: Begun, spot: Spot) -> BundleDrying:
    one = next((one for one in drying_kept(shop, begun) if one.bundle == spot.section), None)
    if one is None:
        raise _none(
            spot, f"bundle {spot.section} was not weighed yet", "Weigh it: culmwright dry ROD --bundle … --weigh …"
        )
    if not bundle_working(one):
        raise _none(spot, one.reason or "its air is not known", "Weigh it three times, and say what air it stands in")
    return one


def _strips(shop: Shop, begun: Begun, spot: Spot) -> Found:
    culms, parted = culms_of(shop, begun)
    found = strips_working(begun.rod, culms, parted, spot.section) if parted is not None else {}
    if not found:
        raise _none(
            spot,
            f"no culm is kept that {spot.section} is laid out of",
            "Lay it out: culmwright layout CULM --rod … --keep",
        )
    return found


def _cut(shop: Shop, begun: Begun, spot: Spot) -> Found:
    laid = next((one for one in layouts_kept(shop, begun) if one.section == spot.section), None)
    if laid is None:
        raise _none(spot, f"{spot.section} is not laid out yet", "Lay it out: culmwright layout CULM --rod … --keep")
    if not 1 <= (spot.cut or 0) <= len(laid.ring):
        raise _none(spot, f"its cut list has {len(laid.ring)} lines", "Count them by the ring, from C1")
    cut = laid.cut_list[(spot.cut or 1) - 1]
    culms, _ = culms_of(shop, begun)
    length = next(one for culm in culms for one in culm.lengths if one.name == cut.source)
    return cut_working(laid, cut, length)


def _adjuster(shop: Shop, begun: Begun, spot: Spot) -> Explanation:
    found = next((one for one, _ in settings_kept(shop, begun) if one.section == spot.section), None)
    if found is None:
        raise _none(
            spot,
            f"no rig is set for {spot.section} yet",
            "Note one: culmwright settings ROD --rig … --section … --done",
        )
    if not 1 <= (spot.adjuster or 0) <= len(found.adjusters):
        raise _none(spot, f"{found.rig} has {len(found.adjusters)} adjusters", "Count them from its tip end, from A1")
    one = found.adjusters[(spot.adjuster or 1) - 1]
    told = _told(begun, spot, {"turn": one.working})
    return replace(told, notes=(f"{found.rig}, {found.what}, from zero: {found.turned(one.turn)}",))


def _glue(shop: Shop, begun: Begun, spot: Spot) -> Found:
    kept = [one for one in glued(shop, begun) if one.section == spot.section]
    if not kept:
        raise _none(spot, f"{spot.section} is not glued yet", "Keep its glue-up: culmwright glue ROD --section …")
    inputs = inputs_of(kept[-1])
    if inputs is None:
        raise _none(
            spot,
            "this glue-up does not say its pot life, at what temperature, and how warm the bench was",
            "Say all three with the next one",
        )
    return {"workable": pot_working(*inputs)}


def _heat(shop: Shop, begun: Begun, spot: Spot) -> Found:
    plan = plan_kept(shop, begun)
    if plan is None:
        raise _none(
            spot, "no oven plan is kept for this rod", 'Keep one: culmwright heat ROD --step "250 F for 30 min" --keep'
        )
    if not spot.of:
        return {"whole": plan_working(plan)}
    if not (spot.of.isdecimal() and 1 <= int(spot.of) <= len(plan.steps)):
        raise _none(spot, f"the oven plan has {len(plan.steps)} steps, no step {spot.of}", "Count them from heat/1")
    return step_working(plan.steps[int(spot.of) - 1], plan.room, int(spot.of))


def _fit(shop: Shop, begun: Begun, spot: Spot) -> Found:
    rigs = rig_files(shop)
    joints = {name: joint_of(rig) for name, rig in ((name, rig_from_text(text)) for name, text in rigs.items())}
    name = next((name for name, one in joints.items() if one is not None and name.lower() == spot.of.lower()), None)
    joint = joints[name] if name is not None else None
    if joint is None:
        known = ", ".join(f"fit/{name}" for name, one in joints.items() if one is not None)
        raise _none(
            spot,
            "there is no such bed with an insert in this shop",
            f"Ask for {known}" if known else "Keep a rig with one",
        )
    found = cold_day(joint, begun.rod.display)
    number = spot.adjuster
    if number is not None and not 1 <= number <= len(found.screws):
        raise _none(spot, f"this bed has {len(found.screws)} screws", "Count them from its tip end, from A1")
    screw = found.furthest if number is None else found.screws[number - 1]
    return fit_working(found, screw)


def _study(shop: Shop, begun: Begun, spot: Spot) -> Found:
    every = records(shop)
    one = next((one for one in every if one.name.lower() == spot.of.lower()), None)
    found = study_again(one.study) if one is not None and one.study is not None else None
    if found is None:
        known = [one.name for one in every if one.study is not None and study_again(one.study) is not None]
        remedy = (
            f"Ask for {', '.join(f'study/{name}' for name in known)}" if known else "Study one: culmwright gauge study"
        )
        raise _none(spot, "there is no study of such a gauge with its ranges in this shop", remedy)
    return study_working(found)

"""The thermal fit of the bed inserts in a rod's rigs, as sheets."""

from __future__ import annotations

from culmwright.book.leaf import Leaf
from culmwright.book.ruler import Ruler
from culmwright.book.water_leaves import fit_leaf
from culmwright.ledger.register import rigs
from culmwright.ledger.shop import Shop
from culmwright.rigs.rig import GuidedBed, Rig
from culmwright.rigs.rig_file import rig_from_text
from culmwright.rigs.thermal import joint_of
from culmwright.workshop.opening import Begun
from culmwright.workshop.setting_kept import rods_set


def leaves_of(shop: Shop, begun: Begun, ruler: Ruler) -> tuple[Leaf, ...]:
    """A sheet for every rig of a rod whose bed has an insert and says at what temperature it was fitted.

    A rod's are the rigs set for it; while none is, those set for no rod: they may be its own yet.
    """
    show, sets, rod = begun.rod.display, rods_set(shop), begun.revision.rod
    known = any(rod in each for each in sets.values())
    made = []
    for rig in (rig_from_text(one.text) for one in rigs(shop)):
        rods = sets.get(rig.name, set())
        own = rod in rods if known else not rods
        joint = joint_of(rig) if own and _fitted(rig) else None
        if joint is not None:
            made.append(fit_leaf(rig.name, joint, ruler, show))
    return tuple(made)


def _fitted(rig: Rig) -> bool:
    bed = rig.moved
    return isinstance(bed, GuidedBed) and bed.insert is not None and bed.insert.fitted is not None

"""What a shop holds on the water and the heat of a rod: drying records of its bundles, its oven plan, what was done."""

from __future__ import annotations

from culmwright.book.leaf import Leaf
from culmwright.book.ruler import Ruler
from culmwright.book.water_leaves import drying_leaf, oven_leaf
from culmwright.cane.drying import BundleDrying
from culmwright.ledger.shop import Shop
from culmwright.measure.moments import clock
from culmwright.workshop.bundles import Surroundings, bundles
from culmwright.workshop.drying import dry
from culmwright.workshop.heating import heated, plan_kept
from culmwright.workshop.opening import Begun


def drying_kept(shop: Shop, begun: Begun) -> tuple[BundleDrying, ...]:
    """The drying of every bundle of a rod that was weighed."""
    return dry(Surroundings(), bundles(shop, begun)).bundles


def leaves_of(shop: Shop, begun: Begun, ruler: Ruler) -> tuple[Leaf, ...]:
    """A drying record for every bundle weighed, and the oven's sheet where there is a plan or something was done."""
    show = begun.rod.display
    made = [drying_leaf(one, ruler, show) for one in drying_kept(shop, begun)]
    plan, done = plan_kept(shop, begun), heated(shop, begun)
    if plan is not None or done:
        rows = [(clock(one.at), one.bundle or "all", one.words) for one in done]
        made.append(oven_leaf(plan, rows, ruler, show))
    return tuple(made)


def state_of(shop: Shop, begun: Begun) -> str:
    """How far the drying is: none, half, done (every bundle has come to its target), look where a bundle has no end."""
    found = drying_kept(shop, begun)
    if not found:
        return "none"
    if any(one.fit is None and one.reason and len(one.weighings) > 2 for one in found):
        return "look"
    dried = {one.bundle for one in found if one.fit is not None and (one.fit.reached or one.fit.stopped)}
    return "done" if dried >= {one.name for one in begun.rod.sections()} else "half"

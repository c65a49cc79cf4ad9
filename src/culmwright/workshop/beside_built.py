"""A rod of the shop as drawn beside as built, as leaves for its page: how each bends, is stressed and swings."""

from __future__ import annotations

from culmwright.book.leaf import Leaf
from culmwright.book.ruler import Ruler
from culmwright.ledger.shop import Shop
from culmwright.measure.errors import AnswerIsNo
from culmwright.workshop.comparing import beside_of, called
from culmwright.workshop.opening import Begun
from culmwright.workshop.proving import tips_read
from culmwright.workshop.rod_asked import Asked, Way, rod_as


def leaves_of(shop: Shop, begun: Begun, ruler: Ruler) -> tuple[Leaf, ...]:
    """As drawn beside as built, of every tip that has a proof; none where nothing finished was read."""
    tips, leaves = tips_read(shop, begun), list[Leaf]()
    drawn = Asked(begun.rod)
    for tip in tips:
        try:
            built = rod_as(shop, begun, Way.BUILT, tip)
        except AnswerIsNo:
            continue
        leaves += beside_of(drawn.rod, built.rod, begun.rod.display, ruler, names=called(drawn, built), tip=tip)
    return tuple(leaves)

"""The two planes of a rod as built: how fast it swings in its stiffest and square to it, as its proof has them."""

from __future__ import annotations

from culmwright.ledger.shop import Shop
from culmwright.workshop.bouncing import Planes
from culmwright.workshop.opening import Begun
from culmwright.workshop.proving import proof


def planes_built(shop: Shop, begun: Begun, tip: int = 1) -> Planes:
    """The two planes of a rod of the shop as built with tip number ``tip``.

    Raises :class:`AnswerIsNo` where too little was read, :class:`BadInput` for a tip the rod does not have.
    """
    found = proof(shop, begun, tip).proof
    return Planes(*found.rates, found.split, found.split_spread, found.spine.direction, found.spine.told)

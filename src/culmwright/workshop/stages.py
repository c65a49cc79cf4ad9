"""The stages of a rod in the trade's order, and the leaves each has: the same pages for the book and the workbench."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from importlib import import_module
from typing import TypeVar

from culmwright.book.leaf import Leaf
from culmwright.book.ruler import Ruler
from culmwright.ledger.shop import Shop
from culmwright.ledger.streams import moment_of
from culmwright.workshop.opening import Begun

_STATES: dict[tuple[object, ...], str] = {}
_LEAVES: dict[tuple[object, ...], tuple[Leaf, ...]] = {}
MOST_STATES, MOST_LEAVES = 5000, 60
Found = TypeVar("Found")
LeavesOf = Callable[[Shop, Begun, Ruler], tuple[Leaf, ...]]


@dataclass(frozen=True, slots=True)
class Stage:
    """A stage with leaves: its ``name`` on the rail, its ``path`` under the rod's address, and who makes the leaves.

    ``makers`` are modules of this room with a function ``leaves_of``, opened when they are asked. ``late`` leaves are
    printed after the bench; those that are not ``printed`` stand in the book as sheets of its own. ``stands`` is its
    state where its makers do not tell one.
    """

    name: str
    path: str
    makers: tuple[str, ...]
    late: bool = False
    printed: bool = True
    stands: str = "none"

    def leaves(self, shop: Shop, begun: Begun, ruler: Ruler) -> tuple[Leaf, ...]:
        """What the shop holds on this stage of a rod; empty where it holds nothing."""
        key = (*as_it_stands(shop, begun), self.path, ruler)
        return remembered(_LEAVES, MOST_LEAVES, key, lambda: self._made(shop, begun, ruler))

    def state(self, shop: Shop, begun: Begun) -> str:
        """How the stage stands: none, half, done or look; what its makers say in ``state_of``, else ``stands``."""
        key = (*as_it_stands(shop, begun, rod_only=True), self.path)
        return remembered(_STATES, MOST_STATES, key, lambda: self._looked_up(shop, begun))

    def _made(self, shop: Shop, begun: Begun, ruler: Ruler) -> tuple[Leaf, ...]:
        made: list[Leaf] = []
        for name in self.makers:
            maker: LeavesOf = import_module(f"culmwright.workshop.{name}").leaves_of
            made += maker(shop, begun, ruler)
        return tuple(made)

    def _looked_up(self, shop: Shop, begun: Begun) -> str:
        said = [getattr(import_module(f"culmwright.workshop.{name}"), "state_of", None) for name in self.makers]
        states = {one(shop, begun) for one in said if one is not None} or {self.stands}
        if "look" in states:
            return "look"
        return states.pop() if len(states) == 1 else "half"


def as_it_stands(shop: Shop, begun: Begun, *, rod_only: bool = False) -> tuple[object, ...]:
    """What tells one state of a shop's file from another, for a rod in it and its units: nothing is ever changed.

    With ``rod_only`` what happened to other rods does not count.
    """
    moment = moment_of(shop, begun.revision.rod if rod_only else None)
    return (shop.file, shop.file.stat().st_ino, moment, begun.revision.id, begun.rod.display.name)


def remembered(
    seen: dict[tuple[object, ...], Found], most: int, key: tuple[object, ...], make: Callable[[], Found]
) -> Found:
    """What ``make`` finds, made anew only for a ``key`` that was not ``seen``."""
    try:
        return seen[key]
    except KeyError:
        found = make()
    if len(seen) >= most:
        seen.clear()
    seen[key] = found
    return found


STAGES: tuple[Stage, ...] = (
    Stage("Behaviour", "behaviour", ("behaving", "beside_built"), printed=False, stands="done"),
    Stage("Culm and nodes", "culm", ("layouts_kept",)),
    Stage("Water and heat", "water", ("water_kept",)),
    Stage("Settings", "settings", ("setting_kept", "fit_kept", "gauging")),
    Stage("Glue-up", "glue", ("gluing",), late=True),
    Stage("Proof", "proof", ("proving", "learning", "vouching"), late=True),
)
"""The stages with leaves, in the order of the job."""


def early(shop: Shop, begun: Begun) -> Callable[[Ruler], tuple[Leaf, ...]]:
    """The leaves that stand before the strips are planed, at the width of a ruler."""
    return lambda ruler: tuple(
        leaf for one in STAGES if one.printed and not one.late for leaf in one.leaves(shop, begun, ruler)
    )


def late(shop: Shop, begun: Begun) -> Callable[[Ruler], tuple[Leaf, ...]]:
    """The leaves that stand after the bench."""
    return lambda ruler: tuple(
        leaf for one in STAGES if one.printed and one.late for leaf in one.leaves(shop, begun, ruler)
    )


def stage_at(path: str) -> Stage | None:
    """The stage with leaves at ``path`` under a rod's address, or None."""
    return next((one for one in STAGES if one.path == path), None)

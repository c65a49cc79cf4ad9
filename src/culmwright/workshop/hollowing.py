"""What to scoop from the strips of a hollow rod, as leaves for its book and its page."""

from __future__ import annotations

from culmwright.bench.targets import schedule
from culmwright.book.hollow_leaves import hollow_leaves
from culmwright.book.leaf import Leaf
from culmwright.book.ruler import Ruler
from culmwright.design.rod import Rod
from culmwright.measure.display import Display


def hollow_of(rod: Rod, show: Display, ruler: Ruler) -> tuple[Leaf, ...]:
    """The leaf of a hollow ``rod`` at the width of ``ruler``; none for a solid one."""
    return hollow_leaves(rod, schedule(rod), ruler, show)

"""How a figure of a leaf was worked out, ready to be folded away on its page."""

from __future__ import annotations

from culmwright.book.leaf import Ladder
from culmwright.measure.display import Display, Format
from culmwright.measure.reckoning import Reckoning, figures, rungs


def folded(of: str, asked: Reckoning, show: Display, quantity: str = "", masses: Format | None = None) -> Ladder:
    """The working of what was ``asked``, the ``quantity`` of ``of`` in words; ``masses`` as their scale showed them."""
    steps = rungs(asked)
    shown = figures(steps, show, quantity, masses)
    return Ladder(of, tuple((one.step, figure, one.rule, one.source) for one, figure in zip(steps, shown, strict=True)))

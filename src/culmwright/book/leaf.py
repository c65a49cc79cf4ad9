"""A leaf: a page of finished words, pictures and tables, printed in the shop book and shown on the workbench alike."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any


@dataclass(frozen=True, slots=True)
class Words:
    """A paragraph; ``strong`` for the one sentence that matters."""

    text: str
    strong: bool = False


@dataclass(frozen=True, slots=True)
class Figure:
    """A picture as SVG, with what it shows in words, and a title above it.

    ``along`` marks one whose horizontal axis is exactly the ruler's: a picked station runs through it.
    """

    svg: str
    alt: str
    title: str = ""
    along: bool = False


@dataclass(frozen=True, slots=True)
class Rows:
    """A table: its ``heads``, its ``rows``; the first ``lead`` columns are words and stand left, the rest right.

    An empty cell is a box to write in where ``write_in`` is set.
    """

    heads: tuple[str, ...]
    rows: tuple[tuple[str, ...], ...]
    title: str = ""
    lead: int = 1
    write_in: bool = False


@dataclass(frozen=True, slots=True)
class Ladder:
    """How a figure, ``of`` in words, was worked out: rungs of (step, figure, rule, source), the figure last.

    Folded away on a page; paper leaves it out.
    """

    of: str
    rungs: tuple[tuple[str, str, str, str], ...]


Block = Words | Figure | Rows | Ladder


@dataclass(frozen=True, slots=True)
class Leaf:
    """A page: its ``title``, its blocks from top to bottom, and the ``caution`` that stands beside the work."""

    title: str
    blocks: tuple[Block, ...]
    caution: str = ""


def for_press(leaf: Leaf) -> dict[str, Any]:
    """The leaf as the press takes it."""
    blocks = [_block(one) for one in leaf.blocks if not isinstance(one, Ladder)]
    return {"title": leaf.title, "caution": leaf.caution or None, "blocks": blocks}


def _block(one: Words | Figure | Rows) -> dict[str, Any]:
    match one:
        case Words():
            return {"kind": "words", "text": one.text, "strong": one.strong}
        case Figure():
            return {"kind": "figure", "svg": one.svg, "alt": one.alt, "title": one.title}
        case Rows():
            return {
                "kind": "rows",
                "heads": list(one.heads),
                "rows": [list(row) for row in one.rows],
                "title": one.title,
                "lead": one.lead,
                "write_in": one.write_in,
            }

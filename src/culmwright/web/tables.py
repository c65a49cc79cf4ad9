"""How a table stands on a phone: in one line a row, in two under two lines of heads, or each cell with its head."""

from __future__ import annotations

from collections.abc import Sequence
from math import ceil

PHONE = 358.0  # [px] of a sheet 390 wide
FIGURE, LETTER, ROOM = 8.2, 7.3, 10.0  # [px] of a tabular figure, of a letter of a head, between two columns
BREAKS, HEAD = 14, 9  # characters: of a cell that may break, of a head before it breaks


def on_phone(heads: Sequence[str], rows: Sequence[Sequence[str]], lead: int) -> int:
    """How many columns stand beside the first in each of two lines; 0 where one line does, -1 where two do not.

    The first column stands beside both lines of its row; the first ``lead`` columns are words, and may break.
    """
    columns = [(head, [row[k] for row in rows], k < lead) for k, head in enumerate(heads)]
    if sum(_width(*one, breaks=False) for one in columns) <= PHONE:
        return 0
    first, *rest = [_width(*one, breaks=True) for one in columns]
    per = ceil(len(rest) / 2)
    lines = [rest[:per], [*rest[per:], *[0.0] * (2 * per - len(rest))]]
    fits = len(rest) > 1 and first + sum(map(max, zip(*lines, strict=True))) <= PHONE
    return per if fits else -1


def _width(head: str, cells: Sequence[str], words: bool, *, breaks: bool) -> float:
    """The least [px] a column takes: words may break; in a row of two lines, what is long breaks once."""
    if breaks:
        figures = [max(_longest(one), ceil(len(one) / 2)) if len(one) > BREAKS else len(one) for one in cells]
    else:
        figures = [_longest(one) if words else len(one) for one in cells]
    heading = max(_longest(head), min(len(head), HEAD if breaks else 0))
    return ROOM + max(LETTER * heading, FIGURE * max(figures, default=0))


def _longest(words: str) -> int:
    return max(map(len, words.split()), default=0)

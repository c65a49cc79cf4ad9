"""The cane of a rod strip by strip, as a table for screen, page, book and certificate."""

from __future__ import annotations

from collections.abc import Sequence

from culmwright.book.leaf import Rows
from culmwright.measure.display import Display
from culmwright.proof.strips_told import StripCane

AT_ONE_LEVEL = "how strips differ by their own tests, at the level all tests of the rod's cane come to"
"""Why a strip's figure is not quite that of its test."""


def cane_table(strips: Sequence[StripCane], show: Display) -> tuple[Rows, ...]:
    """The modulus of every strip and what it is from; nothing where no strips were bent by themselves."""
    if not strips:
        return ()
    heads = ("strip", "from", f"modulus ± (95 of 100), {show.modulus.unit}", "to the rod's, %")
    return (Rows(heads, tuple(_row(one, show) for one in strips), f"The cane, strip by strip: {AT_ONE_LEVEL}", lead=2),)


def _row(one: StripCane, show: Display) -> tuple[str, ...]:
    return (
        f"{one.section}/S{one.strip}",
        one.source,
        f"{show.modulus.number(one.modulus)} ± {show.modulus.number(2 * one.spread)}",
        f"{100 * (one.share - 1):+.1f} ± {200 * one.share_spread:.1f}",
    )

"""A proof and a measured modulus, as text for a terminal: the one sentence first, then figures."""

from __future__ import annotations

from culmwright.book.cautions import LOADED
from culmwright.book.proof_leaves import across_table, bend_table, figures_table
from culmwright.book.strips_cane import cane_table
from culmwright.cli.render import sentences, table
from culmwright.measure.display import Display
from culmwright.workshop.flexing import Modulus
from culmwright.workshop.proving import Proved


def proof(found: Proved, show: Display) -> str:
    """The sentence, the spine, the whole rod's figures, then station by station."""
    one = found.proof
    said = f"{found.sentence[0].upper()}{found.sentence[1:]}."
    lines = [f"{found.code} {one.name}, tip {one.tip}, read: {', '.join(one.sections)}.", "", said]
    lines.append(f"{found.spine[0].upper()}{found.spine[1:]}.")
    tables = (figures_table(one, show), across_table(one, show), bend_table(one, show), *cane_table(one.strips, show))
    for rows in tables:
        lines += ["", f"{rows.title}:", table(rows.heads, rows.rows)]
    if one.draws:
        lines += ["", f"Spreads hold 95 of 100: {one.draws} rods were drawn that the readings could have come from."]
    return "\n".join(lines) + sentences(one.notes)


def modulus(found: Modulus, show: Display) -> str:
    """The modulus with its spread, each test behind it, and what is odd."""
    told = (
        f"the bend tests contradict one another ({found.contradiction}): no modulus is told from them until one is "
        "taken back, with --take-back TEST --why WHY"
        if found.value is None or found.spread is None
        else f"the cane bends as cane of {show.modulus(found.value)} ± {show.modulus(2 * found.spread)} (95 of 100)"
    )
    lines = [
        f"{found.code}: {told}; the rod file takes {show.modulus(found.drawn)}.",
        "",
        table(
            ("test", "by", "of", "modulus", "±"),
            (
                (number, one.how, one.of, show.modulus(one.value), show.modulus(2 * one.spread))
                for number, one in zip(found.numbers, found.tests, strict=True)
            ),
        ),
    ]
    for rows in cane_table(found.strips, show):
        lines += ["", f"{rows.title}:", table(rows.heads, rows.rows)]
    if found.shop is not None:
        lines.append(
            f"The {found.shop.culms} culms measured in this shop: {show.modulus(found.shop.mean)} in the mean, "
            f"{show.modulus(found.shop.scatter)} from culm to culm."
        )
    return "\n".join(lines) + sentences(found.notes) + f"\n{LOADED}"

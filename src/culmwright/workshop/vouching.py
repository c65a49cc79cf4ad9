"""The certificate of a finished rod: what it is, what it is made of, when; the last page of its book."""

from __future__ import annotations

import json

from culmwright.book.cautions import DEFERENCE, LOADED
from culmwright.book.leaf import Block, Leaf, Rows, Words
from culmwright.book.ruler import Ruler
from culmwright.book.strips_cane import cane_table
from culmwright.book.words import subtitle
from culmwright.ledger.happenings import events
from culmwright.ledger.records import EventKind
from culmwright.ledger.register import culms, strips
from culmwright.ledger.shop import Shop
from culmwright.measure.errors import AnswerIsNo
from culmwright.workshop.flexing import modulus
from culmwright.workshop.gluing import Work, finished, glued
from culmwright.workshop.opening import Begun
from culmwright.workshop.proving import proof, read_through, rods_read, tips_read

DATED = {
    EventKind.SOAK_STARTED: "first soaked",
    EventKind.DRYING_ENDED: "dried",
    EventKind.GLUED: "last glued",
    EventKind.VARNISHED: "last varnished",
}
FIRST = (EventKind.SOAK_STARTED,)


def leaves_of(shop: Shop, begun: Begun, ruler: Ruler) -> tuple[Leaf, ...]:
    """The certificate, once every section is glued and read; nothing before."""
    ups = {one.section: json.loads(one.text) for one in glued(shop, begun)}
    names = [one.name for one in begun.rod.sections()]
    if not set(names) <= set(ups) or not read_through(shop, begun):
        return ()
    rod, show = begun.rod, begun.rod.display
    blocks: list[Block] = [
        Words(f"{rod.name}: {subtitle(rod, show)}.", strong=True),
        Words(
            f"{f'Made by {rod.maker}, n' if rod.maker else 'N'}umbered {begun.revision.code}, to the drawing "
            f"{begun.code} ({rod.code})."
        ),
        *(Words(said) for said in _proved(shop, begun)),
        _strip_map(shop, begun, {name: tuple(ups[name]["ring"]) for name in names}),
        *_cane(shop, begun),
        _dates(shop, begun),
    ]
    done = [(work, one) for work, one in finished(shop, begun) if work in (Work.FERRULE, Work.GUIDE, Work.COAT)]
    if done:
        rows = tuple((one.section or "rod", work.kind, json.loads(one.text)["words"]) for work, one in done)
        blocks.append(Rows(("of", "what", "in words"), rows, "Ferrules, guides and coats", lead=3))
    blocks += [
        Words(f"For whoever fishes it: {LOADED} A cane rod wants to be put away dry and straight, out of a hot car."),
        Words(DEFERENCE),
        Rows(("signed", "date"), (("", ""),), lead=2, write_in=True),
    ]
    return (Leaf("Certificate", tuple(blocks)),)


def _proved(shop: Shop, begun: Begun) -> list[str]:
    said = []
    for tip in tips_read(shop, begun):
        try:
            found = proof(shop, begun, tip)
        except AnswerIsNo:
            continue
        with_tip = f"With tip {tip}: " if begun.rod.pieces > 1 and begun.rod.tips > 1 else ""
        words = f"{with_tip}{found.sentence}."
        said.append(f"{words[0].upper()}{words[1:]}")
    return said


def _strip_map(shop: Shop, begun: Begun, rings: dict[str, tuple[int, ...]]) -> Rows:
    """Which strips stand where in each section, and from where in which culm they came."""
    labels = {one.id: one.label for one in culms(shop)}
    known = {(one.section, one.number): one for one in strips(shop, begun.revision.rod)}
    rows = []
    for section, ring in rings.items():
        places = [known.get((section, number)) for number in ring]
        came = sorted({labels[one.culm] for one in places if one is not None and one.culm in labels})
        rows.append(
            (
                section,
                " ".join(f"S{number}" for number in ring),
                " ".join("–" if one is None or one.place is None else str(one.place) for one in places),
                ", ".join(came) or "not noted",
            )
        )
    heads = ("section", "strips in ring order", "their places round the culm", "culm")
    return Rows(heads, tuple(rows), "Strip map", lead=4)


def _cane(shop: Shop, begun: Begun) -> tuple[Rows, ...]:
    """The modulus of every strip, where strips were bent by themselves."""
    try:
        return cane_table(modulus(shop, begun, *rods_read(shop, begun)).strips, begun.rod.display)
    except AnswerIsNo:
        return ()


def _dates(shop: Shop, begun: Begun) -> Rows:
    rows = []
    for kind, said in DATED.items():
        found = [one.entry.at for one in events(shop, begun.revision.rod, kinds=(kind,))]
        if found:
            at = min(found) if kind in FIRST else max(found)
            rows.append((said, f"{at.astimezone().day} {at.astimezone():%B %Y}"))
    return Rows(("what", "when"), tuple(rows) or (("nothing is dated", "–"),), "Dates", lead=2)

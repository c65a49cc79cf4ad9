"""What a page of work shows beside its leaves: an answer not kept yet, the cane as measured, the shop's stores."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace

from culmwright.book.gauge_leaves import gauge_leaf
from culmwright.book.leaf import Leaf, Words
from culmwright.book.ruler import Ruler
from culmwright.book.setting_leaves import settings_leaf
from culmwright.book.strips_cane import AT_ONE_LEVEL, cane_table
from culmwright.book.words import sentence
from culmwright.ledger.register import gauges, rigs
from culmwright.ledger.shop import Shop
from culmwright.measure.display import Display
from culmwright.measure.errors import AnswerIsNo
from culmwright.rigs.rig_file import rig_from_text
from culmwright.workshop.culm_typed import culm_words
from culmwright.workshop.flexing import kept_tests, modulus
from culmwright.workshop.gauging import records
from culmwright.workshop.layouts_kept import culms_kept
from culmwright.workshop.learning import learn, lessons_leaf, usual_display
from culmwright.workshop.looking import gauge_words, rulers_of
from culmwright.workshop.looking_stages import LeafView, leaf_view
from culmwright.workshop.opening import Begun
from culmwright.workshop.proving import as_read, rods_read, tips_read
from culmwright.workshop.setting import Settings


@dataclass(frozen=True, slots=True)
class StoresView:
    """What a shop has beside its rods: culms, rigs and gauges, each a name and words; and its gauge checks."""

    culms: tuple[tuple[str, str], ...]
    rigs: tuple[tuple[str, str], ...]
    gauges: tuple[tuple[str, str], ...]
    checks: tuple[LeafView, ...]


def show_of(shop: Shop) -> Display:
    """The display most of the shop's rods are drawn in."""
    return usual_display(shop)


def look_at_stores(shop: Shop) -> StoresView:
    """The culms, rigs and gauges of a shop."""
    found = records(shop)
    tried = [one for one in found if one.tried or one.study]
    leaf = gauge_leaf(tried, (), show_of(shop)) if tried else None
    return StoresView(
        tuple((one.label, culm_words(one)) for one in culms_kept(shop)),
        tuple((one.name, _rig_words(one.text)) for one in rigs(shop)),
        tuple((one.name, gauge_words(one)) for one in gauges(shop)),
        (leaf_view(leaf, leaf),) if leaf else (),
    )


def _rig_words(text: str) -> str:
    rig = rig_from_text(text)
    return f"{rig.kind}, {len(rig.adjusters.places)} adjusters"


def look_at_lessons(shop: Shop) -> LeafView:
    """What the shop's rods say."""
    leaf = lessons_leaf(learn(shop), show_of(shop))
    return leaf_view(leaf, leaf)


def in_words(title: str, said: Sequence[str]) -> LeafView:
    """An answer in sentences, the first of which matters."""
    leaf = Leaf(title, tuple(Words(one, strong=not number) for number, one in enumerate(said) if one))
    return leaf_view(leaf, leaf)


def settings_shown(begun: Begun, found: Settings) -> LeafView:
    """How the screws would stand, at both widths."""
    make: Callable[[Ruler], Leaf] = lambda ruler: settings_leaf(found, (), ruler, begun.rod.display)  # noqa: E731
    rulers = rulers_of(begun.rod)
    return leaf_view(make(rulers["wide"]), make(rulers["narrow"]))


def proof_lacking(shop: Shop, begun: Begun) -> tuple[LeafView, ...]:
    """Why a rod whose strips were begun to be read has no proof yet; empty where it has one with every tip."""
    said = []
    for tip in tips_read(shop, begun):
        try:
            as_read(shop, begun, tip)
        except AnswerIsNo as fault:
            said.append(sentence(fault.what))
    if not said:
        return ()
    return (in_words("Not proved yet", (*dict.fromkeys(said), "Read the strips at finishing on the page Bench.")),)


def cane_measured(shop: Shop, begun: Begun) -> tuple[LeafView, ...]:
    """The cane of a rod as its bend tests measured it; empty where there are none or they do not tell."""
    if not kept_tests(shop, begun):
        return ()
    show = begun.rod.display
    try:
        found = modulus(shop, begun, *rods_read(shop, begun))
    except AnswerIsNo as fault:
        return (in_words("The cane as measured", (str(fault),)),)
    told = (
        f"The bend tests contradict one another ({found.contradiction}): no modulus is told from them until one is "
        "taken back"
        if found.value is None or found.spread is None
        else f"The cane bends like {show.modulus(found.value)} ± {show.modulus(2 * found.spread)} (95 of 100)"
    )
    said = [
        f"{told}; the rod file takes {show.modulus(found.drawn)}.",
        *(
            f"Test {number}, {one.of}: {show.modulus(one.value)} ± {show.modulus(2 * one.spread)}."
            for number, one in zip(found.numbers, found.tests, strict=True)
        ),
        *(f"{note[0].upper()}{note[1:]}." for note in found.notes),
    ]
    words = in_words("The cane as measured", said)
    tables = cane_table(found.strips, show)
    if not tables:
        return (words,)
    leaf = Leaf("The cane, strip by strip", (replace(tables[0], title=AT_ONE_LEVEL.capitalize()),))
    return (words, leaf_view(leaf, leaf))

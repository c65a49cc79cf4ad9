"""``proof``: whether the rod that came out is the rod that was designed, from its readings in the shop."""

from __future__ import annotations

import json
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

from culmwright.bench.judge import Stage
from culmwright.book.leaf import Leaf
from culmwright.book.proof_leaves import proof_leaves
from culmwright.book.ruler import Ruler
from culmwright.design.rod import Rod, Section, Stated
from culmwright.ledger.dockets import dockets
from culmwright.ledger.frozen import revisions
from culmwright.ledger.readings import current
from culmwright.ledger.shop import Shop
from culmwright.measure.display import Display
from culmwright.measure.errors import AnswerIsNo
from culmwright.measure.lengths import Length
from culmwright.proof.built import Built, built_of
from culmwright.proof.comparison import Proof, compare
from culmwright.proof.doubt import Doubt, usual
from culmwright.proof.evidence import StripsRead, strips_read
from culmwright.proof.sentence import sentence, spine_words
from culmwright.proof.spread import DRAWS, Progress
from culmwright.workshop.flexing import cane_of, tried_strips
from culmwright.workshop.gauging import STUDY, zeros_of
from culmwright.workshop.gluing import made_up
from culmwright.workshop.matching import order_of
from culmwright.workshop.opening import Begun
from culmwright.workshop.strip_tests import strips_unlike

LOADS = {"in": 1.0, "mm": 25.0}
"""Hanging load a proof compares drops under, in the unit shown: an ounce, 25 grams."""


FINEST = 1e-6
"""No gauge or hand is trusted beyond this [m], whatever a study found (own choice)."""


@dataclass(frozen=True, slots=True)
class Proved:
    """The proof of a rod of the shop: the one ``sentence``, its ``spine`` in words, and the figures behind them."""

    code: str
    sentence: str
    spine: str
    proof: Proof

    @property
    def rod(self) -> Rod:
        """The rod as built, ready for every verb of the mechanics."""
        return self.proof.rod


def proof(shop: Shop, begun: Begun, tip: int = 1, *, draws: int = DRAWS, progress: Progress | None = None) -> Proved:
    """The proof of a frozen rod with tip number ``tip``, from the readings of its finished strips and glued sections.

    ``draws`` rods are drawn for the spreads; ``progress`` hears the share done. Raises :class:`AnswerIsNo` where too
    little was read, :class:`BadInput` for a tip the rod does not have.
    """
    built = as_read(shop, begun, tip)
    show = begun.rod.display
    cane = cane_of(shop, begun, *rods_read(shop, begun))
    built = replace(built, notes=(*built.notes, *cane.notes))
    found = _compared(built, load_of(show), cane.modulus, draws, progress)
    return Proved(begun.code, sentence(found, show, cane.contradiction), spine_words(found), found)


_DONE: dict[object, Proof] = {}
REMEMBERED = 8
"""Proofs remembered, so that a page, a sheet and a certificate of the same readings are worked out once."""


def _compared(built: Built, load: float, modulus: Stated | None, draws: int, progress: Progress | None) -> Proof:
    """The comparison of what was read, or the same one again where nothing has changed since."""
    arrays = (built.faces.tobytes(), built.covariance.tobytes(), built.uneven.tobytes())
    cane = built.cane and (built.cane.at.share.tobytes(), built.cane.at.scraped.tobytes(), built.cane.shares.tobytes())
    key = (built.rod.digest, built.tip, arrays, cane, built.notes, load, modulus, draws)
    if key not in _DONE:
        while len(_DONE) >= REMEMBERED:
            _DONE.pop(next(iter(_DONE)))
        _DONE[key] = compare(built, load, modulus, draws=draws, progress=progress)
    return _DONE[key]


def load_of(show: Display) -> float:
    """The load [N] drops are compared under."""
    return LOADS[show.bare] * show.load.si


def as_read(shop: Shop, begun: Begun, tip: int = 1) -> Built:
    """The rod as its finished strips and glued sections were read; sections not read through stand as drawn."""
    rod = begun.rod
    heights, flats = _finished(shop, begun)
    if not heights and (other := _read_to(shop, begun)) is not None:
        raise AnswerIsNo(
            f"no strip was finished to {begun.code}: they were read to {other}",
            where=begun.code,
            remedy=f"Ask for that: culmwright proof {other}",
        )
    parts, short = _parts(shop, begun, rod.assembled(tip) if 1 <= tip <= rod.tips else (), heights, flats)
    if short is not None and not parts:
        raise short
    unlike = strips_unlike(shop, begun, tried_strips(shop, begun))
    built = built_of(rod, parts, doubt_of(shop, begun), tip, unlike)
    return built if short is None else replace(built, notes=(*built.notes, short.what))


def _parts(
    shop: Shop, begun: Begun, sections: Sequence[Section], heights: Mapping[str, _Cells], flats: Mapping[str, _Cells]
) -> tuple[dict[str, StripsRead], AnswerIsNo | None]:
    """What is known of those ``sections`` that were read through; and what another, read in part, lacks."""
    parts, short = {}, None
    for section in sections:
        if section.name not in heights:
            continue
        try:
            parts[section.name] = strips_read(
                begun.rod,
                section,
                heights[section.name],
                order_of(shop, begun, section.name),
                flats.get(section.name, {}),
            )
        except AnswerIsNo as fault:
            short = fault
    return parts, short


def read_through(shop: Shop, begun: Begun) -> bool:
    """True once every section of a rod, with all its tips, was read as far as its proof needs."""
    sections = begun.rod.sections()
    return len(_parts(shop, begun, sections, *_finished(shop, begun))[0]) == len(sections)


def _read_to(shop: Shop, begun: Begun) -> str | None:
    """The newest other revision of the rod that finished strips were read to, None where there is none."""
    for one in reversed(revisions(shop, begun.revision.rod)):
        if one.id != begun.revision.id and current(shop, one.id, stage=Stage.FINISH.value):
            return f"{one.code}.{one.revision}"
    return None


def rods_read(shop: Shop, begun: Begun) -> tuple[Built, ...]:
    """The rod as built with each of its tips with which some section of it was read through."""
    found = []
    for tip in range(1, begun.rod.tips + 1):
        try:
            found.append(as_read(shop, begun, tip))
        except AnswerIsNo:
            continue
    return tuple(found)


def doubt_of(shop: Shop, begun: Begun) -> Doubt:
    """What is in doubt [m]: the usual, but a hand's scatter from the newest gauge study, and the gauge's own from the
    newest block zero found, where the rod is read with that zero.
    """
    doubt, zero = usual(begun.rod), begun.rod.bench.block_zero
    if studies := dockets(shop, STUDY):
        hand = float(json.loads(studies[-1].text)["repeatability"])
        doubt = replace(doubt, reading=max(hand, FINEST))
    if zero is not None and (found := zeros_of(shop, begun)):
        _, told = found[-1]
        if abs(told["zero"] - zero.m) <= told["uncertainty"]:
            doubt = replace(doubt, gauge=max(float(told["uncertainty"]), FINEST))
    return doubt


_Cells = Mapping[tuple[Length, int], float]


def _finished(shop: Shop, begun: Begun) -> tuple[dict[str, _Cells], dict[str, _Cells]]:
    """Heights [m] by section, station and strip after each strip's newest pass; flats [m] by station and face."""
    zero = begun.rod.bench.block_zero
    strips: dict[tuple[str, int, int], dict[Length, float]] = {}
    flats: dict[tuple[str, int], dict[tuple[Length, int], float]] = {}
    for reading in current(shop, begun.revision.id, stage=Stage.FINISH.value):
        cell, value = reading.entry.cell, reading.entry.value
        if value is None:
            continue
        if cell.strip is not None:
            row = strips.setdefault((cell.section, cell.strip, cell.pass_number), {})
            row[cell.station] = value.m - (zero.m if zero else 0.0)
        elif cell.face is not None:
            flats.setdefault((cell.section, cell.pass_number), {})[cell.station, cell.face] = value.m
    newest: dict[tuple[str, int], int] = {}
    for section, strip, cut in sorted(strips):
        newest[section, strip] = cut
    heights: dict[str, dict[tuple[Length, int], float]] = {}
    for (section, strip), cut in newest.items():
        cells = heights.setdefault(section, {})
        cells |= {(station, strip): height for station, height in strips[section, strip, cut].items()}
    measured: dict[str, dict[tuple[Length, int], float]] = {}
    for (section, _), read in sorted(flats.items()):
        measured[section] = {**measured.get(section, {}), **read}
    return dict(heights), dict(measured)


def tips_read(shop: Shop, begun: Begun) -> tuple[int, ...]:
    """The tips that have a proof of their own; the first where only a section below them was read."""
    rod = begun.rod
    heights, _ = _finished(shop, begun)
    if not heights:
        return ()
    named = tuple(tip for tip in range(1, rod.tips + 1) if rod.assembled(tip)[0].name in heights)
    return named or (1,)


def leaves_of(shop: Shop, begun: Begun, ruler: Ruler) -> tuple[Leaf, ...]:
    """The proof of every tip as leaves for book and page; none where nothing finished was read."""
    leaves: list[Leaf] = []
    for tip in tips_read(shop, begun):
        try:
            found = proof(shop, begun, tip)
        except AnswerIsNo:
            continue
        leaves += proof_leaves(found.proof, found.sentence, found.spine, ruler, begun.rod.display)
    return tuple(leaves)


def state_of(shop: Shop, begun: Begun) -> str:
    """How the proof stands: none, half while some section is not read or the rod is still strips, done."""
    if not tips_read(shop, begun):
        return "none"
    return "done" if read_through(shop, begun) and made_up(shop, begun) else "half"

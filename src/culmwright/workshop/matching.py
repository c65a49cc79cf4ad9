"""``match``: which of the strips at hand make a section, in which ring order; and that order kept."""

from __future__ import annotations

import json
from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime

import numpy as np

from culmwright.bench.judge import Stage
from culmwright.bench.targets import SectionTargets, schedule
from culmwright.book.words import sentence
from culmwright.ledger.dockets import Docket, dockets, keep_docket
from culmwright.ledger.happenings import events
from culmwright.ledger.records import EventKind
from culmwright.ledger.shop import Shop
from culmwright.measure.display import Display
from culmwright.measure.errors import AnswerIsNo, BadInput
from culmwright.measure.record import si
from culmwright.proof.match_strips import Bench, Evenness, best_match, evenness
from culmwright.workshop.judging import StripState, bench_state
from culmwright.workshop.layouts_kept import layout_kept
from culmwright.workshop.noting import must_be_there
from culmwright.workshop.opening import Begun
from culmwright.workshop.strips_laid import Laid, Lines, keep_lines, strips_laid

KIND = "strip order"
"""The kind of docket a kept ring order is."""


@dataclass(frozen=True, slots=True)
class Matched:
    """The strips of a section matched: the ``ring`` of strip numbers, the figures of it, and what is gained.

    ``spread`` [m] is the most that directions differ at any station, ``off`` [m] the most that their mean departs from
    size; ``touching`` [m] the least distance of nodes on touching strips, ``apart`` [m] what it is to be at least, None
    where nothing is asked of nodes, ``keeps`` False where no ring of these strips does. ``free`` is the evenest ring
    wherever nodes lie, ``as_laid`` the ring of the node layout, None unless all its strips are at hand, and ``as_cut``
    the first strips in the order they were cut. ``proved`` best of all rings of the strips read that are known to keep
    ``apart``; ``unknown`` are strips read of which nobody knows where their nodes lie: no distance to them counts.
    """

    code: str
    section: str
    ring: tuple[int, ...]
    spread: float = si("m")
    off: float = si("m")
    spine: float = si("")
    touching: float | None = si("m")
    apart: float | None = si("m")
    keeps: bool = si("")
    proved: bool = si("")
    bound: float = si("m")
    free: Evenness = si("")
    as_laid: Evenness | None = si("")
    as_cut: Evenness = si("")
    left: tuple[int, ...] = ()
    unknown: tuple[int, ...] = ()
    stations: int = 0
    notes: tuple[str, ...] = ()


def match(
    shop: Shop,
    begun: Begun,
    section: str,
    strips: tuple[int, ...] = (),
    *,
    apart: float | None = None,
    cut_to: Lines | None = None,
) -> Matched:
    """Match the finished strips of a ``section``: those named, or all that were read through and not scrapped.

    ``apart`` [m] is the least distance between nodes on touching strips: if None what the kept node layout keeps
    itself, 0 wherever nodes lie. Strips whose nodes are not known are left out then, where there are enough others.
    ``cut_to`` says to which line of the cut list each strip was cut. Raises :class:`BadInput` for too few strips, and
    for a distance where nothing is known of their nodes.
    """
    must_be_there(begun.rod, section)
    read, notes = _read(shop, begun, section, strips)
    laid = strips_laid(shop, begun, section, layout_kept(shop, begun, section), cut_to)
    targets = next(one for one in schedule(begun.rod).sections if one.section == section)
    known = tuple(one for one in read if laid.knows(one.strip))
    asked = (laid.touching if apart is None else apart) or None
    if asked is not None and not known:
        if apart is not None:
            raise BadInput(
                "nothing is known of the nodes of these strips",
                where="apart",
                remedy=sentence("; ".join(laid.notes)).removesuffix("."),
            )
        asked = None
    every = _bench(begun, targets, read, laid)
    enough = asked is not None and len(known) >= begun.rod.sides
    found = best_match(_bench(begun, targets, known, laid) if enough else every, asked)
    free = best_match(every) if enough and len(known) < len(read) else found
    at = [every.labels.index(number) for number in laid.ring(every.labels)]
    unknown = () if laid.layout is None else tuple(one.strip for one in read if one not in known)
    return Matched(
        begun.code,
        section,
        found.best.ring,
        found.best.spread,
        found.best.off,
        found.best.spine,
        found.best.touching,
        asked,
        found.keeps,
        found.proved,
        found.bound,
        free.free,
        evenness(every, tuple(at)) if at else None,
        free.as_cut,
        tuple(number for number in every.labels if number not in found.best.ring),
        unknown,
        len(targets.stations),
        (*notes, *laid.notes, *_unknown_said(unknown, found.best.ring, asked)),
    )


def _unknown_said(unknown: tuple[int, ...], ring: tuple[int, ...], asked: float | None) -> tuple[str, ...]:
    """What becomes of strips whose nodes are not known."""
    out = [number for number in unknown if number not in ring]
    into = [number for number in unknown if number in ring]
    said = [f"{_named(out)} left out: say to which line of the cut list it was cut"] if out and asked else []
    if into:
        said.append(f"see where the nodes of {_named(into)} lie beside the strips that touch it, before you glue")
    return tuple(said)


def _named(numbers: Iterable[int]) -> str:
    return ", ".join(f"S{number}" for number in numbers)


def _read(
    shop: Shop, begun: Begun, section: str, strips: tuple[int, ...]
) -> tuple[tuple[StripState, ...], tuple[str, ...]]:
    """The strips of a section that were read through at finishing, and a note on those that were left out."""
    scrapped = {
        one.entry.strip
        for one in events(shop, begun.revision.rod, kinds=(EventKind.STRIP_SCRAPPED,))
        if one.entry.section == section and one.entry.strip is not None
    }
    state = bench_state(shop, begun)
    ours = [one for one in state.strips if one.section == section and one.stage is Stage.FINISH]
    whole = {one.strip: one for one in ours if len(one.judgement.stations) == one.stations}
    for number in strips:
        must_be_there(begun.rod, section, number)
        if number not in whole:
            raise BadInput(
                f"strip {number} of {section} was not read at every station of its finished taper",
                where=begun.code,
                remedy=f"Read it: culmwright read {begun.code} --stage finish --section {section} --strip {number}",
            )
    wanted = set(strips) or set(whole) - scrapped
    chosen = tuple(one for number, one in sorted(whole.items()) if number in wanted)
    if not chosen:
        raise BadInput(
            f"no strip of {section} was read through at finishing yet",
            where=begun.code,
            remedy=f"Read them: culmwright read {begun.code} --stage finish --section {section}",
        )
    part = [f"S{one.strip}" for one in ours if one.strip not in whole]
    notes = [f"{', '.join(part)} read at some stations only: left out"] if part else []
    if out := [f"S{number}" for number in sorted(scrapped & set(whole)) if not strips]:
        notes.append(f"{', '.join(out)} scrapped: left out")
    return chosen, tuple(notes)


def _bench(begun: Begun, targets: SectionTargets, read: tuple[StripState, ...], laid: Laid) -> Bench:
    over = np.array(
        [[one.deviation for one in sorted(strip.judgement.stations, key=lambda one: one.aim.station)] for strip in read]
    )
    k = max(begun.rod.form.closing, 1.0)
    apothem = np.array([k * one.height for one in targets.stations])
    wall = begun.rod.hollow.wall if begun.rod.hollow else lambda x: None
    walls = [wall(one.station) for one in targets.stations]
    hollow = np.array(
        [0.0 if one is None else max(a - one, 0.0) for a, one in zip(apothem.tolist(), walls, strict=True)]
    )
    numbers = tuple(one.strip for one in read)
    return Bench(numbers, over, begun.rod.sides, apothem, k, laid.apart(numbers), hollow)


def keep_order(
    shop: Shop,
    begun: Begun,
    matched: Matched,
    id: str | None = None,
    *,
    cut_to: Lines | None = None,
    at: datetime | None = None,
) -> Docket:
    """Keep the ring order a section is to be glued in, and what was said of how its strips were cut, ``at`` a time or
    now.

    An order kept before is superseded. Raises :class:`AnswerIsNo` for a ring that does not keep the distance of nodes.
    """
    if not matched.keeps:
        near = begun.rod.display.ruled
        most = f"{near.down(matched.touching or 0.0)} {near.unit}"
        raise AnswerIsNo(
            f"no ring of these strips keeps the nodes of touching strips as far apart as asked; {most} is the most",
            where=matched.section,
            remedy=f"Nothing was kept. Ask for {most}, or for 0: wherever they lie",
        )
    laid = layout_kept(shop, begun, matched.section)
    if cut_to is not None and laid is not None:
        keep_lines(shop, begun, matched.section, laid, cut_to, at)
    old = dockets(shop, KIND, rod=begun.revision.rod, section=matched.section)
    return keep_docket(
        shop,
        KIND,
        json.dumps({"revision": begun.revision.revision, "ring": list(matched.ring)}),
        id=id,
        rod=begun.revision.rod,
        section=matched.section,
        at=at,
        supersedes=old[-1].seq if old else None,
        why="matched again" if old else None,
    )


def order_of(shop: Shop, begun: Begun, section: str) -> tuple[int, ...]:
    """The ring order kept for a section, or the strips 1 to n in the order they were cut."""
    kept = dockets(shop, KIND, rod=begun.revision.rod, section=section)
    if kept:
        return tuple(json.loads(kept[-1].text)["ring"])
    return tuple(range(1, begun.rod.sides + 1))


def words_of(found: Matched, show: Display) -> tuple[str, ...]:
    """A match in sentences."""
    ring = " ".join(str(number) for number in found.ring)
    kept = " known to keep its nodes so far apart" if found.apart is not None else ""
    proved = (
        f"no ring of the strips read{kept} is evener"
        if found.proved
        else f"none can be better than {show.small(found.bound)}"
    )
    said = [
        f"{found.code} {found.section}: glue strips {ring} in this order around the ring.",
        f"Directions differ by {show.small(found.spread)} at the worst station, and their mean is "
        f"{show.small(found.off)} off size at the worst; {proved}.",
        f"The section bends {found.spine:.1%} stiffer one way than across it at its most uneven station.",
    ]
    said += _nodes_said(found, show)
    if found.free.ring != found.ring:
        said.append(f"Wherever nodes lie, {_beside(found, found.free, 'in this order', show)} {_to_take(found, show)}")
    if found.as_laid is not None and found.as_laid.ring != found.as_cut.ring:
        said.append(sentence(_beside(found, found.as_laid, "as they were laid out", show)))
        said.append(sentence(_beside(found, found.as_cut, "as they were cut", show)))
    else:
        both = "as they were laid out and cut" if found.as_laid is not None else "as they were cut"
        said.append(sentence(_beside(found, found.as_cut, both, show)))
    if found.left:
        said.append(f"Left over: {_named(found.left)}.")
    return (*said, *(f"Note: {note}." for note in found.notes))


def _nodes_said(found: Matched, show: Display) -> list[str]:
    """How far apart the nodes of touching strips come, and whether that is as far as they were to be."""
    if found.touching is None:
        return []
    near = show.ruled
    if not found.keeps:
        return [
            f"No ring of these strips keeps nodes of strips that touch {near(found.apart or 0.0)} apart: "
            f"{near(found.touching)} is the most, and this ring keeps it."
        ]
    known = ", where known" if set(found.unknown) & set(found.ring) else ""
    least = "" if found.apart is None else f"; {near(found.apart)} was to be kept"
    return [f"Nodes of strips that touch lie {near(found.touching)} apart or more{known}{least}."]


def _to_take(found: Matched, show: Display) -> str:
    """What to ask for to get the evenest ring of all."""
    least, near = found.free.touching, show.ruled
    known = least is not None and not set(found.unknown) & set(found.free.ring)
    return f"Ask for nodes {f'{near.down(least or 0.0)} {near.unit}' if known else '0'} apart to take them."


def _beside(found: Matched, one: Evenness, how: str, show: Display) -> str:
    """Another ring, for comparison."""
    known = " where known" if set(found.unknown) & set(one.ring) else ""
    nodes = "" if one.touching is None else f", nodes of touching strips {show.ruled(one.touching)} apart{known}"
    return (
        f"strips {' '.join(map(str, one.ring))} {how} would differ by {show.small(one.spread)}, be "
        f"{show.small(one.off)} off and bend {one.spine:.1%} stiffer one way{nodes}."
    )


def nodes_words(shop: Shop, begun: Begun, section: str, ring: tuple[int, ...]) -> str:
    """How far apart the nodes of touching strips lie in a ``ring``, as laid out and as cut; "" where nobody knows."""
    laid, near = strips_laid(shop, begun, section, layout_kept(shop, begun, section)), begun.rod.display.ruled
    here = laid.touching_in(ring)
    if here is None:
        return ""
    said = [f"{near(here)} apart or more in this order"]
    as_laid, as_cut = laid.ring(), tuple(range(1, begun.rod.sides + 1))
    for other, words in ((as_laid, "as laid out"), (as_cut, "as cut")):
        if words == "as cut" and other == as_laid:
            said[-1] += " and cut"
        elif other and (least := laid.touching_in(other)) is not None:
            said.append(f"{near(least)} {words}")
    unknown = [number for number in ring if not laid.knows(number)]
    left_out = f"; those of {_named(unknown)} are not known and not counted" if unknown else ""
    return f"{section}: nodes of touching strips lie {', '.join(said)}{left_out}."

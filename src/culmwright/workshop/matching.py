"""``match``: which of the strips at hand make a section, in which ring order; and that order kept."""

from __future__ import annotations

import json
from dataclasses import dataclass

import numpy as np

from culmwright.bench.judge import Stage
from culmwright.bench.targets import SectionTargets, schedule
from culmwright.ledger.dockets import Docket, dockets, keep_docket
from culmwright.ledger.happenings import events
from culmwright.ledger.records import EventKind
from culmwright.ledger.shop import Shop
from culmwright.measure.display import Display
from culmwright.measure.errors import BadInput
from culmwright.measure.record import si
from culmwright.proof.match_strips import Bench, Match, best_match
from culmwright.proof.match_strips import Evenness as Evenness
from culmwright.workshop.judging import StripState, bench_state
from culmwright.workshop.noting import must_be_there
from culmwright.workshop.opening import Begun

KIND = "strip order"
"""The kind of docket a kept ring order is."""


@dataclass(frozen=True, slots=True)
class Matched:
    """The strips of a section matched: the ``ring`` of strip numbers, the figures of it, and what is gained.

    ``spread`` [m] is the most that directions differ at any station, ``off`` [m] the most that their mean departs from
    size; ``as_cut`` the same of the first strips in the order they were cut. ``proved`` best of all the strips read.
    """

    code: str
    section: str
    ring: tuple[int, ...]
    spread: float = si("m")
    off: float = si("m")
    spine: float = si("")
    proved: bool = si("")
    bound: float = si("m")
    as_cut: Evenness | None = si("")
    left: tuple[int, ...] = ()
    stations: int = 0
    notes: tuple[str, ...] = ()


def match(
    shop: Shop, begun: Begun, section: str, strips: tuple[int, ...] = (), *, apart: float | None = None
) -> Matched:
    """Match the finished strips of a ``section``: those named, or all that were read through and not scrapped.

    ``apart`` [m] is the least distance between nodes on touching strips, where the culm was laid out. Raises
    :class:`BadInput` for too few strips.
    """
    must_be_there(begun.rod, section)
    read, notes = _read(shop, begun, section, strips)
    targets = next(one for one in schedule(begun.rod).sections if one.section == section)
    found = best_match(_bench(begun, targets, read), apart)
    return Matched(
        begun.code,
        section,
        found.best.ring,
        found.best.spread,
        found.best.off,
        found.best.spine,
        found.proved,
        found.bound,
        _as_cut(found, read),
        found.left,
        len(targets.stations),
        notes,
    )


def _as_cut(found: Match, read: tuple[StripState, ...]) -> Evenness | None:
    return found.as_cut if len(read) >= len(found.best.ring) else None


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


def _bench(begun: Begun, targets: SectionTargets, read: tuple[StripState, ...]) -> Bench:
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
    return Bench(tuple(one.strip for one in read), over, begun.rod.sides, apothem, k, hollow=hollow)


def keep_order(shop: Shop, begun: Begun, matched: Matched, id: str | None = None) -> Docket:
    """Keep the ring order a section is to be glued in; an order kept before is superseded."""
    old = dockets(shop, KIND, rod=begun.revision.rod, section=matched.section)
    return keep_docket(
        shop,
        KIND,
        json.dumps({"revision": begun.revision.revision, "ring": list(matched.ring)}),
        id=id,
        rod=begun.revision.rod,
        section=matched.section,
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
    proved = (
        "no ring of the strips read is evener" if found.proved else f"none can be better than {show.small(found.bound)}"
    )
    said = [
        f"{found.code} {found.section}: glue strips {ring} in this order around the ring.",
        f"Directions differ by {show.small(found.spread)} at the worst station, and their mean is "
        f"{show.small(found.off)} off size at the worst; {proved}.",
        f"The section bends {found.spine:.1%} stiffer one way than across it at its most uneven station.",
    ]
    if found.as_cut is not None:
        said.append(
            f"Strips {' '.join(map(str, found.as_cut.ring))} as they were cut would differ by "
            f"{show.small(found.as_cut.spread)}, be {show.small(found.as_cut.off)} off and bend "
            f"{found.as_cut.spine:.1%} stiffer one way."
        )
    if found.left:
        said.append(f"Left over: {', '.join(f'S{number}' for number in found.left)}.")
    return (*said, *(f"Note: {note}." for note in found.notes))

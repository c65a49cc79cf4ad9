"""The faces of a rod as built and their doubt: strips give them, flats measured after scraping correct them.

Strips give each face with a covariance: what every reading has of its own, and what is alike for all. Gauge and block
zero are one for the whole rod; each section is scraped and glued by itself, so that how thick the seams are, and a part
of what finishing took, is alike within a section only; the other part is the hand's that scraped them all. A caliper
over the scraped section is put together with them by least squares (``proof/sources.py``). Nothing is taken off or
added by hand.

Flats that contradict their strips beyond :data:`FAR` say that the model itself is wrong there: more was scraped off
than the file says, strips were changed, a reading is bad. Least squares would then blame everything that is in common,
gauge and all, and so move sections that were read on size. Such flats still are the nearer witness of their own
section, which is what they were taken of: they correct that one, it takes nothing from the others, and it is said.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from math import sqrt
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from culmwright.bench.targets import UNTOLD
from culmwright.design.polygon import corner_drop
from culmwright.design.rod import Rod, Section
from culmwright.design.strip import glue_offset
from culmwright.measure.display import Display
from culmwright.measure.errors import AnswerIsNo, BadInput
from culmwright.mechanics.beam import Array
from culmwright.proof.built_cane import BuiltCane, CaneAt, built_cane
from culmwright.proof.doubt import Doubt
from culmwright.proof.evidence import StripsRead
from culmwright.proof.seat import face_of, face_per_height
from culmwright.proof.sources import FlatsRead, Sources, Together, put_together
from culmwright.proof.unlike import Unlike

FAR = 3.29
"""Flats this many standard uncertainties from what their strips gave are said to contradict them [-]: 1 in 1000."""


@dataclass(frozen=True, slots=True, eq=False)
class Built:
    """A rod as built with one of its tips: every station of every section is a node, tip to butt.

    ``x`` [m] from the tip; ``owner`` which of ``sections`` a node is of; ``measured`` if that section was read.
    ``faces`` [m] by node and place in the ring, centre to face of the bare section, and their ``covariance`` [m^2] in
    the same order; ``drawn`` faces [m] by node. ``uneven`` [m] by node: what a strip's own waviness between stations
    adds to the doubt of figures that add up over a length. Sections not read stand as drawn, without doubt. ``cane`` is
    None where strips are taken to be of one cane, alike throughout.
    """

    rod: Rod
    tip: int
    doubt: Doubt
    sections: tuple[Section, ...]
    parts: Mapping[str, StripsRead]
    x: Array
    owner: NDArray[np.int64]
    measured: NDArray[np.bool_]
    drawn: Array
    faces: Array
    covariance: Array
    uneven: Array
    told: Together
    notes: tuple[str, ...] = ()
    cane: BuiltCane | None = None

    def draw(self, random: np.random.Generator, count: int) -> Array:
        """``count`` rods [m] that the readings could have come from: faces by rod, node and place in the ring."""
        shifts, _ = self.told.draw(random, count)
        return self.faces + shifts.reshape(count, *self.faces.shape)

    def draw_both(self, random: np.random.Generator, count: int) -> tuple[Array, CaneAt | None]:
        """The same ``count`` rods [m], and the cane of each [-]."""
        shape = (count, *self.faces.shape)
        shifts, scraped = (one.reshape(shape) for one in self.told.draw(random, count))
        if self.cane is None:
            return self.faces + shifts, None
        at = self.cane.with_shares(self.cane.draw_shares(random, count))
        if self.cane.grading is not None:
            at = at._replace(scraped=at.scraped + scraped)
        return self.faces + shifts, at


def built_of(
    rod: Rod, parts: Mapping[str, StripsRead], doubt: Doubt, tip: int = 1, strips: Unlike | None = None
) -> Built:
    """The rod with tip number ``tip`` as its ``parts``, by section, were read. ``doubt`` [m] as in :class:`Doubt`;
    ``strips`` how their cane differs, None where it is not known to.

    Raises :class:`AnswerIsNo` if none of its sections was read, :class:`BadInput` for a tip it does not have.
    """
    if not 1 <= tip <= rod.tips:
        raise BadInput(
            f"this rod has {rod.tips} tip{'s' if rod.tips > 1 else ''}, not a tip {tip}", remedy="Give a tip it has"
        )
    sections = rod.assembled(tip)
    if not any(section.name in parts for section in sections):
        raise AnswerIsNo(
            f"no strip of {' or '.join(section.name for section in sections)} was read when finished: there is no rod "
            "as built yet",
            remedy="Read the finished strips: culmwright read ROD --stage finish",
        )
    nodes = [_nodes(rod, section, parts.get(section.name), doubt) for section in sections]
    owner = np.repeat(np.arange(len(sections)), [len(one.drawn) for one in nodes])
    x = np.array([station.m for section in sections for station in section.stations])
    drawn, uneven, places, own, left = (
        np.concatenate([getattr(one, name) for one in nodes]) for name in ("drawn", "uneven", "faces", "own", "crown")
    )
    measured = np.array([sections[one].name in parts for one in owner])
    flat = np.repeat(measured, rod.sides).astype(float)
    each = np.repeat(owner, rod.sides)
    seam = glue_offset(rod.sides, doubt.glue)
    within = [flat * (each == one) for one in range(len(sections)) if sections[one].name in parts]
    sources = Sources(
        own.ravel(),
        tuple(one for one in (face_per_height(rod) * doubt.gauge * flat, *(seam * one for one in within)) if one.any()),
        doubt.finish_each * flat,
        tuple(one for one in (doubt.finish_rod * flat, *(doubt.finish * one for one in within)) if one.any()),
    )
    flats = _seen(rod.sides, sections, parts, places, left, doubt)
    alone, contradictions = _contradictions(sections, flats, flats.before(sources)[2], rod.display)
    told = put_together(sources, flats, each, alone)
    rings = [(one.name, parts[one.name].ring if one.name in parts else ()) for one in sections]
    cane = built_cane(rod, strips, rings, owner)
    if cane is not None and cane.grading is not None:
        at = cane.at._replace(scraped=cane.at.scraped + told.scraped.reshape(places.shape))
        cane = replace(cane, at=at, scraped=told.F, mixed=told.mixed)
    return Built(
        rod,
        tip,
        doubt,
        sections,
        parts,
        x,
        owner,
        measured,
        drawn,
        places + told.faces.reshape(places.shape),
        told.C,
        uneven,
        told,
        (*_notes(sections, parts), *_lower(rod, left), *contradictions),
        cane,
    )


class _Nodes(NamedTuple):
    """A section's stations as its strips give them [m], by node or by node and place: ``own`` doubt of the enamel,
    ``crown`` what finishing is to have left of it over the corners.
    """

    drawn: Array
    uneven: Array
    faces: Array
    own: Array
    crown: Array


def _nodes(rod: Rod, section: Section, read: StripsRead | None, doubt: Doubt) -> _Nodes:
    drawn = np.array([rod.bare_apothem(section.taper.at(station.m)) for station in section.stations])
    if read is None:
        none = np.zeros((len(drawn), rod.sides))
        return _Nodes(drawn, none[:, 0], np.repeat(drawn[:, None], rod.sides, 1), none, none)
    scatter, k = waviness(read, doubt), face_per_height(rod)
    own = np.where(read.filled, np.hypot(2 * scatter, doubt.reading), doubt.reading) * k
    faces = np.array([[face_of(rod, float(one)) for one in row] for row in read.heights])
    left = np.array([[rod.form.crown_left(float(one), rod.making.finish.m) for one in row] for row in read.heights])
    return _Nodes(drawn, np.full(len(drawn), scatter * k), faces, own, left)


def waviness(read: StripsRead, doubt: Doubt) -> float:
    """How a section's strips depart from the straight line between stations [m], beyond what reading them scatters.

    From second differences ``d_(j-1) - 2 d_j + d_(j+1)`` of the departures from target, whose variance is 6 times that
    of one place; stations at unlike distances are taken as alike. 0 where readings show no more than their own scatter.
    """
    if doubt.uneven is not None:
        return doubt.uneven
    off = read.heights - read.targets[:, None]
    bends = off[:-2] - 2 * off[1:-1] + off[2:]
    whole = ~(read.filled[:-2] | read.filled[1:-1] | read.filled[2:])
    if not whole.any():
        return 0.0
    return sqrt(max(float(np.mean(bends[whole] ** 2)) / 6 - doubt.reading**2, 0.0))


def _seen(
    n: int,
    sections: tuple[Section, ...],
    parts: Mapping[str, StripsRead],
    faces: Array,
    crown: Array,
    doubt: Doubt,
) -> FlatsRead:
    """Which faces each caliper reading adds up, and how far it is of what ``faces`` and ``crown`` [m] would read.

    A corner under a crown lies where the enamel's chords meet, ``a + f - s``, whatever was scraped off above it.
    """
    rows, corner, off, owner, before = [], [], [], [], 0
    for number, section in enumerate(sections):
        part = parts.get(section.name)
        for flat in part.flats if part else ():
            node = before + flat.station
            row, crowned = np.zeros(faces.shape), np.zeros(faces.shape)
            row[node] = over(n, flat.face)
            crowned[node] = corners(n, flat.face) * (crown[node] > 0)
            rows.append(row.ravel())
            corner.append(crowned.ravel())
            off.append(flat.across - caliper_over(faces[node], crown[node], flat.face))
            owner.append(number)
        before += len(section.stations)
    shape = (len(off), faces.size)
    H, G = np.array(rows).reshape(shape), np.array(corner).reshape(shape)
    return FlatsRead(H, G, np.array(off), np.array(owner, dtype=np.int64), doubt.flat, doubt.caliper)


def caliper_over(faces: Array, crown: Array, face: int) -> float:
    """What a caliper over number ``face`` reads [m], for ``faces`` [m] that each keep a ``crown`` [m] over their chord.

    Even sides: ``a_i + a_j``, flat to flat over two tops. Odd: to the opposite corner, which lies lower by the crowns.
    """
    n = len(faces)
    return float(over(n, face) @ faces - corners(n, face) @ crown)


def over(n: int, face: int) -> Array:
    """How much of each face a caliper over number ``face`` reads [-]: ``a_i + a_j``, or flat to opposite corner.

    The corner lies where two strips meet, at ``a/cos t``; where they differ it is taken at their mean.
    """
    row = corners(n, face)
    row[face - 1] = 1.0
    if n % 2 == 0:
        row[(face - 1 + n // 2) % n] = 1.0
    return row


def corners(n: int, face: int) -> Array:
    """The part of it that is read at a corner [-]: none on even sides."""
    row = np.zeros(n)
    if n % 2:
        for other in (n // 2, n // 2 + 1):
            row[(face - 1 + other) % n] += corner_drop(n, 0.5)
    return row


def _contradictions(
    sections: tuple[Section, ...], flats: FlatsRead, S: Array, show: Display
) -> tuple[frozenset[int], tuple[str, ...]]:
    """Sections whose flats and strips do not go together within their doubt, and a sentence for each."""
    found = {}
    for number in sorted(set(flats.owner.tolist())):
        of = np.flatnonzero(flats.owner == number)
        name = sections[number].name
        if words := _contradiction(flats.off[of], S[np.ix_(of, of)], name, show):
            found[number] = f"{words}; they put right {name} alone"
    return frozenset(found), tuple(found.values())


def _contradiction(off: Array, S: Array, name: str, show: Display) -> str:
    """How flats and strips of a section do not go together: apart in the mean, or too scattered; "" where they do."""
    weights = np.linalg.solve(S, np.ones(len(off)))
    mean = float(weights @ off / weights.sum())
    if abs(mean) * sqrt(float(weights.sum())) > FAR:
        side = "over" if mean > 0 else "under"
        return (
            f"the flats measured of {name} lie {side} what its strips gave by {show.small(abs(mean))} in the mean, "
            "more than both leave in doubt: finishing took another amount than the file says, or a gauge is out"
        )
    count = len(off)
    square = float(off @ np.linalg.solve(S, off))
    normal = ((square / count) ** (1 / 3) - (1 - 2 / (9 * count))) / sqrt(2 / (9 * count))  # Wilson and Hilferty
    if normal > FAR:
        return (
            f"the flats measured of {name} scatter about what its strips gave by more than both leave in doubt: strips "
            "may stand in another order than the one kept, or a reading is wrong"
        )
    return ""


def _lower(rod: Rod, crown: Array) -> tuple[str, ...]:
    """What a caliper reads less than the across told, where crowns are left on odd sides."""
    under = corner_drop(rod.sides, float(crown.max()))
    if under <= UNTOLD:
        return ()
    return (
        "across is told as the drawing counts it, faces as flat: flat to corner a caliper reads up to "
        f"{rod.display.small(under)} less, by the crowns finishing leaves, and flats measured are taken so",
    )


def _notes(sections: tuple[Section, ...], parts: Mapping[str, StripsRead]) -> tuple[str, ...]:
    notes = []
    for section in sections:
        part = parts.get(section.name)
        if part is None:
            notes.append(f"{section.name} is taken as drawn: its finished strips are not read")
        elif part.filled.any():
            notes.append(
                f"{int(part.filled.sum())} of {part.filled.size} places of {section.name} were not read: the strip is "
                "taken to go straight between its neighbours there, in more doubt"
            )
    return tuple(notes)

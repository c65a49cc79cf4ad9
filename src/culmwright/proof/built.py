"""The faces of a rod as built and their doubt: strips give them, flats measured after scraping correct them.

Strips give each face with a covariance ``C``: what every reading has of its own, and what is alike for all. A caliper
over the scraped section reads ``y = H a + e`` with covariance ``R`` of its own. The two are put together by least
squares (Gauss and Markov; the update of R. E. Kalman, *J. Basic Eng.* 82 (1960) 35): ``K = C H' (H C H' + R)^-1``,
``a + K (y - H a)``, ``(1 - K H) C``. Nothing is taken off or added by hand.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from math import cos, sqrt

import numpy as np
from numpy.typing import NDArray

from culmwright.design.polygon import half_angle
from culmwright.design.rod import Rod, Section
from culmwright.design.strip import glue_offset
from culmwright.measure.display import Display
from culmwright.measure.errors import AnswerIsNo, BadInput
from culmwright.mechanics.beam import Array
from culmwright.proof.doubt import Doubt
from culmwright.proof.evidence import StripsRead
from culmwright.proof.seat import face_of, face_per_height

FAR = 3.29
"""Flats this many standard uncertainties from what their strips gave are said to contradict them [-]: 1 in 1000."""


@dataclass(frozen=True, slots=True, eq=False)
class Built:
    """A rod as built with one of its tips: every station of every section is a node, tip to butt.

    ``x`` [m] from the tip; ``owner`` which of ``sections`` a node is of; ``measured`` if that section was read.
    ``faces`` [m] by node and place in the ring, centre to face of the bare section, and their ``covariance`` [m^2] in
    the same order; ``drawn`` faces [m] by node. ``uneven`` [m] by node: what a strip's own waviness between stations
    adds to the doubt of figures that add up over a length. Sections not read stand as drawn, without doubt.
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
    prior: _Prior
    notes: tuple[str, ...] = ()

    def draw(self, random: np.random.Generator, count: int) -> Array:
        """``count`` rods [m] that the readings could have come from: faces by rod, node and place in the ring."""
        shifts = self.prior.draw(random, count)
        return self.faces + shifts.reshape(count, *self.faces.shape)


@dataclass(frozen=True, slots=True, eq=False)
class _Prior:
    """The doubt as independent sources: ``own`` [m] of each face, ``common`` [m] of all, and the flats' gain."""

    own: Array
    common: tuple[Array, ...]
    gain: Array
    seen: Array
    flat: float
    caliper: float

    def draw(self, random: np.random.Generator, count: int) -> Array:
        shifts = random.standard_normal((count, len(self.own))) * self.own
        for each in self.common:
            shifts += even(random, count)[:, None] * each
        if len(self.seen):
            errors = random.standard_normal((count, len(self.seen))) * self.flat
            errors += even(random, count)[:, None] * self.caliper
            shifts += (errors - shifts @ self.seen.T) @ self.gain.T
        return shifts


def even(random: np.random.Generator, count: int) -> Array:
    """``count`` numbers even between two limits, of mean 0 and standard deviation 1 [-] (JCGM 101:2008, 6.4.2)."""
    return random.uniform(-sqrt(3), sqrt(3), count)


def built_of(rod: Rod, parts: Mapping[str, StripsRead], doubt: Doubt, tip: int = 1) -> Built:
    """The rod with tip number ``tip`` as its ``parts``, by section, were read. ``doubt`` [m] as in :class:`Doubt`.

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
    x, owner, faces, own = [], [], [], []
    drawn, uneven = [], []
    for number, section in enumerate(sections):
        plan = [rod.bare_apothem(section.taper.at(station.m)) for station in section.stations]
        x += [station.m for station in section.stations]
        owner += [number] * len(plan)
        drawn += plan
        read = parts.get(section.name)
        if read is None:
            faces += [[one] * rod.sides for one in plan]
            own += [[0.0] * rod.sides for _ in plan]
            uneven += [0.0] * len(plan)
            continue
        scatter = waviness(read, doubt)
        k = face_per_height(rod)
        faces += [[face_of(rod, float(one)) for one in row] for row in read.heights]
        each = np.where(read.filled, np.hypot(2 * scatter, doubt.reading), doubt.reading) * k
        own += np.hypot(each, doubt.finish_each).tolist()
        uneven += [scatter * k] * len(plan)
    measured = np.array([sections[one].name in parts for one in owner])
    flat = np.repeat(measured, rod.sides).astype(float)
    steps = (face_per_height(rod) * doubt.gauge, glue_offset(rod.sides, doubt.glue), doubt.finish)
    common = tuple(one * flat for one in steps if one)
    places = np.array(faces)
    sigma = np.array(own).ravel()
    C: Array = np.diag(sigma**2) + sum((np.outer(one, one) for one in common), np.zeros((len(sigma), len(sigma))))
    H, y = _seen(rod.sides, sections, parts, len(x))
    notes = _notes(sections, parts)
    gain: Array = np.zeros((len(sigma), 0))
    if len(y):
        S = H @ C @ H.T + doubt.flat**2 * np.eye(len(y)) + doubt.caliper**2
        gain = np.asarray(np.linalg.solve(S, H @ C).T, dtype=np.float64)
        off = y - H @ places.ravel()
        notes = (*notes, *_contradiction(off, S, rod.display))
        places = places + (gain @ off).reshape(places.shape)
        C = C - gain @ H @ C
        C = (C + C.T) / 2
    prior = _Prior(sigma, common, gain, H, doubt.flat, doubt.caliper)
    return Built(
        rod,
        tip,
        doubt,
        sections,
        parts,
        np.array(x),
        np.array(owner),
        measured,
        np.array(drawn),
        places,
        C,
        np.array(uneven),
        prior,
        notes,
    )


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


def _seen(n: int, sections: tuple[Section, ...], parts: Mapping[str, StripsRead], nodes: int) -> tuple[Array, Array]:
    """Which faces each caliper reading adds up, a row each, and what it read [m]."""
    rows, read, before = [], [], 0
    for section in sections:
        part = parts.get(section.name)
        for flat in part.flats if part else ():
            row = np.zeros((nodes, n))
            row[before + flat.station] = over(n, flat.face)
            rows.append(row.ravel())
            read.append(flat.across)
        before += len(section.stations)
    return np.array(rows).reshape(len(rows), nodes * n), np.array(read)


def over(n: int, face: int) -> Array:
    """How much of each face a caliper over number ``face`` reads [-]: ``a_i + a_j``, or flat to opposite corner.

    The corner lies where two strips meet, at ``a/cos t``; where they differ it is taken at their mean.
    """
    row = np.zeros(n)
    row[face - 1] = 1.0
    if n % 2 == 0:
        row[(face - 1 + n // 2) % n] = 1.0
    else:
        for other in (n // 2, n // 2 + 1):
            row[(face - 1 + other) % n] += 0.5 / cos(half_angle(n))
    return row


def _contradiction(off: Array, S: Array, show: Display) -> tuple[str, ...]:
    """A sentence where flats and strips do not go together within their doubt: apart in the mean, or too scattered."""
    weights = np.linalg.solve(S, np.ones(len(off)))
    mean = float(weights @ off / weights.sum())
    if abs(mean) * sqrt(float(weights.sum())) > FAR:
        side = "over" if mean > 0 else "under"
        return (
            f"the flats measured lie {side} what the strips gave by {show.small(abs(mean))} in the mean, more than "
            "both leave in doubt: finishing took another amount than the file says, or a gauge is out",
        )
    count = len(off)
    square = float(off @ np.linalg.solve(S, off))
    normal = ((square / count) ** (1 / 3) - (1 - 2 / (9 * count))) / sqrt(2 / (9 * count))  # Wilson and Hilferty
    if normal > FAR:
        return (
            "the flats measured scatter about what the strips gave by more than both leave in doubt: strips may stand "
            "in another order than the one kept, or a reading is wrong",
        )
    return ()


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

"""How the cane of a rod's strips differs, from tests of single strips: each strip's modulus to the mean of them all.

A strip of the ring that was tested has the modulus measured; one that was not has the mean of the tested strips of its
section, or of all where none of that section was, in doubt by how tested strips scatter. With ``y = E + e`` what was
measured, strips ``E`` of a section scattering by tau about its mean, and ``W`` what makes the ring's moduli of ``y``,
the errors ``W (E + e) - E_ring`` have the covariance

    C = W diag(u^2) W' + tau^2 (W Q - P)(W Q - P)'

(JCGM 100:2008, 5.2; Q and P pick the tested strips and the ring's out of all). For tau stands the scatter of the tests
within sections, what measuring adds to it included, so rather more than less, and widened by Student's factor, since
few strips tell it badly (JCGM 100, G.3).

*Level and shares.* The level ``L`` is the mean over all places of all sections' rings, one measurement of the rod's
cane among others; the shares ``E/L`` are 1 in the mean, so that a level measured otherwise, by the rod's own drop or
rate, moves all strips alike. Every test so counts once for the level, once for how strips differ, and what it says of
the one it does not say of the other. What tests have in common, caliper and span, is in the level alone.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from math import hypot, sqrt
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from culmwright.mechanics.beam import Array
from culmwright.proof.modulus import Measured, together

Strip = tuple[str, int]
"""A strip of a rod: its section and its number."""
NORMAL = 1.959963984540054
"""Standard deviations that hold 95 % of a normal distribution to either side [-]."""
HOW = "strips bent as bars under known weights"
OF = "the strips tested"


@dataclass(frozen=True, slots=True, eq=False)
class Unlike:
    """The cane of the strips in a rod's rings: ``shares`` of their moduli to the mean of all [-], and their
    ``covariance`` [-], in the order of ``strips``; ``tested`` where a strip's own test stands behind it.

    ``level`` is the mean as one measurement [Pa]; ``scatter`` how strips of a section differ [-], a standard deviation.
    ``sources`` say what each strip's modulus is from.
    """

    strips: tuple[Strip, ...]
    shares: Array
    covariance: Array
    tested: NDArray[np.bool_]
    level: Measured
    scatter: float
    sources: tuple[str, ...]


class _Tests(NamedTuple):
    """One row a tested strip: which, its modulus and the doubt of its own [Pa]; the doubt all have in common [-]."""

    strips: list[Strip]
    y: Array
    own: Array
    alike: float
    how: list[str]
    notes: tuple[str, ...]


def unlike(tests: Mapping[Strip, Sequence[Measured]], rings: Mapping[str, Sequence[int]]) -> Unlike | None:
    """The cane of the strips in ``rings``, by section, from ``tests`` of some [Pa].

    None where no section has two tested strips or more: nothing tells then how strips differ.
    """
    found = _read(tests)
    scatter = _scatter(found)
    if scatter is None or not any(strip in found.strips for strip in _ring(rings)):
        return None
    ring = _ring(rings)
    W = np.array([_weights(strip, found.strips) for strip in ring])
    every = [*found.strips, *(strip for strip in ring if strip not in found.strips)]
    Q, P = (np.array([[float(one == strip) for one in every] for strip in some]) for some in (found.strips, ring))
    reach = (W @ Q - P) * scatter.widened
    C = (W * found.own**2) @ W.T + reach @ reach.T
    E = W @ found.y
    level = float(E.mean())
    shares = E / level
    J = (np.eye(len(E)) - np.outer(shares, np.full(len(E), 1 / len(E)))) / level
    alike = found.alike * level
    spread = sqrt(float(C.mean()) + alike**2)
    return Unlike(
        tuple(ring),
        shares,
        J @ C @ J.T,
        np.array([strip in found.strips for strip in ring]),
        Measured(level, spread, alike, OF, HOW, found.notes),
        scatter.own / level,
        tuple(_source(strip, found) for strip in ring),
    )


def strips_of_culm(found: Sequence[Measured]) -> Measured:
    """Strips of one culm, each tested, as one measurement of its cane [Pa]: their mean, in doubt by their scatter too.

    A single one is itself: nothing tells how strips of that culm scatter.
    """
    if len(found) == 1:
        return found[0]
    tests = _read({("", number): (one,) for number, one in enumerate(found)})
    scatter = _scatter(tests)
    assert scatter is not None  # there are two of one section
    value, alike = float(tests.y.mean()), tests.alike * float(tests.y.mean())
    return Measured(value, hypot(scatter.widened / sqrt(len(found)), alike), alike, OF, HOW, tests.notes)


def _read(tests: Mapping[Strip, Sequence[Measured]]) -> _Tests:
    strips = [strip for strip, some in tests.items() if some]
    each = [together(list(tests[strip])) for strip in strips]
    common = [float(np.mean([one.alike / one.value for one in tests[strip]])) for strip in strips]
    y = np.array([one.value for one in each])
    own = [sqrt(max(one.spread**2 - (c * one.value) ** 2, 0.0)) for one, c in zip(each, common, strict=True)]
    notes = tuple(
        f"{section}/S{number}: {note}"
        for (section, number), one in zip(strips, each, strict=True)
        for note in one.notes
    )
    alike = float(np.mean(common)) if common else 0.0
    return _Tests(strips, y, np.array(own), alike, [one.how for one in each], notes)


def _ring(rings: Mapping[str, Sequence[int]]) -> list[Strip]:
    return [(section, number) for section, ring in rings.items() for number in ring]


def _weights(strip: Strip, tested: list[Strip]) -> Array:
    """What a strip of the ring takes of each test [-]: its own, else its section's alike, else all alike."""
    for alike in ([strip], [one for one in tested if one[0] == strip[0]], tested):
        row = np.array([float(one in alike) for one in tested])
        if row.any():
            return np.asarray(row / row.sum())
    raise AssertionError("no strip was tested")  # pragma: no cover


def _source(strip: Strip, found: _Tests) -> str:
    if strip in found.strips:
        return found.how[found.strips.index(strip)]
    mates = any(one[0] == strip[0] for one in found.strips)
    return f"mean of the strips tested{f' of {strip[0]}' if mates else ''}"


class _Scatter(NamedTuple):
    """How strips of a section scatter [Pa]: of their ``own``, and as tested, ``widened`` for how few tell it."""

    own: float
    widened: float


def _scatter(found: _Tests) -> _Scatter | None:
    """The scatter of strips tested, within their sections; None where none has two."""
    squares, noise, free = 0.0, 0.0, 0
    for section in dict.fromkeys(strip[0] for strip in found.strips):
        own = np.array([strip[0] == section for strip in found.strips])
        count = int(own.sum())
        squares += float(((found.y[own] - found.y[own].mean()) ** 2).sum())
        noise += float((found.own[own] ** 2).mean()) * (count - 1)
        free += count - 1
    if not free:
        return None
    return _Scatter(sqrt(max(squares - noise, 0.0) / free), sqrt(max(squares, noise) / free) * _student(free))


def _student(free: int) -> float:
    """How much wider 95 % of Student's distribution lie than of the normal one [-]."""
    from scipy.special import stdtrit

    return float(stdtrit(free, 0.975)) / NORMAL

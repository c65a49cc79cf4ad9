"""Which strips, in which ring order, make a section even in all directions and true to its size.

A strip that stands ``d`` over its target height moves its flat out by ``d`` (by ``k d`` where apexes stand off). A
caliper then reads over by

    even n    e_j = k (d_j + d_(j+n/2))                       flat to flat
    odd n     e_j = k (d_j + (d_(j+(n-1)/2) + d_(j+(n+1)/2)) / (2 cos t))     flat to opposite corner

exact for even n and to first order for odd n. A choice of strips and their order is judged by its worst station:

    fault = max over stations of [ max_j e_j - min_j e_j  +  |mean_j e_j| ]

a thou of unevenness counts as much as a thou off size. Every choice of six from 24 is looked at (2 018 940 ways to
pair them), so the answer is proved; from more strips the 24 nearest to their target are, and a bound over all is given.

The spine a choice leaves is, to first order in ``d``, with ``w`` the width of a flat and ``a`` its apothem,

    (I_max - I_min) / I = w (a^2 - w^2/12) |sum_j d_j exp(2 i theta_j)| / I

plane geometry: a strip of thickness ``d`` laid on a flat adds ``d w (a^2 n n^T + w^2/12 t t^T)`` to the tensor. Every
strip of a hollow section keeps its wall, so the hollow moves out with its flats: the same of it is taken away above
and below the line.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from itertools import combinations, permutations
from math import cos, pi, tan

import numpy as np
import numpy.typing as npt

from culmwright.measure.errors import AnswerIsNo, BadInput
from culmwright.measure.record import si

ALL_OF = 24
"""How many strips every choice is looked at from; of more, the nearest to their target."""
CHUNK = 100_000
Floats = npt.NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class Evenness:
    """A ring of strips by its worst station: ``fault`` [m] is judged, ``spread`` [m] the most that directions differ,
    ``off`` [m] the most that their mean departs from size, ``spine`` (I_max - I_min)/I, ``aside`` [m] how far the
    middle of the section lies from its axis; ``touching`` [m] the least distance of nodes on touching strips.
    """

    ring: tuple[int, ...]
    fault: float = si("m")
    spread: float = si("m")
    off: float = si("m")
    spine: float = si("")
    aside: float = si("m")
    touching: float | None = si("m")


@dataclass(frozen=True, slots=True)
class Match:
    """The best ring found, whether it is ``proved`` best of all strips at hand, and the ``bound`` [m] none can beat.

    ``as_cut`` is the first strips in the order they were cut, to tell what is gained; ``left`` the strips not used.
    """

    best: Evenness
    as_cut: Evenness | None
    proved: bool
    bound: float = si("m")
    left: tuple[int, ...] = ()


@dataclass(frozen=True, slots=True)
class Bench:
    """The strips at hand: their ``labels``, and by how much each stands over its target ``over[i, s]`` [m].

    ``sides`` of the section, ``apothem[s]`` [m] of its bare flats and ``hollow[s]`` [m] of its hollow's, None where
    all is solid; ``k`` how far a flat moves for a strip's height;
    ``apart[i, j]`` [m] the least distance between nodes of two strips as laid out, None where nothing is known.
    """

    labels: tuple[int, ...]
    over: Floats
    sides: int
    apothem: Floats
    k: float = 1.0
    apart: Floats | None = None
    hollow: Floats | None = None


def best_match(bench: Bench, least_touching: float | None = None) -> Match:
    """The best ring of ``bench.sides`` strips; with ``least_touching`` [m], of those whose touching strips keep it.

    Raises :class:`BadInput` for too few strips or strips read at no station in common, :class:`AnswerIsNo` where no
    ring keeps the distance.
    """
    n, count = bench.sides, len(bench.labels)
    if count < n:
        raise BadInput(
            f"{count} strips are read through, and a section takes {n}", remedy="Read the others, or cut more"
        )
    if bench.over.shape != (count, len(bench.apothem)) or not len(bench.apothem):
        raise BadInput("these strips share no station", remedy="Read all of them at the same stations")
    if least_touching is not None and bench.apart is None:
        raise BadInput("nothing is known of the nodes of these strips", remedy="Lay the culm out first")
    kept = np.argsort(np.abs(bench.over).max(axis=1), kind="stable")[:ALL_OF]
    kept.sort()
    found = _first(bench, _by_fault(bench, kept), least_touching)
    whole = count <= ALL_OF
    bound = found.fault if whole and least_touching is None else _bound(bench)
    as_cut = evenness(bench, tuple(range(n)))
    left = tuple(label for label in bench.labels if label not in found.ring)
    return Match(found, as_cut, whole, found.fault if whole else min(bound, found.fault), left)


def evenness(bench: Bench, places: tuple[int, ...]) -> Evenness:
    """How even the strips at ``places`` of the bench come out in this order around the ring."""
    n = bench.sides
    over = bench.over[list(places)]
    errors = _errors(over, n, bench.k)
    spread = errors.max(axis=0) - errors.min(axis=0)
    off = np.abs(errors.mean(axis=0))
    turn = 2 * pi * np.arange(n) / n
    t = pi / n
    cubes, fourths, squares = (bench.apothem**p - (0.0 if bench.hollow is None else bench.hollow**p) for p in (3, 4, 2))
    inertia = n * fourths * tan(t) * (3 + tan(t) ** 2) / 12
    area = n * squares * tan(t)
    laid = 2 * tan(t) * (1 - tan(t) ** 2 / 3) * cubes  # w (a^2 - w^2/12), w = 2 a tan t
    spine = laid * np.abs((over * np.exp(2j * turn)[:, None]).sum(axis=0)) / inertia
    aside = 2 * tan(t) * squares * np.abs((over * np.exp(1j * turn)[:, None]).sum(axis=0)) / area
    return Evenness(
        tuple(bench.labels[i] for i in places),
        float((spread + off).max()),
        float(spread.max()),
        float(off.max()),
        float(spine.max()),
        float(aside.max()),
        _touching(bench, places),
    )


def _errors(over: Floats, n: int, k: float) -> Floats:
    """What a caliper reads over size in each direction, at every station [m]."""
    ring = np.arange(n)
    if n % 2 == 0:
        return np.asarray(k * (over[ring[: n // 2]] + over[ring[: n // 2] + n // 2]))
    a, b = (ring + (n - 1) // 2) % n, (ring + (n + 1) // 2) % n
    return np.asarray(k * (over + (over[a] + over[b]) / (2 * cos(pi / n))))


def _touching(bench: Bench, places: tuple[int, ...]) -> float | None:
    if bench.apart is None:
        return None
    return float(min(bench.apart[places[i], places[i - 1]] for i in range(len(places))))


def _first(bench: Bench, groups: Iterator[tuple[tuple[int, ...], ...]], least: float | None) -> Evenness:
    """Of the first equally even rings that keep the distance, the one whose nodes lie best, then the truest."""
    for rings in groups:
        judged = [evenness(bench, ring) for ring in rings]
        fit = [one for one in judged if least is None or (one.touching is not None and one.touching >= least - 1e-12)]
        if fit:
            return min(fit, key=lambda one: (-(one.touching or 0.0), one.aside, one.ring))
    raise AnswerIsNo(
        "no ring of these strips keeps its nodes that far apart on touching strips",
        remedy="Ask for less distance, or cut spares with their nodes elsewhere",
    )


def _by_fault(bench: Bench, kept: npt.NDArray[np.intp]) -> Iterator[tuple[tuple[int, ...], ...]]:
    """Rings that share one fault, those of the least fault first."""
    return _paired(bench, kept) if bench.sides % 2 == 0 else _ringed(bench, kept)


def _paired(bench: Bench, kept: npt.NDArray[np.intp]) -> Iterator[tuple[tuple[int, ...], ...]]:
    """Even sides: the fault depends on which strips stand opposite only, so pairs are chosen."""
    pairs = np.array(list(combinations(kept.tolist(), 2)))
    sums = bench.k * (bench.over[pairs[:, 0]] + bench.over[pairs[:, 1]])
    chosen = _disjoint(pairs, bench.sides // 2)
    order = np.argsort(_faults(sums, chosen), kind="stable")
    for i in order:
        yield tuple(_rings([tuple(pairs[p].tolist()) for p in chosen[i]]))


def _disjoint(pairs: npt.NDArray[np.int_], count: int) -> npt.NDArray[np.int_]:
    """Every way to take ``count`` pairs that share no strip: (ways, count) of places in ``pairs``."""
    meets = (pairs[:, None, :, None] == pairs[None, :, None, :]).any(axis=(2, 3))
    later = np.triu(~meets, 1)
    chosen = np.argwhere(later)
    for _ in range(count - 2):
        grown = []
        for start in range(0, len(chosen), CHUNK):
            part = chosen[start : start + CHUNK]
            free = later[part[:, 0]]
            for column in range(1, part.shape[1]):
                free = free & later[part[:, column]]
            which, added = np.nonzero(free)
            grown.append(np.column_stack((part[which], added)))
        chosen = np.concatenate(grown)
    return chosen


def _faults(sums: Floats, chosen: npt.NDArray[np.int_]) -> Floats:
    faults = np.empty(len(chosen))
    for start in range(0, len(chosen), CHUNK):
        errors = sums[chosen[start : start + CHUNK]]
        spread = errors.max(axis=1) - errors.min(axis=1)
        faults[start : start + CHUNK] = (spread + np.abs(errors.mean(axis=1))).max(axis=1)
    return faults


def _rings(pairs: list[tuple[int, ...]]) -> Iterator[tuple[int, ...]]:
    """The rings in which these pairs stand opposite, each once up to turning and turning over: 1 of two, 4 of three."""
    (first, *rest) = pairs
    flips = [()] if len(rest) == 1 else [(a, b) for a in (0, 1) for b in (0, 1)]
    for flip in flips or [()]:
        turned = [pair if not flip or not flip[i] else pair[::-1] for i, pair in enumerate(rest)]
        ordered = [first, *turned]
        yield (*(pair[0] for pair in ordered), *(pair[1] for pair in ordered))


def _ringed(bench: Bench, kept: npt.NDArray[np.intp]) -> Iterator[tuple[tuple[int, ...], ...]]:
    """Odd sides: every ring of every choice."""
    n = bench.sides
    orders = np.array([(0, *rest) for rest in permutations(range(1, n)) if rest[0] < rest[-1]])
    chosen = np.array(list(combinations(kept.tolist(), n)))
    rings = chosen[:, orders].reshape(-1, n)
    faults = np.empty(len(rings))
    a, b = (np.arange(n) + (n - 1) // 2) % n, (np.arange(n) + (n + 1) // 2) % n
    for start in range(0, len(rings), CHUNK):
        over = bench.over[rings[start : start + CHUNK]]
        errors = bench.k * (over + (over[:, a] + over[:, b]) / (2 * cos(pi / n)))
        spread = errors.max(axis=1) - errors.min(axis=1)
        faults[start : start + CHUNK] = (spread + np.abs(errors.mean(axis=1))).max(axis=1)
    for i in np.argsort(faults, kind="stable"):
        yield (tuple(rings[i].tolist()),)


def _bound(bench: Bench) -> float:
    """A fault [m] no ring of all the strips can beat.

    At any station spread plus mean is at least the greatest |e_j| there, so a ring's fault is at least the worst of
    its pairs; it holds n/2 different pairs. Odd sides: none better than 0 is claimed.
    """
    n = bench.sides
    if n % 2:
        return 0.0
    worst = [
        float(np.abs(bench.k * (bench.over[i] + bench.over[j])).max())
        for i, j in combinations(range(len(bench.labels)), 2)
    ]
    return sorted(worst)[n // 2 - 1]

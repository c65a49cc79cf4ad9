"""Which strips, in which ring order, make a section even in all directions and true to its size.

A strip that stands ``d`` over its target height moves its flat out by ``d`` (by ``k d`` where apexes stand off). A
caliper then reads over by

    even n    e_j = k (d_j + d_(j+n/2))                       flat to flat
    odd n     e_j = k (d_j + (d_(j+(n-1)/2) + d_(j+(n+1)/2)) / (2 cos t))     flat to opposite corner

exact for even n and to first order for odd n. A choice of strips and their order is judged by its worst station:

    fault = max over stations of [ max_j e_j - min_j e_j  +  |mean_j e_j| ]

a thou of unevenness counts as much as a thou off size. Every choice of six from 24 is looked at (2 018 940 ways to
pair them, four rings each), so the answer is proved; from more strips the 24 nearest to their target are, and a bound
over all is given. Where nodes of touching strips are to keep a distance, rings that do not are passed over: what is
left is looked at as fully.

The spine a choice leaves is, to first order in ``d``, with ``w`` the width of a flat and ``a`` its apothem,

    (I_max - I_min) / I = w (a^2 - w^2/12) |sum_j d_j exp(2 i theta_j)| / I

plane geometry: a strip of thickness ``d`` laid on a flat adds ``d w (a^2 n n^T + w^2/12 t t^T)`` to the tensor. Every
strip of a hollow section keeps its wall, so the hollow moves out with its flats: the same of it is taken away above
and below the line.
"""

from __future__ import annotations

from dataclasses import dataclass
from itertools import combinations, permutations, product
from math import cos, inf, isfinite, pi, tan

import numpy as np
import numpy.typing as npt

from culmwright.measure.errors import BadInput
from culmwright.measure.record import si

ALL_OF = 24
"""How many strips every choice is looked at from; of more, the nearest to their target."""
CHUNK = 100_000
SAME = 1e-12
"""Rings whose faults [m] differ by less are equally even; nodes short of their distance [m] by less keep it."""
MOST_EQUAL = 64
"""So many rings that are equally even, and whose nodes lie equally far apart, are told by how true they are."""
Floats = npt.NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class Evenness:
    """A ring of strips by its worst station: ``fault`` [m] is judged, ``spread`` [m] the most that directions differ,
    ``off`` [m] the most that their mean departs from size, ``spine`` (I_max - I_min)/I, ``aside`` [m] how far the
    middle of the section lies from its axis; ``touching`` [m] the least distance of nodes on touching strips, of those
    whose nodes are known; None where it is known of no two.
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

    ``keeps`` is False where no ring keeps the distance of nodes that was asked: the best is then the evenest of those
    that keep the most that can be. ``free`` is the evenest ring wherever nodes lie; ``as_cut`` the first strips in the
    order they were cut, to tell what is gained; ``left`` the strips not used.
    """

    best: Evenness
    free: Evenness
    as_cut: Evenness
    proved: bool
    keeps: bool
    bound: float = si("m")
    left: tuple[int, ...] = ()


@dataclass(frozen=True, slots=True)
class Bench:
    """The strips at hand: their ``labels``, and by how much each stands over its target ``over[i, s]`` [m].

    ``sides`` of the section, ``apothem[s]`` [m] of its bare flats and ``hollow[s]`` [m] of its hollow's, None where
    all is solid; ``k`` how far a flat moves for a strip's height;
    ``apart[i, j]`` [m] the least distance between nodes of two strips, infinite where nothing is known of one of them
    or one has no node on the section; None where nothing is known of any.
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

    Raises :class:`BadInput` for too few strips, strips read at no station in common, and a distance asked of strips
    whose nodes nobody knows.
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
    ways = _ways(bench, kept)
    free, _ = _first(bench, ways, -inf)
    assert free is not None
    best, most = (free, -inf) if least_touching is None else _first(bench, ways, least_touching)
    keeps = best is not None
    if best is None:
        best, _ = _first(bench, ways, most)
        assert best is not None
    whole = count <= ALL_OF
    bound = best.fault if whole else min(_bound(bench), best.fault)
    left = tuple(label for label in bench.labels if label not in best.ring)
    return Match(best, free, evenness(bench, tuple(range(n))), whole, keeps, bound, left)


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
    least = float(_touchings(bench.apart, np.array(places)))
    return least if isfinite(least) else None


def _touchings(apart: Floats, rings: npt.NDArray[np.int_]) -> Floats:
    """The least distance [m] of nodes on touching strips of each ring, rings along the last axis."""
    return np.asarray(apart[rings, np.roll(rings, 1, axis=-1)].min(axis=-1))


@dataclass(frozen=True, slots=True, eq=False)
class _Ways:
    """Every ring to look at: ``chosen[way]`` names the ``parts`` of a way, ``orders`` how its strips may stand.

    All rings of a way share its ``faults`` [m]; ``order`` has the ways of the least fault first.
    """

    parts: npt.NDArray[np.int_]
    chosen: npt.NDArray[np.int_]
    orders: npt.NDArray[np.int_]
    faults: Floats
    order: npt.NDArray[np.intp]

    def rings(self, ways: npt.NDArray[np.intp]) -> npt.NDArray[np.int_]:
        """The rings of some ways (way, order, place)."""
        strips = self.parts[self.chosen[ways]].reshape(len(ways), -1)
        return strips[:, self.orders]


def _first(bench: Bench, ways: _Ways, least: float) -> tuple[Evenness | None, float]:
    """Of the evenest rings that keep the distance [m] the one whose nodes lie best, then the truest; None where there
    is none, with the most that any ring keeps.
    """
    most = -inf
    for start in range(0, len(ways.order), CHUNK):
        part = ways.order[start : start + CHUNK]
        rings, faults = ways.rings(part), ways.faults[part]
        nodes = np.zeros(rings.shape[:2]) if bench.apart is None else _touchings(bench.apart, rings)
        most = max(most, float(nodes.max()))
        fit = nodes >= least - SAME
        keeping = np.flatnonzero(fit.any(axis=1))
        if len(keeping):
            even = fit & (faults <= faults[keeping[0]] + SAME)[:, None]
            widest = np.argwhere(even & (nodes >= nodes[even].max() - SAME))[:MOST_EQUAL]
            judged = [evenness(bench, tuple(rings[way, turn].tolist())) for way, turn in widest]
            return min(judged, key=lambda one: (one.aside, one.ring)), most
    return None, most


def _ways(bench: Bench, kept: npt.NDArray[np.intp]) -> _Ways:
    """Even sides: the fault depends on which strips stand opposite only, so pairs are chosen. Odd: every ring of every
    choice.
    """
    n = bench.sides
    if n % 2 == 0:
        parts = np.array(list(combinations(kept.tolist(), 2)))
        chosen = _disjoint(parts, n // 2)
        faults = _faults(bench.k * (bench.over[parts[:, 0]] + bench.over[parts[:, 1]]), chosen)
        orders = _opposite(n)
    else:
        parts = np.arange(len(bench.labels))[:, None]
        turned = np.array([(0, *rest) for rest in permutations(range(1, n)) if rest[0] < rest[-1]])
        chosen = np.array(list(combinations(kept.tolist(), n)))[:, turned].reshape(-1, n)
        faults = _faults_of_rings(bench, chosen)
        orders = np.arange(n)[None, :]
    return _Ways(parts, chosen, orders, faults, np.argsort(faults, kind="stable"))


def _opposite(n: int) -> npt.NDArray[np.int_]:
    """How n/2 pairs of strips, side by side in a row, may stand opposite round the ring: each ring once up to turning
    and turning over, 1 of two pairs and 4 of three.
    """
    flips = [(0, 0)] if n == 4 else [(0, *flip) for flip in product((0, 1), repeat=n // 2 - 1)]
    near = [[2 * pair + side for pair, side in enumerate(flip)] for flip in flips]
    return np.array([[*ring, *(place ^ 1 for place in ring)] for ring in near])


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


def _faults_of_rings(bench: Bench, rings: npt.NDArray[np.int_]) -> Floats:
    n = bench.sides
    faults = np.empty(len(rings))
    a, b = (np.arange(n) + (n - 1) // 2) % n, (np.arange(n) + (n + 1) // 2) % n
    for start in range(0, len(rings), CHUNK):
        over = bench.over[rings[start : start + CHUNK]]
        errors = bench.k * (over + (over[:, a] + over[:, b]) / (2 * cos(pi / n)))
        spread = errors.max(axis=1) - errors.min(axis=1)
        faults[start : start + CHUNK] = (spread + np.abs(errors.mean(axis=1))).max(axis=1)
    return faults


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

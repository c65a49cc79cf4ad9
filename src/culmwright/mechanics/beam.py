"""The beam a rod is to its mechanics: stiffness, mass and outermost fibre from the grip's front to the tip.

``s`` is arc length [m] from the grip's front, where the rod is clamped (a hand is softer than a clamp: figures hold
for a grip in a vice), to the tip. Bending in one plane, no stretch, no shear, no rotary inertia: a rod is a few
hundred times as long as thick, and what is left out goes with the square of that. A rod as drawn is the same beam in
every plane (any regular section is); one as built has two beams, one for each of its planes.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field
from math import ceil, isfinite, sqrt

import numpy as np
from numpy.typing import NDArray

from culmwright.measure.errors import BadInput

Array = NDArray[np.float64]

SAME_PLACE = 1e-9
"""Nodes nearer than this [m] are one node: a nanometre, to which places are held."""
LONGEST = 1 / 16
"""The longest element, of the beam's length [-]."""
STEEPEST = 1.25
"""The most the thickness may change over an element [-]; EI then changes by 2.4 at most."""
MOST = 4000
"""The most elements a beam is cut into: more would only cost time."""

FIVE = 0.5 * (np.polynomial.legendre.leggauss(5)[0] + 1)
WEIGHTS = 0.5 * np.polynomial.legendre.leggauss(5)[1]
"""Gauss's five points on 0 to 1 and their weights [-], exact to degree nine: EI has degree four, twice a slope four."""
THREE = 0.5 * (np.polynomial.legendre.leggauss(3)[0] + 1)
"""Three points of Gauss on 0 to 1, at which the kernels take the forces [-]."""
GAUSS = np.array([5, 8, 5]) / 18
"""Their weights [-]."""
_TO_PARABOLA = np.linalg.inv(np.vander(THREE, 3, increasing=True))
_WHOLE = np.array([1, 1 / 2, 1 / 3])
_REACH = np.array([[(1 - xi**k) / k for k in (1, 2, 3)] for xi in THREE])
"""From values at the three points to a parabola; its integral over the element, and from each point to the end."""
_AGAINST = (np.stack([np.ones(3), 2 * THREE - 1, 6 * THREE**2 - 6 * THREE + 1]) * GAUSS).T
_SQUARE = [[0, 1, 2], [1, 3, 4], [2, 4, 5]]
"""Moments against 1, L1, L2 by Gauss's rule; where the six integrals of EI stand in their matrix."""
LANES = 8
"""Elements side by side in the kernels: one vector of the widest machines, two or four of others."""
GIVEN = 18
"""Rows the kernels are given of a block of elements: ten of what it is, eight of how it leans."""
ROWS = GIVEN + 35
"""Rows of a block in all, the others for the kernels to work in."""


@dataclass(frozen=True, slots=True)
class Stretch:
    """A piece of beam without a kink or a step in it, from ``start`` to ``end`` [m] from the grip's front.

    ``stiffness`` EI of the cane at both ends [N m^2], whose fourth root, like the thickness, is linear between them;
    ``tube`` what a ferrule adds to it [N m^2]; ``void`` what a hollow inside takes of it at both ends, with a fourth
    root that is linear too; ``density`` mass per length at start, middle and end [kg/m], quadratic; ``fibre`` modulus
    times distance of the outermost cane fibre, E y at both ends [Pa m], linear.
    """

    start: float
    end: float
    stiffness: tuple[float, float]
    density: tuple[float, float, float]
    fibre: tuple[float, float] = (0.0, 0.0)
    tube: float = 0.0
    void: tuple[float, float] = (0.0, 0.0)


@dataclass(frozen=True, slots=True, eq=False)
class Beam:
    """A clamped beam cut into elements at every kink, step, point mass and ring; node 0 is the clamp.

    ``s`` [m] of the nodes; for each element ``stiffness`` (EI of the cane at both ends [N m^2]), ``tube`` [N m^2],
    ``density`` (start, middle, end [kg/m]), ``fibre`` (E y at both ends [Pa m]); ``masses`` at the nodes [kg];
    ``rings`` the nodes where the line runs through a guide, grip to tip; ``void`` what a hollow takes of EI at both
    ends [N m^2], None for none. The other arrays follow from these:
    ``h`` [m] of the elements; ``stiff``, the six integrals of EI over an element with products of 1, L1, L2
    (Legendre's polynomials of degree 1 and 2) over h^2 [N m]; ``outboard`` the mass outboard of the Gauss
    points [kg]; ``span`` which stretch of line an element lies under, -1 for none; ``room`` the first three and how it
    leans, as the kernels take them, and room for them to work in (they hold the interpreter's lock: no two do at once);
    ``compliance`` 1/EI [1/(N m^2)] and ``per_length`` mass per length [kg/m] at five Gauss points of each element.
    """

    s: Array
    stiffness: Array
    tube: Array
    density: Array
    fibre: Array
    masses: Array
    rings: tuple[int, ...] = ()
    void: Array | None = None
    h: Array = field(init=False, repr=False)
    stiff: Array = field(init=False, repr=False)
    outboard: Array = field(init=False, repr=False)
    span: NDArray[np.int64] = field(init=False, repr=False)
    room: Array = field(init=False, repr=False)
    compliance: Array = field(init=False, repr=False)
    per_length: Array = field(init=False, repr=False)

    def __post_init__(self) -> None:
        """Check what was given and work out the arrays that follow from it."""
        h = np.diff(self.s)
        if not (len(h) and np.all(h > 0) and isfinite(self.length)):
            raise BadInput("a beam needs places that go from its clamp to its tip", where="beam")
        if not (np.all(self.stiffness >= 0) and np.all(self.stiffness.max(axis=1) > 0)):
            raise BadInput("a beam needs a stiffness above zero", where="beam")
        EI = np.stack([_quartic(self.stiffness, xi) + self.tube for xi in FIVE], axis=1)
        if self.void is not None:
            EI -= np.stack([_quartic(self.void, xi) for xi in FIVE], axis=1)
            if not EI.min() > 0:
                raise BadInput("nothing of a beam's stiffness is left beside its hollow", where="beam")
        stiff, outboard = _stiffness_integrals(h, EI), _mass_outboard(h, self.density, self.masses)
        follows = {
            "h": h,
            "compliance": 1 / EI,
            "per_length": np.stack([_quadratic(self.density, xi) for xi in FIVE], axis=1),
            "stiff": stiff,
            "outboard": outboard,
            "span": _spans(len(h), self.rings),
            "room": side_by_side(self.s, stiff, outboard),
        }
        for name, array in follows.items():
            object.__setattr__(self, name, array)

    @property
    def length(self) -> float:
        """Free length L from the grip's front to the tip [m]."""
        return float(self.s[-1])

    @property
    def mass(self) -> float:
        """All mass forward of the clamp [kg]."""
        return float(_element_masses(self.h, self.density).sum() + self.masses[1:].sum())

    def stress_per_moment(self) -> tuple[Array, Array]:
        """``E y/EI`` [1/m^3] of the cane at both ends of every element: times a moment [N m] the stress [Pa]."""
        whole = self.stiffness + self.tube[:, None]
        if self.void is not None:
            whole = whole - self.void
        ratio = np.divide(self.fibre, whole, out=np.zeros_like(self.fibre), where=whole > 0)
        return ratio[:, 0], ratio[:, 1]

    def finer(self, times: int = 2) -> Beam:
        """The same beam with every element cut into equally many."""
        cut = np.linspace(0.0, 1.0, times + 1)
        low, high = np.tile(cut[:-1], len(self.h)), np.tile(cut[1:], len(self.h))
        old = np.repeat(np.arange(len(self.h)), times)
        masses = np.zeros(times * len(self.h) + 1)
        masses[::times] = self.masses
        s = np.append(self.s[old] + low * self.h[old], self.s[-1])
        return Beam(
            s,
            np.stack([_quartic(self.stiffness[old], xi) for xi in (low, high)], axis=1),
            self.tube[old],
            np.stack([_quadratic(self.density[old], xi) for xi in (low, (low + high) / 2, high)], axis=1),
            np.stack([_linear(self.fibre[old], xi) for xi in (low, high)], axis=1),
            masses,
            tuple(times * node for node in self.rings),
            None if self.void is None else np.stack([_quartic(self.void[old], xi) for xi in (low, high)], axis=1),
        )


def beam_of(
    stretches: Sequence[Stretch], masses: Iterable[tuple[float, float]] = (), rings: Iterable[float] = ()
) -> Beam:
    """A beam of ``stretches`` that follow one another from the clamp on.

    ``masses``: places [m] and masses [kg]; ``rings``: places [m] of the guides the line runs through. No element is
    longer than a sixteenth of the beam or changes its thickness by more than a quarter. Raises :class:`BadInput` for
    a place off the beam.
    """
    masses, rings = sorted(masses), sorted(rings)
    end = stretches[-1].end
    for place in (*(place for place, _ in masses), *rings):
        if not -SAME_PLACE <= place <= end + SAME_PLACE:
            raise BadInput(
                f"a place {place:g} m from the grip's front is off a beam of {end:g} m", remedy="Place it on the beam"
            )
    cuts = [place for place, _ in masses] + rings
    s: list[float] = [stretches[0].start]
    owner: list[Stretch] = []
    for one in stretches:
        inside = [x for x in cuts if one.start + SAME_PLACE < x < one.end - SAME_PLACE]
        for stop in _apart([*inside, one.end]):
            count = _elements(one, s[-1], stop, end)
            first = s[-1]
            s += [first + (stop - first) * (i + 1) / count for i in range(count - 1)] + [stop]
            owner += [one] * count
    if len(owner) > MOST:
        raise BadInput(f"a beam of {len(owner)} elements is more than is worth its time", remedy="Ask for fewer")
    places = np.array(s)
    at_nodes = np.zeros(len(s))
    for place, mass in masses:
        at_nodes[int(np.argmin(np.abs(places - place)))] += mass
    low, high = places[:-1], places[1:]
    start, length = np.array([one.start for one in owner]), np.array([one.end - one.start for one in owner])
    a, b = (low - start) / length, (high - start) / length
    stiffness, density, fibre, void = (
        np.array([getattr(one, what) for one in owner]) for what in ("stiffness", "density", "fibre", "void")
    )
    return Beam(
        places,
        np.stack([_quartic(stiffness, xi) for xi in (a, b)], axis=1),
        np.array([one.tube for one in owner]),
        np.stack([_quadratic(density, xi) for xi in (a, (a + b) / 2, b)], axis=1),
        np.stack([_linear(fibre, xi) for xi in (a, b)], axis=1),
        at_nodes,
        tuple(sorted({int(np.argmin(np.abs(places - ring))) for ring in rings} - {0})),
        np.stack([_quartic(void, xi) for xi in (a, b)], axis=1) if void.any() else None,
    )


def side_by_side(s: Array, stiff: Array, outboard: Array) -> Array:
    """Elements in blocks of LANES, row after row: h [m], the integrals of EI [N m], mass outboard [kg], how they lean.

    Those the last block has to spare are stiff and have no length. Behind the rows that are given there is room for
    the others, and behind the blocks for three diagonals.
    """
    h = np.diff(s)
    blocks = -(-len(h) // LANES)
    rows = np.zeros((ROWS, blocks * LANES))
    rows[[1, 4, 6]] = 1.0
    rows[:GIVEN, : len(h)] = np.vstack([h, stiff.T, outboard.T, *_leans(stiff, _moments(s, h, outboard))])
    return np.append(rows.reshape(ROWS, blocks, LANES).swapaxes(0, 1).ravel(), np.zeros(3 * len(s)))


def _moments(s: Array, h: Array, outboard: Array) -> Array:
    """Moments at the Gauss points of the straight beam, of 1 N across its tip and of its mass times 1 m/s^2."""
    parabola = _TO_PARABOLA @ outboard.T  # of the mass outboard, along an element
    beyond = np.append(np.cumsum((h * (_WHOLE @ parabola))[::-1])[::-1], 0.0)[1:]
    of_pull = s[-1] - (s[:-1, None] + h[:, None] * THREE)
    return np.stack([of_pull, beyond[:, None] + h[:, None] * (_REACH @ parabola).T])


def _leans(stiff: Array, moments: Array) -> Array:
    """Small bends of the beam under ``moments`` [N m]: angles at both ends of an element, its inner unknowns [rad].

    The moments of every element, against slopes of 1, L1, L2, are its integrals of EI times its three slopes.
    """
    slopes = np.linalg.solve(stiff[:, _SQUARE], np.einsum("ceq,qi->eic", moments, _AGAINST))
    ends = np.zeros((2, len(stiff) + 1))
    np.cumsum(slopes[:, 0].T, axis=1, out=ends[:, 1:])
    return np.stack([ends[:, :-1], ends[:, 1:], slopes[:, 1].T, slopes[:, 2].T], axis=1).reshape(8, -1)


def _apart(places: list[float]) -> list[float]:
    """The places, each farther from the one before than the same place; the last one stays."""
    kept: list[float] = []
    for place in places:
        if not kept or place - kept[-1] > SAME_PLACE:
            kept.append(place)
    return kept


def _elements(one: Stretch, low: float, high: float, end: float) -> int:
    """How many elements between two places of a stretch are fine enough."""
    ends = np.array([one.stiffness])
    a, b = (float(_quartic(ends, (x - one.start) / (one.end - one.start))[0]) for x in (low, high))
    thin, thick = sorted((sqrt(sqrt(a)), sqrt(sqrt(b))))
    by_taper = (thick - thin) / ((STEEPEST - 1) * max(thin, thick / 50)) if thick else 0.0
    return max(1, ceil((high - low) / (LONGEST * end) - 1e-9), ceil(by_taper - 1e-9))


def _linear(ends: Array, xi: Array | float) -> Array:
    return ends[:, 0] + (ends[:, 1] - ends[:, 0]) * xi


def _quartic(ends: Array, xi: Array | float) -> Array:
    """EI between two ends: its fourth root is linear."""
    return _linear(ends**0.25, xi) ** 4


def _quadratic(three: Array, xi: Array | float) -> Array:
    """The parabola through values at 0, 1/2 and 1."""
    a, m, b = three[:, 0], three[:, 1], three[:, 2]
    return a * (1 - xi) * (1 - 2 * xi) + 4 * m * xi * (1 - xi) + b * xi * (2 * xi - 1)


def _stiffness_integrals(h: Array, EI: Array) -> Array:
    """``int EI L_i L_j dxi / h`` for ij = 00, 01, 02, 11, 12, 22 [N m], from EI at five points: exact."""
    legendre = np.stack([np.ones(5), 2 * FIVE - 1, 6 * FIVE**2 - 6 * FIVE + 1])
    pairs = [(0, 0), (0, 1), (0, 2), (1, 1), (1, 2), (2, 2)]
    return np.stack([EI @ (WEIGHTS * legendre[i] * legendre[j]) / h for i, j in pairs], axis=1)


def _element_masses(h: Array, density: Array) -> Array:
    """Simpson's rule, exact for a parabola."""
    return h * (density[:, 0] + 4 * density[:, 1] + density[:, 2]) / 6


def _mass_outboard(h: Array, density: Array, masses: Array) -> Array:
    """Mass [kg] outboard of the three Gauss points of every element, exact."""
    beyond = np.cumsum((_element_masses(h, density) + masses[1:])[::-1])[::-1]  # outboard of each element's start
    a, m, b = density.T
    return np.stack(
        [beyond - h * (a * xi + (4 * m - 3 * a - b) * xi**2 / 2 + (2 * a - 4 * m + 2 * b) * xi**3 / 3) for xi in THREE],
        axis=1,
    )


def _spans(elements: int, rings: tuple[int, ...]) -> NDArray[np.int64]:
    """Number of the stretch of line over each element: 0 from the clamp to the first ring; -1 beyond the last."""
    span = np.full(elements, -1, np.int64)
    for number, (low, high) in enumerate(zip((0, *rings), rings, strict=False)):
        span[low:high] = number
    return span

"""What the faces of a rod are made out from, as independent sources of doubt, and flats put together with them.

A face is its strip's enamel less what was scraped off it, ``a = e - f``, so the two go against each other before any
flat is read: ``cov(f, a) = -cov(f, f)``. A flat reads ``y = H a + G f`` with an error of covariance ``R``. For any gain
``K`` of faces and ``L`` of scraping, the estimate ``a + K (y - H a - G f)`` has the covariance ``C - K P - P' K' + K S
K'`` with ``P = cov(y, a)`` and ``S = cov(y, y)`` (P. D. Joseph's form; R. S. Bucy, P. D. Joseph, *Filtering for
Stochastic Processes* (1968), from memory), least where ``K = P' S^-1`` (Gauss and Markov; R. E. Kalman, *J. Basic Eng.*
82 (1960) 35). Draws take the same gains, so that they have the covariance stated whatever the gains are.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import sqrt

import numpy as np
from numpy.typing import NDArray

from culmwright.mechanics.beam import Array


@dataclass(frozen=True, slots=True, eq=False)
class Sources:
    """Doubt of the enamel, ``reading`` [m] of each strip and ``common`` [m] to many; and of what was scraped off it,
    ``each`` [m] by itself and ``steps`` [m] alike for a section or for all. One place after the other, node by node.
    """

    reading: Array
    common: tuple[Array, ...]
    each: Array
    steps: tuple[Array, ...]

    @property
    def scraped(self) -> Array:
        """Covariance of what was scraped off [m^2]."""
        return _covariance(self.each, self.steps)

    @property
    def faces(self) -> Array:
        """Covariance of faces [m^2]: of the enamel, and of what was scraped off it."""
        return _covariance(self.reading, self.common) + self.scraped

    def draw(self, random: np.random.Generator, count: int) -> tuple[Array, Array]:
        """``count`` shifts of faces and of what was scraped off them [m], that go with one another."""
        enamel = _draw(random, count, self.reading, self.common)
        scraped = _draw(random, count, self.each, self.steps)
        return enamel - scraped, scraped


@dataclass(frozen=True, slots=True, eq=False)
class FlatsRead:
    """Flats measured: how much of each face ``H`` and of what was scraped off it ``G`` each reads [-], how far ``off``
    they are of what the strips gave [m], of which section (``owner``), and their doubt [m]: ``own`` and ``common``.
    """

    H: Array
    G: Array
    off: Array
    owner: NDArray[np.int64]
    own: float
    common: float

    def before(self, sources: Sources) -> tuple[Array, Array, Array]:
        """Covariances [m^2] of what flats are to read with faces, with what was scraped off, and with one another."""
        C, F = sources.faces, sources.scraped
        with_faces, with_scraped = self.H @ C - self.G @ F, (self.G - self.H) @ F
        own = self.own**2 * np.eye(len(self.off)) + self.common**2
        return with_faces, with_scraped, with_faces @ self.H.T + with_scraped @ self.G.T + own


@dataclass(frozen=True, slots=True, eq=False)
class Together:
    """Strips and flats put together: shifts of ``faces`` and of what was ``scraped`` off [m], their covariances [m^2],
    ``mixed`` that of scraping with faces; with the ``gains`` of both for drawing rods.
    """

    sources: Sources
    flats: FlatsRead
    gains: tuple[Array, Array]
    faces: Array
    scraped: Array
    C: Array
    F: Array
    mixed: Array

    def draw(self, random: np.random.Generator, count: int) -> tuple[Array, Array]:
        """``count`` shifts of faces and of what was scraped off [m] about the estimate."""
        faces, scraped = self.sources.draw(random, count)
        if not len(self.flats.off):
            return faces, scraped
        flats = self.flats
        errors = random.standard_normal((count, len(flats.off))) * flats.own
        errors += even(random, count)[:, None] * flats.common
        off = errors - faces @ flats.H.T - scraped @ flats.G.T
        return faces + off @ self.gains[0].T, scraped + off @ self.gains[1].T


def put_together(sources: Sources, flats: FlatsRead, owner: NDArray[np.int64], alone: frozenset[int]) -> Together:
    """``flats`` [m] put in by least squares, those of the sections ``alone`` into their own section only, which takes
    no others; ``owner`` the section of each place.
    """
    with_faces, with_scraped, S = flats.before(sources)
    K, L = np.zeros((len(owner), len(flats.off))), np.zeros((len(owner), len(flats.off)))
    by_itself = list(alone)
    for some in (None, *by_itself):
        rows = np.flatnonzero(~np.isin(owner, by_itself) if some is None else owner == some)
        of = np.flatnonzero(~np.isin(flats.owner, by_itself) if some is None else flats.owner == some)
        if len(of):
            inner = S[np.ix_(of, of)]
            for gain, mixed in ((K, with_faces), (L, with_scraped)):
                gain[np.ix_(rows, of)] = np.linalg.solve(inner, mixed[np.ix_(of, rows)]).T
    C = sources.faces - K @ with_faces - with_faces.T @ K.T + K @ S @ K.T
    F = sources.scraped - L @ with_scraped - with_scraped.T @ L.T + L @ S @ L.T
    mixed = -sources.scraped - L @ with_faces - with_scraped.T @ K.T + L @ S @ K.T
    return Together(sources, flats, (K, L), K @ flats.off, L @ flats.off, (C + C.T) / 2, (F + F.T) / 2, mixed)


def even(random: np.random.Generator, count: int) -> Array:
    """``count`` numbers even between two limits, of mean 0 and standard deviation 1 [-] (JCGM 101:2008, 6.4.2)."""
    return random.uniform(-sqrt(3), sqrt(3), count)


def _covariance(own: Array, common: tuple[Array, ...]) -> Array:
    return sum((np.outer(one, one) for one in common), np.diag(own**2))


def _draw(random: np.random.Generator, count: int, own: Array, common: tuple[Array, ...]) -> Array:
    shifts = random.standard_normal((count, len(own))) * own
    for each in common:
        shifts += even(random, count)[:, None] * each
    return np.asarray(shifts)

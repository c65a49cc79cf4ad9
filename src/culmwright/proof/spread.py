"""The spread of figures, both ways: first order by the law of propagation (JCGM 100:2008, 5.2) and by drawing rods that
the readings could have come from (JCGM 101:2008, 7).

``u^2 = J C J'`` with the Jacobian by central differences, over faces and, where the cane of strips is known to differ
or to be graded, over its shares and what was scraped off it too; the draws give a standard deviation and the shortest
honest statement of 95 %: the interval that leaves 2.5 % on either side (JCGM 101, 7.7). Both go through one function.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from math import sqrt

import numpy as np

from culmwright.mechanics.beam import Array
from culmwright.proof.built import Built
from culmwright.proof.built_cane import BuiltCane, CaneAt
from culmwright.proof.measures import AtNodes, Yardstick, pairs

COVERED = 1.959963984540054
"""Standard deviations to either side that hold 95 % of a normal distribution [-]."""
DRAWS = 10_000
"""Rods drawn for a proof [-]."""
CHUNK = 1_000
"""Rods drawn at once [-], so that they fit the machine's cache and the progress is seen."""
NUDGE = 1e-7
"""By how much a face is moved for a derivative [m]."""

Progress = Callable[[float], None]


@dataclass(frozen=True, slots=True, eq=False)
class Spread:
    """Spread of an array of figures, all in their own units [SI]: ``first`` the standard uncertainty by first order,
    ``drawn`` that of the draws, ``low`` and ``high`` the ends of the 95 % interval. Without draws the three follow from
    ``first``.
    """

    value: Array
    first: Array
    drawn: Array
    low: Array
    high: Array


@dataclass(frozen=True, slots=True, eq=False)
class Spreads:
    """Spread of everything: ``nodes`` each node's figures [SI] (in the order of :class:`AtNodes`, directions in the
    middle), ``whole`` those of the whole rod [SI]; ``spine`` covariance [-] of the whole's u and v, ``node_spine`` that
    by node.
    """

    nodes: Spread
    whole: Spread
    spine: Array
    node_spine: Array
    draws: int


def spreads(
    built: Built,
    yard: Yardstick,
    modulus_share: float = 0.0,
    draws: int = DRAWS,
    seed: int = 1,
    progress: Progress | None = None,
) -> Spreads:
    """The spread of every figure of ``built`` by ``yard``, with ``draws`` rods drawn, none for first order alone.

    ``modulus_share`` [-] is the standard uncertainty of the modulus over itself, where built and drawn differ in it.
    ``progress`` hears the share done [-].
    """
    strips = built.faces.shape[-1]
    uneven = np.repeat(built.uneven, strips)
    at = _stacked(yard.at_nodes(built.faces))
    whole = yard.whole(built.faces)
    J_node, J_whole = _jacobians(built, yard)
    C = covariance_of(built)
    C_whole = C + np.diag(np.pad(uneven, (0, len(C) - len(uneven))) ** 2)
    first_at = np.sqrt(np.maximum(np.einsum("jfa,ab,jfb->jf", J_node, C, J_node, optimize=True), 0.0))
    E = (yard.whole(built.faces, 1 + NUDGE) - whole) / NUDGE * modulus_share
    covariance = J_whole @ C_whole @ J_whole.T + np.outer(E, E)
    first_whole = np.sqrt(np.maximum(np.diag(covariance), 0.0))
    first_at[:, _EI(strips)] = np.hypot(first_at[:, _EI(strips)], at[:, _EI(strips)] * modulus_share)
    uv = J_node[:, -2:]
    node_spine = np.einsum("jfa,ab,jgb->jfg", uv, C, uv, optimize=True)
    if not draws:
        return Spreads(_normal(at, first_at), _normal(whole, first_whole), covariance[-2:, -2:], node_spine, 0)
    random = np.random.default_rng(seed)
    many_at, many_whole = [], []
    for start in range(0, draws, CHUNK):
        count = min(CHUNK, draws - start)
        faces, cane = built.draw_both(random, count)
        wavy = faces + random.standard_normal(faces.shape) * built.uneven[:, None]
        scale = 1 + modulus_share * random.standard_normal(count)
        drawn_at = _stacked(yard.at_nodes(faces, cane))
        drawn_at[..., _EI(strips)] *= scale[:, None]
        many_at.append(drawn_at)
        many_whole.append(yard.whole(wavy, scale, cane))
        if progress is not None:
            progress((start + count) / draws)
    return Spreads(
        _of_draws(at, first_at, np.concatenate(many_at)),
        _of_draws(whole, first_whole, np.concatenate(many_whole)),
        covariance[-2:, -2:],
        node_spine,
        draws,
    )


def _stacked(at: AtNodes) -> Array:
    """Node figures along the last axis: across, directions, EI, stress, u, v."""
    return np.concatenate(
        [at.across[..., None], at.directions, *(one[..., None] for one in (at.EI, at.stress, at.u, at.v))], -1
    )


def _EI(strips: int) -> int:
    return 1 + pairs(strips)


def _jacobians(built: Built, yard: Yardstick) -> tuple[Array, Array]:
    """Derivatives of node and whole figures by every face [SI/m], by central differences; then by every share of a
    strip's cane [SI], and by what was scraped off every face [SI/m], where the rod's cane has them.
    """
    faces = built.faces
    moved = NUDGE * np.eye(faces.size).reshape(faces.size, *faces.shape)
    steps: list[tuple[tuple[Array, CaneAt | None], tuple[Array, CaneAt | None]]] = [
        ((faces + moved, None), (faces - moved, None))
    ]
    if built.cane is not None:
        for up, down in _cane_moved(built.cane):
            many = np.broadcast_to(faces, np.broadcast_shapes(up.share.shape, up.scraped.shape))
            steps.append(((many, up), (many, down)))
    J_at = [(_stacked(yard.at_nodes(*up)) - _stacked(yard.at_nodes(*down))) / (2 * NUDGE) for up, down in steps]
    J_whole = [(yard.whole(up, 1.0, a) - yard.whole(down, 1.0, b)) / (2 * NUDGE) for (up, a), (down, b) in steps]
    return np.moveaxis(np.concatenate(J_at), 0, -1), np.concatenate(J_whole).T


def _cane_moved(cane: BuiltCane) -> list[tuple[CaneAt, CaneAt]]:
    """The cane of a rod with each share, then each face's scraping, a little more and a little less."""
    shares, scraped = cane.section_shares, cane.at.scraped
    each = NUDGE * np.eye(shares.size).reshape(shares.size, *shares.shape)
    found = [(cane.with_shares(shares + each), cane.with_shares(shares - each))]
    if len(cane.scraped):
        each = NUDGE * np.eye(scraped.size).reshape(scraped.size, *scraped.shape)
        found.append((cane.at._replace(scraped=scraped + each), cane.at._replace(scraped=scraped - each)))
    return found


def covariance_of(built: Built) -> Array:
    """Covariance [SI] of all that figures are made of: faces, shares of the strips' cane, what was scraped off."""
    cane, C = built.cane, built.covariance
    if cane is None:
        return C
    faces, shares = len(C), len(cane.shares)
    count = faces + shares + len(cane.scraped)
    whole = np.zeros((count, count))
    whole[:faces, :faces] = C
    whole[faces : faces + shares, faces : faces + shares] = cane.shares
    if len(cane.scraped):
        whole[faces + shares :, faces + shares :] = cane.scraped
        whole[faces + shares :, :faces] = cane.mixed
        whole[:faces, faces + shares :] = cane.mixed.T
    return whole


def _normal(value: Array, first: Array) -> Spread:
    return Spread(value, first, first, value - COVERED * first, value + COVERED * first)


def _of_draws(value: Array, first: Array, many: Array) -> Spread:
    low, high = np.quantile(many, [0.025, 0.975], axis=0)
    return Spread(value, first, many.std(axis=0, ddof=1), low, high)


def told(size_u: float, size_v: float, covariance: Array) -> tuple[bool, float]:
    """Whether a spine of components ``size_u``, ``size_v`` [-] is more than the readings' doubt, and its standard
    uncertainty [-] along itself.

    ``(u, v) C^-1 (u, v)'`` beyond the 95 % point of chi square; four sides have one component only.
    """
    values, vectors = np.linalg.eigh(covariance)
    least = 1e-9 * max(float(values.max()), 1e-300)
    kept = values > least
    along = np.array([size_u, size_v]) @ vectors
    square = float(np.sum(along[kept] ** 2 / values[kept]))
    size = float(np.hypot(size_u, size_v))
    toward = np.array([size_u, size_v]) / size if size else np.array([1.0, 0.0])
    u = sqrt(max(float(toward @ covariance @ toward), 0.0))
    limit = {0: np.inf, 1: COVERED**2, 2: 5.991464547107979}[int(kept.sum())]
    return square > limit, u

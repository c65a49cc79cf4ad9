"""Compiled kernels of the rod's small vibrations: flexibility on Gauss points, and Lanczos's recurrence on it.

A mode is a load that bends the rod into its own likeness: ``w = omega^2 G m w``, G what a load per length does to the
rod at rest. G is four integrals in a row,

    V = int_s^L f ds,  M = int_s^L V ds,  theta = int_0^s M/EI ds,  w = int_0^s theta ds,

each done on an element by the polynomial through its Gauss points. For those ``int g (int_0 f) = int f (int^1 g)``
holds to the last digit, so that the discrete G is self-adjoint as G is. Nothing is differentiated and no large system
is solved: a finer grid never makes it worse.
"""

from __future__ import annotations

from math import hypot, sqrt
from typing import Any

import numpy as np

from culmwright.mechanics.compiling import compiled, compiled_sum

Array = Any  # numba compiles for the float arrays it is given

POINTS = 5
"""Gauss points of an element."""
WANTED = 4
STEPS = 40
"""The most steps of Lanczos: a dozen find four modes of a rod."""
ROTATIONS = 60
"""The most shifts for one eigenvalue of the tridiagonal matrix: two are usual."""
RESIDUAL = 1e-6
"""A mode is found when its residual is this share of it; the eigenvalue is then off by the square of that."""


@compiled
def _deflect(
    h: Array, compliance: Array, weight: Array, inward: Array, outward: Array, load: Array, out: Array
) -> None:
    """``out = G load``. Both hold the values at all Gauss points, element by element, then those at the nodes.

    At Gauss points a load is a force per length, at nodes a force. ``inward`` and ``outward`` integrate from the
    far end of an element to each point and from its near end.
    """
    elements = len(h)
    nodes = elements * POINTS
    shear = moment = 0.0
    turn = np.empty((elements, POINTS))
    inner = np.empty(POINTS)
    for e in range(elements - 1, -1, -1):
        shear += load[nodes + e + 1]
        more = 0.0
        for i in range(POINTS):
            inner[i] = shear
            for j in range(POINTS):
                inner[i] += h[e] * inward[i, j] * load[e * POINTS + j]
            more += h[e] * weight[i] * load[e * POINTS + i]
        rise = 0.0
        for i in range(POINTS):
            turn[e, i] = moment
            for j in range(POINTS):
                turn[e, i] += h[e] * inward[i, j] * inner[j]
            turn[e, i] *= compliance[e, i]
            rise += h[e] * weight[i] * inner[i]
        shear += more
        moment += rise
    slope = place = 0.0
    out[nodes] = 0.0
    for e in range(elements):
        more = 0.0
        for i in range(POINTS):
            inner[i] = slope
            for j in range(POINTS):
                inner[i] += h[e] * outward[i, j] * turn[e, j]
            more += h[e] * weight[i] * turn[e, i]
        rise = 0.0
        for i in range(POINTS):
            out[e * POINTS + i] = place
            for j in range(POINTS):
                out[e * POINTS + i] += h[e] * outward[i, j] * inner[j]
            rise += h[e] * weight[i] * inner[i]
        slope += more
        place += rise
        out[nodes + e + 1] = place


@compiled_sum
def _dot(a: Array, b: Array) -> float:
    """The sum of products, in whatever order is fast."""
    total = 0.0
    for i in range(len(a)):
        total += a[i] * b[i]
    return total


@compiled
def _eigen(diagonal: Array, beside: Array, vectors: Array) -> bool:
    """Eigenvalues of a symmetric tridiagonal matrix, into ``diagonal``, and eigenvectors, columns of ``vectors``.

    QL with Wilkinson's shift: a bulge is chased up by plane rotations until the last value beside is nothing.
    """
    size = len(diagonal)
    vectors[:] = 0.0
    for i in range(size):
        vectors[i, i] = 1.0
    for first in range(size):
        for _ in range(ROTATIONS):
            last = first
            while last < size - 1 and abs(beside[last]) > 1e-16 * (abs(diagonal[last]) + abs(diagonal[last + 1])):
                last += 1
            if last == first:
                break
            half = (diagonal[first + 1] - diagonal[first]) / (2 * beside[first])
            root = hypot(half, 1.0)
            g = diagonal[last] - diagonal[first] + beside[first] / (half + (root if half >= 0 else -root))
            sine = cosine = 1.0
            carried = 0.0
            for i in range(last - 1, first - 1, -1):
                f, b = sine * beside[i], cosine * beside[i]
                r = hypot(f, g)
                beside[i + 1] = r
                sine, cosine = f / r, g / r
                g = diagonal[i + 1] - carried
                r = (diagonal[i] - g) * sine + 2 * cosine * b
                carried = sine * r
                diagonal[i + 1] = g + carried
                g = cosine * r - b
                for k in range(size):
                    f = vectors[k, i + 1]
                    vectors[k, i + 1] = sine * vectors[k, i] + cosine * f
                    vectors[k, i] = cosine * vectors[k, i] - sine * f
            diagonal[first] -= carried
            beside[first] = g
            beside[last] = 0.0
        else:
            return False
    return True


@compiled
def lowest_modes(
    h: Array,
    compliance: Array,
    density: Array,
    masses: Array,
    weight: Array,
    inward: Array,
    outward: Array,
) -> tuple[int, Array, Array]:
    """Up to four lowest modes: how many, their omega^2 [1/s^2], and their deflection at the nodes.

    Lanczos: ``G m v_k = beta_k v_k-1 + alpha_k v_k + beta_k+1 v_k+1``, each v orthogonal, mass-weighted, to all before.
    The greatest eigenvalues of the tridiagonal matrix of alpha and beta are 1/omega^2.
    """
    elements = len(h)
    nodes = elements * POINTS
    size = nodes + elements + 1
    root = np.empty(size)  # of the mass that goes with each value: values times it are orthogonal as they stand
    inertia = np.empty(size)  # mass per length, or mass, over that root: makes a load of such a value
    for e in range(elements):
        for i in range(POINTS):
            root[e * POINTS + i] = sqrt(density[e, i] * h[e] * weight[i])
            inertia[e * POINTS + i] = sqrt(density[e, i] / (h[e] * weight[i]))
    root[nodes:] = np.sqrt(masses)
    inertia[nodes:] = root[nodes:]
    basis, deflected = np.empty((STEPS + 1, size)), np.empty((STEPS, size))
    alpha, beta = np.zeros(STEPS), np.zeros(STEPS + 1)
    load, new = np.ones(size), np.empty(size)
    load[nodes:] = 0.0
    _deflect(h, compliance, weight, inward, outward, load, new)
    new *= root
    basis[0] = new / sqrt(_dot(new, new))
    found, done = 0, 0
    values, vectors = np.empty(0), np.empty((0, 0))
    for k in range(STEPS):
        for i in range(size):
            load[i] = inertia[i] * basis[k, i]
        _deflect(h, compliance, weight, inward, outward, load, deflected[k])
        for i in range(size):
            new[i] = root[i] * deflected[k, i]
        alpha[k] = _dot(new, basis[k])
        for j in range(k, -1, -1):
            along = _dot(new, basis[j])
            for i in range(size):
                new[i] -= along * basis[j, i]
        beta[k + 1] = sqrt(_dot(new, new))
        done = k + 1
        ended = beta[k + 1] < 1e-13 * alpha[0] or done == STEPS
        if ended or (done >= 2 * WANTED and done % 2 == 0):
            values, vectors = alpha[:done].copy(), np.empty((done, done))
            beside = np.zeros(done)
            beside[: done - 1] = beta[1:done]
            if not _eigen(values, beside, vectors):
                return 0, values, vectors
            order = np.argsort(-values)
            values, vectors = values[order], vectors[:, order]
            found = 0
            while found < min(WANTED, done) and (
                beta[k + 1] * abs(vectors[done - 1, found]) <= RESIDUAL * values[found] and values[found] > 0
            ):
                found += 1
            if ended or found == WANTED:
                break
        basis[k + 1] = new / beta[k + 1]
    shapes = np.zeros((found, elements + 1))
    for i in range(found):
        for j in range(done):
            shapes[i] += vectors[j, i] * deflected[j, nodes:]
    return found, 1 / values[:found], shapes

"""The potential of the bent rod in plain numpy, slow and dense: what the compiled kernels must agree with.

Written from the potential alone: unknowns are the angles at the nodes but the first and two inner ones an element.
Nothing is eliminated, the line's part is added as it stands, and no loop is unrolled.
"""

from __future__ import annotations

import numpy as np

POINTS = (np.polynomial.legendre.leggauss(3)[0] + 1) / 2
WEIGHTS = np.polynomial.legendre.leggauss(3)[1] / 2
SHAPES = np.array([[1 - x, x, x**2 - x, 2 * x**3 - 3 * x**2 + x] for x in POINTS])


def unknowns(elements: int) -> np.ndarray:
    """For each element the places of theta_a, theta_b, c1, c2 in the vector of all."""
    e = np.arange(elements)
    return np.stack([e, e + 1, elements + 1 + 2 * e, elements + 2 + 2 * e], axis=1)


def bending(beam, e: int) -> np.ndarray:
    """``int EI phi_i' phi_j' ds``, with slopes -1, 1, L1, L2 over h."""
    i00, i01, i02, i11, i12, i22 = beam.stiff[e]
    legendre = np.array([[i00, i01, i02], [i01, i11, i12], [i02, i12, i22]])
    slopes = np.array([[-1, 0, 0], [1, 0, 0], [0, 1, 0], [0, 0, 1]])
    return slopes @ legendre @ slopes.T


def tangents(beam, z):
    angle = SHAPES @ z[unknowns(len(beam.h))].T  # point, element
    return np.stack([np.cos(angle), np.sin(angle)])


def spans_of(beam, load):
    return beam.span if load[4] > 0 else np.full(len(beam.h), -1)


def chords(beam, load, z):
    t = tangents(beam, z)
    span = spans_of(beam, load)
    pieces = np.einsum("q,cqe,e->ce", WEIGHTS, t, beam.h)
    return np.array([pieces[:, span == i].sum(axis=1) for i in range(span.max() + 1)]).reshape(-1, 2)


def potential(beam, load, z) -> float:
    """V, with the work of weight and pull as the integral of ``F . t``."""
    dofs = unknowns(len(beam.h))
    t = tangents(beam, z)
    total = sum(0.5 * z[dofs[e]] @ bending(beam, e) @ z[dofs[e]] for e in range(len(beam.h)))
    span = spans_of(beam, load)
    for e in range(len(beam.h)):
        for q in range(3):
            force = np.array([load[1], load[2] - load[3] * beam.outboard[e, q]])
            if span[e] >= 0:
                force = force + load[5:7]
            total -= WEIGHTS[q] * beam.h[e] * force @ t[:, q, e]
    total += load[4] * sum(np.linalg.norm(chord) for chord in chords(beam, load, z))
    return total - load[7] * z[len(beam.h)]


def step(beam, load, z):
    """Gradient and matrix of V by hand, and Newton's step with the first angle held."""
    elements = len(beam.h)
    dofs = unknowns(elements)
    gradient, matrix = np.zeros(len(z)), np.zeros((len(z), len(z)))
    gradient[elements] -= load[7]
    t = tangents(beam, z)
    n = np.stack([-t[1], t[0]])
    span = spans_of(beam, load)
    lines = chords(beam, load, z)
    lever = np.zeros((len(lines), len(z)))
    for e in range(elements):
        k = bending(beam, e)
        gradient[dofs[e]] += k @ z[dofs[e]]
        matrix[np.ix_(dofs[e], dofs[e])] += k
        for q in range(3):
            force = np.array([load[1], load[2] - load[3] * beam.outboard[e, q]])
            weight = WEIGHTS[q] * beam.h[e] * SHAPES[q]
            if span[e] >= 0:
                chord = lines[span[e]]
                u = chord / np.linalg.norm(chord)
                force = force + load[5:7] - load[4] * u
                lever[span[e], dofs[e]] += weight * (np.array([-u[1], u[0]]) @ n[:, q, e])
            gradient[dofs[e]] -= weight * (force @ n[:, q, e])
            matrix[np.ix_(dofs[e], dofs[e])] += np.outer(weight, SHAPES[q]) * (force @ t[:, q, e])
    for chord, row in zip(lines, lever, strict=True):
        matrix += load[4] / np.linalg.norm(chord) * np.outer(row, row)
    delta = np.zeros(len(z))
    delta[1:] = np.linalg.solve(matrix[1:, 1:], -gradient[1:])
    return delta, bool(np.linalg.eigvalsh(matrix[1:, 1:]).min() > 0), gradient


def packed(theta, bubble):
    return np.concatenate([theta, bubble.ravel()])


def held_back(delta, elements: int):
    """A step that would turn a node by more than 1 rad is bent over towards 1.57 rad, the inner unknowns with it."""
    nodes = delta[: elements + 1]
    if np.abs(nodes).max() <= 1.0:
        return delta
    inner = delta[elements + 1 :].reshape(elements, 2)
    mean = (nodes[:-1] + nodes[1:]) / 2
    slope = (1 + (mean / 1.57) ** 2) ** -1.5
    return packed(nodes / np.sqrt(1 + (nodes / 1.57) ** 2), inner * slope[:, None])

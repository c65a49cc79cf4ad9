"""Many rods at once that differ a little from one: what the scatter of a shop's strips does to how rods bend."""

from __future__ import annotations

import os
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass, replace
from itertools import pairwise
from math import sin

import numpy as np
from numpy.typing import NDArray

from culmwright.measure.errors import AnswerIsNo, BadInput
from culmwright.mechanics import _many_kernels
from culmwright.mechanics.beam import FIVE, WEIGHTS, Array, Beam
from culmwright.mechanics.statics import Load, bend_beam

THINNEST, THICKEST = 0.2, 5.0
"""How many times as thick as the nominal rod one may be [-]; beyond, it is another rod."""
SHARED_OUT = 64
"""From this many rods on, the work is shared out to threads."""


@dataclass(frozen=True, slots=True, eq=False)
class ManyBent:
    """Many rods at rest under one load, each a row of the arrays; axes as of one bent rod.

    ``angle`` [rad] and ``moment`` [N m] at the nodes of ``beam``, ``x`` and ``y`` [m] of the tips; ``residual`` the
    last step of Newton [rad], whose square is of the order of what is left; ``settled`` is False for a rod no rest was
    found for, whose figures are not a number.
    """

    beam: Beam
    load: Load
    thickness: Array
    angle: Array
    moment: Array
    x: Array
    y: Array
    residual: Array
    settled: NDArray[np.bool_]

    @property
    def tip_drop(self) -> Array:
        """The straight rod's tip less the bent tip, in height [m]."""
        return self.beam.length * sin(self.load.attitude) - self.y

    @property
    def tip_angle(self) -> Array:
        """Turn of the tips from the grip's axis, downward positive [rad]."""
        return self.load.attitude - self.angle[:, -1]


def bend_many(beam: Beam, load: Load, thickness: Array, modulus: Array | None = None) -> ManyBent:
    """Rods like ``beam`` but ``thickness`` times as thick at its nodes (rods x nodes [-]), each at rest under ``load``.

    Between nodes the thickness is a straight line, EI goes with its fourth power and the mass spread along the rod
    with its square; ``modulus`` [-] multiplies the cane's EI of each rod. Point masses, tubes and walls of a hollow
    stay. Each starts from the rest of the nominal rod; those that do not settle from there are bent one by one.
    Raises :class:`BadInput` for arrays that do not fit, and for a line through the guides, which is not done here.
    """
    thickness = np.ascontiguousarray(thickness, dtype=np.float64)
    rods = len(thickness)
    modulus = np.ones(rods) if modulus is None else np.ascontiguousarray(modulus, dtype=np.float64)
    _check(beam, load, thickness, modulus)
    nominal = bend_beam(beam, load)
    angle, moment = np.empty_like(thickness), np.empty_like(thickness)
    tip, residual = np.empty((rods, 2)), np.empty(rods)
    vector = load.vector()
    kernel_load = np.array([vector[1], vector[2], vector[3], vector[7]])
    roots = beam.stiffness**0.25
    voids = np.zeros_like(roots) if beam.void is None else beam.void**0.25

    def part(rows: slice) -> None:
        _many_kernels.many_rests(
            *(beam.h, roots, voids, beam.tube, beam.density, beam.masses, FIVE, WEIGHTS, kernel_load, nominal.state),
            *(thickness[rows], modulus[rows], angle[rows], moment[rows], tip[rows], residual[rows]),
        )

    workers = min(os.cpu_count() or 1, max(rods // SHARED_OUT, 1))
    if workers == 1:
        part(slice(None))
    else:
        edges = np.linspace(0, rods, workers + 1).astype(int) // _many_kernels.LANES * _many_kernels.LANES
        edges[-1] = rods
        with ThreadPoolExecutor(workers) as pool:
            list(pool.map(part, (slice(a, b) for a, b in pairwise(edges.tolist()))))
    settled = (residual < _many_kernels.SETTLED) & np.isfinite(tip[:, 0])
    for rod in np.flatnonzero(~settled):
        try:
            bent = bend_beam(one_of(beam, thickness[rod], float(modulus[rod])), load)
        except AnswerIsNo:
            angle[rod], moment[rod], tip[rod], residual[rod] = np.nan, np.nan, np.nan, np.nan
            continue
        angle[rod], moment[rod], tip[rod] = bent.angle, bent.moment, (bent.x[-1], bent.y[-1])
        residual[rod], settled[rod] = 0.0, True
    return ManyBent(beam, load, thickness, angle, moment, tip[:, 0], tip[:, 1], residual, settled)


def one_of(beam: Beam, thickness: Array, modulus: float = 1.0) -> Beam:
    """The rod like ``beam`` with nodes ``thickness`` times as thick and cane ``modulus`` times as stiff [-]."""
    ends = np.stack([thickness[:-1], thickness[1:]], axis=1)
    root = beam.stiffness**0.25
    middle = (root * ends).sum(axis=1) / root.sum(axis=1)
    three = np.stack([thickness[:-1], middle, thickness[1:]], axis=1)
    void = None
    if beam.void is not None:
        hole = np.maximum(beam.void**0.25 + root * (ends - 1), 0.0)
        void = modulus * np.where((beam.void.sum(axis=1) > 0)[:, None], hole, 0.0) ** 4
    return replace(
        beam,
        stiffness=modulus * (root * ends) ** 4,
        density=beam.density * three**2,
        fibre=modulus * beam.fibre * ends,
        void=void,
    )


def _check(beam: Beam, load: Load, thickness: Array, modulus: Array) -> None:
    if load.through_guides:
        raise BadInput(
            "many rods at once carry no line in their guides", remedy="Hang the load, or bend them one by one"
        )
    if thickness.ndim != 2 or thickness.shape[1] != len(beam.s) or modulus.shape != thickness.shape[:1]:
        raise BadInput(
            f"the beam has {len(beam.s)} nodes; the rods are given as {thickness.shape} with {modulus.shape} moduli",
            where="thickness",
            remedy="Give a row for each rod with a value for each node, and a modulus for each rod",
        )
    for name, values in (("thickness", thickness), ("modulus", modulus)):
        if values.size and not (values.min() > THINNEST and values.max() < THICKEST):
            raise BadInput(
                f"a {name} is under {THINNEST:g} or over {THICKEST:g} times that of the rod it is compared with",
                where=name,
                remedy="Give ratios near 1",
            )

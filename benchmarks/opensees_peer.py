"""One rod by OpenSees: elastic beam elements with corotational frames.

Not among the tools the project needs; the comparison is left out where openseespy is not installed. Its package brings
a BLAS of its own that it does not find by itself, hence the first lines. The model is made once and not timed: what is
timed is a return to the straight rod and the way to its rest.
"""

from __future__ import annotations

from collections.abc import Sequence
from contextlib import suppress
from ctypes import CDLL, RTLD_GLOBAL
from importlib.util import find_spec
from itertools import pairwise
from pathlib import Path

import numpy as np
from peers import AREA, INERTIA, G, Rod

for bundle in getattr(find_spec("openseespylinux"), "submodule_search_locations", None) or ():
    with suppress(OSError):
        CDLL(str(Path(bundle, "lib", "libblas.so.3")), mode=RTLD_GLOBAL)
import openseespy.opensees as ops  # noqa: E402

STIFF = 1e3
"""How many times its area a section gets, so that the rod does not stretch, as ours does not."""


class OpenSeesPeer(Rod):
    """A cantilever of ``cells`` elements between two cuts, its weight at the nodes, the whole load at once.

    There is one model a process: making another undoes the one before. The load in steps, another solver for the
    matrix or a smaller tolerance take longer and leave the same error.
    """

    def __init__(
        self,
        stations: np.ndarray,
        thickness: np.ndarray,
        masses: Sequence[tuple[float, float]],
        modulus: float,
        density: float,
        pull: float,
        cells: int,
    ) -> None:
        super().__init__(stations, thickness, masses, modulus, density)
        parts = [np.linspace(a, b, cells + 1)[:-1] for a, b in pairwise(self.cuts)]
        s = np.append(np.concatenate(parts), self.cuts[-1])
        self.tip, self.straight = len(s), float(s[-1])
        a, b = self.d(s[:-1]), self.d(s[1:])
        inertia = INERTIA * 3 * a**3 * b**3 / (a**2 + a * b + b**2)  # of the mean of 1/I, I ~ d^4
        weight = G * self.density * AREA * np.diff(s) * (a**2 + a * b + b**2) / 3
        down = np.append(weight, 0.0) / 2 + np.append(0.0, weight) / 2
        for place, mass in masses:
            down[int(np.argmin(np.abs(s - place)))] += G * mass
        down[-1] += pull
        ops.wipe()
        ops.model("basic", "-ndm", 2, "-ndf", 3)
        for i, place in enumerate(s.tolist(), 1):
            ops.node(i, place, 0.0)
        ops.fix(1, 1, 1, 1)
        ops.geomTransf("Corotational", 1)
        for i, (area, second) in enumerate(zip((AREA * a * b * STIFF).tolist(), inertia.tolist(), strict=True), 1):
            ops.element("elasticBeamColumn", i, i, i + 1, area, modulus, second, 1)
        ops.timeSeries("Linear", 1)
        ops.pattern("Plain", 1, 1)
        for i, force in enumerate(down.tolist(), 1):
            ops.load(i, 0.0, -force, 0.0)
        ops.system("BandSPD")
        ops.numberer("Plain")
        ops.constraints("Plain")
        ops.test("NormDispIncr", 1e-4, 50, 0)
        ops.algorithm("Newton")
        ops.integrator("LoadControl", 1.0)
        ops.analysis("Static")

    def solve(self) -> np.ndarray:
        """Place of the tip [m]."""
        ops.reset()
        if ops.analyze(1):
            raise RuntimeError("OpenSees finds no rest")
        return np.array([self.straight + ops.nodeDisp(self.tip, 1), ops.nodeDisp(self.tip, 2)])

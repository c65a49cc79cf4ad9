"""The general tools the mechanics is timed against, each set up as well as we know how.

They share the rod and nothing else with the code under test. What does not change from call to call (weights,
stiffnesses, grids) is worked out when a peer is made and is not timed.
"""

from __future__ import annotations

from collections.abc import Sequence
from itertools import pairwise

import numpy as np
from scipy.integrate import solve_bvp
from scipy.linalg import eigh, solve_banded

G = 9.80665
AREA, INERTIA = 0.8660254, 0.0601406530


class Rod:
    """A rod between its cuts, clamp to tip: thickness, EI, mass per length and mass outboard at any place."""

    def __init__(
        self,
        stations: np.ndarray,
        thickness: np.ndarray,
        masses: Sequence[tuple[float, float]],
        modulus: float,
        density: float,
    ) -> None:
        self.stations, self.thickness, self.masses = stations, thickness, masses
        self.modulus, self.density = modulus, density
        self.cuts = np.unique(np.concatenate([stations, [place for place, _ in masses]]).round(12))

    def d(self, s: np.ndarray) -> np.ndarray:
        """Thickness [m]."""
        return np.interp(s, self.stations, self.thickness)

    def EI(self, s: np.ndarray) -> np.ndarray:
        """Bending stiffness [N m^2]."""
        return self.modulus * INERTIA * self.d(s) ** 4

    def outboard(self, s: np.ndarray) -> np.ndarray:
        """Mass [kg] beyond ``s`` [m], exact: two points of Gauss a piece; a mass at ``s`` itself counts."""
        total = np.zeros_like(s)
        for low, high in pairwise(self.cuts):
            start = np.clip(s, low, high)
            half = (high - start) / 2
            for node in (-1 / np.sqrt(3), 1 / np.sqrt(3)):
                total += half * self.density * AREA * self.d(start + half * (1 + node)) ** 2
        return total + sum(np.where(s <= place + 1e-12, mass, 0.0) for place, mass in self.masses)


class BvpPeer(Rod):
    """scipy.integrate.solve_bvp, cut at stations and masses, with both Jacobians by hand.

    Only angle and moment are unknown functions, two for each piece; the tip's place is their quadrature afterwards,
    by three points of Gauss on each of the solver's intervals. (With x and y unknown too it takes twice as long.)
    """

    def __init__(self, stations, thickness, masses, modulus, density, pull: float) -> None:  # type: ignore[no-untyped-def]
        super().__init__(stations, thickness, masses, modulus, density)
        self.pull = pull
        self.low, self.span = self.cuts[:-1, None], np.diff(self.cuts)[:, None]
        self.known: dict[bytes, tuple[np.ndarray, np.ndarray]] = {}
        size = 2 * len(self.low)
        self.ends = np.zeros((size, size)), np.zeros((size, size))
        at = np.arange(1, size - 1)
        self.ends[0][0, 0] = self.ends[1][-1, -1] = 1
        self.ends[0][at, at + 1] = 1
        self.ends[1][at, at - 1] = -1

    def _at(self, t: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
        """EI and downward force at the grid ``t`` of every piece, kept from call to call."""
        key = t.tobytes()
        if key not in self.known:
            s = self.low + self.span * t
            inside = np.clip(s, self.low + 1e-9, None)
            self.known[key] = (self.EI(s), self.pull + G * self.outboard(inside))
        return self.known[key]

    def solve(self, tolerance: float, nodes: int) -> np.ndarray:
        """Place of the tip [m]."""
        pieces = len(self.low)
        angle, moment = 2 * np.arange(pieces), 2 * np.arange(pieces) + 1

        def slopes(t, y):  # type: ignore[no-untyped-def]
            EI, down = self._at(t)
            out = np.empty_like(y)
            out[angle] = self.span * y[moment] / EI
            out[moment] = self.span * down * np.cos(y[angle])
            return out

        def jacobian(t, y):  # type: ignore[no-untyped-def]
            EI, down = self._at(t)
            whole = np.zeros((2 * pieces, 2 * pieces, len(t)))
            whole[angle, moment] = self.span / EI
            whole[moment, angle] = -self.span * down * np.sin(y[angle])
            return whole

        def ends(a, b):  # type: ignore[no-untyped-def]
            return np.concatenate([a[:1], a[2:] - b[:-2], b[-1:]])

        t = np.linspace(0, 1, nodes)
        guess = np.zeros((2 * pieces, nodes))
        guess[angle] = -(self.low + self.span * t) / self.cuts[-1]
        found = solve_bvp(slopes, ends, t, guess, fun_jac=jacobian, bc_jac=lambda a, b: self.ends, tol=tolerance)
        h = np.diff(found.x)
        points, weights = np.polynomial.legendre.leggauss(3)
        inner = (found.x[:-1, None] + h[:, None] * (points + 1) / 2).ravel()
        theta = found.sol(inner)[angle]
        share = self.span * (h[:, None] * weights / 2).ravel()
        return np.array([(share * np.cos(theta)).sum(), (share * np.sin(theta)).sum()])


class NumpyPeer(Rod):
    """Finite differences on the angle in numpy, Newton with scipy.linalg.solve_banded: second order."""

    def __init__(self, stations, thickness, masses, modulus, density, pull: float, cells: int) -> None:  # type: ignore[no-untyped-def]
        super().__init__(stations, thickness, masses, modulus, density)
        parts = [np.linspace(a, b, cells + 1)[:-1] for a, b in pairwise(self.cuts)]
        s = np.append(np.concatenate(parts), self.cuts[-1])
        self.h = np.diff(s)
        middle = (s[:-1] + s[1:]) / 2
        a, b = self.d(s[:-1]), self.d(s[1:])
        # h over the exact integral of 1/EI, EI ~ d^4, on each cell
        self.k = self.modulus * INERTIA * 3 * a**3 * b**3 / (a**2 + a * b + b**2) / self.h
        self.down = pull + G * self.outboard(middle)

    def solve(self) -> np.ndarray:
        """Place of the tip [m]."""
        theta = np.zeros(len(self.h) + 1)
        weight = self.h * self.down / 2
        banded = np.zeros((3, len(self.h)))
        for _ in range(30):
            middle = (theta[:-1] + theta[1:]) / 2
            turn = self.k * np.diff(theta)
            push = weight * np.cos(middle)
            rest = turn + push
            rest[:-1] += push[1:] - turn[1:]
            curve = -weight * np.sin(middle) / 2
            banded[1] = self.k + curve
            banded[1, :-1] += self.k[1:] + curve[1:]
            banded[0, 1:] = banded[2, :-1] = curve[1:] - self.k[1:]
            change = solve_banded((1, 1), banded, -rest, check_finite=False)
            theta[1:] += change
            if np.abs(change).max() < 1e-6:
                break
        middle = (theta[:-1] + theta[1:]) / 2
        return np.array([self.h @ np.cos(middle), self.h @ np.sin(middle)])


class EighPeer(Rod):
    """Cubic beam elements, consistent mass, scipy.linalg.eigh for the four lowest."""

    def __init__(self, stations, thickness, masses, modulus, density, cells: int) -> None:  # type: ignore[no-untyped-def]
        super().__init__(stations, thickness, masses, modulus, density)
        parts = [np.linspace(a, b, cells + 1)[:-1] for a, b in pairwise(self.cuts)]
        s = np.append(np.concatenate(parts), self.cuts[-1])
        size = 2 * len(s)
        self.K, self.M = np.zeros((size, size)), np.zeros((size, size))
        points, weights = np.polynomial.legendre.leggauss(6)
        for e, (low, high) in enumerate(pairwise(s)):
            h = high - low
            for point, weight in zip((points + 1) / 2, weights / 2, strict=True):
                x = point
                at = np.array([low + h * x])
                w = np.array(
                    [1 - 3 * x**2 + 2 * x**3, h * (x - 2 * x**2 + x**3), 3 * x**2 - 2 * x**3, h * (x**3 - x**2)]
                )
                c = np.array([-6 + 12 * x, h * (-4 + 6 * x), 6 - 12 * x, h * (6 * x - 2)]) / h**2
                block = slice(2 * e, 2 * e + 4)
                self.K[block, block] += weight * h * self.EI(at) * np.outer(c, c)
                self.M[block, block] += weight * h * self.density * AREA * self.d(at) ** 2 * np.outer(w, w)
        for place, mass in masses:
            node = 2 * int(np.argmin(np.abs(s - place)))
            self.M[node, node] += mass
        self.K, self.M = self.K[2:, 2:], self.M[2:, 2:]

    def solve(self) -> np.ndarray:
        """omega [1/s] of the four lowest modes."""
        return np.sqrt(eigh(self.K, self.M, eigvals_only=True, subset_by_index=(0, 3), check_finite=False))

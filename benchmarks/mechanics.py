"""The mechanics against general tools, ratios in one run: one rod bent, its four modes, and how cost grows.

The rod is 2.3 m of six-sided cane in nineteen stations with ten point masses, its own weight and 1 N at the tip, which
comes down by two fifths of the length. Every contestant is given the rod ready-made in the form it likes best and is
timed through the call a user would make; its error is taken against a reference that two of them agree on.
Rounds go through all of them in turn, so that a slow moment of the machine falls on all; what is printed is the
median of the ratios of a round.
"""

from __future__ import annotations

import os

os.environ["OPENBLAS_NUM_THREADS"] = "1"  # matrices this small only lose time by being shared out

from collections.abc import Callable, Sequence
from importlib.util import find_spec
from math import pi
from statistics import median
from timeit import Timer

import numpy as np
from peers import AREA, INERTIA, BvpPeer, EighPeer, NumpyPeer

from culmwright.mechanics.beam import Beam, Stretch, beam_of
from culmwright.mechanics.many import bend_many, one_of
from culmwright.mechanics.modes import first_modes
from culmwright.mechanics.statics import Load, bend_beam

ROUNDS = 15
ROUGH = 1e-5  # [rad]
LENGTH, PULL = 2.3, 1.0  # [m], [N]
STATIONS = np.linspace(0.0, LENGTH, 19)
THICKNESS = np.linspace(7.2e-3, 1.9e-3, 19) * (1 + 0.03 * np.sin(np.arange(19)))  # [m] from the clamp to the tip
MASSES = tuple((float(LENGTH * i / 10), 0.2e-3) for i in range(1, 11))  # [m], [kg]
E, RHO = 30e9, 1150.0  # [Pa], [kg/m^3]


def rod(fineness: int = 1) -> Beam:
    """The rod as our beam."""
    stretches = []
    for i in range(18):
        a, b = THICKNESS[i], THICKNESS[i + 1]
        EI = [E * 0.0601406530 * d**4 for d in (a, b)]
        m = [RHO * 0.8660254 * d**2 for d in (a, (a + b) / 2, b)]
        stretches.append(Stretch(STATIONS[i], STATIONS[i + 1], (EI[0], EI[1]), (m[0], m[1], m[2])))
    return beam_of(stretches, MASSES).finer(fineness)


def seconds(work: Callable[[], object], least: float = 0.02) -> float:
    """Time of one call [s]: the mean over as many as take ``least`` [s], without that of the clock."""
    timer, once = Timer(work), 1
    taken = timer.timeit(once)
    while taken < least / 4:  # how many to ask for at once
        once *= 2
        taken = timer.timeit(once)
    calls = max(1, round(once * least / taken))
    return timer.timeit(calls) / calls


def compare(title: str, ours: Sequence[str], contestants: dict[str, tuple[Callable[[], object], float]]) -> None:
    """Print a table of times, errors and median ratios to each of ``ours``."""
    rounds = [{name: seconds(work) for name, (work, _) in contestants.items()} for _ in range(ROUNDS)]
    heads = "".join(f" times {one}, median (least to most) |" for one in ours)
    print(f"\n### {title}\n\n| | time | error |{heads}\n| --- | --- | --- |{' --- |' * len(ours)}")
    for name, (_, error) in contestants.items():
        middle = median(each[name] for each in rounds)
        shown = f"{middle * 1e6:.1f} us" if middle < 1e-3 else f"{middle * 1e3:.2f} ms"
        told = ""
        for one in ours:
            ratios = sorted(each[name] / each[one] for each in rounds)
            told += f" {median(ratios):.3g} ({ratios[0]:.3g} to {ratios[-1]:.3g}) |"
        print(f"| {name} | {shown} | {error:.0e} |{told}")


def statics() -> None:
    """One rod bent to rest."""
    load = Load(PULL)
    beam, fine = rod(), bend_beam(rod(8), load)
    tip = np.array([fine.x[-1], fine.y[-1]])

    def error(place: np.ndarray) -> float:
        return float(np.hypot(*(place - tip)) / LENGTH)

    bent, rough = bend_beam(beam, load), bend_beam(beam, load, within=ROUGH)
    ours = ("bend_beam", f"bend_beam within {ROUGH:g} rad")
    contestants: dict[str, tuple[Callable[[], object], float]] = {
        ours[0]: (lambda: bend_beam(beam, load), error(np.array([bent.x[-1], bent.y[-1]]))),
        ours[1]: (lambda: bend_beam(beam, load, within=ROUGH), error(np.array([rough.x[-1], rough.y[-1]]))),
    }
    peer = BvpPeer(STATIONS, THICKNESS, MASSES, E, RHO, PULL)
    for label, tolerance, nodes in (("1e-3", 1e-3, 2), ("3e-4", 3e-4, 2), ("3e-5", 3e-5, 3)):
        contestants[f"scipy solve_bvp, tol {label}"] = (
            lambda tolerance=tolerance, nodes=nodes: peer.solve(tolerance, nodes),
            error(peer.solve(tolerance, nodes)),
        )
    for cells in (8, 64):
        banded = NumpyPeer(STATIONS, THICKNESS, MASSES, E, RHO, PULL, cells)
        contestants[f"numpy, solve_banded, {cells} cells a piece"] = (banded.solve, error(banded.solve()))
    if find_spec("openseespy"):
        from opensees_peer import OpenSeesPeer

        frames = OpenSeesPeer(STATIONS, THICKNESS, MASSES, E, RHO, PULL, 4)
        contestants["OpenSees, corotational, 4 elements a piece"] = (frames.solve, error(frames.solve()))
    print(f"The tip comes down by {bent.tip_drop / LENGTH:.0%} of the length.")
    compare(f"One rod bent, {len(beam.h)} elements", ours, contestants)


def modes() -> None:
    """Four modes."""
    beam = rod()
    exact = np.array([2 * pi * one.frequency for one in first_modes(rod(8))])

    def error(found: np.ndarray) -> float:
        return float(np.abs(found / exact - 1).max())

    ours = np.array([2 * pi * one.frequency for one in first_modes(beam)])
    contestants: dict[str, tuple[Callable[[], object], float]] = {
        "first_modes": (lambda: first_modes(beam), error(ours))
    }
    for cells in (1, 2, 4):
        dense = EighPeer(STATIONS, THICKNESS, MASSES, E, RHO, cells)
        contestants[f"scipy eigh, {cells} beam elements a piece"] = (dense.solve, error(dense.solve()))
    compare("Four modes", ["first_modes"], contestants)


def many() -> None:
    """Rods by the ten thousand, each a hundredth off the one they are drawn as."""
    load, beam, rng = Load(PULL), rod(), np.random.default_rng(1)
    thickness = 1 + 0.01 * rng.standard_normal((10_000, len(beam.s)))
    found = bend_many(beam, load, thickness)
    some = range(0, 10_000, 500)
    alone = [bend_beam(one_of(beam, thickness[i]).finer(4), load) for i in some]
    error = max(
        float(np.hypot(found.x[i] - one.x[-1], found.y[i] - one.y[-1])) for i, one in zip(some, alone, strict=True)
    )
    at_stations = 1 + 0.01 * rng.standard_normal((40, 19))
    peers = {
        cells: [NumpyPeer(STATIONS, THICKNESS * r, MASSES, E, RHO, PULL, cells) for r in at_stations]
        for cells in (8, 64)
    }
    beams = [one_of(beam, r) for r in thickness[:400]]
    errors = {"bend_many, 10 000 rods": error}
    by_jax = {}
    if find_spec("jax"):
        from jax_peer import jax_solver

        d, angle = np.interp(beam.s, STATIONS, THICKNESS), float(bend_beam(beam, load).angle[-1])
        for steps, passes in ((1, 3), (2, 4)):
            name = f"jax, vmap, {steps} Runge-Kutta step{'s' if steps > 1 else ''} a piece, {passes} passes"
            rods = jax_solver(beam.s, d, beam.masses, E * INERTIA, RHO * AREA, PULL, angle, steps, passes)
            by_jax[name] = rods
            tips = rods(thickness)
            errors[name] = max(
                float(np.hypot(tips[i, 0] - one.x[-1], tips[i, 1] - one.y[-1]))
                for i, one in zip(some, alone, strict=True)
            )
    rates: dict[str, list[float]] = {}
    for _ in range(ROUNDS):
        for name, rods, work in (
            ("bend_many, 10 000 rods", 10_000, lambda: bend_many(beam, load, thickness)),
            ("bend_many, 100 rods", 100, lambda: bend_many(beam, load, thickness[:100])),
            ("bend_beam, one after another", 400, lambda: [bend_beam(one, load) for one in beams]),
            ("numpy, solve_banded, 8 cells a piece", 40, lambda: [one.solve() for one in peers[8]]),
            ("numpy, solve_banded, 64 cells a piece", 40, lambda: [one.solve() for one in peers[64]]),
            *((name, 10_000, lambda rods=rods: rods(thickness)) for name, rods in by_jax.items()),
        ):
            rates.setdefault(name, []).append(rods / seconds(work))
    print("\n### Many rods\n")
    print("| | rods a second | error | bend_many's times this, median (least to most) |\n| --- | --- | --- | --- |")
    ours = rates["bend_many, 10 000 rods"]
    for name, each in rates.items():
        ratios = sorted(a / b for a, b in zip(ours, each, strict=True))
        off = f"{errors[name] / LENGTH:.0e}" if name in errors else "as above"
        print(f"| {name} | {median(each):,.0f} | {off} | {median(ratios):.3g} ({ratios[0]:.3g} to {ratios[-1]:.3g}) |")


def growth() -> None:
    """How cost grows with elements and rods."""
    print("\n### How cost grows\n\n| elements | bent | four modes |\n| --- | --- | --- |")
    for fineness in (1, 2, 4, 8, 16):
        beam = rod(fineness)
        bent, four = (
            seconds(work, 0.1) for work in (lambda b=beam: bend_beam(b, Load(PULL)), lambda b=beam: first_modes(b))
        )
        print(f"| {len(beam.h)} | {bent * 1e6:.0f} us | {four * 1e6:.0f} us |")


def main() -> None:
    """Print the tables."""
    statics()
    modes()
    many()
    growth()


if __name__ == "__main__":
    main()

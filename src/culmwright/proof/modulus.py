"""The modulus of the cane, measured: a bar or strip bent under known weights, a finished rod's bounce rate (its drops:
``proof/drops.py``); and several measurements together.

Least squares with the uncertainty of JCGM 100:2008; a measurement that does not follow the model, or two that
contradict one another, are said, and the spread is widened by Birge's ratio (R. T. Birge, *Phys. Rev.* 40 (1932) 207)
then. A modulus is always that of the model it was measured through: straight cane, glue counted as cane.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from enum import Enum
from math import hypot, isfinite, sqrt

import numpy as np

from culmwright.measure.display import INCH_DISPLAY, METRIC_DISPLAY, Display
from culmwright.measure.errors import AnswerIsNo, BadInput
from culmwright.measure.record import si
from culmwright.mechanics.beam import Array, Beam
from culmwright.mechanics.modes import first_modes

FARTHEST = 0.1
"""A bar that comes down by more than this of its span bends less than the straight-bar formula has it [-], by 1 %."""
ONE_IN_1000 = 3.09
"""Standard deviations beyond which chance lies once in a thousand [-]."""
STEPS = 40
SAME = 1e-9
BOUNDS = (1e9, 1e11)
"""No cane has a modulus outside of these [Pa]: a slip of unit or place is told by it."""


class Held(Enum):
    """How a bar is held: the divisor q in ``drop = P L^3/(q E I)``, load in the middle or at the free end."""

    BOTH_ENDS = 48.0
    ONE_END = 3.0


@dataclass(frozen=True, slots=True)
class Measured:
    """A modulus measured: ``value`` and standard uncertainty ``spread`` [Pa], ``alike`` the part of it [Pa] that its
    section makes, which measurements on the same piece share as far as the smaller of two goes; ``of`` that piece, and
    ``how`` it was measured.
    """

    value: float = si("Pa")
    spread: float = si("Pa")
    alike: float = si("Pa")
    of: str = ""
    how: str = ""
    notes: tuple[str, ...] = ()


def from_bar(
    span: float,
    inertia: float,
    loads: Sequence[float],
    drops: Sequence[float],
    held: Held,
    *,
    reading: float,
    inertia_share: float,
    span_doubt: float,
    of: str = "",
) -> Measured:
    """The modulus of a straight bar of one section from ``drops`` [m] under ``loads`` [N].

    ``E = L^3/(q I k)`` with k the slope of drop over load by least squares, its zero left free. ``span`` L [m] and
    ``inertia`` I [m^4] with their doubts ``span_doubt`` [m] and ``inertia_share`` [-]; ``reading`` of one drop [m].
    Small deflection: a note says where it is not.
    """
    P, d = checked(loads, drops, reading)
    if not (span > 0 and inertia > 0):
        raise BadInput("a bar has a span and a section", remedy="Give them as measured")
    slope, zero, u, notes = _line(P, d, reading)
    if slope <= 0:
        raise BadInput("the bar does not come down under more weight", remedy="Look at the drops again")
    E = span**3 / (held.value * inertia * slope)
    if np.max(np.abs(d - zero)) > FARTHEST * span:
        notes.append(
            "it was bent so far that the straight-bar formula makes it too stiff, by 1% and more: use less weight"
        )
    alike = E * hypot(inertia_share, 3 * span_doubt / span)
    return made(E, hypot(E * u / slope, alike), alike, of, "bent as a bar under known weights", notes)


def from_rate(
    beam: Beam,
    modulus: float,
    rate: float,
    spread: float,
    *,
    shape_share: float = 0.0,
    of: str = "",
) -> Measured:
    """The modulus [Pa] of a rod from the ``rate`` it swings at, with its standard uncertainty ``spread`` [Hz].

    ``E = E0 (f/f0)^2``, f0 the first rate of ``beam`` with cane of ``modulus`` E0 [Pa]: exact where ferrules add no
    stiffness of their own, else solved for.
    """
    if not (isfinite(rate) and rate > 0 and spread >= 0):
        raise BadInput(f"{rate:g} Hz is no rate of a rod", remedy="Count swings, say 30, and divide by the seconds")
    times = 1.0
    for _ in range(STEPS):
        found = first_modes(scaled(beam, times))[0].frequency
        after = times * (rate / found) ** 2
        if not 1e-6 < after < 1e6:
            raise AnswerIsNo("no modulus makes this rod swing so", remedy="Look at the rate and its unit")
        done, times = abs(after - times) < SAME * times, after
        if done:
            break
    E = times * modulus
    alike = E * shape_share
    return made(E, hypot(2 * E * spread / rate, alike), alike, of, "the rate it swings at", [])


def together(found: Sequence[Measured], show: Display = METRIC_DISPLAY) -> Measured:
    """Several measurements of the same cane as one: generalised least squares, those on one piece sharing its doubt
    [Pa].

    Where they contradict one another by more than once in a thousand it says so and widens the spread.
    """
    if len(found) == 1:
        return found[0]
    value, spread, square, free = _mean(found)
    notes = [note for one in found for note in one.notes]
    if (torn := contradiction(found)) is not None:
        low, high = torn
        notes.append(
            f"the measurements contradict one another: {show.modulus(low.value)} by {low.how}, "
            f"{show.modulus(high.value)} by {high.how}; one of them, or the rod as it is taken to be, is not right"
        )
        spread *= sqrt(square / free)
    how = " and ".join(dict.fromkeys(one.how for one in found))
    pieces = {one.of for one in found}
    return Measured(value, spread, spread if len(pieces) == 1 else 0.0, found[0].of, how, tuple(notes))


def contradiction(found: Sequence[Measured]) -> tuple[Measured, Measured] | None:
    """The lowest and the highest of measurements [Pa] that chance sets so far apart once in a thousand; else None."""
    if len(found) < 2:
        return None
    _, _, square, free = _mean(found)
    if normal_of(square, free) <= ONE_IN_1000:
        return None
    return min(found, key=lambda one: one.value), max(found, key=lambda one: one.value)


def _mean(found: Sequence[Measured]) -> tuple[float, float, float, int]:
    """Generalised least squares: mean and its spread [Pa], the sum of squares left [-] and its degrees of freedom."""
    E = np.array([one.value for one in found])
    own = np.array([max(one.spread**2 - one.alike**2, (1e-6 * one.value) ** 2) for one in found])
    V = np.diag(own)
    for i, a in enumerate(found):
        for j, b in enumerate(found):
            if i == j or a.of == b.of:
                V[i, j] += min(a.alike, b.alike) ** 2
    W = np.linalg.inv(V)
    ones = np.ones(len(E))
    value = float(ones @ W @ E / (ones @ W @ ones))
    spread = 1 / sqrt(float(ones @ W @ ones))
    square, free = float((E - value) @ W @ (E - value)), len(E) - 1
    return value, spread, square, free


@dataclass(frozen=True, slots=True)
class Shop:
    """Cane of a shop over its culms: ``mean`` [Pa] with its ``spread``, and how culms ``scatter`` about it [Pa]."""

    mean: float = si("Pa")
    spread: float = si("Pa")
    scatter: float = si("Pa")
    culms: int = si("")


def over_culms(culms: Sequence[Measured]) -> Shop:
    """Modulus [Pa] over culms that differ: the random-effects mean of DerSimonian and Laird, *Control. Clin. Trials* 7
    (1986) 177.

    Raises :class:`AnswerIsNo` below three culms: how they scatter is not known then.
    """
    if len(culms) < 3:
        raise AnswerIsNo(
            f"{len(culms)} measured culms do not tell how culms of this shop scatter", remedy="Measure three or more"
        )
    E, u = np.array([one.value for one in culms]), np.array([one.spread for one in culms])
    w = u**-2
    mean = w @ E / w.sum()
    tau2 = max((float(w @ (E - mean) ** 2) - (len(E) - 1)) / float(w.sum() - (w**2).sum() / w.sum()), 0.0)
    w = 1 / (u**2 + tau2)
    return Shop(float(w @ E / w.sum()), 1 / sqrt(float(w.sum())), sqrt(tau2), len(E))


def in_both_units(E: float) -> str:
    """A modulus [Pa] in both units, where nobody says which the maker thinks in."""
    return f"{METRIC_DISPLAY.modulus(E)} ({INCH_DISPLAY.modulus(E)})"


def made(E: float, spread: float, alike: float, of: str, how: str, notes: list[str]) -> Measured:
    """The modulus measured ``of`` a piece [Pa], refused where no cane has it."""
    if not BOUNDS[0] < E < BOUNDS[1]:
        raise BadInput(
            f"that makes a modulus of {in_both_units(E)}, which no cane has",
            remedy="Look at the weights, the lengths and their units",
        )
    return Measured(E, spread, alike, of, how, tuple(notes))


def checked(loads: Sequence[float], drops: Sequence[float], reading: float, least: int = 2) -> tuple[Array, Array]:
    """Weights [N] and drops [m] as arrays, refused where they are not enough or make no sense."""
    P, d = np.array(loads, float), np.array(drops, float)
    if len(P) != len(d) or len(set(P.tolist())) < least:
        raise BadInput(f"a drop for each of {least} different weights at least is needed", remedy="Hang more weights")
    if not (np.all(np.isfinite(P)) and np.all(np.isfinite(d)) and np.all(P >= 0) and P.max() > 0 and reading > 0):
        raise BadInput("weights and drops are numbers, weights not below zero", remedy="Give them as measured")
    return P, d


def _line(P: Array, d: Array, reading: float) -> tuple[float, float, float, list[str]]:
    """Slope [m/N], zero [m] and the slope's standard uncertainty of a straight line through drops."""
    columns = np.stack([P, np.ones_like(P)], 1)
    (slope, zero), *_ = np.linalg.lstsq(columns, d, rcond=None)
    left = d - columns @ [slope, zero]
    factor, notes = misfit(float(left @ left) / reading**2, len(d) - 2)
    return float(slope), float(zero), factor * reading * sqrt(np.linalg.inv(columns.T @ columns)[0, 0]), notes


def misfit(square: float, free: int, doubt: str = "reading leaves") -> tuple[float, list[str]]:
    """Birge's factor on a spread [-] where the ``square`` sum [-] of ``free`` misfits is more than chance, 1 where it
    is not; and what is said of it, ``doubt`` being what was counted.
    """
    if free < 1 or normal_of(square, free) <= ONE_IN_1000:
        return 1.0, []
    factor = sqrt(square / free)
    note = (
        f"the drops do not follow the model: they are off by {factor:.1f} times what {doubt} in doubt; "
        "the grip may give, the cane may have taken a set, a weight is wrong, or the piece is not as it is taken to be"
    )
    return factor, [note]


def normal_of(square: float, free: int) -> float:
    """A sum of ``free`` squares as standard deviations of a normal value [-]: Wilson and Hilferty (1931)."""
    return float(((square / free) ** (1 / 3) - (1 - 2 / (9 * free))) / sqrt(2 / (9 * free)))


def scaled(beam: Beam, times: float) -> Beam:
    """The beam [SI] with cane of ``times`` the modulus [-]; ferrules' own stiffness stays."""
    void = None if beam.void is None else beam.void * times
    return replace(beam, stiffness=beam.stiffness * times, fibre=beam.fibre * times, void=void)

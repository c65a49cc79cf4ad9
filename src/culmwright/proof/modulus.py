"""The modulus of the cane, measured: a bar or strip bent under known weights, a finished rod's drops, its bounce rate.

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
from culmwright.mechanics.statics import Load, bend_beam

FARTHEST = 0.1
"""A bar that comes down by more than this of its span bends less than the straight-bar formula has it [-], by 1 %."""
ONE_IN_1000 = 3.09
"""Standard deviations beyond which chance lies once in a thousand [-]."""
STEPS = 40
SAME = 1e-9
BOUNDS = (1e9, 1e11)
"""No cane has a modulus outside of these [Pa]: a slip of unit or place is told by it."""
OF_CANE = (10e9, 60e9)
"""Between these [Pa] a second modulus that fits is looked for (own choice, wider than cane is said to be)."""
TRIED = 25
"""Moduli tried between them."""
APART = 0.01
"""Fits nearer than this to each other are the same one [-]."""
_Fit = tuple[float, float, Array, Array]
"""Times the modulus [-], the rule's zero [m], drops so [m], and the columns of the least squares."""


class Held(Enum):
    """How a bar is held: the divisor q in ``drop = P L^3/(q E I)``, load in the middle or at the free end."""

    BOTH_ENDS = 48.0
    ONE_END = 3.0


@dataclass(frozen=True, slots=True)
class Measured:
    """A modulus measured: ``value`` and standard uncertainty ``spread`` [Pa], ``alike`` the part of it [Pa] that all
    measurements on the same piece share (its section), ``of`` that piece, and ``how`` it was measured.
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
    P, d = _checked(loads, drops, reading)
    if not (span > 0 and inertia > 0):
        raise BadInput("a bar has a span and a section", remedy="Give them as measured")
    slope, zero, u, notes = _line(P, d, reading)
    if slope <= 0:
        raise BadInput("the bar does not come down under more weight", remedy="Look at the drops again")
    E = span**3 / (held.value * inertia * slope)
    if np.max(np.abs(d - zero)) > FARTHEST * span:
        notes.append(
            "it was bent so far that the straight-bar formula makes it too stiff, by 1 % and more: use less weight"
        )
    alike = E * hypot(inertia_share, 3 * span_doubt / span)
    return _made(E, hypot(E * u / slope, alike), alike, of, "bent as a bar under known weights", notes)


def from_drops(
    beam: Beam,
    modulus: float,
    loads: Sequence[float],
    drops: Sequence[float],
    *,
    reading: float,
    shape_share: float = 0.0,
    of: str = "",
) -> Measured:
    """The modulus [Pa] of a rod from its tip's ``drops`` [m] below its place at rest under hanging ``loads`` [N].

    ``beam`` is the rod with cane of ``modulus`` [Pa], held level as in a vice; large bends and own weight are counted.
    Least squares for the modulus, and for the zero of the rule where three unlike weights or more were hung;
    ``reading`` of one drop [m]; ``shape_share`` [-] what the rod's section leaves in doubt of its stiffness. Raises
    :class:`AnswerIsNo` where no modulus makes it, or two that cane may have.
    """
    P, d = _checked(loads, drops, reading, least=1)
    free_zero = len(set(P.tolist())) >= 3
    times, zero, model, columns = first = _fit(beam, 1.0, P, d, free_zero)
    if (other := _other(beam, modulus, times, P, d, free_zero)) is not None:
        times, zero, model, columns = _better(first, other, modulus, d, reading)
    s, notes = _scatter(d - zero - model, columns.shape[1], reading)
    inverse = np.linalg.inv(columns.T @ columns)
    if free_zero and abs(zero) > ONE_IN_1000 * s * sqrt(inverse[1, 1]):
        notes.append("the rule's zero was not at the tip's place at rest; that is allowed for")
    E, alike = times * modulus, times * modulus * shape_share
    return _made(E, hypot(modulus * s * sqrt(inverse[0, 0]), alike), alike, of, "the finished rod's drop", notes)


def _fit(beam: Beam, times: float, P: Array, d: Array, free_zero: bool) -> _Fit:
    """Gauss-Newton from ``times`` the modulus [-]: the times [-], the zero [m], drops so [m], and the columns."""
    zero = 0.0
    for _ in range(STEPS):
        model, slope = _drops(beam, times, P)
        columns = np.stack([slope, np.ones_like(slope)], 1) if free_zero else slope[:, None]
        step, *_ = np.linalg.lstsq(columns, d - zero - model, rcond=None)
        before, times = times, float(np.clip(times + step[0], times / 2, times * 2))
        zero += float(step[1]) if free_zero else 0.0
        if abs(step[0]) < SAME * before:
            return times, zero, model, columns
    raise AnswerIsNo("no modulus makes this rod bend so", remedy="Look at the weights, the drops and their units")


def _other(beam: Beam, modulus: float, times: float, P: Array, d: Array, free_zero: bool) -> _Fit | None:
    """The fit of another modulus cane may have, None where there is none but ``times`` the modulus.

    A very soft rod hangs so far under its own weight that its drop below rest first grows, then shrinks again as the
    cane gets softer: two moduli can make one drop.
    """
    tried = np.geomspace(OF_CANE[0], OF_CANE[1], TRIED) / modulus
    left = [d - _below_rest(_scaled(beam, float(one)), P) for one in tried]
    off = [float(np.sum((one - one.mean() * free_zero) ** 2)) for one in left]
    for at in range(1, TRIED - 1):
        if off[at] > min(off[at - 1], off[at + 1]):
            continue
        try:
            other = _fit(beam, float(tried[at]), P, d, free_zero)
        except AnswerIsNo:
            continue
        if abs(other[0] - times) > APART * times and OF_CANE[0] <= other[0] * modulus <= OF_CANE[1]:
            return other
    return None


def _better(first: _Fit, other: _Fit, modulus: float, d: Array, reading: float) -> _Fit:
    """The one of two fits that drops ``d`` [m] tell from the other. Raises :class:`AnswerIsNo` where they do not."""
    near, far = sorted((first, other), key=lambda one: _off(one, d))
    s, _ = _scatter(d - near[1] - near[2], near[3].shape[1], reading)
    if _off(far, d) - _off(near, d) < (ONE_IN_1000 * s) ** 2:
        soft, stiff = sorted(one[0] * modulus for one in (first, other))
        raise AnswerIsNo(
            f"cane of {_either(soft)} and of {_either(stiff)} both make this rod come down so: the drops do not tell "
            "which it is",
            remedy="Hang a heavier weight too, or count its swings",
        )
    return near


def _off(fit: _Fit, d: Array) -> float:
    """Sum of the squares [m^2] a fit leaves of drops ``d`` [m]."""
    return float(np.sum((d - fit[1] - fit[2]) ** 2))


def from_rate(
    beam: Beam,
    modulus: float,
    rate: float,
    spread: float,
    *,
    tip_mass: float = 0.0,
    shape_share: float = 0.0,
    of: str = "",
) -> Measured:
    """The modulus [Pa] of a rod from the ``rate`` it swings at, with its standard uncertainty ``spread`` [Hz].

    ``E = E0 (f/f0)^2``, f0 the first rate of ``beam`` with cane of ``modulus`` E0 [Pa] and ``tip_mass`` [kg]: exact
    where ferrules add no stiffness of their own, else solved for.
    """
    if not (isfinite(rate) and rate > 0 and spread >= 0):
        raise BadInput(f"{rate:g} Hz is no rate of a rod", remedy="Count swings, say 30, and divide by the seconds")
    times = 1.0
    for _ in range(STEPS):
        found = first_modes(_scaled(beam, times), tip_mass)[0].frequency
        after = times * (rate / found) ** 2
        if not 1e-6 < after < 1e6:
            raise AnswerIsNo("no modulus makes this rod swing so", remedy="Look at the rate and its unit")
        done, times = abs(after - times) < SAME * times, after
        if done:
            break
    E = times * modulus
    alike = E * shape_share
    return _made(E, hypot(2 * E * spread / rate, alike), alike, of, "the rate it swings at", [])


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
    if _normal(square, free) <= ONE_IN_1000:
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
                V[i, j] += a.alike * b.alike
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


def _either(E: float) -> str:
    """A modulus in both units, where nobody says which the maker thinks in."""
    return f"{METRIC_DISPLAY.modulus(E)} ({INCH_DISPLAY.modulus(E)})"


def _made(E: float, spread: float, alike: float, of: str, how: str, notes: list[str]) -> Measured:
    if not BOUNDS[0] < E < BOUNDS[1]:
        raise BadInput(
            f"that makes a modulus of {_either(E)}, which no cane has",
            remedy="Look at the weights, the lengths and their units",
        )
    return Measured(E, spread, alike, of, how, tuple(notes))


def _checked(loads: Sequence[float], drops: Sequence[float], reading: float, least: int = 2) -> tuple[Array, Array]:
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
    s, notes = _scatter(d - columns @ [slope, zero], 2, reading)
    return float(slope), float(zero), s * sqrt(np.linalg.inv(columns.T @ columns)[0, 0]), notes


def _scatter(left: Array, fitted: int, reading: float) -> tuple[float, list[str]]:
    """Standard deviation of one drop [m]: that of the reading, or what drops show where that is more than chance."""
    free = len(left) - fitted
    if free < 1:
        return reading, []
    square = float(left @ left) / reading**2
    if _normal(square, free) <= ONE_IN_1000:
        return reading, []
    s = sqrt(float(left @ left) / free)
    note = (
        f"the drops do not follow the model: they are off by {s / reading:.1f} times what reading leaves in doubt; "
        "the grip may give, the cane may have taken a set, a weight is wrong, or the piece is not as it is taken to be"
    )
    return s, [note]


def _normal(square: float, free: int) -> float:
    """A sum of ``free`` squares as standard deviations of a normal value [-]: Wilson and Hilferty (1931)."""
    return float(((square / free) ** (1 / 3) - (1 - 2 / (9 * free))) / sqrt(2 / (9 * free)))


def _drops(beam: Beam, times: float, P: Array) -> tuple[Array, Array]:
    """Drops [m] below rest under ``P`` [N] and their derivative by the modulus [m], over the one it stands at."""
    step = 1e-5
    low, at, high = (_below_rest(_scaled(beam, times * (1 + one)), P) for one in (-step, 0.0, step))
    return at, (high - low) / (2 * step * times)


def _below_rest(beam: Beam, P: Array) -> Array:
    rest = bend_beam(beam, Load()).tip_drop
    return np.array([bend_beam(beam, Load(float(one))).tip_drop - rest for one in P])


def _scaled(beam: Beam, times: float) -> Beam:
    """The beam with cane of another modulus; ferrules' own stiffness stays."""
    void = None if beam.void is None else beam.void * times
    return replace(beam, stiffness=beam.stiffness * times, fibre=beam.fibre * times, void=void)

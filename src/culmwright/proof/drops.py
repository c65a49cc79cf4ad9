"""The modulus of a finished rod's cane from the drops of its tip under known weights, through the rod as built.

``d = model(E, rod) + e``: a drop is off by its reading and by what the rod's sections are off, which is in all drops
but not in proportion: a fine tip that is softer than it is taken to be lets light weights down more than heavy ones. So
drops have the covariance ``V = reading^2 + J C J'``, C that of the sections' stiffness and mass and J how drops answer
to it. The fit is plain least squares, its doubt that of V; whether drops follow the model is judged by chi square with
V too, the least of ``r' V^-1 r`` (A. C. Aitken, *Proc. R. Soc. Edinburgh* 55 (1935) 42, from memory): what readings of
the strips leave open is no fault of the drops. Fitting by V as well would tell the tip's size from how drops curve,
which is more than a model to first order is good for.
"""

from __future__ import annotations

from collections.abc import Sequence
from math import exp, log, sqrt
from typing import NamedTuple

import numpy as np

from culmwright.measure.errors import AnswerIsNo
from culmwright.mechanics.beam import Array, Beam
from culmwright.mechanics.statics import Load, bend_beam
from culmwright.proof.modulus import (
    ONE_IN_1000,
    SAME,
    STEPS,
    Measured,
    checked,
    in_both_units,
    made,
    misfit,
    scaled,
)
from culmwright.proof.sections_doubt import SectionsDoubt

OF_CANE = (10e9, 60e9)
"""Between these [Pa] a second modulus that fits is looked for (own choice, wider than cane is said to be)."""
TRIED = 25
"""Moduli tried between them."""
APART = 0.01
"""Fits nearer than this to each other are the same one [-]."""
FAR = 10.0
"""How many times stiffer or softer cane is searched for where nothing nearer makes the drops [-]."""
NUDGE = 0.01
"""By how much of itself stiffness or mass is changed at a node, either way, for a derivative [-]."""


class _Fit(NamedTuple):
    """``times`` the modulus [-], the rule's ``zero`` [m], what is ``left`` of the drops [m] and the ``columns`` [m]."""

    times: float
    zero: float
    left: Array
    columns: Array

    @property
    def free(self) -> int:
        """Drops beyond what is fitted."""
        return int(len(self.left) - self.columns.shape[1])

    def off(self, V: Array) -> float:
        """Chi square [-] of what no modulus and no zero nearby explain, where drops have the covariance ``V`` [m^2]."""
        root = np.linalg.cholesky(V)
        left, columns = (np.linalg.solve(root, one) for one in (self.left, self.columns))
        rest = left - columns @ np.linalg.lstsq(columns, left, rcond=None)[0]
        return float(rest @ rest)


def from_drops(
    beam: Beam,
    modulus: float,
    loads: Sequence[float],
    drops: Sequence[float],
    *,
    reading: float,
    sections: SectionsDoubt | None = None,
    of: str = "",
) -> Measured:
    """The modulus [Pa] of a rod from its tip's ``drops`` [m] below its place at rest under hanging ``loads`` [N].

    ``beam`` is the rod with cane of ``modulus`` [Pa], held level as in a vice; large bends and own weight are counted.
    Least squares for the modulus, and for the zero of the rule where three unlike weights or more were hung;
    ``reading`` of one drop [m]; ``sections`` what the rod's own leave in doubt, None where it was not read. Raises
    :class:`AnswerIsNo` where no modulus makes it, or two that cane may have.
    """
    P, d = checked(loads, drops, reading, least=1)
    free_zero = len(set(P.tolist())) >= 3
    best = _fit(beam, 1.0, P, d, free_zero)
    own = reading**2 * np.eye(len(P))
    shape = 0 * own if sections is None else _of_sections(scaled(beam, best.times), sections, P)
    if (other := _other(beam, modulus, best.times, P, d, free_zero)) is not None:
        best = _better(best, other, modulus, own + shape)
    doubt = "reading leaves" if sections is None else "reading and the rod's sections leave"
    factor, notes = misfit(best.off(own + shape), best.free, doubt)
    gain = np.linalg.pinv(best.columns)
    if free_zero and abs(best.zero) > ONE_IN_1000 * factor * sqrt(gain[1] @ (own + shape) @ gain[1]):
        notes.append("the rule's zero was not at the tip's place at rest; that is allowed for")
    spread, alike = (sqrt(float(gain[0] @ one @ gain[0])) for one in (own + shape, shape))
    return made(best.times * modulus, modulus * factor * spread, modulus * alike, of, "the finished rod's drop", notes)


def _fit(beam: Beam, times: float, P: Array, d: Array, free_zero: bool) -> _Fit:
    """Gauss-Newton from ``times`` the modulus [-]; where drops are so far off that it goes astray, a plain search."""
    start, zero = times, 0.0
    for _ in range(STEPS):
        model, slope = _drops(beam, times, P)
        columns = np.stack([slope, np.ones_like(slope)], 1) if free_zero else slope[:, None]
        step, *_ = np.linalg.lstsq(columns, d - zero - model, rcond=None)
        before, times = times, float(np.clip(times + step[0], times / 2, times * 2))
        zero += float(step[1]) if free_zero else 0.0
        if abs(step[0]) < SAME * before:
            return _Fit(times, zero, d - zero - model, columns)
    return _searched(beam, start, P, d, free_zero)


def _searched(beam: Beam, times: float, P: Array, d: Array, free_zero: bool) -> _Fit:
    """The least squares of drops [m] by Brent's search within ``FAR`` times either way of ``times`` the modulus [-]."""
    from scipy.optimize import minimize_scalar

    def off(u: float) -> float:
        return _off(d - _below_rest(scaled(beam, exp(u)), P), free_zero)

    middle, far = log(times), log(FAR)
    u = float(minimize_scalar(off, bounds=(middle - far, middle + far), method="bounded").x)
    if abs(u - middle) > far - 0.01:
        raise AnswerIsNo("no modulus makes this rod bend so", remedy="Look at the weights, the drops and their units")
    times = exp(u)
    model, slope = _drops(beam, times, P)
    zero = float((d - model).mean()) if free_zero else 0.0
    return _Fit(
        times, zero, d - zero - model, np.stack([slope, np.ones_like(slope)], 1) if free_zero else slope[:, None]
    )


def _off(left: Array, free_zero: bool) -> float:
    """Sum of squares [m^2] of what is ``left`` of drops [m], about their mean where the zero is free."""
    return float(np.sum((left - left.mean() * free_zero) ** 2))


def _other(beam: Beam, modulus: float, times: float, P: Array, d: Array, free_zero: bool) -> _Fit | None:
    """The fit of another modulus cane may have, None where there is none but ``times`` the modulus.

    A very soft rod hangs so far under its own weight that its drop below rest first grows, then shrinks again as the
    cane gets softer: two moduli can make one drop.
    """
    tried = np.geomspace(OF_CANE[0], OF_CANE[1], TRIED) / modulus
    left = [d - _below_rest(scaled(beam, float(one)), P) for one in tried]
    off = [_off(one, free_zero) for one in left]
    for at in range(1, TRIED - 1):
        if off[at] > min(off[at - 1], off[at + 1]):
            continue
        try:
            other = _fit(beam, float(tried[at]), P, d, free_zero)
        except AnswerIsNo:
            continue
        if abs(other.times - times) > APART * times and OF_CANE[0] <= other.times * modulus <= OF_CANE[1]:
            return other
    return None


def _better(first: _Fit, other: _Fit, modulus: float, V: Array) -> _Fit:
    """The one of two fits that drops of covariance ``V`` [m^2] tell from the other. Raises :class:`AnswerIsNo` where
    they do not.
    """
    near, far = sorted((first, other), key=lambda one: one.off(V))
    factor, _ = misfit(near.off(V), near.free)
    if far.off(V) - near.off(V) < (ONE_IN_1000 * factor) ** 2:
        soft, stiff = sorted(one.times * modulus for one in (first, other))
        raise AnswerIsNo(
            f"cane of {in_both_units(soft)} and of {in_both_units(stiff)} both make this rod come down so: the drops "
            "do not tell which it is",
            remedy="Hang a heavier weight too, or count its swings",
        )
    return near


def _of_sections(beam: Beam, sections: SectionsDoubt, P: Array) -> Array:
    """The covariance [m^2] that ``sections`` make of drops below rest under ``P`` [N]: ``J C J'``."""
    more, less = (np.array([_below_rest(one, P) for one in sections.moved(beam, by)]) for by in (NUDGE, -NUDGE))
    J = (more - less).T / (2 * NUDGE)
    return np.asarray(J @ sections.covariance @ J.T)


def _drops(beam: Beam, times: float, P: Array) -> tuple[Array, Array]:
    """Drops [m] below rest under ``P`` [N] and their derivative by the modulus [m], over the one it stands at."""
    step = 1e-5
    low, at, high = (_below_rest(scaled(beam, times * (1 + one)), P) for one in (-step, 0.0, step))
    return at, (high - low) / (2 * step * times)


def _below_rest(beam: Beam, P: Array) -> Array:
    rest = bend_beam(beam, Load()).tip_drop
    return np.array([bend_beam(beam, Load(float(one))).tip_drop - rest for one in P])

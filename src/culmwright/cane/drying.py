"""The drying curve of a bundle from its weighings: where its mass will settle, and when it meets its target.

``mass(t) = m + A left(t/T)``: m is the mass it settles at, A what it has to lose at the first weighing, T its time
constant. Between two shapes of ``left`` lies how cane dries: the plain tail ``exp(-t/T)``, where the air about the
bundle holds the water back, and the series of diffusion ``6/pi^2 sum of exp(-k^2 t/T)/k^2``, where the cane itself does
(J. Crank, *The Mathematics of Diffusion*, eq. 6.20). Both count, and blends of them, by their likelihood; bounds hold
nine curves in ten.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from enum import Enum
from itertools import pairwise
from math import hypot, sqrt
from typing import TYPE_CHECKING

from culmwright.cane.air import Air
from culmwright.cane.moisture import Settled
from culmwright.cane.weighing import Weighing, resolution
from culmwright.measure.band import Band
from culmwright.measure.errors import AnswerIsNo, BadInput
from culmwright.measure.record import si

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    from culmwright.cane.drying_curves import Curves

    Floats = NDArray[np.float64]

FEWEST = 3  # weighings below which there is no curve
INSIDE = (0.05, 0.5, 0.95)
STILL = 0.001
"""Change of mass [-] below which a bundle has stopped: 0.1 %, as an oven-dry piece has by EN 13183-1 (from memory)."""
UNREST = 0.0005
"""How far the changing air of a room moves a bundle about its curve, as a share of its mass [-] (own choice)."""
SETTLED = 0.005
"""How near its end [-] of the mass a bundle counts as settled where no target was named (own choice)."""
LEAST_PAUSE, MOST_PAUSE = 7_200.0, 259_200.0
"""Weighings are compared over half the time constant, but at least two hours [s] and at most three days [s]."""
POINTS = 60  # of the curve drawn
SEED = 8


class Shape(Enum):
    """How what is left falls with time."""

    TAIL = "plain exponential"
    SERIES = "diffusion curve, quick at first and an exponential later"
    BETWEEN = "curve between a plain exponential and one quicker at first"


SHAPES = {0.0: Shape.TAIL, 1.0: Shape.SERIES}


@dataclass(frozen=True, slots=True)
class Aim:
    """What a bundle is to come to: moisture ``target`` [-]; ``settled`` [-] holds where this air lets it settle.

    ``dry_mass`` [kg] is its mass without water where that is known. Without a target it is to come to rest.
    """

    target: float | None = si("-", required=False)
    settled: Band | None = si("-", required=False)
    dry_mass: float | None = si("kg", required=False)


@dataclass(frozen=True, slots=True)
class DryingFit:
    """The curve through the weighings of a bundle, its bounds each a band that holds nine tenths.

    ``shape``, ``constant``, ``rest`` (m) and ``loss`` (A) are of the likeliest curve; ``curve`` (time [s], likeliest,
    low and high mass [kg]) is drawn on past the last weighing. ``settles`` is the mass it tends to, ``target_mass`` the
    one it is to come to, ``ready`` when it will, after the first weighing; ``likely`` the middle of that, None while
    that has no bound. ``reached`` is True once that is past for nine curves in ten, and ``stopped`` once it has stopped
    changing.
    """

    shape: Shape = si("")
    constant: float = si("s")
    rest: float = si("kg")
    loss: float = si("kg")
    scatter: float = si("kg")
    settles: Band = si("kg")
    target_mass: Band = si("kg")
    ready: Band = si("s")
    likely: float | None = si("s")
    reached: bool = si("")
    stopped: bool = si("")
    moisture: Band | None = si("-")
    curve: tuple[tuple[float, float, float, float], ...] = si("")
    notes: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class BundleDrying:
    """A bundle and its drying: the ``weighings``, the ``fit`` through them, or the ``reason`` why there is none.

    ``room`` is the air of the room, which an oven warms; None where it is not known.
    """

    bundle: str
    weighings: tuple[Weighing, ...]
    settled: Settled | None
    target: float | None = si("-")
    fit: DryingFit | None = si("")
    reason: str = ""
    room: Air | None = field(metadata={"hidden": True}, default=None)


def has_stopped(weighings: Sequence[Weighing], pause: float) -> bool:
    """True if the mass has stopped changing: the last weighings, over at least ``pause`` [s], agree within 0.1 %.

    Two digits of the scale are allowed it too, where they are more.
    """
    last = weighings[-1]
    window = [one for one in weighings if one.time >= last.time - pause]
    if len(window) == len(weighings) and last.time - window[0].time < pause:
        return False
    earlier = next((one for one in reversed(weighings) if one.time <= last.time - pause), window[0])
    masses = [one.mass for one in (*window, earlier)]
    return max(masses) - min(masses) <= max(STILL * last.mass, 2 * resolution(weighings)) * (1 + 1e-9)


def fit_drying(weighings: Sequence[Weighing], aim: Aim) -> DryingFit:
    """The drying curve of a bundle from three ``weighings`` or more, and when it meets its ``aim``.

    Raises :class:`BadInput` for fewer, and :class:`AnswerIsNo` where its mass did not fall.
    """
    import numpy as np

    from culmwright.cane.drying_curves import curves_through

    enough(weighings)
    t, mass = (np.array([getattr(one, name) for one in weighings]) for name in ("time", "mass"))
    if not mass[-1] < mass[0]:
        raise AnswerIsNo(
            f"it weighed {weighings[0].text} first and {weighings[-1].text} last: it is not drying",
            where="weighings",
            remedy="Look at the scale and at the air, and weigh again",
        )
    grain, last = resolution(weighings), float(mass[-1])
    curves = curves_through(t, mass, hypot(grain / sqrt(12), UNREST * last))
    settled = None
    if aim.settled is not None:
        settled = np.random.default_rng(SEED).uniform(aim.settled.low, aim.settled.top, len(curves.m))
    target = _target(curves, aim, settled)
    low, middle, high = np.quantile(curves.when(target), INSIDE, method="inverted_cdf")
    goal = _band(target)
    constant = float(curves.T[0])
    dry = aim.dry_mass if aim.dry_mass is not None else None if settled is None else curves.m / (1 + settled)
    return DryingFit(
        shape=SHAPES.get(float(curves.blend[0]), Shape.BETWEEN),
        constant=constant,
        rest=float(curves.m[0]),
        loss=float(curves.A[0]),
        scatter=curves.scatter,
        settles=_band(curves.m),
        target_mass=goal,
        ready=Band(float(low) if np.isfinite(low) else float(t[-1]), float(high) if np.isfinite(high) else None),
        likely=float(middle) if np.isfinite(middle) else None,
        reached=bool(high <= t[-1]),
        stopped=has_stopped(weighings, min(max(constant / 2, LEAST_PAUSE), MOST_PAUSE)),
        moisture=None if dry is None else _band(np.maximum(last / np.asarray(dry) - 1, 0.0)),
        curve=_drawn(curves, float(t[-1]), float(middle) if np.isfinite(middle) else None),
        notes=_notes(weighings, float(high)),
    )


def enough(weighings: Sequence[Weighing]) -> None:
    """Refuse fewer weighings than make a curve."""
    if len(weighings) < FEWEST:
        count = {0: "no weighing makes", 1: "one weighing makes", 2: "two weighings make"}[len(weighings)]
        raise BadInput(
            f"{count} no drying curve", where="weighings", remedy="Weigh the bundle three times, a day or so apart"
        )


def _target(curves: Curves, aim: Aim, settled: Floats | None) -> Floats:
    """The mass each curve is to come to."""
    import numpy as np

    if aim.target is None:
        return curves.m * (1 + SETTLED)
    if aim.dry_mass is not None:
        return np.full_like(curves.m, aim.dry_mass * (1 + aim.target))
    if settled is None:
        raise BadInput(
            "a moisture to come to needs the air it dries in, or its dry mass",
            where="target",
            remedy="Give the air's temperature and humidity",
        )
    return curves.m * (1 + aim.target) / (1 + settled)


def _band(values: Floats) -> Band:
    import numpy as np

    low, high = np.quantile(values, (INSIDE[0], INSIDE[2]))
    return Band(float(low), float(high))


def _drawn(curves: Curves, last: float, ready: float | None) -> tuple[tuple[float, float, float, float], ...]:
    """The likeliest mass and its band, from the first weighing on past the last."""
    end = min(max(1.25 * (ready or 0.0), 1.4 * last), 3 * last)
    made = []
    for i in range(POINTS + 1):
        time = end * (i / POINTS) ** 1.5
        every = curves.mass(time)
        within = _band(every)
        made.append((time, float(every[0]), within.low, within.top))
    return tuple(made)


def _notes(weighings: Sequence[Weighing], high: float) -> tuple[str, ...]:
    said = []
    gains = [after for before, after in pairwise(weighings) if after.mass - before.mass > 2 * resolution(weighings)]
    if gains:
        said.append(f"it gained weight before {gains[0].text}: damp air, or another bundle")
    if high == float("inf"):
        said.append("its end is not to be seen from these weighings yet: weigh it again")
    return tuple(said)

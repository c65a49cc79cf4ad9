"""How long drying may take, before anything was weighed: a range, as wide as what is not known.

Not known are the coefficient of cane, whether anything leaves through the enamel, and where cane settles. The low end
takes every one of them at its quick side, the high end at its slow side. Water in the pores, above fibre saturation, is
counted as if it moved like that in the fibre.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import exp

from culmwright.cane.air import CELSIUS
from culmwright.cane.diffusion import strip_modes
from culmwright.cane.moisture import Settled, warm_enough
from culmwright.cane.swelling import SATURATION
from culmwright.measure.band import Band
from culmwright.measure.errors import AnswerIsNo, BadInput
from culmwright.measure.record import si

DIFFUSION = Band(1e-11, 1.5e-10)
"""Coefficient of water across the grain [m^2/s] at 20 °C, as of dense wood (from memory; none for cane is known)."""
WARM = 293.15  # [K] where DIFFUSION holds
ACTIVATION = Band(25e3, 45e3)
"""What a mole of water needs to move [J/mol]: ``D ~ exp(-E/(R T))`` (from memory, of wood)."""
GAS = 8.314462618  # [J/(mol K)]
LEAVE = 0.8  # [-] air that is to dry cane to a target has to let it settle well below it (own choice)


@dataclass(frozen=True, slots=True)
class DryingEstimate:
    """How long one strip of ``height`` lying free in moving air takes from moisture ``now`` to ``target``.

    ``time`` has no upper bound where cane may settle above the target.
    """

    height: float = si("m")
    apex: float = si("rad")
    now: float = si("-")
    target: float = si("-")
    diffusion: Band = si("m^2/s")
    time: Band = si("s")
    notes: tuple[str, ...] = ()


def diffusion_at(temperature: float) -> Band:
    """The coefficient [m^2/s] at ``temperature`` [K]: ``D = D_20 exp(-E/R (1/T - 1/T_20))``, at the bounds of both."""
    lean = -(1 / temperature - 1 / WARM) / GAS
    every = [
        d * exp(lean * energy) for d in (DIFFUSION.low, DIFFUSION.top) for energy in (ACTIVATION.low, ACTIVATION.top)
    ]
    return Band(min(every), max(every))


def estimate(height: float, apex: float, now: float, target: float, settled: Settled) -> DryingEstimate:
    """How long a strip ``height`` [m] high, ``apex`` [rad], takes from ``now`` to ``target`` [-] where it settles so.

    Raises :class:`AnswerIsNo` where this air does not dry cane to the target.
    """
    must_be_reached(target, settled)
    if now <= target:
        raise BadInput(
            f"cane at {100 * now:.3g}% is already at {100 * target:.3g}%",
            where="target",
            remedy="Give a target below the moisture it has now",
        )
    D = diffusion_at(settled.air.temperature)
    quick = strip_modes(height, apex, enamel_open=True).dose((target - settled.spread.low) / (now - settled.spread.low))
    floor = settled.spread.top
    if target > floor:
        slow = strip_modes(height, apex, enamel_open=False).dose((target - floor) / (now - floor))
        time = Band(quick / D.top, slow / D.low)
    else:
        time = Band(quick / D.top, None)
    return DryingEstimate(height, apex, now, target, D, time, _notes(now, time))


def _notes(now: float, time: Band) -> tuple[str, ...]:
    said = ["nothing was weighed: this is theory with coefficients of wood, and only as good as its range"]
    said.append("it is one strip lying free in moving air; strips bound in a bundle take longer")
    if time.high is None:
        said.append("cane may settle above the target in this air: it has no upper bound")
    if now > SATURATION:
        said.append(f"above about {100 * SATURATION:.0f}% water leaves the pores first, which is not told apart here")
    return tuple(said)


def must_be_reached(target: float, settled: Settled) -> None:
    """Refuse a ``target`` [-] at or below where cane settles in that air."""
    if target > settled.moisture:
        return
    about = f"{100 * settled.moisture:.1f}% ({100 * settled.spread.low:.1f} to {100 * settled.spread.top:.1f}%)"
    heat = warm_enough(settled.air, target * LEAVE, settled.offset)
    warmer = "" if heat is None else f": warmed to {heat - CELSIUS:.0f} °C ({heat * 9 / 5 - 459.67:.0f} °F) it would do"
    raise AnswerIsNo(
        f"{100 * target:.3g}% cannot be reached in this air: cane settles at about {about} in it",
        where="target",
        remedy=f"Warm the air or dry it{warmer}",
    )

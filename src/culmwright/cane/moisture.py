"""The moisture cane settles at: wood's, which stands in for cane's until the shop knows better.

``M = 1800/W [K h/(1 - K h) + (K1 K h + 2 K1 K2 K^2 h^2)/(1 + K1 K h + K1 K2 K^2 h^2)]`` in per cent of dry mass,
with W, K, K1 and K2 as polynomials of the temperature in degrees Celsius and the humidity h as a fraction: the
Hailwood-Horrobin form of *Wood Handbook*, FPL-GTR-282 (2021), eq. 4-5. Its table ends at 270 °F and 95 %. Above
129.2 °C the polynomial K1 is negative, and above about 140 °C so is M at the humidity of an oven: then it is 0.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import isfinite

from culmwright.cane.air import CELSIUS, Air
from culmwright.measure.band import Band
from culmwright.measure.errors import BadInput
from culmwright.measure.record import si

STAND_IN = 0.02
"""How far cane may settle from wood [-]: 1.5 to 2 % of moisture (common practice, no source)."""
TABLE_LOW, TABLE_HIGH, TABLE_WETTEST = CELSIUS - 10 / 9, CELSIUS + 1190 / 9, 0.95  # 30 °F, 270 °F; 95 %
MOST_OFFSET = 0.05  # [-] more is a slip of the key


@dataclass(frozen=True, slots=True)
class Settled:
    """Where cane settles in ``air``: ``moisture`` [-] of dry mass, and the ``spread`` it may lie in [-].

    ``offset`` [-] is what the shop found its cane to lie above wood; ``notes`` say what the figure leans on.
    """

    air: Air
    moisture: float = si("-")
    spread: Band = si("-")
    offset: float = si("-")
    notes: tuple[str, ...] = ()


def wood_moisture(temperature: float, humidity: float) -> float:
    """Moisture [-] wood settles at in air of ``temperature`` [K] and relative ``humidity`` [-]; never below 0.

    >>> round(100 * wood_moisture(294.26, 0.50), 1)
    9.2
    """
    W, K, K1, K2 = coefficients(temperature)
    Kh = K * humidity
    single, double = K1 * Kh, K1 * K2 * Kh**2
    M = 1800 / W * (Kh / (1 - Kh) + (single + 2 * double) / (1 + single + double))
    return max(M, 0.0) / 100


def coefficients(temperature: float) -> tuple[float, float, float, float]:
    """W, K, K1 and K2 [-] of wood at ``temperature`` [K]."""
    T = temperature - CELSIUS
    W = 349 + 1.29 * T + 0.0135 * T**2
    K = 0.805 + 0.000736 * T - 0.00000273 * T**2
    K1 = 6.27 - 0.00938 * T - 0.000303 * T**2
    K2 = 1.91 + 0.0407 * T - 0.000293 * T**2
    return W, K, K1, K2


def settle(air: Air, offset: float = 0.0) -> Settled:
    """Where cane settles in ``air``, the shop's ``offset`` [-] added to wood's figure.

    Raises :class:`BadInput` for an offset no cane has.
    """
    if not (isfinite(offset) and abs(offset) <= MOST_OFFSET):
        raise BadInput(
            f"an offset of {100 * offset:.3g}% of moisture is too large",
            where="offset",
            remedy=f"Give what your cane settles above wood, within {100 * MOST_OFFSET:g}% either way",
        )
    moisture = max(wood_moisture(air.temperature, air.humidity) + offset, 0.0)
    spread = Band(max(moisture - STAND_IN, 0.0), moisture + STAND_IN)
    return Settled(air, moisture, spread, offset, _notes(air, offset))


def _notes(air: Air, offset: float) -> tuple[str, ...]:
    said = ["wood's figures stand in for cane's: good to 1.5 or 2% of moisture"]
    if offset:
        said[0] += f", with this shop's offset of {100 * offset:+.1f}%"
    if air.temperature > TABLE_HIGH:
        said.append(
            "this is hotter than the published table, which ends at 270 °F (132 °C): beyond the table, cane is simply "
            "dry"
        )
    if air.temperature < TABLE_LOW:
        said.append("this is colder than the published table, which begins at 30 °F (-1 °C)")
    if air.humidity > TABLE_WETTEST:
        said.append("the published table ends at 95% humidity: above it cane may take up much more")
    return tuple(said)


def warm_enough(room: Air, moisture: float, offset: float = 0.0) -> float | None:
    """The temperature [K] to warm air of this ``room`` to, where cane settles at ``moisture`` [-]; or None.

    By halving: in warmed air cane settles the drier, the hotter it is.
    """

    def settles(temperature: float) -> float:
        air = room.warmed(temperature)
        return max(wood_moisture(air.temperature, air.humidity) + offset, 0.0)

    low, high = room.temperature, TABLE_HIGH
    if settles(low) <= moisture:
        return low
    if settles(high) > moisture:
        return None
    while high - low > 0.01:
        middle = (low + high) / 2
        low, high = (low, middle) if settles(middle) <= moisture else (middle, high)
    return high

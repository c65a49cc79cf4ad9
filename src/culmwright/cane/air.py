"""The air cane stands in: its temperature and humidity, and what becomes of them in an oven.

An oven with a vent fills with the air of the room: warming it adds no water, so the pressure of its vapour stays and
the relative humidity falls as ``humidity_oven = humidity_room p_s(room)/p_s(oven)``.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import exp

from culmwright.measure.errors import BadInput
from culmwright.measure.record import si

ICE, CELSIUS = 273.15, 273.15  # [K]
CRITICAL_TEMPERATURE, CRITICAL_PRESSURE = 647.096, 22.064e6  # [K], [Pa]
_TERMS = (
    (1.0, -7.85951783),
    (1.5, 1.84408259),
    (3.0, -11.7866497),
    (3.5, 22.6807411),
    (4.0, -15.9618719),
    (7.5, 1.80122502),
)
COLDEST, HOTTEST = ICE, ICE + 250.0  # [K] air of a shop or an oven


def saturation_pressure(temperature: float) -> float:
    """Pressure [Pa] of saturated water vapour over water at ``temperature`` [K].

    ``ln(p/p_c) = (T_c/T) sum of a_i (1 - T/T_c)^n_i``: W. Wagner, A. Pruss, *J. Phys. Chem. Ref. Data* 31 (2002) 387,
    eq. 2.5, for 273.16 K to 647.096 K.
    """
    theta = 1 - temperature / CRITICAL_TEMPERATURE
    series = sum(a * theta**n for n, a in _TERMS)
    return CRITICAL_PRESSURE * exp(CRITICAL_TEMPERATURE / temperature * series)


@dataclass(frozen=True, slots=True)
class Air:
    """Air of a ``temperature`` [K] and a relative ``humidity`` [-], 0 to 1."""

    temperature: float = si("K")
    humidity: float = si("-")

    def __post_init__(self) -> None:
        if not 0 <= self.humidity <= 1:
            raise BadInput(
                f"a humidity of {100 * self.humidity:.4g}% cannot be",
                where="humidity",
                remedy="Relative humidity lies between 0% and 100%: read the hygrometer again",
            )
        if not COLDEST <= self.temperature <= HOTTEST:
            raise BadInput(
                f"air at {self.temperature - CELSIUS:.0f} °C is not what cane is dried in",
                where="temperature",
                remedy=f"Give a temperature from {COLDEST - CELSIUS:.0f} °C to {HOTTEST - CELSIUS:.0f} °C",
            )

    @property
    def vapour_pressure(self) -> float:
        """Pressure of the water vapour in it [Pa]."""
        return self.humidity * saturation_pressure(self.temperature)

    def warmed(self, temperature: float) -> Air:
        """The same air brought to ``temperature`` [K], no water added or taken; below its dew point, saturated."""
        return Air(temperature, min(self.vapour_pressure / saturation_pressure(temperature), 1.0))

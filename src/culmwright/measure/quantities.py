"""Weights, stresses, angles, temperatures, humidities and the rest: text with a unit in, SI floats inside.

The units of the trade are exact constants in :data:`COMMON`, so that a command need not load a unit
library to read ``30 GPa``; every other unit goes through pint, and a test holds each constant to pint's.
The trade weighs forces in ounces: where a load or a stress is wanted, ``oz``, ``lb``, ``g`` and ``kg``
mean the weight of that mass at standard gravity.
"""

from __future__ import annotations

import math
import re
from enum import Enum
from functools import cache
from typing import TYPE_CHECKING

from culmwright.measure.errors import BadInput
from culmwright.measure.numerals import LONGEST, NUMERAL, plain, quoted, value

if TYPE_CHECKING:
    from pint import UnitRegistry

STANDARD_GRAVITY = 9.80665
"""Standard acceleration of gravity [m/s^2], exact (3rd CGPM, 1901)."""

POUND = 0.45359237  # [kg], exact (1959)
OUNCE = POUND / 16  # [kg]
GRAIN = POUND / 7000  # [kg]
INCH = 0.0254  # [m], exact (1959)

"""No quantity at a rod maker's bench lies outside these, in any SI unit: beyond them is a slip of the key."""


class Kind(Enum):
    """A kind of quantity: its name in a sentence, its SI unit, and examples of it as typed: in inches, in metric."""

    MASS = ("mass", "kg", "0.22 oz", "6.2 g")
    LOAD = ("load", "N", "4 oz", "100 g")
    STRESS = ("stress", "Pa", "14000 psi", "96 MPa")
    MODULUS = ("modulus", "Pa", "4.4 Mpsi", "30 GPa")
    DENSITY = ("density", "kg/m^3", "0.668 oz/in^3", "1155 kg/m^3")
    STIFFNESS = ("bending stiffness", "N m^2", "4200 lb in^2", "12 N m^2")
    ANGLE = ("angle", "rad", "60 deg", "60 deg")
    TEMPERATURE = ("temperature", "K", "68 F", "20 C")
    HUMIDITY = ("humidity", "-", "50%", "50%")
    MOISTURE = ("moisture content", "-", "6%", "6%")
    TIME = ("time", "s", "30 min", "30 min")
    EXPANSION = ("thermal expansion", "1/K", "13.1e-6 /degF", "23.6e-6 /K")

    @property
    def word(self) -> str:
        """The name used in sentences."""
        return self.value[0]

    @property
    def one(self) -> str:
        """The name with its article."""
        return f"an {self.word}" if self is Kind.ANGLE else f"a {self.word}"

    @property
    def unit(self) -> str:
        """The SI unit values of this kind are held in."""
        return self.value[1]

    def example(self, bare: str | None = None) -> str:
        """How to type it where bare lengths are in the unit ``bare``, ``in`` or ``mm``; both ways where none is told.

        >>> Kind.LOAD.example("mm"), Kind.LOAD.example()
        ('100 g', '4 oz or 100 g')
        """
        inch, metric = self.value[2:]
        if inch == metric or bare == "in":
            return inch
        return metric if bare == "mm" else f"{inch} or {metric}"


_MASS = {"kg": 1.0, "g": 1e-3, "mg": 1e-6, "oz": OUNCE, "lb": POUND, "grain": GRAIN, "grains": GRAIN}
_PRESSURE = {
    "Pa": 1.0,
    "kPa": 1e3,
    "MPa": 1e6,
    "GPa": 1e9,
    "N/mm^2": 1e6,
    "psi": POUND * STANDARD_GRAVITY / INCH**2,
    "ksi": 1e3 * POUND * STANDARD_GRAVITY / INCH**2,
    "Mpsi": 1e6 * POUND * STANDARD_GRAVITY / INCH**2,
    "oz/in^2": OUNCE * STANDARD_GRAVITY / INCH**2,
    "lb/in^2": POUND * STANDARD_GRAVITY / INCH**2,
}
COMMON: dict[Kind, dict[str, float]] = {
    Kind.MASS: _MASS,
    Kind.LOAD: {"N": 1.0, "mN": 1e-3, **{unit: kg * STANDARD_GRAVITY for unit, kg in _MASS.items()}},
    Kind.STRESS: _PRESSURE,
    Kind.MODULUS: _PRESSURE,
    Kind.DENSITY: {"kg/m^3": 1.0, "g/cm^3": 1e3, "oz/in^3": OUNCE / INCH**3, "lb/in^3": POUND / INCH**3},
    Kind.STIFFNESS: {"N m^2": 1.0, "N*m^2": 1.0, "lb in^2": POUND * STANDARD_GRAVITY * INCH**2},
    Kind.ANGLE: {"deg": math.pi / 180, "°": math.pi / 180, "rad": 1.0},
    Kind.TEMPERATURE: {"K": 1.0},
    Kind.HUMIDITY: {"%": 0.01},
    Kind.MOISTURE: {"%": 0.01},
    Kind.TIME: {"s": 1.0, "min": 60.0, "h": 3600.0, "hours": 3600.0, "day": 86400.0, "days": 86400.0},
    Kind.EXPANSION: {"/K": 1.0, "/degC": 1.0, "/°C": 1.0, "/degF": 9 / 5, "/°F": 9 / 5},
}
"""SI value of one of each unit of the trade, by kind."""

CELSIUS, FAHRENHEIT = (1.0, 273.15), (5 / 9, 459.67 * 5 / 9)
"""Size of a degree [K] and where the scale's zero lies [K]."""

_DEGREES = re.compile(r"(?:deg(?:rees?)?\.? *|[°º] *)?(?:(c|celsius)|f|fahrenheit)", re.IGNORECASE)
_POWER = re.compile(r"(?<=[A-Za-z])([23])(?![0-9])")  # kg/m3
_PLAINLY = {unit.lower(): unit for unit in ("psi", "ksi", "oz", "lb", "kg", "GPa")}  # MPa and mPa are not the same
_PLAINLY |= {"lbs": "lb", "ounces": "oz", "pounds": "lb", "grams": "g", "gram": "g"}
_QUANTITY = re.compile(rf"([-+]?(?:[0-9]+(?:[.,][0-9]*)?[eE][-+]?[0-9]{{1,3}}|{NUMERAL})) *([^0-9 ].*)?")
SMALLEST, LARGEST = 1e-15, 1e15
_UNIT = re.compile(r"[A-Za-zµ°_]+(?:\^-?[1-9])?(?: ?[*/·] ?[A-Za-zµ°_]+(?:\^-?[1-9])?)*")


def parse_quantity(text: object, kind: Kind, bare: str | None = None) -> float:
    """Read a quantity of ``kind`` with its unit; the value in SI [kg], [N], [Pa], [kg/m^3], [rad], [K], [s] or [-].

    ``bare``, the unit of the bare lengths beside it, only chooses the example that a refusal gives. Raises
    :class:`BadInput` for a bare number, an unknown unit, a unit of another kind, or a value that no bench has (over
    1e15 or, unless 0, under 1e-15).

    >>> round(parse_quantity("0.668 oz/in^3", Kind.DENSITY), 1), round(parse_quantity("1.15 g/cm3", Kind.DENSITY))
    (1155.6, 1150)
    """
    try:
        return _parsed(text, kind)
    except BadInput as fault:
        raise BadInput(fault.what, remedy=f"Write it like {kind.example(bare)}") from None


def _parsed(text: object, kind: Kind) -> float:
    """The value in SI; the refusal without its example."""
    if not isinstance(text, str):
        raise _refusal(str(text), kind, f"{kind.one} needs its unit")
    tidy = plain(text) if len(text) <= LONGEST else ""
    match = _QUANTITY.fullmatch(tidy)
    if not match:
        raise _refusal(text, kind, f"this is not {kind.one}")
    number, unit = _number(match[1], kind, text), _POWER.sub(r"^\1", (match[2] or "").strip())
    unit = _PLAINLY.get(unit.lower(), unit)
    if not unit:
        raise _refusal(text, kind, f"{kind.one} needs its unit")
    if kind is Kind.TEMPERATURE and (degrees := _DEGREES.fullmatch(unit)):
        slope, offset = CELSIUS if degrees[1] else FAHRENHEIT
        si = number * slope + offset
    elif unit in COMMON[kind]:
        si = number * COMMON[kind][unit]
    elif unit == "gr":
        raise _refusal(text, kind, "gr may be grains or grams: write grain or g")
    elif kind.unit == "-":  # to pint an angle or a count is a number without a unit too
        raise _refusal(text, kind, f"{unit} does not measure {kind.one}")
    else:
        si = _through_pint(number, unit, kind, text)
    if kind is Kind.TEMPERATURE and si < 0:
        raise _refusal(text, kind, "this is below absolute zero")
    if si and not SMALLEST < abs(si) < LARGEST:
        raise _refusal(text, kind, f"the value is too {'small' if abs(si) < 1 else 'large'}")
    return si


def _number(numeral: str, kind: Kind, text: str) -> float:
    """The value of a decimal, fraction or power of ten."""
    bare = numeral.lstrip("+-")
    sign = -1.0 if numeral.startswith("-") else 1.0
    try:
        return sign * (float(bare.replace(",", ".")) if "e" in bare.lower() else float(value(bare)))
    except (ValueError, OverflowError) as fault:
        raise _refusal(text, kind, str(fault)) from None


def _refusal(text: str, kind: Kind, fault: str) -> BadInput:
    return BadInput(f"{quoted(text)} cannot be read as {kind.one}: {fault}")


@cache
def _registry() -> UnitRegistry[float]:
    """The one registry of units, made when a unit outside :data:`COMMON` is first met."""
    from pint import UnitRegistry

    return UnitRegistry()


def _through_pint(number: float, unit: str, kind: Kind, text: str) -> float:
    """SI value of ``number`` of a ``unit`` of ``kind``, by pint; a load given as a mass is its weight."""
    if not _UNIT.fullmatch(unit):
        raise _refusal(text, kind, f"{unit} is not a unit")
    from pint import DimensionalityError, OffsetUnitCalculusError, UndefinedUnitError

    registry = _registry()
    try:
        given = registry.Quantity(number, registry.Unit(unit))
        wants_radians = kind is Kind.ANGLE  # a percent has no dimension either
        if "delta_" in str(given.units) or (
            wants_radians and registry.get_root_units(given.units)[1] != registry.Unit("rad")
        ):
            raise _refusal(text, kind, f"{unit} does not measure {kind.one}")
        if kind in (Kind.LOAD, Kind.STRESS, Kind.MODULUS) and given.check(_as_mass(kind)):
            return float(given.to(f"{kind.unit} / (m/s^2)").magnitude) * STANDARD_GRAVITY
        return float(given.to(kind.unit).magnitude)
    except (UndefinedUnitError, ValueError):
        raise _refusal(text, kind, f"{unit} is not a unit known here") from None
    except (DimensionalityError, OffsetUnitCalculusError):
        raise _refusal(text, kind, f"{unit} does not measure {kind.one}") from None


def _as_mass(kind: Kind) -> str:
    return "[mass]" if kind is Kind.LOAD else "[mass]/[length]**2"

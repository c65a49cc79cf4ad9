"""Fuzzed weights, stresses and the rest: a number or one of our refusals, and the number is pint's own."""

from __future__ import annotations

from math import isfinite
from random import Random

import pytest
from pint import UnitRegistry

from culmwright.measure.errors import BadInput
from culmwright.measure.quantities import COMMON, Kind, parse_quantity

CASES = 20_000

NUMBERS = [
    "0",
    "1",
    "30",
    "-4",
    "+0.5",
    "4,4",
    ".22",
    ",5",
    "1e3",
    "1E-3",
    "1e999",
    "1e-999",
    "3 1/2",
    "½",
    "",
    "nan",
    "١",
]
UNITS = [
    *sorted({unit for units in COMMON.values() for unit in units}),
    *("m", "s", "in", "lbf", "kgf", "ozf", "slug", "stone", "bar", "atm", "degC", "degF", "°C", "celsius", "kelvin"),
    *("percent", "dB", "Np", "turn", "arcmin", "radian", "sr", "count", "bit", "nan", "inf", "pi", "e", "i", "j"),
    *("lambda", "None", "and", "import", "__class__", "_", "µ", "µm", "mpsi", "Mpa", "kN", "dyne", "pint", "t", "hp"),
]
JOINS = ["*", "/", "·", " ", "^2", "^-1", "^9", "**2", "³", "^", "(", ")", "%", ";", "\n", "\x00"]


def some_text(draw: Random) -> str:
    unit = draw.choice(UNITS)
    for _ in range(draw.choice((0, 0, 0, 1, 2))):
        unit += draw.choice(JOINS) + draw.choice((*UNITS, ""))
    text = draw.choice(NUMBERS) + draw.choice(("", " ", "  ")) + unit
    if draw.random() < 0.1:
        i = draw.randrange(len(text) + 1)
        text = text[:i] + draw.choice("0.,-+/^ eE°µ'\"") + text[i:]
    return text


@pytest.mark.parametrize("kind", Kind, ids=lambda kind: kind.name)
def test_a_quantity_or_a_refusal(kind, draw, depth, bounded):
    for _ in range(CASES // len(Kind) * depth):
        text = some_text(draw)
        with bounded():
            try:
                value = parse_quantity(text, kind)
            except BadInput as refusal:
                assert str(refusal).endswith(f"Write it like {kind.example()}.")
                continue
        assert isinstance(value, float) and isfinite(value), text
        assert value == 0 or 1e-15 < abs(value) < 1e15, text


ODD_OBJECTS = [None, 3, 3.5, True, b"4 oz", ["4 oz"], {"4": "oz"}, object(), float("nan")]


@pytest.mark.parametrize("kind", Kind, ids=lambda kind: kind.name)
def test_what_is_no_text_is_refused(kind):
    for thing in ODD_OBJECTS:
        with pytest.raises(BadInput, match="needs its unit"):
            parse_quantity(thing, kind)


def test_numbers_agree_with_pint(draw, depth):
    """Every unit of every kind, with prefixes pint knows, at random sizes."""
    pint = UnitRegistry()
    given = {
        Kind.MASS: ("kg", "stone", "slug", "mg", "Mg", "pound", "ounce", "carat"),
        Kind.STRESS: ("Pa", "hPa", "bar", "atm", "psi", "N/cm^2", "J/m^3", "torr", "lbf/ft^2"),
        Kind.LOAD: ("N", "kN", "lbf", "ozf", "kgf", "dyne", "J/m", "kg*m/s^2"),
        Kind.DENSITY: ("kg/m^3", "g/L", "lb/ft^3", "slug/ft^3", "mg/mm^3"),
        Kind.STIFFNESS: ("N*m^2", "kN*mm^2", "lbf*ft^2", "J*m"),
        Kind.ANGLE: ("degree", "mrad", "arcmin", "arcsecond", "turn", "gradian"),
    }
    for _ in range(600 * depth):
        kind = draw.choice(tuple(given))
        unit, number = draw.choice(given[kind]), round(draw.uniform(-100, 100), draw.randint(0, 6))
        expected = pint.Quantity(number, unit).to(kind.unit.replace("N m^2", "N*m^2")).magnitude
        assert parse_quantity(f"{number} {unit}", kind) == pytest.approx(expected, rel=1e-12), (number, unit)

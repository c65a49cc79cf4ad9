"""Weights, stresses and the rest: typed text with a unit to SI, or one sentence why not."""

from __future__ import annotations

import math

import pytest
from pint import UnitRegistry

from culmwright.measure.errors import BadInput
from culmwright.measure.quantities import COMMON, Kind, parse_quantity

EXACT = 1e-12  # relative: a few roundings of a double

PINT = {"gr": "grain", "°": "degree", "N m^2": "N*m^2", "lb in^2": "lbf*in^2", "oz/in^2": "ozf/in^2"}
PINT["lb/in^2"] = "lbf/in^2"
PINT |= {"%": "percent", "/K": "1/K", "/degC": "1/delta_degC", "/°C": "1/delta_degC"}
PINT |= {"/degF": "1/delta_degF", "/°F": "1/delta_degF", "-": "dimensionless"}
"""How pint spells a unit of ours, where it is not the same text."""

EVERY_UNIT = [(kind, unit) for kind in Kind for unit in COMMON[kind]]


@pytest.fixture(scope="module")
def pint():
    return UnitRegistry()


@pytest.mark.parametrize(("kind", "unit"), EVERY_UNIT, ids=lambda value: getattr(value, "name", value))
def test_every_constant_is_pints(pint, kind, unit):
    one = pint.Quantity(1.0, PINT.get(unit, unit))
    if kind is Kind.LOAD and one.check("[mass]"):  # a mass stands for its weight at standard gravity
        one *= pint.standard_gravity
    si = {"N m^2": "N*m^2", "-": "dimensionless"}.get(kind.unit, kind.unit)
    assert COMMON[kind][unit] == pytest.approx(one.to(si).magnitude, rel=EXACT)


@pytest.mark.parametrize("kind", Kind, ids=lambda kind: kind.name)
def test_the_example_of_every_kind_reads(kind):
    assert parse_quantity(kind.example("in"), kind) > 0
    assert parse_quantity(kind.example("mm"), kind) > 0


READS = [
    ("30 GPa", Kind.MODULUS, 30e9),
    ("30GPa", Kind.MODULUS, 30e9),
    ("3e10 Pa", Kind.MODULUS, 30e9),
    ("3.0E+10 Pa", Kind.MODULUS, 30e9),
    ("4,4 Mpsi", Kind.MODULUS, 4.4e6 * 6894.757293168361),
    ("-0.5 g", Kind.MASS, -0.0005),
    ("+0.5 g", Kind.MASS, 0.0005),
    (".5 g", Kind.MASS, 0.0005),
    ("0 oz", Kind.MASS, 0.0),
    ("60 deg", Kind.ANGLE, math.pi / 3),
    ("60°", Kind.ANGLE, math.pi / 3),
    ("0.668 oz/in³", Kind.DENSITY, 0.668 * 0.028349523125 / 0.0254**3),
    # through pint
    ("1 stone", Kind.MASS, 14 * 0.45359237),
    ("1 lbf", Kind.LOAD, 4.4482216152605),
    ("1 kgf", Kind.LOAD, 9.80665),
    ("1 stone", Kind.LOAD, 14 * 4.4482216152605),
    ("1 kg/mm^2", Kind.STRESS, 9.80665e6),
    ("1 kg/mm²", Kind.MODULUS, 9.80665e6),
    ("1 bar", Kind.STRESS, 1e5),
    ("1 kg·m/s^2", Kind.LOAD, 1.0),
    ("1 lb/ft^3", Kind.DENSITY, 0.45359237 / 0.3048**3),
    ("1 turn", Kind.ANGLE, 2 * math.pi),
    ("60 arcmin", Kind.ANGLE, math.pi / 180),
    ("1 kN*m^2", Kind.STIFFNESS, 1000.0),
    # water and heat
    ("50%", Kind.HUMIDITY, 0.5),
    ("50%", Kind.HUMIDITY, 0.5),
    ("62,5%", Kind.HUMIDITY, 0.625),
    ("140%", Kind.HUMIDITY, 1.4),  # read here, refused as air
    ("-0.5%", Kind.MOISTURE, -0.005),
    ("30 min", Kind.TIME, 1800.0),
    ("1 1/2 h", Kind.TIME, 5400.0),
    ("2 days", Kind.TIME, 172_800.0),
    ("2 weeks", Kind.TIME, 1_209_600.0),
    ("23.6e-6 /K", Kind.EXPANSION, 23.6e-6),
    ("1.2e-4/K", Kind.EXPANSION, 1.2e-4),
    ("13.1e-6 /degF", Kind.EXPANSION, 23.58e-6),
    ("23.6 ppm/K", Kind.EXPANSION, 23.6e-6),
]


@pytest.mark.parametrize(("text", "kind", "si"), READS, ids=lambda value: getattr(value, "name", value))
def test_quantities_read(text, kind, si):
    assert parse_quantity(text, kind) == pytest.approx(si, rel=EXACT)


# Fixed points of the scales, exact by definition: ice 273.15 K, and 20 degC = 68 degF (ISO 1, reference temperature).
TEMPERATURES = [
    ("0 degC", 273.15),
    ("32 degF", 273.15),
    ("20 degC", 293.15),
    ("68 degF", 293.15),
    ("68 °F", 293.15),
    ("20°C", 293.15),
    ("-40 degC", 233.15),
    ("-40 degF", 233.15),
    ("212 degF", 373.15),
    ("293.15 K", 293.15),
    ("20 celsius", 293.15),
    ("68 fahrenheit", 293.15),
    ("68 degreeF", 293.15),
    ("527.67 degR", 293.15),
    ("68 F", 293.15),
    ("68F", 293.15),
    ("20 C", 293.15),
    ("-40C", 233.15),
    ("300 C", 573.15),
]


@pytest.mark.parametrize(("text", "kelvin"), TEMPERATURES)
def test_temperatures_have_their_offset(text, kelvin):
    assert parse_quantity(text, Kind.TEMPERATURE) == pytest.approx(kelvin, abs=1e-9)


REFUSED = [
    (
        "30",
        Kind.MODULUS,
        '"30" cannot be read as a modulus: a modulus needs its unit. Write it like 4.4 Mpsi or 30 GPa.',
    ),
    (30, Kind.MODULUS, '"30" cannot be read as a modulus: a modulus needs its unit. Write it like 4.4 Mpsi or 30 GPa.'),
    (True, Kind.MASS, '"True" cannot be read as a mass: a mass needs its unit. Write it like 0.22 oz or 6.2 g.'),
    ("60", Kind.ANGLE, '"60" cannot be read as an angle: an angle needs its unit. Write it like 60 deg.'),
    ("", Kind.LOAD, '"" cannot be read as a load: this is not a load. Write it like 4 oz or 100 g.'),
    ("four oz", Kind.LOAD, '"four oz" cannot be read as a load: this is not a load. Write it like 4 oz or 100 g.'),
    ("1 2 oz", Kind.LOAD, '"1 2 oz" cannot be read as a load: this is not a load. Write it like 4 oz or 100 g.'),
    (
        "4 gribbles",
        Kind.LOAD,
        '"4 gribbles" cannot be read as a load: gribbles is not a unit known here. Write it like 4 oz or 100 g.',
    ),
    (
        "4 nan",
        Kind.LOAD,
        '"4 nan" cannot be read as a load: nan is not a unit known here. Write it like 4 oz or 100 g.',
    ),
    ("4 m", Kind.LOAD, '"4 m" cannot be read as a load: m does not measure a load. Write it like 4 oz or 100 g.'),
    ("4 N", Kind.MASS, '"4 N" cannot be read as a mass: N does not measure a mass. Write it like 0.22 oz or 6.2 g.'),
    (
        "4 GPa",
        Kind.DENSITY,
        '"4 GPa" cannot be read as a density: GPa does not measure a density. '
        "Write it like 0.668 oz/in^3 or 1155 kg/m^3.",
    ),
    (
        "60 percent",
        Kind.ANGLE,
        '"60 percent" cannot be read as an angle: percent does not measure an angle. Write it like 60 deg.',
    ),
    ("1 dB", Kind.ANGLE, '"1 dB" cannot be read as an angle: dB does not measure an angle. Write it like 60 deg.'),
    (
        "3 degC^2",
        Kind.TEMPERATURE,
        '"3 degC^2" cannot be read as a temperature: degC^2 does not measure a temperature. '
        "Write it like 68 F or 20 C.",
    ),
    (
        "-300 degC",
        Kind.TEMPERATURE,
        '"-300 degC" cannot be read as a temperature: this is below absolute zero. Write it like 68 F or 20 C.',
    ),
    ("50", Kind.HUMIDITY, '"50" cannot be read as a humidity: a humidity needs its unit. Write it like 50%.'),
    (
        "50 rad",
        Kind.HUMIDITY,
        '"50 rad" cannot be read as a humidity: rad does not measure a humidity. Write it like 50%.',
    ),
    (
        "6 percent",
        Kind.MOISTURE,
        '"6 percent" cannot be read as a moisture content: percent does not measure a moisture content. '
        "Write it like 6%.",
    ),
    ("30 m", Kind.TIME, '"30 m" cannot be read as a time: m does not measure a time. Write it like 30 min.'),
    (
        "12 /in",
        Kind.EXPANSION,
        '"12 /in" cannot be read as a thermal expansion: /in is not a unit. Write it like 13.1e-6 /degF or 23.6e-6 /K.',
    ),
    ("4 oz; rm", Kind.LOAD, '"4 oz; rm" cannot be read as a load: oz; rm is not a unit. Write it like 4 oz or 100 g.'),
    (
        "1e999 kg",
        Kind.MASS,
        '"1e999 kg" cannot be read as a mass: the value is too large. Write it like 0.22 oz or 6.2 g.',
    ),
    (
        "1e300 kg",
        Kind.MASS,
        '"1e300 kg" cannot be read as a mass: the value is too large. Write it like 0.22 oz or 6.2 g.',
    ),
    (
        "1e-300 Pa",
        Kind.STRESS,
        '"1e-300 Pa" cannot be read as a stress: the value is too small. Write it like 14000 psi or 96 MPa.',
    ),
]


@pytest.mark.parametrize(("text", "kind", "sentence"), REFUSED)
def test_refusals_say_what_and_how(text, kind, sentence):
    with pytest.raises(BadInput) as refusal:
        parse_quantity(text, kind)
    assert str(refusal.value) == sentence


@pytest.mark.parametrize("text", ["3 17/16 oz", "1/0 oz", "4 gr", "4 oz oz", "0x4 oz", "4 oz" + " " * 80])
def test_what_could_be_misread_is_refused(text):
    with pytest.raises(BadInput, match="cannot be read as a load"):
        parse_quantity(text, Kind.LOAD)


@pytest.mark.parametrize(
    ("text", "ounces"), [("1/2 oz", 0.5), ("½ oz", 0.5), ("3 1/2 oz", 3.5), ("3-1/2 oz", 3.5), ("0,5 oz", 0.5)]
)
def test_weights_are_typed_like_lengths(text, ounces):
    """An ounce is 28.349523125 g (international pound, 1959)."""
    assert parse_quantity(text, Kind.MASS) == pytest.approx(ounces * 0.028349523125, rel=1e-12)

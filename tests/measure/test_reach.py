"""Sizes no bench has are a slip of the unit; the display of what was typed; a line of a table in its cells."""

from __future__ import annotations

import pytest
from pint import UnitRegistry

from culmwright.measure.columns import columns
from culmwright.measure.errors import BadInput
from culmwright.measure.quantities import Kind, parse_quantity
from culmwright.measure.reach import Size, must_reach
from culmwright.measure.typed_unit import display_typed

INCH = 0.0254

SLIPS = [  # a size as a maker in millimetres types it, read in inches; and the other way round (common practice)
    (Size.STRIP, 7.1, "in", "no strip of a rod is 7.1 in high", "write 7.1 mm, or add --units metric"),
    (Size.STRIP, 0.19, "mm", "no strip of a rod is 0.19 mm high", "write 0.19 in, or add --units inch"),
    (Size.WALL, 8, "in", "no culm's wall is 8 in thick", "write 8 mm"),
    (Size.BEND, 250, "in", "no strip is bent to a radius of 250 in", "write 250 mm"),
    (Size.BEND, 10, "mm", "no strip is bent to a radius of 10 mm", "write 10 in"),
    (Size.SPOT, 16, "in", "no flat spot of a node is 16 in long", "write 16 mm"),
    (Size.ROD, 1400, "in", "no rod is 1400 in long", "write 1400 mm"),
    (Size.ROD, 90, "mm", "no rod is 90 mm long", "write 90 in"),
    (Size.ACROSS, 1.74, "in", "no rod is 1.74 in across", "write 1.74 mm"),
    (Size.READING, 8.011, "in", "no gauge over a strip reads 8.011 in", "write 8.011 mm"),
    (Size.PIN, 6.35, "in", "no pin in a block for strips is 6.35 in across", "write 6.35 mm"),
    (Size.STRIP, 5000, "in", "no strip of a rod is 5000 in high", "Look at the number and its unit"),
]


@pytest.mark.parametrize(("kind", "number", "bare", "what", "remedy"), SLIPS)
def test_a_size_nothing_has_is_asked_about_with_the_likelier_unit(kind, number, bare, what, remedy):
    with pytest.raises(BadInput) as refusal:
        must_reach(kind, number * {"in": INCH, "mm": 1e-3}[bare], bare, "here")
    assert (refusal.value.what, refusal.value.where) == (what, "here")
    assert remedy in refusal.value.remedy


MADE = [  # what rods are made of: common practice, no source
    *((Size.STRIP, one) for one in (0.6e-3, 0.030 * INCH, 0.28 * INCH, 7.1e-3, 0.4 * INCH)),
    *((Size.WALL, one) for one in (0.2 * INCH, 11.5e-3, 0.5 * INCH)),
    *((Size.BEND, one) for one in (6 * INCH, 10 * INCH, 250e-3)),
    *((Size.ROD, one) for one in (5 * 12 * INCH, 1.4, 2.4, 15 * 12 * INCH)),
    *((Size.ACROSS, one) for one in (0.055 * INCH, 1.74e-3, 0.6 * INCH)),
    *((Size.PIN, one) for one in (0.125 * INCH, 6e-3, 0.25 * INCH)),
]


@pytest.mark.parametrize(("kind", "size"), MADE)
def test_what_is_made_is_let_through(kind, size):
    assert must_reach(kind, size, "in", "") == size


TYPED = [
    (["7,1 mm", "4.03"], "metric"),
    (["4.03", "7.1mm"], "metric"),
    (["2.4 m"], "metric"),
    (["5 microns"], "metric"),
    (["1/2 in", "3 mm"], "metric"),
    (["180 °C for 10 min"], "metric"),
    (["21C"], "metric"),
    (["20 deg C"], "metric"),
    (["412,3 g"], "metric"),
    (["7' 6\""], "inch"),
    (["⅜ in"], "inch"),
    (["62.5 thou", None], "inch"),
    (["250 F for 30 min"], "inch"),
    (["6.7 oz"], "inch"),
    (["0.25=6.35", "7"], None),
    (["50%", "30 min", "60 deg"], None),
    ([None, ""], None),
]


@pytest.mark.parametrize(("texts", "name"), TYPED)
def test_the_display_of_what_was_typed(texts, name):
    found = display_typed(texts)
    assert (None if found is None else found.name) == name


CELLS = [
    ("0;1,74;1,76", ["0", "1,74", "1,76"]),
    ("0\t1,74\t1,76", ["0", "1,74", "1,76"]),
    ("0 1,74  1,76", ["0", "1,74", "1,76"]),
    ("0 mm\t1,74 mm\t1,76 mm", ["0 mm", "1,74 mm", "1,76 mm"]),
    ("0 1.74 1.76", ["0", "1.74", "1.76"]),
    ("0,1.74,1.76", ["0", "1.74", "1.76"]),
    ("0, 1.74, 1.76", ["0", "1.74", "1.76"]),
    ('0,"1,74","1,76"', ["0", "1,74", "1,76"]),
    ("25 3/16, 0.130, 0.131", ["25 3/16", "0.130", "0.131"]),
    ('9",0.1 in,0.2 in', ['9"', "0.1 in", "0.2 in"]),
    ("0;1,74;", ["0", "1,74", ""]),
    ("1,5", ["1", "5"]),
    ("", []),
]


@pytest.mark.parametrize(("line", "cells"), CELLS)
def test_a_line_in_its_cells(line, cells):
    assert columns(line) == cells


SPELT = [
    ("1.15 g/cm3", Kind.DENSITY, "1.15 g/cm^3"),
    ("1.15 g/cm³", Kind.DENSITY, "1.15 g/cm^3"),
    ("1150 kg/m3", Kind.DENSITY, "1150 kg/m^3"),
    ("0.668 oz/in3", Kind.DENSITY, "0.668 oz/in^3"),
    ("95 N/mm2", Kind.STRESS, "95 N/mm^2"),
    ("14000 PSI", Kind.STRESS, "14000 lbf/in^2"),
    ("14 ksi", Kind.STRESS, "14000 lbf/in^2"),
    ("30 gpa", Kind.MODULUS, "30 GPa"),
    ("12 N m2", Kind.STIFFNESS, "12 N*m^2"),
    ("4 lbs", Kind.MASS, "4 lb"),
    ("3 ounces", Kind.MASS, "3 oz"),
    ("5 grams", Kind.MASS, "5 g"),
    ("50 gram", Kind.MASS, "50 g"),
]


@pytest.mark.parametrize(("text", "kind", "same"), SPELT)
def test_common_spellings_are_what_pint_says_they_are(text, kind, same):
    si = {"N m^2": "N*m^2"}.get(kind.unit, kind.unit)
    assert parse_quantity(text, kind) == pytest.approx(UnitRegistry().Quantity(same).to(si).magnitude, rel=1e-12)


@pytest.mark.parametrize("text", ["20 deg C", "20 degrees C", "20 ° C", "20 ºC", "20 c", "20 deg. C", "20 Celsius"])
def test_degrees_are_read_as_they_are_typed(text):
    assert parse_quantity(text, Kind.TEMPERATURE) == pytest.approx(293.15, abs=1e-9)
    warm = text.replace("20", "68").replace("Celsius", "Fahrenheit").replace("C", "F").replace(" c", " f")
    assert parse_quantity(warm, Kind.TEMPERATURE) == pytest.approx(293.15, abs=1e-9)


@pytest.mark.parametrize("text", ["5 mpa", "5 N/m4", "5 kg/mm33"])
def test_what_could_be_another_unit_is_not_guessed(text):
    """A millipascal is no megapascal, and no power is put right that is not one of an area or a volume."""
    with pytest.raises(BadInput):
        parse_quantity(text, Kind.STRESS)

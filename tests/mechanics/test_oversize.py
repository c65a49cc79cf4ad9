"""What a little more across is worth: against rods drawn so, and powers of the thickness."""

from __future__ import annotations

import re

import pytest

from culmwright.design.rod_file import rod_from_text
from culmwright.mechanics.oversize import oversize
from culmwright.workshop.bending import bend
from culmwright.workshop.bouncing import bounce
from culmwright.workshop.starting import rod_text

STEP = 0.001  # [in]
LOAD = 0.3  # [N]


def drawn(more_tip, more_butt):
    """A rod of two sections drawn with so much more across [in] in either, by the file's own means."""
    text = rod_text("thrimble-beck")
    stations, across = (
        [
            float(x)
            for x in re.search(rf"(?m)^{name}\s*= \[([^\]]*)\]", text)[1].replace("\n", "").split(",")
            if x.strip()
        ]
        for name in ("stations", "across")
    )
    tip = [(x, d + more_tip) for x, d in zip(stations, across, strict=True) if x <= 45]
    butt = "across = [" + ", ".join(f"{d + more_butt:.5f}" for d in across) + "]"
    text = re.sub(r"(?m)^across\s*= \[[^\]]*\]", butt, text)
    table = f"[[tip]]\nstations = {[x for x, _ in tip]}\nacross = {[round(d, 5) for _, d in tip]}\n"
    return rod_from_text(text + "\n" + 2 * table)


@pytest.mark.parametrize(("number", "more"), [(0, (STEP, 0.0)), (1, (0.0, STEP)), (2, (STEP, STEP))])
def test_a_section_drawn_so_is_worth_as_much(number, more):
    """A beam of its own for each rod; at the joint the change is a step there and a ramp of an element here: 4 %.

    What two sections do to the swing nearly cancels, and of that 4 % of either is left.
    """
    nominal, other = drawn(0.0, 0.0), drawn(*more)
    found = oversize(nominal, LOAD, STEP * 0.0254)[number]
    assert found.section == ("T1", "B", "")[number]
    assert found.drop == pytest.approx(bend(other, LOAD).tip_drop - bend(nominal, LOAD).tip_drop, rel=0.04)
    rate = bounce(other).modes[0].frequency - bounce(nominal).modes[0].frequency
    assert found.rate == pytest.approx(rate, rel=0.04, abs=6e-4)


EVEN = (
    'culmwright = 1\nunits = "inch"\n[rod]\nsides = {}\nlength = 60\n[taper]\nstations = [0, 60]\nacross = [0.2, 0.2]\n'
)


@pytest.mark.parametrize(("sides", "to_apothem"), [(4, 0.5), (6, 0.5), (5, 0.8090169943749475 / 1.8090169943749475)])
def test_an_even_rod_follows_the_powers_of_its_thickness(sides, to_apothem):
    """EI as d^4; a rod without weight beyond its own swings as d. Regular polygons: across to apothem, by hand."""
    rod = rod_from_text(EVEN.format(sides))
    (found,) = oversize(rod, LOAD, STEP * 0.0254)
    assert (found.section, found.step) == ("B", pytest.approx(2.54e-5))
    times = 1 + STEP * to_apothem / (0.2 * to_apothem)
    assert found.thin_end == pytest.approx(times**4 - 1, rel=1e-9)
    assert found.thick_end == pytest.approx(times**4 - 1, rel=1e-9)
    assert found.rate == pytest.approx((times - 1) * bounce(rod).modes[0].frequency, rel=1e-6)
    assert found.drop < 0


def test_a_little_load_moves_a_tip_by_the_power_of_the_thickness():
    """``P L^3/(3 EI)``: what its own weight takes goes as d^2/d^4. Cane so light that it has a thousandth in it."""
    rod = rod_from_text(EVEN.format(6).replace("[taper]", "[cane]\ndensity = '0.0001 oz/in^3'\n[taper]"))
    (found,) = oversize(rod, 1e-2, STEP * 0.0254)
    drop = bend(rod, 1e-2).tip_drop
    assert found.drop == pytest.approx(drop * ((0.2 / 0.201) ** 4 - 1), rel=2e-3)


def test_varnish_does_not_bend():
    """A thousandth more over varnish is a thousandth more of cane: of a thinner rod's, so worth more."""
    (found,) = oversize(rod_from_text(EVEN.format(6) + "varnish = 0.01\n"), LOAD, STEP * 0.0254)
    assert found.thin_end == pytest.approx((0.181 / 0.18) ** 4 - 1, rel=1e-9)


HOLLOW = "\n[hollow]\nstations = [10, 50]\nwall = 0.03\n"
GRADED = '[cane]\nouter_over_inner = 8\nculm_wall = "0.3 in"\n'


@pytest.mark.parametrize("cane", ["", GRADED], ids=["even", "graded"])
@pytest.mark.parametrize("hollow", ["", HOLLOW], ids=["solid", "hollow"])
def test_a_rod_drawn_thicker_with_the_same_wall_is_worth_as_much(hollow, cane):
    """A beam drawn anew: of a hollow whose wall stays only the wall gets longer, so it gains less than its size; a
    stouter section of graded cane reaches deeper into it, so it stiffens less. Nothing is left out but rounding.
    """
    drawn = EVEN.format(6).replace("[taper]", f"{cane}[taper]") + hollow
    thin, thick = (rod_from_text(drawn.replace("0.2, 0.2", f"{d}, {d}")) for d in (0.2, 0.201))
    (found,) = oversize(thin, LOAD, STEP * 0.0254)
    assert found.drop == pytest.approx(bend(thick, LOAD).tip_drop - bend(thin, LOAD).tip_drop, rel=1e-6)
    rate = bounce(thick).modes[0].frequency - bounce(thin).modes[0].frequency
    assert found.rate == pytest.approx(rate, rel=1e-6)


def test_a_ferrule_gets_no_heavier():
    """What a sleeve weighs is its own: cane so light that all the mass is the ferrule's swings by its stiffness alone.

    ``f^2`` goes with EI where the mass stays: ``(d'/d)^2`` of it; what cane weighs is a hundredth of the ferrule.
    """
    text = EVEN.format(6).replace("[taper]", "[cane]\ndensity = '0.0001 oz/in^3'\n[taper]")
    text = text.replace("sides = 6", "sides = 6\npieces = 2")
    rod = rod_from_text(text + '[[ferrule]]\nstation = 30\nsize = 13\nmass = "20 g"\nlength = 2\n')
    found = oversize(rod, LOAD, STEP * 0.0254)[-1]
    assert found.rate == pytest.approx(bounce(rod).modes[0].frequency * ((0.201 / 0.2) ** 2 - 1), rel=0.01)

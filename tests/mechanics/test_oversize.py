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

"""Rods of graded cane along their length: one modulus under the enamel, so thick sections bend softer for their size.

Outside: quadrature over the depth of the section itself (scipy's quad), and the drop of a cantilever as the integral of
moment times unit moment over EI (S. P. Timoshenko, *Strength of Materials*; from memory), EI from that quadrature.
"""

from __future__ import annotations

from dataclasses import replace
from itertools import pairwise
from math import pi, tan

import numpy as np
import pytest
from scipy.integrate import quad

from culmwright.design.grading import Grading
from culmwright.design.hollow import Hollow
from culmwright.design.rod_file import rod_from_text
from culmwright.measure.lengths import Length
from culmwright.measure.spot import Spot
from culmwright.mechanics.rod_beam import beam_notes, rod_beam
from culmwright.mechanics.statics import Load, bend_beam
from culmwright.workshop.bars import Held, bar_measured
from culmwright.workshop.explaining import explain
from culmwright.workshop.starting import rod_text

WALLS = ("8 mm", "2.4 mm")  # the second ends within the butt's strips
FINE = 2e-5  # five digits: what four pieces between two stations promise


def graded(text="8 mm", ratio=5.0, name="thrimble-beck", **more):
    rod = rod_from_text(rod_text(name))
    return replace(rod, cane=replace(rod.cane, grading=Grading(ratio, Length.parse(text))), **more)


def hollow(dams=("70 in",)):
    wall = Length.parse("60 thou")
    length = Length.parse("1 in") if dams else None
    places = tuple(Length.parse(one) for one in dams)
    return Hollow((Length.parse("57 in"), Length.parse("78 in")), (wall, wall), places, length)


def law(ratio, wall, depth):
    return 1 / ratio + (1 - 1 / ratio) * max(0.0, 1 - depth / wall)


def over_depth(ratio, wall, power, low, high, face, scraped):
    """Integral of E u^power over a strip between ``low`` and ``high`` from the centre, for 1 under the enamel."""
    end = scraped + face - wall
    return quad(
        lambda u: law(ratio, wall, scraped + face - u) * u**power,
        low, high, points=[end] if low < end < high else None, epsabs=0, epsrel=1e-12,
    )[0]  # fmt: skip


def EI_at(rod, x):
    """EI [N m^2] at ``x`` [m] from the tip, strip by strip from the figure; E told of a section a third of the wall."""
    ratio, wall = rod.cane.grading.ratio, rod.cane.grading.wall.m
    ref = wall / 3
    outer = rod.cane.modulus.value / (4 * over_depth(ratio, wall, 3, 0, ref, ref, 0.0) / ref**4)
    section = next(one for one in rod.assembled() if one.start.m <= x <= one.end.m)
    across = section.taper.at(x)
    n, face, void = rod.sides, rod.bare_apothem(across), rod.void_apothem(x, across)
    t = tan(pi / n)
    return outer * n * t * (3 + t * t) / 3 * over_depth(ratio, wall, 3, void, face, face, rod.making.finish.m)


@pytest.mark.parametrize("wall", WALLS)
@pytest.mark.parametrize("inside", [None, hollow()])
@pytest.mark.parametrize("name", ["thrimble-beck", "ossel-burn", "pellamere-brook"])
def test_the_beam_of_a_graded_rod(name, inside, wall):
    """At both ends of every element, a nanometre inside of it; between them the fourth root of EI is near straight."""
    rod = graded(wall, name=name)
    if inside is not None:
        rod = replace(rod, hollow=inside) if name == "thrimble-beck" else rod
    beam, free = rod_beam(rod), rod.length.m - rod.grip.m
    void = 0.0 if beam.void is None else beam.void
    net = beam.stiffness - void
    for e in range(len(beam.h)):
        for end, s in ((0, beam.s[e] + 2e-9), (1, beam.s[e + 1] - 2e-9)):
            assert net[e, end] == pytest.approx(EI_at(rod, free - s), rel=2 * FINE)


def test_thick_sections_bend_softer_by_the_closed_form():
    """``(1 - c (f + a/5)/T)`` of each, for its size: 5.6 % between a fine tip and a stout butt through 8 mm."""
    rod, even = graded(), rod_from_text(rod_text("thrimble-beck"))
    net = rod_beam(rod).stiffness
    beam = rod_beam(even)
    shares = [net[-1, 1] / beam.stiffness[-1, 1], net[0, 0] / beam.stiffness[0, 0]]
    c, f = 0.8 / 0.008, rod.making.finish.m
    faces = [rod.bare_apothem(rod.taper.at(x)) for x in (0.0, rod.length.m - rod.grip.m)]
    wanted = [(1 - c * (f + a / 5)) / (1 - c * 0.008 / 15) for a in faces]
    assert shares == pytest.approx(wanted, rel=1e-9)
    assert wanted[0] / wanted[1] - 1 > 0.05
    assert f"from {wanted[0] - 1:.1%} stiffer" in " ".join(beam_notes(rod))


@pytest.mark.parametrize("wall", WALLS)
@pytest.mark.parametrize("inside", [None, hollow()])
def test_the_drop_is_the_integral_over_its_sections(inside, wall):
    """``int x^2/EI dx`` from the tip on, for a load that bends little: no own weight."""
    rod = graded(wall, hollow=inside)
    free, P = rod.length.m - rod.grip.m, 1e-4
    cuts = sorted({0.0, free, *(one.m for one in rod.taper.stations if one.m < free), rod.ferrules[0].station.m,
                   *((one.m for one in inside.breaks()) if inside else ())})  # fmt: skip
    wanted = sum(quad(lambda x: x * x / EI_at(rod, x), a + 1e-9, b - 1e-9, epsrel=1e-9)[0] for a, b in pairwise(cuts))
    beam = rod_beam(rod)
    light = replace(beam, density=0 * beam.density, masses=0 * beam.masses)
    assert bend_beam(light, Load(P)).tip_drop / P == pytest.approx(wanted, rel=FINE)


def test_stress_is_that_of_even_cane():
    """M y/I of what is left, as the trade's method has it, whatever the grading."""
    rod = graded(hollow=hollow())
    beam, free = rod_beam(rod), rod.length.m - rod.grip.m
    ends = beam.stress_per_moment()[0]
    for e in range(len(beam.h)):
        x = free - beam.s[e] - 2e-9
        section = next(one for one in rod.assembled() if one.start.m <= x <= one.end.m)
        across = section.taper.at(x)
        a, i = rod.bare_apothem(across), rod.void_apothem(x, across)
        assert ends[e] == pytest.approx(a / (0.0601406530 * 16 * (a**4 - i**4)), rel=1e-4)  # linear between stations


def told(section, E, inertia):
    """A bar over 300 mm, its drops under two weights by P L^3/48 EI."""
    drops = [[f"{P} N", f"{P * 0.3**3 / (48 * E * inertia):.9f} m"] for P in (0.1, 0.2)]
    return {"of": "bar", "drops": drops, "reading": "1 um", "span": "300 mm", "section": section,
            "held": Held.BOTH_ENDS.name, "culm": None}  # fmt: skip


@pytest.mark.parametrize("height", [0.0012, 0.0030, 0.0044])
def test_strips_fine_and_stout_of_one_culm_tell_one_modulus(height):
    """Each about its own axis, ``int E (v - v0)^2 v``: what is measured falls with its height, not what that tells."""
    ratio, wall = 5.0, 0.0026
    outer = 1 / (4 * over_depth(ratio, wall, 3, 0, wall / 3, wall / 3, 0.0) / (wall / 3) ** 4)
    one, two, three = (over_depth(ratio, wall, power, 0, height, height, 0.0) for power in (1, 2, 3))
    as_measured = 36 * (three - two**2 / one) / height**4
    section = {"height": f"{height} m", "apex": "60 deg"}
    kept = told(section, 30e9 * outer * as_measured, 2 * height * tan(pi / 6) * height**3 / 36)
    assert bar_measured(kept, Grading(ratio, Length.parse("2.6 mm"))).value == pytest.approx(30e9, rel=1e-5)
    assert bar_measured(kept).value == pytest.approx(30e9 * outer * as_measured, rel=1e-5)


def test_bars_of_sides_and_bars_nobody_knows_the_lie_of():
    grading = Grading(5.0, Length.parse("8 mm"))
    a = 0.003
    outer = 1 / (4 * over_depth(5.0, 0.008, 3, 0, 0.008 / 3, 0.008 / 3, 0.0) / (0.008 / 3) ** 4)
    softer = outer * 4 * over_depth(5.0, 0.008, 3, 0, a, a, 0.0) / a**4
    six = told({"across": "6 mm", "sides": "6"}, 30e9 * softer, 0.0601406530 * 0.006**4)
    assert bar_measured(six, grading).value == pytest.approx(30e9, rel=1e-5)
    square = told({"width": "5 mm", "depth": "3 mm"}, 30e9, 0.005 * 0.003**3 / 12)
    assert bar_measured(square, grading).value == bar_measured(square).value


def test_the_working_of_the_modulus_at_a_station():
    rod = graded(hollow=hollow())
    found = explain(rod, Spot.parse("B@70in:modulus"))  # on a dam
    assert found.value * 0.0601406530 * 16 * rod.bare_apothem(rod.taper.at(70 * 0.0254)) ** 4 == pytest.approx(
        EI_at(rod, 70 * 0.0254), rel=1e-8
    )
    assert [one.step for one in found.ladder if one.source == "rod file"]
    beside = explain(rod, Spot.parse("B@75in:modulus"))
    a = rod.bare_apothem(rod.taper.at(75 * 0.0254))
    i = a - 0.06 * 0.0254
    assert beside.value * 0.0601406530 * 16 * (a**4 - i**4) == pytest.approx(EI_at(rod, 75 * 0.0254), rel=1e-8)
    assert any(one.step == "apothem of the hollow" for one in beside.ladder)
    even = rod_from_text(rod_text("thrimble-beck"))
    assert "modulus" not in explain(even, Spot.parse("B@70in")).also


def test_even_cane_is_as_it_was():
    """A ratio of one is the rod without a grading; its notes say nothing of one."""
    one, even = rod_beam(graded(ratio=1.0)), rod_beam(rod_from_text(rod_text("thrimble-beck")))
    drops = [bend_beam(beam, Load(0.3)).tip_drop for beam in (one, even)]
    assert drops[0] == pytest.approx(drops[1], rel=1e-6)
    assert not any("under the enamel" in note for note in beam_notes(rod_from_text(rod_text("thrimble-beck"))))
    assert np.all(even.stiffness > 0)

"""Loads: what a rod carries, where, and nothing its file does not list."""

from __future__ import annotations

import pytest

from culmwright.design.rod_file import rod_from_text
from culmwright.mechanics.loads import PointLoad, SpreadLoad, across_at, line_loads, own_loads

INCH = 0.0254

RODS = """
culmwright = 1
units = "inch"
[rod]
sides = 6
length = 90
pieces = 2
tips = 2
{line}
[taper]
stations = [0, 45, 90]
across = [0.07, 0.20, 0.33]
varnish = {varnish}
[[ferrule]]
station = 45
size = 13
{mass}
{guides}
"""


def rod(line: str = "", varnish: str = "0", mass: str = "", guides: str = ""):
    return rod_from_text(RODS.format(line=line, varnish=varnish, mass=mass, guides=guides))


GUIDES = '[guides]\nstations = [0, 4, 60]\nmasses = ["0.5 g", "0.1 g", "0.2 g"]\n'


def masses(loads):
    return {load.name: load.mass_outboard(3.0) for load in loads}


def test_a_bare_file_carries_its_cane_and_nothing_else():
    assert list(masses(own_loads(rod()))) == ["cane"]
    assert line_loads(rod()) == ()


def test_everything_listed_is_carried_by_name():
    full = rod("line = 5", "0.002", 'mass = "6 g"', GUIDES)
    own = masses(own_loads(full))
    assert list(own) == ["cane", "varnish", "ferrule", "tip-top", "guide 1", "guide 2"]
    assert (own["ferrule"], own["tip-top"], own["guide 2"]) == pytest.approx((0.006, 0.0005, 0.0002))
    assert list(masses(line_loads(full))) == ["line beyond the tip", "line in the guides"]


def test_guides_and_ferrules_without_a_mass_add_none():
    loads = own_loads(rod("line = 5", guides="[guides]\nstations = [0, 4, 60]\n"))
    assert list(masses(loads)) == ["cane"]


def test_line_lies_in_the_guides_as_far_as_the_last():
    # 140 grains on 30 ft: the fly-fishing trade association's line standard; 60 in of it lie in the guides.
    beyond, inside = line_loads(rod("line = 5", guides=GUIDES))
    grain = 0.06479891e-3
    assert beyond.mass_outboard(1e-9) == pytest.approx(140 * grain)
    assert inside.mass_outboard(3.0) == pytest.approx(140 * grain * 60 / 360)
    assert inside.mass_outboard(30 * INCH) == pytest.approx(140 * grain * 30 / 360)


def test_two_ferrules_are_numbered():
    three = rod_from_text(
        RODS.format(line="", varnish="0", mass='mass = "6 g"', guides="").replace("pieces = 2", "pieces = 3")
        + '[[ferrule]]\nstation = 70\nsize = 15\nmass = "7 g"\n'
    )
    assert list(masses(own_loads(three)))[1:] == ["ferrule 1", "ferrule 2"]


def test_a_point_load_pulls_only_inboard_of_its_place():
    load = PointLoad("weight", 0.5, 0.1)
    assert load.mass_outboard(0.5) == 0.0
    assert load.mass_outboard(0.51) == 0.1
    assert load.moment_arm(0.4) == 0.0
    assert load.moment_arm(0.7) == pytest.approx(0.02)


def test_a_spread_load_is_exact_to_a_quadratic():
    load = SpreadLoad("cane", (0.0, 0.4, 1.0), lambda x: 3 * x**2)
    assert load.mass_outboard(1.0) == pytest.approx(1.0, rel=1e-14)
    assert load.mass_outboard(0.7) == pytest.approx(0.343, rel=1e-14)
    assert load.moment_arm(1.0) == pytest.approx(1 / 4, rel=1e-14)  # integral of 3 x^2 (1 - x)
    assert load.moment_arm(2.0) == pytest.approx(2 - 3 / 4, rel=1e-14)
    assert load.mass_outboard(0.0) == 0.0


def test_across_at_a_joint_is_that_of_the_piece_nearer_the_butt():
    tips = "[[tip]]\nstations = [0, 50]\nacross = [0.06, 0.16]\n" * 2
    sections = rod(guides=tips).assembled(1)
    assert across_at(sections, 45 * INCH) == pytest.approx(0.20 * INCH)
    assert across_at(sections, 44.999999 * INCH) == pytest.approx(0.15 * INCH, rel=1e-6)
    assert across_at(sections, -1.0) == pytest.approx(0.06 * INCH)


def test_the_mass_changes_with_the_tip_that_is_on():
    tips = "[[tip]]\nstations = [0, 45]\nacross = [0.06, 0.19]\n[[tip]]\nstations = [0, 45]\nacross = [0.08, 0.20]\n"
    two = rod(guides=tips)
    thin, thick = (masses(own_loads(two, tip=tip))["cane"] for tip in (1, 2))
    assert thin < thick

"""What of a rod file gets into its beam: against sums by hand and against the masses of ``check``."""

from __future__ import annotations

import numpy as np
import pytest

from culmwright.design.rod_file import rod_from_text
from culmwright.measure.errors import BadInput
from culmwright.mechanics.beam import Stretch, beam_of
from culmwright.mechanics.modes import first_modes
from culmwright.mechanics.rod_beam import rod_beam
from culmwright.mechanics.statics import Load, bend_beam
from culmwright.mechanics.stress import stress_check
from culmwright.workshop.starting import rod_text

INCH = 0.0254
PLAIN = """
culmwright = 1
units = "inch"
[rod]
sides = {sides}
length = 90
pieces = 2
line = 5
{grip}
[taper]
stations = [0, 40, 90]
across = [0.08, 0.16, 0.3]
varnish = {varnish}
[cane]
modulus = "30 GPa"
[[ferrule]]
station = 45
size = 13
{ferrule}
[guides]
stations = [0, 10, 60]
masses = ["1 g", "2 g", "3 g"]
"""


def rod(sides=6, grip="", varnish=0.002, ferrule='mass = "5 g"'):
    return rod_from_text(PLAIN.format(sides=sides, grip=grip, varnish=varnish, ferrule=ferrule))


@pytest.mark.parametrize("sides", [4, 5, 6])
@pytest.mark.parametrize("varnish", [0, 0.002])
def test_without_a_grip_it_weighs_what_check_says(sides, varnish):
    one = rod(sides, varnish=varnish)
    assert rod_beam(one).mass == pytest.approx(stress_check(one).mass, rel=1e-12)


def test_the_moment_of_weight_at_the_clamp_is_that_of_check():
    """A rod of a stiffness that does not let it bend: the straight rod's moment, load factor 1, no line."""
    text = PLAIN.format(sides=6, grip="", varnish=0.002, ferrule='mass = "5 g"')
    stiff = rod_from_text(text.replace('"30 GPa"', '"1e12 Pa"').replace("line = 5", ""))
    own = [0.0, *stress_check(stiff, load_factor=1.0).stations[-1].parts]
    moment = -bend_beam(rod_beam(stiff), Load()).moment[0]
    assert moment == pytest.approx(sum(own), rel=1e-4)  # it bends all the same, by a hundredth of a radian


@pytest.mark.parametrize(
    ("sides", "shape"), [(4, 1 / 12), (6, 5 * 3**0.5 / 144)], ids=["square d^4/12", "hexagon 5 sqrt(3)/144 d^4"]
)
def test_stiffness_is_that_of_the_bare_cane(sides, shape):
    beam = rod_beam(rod(sides))
    d = (np.interp(90 * INCH - beam.s, np.array([0, 40, 90]) * INCH, [0.08, 0.16, 0.3]) - 0.004) * INCH
    expected = 30e9 * shape * d**4
    assert beam.stiffness[:, 0] == pytest.approx(expected[:-1], rel=1e-9)
    assert beam.stiffness[:, 1] == pytest.approx(expected[1:], rel=1e-9)
    inboard, _ = beam.stress_per_moment()
    assert inboard * beam.stiffness[:, 0] == pytest.approx(30e9 * d[:-1] / 2, rel=1e-9)  # y is half the flats


def test_kinks_masses_and_rings_are_nodes():
    beam = rod_beam(rod(grip="grip = 10"))
    places = [(80 - x) * INCH for x in (80, 60, 45, 40, 10, 0)]
    nodes = [int(np.argmin(np.abs(beam.s - place))) for place in places]
    assert beam.s[nodes] == pytest.approx(places, abs=1e-9)
    assert beam.masses[nodes] == pytest.approx([0, 3e-3, 5e-3, 0, 2e-3, 1e-3])
    assert beam.rings == (nodes[1], nodes[4], nodes[5])
    assert beam.length == pytest.approx(80 * INCH)
    assert list(np.unique(beam.span)) == [0, 1, 2]


def test_what_lies_under_the_grip_is_not_carried():
    long, short = rod_beam(rod()), rod_beam(rod(grip="grip = 20"))
    node = int(np.argmin(np.abs(long.s - 20 * INCH)))
    assert long.s[node] == pytest.approx(20 * INCH)  # the sixteenths of its stretch happen to fall there
    beyond = long.mass - short.mass
    d = np.linspace(0.3, 0.3 - 0.14 * 20 / 50, 2001)
    bare = d - 0.004
    per_length = 0.8660254 * INCH**2 * (1155.6 * bare**2 + 1100 * (d**2 - bare**2))
    assert beyond == pytest.approx(np.trapezoid(per_length, dx=20 * INCH / 2000), rel=1e-4)


def test_a_ferrule_with_length_and_stiffness():
    plain = rod_beam(rod())
    sleeved = rod_beam(rod(ferrule='mass = "5 g"\nlength = 4\nstiffness = "2 N m^2"'))
    inside = np.abs(90 * INCH - (sleeved.s[:-1] + sleeved.s[1:]) / 2 - 45 * INCH) < 2 * INCH
    assert sleeved.tube[inside] == pytest.approx(2.0)
    assert not sleeved.tube[~inside].any()
    assert sleeved.h[inside].sum() == pytest.approx(4 * INCH)
    assert sleeved.mass == pytest.approx(plain.mass, rel=1e-12)
    assert not np.isclose(sleeved.masses, 5e-3).any()
    soft, stiff = (bend_beam(one, Load(0.5)) for one in (plain, sleeved))
    assert stiff.tip_drop < soft.tip_drop
    # Where the sleeve takes its share the cane under it is strained less.
    node = int(np.argmin(np.abs(sleeved.s - 45 * INCH)))
    assert stiff.stress()[node] < 0.5 * soft.stress()[int(np.argmin(np.abs(plain.s - 45 * INCH)))]


def test_a_sleeve_of_closed_form():
    """A uniform beam, EI 1, stiffened to EI 3 over its inner half, small load: drop = P (7/24 + 1/24/3), by hand."""
    half = [Stretch(0, 0.5, (1, 1), (0, 0, 0), tube=2.0), Stretch(0.5, 1, (1, 1), (0, 0, 0))]
    load = 1e-5
    drop = bend_beam(beam_of(half), Load(load, weight=False)).tip_drop
    assert drop == pytest.approx(load * (7 / 24 / 3 + 1 / 24), rel=1e-8)


def test_line_in_the_guides():
    bare, lined = rod_beam(rod()), rod_beam(rod(), line_in_guides=True)
    # 140 grains over 30 ft, from the guide at 60 in to the tip.
    assert lined.mass - bare.mass == pytest.approx(140 * 0.06479891e-3 / (30 * 12) * 60, rel=1e-9)
    assert first_modes(lined)[0].frequency < first_modes(bare)[0].frequency


@pytest.mark.parametrize("tip_side", [0.17, 0.19])
def test_a_step_at_a_joint_is_kept_and_its_thinner_side_is_strained_most(tip_side):
    text = rod_text("thrimble-beck").replace("tips = 2", "tips = 1")
    stepped = rod_from_text(text + f"\n[[tip]]\nstations = [0, 45]\nacross = [0.07, {tip_side}]\n")
    beam = rod_beam(stepped)
    node = int(np.argmin(np.abs(beam.s - 35 * INCH)))
    inboard, outboard = beam.stiffness[node - 1, 1], beam.stiffness[node, 0]
    assert (inboard / outboard) ** 0.25 == pytest.approx((0.179 - 0.004) / (tip_side - 0.004), rel=1e-9)
    bent = bend_beam(beam, Load(0.3))
    d = (min(tip_side, 0.179) - 0.004) * INCH
    section_modulus = 5 * 3**0.5 / 144 * d**4 / (d / 2)
    assert bent.stress()[node] == pytest.approx(abs(bent.moment[node]) / section_modulus, rel=1e-9)


def test_refusals():
    with pytest.raises(BadInput, match="this rod has 1 tip, not a tip 2"):
        rod_beam(rod(), tip=2)
    with pytest.raises(BadInput, match="is off a beam of 1 m"):
        beam_of([Stretch(0, 1, (1, 1), (0, 0, 0))], masses=[(1.5, 0.1)])
    with pytest.raises(BadInput, match="is off a beam of 1 m"):
        beam_of([Stretch(0, 1, (1, 1), (0, 0, 0))], rings=[-0.5])
    with pytest.raises(BadInput, match="stiffness above zero"):
        beam_of([Stretch(0, 1, (0.0, 0.0), (1, 1, 1))])
    with pytest.raises(BadInput, match="without mass does not vibrate"):
        first_modes(beam_of([Stretch(0, 1, (1, 1), (0, 0, 0))]))
    with pytest.raises(BadInput, match="does not go on a tip"):
        first_modes(rod_beam(rod()), -1.0)

"""What a hollow does to a rod: nothing where there is none, and by hand where there is."""

from __future__ import annotations

from math import cos, radians

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from shapely import LineString, Point, box

from culmwright.bench.targets import schedule
from culmwright.design.rod_file import rod_from_text
from culmwright.measure.errors import BadInput
from culmwright.measure.record import to_json
from culmwright.measure.spot import Spot
from culmwright.mechanics.beam import Stretch, beam_of
from culmwright.mechanics.modes import first_modes
from culmwright.mechanics.rod_beam import rod_beam
from culmwright.mechanics.statics import Load, bend_beam
from culmwright.mechanics.stress import stress_check
from culmwright.workshop.explaining import explain
from culmwright.workshop.starting import rod_text

INCH = 0.0254
THRIMBLE = rod_text("thrimble-beck")
HOLLOW = """
[hollow]
stations = [30, 44, 46, 78]
wall = [0.055, 0.060, 0.060, 0.075]
dams = [36, 52]
dam_length = 2
"""
few = settings(max_examples=settings.default.max_examples // 8)


def rod(hollow=HOLLOW, text=THRIMBLE):
    return rod_from_text(text + hollow)


def wall_by_hand(x):
    return np.interp(x / INCH, [30, 44, 46, 78], [0.055, 0.060, 0.060, 0.075]) * INCH


def void_by_hand(x):
    """Apothem of the hollow [m]: half the flats less varnish less wall, none outside the ends and in the dams."""
    place = x / INCH
    if not 30 <= place <= 78 or 35 < place < 37 or 51 < place < 53:
        return 0.0
    plain = rod_from_text(THRIMBLE)
    return plain.taper.at(x) / 2 - 0.002 * INCH - wall_by_hand(x)


def test_stiffness_and_mass_along_the_rod_by_hand():
    beam, solid = rod_beam(rod()), rod_beam(rod(""))
    free = 80 * INCH
    points, weights = np.polynomial.legendre.leggauss(5)
    lost = 0.0
    for e, h in enumerate(beam.h):
        for i, xi in enumerate((points + 1) / 2):
            x = free - (beam.s[e] + xi * h)
            bare, void = rod().taper.at(x) / 2 - 0.002 * INCH, void_by_hand(x)
            # I = 5 sqrt(3)/144 d^4 with d = 2 a: 80 sqrt(3)/144 a^4
            assert 1 / beam.compliance[e, i] == pytest.approx(30e9 * 80 * 3**0.5 / 144 * (bare**4 - void**4), rel=1e-9)
            lost += weights[i] / 2 * h * 2 * 3**0.5 * void**2
    density = rod().cane.density.value
    assert solid.mass - beam.mass == pytest.approx(density * lost, rel=1e-9)
    assert stress_check(rod("")).mass - stress_check(rod()).mass == pytest.approx(density * lost, rel=1e-9)


def test_a_finer_beam_is_the_same_beam():
    beam = rod_beam(rod())
    assert beam.finer().mass == pytest.approx(beam.mass, rel=1e-12)
    coarse, fine = (bend_beam(one, Load(1.0)) for one in (beam, beam.finer()))
    assert fine.tip_drop == pytest.approx(coarse.tip_drop, rel=1e-7)
    assert fine.stress()[::2] == pytest.approx(coarse.stress(), rel=1e-5, abs=1e3)


def test_a_uniform_tube_is_a_cantilever_of_its_own_stiffness():
    """P L^3/3 E(I - I_void) and 3.516015 sqrt(EI/m L^4) (Thomson, Theory of Vibration with Applications, App. D)."""
    hollow = Stretch(0.0, 2.0, (3.0, 3.0), (0.02, 0.02, 0.02), (1.0, 1.0), 0.0, (1.2, 1.2))
    beam = beam_of([hollow])
    bent = bend_beam(beam, Load(1e-4, weight=False))
    assert bent.tip_drop == pytest.approx(1e-4 * 8 / 3 / 1.8, rel=1e-6)
    assert bent.stress()[0] == pytest.approx(1.0 * 1e-4 * 2 / 1.8, rel=1e-6)
    assert 2 * np.pi * first_modes(beam)[0].frequency == pytest.approx(3.516015 * (1.8 / (0.02 * 16)) ** 0.5, rel=1e-6)


def test_a_solid_rod_is_what_it_was_to_the_last_bit():
    """A hollow whose void is nothing at all takes the same way through every sum as no hollow."""
    solid = rod("")
    assert solid.hollow is None
    assert rod_beam(solid).void is None
    beam = rod_beam(solid)
    with_none = beam_of([Stretch(0.0, 1.0, (2.0, 1.0), (0.02, 0.02, 0.02))])
    with_zero = beam_of([Stretch(0.0, 1.0, (2.0, 1.0), (0.02, 0.02, 0.02), void=(0.0, 0.0))])
    assert with_none.stiff.tobytes() == with_zero.stiff.tobytes()
    # Outside the hollow a hollow rod's stress is the solid one's but for the weight it lost outboard.
    tip = [one for one in stress_check(rod()).stations if one.station < 30 * INCH]
    assert tip == [one for one in stress_check(solid).stations if one.station < 30 * INCH]
    assert beam.stiffness.tobytes() == rod_beam(solid).stiffness.tobytes()


def test_hollow_is_lighter_and_softer_and_swings_otherwise():
    hollow, solid = rod_beam(rod()), rod_beam(rod(""))
    assert hollow.mass < solid.mass
    assert bend_beam(hollow, Load(1.0, weight=False)).tip_drop > bend_beam(solid, Load(1.0, weight=False)).tip_drop
    stressed = [next(s for s in stress_check(one).stations if s.station == 70 * INCH) for one in (rod(), rod(""))]
    void, bare = void_by_hand(70 * INCH), rod().taper.at(70 * INCH) / 2 - 0.002 * INCH
    assert stressed[0].modulus == pytest.approx(stressed[1].modulus * (1 - (void / bare) ** 4), rel=1e-12)


@few
@given(st.floats(min_value=0.035, max_value=0.065), st.floats(min_value=0.035, max_value=0.065))
def test_a_thinner_wall_is_lighter_and_softer(first, second):
    thin, thick = sorted((first, second))
    beams = [rod_beam(rod(f"\n[hollow]\nstations = [40, 80]\nwall = {wall:.6f}\n")) for wall in (thin, thick)]
    assert beams[0].mass <= beams[1].mass
    drops = [bend_beam(one, Load(0.5, weight=False)).tip_drop for one in beams]
    assert drops[0] >= drops[1]


def test_the_end_of_a_hollow_is_looked_at_wherever_it_falls():
    """The stress steps there: just inside it the section is hollow, a hair outboard it is not."""
    one = rod("\n[hollow]\nstations = [30.17, 78.03]\nwall = 0.04\n")
    curve = stress_check(one).curve
    for end in (30.17, 78.03):
        inside = next(point for point in curve if abs(point.station - end * INCH) < 1e-12)
        beside = min((point for point in curve if point is not inside), key=lambda p: abs(p.station - end * INCH))
        bare, void = (one.bare_apothem(inside.across), one.void_apothem(inside.station, inside.across))
        assert inside.modulus == pytest.approx(5 * 3**0.5 / 9 * bare**3 * (1 - (void / bare) ** 4), rel=1e-9)
        assert abs(beside.station - inside.station) < 90 * INCH / 360


def test_a_waist_between_the_ends_of_a_hollow_is_looked_at_too():
    waist = THRIMBLE.replace("0.218, 0.231, 0.245,", "0.218, 0.120, 0.245,")
    assert "0.120" in waist
    with pytest.raises(BadInput, match="at station 65 in"):
        rod("\n[hollow]\nstations = [50, 80]\nwall = 0.07\n", waist)


def test_scoops_by_hand():
    """height - wall - finish below the apex; what is left over; the flank beside it (left - crown)/cos 30 deg."""
    scoops = {
        (section.section, round(one.station / INCH, 4)): one
        for section in schedule(rod()).sections
        for one in section.scoops
    }
    assert {place for name, place in scoops if name == "T1"} == {30, 35, 37, 40, 44, 45}
    assert {place for name, place in scoops if name == "B"} == {45, 46, 50, 51, 53, 55, 60, 65, 70, 75, 78}
    for (_, place), one in scoops.items():
        bare = rod().taper.at(place * INCH) / 2 - 0.002 * INCH
        height = bare + 0.001 * INCH - 0.0005 * INCH  # finishing on, a glue line of half a thou off: g/(2 sin 30 deg)
        assert one.height == pytest.approx(height, rel=1e-12)
        assert one.left == pytest.approx(wall_by_hand(place * INCH) + 0.001 * INCH, rel=1e-12)
        assert one.depth == pytest.approx(height - one.left, rel=1e-9)
        crown = rod().form.crown(one.height)
        assert one.glue_width == pytest.approx((one.left - crown) / cos(radians(30)), rel=1e-12)
    assert not any(section.scoops for section in schedule(rod("")).sections)
    heights = [[one.height for each in schedule(of).sections for one in each.stations] for of in (rod(""), rod())]
    assert heights[0] == heights[1]


SIDES = """
culmwright = 1
units = "metric"
[rod]
sides = {sides}
length = 1900
[taper]
stations = [0, 1900]
across = [3, 6]
[hollow]
stations = [600, 1650]
wall = [1.0, 1.2]
[strips]
glue_line = 0.013
finish = 0.03
culm_diameter = 56
"""


@pytest.mark.parametrize("sides", [4, 5, 6])
def test_the_flank_that_is_glued_ends_where_the_crown_begins(sides):
    """shapely (GEOS): a straight flank up to the culm's circle, less what lies under the floor of the scoop."""
    drawn = rod_from_text(SIDES.format(sides=sides))
    scoops = schedule(drawn).sections[0].scoops
    assert len(scoops) == 2
    for one in scoops:
        h, half, culm = one.height * 1e3, radians(180 / sides), 28.0
        flank = LineString([(0, 0), (20 * np.sin(half), 20 * np.cos(half))])
        cane = Point(0, h - culm).buffer(culm, quad_segs=20_000).intersection(box(-20, h - one.left * 1e3, 20, h))
        assert one.glue_width * 1e3 == pytest.approx(flank.intersection(cane).length, abs=1e-6)
        assert one.glue_width < 0.99 * one.left / cos(half)  # not the crown too
    flat = rod_from_text(SIDES.format(sides=sides).replace("culm_diameter = 56", ""))
    for one in schedule(flat).sections[0].scoops:  # enamel taken as flat has no crown
        assert one.glue_width == pytest.approx(one.left / cos(radians(180 / sides)), rel=1e-12)


def test_explain_shows_the_scoop_and_the_hollow_section():
    found = explain(rod(), Spot.parse("B@60in:scoop", "in"))
    assert found.value == pytest.approx(
        next(o for s in schedule(rod()).sections for o in s.scoops if abs(o.station - 60 * INCH) < 1e-9).depth
    )
    assert [rung.step for rung in found.ladder][-1] == "depth of the scoop"
    stress = explain(rod(), Spot.parse("B@60in:stress", "in"))
    expected = next(one.stress for one in stress_check(rod()).stations if one.station == pytest.approx(60 * INCH))
    assert stress.value == pytest.approx(expected, rel=1e-12)
    assert any(rung.step == "apothem of the hollow" for rung in stress.ladder)
    modulus = next(rung.value for rung in stress.ladder if rung.step == "section modulus, hollow")
    assert stress.value == pytest.approx(explain(rod(), Spot.parse("B@60in:moment", "in")).value / modulus, rel=1e-12)
    with pytest.raises(BadInput):
        explain(rod(), Spot.parse("B@52in:scoop", "in"))


def test_json_of_the_schedule_has_the_scoops():
    sections = to_json(schedule(rod()))["sections"]
    assert set(sections[-1]["scoops"][0]) == {"station_m", "wall_m", "height_m", "left_m", "depth_m", "glue_width_m"}


@pytest.mark.parametrize(
    ("hollow", "words"),
    [
        ("stations = [30]\nwall = 0.05", "two stations or more"),
        ("stations = [30, 20]\nwall = 0.05", "comes after"),
        ("stations = [30, 91]\nwall = 0.05", "off the rod"),
        ("stations = [-1, 91]\nwall = 0.05", "off the rod"),
        ("stations = [30, 60]", "wall"),
        ("stations = [30, 60]\nwall = [0.05]", "2 stations and 1 walls"),
        ("stations = [30, 60]\nwall = 0", "leaves no cane"),
        ("stations = [30, 60]\nwall = 0.069", "leaves nothing hollow"),
        ("stations = [30, 60]\nwall = [0.05, 0.11]", "leaves nothing hollow"),
        ("stations = [30, 60]\nwall = 0.05\ndam_length = 2", "without dams"),
        ("stations = [30, 60]\nwall = 0.05\ndams = [40]", "dam_length"),
        ("stations = [30, 60]\nwall = 0.05\ndams = [40]\ndam_length = 0", "above zero"),
        ("stations = [30, 60]\nwall = 0.05\ndams = [60]\ndam_length = 2", "not in the hollow"),
        ("stations = [30, 60]\nwall = 0.05\ndams = [40, 41]\ndam_length = 2", "stand clear"),
        ("stations = [30, 60]\nwall = 0.05\nwalls = 3", "not known"),
    ],
)
def test_what_cannot_be_is_refused_in_a_sentence(hollow, words):
    with pytest.raises(BadInput) as refused:
        rod(f"\n[hollow]\n{hollow}\n")
    said = str(refused.value)
    assert words in said
    assert "hollow" in said
    assert refused.value.remedy


def test_what_is_odd_is_asked_about():
    assert not [one for one in rod().warnings if "wall" in one]
    under = "\n[hollow]\nstations = [40, 60]\nwall = 0.05\n"
    assert any("under the ferrule" in one for one in rod(under).warnings)
    assert not any("under the ferrule" in one for one in rod(under + "dams = [45]\ndam_length = 2\n").warnings)
    assert any("unit right" in one for one in rod("\n[hollow]\nstations = [50, 60]\nwall = 0.005\n").warnings)
    filled = "\n[hollow]\nstations = [50, 60]\nwall = 0.05\ndams = [55]\ndam_length = "
    said = "[hollow] dams and dam_length leave nothing hollow: is the unit of dam_length right?"
    assert [said in rod(f"{filled}{long}\n").warnings for long in (2, 9.99, 10, 50)] == [False, False, True, True]

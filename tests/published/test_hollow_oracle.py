"""A hollow section against finite elements (sectionproperties, R. van Leeuwen, 2023) and against shapely's polygons."""

from __future__ import annotations

from math import cos, pi, sin, tan

import pytest

from culmwright.design import polygon
from culmwright.design.rod_file import rod_from_text
from culmwright.mechanics.rod_beam import rod_beam
from culmwright.mechanics.stress import ROUNDED, stress_check

pytestmark = pytest.mark.needs_oracles

ROD = """
culmwright = 1
units = "metric"
[rod]
sides = {n}
length = 2000
[taper]
stations = [0, 2000]
across = [{across}, {across}]
varnish = 0.05
[cane]
modulus = "30 GPa"
density = "1150 kg/m^3"
[hollow]
stations = [500, 1800]
wall = {wall}
"""
APOTHEM = 0.004  # [m] of the bare cane


def strips_of(n, a, wall):
    """Each strip as what is left of its triangle, apex at the centre, below a cut square to its height."""
    from shapely import Polygon

    shapes = []
    for k in range(n):
        turn = 2 * pi * k / n
        wide = tan(pi / n)
        corners = [(-a * wide, a), (a * wide, a), ((a - wall) * wide, a - wall), (-(a - wall) * wide, a - wall)]
        shapes.append(Polygon([(x * cos(turn) - y * sin(turn), x * sin(turn) + y * cos(turn)) for x, y in corners]))
    return shapes


@pytest.mark.parametrize("n", [4, 5, 6])
@pytest.mark.parametrize("wall", [0.8e-3, 2e-3, 3.5e-3])
def test_stiffness_mass_and_stress_of_a_hollow_rod(n, wall):
    """Strips with their apexes cut flat, glued up by shapely and meshed: area, second moment and section modulus."""
    from sectionproperties.analysis import Section
    from sectionproperties.pre import Geometry
    from shapely import unary_union

    glued = unary_union([one.buffer(1e-12, join_style="mitre") for one in strips_of(n, APOTHEM, wall)])
    scale = 1e3  # meshed in millimetres
    from shapely.affinity import scale as scaled

    section = Section(Geometry(scaled(glued, scale, scale, origin=(0, 0))).create_mesh(mesh_sizes=[0.4]))
    section.calculate_geometric_properties()
    area, (i_xx, i_yy, i_xy) = section.get_area() * 1e-6, (one * 1e-12 for one in section.get_ic())
    assert i_xx == pytest.approx(i_yy, rel=1e-6)  # the same about every axis, as a solid one's
    assert i_xy == pytest.approx(0, abs=1e-6 * i_xx)
    across = polygon.across(n, APOTHEM + 0.05e-3) * 1e3
    rod = rod_from_text(ROD.format(n=n, across=f"{across:.9f}", wall=f"{wall * 1e3:g}"))
    beam = rod_beam(rod)
    e = next(i for i, s in enumerate(beam.s) if s > 0.5)
    # The mitred buffer of a millionth of a micrometre and the across to a picometre leave 1e-7.
    assert 1 / beam.compliance[e] == pytest.approx(30e9 * i_xx, rel=1e-6)
    check = stress_check(rod)
    solid = rod_beam(rod_from_text(ROD.format(n=n, across=f"{across:.9f}", wall="0").split("[hollow]")[0]))
    taken = polygon.area(n, APOTHEM) - area
    assert solid.mass - beam.mass == pytest.approx(1150 * 1.3 * taken, rel=1e-6)
    assert check.mass == pytest.approx(beam.mass, rel=1e-12)
    top, bottom, *_ = section.get_z()
    inside = next(one for one in check.curve if abs(one.station - 1.0) < 1e-3)
    assert inside.modulus == pytest.approx(min(top, bottom) * 1e-9, rel=1e-6)
    inboard, _ = beam.stress_per_moment()
    assert 1 / inboard[e] == pytest.approx(min(top, bottom) * 1e-9, rel=1e-6)
    if n == 6:
        rounded = next(one for one in stress_check(rod, rule=ROUNDED).curve if one.station == inside.station)
        assert rounded.modulus == pytest.approx(inside.modulus, rel=0.005)  # 0.120 for 0.12028

"""Regular sections against finite elements: the general-purpose library sectionproperties (R. van Leeuwen, 2023)."""

from __future__ import annotations

from math import cos, pi, sin

import pytest

from culmwright.design import polygon

pytestmark = pytest.mark.needs_oracles


@pytest.fixture(params=[4, 5, 6])
def meshed(request):
    """Sides and the meshed section of apothem 1, a flat facing up."""
    from sectionproperties.analysis import Section
    from sectionproperties.pre import Geometry
    from shapely import Polygon

    n = request.param
    corners = [(sin(2 * pi * (k + 0.5) / n) / cos(pi / n), cos(2 * pi * (k + 0.5) / n) / cos(pi / n)) for k in range(n)]
    section = Section(Geometry(Polygon(corners)).create_mesh(mesh_sizes=[0.1]))
    section.calculate_geometric_properties()
    return n, section


def test_area_and_moments(meshed):
    # Six-noded triangles integrate these exactly; 1e-9 leaves room for sums over a few hundred of them.
    n, section = meshed
    i_xx, i_yy, i_xy = section.get_ic()
    assert section.get_area() == pytest.approx(polygon.area(n, 1.0), rel=1e-9)
    assert (i_xx, i_yy) == pytest.approx((polygon.second_moment(n, 1.0),) * 2, rel=1e-9)
    assert i_xy == pytest.approx(0, abs=1e-9)


def test_section_moduli(meshed):
    n, section = meshed
    top, bottom, *_ = section.get_z()
    assert top == pytest.approx(polygon.modulus_to_flat(n, 1.0), rel=1e-9)
    opposite = polygon.modulus_to_corner if n % 2 else polygon.modulus_to_flat
    assert bottom == pytest.approx(opposite(n, 1.0), rel=1e-9)
    assert min(top, bottom) == pytest.approx(polygon.bending_modulus(n, 1.0), rel=1e-9)

"""Sections of unequal strips against general-purpose geometry: shapely's polygons, sympy's moments, finite elements.

Oracles: shapely (union, area, centroid), sympy (moments of a polygon, exact rationals), sectionproperties (R. van
Leeuwen, 2023; composite sections by finite elements); the regular polygon of Roark's table where strips are equal.
"""

from __future__ import annotations

from math import cos, hypot, pi, sin

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from shapely import Polygon, union_all
from simulated import Ring, principal

from culmwright.design import polygon
from culmwright.proof.section import direction, stiffness

ROUNDING = 1e-11  # sums of a dozen terms of like size


@st.composite
def rings(draw):
    """Strips a few per cent unlike, of cane twice as stiff or half."""
    n = draw(st.sampled_from([4, 5, 6]))
    faces, moduli = (
        tuple(draw(st.lists(st.floats(*span), min_size=n, max_size=n))) for span in ((0.9, 1.1), (0.5, 2.0))
    )
    return Ring(faces, moduli)


def moments(corners):
    """Area, first and second moments of a polygon about the origin, by Green's theorem over its edges: the textbook's
    own formula for any polygon, which knows nothing of wedges."""
    x, y = np.array(corners).T
    x1, y1 = np.roll(x, -1), np.roll(y, -1)
    cross = x * y1 - x1 * y
    sign = np.sign(cross.sum())
    return sign * np.array(
        [
            cross.sum() / 2,
            ((x + x1) * cross).sum() / 6,
            ((y + y1) * cross).sum() / 6,
            ((x * x + x * x1 + x1 * x1) * cross).sum() / 12,
            ((y * y + y * y1 + y1 * y1) * cross).sum() / 12,
            ((x * y1 + 2 * x * y + 2 * x1 * y1 + x1 * y) * cross).sum() / 24,
        ]
    )


@settings(max_examples=60)
@given(rings())
def test_area_centroid_and_tensor_of_the_polygons(ring):
    """The strips' wedges as drawn, each polygon's moments by Green's theorem, summed by modulus."""
    total = sum(E * moments(wedge) for wedge, E in zip(ring.outline, ring.moduli, strict=True))
    EA, x, y = total[0], total[1] / total[0], total[2] / total[0]
    found = ring.stiffness
    assert float(found.EA) == pytest.approx(EA, rel=ROUNDING)
    assert (float(found.x), float(found.y)) == pytest.approx((x, y), abs=ROUNDING)
    tensor = (total[3] - EA * x * x, total[5] - EA * x * y, total[4] - EA * y * y)
    assert (float(found.xx), float(found.xy), float(found.yy)) == pytest.approx(tensor, abs=ROUNDING)
    values = np.linalg.eigvalsh([[tensor[0], tensor[1]], [tensor[1], tensor[2]]])
    assert principal(found) == pytest.approx(tuple(values), abs=ROUNDING)
    phi = direction(*(float(one) for one in found.uneven))
    along = tensor[0] * cos(phi) ** 2 + 2 * tensor[1] * cos(phi) * sin(phi) + tensor[2] * sin(phi) ** 2
    assert along == pytest.approx(values[1], abs=ROUNDING)


@settings(max_examples=60)
@given(rings())
def test_the_pieces_lie_side_by_side(ring):
    """shapely: wedges share no area and make the section."""
    wedges = [Polygon(one) for one in ring.outline]
    whole = union_all(wedges, grid_size=1e-10)  # corners fall on a grid, so that edges that touch are seen to
    assert whole.area == pytest.approx(sum(one.area for one in wedges), rel=1e-8)
    assert float(ring.stiffness.area) == pytest.approx(whole.area, rel=1e-8)


@settings(max_examples=40)
@given(rings())
def test_many_sections_at_once_are_the_same(ring):
    E = np.array(ring.moduli)
    many = stiffness(np.array([ring.faces, ring.faces[::-1]]), E)
    one = ring.stiffness
    for a, b in zip(many, one, strict=True):
        assert float(a[0]) == pytest.approx(float(b), abs=ROUNDING)


@pytest.mark.parametrize("n", [4, 5, 6])
def test_equal_strips_make_the_regular_polygon(n):
    """Roark's table, by the polygon module that other tests hold to it; no spine, centroid in the middle."""
    found = stiffness(np.full((1, n), 0.7), 3.0)
    assert float(found.area[0]) == pytest.approx(polygon.area(n, 0.7), rel=1e-14)
    assert float(found.mean[0]) == pytest.approx(3 * polygon.second_moment(n, 0.7), rel=1e-14)
    assert hypot(*(float(one[0]) for one in found.uneven)) < 1e-14
    assert hypot(float(found.x[0]), float(found.y[0])) < 1e-15


def test_one_case_exactly():
    """sympy: four strips of 1, 1, 1 and 6/5, exact rational moments of the union's corners."""
    from sympy import Point, Rational
    from sympy import Polygon as Exact

    long = Rational(6, 5)
    corners = [(1, -1), (1, 1), (-1, 1), (-1, -1), (-long, long), (-long, -long)]
    # strip 1 at +x, 2 at +y, 3 at -x (the long one), 4 at -y: wedge corners, the long one's beyond its neighbours'
    boundary = [corners[0], corners[1], corners[2], corners[4], corners[5], corners[3]]
    exact = Exact(*(Point(*one) for one in boundary))
    centre = exact.centroid
    xx, yy, xy = exact.second_moment_of_area(centre)
    found = stiffness(np.array([[1.0, 1.0, 1.2, 1.0]]))
    assert float(found.area[0]) == pytest.approx(float(exact.area), rel=1e-14)
    assert float(found.x[0]) == pytest.approx(float(centre.x), rel=1e-13)
    assert float(found.xx[0]) == pytest.approx(float(yy), rel=1e-13)  # sympy's "xx" is about the x axis
    assert float(found.yy[0]) == pytest.approx(float(xx), rel=1e-13)
    assert float(found.xy[0]) == pytest.approx(float(xy), abs=1e-14)


@pytest.mark.needs_oracles
def test_unequal_strips_against_finite_elements():
    """sectionproperties meshes the union of the wedges as shapely has it; six-noded triangles are exact here."""
    from sectionproperties.analysis import Section
    from sectionproperties.pre import Geometry

    rng = np.random.default_rng(5)
    for n in (4, 5, 6):
        ring = Ring(tuple(1 + rng.normal(0, 0.03, n)), (1.0,) * n)
        section = Section(
            Geometry(union_all([Polygon(one) for one in ring.outline], grid_size=1e-9)).create_mesh([0.1])
        )
        section.calculate_geometric_properties()
        about_x, about_y, mixed = section.get_ic()
        found = ring.stiffness
        assert float(found.area) == pytest.approx(section.get_area(), rel=1e-8)  # the union's grid is 1e-9
        assert (float(found.x), float(found.y)) == pytest.approx(section.get_c(), abs=1e-8)
        assert (float(found.yy), float(found.xx), float(found.xy)) == pytest.approx((about_x, about_y, mixed), abs=1e-8)


@pytest.mark.needs_oracles
def test_strips_of_unlike_modulus_against_finite_elements():
    """sectionproperties, a composite section: every wedge of a regular section of its own material."""
    from sectionproperties.analysis import Section
    from sectionproperties.pre import Geometry
    from sectionproperties.pre.geometry import CompoundGeometry
    from sectionproperties.pre.pre import Material

    rng = np.random.default_rng(5)
    for n in (4, 5, 6):
        ring = Ring((1.0,) * n, tuple(rng.uniform(0.7, 1.4, n)))
        parts = [
            Geometry(
                Polygon(one),
                material=Material(f"S{i}", E, poissons_ratio=0, density=1, yield_strength=1, color="w"),
            )
            for i, (one, E) in enumerate(zip(ring.outline, ring.moduli, strict=True))
        ]
        section = Section(CompoundGeometry(parts).create_mesh(mesh_sizes=[0.1]))
        section.calculate_geometric_properties()
        about_x, about_y, mixed = section.get_eic(e_ref=1)
        found = ring.stiffness
        assert float(found.EA) == pytest.approx(section.get_ea(e_ref=1), rel=1e-8)
        assert (float(found.x), float(found.y)) == pytest.approx(section.get_c(), abs=1e-8)
        assert (float(found.yy), float(found.xx), float(found.xy)) == pytest.approx((about_x, about_y, mixed), abs=1e-8)


def test_the_stiffest_plane_is_that_of_the_high_strips():
    """Two opposite strips of six a tenth higher: the plane through them is the stiffest; turned on, it turns along."""
    faces = np.ones(6)
    faces[[1, 4]] = 1.1
    for turn in range(3):
        u, v = stiffness(np.roll(faces, turn)).uneven
        assert direction(float(u), float(v)) == pytest.approx((1 + turn) * pi / 3 % pi, abs=1e-9)

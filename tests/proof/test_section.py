"""Sections of unequal strips against general-purpose geometry: shapely's polygons, sympy's moments, finite elements.

Oracles: shapely (union, area, centroid), sympy (moments of a polygon, exact rationals), sectionproperties (R. van
Leeuwen, 2023; composite sections by finite elements); the regular polygon of Roark's table where strips are equal.
"""

from __future__ import annotations

from math import cos, hypot, pi, radians, sin, tan

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from shapely import Polygon, union_all

from culmwright.design import polygon
from culmwright.measure.errors import BadInput
from culmwright.proof.section import Ring, cane, outline, section_of, stiffness, stiffness_of

ROUNDING = 1e-11  # sums of a dozen terms of like size


@st.composite
def rings(draw, filler=None):
    """Strips a few per cent unlike, some apexes away from the centre, apex angles a degree or two off."""
    n = draw(st.sampled_from([4, 5, 6]))

    def each(low, high):
        return tuple(draw(st.lists(st.floats(low, high), min_size=n, max_size=n)))

    faces = each(0.9, 1.1)
    return Ring(
        faces,
        each(0.0, 0.05),
        tuple(pi / n + radians(one) for one in each(-1.0, 1.0)),
        each(0.5, 2.0),
        draw(st.floats(0, 1)) if filler is None else filler,
    )


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
    """The strips' triangles and wedges as drawn, each polygon's moments by Green's theorem, summed by modulus."""
    total = np.zeros(6)
    for wedge, strip, E in zip(outline(ring), cane(ring), ring.moduli, strict=True):
        total += E * ((1 - ring.filler) * moments(strip) + ring.filler * moments(wedge))
    EA, x, y = total[0], total[1] / total[0], total[2] / total[0]
    found = stiffness_of(ring)
    assert float(found.EA) == pytest.approx(EA, rel=ROUNDING)
    assert (float(found.x), float(found.y)) == pytest.approx((x, y), abs=ROUNDING)
    tensor = (total[3] - EA * x * x, total[5] - EA * x * y, total[4] - EA * y * y)
    assert (float(found.xx), float(found.xy), float(found.yy)) == pytest.approx(tensor, abs=ROUNDING)
    values = np.linalg.eigvalsh([[tensor[0], tensor[1]], [tensor[1], tensor[2]]])
    section = section_of(ring)
    assert (section.softest, section.stiffest) == pytest.approx(tuple(values), abs=ROUNDING)
    phi = section.spine_direction
    along = tensor[0] * cos(phi) ** 2 + 2 * tensor[1] * cos(phi) * sin(phi) + tensor[2] * sin(phi) ** 2
    assert along == pytest.approx(values[1], abs=ROUNDING)


@settings(max_examples=60)
@given(rings())
def test_the_pieces_lie_side_by_side(ring):
    """shapely: wedges share no area and make the section; a strip's cane lies within its wedge."""
    wedges, strips = [Polygon(one) for one in outline(ring)], [Polygon(one) for one in cane(ring)]
    whole = union_all(wedges, grid_size=1e-10)  # corners fall on a grid, so that edges that touch are seen to
    assert whole.area == pytest.approx(sum(one.area for one in wedges), rel=1e-8)
    assert section_of(ring).area == pytest.approx(whole.area, rel=1e-8)
    for wedge, strip, face, apex, half in zip(wedges, strips, ring.faces, ring.apexes, ring.half_angles, strict=True):
        assert strip.difference(wedge).area < 1e-9
        wide = min((face - apex) * tan(half), face * tan(pi / ring.sides))
        assert strip.area == pytest.approx((face - apex) * wide, rel=1e-9)


@settings(max_examples=40)
@given(rings(filler=1.0))
def test_many_sections_at_once_are_the_same(ring):
    E = np.array(ring.moduli)
    many = stiffness(np.array([ring.faces, ring.faces[::-1]]), E)
    one = stiffness_of(ring)
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
        ring = Ring(tuple(1 + rng.normal(0, 0.03, n)), (0.0,) * n, (pi / n,) * n, (1.0,) * n)
        section = Section(
            Geometry(union_all([Polygon(one) for one in outline(ring)], grid_size=1e-9)).create_mesh([0.1])
        )
        section.calculate_geometric_properties()
        about_x, about_y, mixed = section.get_ic()
        found = stiffness_of(ring)
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
        ring = Ring((1.0,) * n, (0.0,) * n, (pi / n,) * n, tuple(rng.uniform(0.7, 1.4, n)))
        parts = [
            Geometry(
                Polygon(one),
                material=Material(f"S{i}", E, poissons_ratio=0, density=1, yield_strength=1, color="w"),
            )
            for i, (one, E) in enumerate(zip(outline(ring), ring.moduli, strict=True))
        ]
        section = Section(CompoundGeometry(parts).create_mesh(mesh_sizes=[0.1]))
        section.calculate_geometric_properties()
        about_x, about_y, mixed = section.get_eic(e_ref=1)
        found = stiffness_of(ring)
        assert float(found.EA) == pytest.approx(section.get_ea(e_ref=1), rel=1e-8)
        assert (float(found.x), float(found.y)) == pytest.approx(section.get_c(), abs=1e-8)
        assert (float(found.yy), float(found.xx), float(found.xy)) == pytest.approx((about_x, about_y, mixed), abs=1e-8)


def test_the_stiffest_plane_is_that_of_the_high_strips():
    """Two opposite strips of six a tenth higher: the plane through them is the stiffest; turned on, it turns along."""
    faces = np.ones(6)
    faces[[1, 4]] = 1.1
    for turn in range(3):
        ring = Ring(tuple(np.roll(faces, turn)), (0.0,) * 6, (pi / 6,) * 6, (1.0,) * 6)
        assert section_of(ring).spine_direction == pytest.approx((1 + turn) * pi / 3 % pi, abs=1e-9)


@pytest.mark.parametrize(
    ("change", "words"),
    [
        ({"faces": (1.0, 1.0)}, "the same figures of every strip"),
        ({"apexes": (0.0, 0.0, 0.0, 1.5)}, "outside its apex"),
        ({"moduli": (1.0, 1.0, 1.0, 0.0)}, "has a modulus"),
        ({"filler": 1.5}, "no greater one"),
    ],
)
def test_what_is_no_section(change, words):
    given = {"faces": (1.0,) * 4, "apexes": (0.0,) * 4, "half_angles": (pi / 4,) * 4, "moduli": (1.0,) * 4, **change}
    with pytest.raises(BadInput, match=words):
        Ring(**given)

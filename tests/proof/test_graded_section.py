"""Sections of graded cane and of strips of unlike cane, against quadrature over the polygons themselves, sympy's exact
integrals, and finite elements of sections built of layers (sectionproperties).
"""

from __future__ import annotations

from dataclasses import replace
from itertools import pairwise

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from shapely import LineString, Point, Polygon
from shapely.affinity import rotate
from simulated import Ring, principal

from culmwright.design.grading import Grading
from culmwright.measure.lengths import Length
from culmwright.mechanics.graded import Graded
from culmwright.proof.section import stiffness

ROUNDING = 1e-10  # sums of a hundred terms of like size
FOUR = np.polynomial.legendre.leggauss(4)


def wall(metres):
    return Length.parse(f"{metres:.9f} m")


@st.composite
def rings(draw):
    """Strips a few per cent unlike in size and scraped by unlike amounts, of cane twice as stiff or half."""
    n = draw(st.sampled_from([4, 5, 6]))

    def each(low, high):
        return tuple(draw(st.lists(st.floats(low, high), min_size=n, max_size=n)))

    return Ring(
        each(0.9, 1.1),
        each(0.5, 2.0),
        Grading(draw(st.floats(1.0, 20.0)), wall(draw(st.floats(0.2, 3.0)))),
        each(0.0, 0.1),
    )


def over_triangle(corners, weight):
    """Integrals of ``weight`` times 1, x, y, x^2, xy, y^2 over a triangle: four Gauss points each way, exact to degree
    six; a linear weight makes degree three.
    """
    a, b, c = (np.array(one) for one in corners)
    area = abs((b - a)[0] * (c - a)[1] - (b - a)[1] * (c - a)[0])
    total = np.zeros(6)
    for xi, w in zip(*FOUR, strict=True):
        for eta, v in zip(*FOUR, strict=True):
            s, t = (1 + xi) / 2, (1 + eta) / 2
            x, y = a + s * (b - a) + s * t * (c - b)
            total += w * v / 4 * area * s * weight(x, y) * np.array([1, x, y, x * x, x * y, y * y])
    return total


def over_polygon(shape, weight):
    corners = list(shape.exterior.coords)[:-1]
    return sum(
        (over_triangle((corners[0], corners[i], corners[i + 1]), weight) for i in range(1, len(corners) - 1)),
        np.zeros(6),
    )


def graded_over(piece, ring, i):
    """The integrals over a piece of strip i: its stiffness told by how far a point lies from the strip's own face, as
    shapely measures it; parted by shapely where the wall ends, so that the weight is straight in each part.
    """
    _, corner, other = ring.outline[i]
    ratio, thick = ring.grading.ratio, ring.grading.wall.m
    c = np.array([corner, other]).mean(0)
    inward = -c / np.hypot(*c)
    along = np.array([-inward[1], inward[0]])
    scraped = ring.scraped[i]
    face = LineString([tuple(c - 9 * along), tuple(c + 9 * along)])

    def share(x, y):
        depth = scraped + face.distance(Point(x, y))
        return max(1 - (1 - 1 / ratio) * depth / thick, 1 / ratio)

    end = c + inward * (thick - scraped)
    deep = Polygon([tuple(end + 9 * along), tuple(end - 9 * along), tuple(end - 9 * along + 9 * inward),
                    tuple(end + 9 * along + 9 * inward)])  # fmt: skip
    parts = [piece.intersection(deep), piece.difference(deep)]
    return sum((over_polygon(one, share) for one in parts if one.area > 1e-14), np.zeros(6))


def tensor(total):
    EA, x, y = total[0], total[1] / total[0], total[2] / total[0]
    return EA, x, y, total[3] - EA * x * x, total[4] - EA * x * y, total[5] - EA * y * y


@settings(max_examples=40, deadline=None)
@given(rings())
def test_a_graded_ring_is_the_integral_over_its_polygons(ring):
    total = np.zeros(6)
    for i, wedge in enumerate(ring.outline):
        total += ring.moduli[i] * graded_over(Polygon(wedge), ring, i)
    EA, x, y, xx, xy, yy = tensor(total)
    found = ring.stiffness
    assert float(found.EA) == pytest.approx(EA, rel=1e-9)
    assert (float(found.x), float(found.y)) == pytest.approx((x, y), abs=1e-9)
    assert (float(found.xx), float(found.xy), float(found.yy)) == pytest.approx((xx, xy, yy), abs=1e-9)
    values = np.linalg.eigvalsh([[xx, xy], [xy, yy]])
    assert principal(found) == pytest.approx(tuple(values), abs=1e-9)


@settings(max_examples=30, deadline=None)
@given(rings())
def test_many_graded_sections_at_once_are_the_same(ring):
    faces, E, off = (np.array(one) for one in (ring.faces, ring.moduli, ring.scraped))
    many = stiffness(np.array([faces, faces[::-1]]), np.array([E, E[::-1]]), ring.grading, np.array([off, off[::-1]]))
    for a, b in zip(many, ring.stiffness, strict=True):
        assert float(a[0]) == pytest.approx(float(b), abs=ROUNDING)


@settings(max_examples=30, deadline=None)
@given(rings())
def test_a_ratio_of_one_is_even_cane(ring):
    """To the last digit but rounding, whatever the wall and the scraping."""
    graded = replace(ring, grading=replace(ring.grading, ratio=1.0)).stiffness
    even = replace(ring, grading=None, scraped=0.0).stiffness
    for a, b in zip(graded, even, strict=True):
        assert float(a) == pytest.approx(float(b), abs=1e-14)


def test_one_strip_exactly():
    """sympy: face at 1, scraped by 1/50, wall 2/5, five to one: ``int share 2 x tan(t) x^2`` and across, rational but
    for tan; the ring of six alike, of which the mean of both planes is six times half their sum.
    """
    from sympy import Rational, integrate, symbols
    from sympy import sqrt as root

    u, off, thick, t = symbols("u"), Rational(1, 50), Rational(2, 5), 1 / root(3)
    inside = 1 + off - thick  # u at which the wall ends
    outer = 1 - Rational(4, 5) * (off + 1 - u) / thick
    EI = 0
    for share, low, high in ((Rational(1, 5), 0, inside), (outer, inside, 1)):
        EI += integrate(share * 2 * u * t * u**2, (u, low, high))
        EI += integrate(share * Rational(2, 3) * (u * t) ** 3, (u, low, high))
    found = stiffness(np.ones((1, 6)), 1.0, Grading(5.0, wall(0.4)), 0.02)
    assert float(found.mean[0]) == pytest.approx(float(6 * EI / 2), rel=1e-13)


@pytest.mark.parametrize(("thick", "ratio"), [(2.6, 5.0), (0.7, 5.0), (1.0, 2.0)])
@pytest.mark.parametrize("n", [4, 5, 6])
def test_a_regular_section_has_the_mechanics_own_flexural_mean(n, thick, ratio):
    """``mechanics/graded.py``, which its own tests hold to double integrals in x and y."""
    graded = stiffness(np.ones((1, n)), 1.0, Grading(ratio, wall(thick)))
    even = stiffness(np.ones((1, n)))
    assert float(graded.mean[0] / even.mean[0]) == pytest.approx(Graded(n, 1.0, thick, ratio).mean_over_outer, rel=1e-8)


def test_what_planing_and_scraping_take():
    """A flat a twentieth lower: planed so, strips keep their enamel and lose their inside, EI falls by less than with
    even cane, ``(1 - c a'/5T) a'^4``; scraped so, they lose the enamel, as ``Graded.without_all_round`` has it.
    """
    law, c = Grading(5.0, wall(2.0)), 0.8
    whole = float(stiffness(np.ones((1, 6)), 1.0, law).mean[0])
    low = np.full((1, 6), 0.95)
    planed = float(stiffness(low, 1.0, law).mean[0]) / whole
    scraped = float(stiffness(low, 1.0, law, 0.05).mean[0]) / whole
    assert planed == pytest.approx(0.95**4 * (1 - c * 0.95 / 10) / (1 - c / 10), rel=1e-12)
    assert scraped == pytest.approx(Graded(6, 1.0, 2.0, 5.0).without_all_round(0.05), rel=1e-12)
    assert scraped < 0.95**4 < planed


def test_a_strip_by_itself_is_measured_softer_than_its_section():
    """Quadrature: the strip about its own axis, ``int E (v - v0)^2 v``, over its even moment ``h^4/36``; the section of
    such strips, ``int E v^3``, over ``h^4/4``.
    """
    h, law = 0.7, Graded(6, 0.7, 1.1, 5.0)
    v, w = ((np.polynomial.legendre.leggauss(20)[0] + 1) * h / 2, np.polynomial.legendre.leggauss(20)[1] * h / 2)
    E = 1 - 0.8 * (h - v) / 1.1
    axis = (w * E * v * v).sum() / (w * E * v).sum()
    strip = (w * E * v * (v - axis) ** 2).sum() / (h**4 / 36)
    section = (w * E * v**3).sum() / (h**4 / 4)
    assert law.strip_over_section == pytest.approx(strip / section, rel=1e-12)
    assert strip / section < 1
    assert Graded(6, 0.7, 1.1, 1.0).strip_over_section == pytest.approx(1.0, abs=1e-14)


@pytest.mark.needs_oracles
def test_layers_of_unlike_modulus_against_finite_elements():
    """sectionproperties: every strip of an uneven square cut into layers along its face, each of the modulus at its
    middle. That leaves out what goes with the square of a layer's thickness: three layers and six, put together as if
    there were none left (L. F. Richardson, 1911). What is left goes with the fourth power: below 1 in 1000.
    """
    rng = np.random.default_rng(8)
    faces, moduli = 1 + rng.normal(0, 0.03, 4), rng.uniform(0.8, 1.25, 4)
    ring = Ring(tuple(faces), tuple(moduli), Grading(5.0, wall(1.3)), (0.02,) * 4)
    coarse, fine = (layered(ring, layers) for layers in (3, 6))
    EA, x, y, xx, xy, yy = (4 * fine - coarse) / 3
    found = ring.stiffness
    size = float(found.mean)
    assert np.abs(fine - coarse)[3] > 5e-3 * size  # layers do matter here
    assert float(found.EA) == pytest.approx(EA, rel=1e-3)
    assert (float(found.x), float(found.y)) == pytest.approx((x, y), abs=1e-3)
    assert (float(found.xx), float(found.xy), float(found.yy)) == pytest.approx((xx, xy, yy), abs=1e-3 * size)


def layered(ring, layers):
    """EA, centroid and tensor of a ring of four strips in layers, by finite elements."""
    from sectionproperties.analysis import Section
    from sectionproperties.pre import Geometry
    from sectionproperties.pre.geometry import CompoundGeometry
    from sectionproperties.pre.pre import Material

    parts = []
    for i, (face, E) in enumerate(zip(ring.faces, ring.moduli, strict=True)):
        edges = np.linspace(0, face, layers + 1)
        for low, high in pairwise(edges):
            corners = [(low, -low), (high, -high), (high, high), (low, low)]
            shape = rotate(Polygon(corners if low else [(0, 0), *corners[1:3]]), 90 * i, origin=(0, 0))
            depth = ring.scraped[i] + face - (low + high) / 2
            there = E * (1 - (1 - 1 / ring.grading.ratio) * depth / ring.grading.wall.m)
            stuff = Material(f"S{i}", there, poissons_ratio=0, density=1, yield_strength=1, color="w")
            parts.append(Geometry(shape, material=stuff))
    section = Section(CompoundGeometry(parts).create_mesh(mesh_sizes=[0.2]))
    section.calculate_geometric_properties()
    about_x, about_y, mixed = section.get_eic(e_ref=1)
    return np.array([section.get_ea(e_ref=1), *section.get_c(), about_y, mixed, about_x])

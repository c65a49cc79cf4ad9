"""Strips put together by hand: does a rod planed to the numbers come out as drawn?

Each strip is built from its own figures alone (height, apex angle, culm), as flanks met with the enamel by shapely; n
of them are turned about the rod's centre and pushed in until they touch or the glue line is left between them; then
the bundle is measured. Nothing of the code's own formulas is used on this side. Lengths in inches.
"""

from __future__ import annotations

from math import cos, pi, radians, sin, tan

import pytest
from shapely import LineString, Point, Polygon, union_all
from shapely.affinity import rotate, translate

from culmwright.bench.targets import schedule
from culmwright.design.rod_file import rod_from_text
from culmwright.design.strip import StripForm

INCH = 0.0254
ARC = 512  # straight pieces the enamel's arc is drawn in: they stand off it by less than 1e-8 in
NEAR = 2e-7  # [in] bisection of the placing and the arc's pieces, far below the thousandth a caliper tells


def strip_section(height: float, apex: float, culm_radius: float | None) -> Polygon:
    """Cross-section of a strip, virtual apex at the origin, bisector along +y, enamel up."""
    reach = 4 * height
    flanks = Polygon([(0, 0), (-reach * tan(apex / 2), reach), (reach * tan(apex / 2), reach)])
    if culm_radius is None:
        return flanks.intersection(Polygon([(-reach, -1), (reach, -1), (reach, height), (-reach, height)]))
    centre = height - culm_radius
    width = 2 * height * tan(apex / 2) * 1.05
    spread = [2 * (k / ARC) - 1 for k in range(ARC + 1)]
    arc = [(x * width / 2, centre + (culm_radius**2 - (x * width / 2) ** 2) ** 0.5) for x in spread]
    return flanks.intersection(Polygon([*arc, (width / 2, -1), (-width / 2, -1)]))


def neighbours(strip: Polygon, n: int, out: float) -> tuple[Polygon, Polygon]:
    """Two neighbouring strips, each moved ``out`` from the rod's centre along its bisector."""
    first = translate(strip, 0, out)
    return first, rotate(first, 360 / n, origin=(0, 0))


def bundle(strip: Polygon, n: int, out: float) -> list[Polygon]:
    first = translate(strip, 0, out)
    return [rotate(first, 360 / n * k, origin=(0, 0)) for k in range(n)]


def gap(strip: Polygon, n: int, out: float) -> float:
    """Distance between neighbours; below zero where they overlap, by how far the deepest corner is inside."""
    first, second = neighbours(strip, n, out)
    shared = first.intersection(second)
    if shared.is_empty or shared.area < 1e-14:
        return first.distance(second)
    seam = LineString([(0, 0), (-10 * sin(pi / n), 10 * cos(pi / n))])
    return -2 * max(seam.distance(Point(corner)) for corner in shared.exterior.coords)


def pushed_in(strip: Polygon, n: int, glue: float) -> float:
    """How far out the strips stand when pushed in until ``glue`` is left between neighbours."""
    low, high = -0.02, 0.05
    for _ in range(48):
        middle = (low + high) / 2
        low, high = (low, middle) if gap(strip, n, middle) >= glue else (middle, high)
    return high


def test_the_placing_itself():
    """A square's strip without glue stands at the centre; with glue g in a seam at 45 deg, g/root 2 from it."""
    strip = strip_section(0.1, radians(90), None)
    assert pushed_in(strip, 4, 0.0) == pytest.approx(0, abs=NEAR)
    assert pushed_in(strip, 4, 0.002) == pytest.approx(0.001 * 2**0.5, abs=NEAR)


ROD = """
culmwright = 1
units = "inch"
[rod]
sides = {n}
length = 90
[taper]
stations = [0, 90]
across = [{tip}, {butt}]
varnish = 0.002
[strips]
apex_angle = "{apex} deg"
glue_line = {glue}
finish = 0.0015
{culm}
"""
OFF = [-2, -1, -0.5, 0, 0.5, 1, 2]  # degrees off 360/n: 58 to 62 deg on six sides


@pytest.mark.parametrize("n", [4, 5, 6])
@pytest.mark.parametrize("off", OFF)
@pytest.mark.parametrize("glue", [0, 0.0005, 0.002])
@pytest.mark.parametrize("culm", [None, 2.125])
def test_strips_on_the_number_make_a_rod_on_the_number(n, off, glue, culm):
    apex = 360 / n + off
    drawn = (0.070, 0.330)
    said = f"culm_diameter = {culm}" if culm else ""
    rod = rod_from_text(ROD.format(n=n, tip=drawn[0], butt=drawn[1], apex=apex, glue=glue, culm=said))
    for across, target in zip(drawn, schedule(rod).sections[0].stations, strict=True):
        strip = strip_section(target.height / INCH, radians(apex), culm / 2 if culm else None)
        out = pushed_in(strip, n, glue)
        first, second = neighbours(strip, n, out)
        assert first.distance(second) == pytest.approx(glue, abs=NEAR)
        assert first.intersection(second).area < 1e-9
        # Crown's top to the centre, less what finishing takes off, plus the varnish: what the caliper finds.
        flat = first.bounds[3] - 0.0015 + 0.002
        found = 2 * flat if n % 2 == 0 else flat * (1 + 1 / cos(pi / n))
        assert found == pytest.approx(across, abs=2 * NEAR)
        assert target.face_width / INCH == pytest.approx(first.bounds[2] - first.bounds[0], abs=NEAR)
        if culm:
            corner = max(y for x, y in first.exterior.coords if abs(x - first.bounds[2]) < 1e-9)
            assert target.crown / INCH == pytest.approx(first.bounds[3] - corner, abs=NEAR)


@pytest.mark.parametrize("n", [4, 6])
@pytest.mark.parametrize("off", OFF)
def test_across_flats_of_the_whole_bundle(n, off):
    """The caliper's jaws closed on all n strips at once, bare, as glued without glue."""
    rod = rod_from_text(ROD.format(n=n, tip=0.07, butt=0.33, apex=360 / n + off, glue=0, culm=""))
    target = schedule(rod).sections[0].stations[-1]
    strip = strip_section(target.height / INCH, radians(360 / n + off), None)
    _, low, _, high = union_all(bundle(strip, n, pushed_in(strip, n, 0.0))).bounds
    assert high - low == pytest.approx(0.33 - 2 * 0.002 + 2 * 0.0015, abs=2 * NEAR)


@pytest.mark.parametrize("off", [0, 0.5, 1, 2])
def test_flat_to_corner_of_five_sides(off):
    """Seams that are tight outside keep the corners, so the caliper reads flat to corner of a true pentagon."""
    rod = rod_from_text(ROD.format(n=5, tip=0.07, butt=0.33, apex=72 + off, glue=0, culm=""))
    target = schedule(rod).sections[0].stations[-1]
    strip = strip_section(target.height / INCH, radians(72 + off), None)
    _, low, _, high = union_all(bundle(strip, 5, pushed_in(strip, 5, 0.0))).bounds
    bare = 0.33 - (0.002 - 0.0015) * (1 + 1 / cos(pi / 5))
    assert high - low == pytest.approx(bare, abs=4 * NEAR)


@pytest.mark.parametrize("n", [4, 5, 6])
@pytest.mark.parametrize("off", OFF)
@pytest.mark.parametrize("culm", [None, 2.125])
def test_the_hidden_void_and_the_open_seam(n, off, culm):
    apex = radians(360 / n + off)
    form = StripForm(n, apex, culm / 2 if culm else None)
    strip = strip_section(0.15, apex, culm / 2 if culm else None)
    out = pushed_in(strip, n, 0.0)
    assert form.stand_off(0.15) == pytest.approx(max(out, 0.0), abs=NEAR)
    if culm is None:
        first, second = neighbours(strip, n, max(out, 0.0))
        left = min(first.exterior.coords, key=lambda corner: corner[0])
        (right,) = [rotate(Point(max(first.exterior.coords)), 360 / n, origin=(0, 0))]
        assert form.seam_gape(0.15) == pytest.approx(Point(left).distance(right), abs=2 * NEAR)
        assert first.distance(second) == pytest.approx(0, abs=NEAR)

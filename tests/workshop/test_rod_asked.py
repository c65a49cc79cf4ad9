"""Rods of the shop taken three ways, and where they show: pages, planes, one modulus for all tips.

Outside: shapely's polygon, and second moments summed over its triangles by hand, for the planes of an uneven rod.
"""

from __future__ import annotations

from itertools import pairwise
from math import atan2, cos, pi, sin, tan

import numpy as np
import pytest
import shapely

from culmwright.bench.targets import target
from culmwright.cli.main import main
from culmwright.design.rod_file import rod_from_text
from culmwright.ledger.readings import append
from culmwright.ledger.records import Cell, Entry
from culmwright.measure.lengths import Length
from culmwright.workshop.bouncing_planes import planes_built
from culmwright.workshop.flexing import modulus_of
from culmwright.workshop.hollowing import hollow_of
from culmwright.workshop.kept import kept_of
from culmwright.workshop.looking_stages import look_at_stage, look_at_strips
from culmwright.workshop.opening import begin
from culmwright.workshop.playing_on import play_on
from culmwright.workshop.printing import PAPERS, contents, day
from culmwright.workshop.proving import as_read, proof
from culmwright.workshop.rod_asked import Way, rod_as
from culmwright.workshop.starting import rod_text

BARE = rod_text("thrimble-beck")
for there in ("varnish = 0.002", "glue_line = 0.0005", "finish = 0.001"):
    BARE = BARE.replace(there, f"{there.split()[0]} = 0")
OVER = 0.02  # [-] strips 2 and 5 stand over by this share everywhere


def hexagon(over: float) -> shapely.Polygon:
    """Six strips round one centre, faces 1 from it, those of the second and fifth ``1 + over``, as one polygon."""
    strips = []
    for k in range(6):
        turned = np.array([[cos(k * pi / 3), sin(k * pi / 3)], [-sin(k * pi / 3), cos(k * pi / 3)]])
        far, half = 1 + (over if k in (1, 4) else 0.0), tan(pi / 6)
        strips.append(shapely.Polygon(np.array([[0, 0], [far, -half * far], [far, half * far]]) @ turned))
    return shapely.union_all([one.buffer(1e-12, join_style="mitre") for one in strips])


def moments(shape: shapely.Polygon) -> np.ndarray:
    """The tensor of ``x_i x_j`` over a polygon round the origin, triangle by triangle (any text on statics)."""
    total = np.zeros((2, 2))
    ring = np.array(shape.exterior.coords)
    for a, b in pairwise(ring):
        area = (a[0] * b[1] - a[1] * b[0]) / 2
        total += area / 12 * (np.outer(a, a) + np.outer(b, b) + np.outer(a + b, a + b))
    return total * np.sign(np.trace(total))


@pytest.fixture
def uneven(shop, tmp_path):
    """A rod whose second and fifth strips were left over by the same share at every station."""
    path = tmp_path / "bare.toml"
    path.write_text(BARE)
    begun = begin(shop, str(path))
    zero = begun.rod.bench.block_zero.m
    for section in begun.rod.sections():
        for station in section.stations:
            for strip in range(1, 7):
                height = target(begun.rod, section, station).height * (1 + (OVER if strip in (2, 5) else 0.0))
                cell = Cell(begun.revision.id, section.name, station, "finish", 1, strip)
                append(shop, Entry.measured(cell, Length.parse(f"{(height + zero) * 1e3:.6f} mm"), wet=False))
    return begun


def test_two_planes_of_an_uneven_rod(shop, uneven):
    """All its sections are one shape, so its rates in two planes are to each other as the roots of the shape's greatest
    and least second moment. To 1e-4 of their split, from modes good to seven digits.
    """
    shape = moments(hexagon(OVER))
    least, greatest = np.linalg.eigvalsh(shape)
    found = planes_built(shop, uneven)
    ratio = (greatest / least) ** 0.5
    assert found.stiffest / found.softest - 1 == pytest.approx(ratio - 1, rel=1e-4)
    assert found.told
    way = np.linalg.eigh(shape)[1][:, 1]
    assert found.direction == pytest.approx(atan2(way[1], way[0]) % pi, abs=1e-3)


def test_a_spine_that_is_told_is_said_with_its_split(shop, uneven, capsys):
    assert main(["bounce", "R1", "--as", "built", "--shop", str(shop.file)]) == 0
    out, found = capsys.readouterr().out, planes_built(shop, uneven)
    assert f"Its two planes: {found.stiffest:.3f} Hz in the stiffest, 60 deg from the middle of the first" in out
    assert f"and {found.softest:.3f} Hz square to it: {found.split:.3f} ± {2 * found.split_spread:.3f} Hz (95 of" in out
    assert f"it is back on it after {1 / found.split:.0f} s" in out  # two swings are in step again after 1/(f1 - f2)


def test_the_tips_share_one_modulus(shop, begun):
    """The first tip was bent, and is thin: through the drawn tip its cane would seem softer, in the second's proof."""
    truth = play_on(shop, begun)
    moduli = [proof(shop, begun, tip).proof.modulus for tip in (1, 2)]
    assert moduli[0] == moduli[1] == rod_as(shop, begun, Way.MEASURED).rod.cane.modulus.value
    assert moduli[0] == pytest.approx(truth.cane.level.value, rel=0.04)
    assert moduli[0] == modulus_of(shop, begun, as_read(shop, begun, 1)).value != modulus_of(shop, begun).value


def test_the_behaviour_page_sets_drawn_beside_built(shop, begun):
    plain = [leaf.title for leaf in look_at_stage(shop, "R1", "behaviour").leaves]
    assert plain == ["How it bends", "How the cane works, and how it swings"]
    play_on(shop, begun)
    titles = [leaf.title for leaf in look_at_stage(shop, "R1", "behaviour").leaves]
    assert titles[:2] == plain
    assert titles[2:] == [
        f"{what} beside the rod as built, tip T{tip}"
        for tip in (1, 2)
        for what in ("How this rod behaves", "Bend, stress and swing")
    ]


def test_a_hollow_rod_is_told_once_in_the_book_and_on_its_strips_page(shop, tmp_path):
    path = tmp_path / "hollow.toml"
    path.write_text(rod_text("quernmoss-water"))
    begun = begin(shop, str(path))
    assert [leaf.title for leaf in look_at_strips(shop, "R1").leaves] == ["Hollowing"]
    book = contents(begun.rod, PAPERS["a4"], begun.rod.display, day("2026-11-24"), kept_of(shop, begun))
    assert [leaf.title for leaf in (*book.early, *book.late)].count("Hollowing") == 1


def test_a_solid_rod_has_nothing_scooped(shop, begun):
    assert look_at_strips(shop, "R1").leaves == ()
    assert hollow_of(rod_from_text(BARE), begun.rod.display, None) == ()

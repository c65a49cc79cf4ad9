"""What a caliper reads over crowned strips, promised and believed alike; and which sections its readings speak of.

Outside: shapely builds the glued section from nothing but strips' heights, the culm and what is scraped off, and reads
it between two parallel jaws; numpy's sample moments hold the draws to the covariance stated.
"""

from __future__ import annotations

import re
from math import cos, pi, radians, tan

import numpy as np
import pytest
import shapely
from shapely.affinity import rotate

from culmwright.bench.targets import UNTOLD, crown_notes, schedule, target
from culmwright.design import polygon
from culmwright.design.rod_file import rod_from_text
from culmwright.ledger.shop import create_shop
from culmwright.measure.errors import BadInput
from culmwright.measure.spot import Spot
from culmwright.proof.built import built_of, caliper_over, corners, over
from culmwright.proof.doubt import usual
from culmwright.proof.evidence import strips_read
from culmwright.workshop.checking import check
from culmwright.workshop.explaining import explain
from culmwright.workshop.flats import check_flats
from culmwright.workshop.opening import begin
from culmwright.workshop.starting import rod_text

MM = 1e-3
THOU = 25.4e-6
ARC = 2e-8
"""How far the pieces a disc is drawn in by shapely stand off its arc [m], with 4096 to a quadrant of 27 mm."""

FIVE = """
culmwright = 1
units = "metric"
[rod]
sides = {sides}
length = 2250
pieces = 2
[taper]
stations = [0, 1125, 2250]
across = [1.9, 5.0, 8.1]
varnish = 0.05
[[ferrule]]
station = 1125
size = 13
[strips]
glue_line = 0
finish = {finish}
culm_diameter = 55
"""


def rod_of(finish: float = 0.0, sides: int = 5):
    return rod_from_text(FIVE.format(finish=finish, sides=sides))


def section_of(tops, scraped, radius: float):
    """What the discs of all strips' enamel share, the tops [m] from the centre, each less what its scraper took [m]."""
    n, section = len(tops), shapely.box(-1, -1, 1, 1)
    for i, (top, off) in enumerate(zip(tops, scraped, strict=True)):
        disc = shapely.Point(top - radius, 0).buffer(radius, quad_segs=4096)
        strip = disc.intersection(shapely.box(-1, -1, top - off, 1))
        section = section.intersection(rotate(strip, 360 / n * i, origin=(0, 0)))
    return section


def jaws(section, n: int, face: int) -> float:
    """A caliper's reading [m] with one jaw flat on that face."""
    low, _, high, _ = rotate(section, -360 / n * (face - 1), origin=(0, 0)).bounds
    return high - low


@pytest.mark.parametrize("finish", [0.0, 0.025, 0.08, 0.15])
@pytest.mark.parametrize("sides", [4, 5, 6])
def test_the_schedule_promises_what_a_caliper_reads(sides, finish):
    """As glued, and finished over its varnish: on odd sides the corner lies where the faces' chords meet."""
    rod = rod_of(finish, sides)
    for one in (one for section in schedule(rod).sections for one in section.stations):
        glued = section_of([one.height] * sides, [0.0] * sides, rod.making.culm_diameter.m / 2)
        scraped = section_of([one.height] * sides, [finish * MM] * sides, rod.making.culm_diameter.m / 2)
        coat = rod.varnish.m * (2 if sides % 2 == 0 else 1 + 1 / cos(pi / sides))
        assert one.glued_across == pytest.approx(jaws(glued, sides, 1), abs=2 * ARC)
        assert one.finished_across == pytest.approx(jaws(scraped, sides, 1) + coat, abs=2 * ARC)


def test_five_sides_of_8_1_mm_on_a_culm_of_55():
    """By hand: s of a face 2 (a - s) tan 36 deg on R = 27.5 mm, s/cos 36 deg under 8.1 mm. Four sides never are."""
    a, s = 8.1 / (1 + 1 / cos(radians(36))) - 0.05, 0.0
    for _ in range(60):
        w = 2 * (a - s) * tan(radians(36))
        s = 27.5 - (27.5**2 - w**2 / 4) ** 0.5
    one = schedule(rod_of()).sections[-1].stations[-1]
    assert one.finished_across / MM == pytest.approx(8.1 - s / cos(radians(36)), abs=1e-9)
    coat = 0.05 * (1 + 1 / cos(radians(36)))
    assert one.glued_across / MM == pytest.approx(8.1 - coat - s / cos(radians(36)), abs=1e-9)
    assert 5.5 < (one.across - one.finished_across) / THOU < 5.6
    assert schedule(rod_of(sides=4)).sections[-1].stations[-1].finished_across == pytest.approx(8.1 * MM, abs=1e-15)


def test_the_ladder_ends_in_the_figure():
    found = explain(rod_of(0.025), Spot.parse("B@2250mm:finished"))
    rungs = {rung.step: rung.value for rung in found.ladder}
    assert rungs["crown left on a flat"] == pytest.approx(rungs["its crown"] - 0.025 * MM, abs=1e-12)
    assert found.value == pytest.approx(8.1 * MM - rungs["crown left on a flat"] / cos(pi / 5), abs=1e-12)
    assert [rung.rule for rung in explain(rod_of(0.025, 6), Spot.parse("B@2250mm:finished")).ladder][-1] == "as drawn"


def test_a_note_says_by_how_much_and_its_remedy_serves():
    """The finish it names takes every crown off, and no less does (by the schedule, held to shapely above)."""
    rod = rod_of(0.025)
    (note,) = crown_notes(rod)
    worst = schedule(rod).sections[-1].stations[-1]
    assert f"read {rod.display.small(8.1 * MM - worst.finished_across)} under the drawing at 2250 mm" in note
    assert note in schedule(rod).notes and note in check(rod).notes
    finish = float(re.search(r'finish = "([\d.]+) mm"', note)[1])
    for more, left in ((0.0, False), (-0.003, False), (-0.03, True)):  # 3 µm of crown are below what is told
        again = rod_of(finish + more)
        assert bool(crown_notes(again)) is left
        worst = schedule(again).sections[-1].stations[-1]
        assert (worst.finished_across < worst.across) is (more < 0)
    assert crown_notes(rod_of(0.0, 6)) == crown_notes(rod_of(0.0, 4)) == ()
    assert pytest.approx(5.08e-6) == UNTOLD


def test_rows_of_the_proof_and_the_schedule_are_of_one_figure():
    for n in (3, 4, 5, 6, 7):
        expected = polygon.across(n, 2.0) - polygon.corner_drop(n, 0.1)
        assert caliper_over(np.full(n, 2.0), np.full(n, 0.1), 2) == pytest.approx(expected, rel=1e-12)
        assert (over(n, 1) - corners(n, 1)).tolist()[0] == 1.0
    assert not corners(6, 2).any()


def test_an_uneven_ring_as_its_caliper_finds_it():
    """Five strips a thou or so apart, scraped unlike. The jaw that lies on a corner stands there at the mean of two."""
    n, radius = 5, 27.5 * MM
    form = rod_of().form
    heights = 3.6 * MM + np.array([0, 20, -15, 25, 10]) * 1e-6
    scraped = np.array([20, 25, 15, 30, 10]) * 1e-6
    crown = np.array([form.crown_left(h, off) for h, off in zip(heights, scraped, strict=True)])
    section = section_of(heights, scraped, radius)
    for face in range(1, 6):
        found = caliper_over(heights - scraped, crown, face)
        i = (face - 1 + 2) % n, (face - 1 + 3) % n
        # Jaws stay square to the face, the corner of unlike strips moves along the seam's far side: second order apart.
        assert abs(heights[i[0]] - heights[i[1]]) < 45e-6
        assert jaws(section, n, face) == pytest.approx(found, abs=1e-6)


def on_size(rod, section, *, flats=None, over_by=0.0):
    cells = {
        (station, strip): target(rod, section, station).height + over_by
        for station in section.stations
        for strip in range(1, rod.sides + 1)
    }
    return strips_read(rod, section, cells, flats=flats)


def promised(rod, section, off=0.0, stations=None):
    """Flats of the bare section that read what the schedule gives, ``off`` [m] apart from it."""
    ways = rod.sides if rod.sides % 2 else rod.sides // 2
    return {
        (station, way): target(rod, section, station).finished_across - polygon.across(rod.sides, rod.varnish.m) + off
        for station in stations or section.stations
        for way in range(1, ways + 1)
    }


@pytest.mark.parametrize("finish", [0.0, 0.025, 0.15])
@pytest.mark.parametrize("sides", [4, 5, 6])
def test_who_reads_what_the_schedule_promises_is_told_the_rod_is_as_drawn(sides, finish):
    rod = rod_of(finish, sides)
    parts = {one.name: on_size(rod, one, flats=promised(rod, one)) for one in rod.assembled()}
    built = built_of(rod, parts, usual(rod))
    assert built.faces == pytest.approx(np.repeat(built.drawn[:, None], sides, 1), abs=1e-12)
    assert not [note for note in built.notes if "flats measured of" in note]
    told = [note for note in built.notes if "a caliper reads up to" in note]
    assert bool(told) is (sides == 5 and finish < 0.1)


def test_a_corner_under_a_crown_says_nothing_of_the_scraper():
    """Scraped 20 µm more than the file says: flat to corner reads just that less (shapely), and is believed so.

    With sure strips and a sure caliper the flats can only be put down to scraping: the faces must come in by 20 µm.
    """
    rod = rod_of(0.025)
    section, more = rod.assembled()[-1], 20e-6
    radius, f = rod.making.culm_diameter.m / 2, rod.making.finish.m
    flats = {}
    for station in section.stations:
        height = target(rod, section, station).height
        ring = section_of([height] * 5, [f + more] * 5, radius)
        flats |= {(station, way): jaws(ring, 5, way) for way in range(1, 6)}
    sure = dict.fromkeys(("reading", "gauge", "glue", "flat", "caliper"), 1e-9)
    doubt = type(usual(rod))(**sure, finish=20e-6, finish_rod=1e-9, finish_each=1e-9)
    built = built_of(rod, {section.name: on_size(rod, section, flats=flats)}, doubt)
    own = built.owner == len(built.sections) - 1
    assert built.drawn[own][:, None] - built.faces[own] == pytest.approx(np.full((own.sum(), 5), more), abs=5e-8)


def test_flats_of_one_section_do_not_rewrite_another(each_rod):
    """A station of flats on the butt, 6 thou under: the butt follows, the rest stays as its strips were read."""
    rod, doubt = each_rod, usual(each_rod)
    *others, butt = rod.assembled()
    parts = {one.name: on_size(rod, one) for one in rod.assembled()}
    alone = built_of(rod, parts, doubt)
    flats = promised(rod, butt, -6 * THOU, butt.stations[-1:])
    built = built_of(rod, parts | {butt.name: on_size(rod, butt, flats=flats)}, doubt)
    own = built.owner == len(others)
    assert np.array_equal(built.faces[~own], alone.faces[~own])
    assert np.allclose(_of(built, ~own), _of(alone, ~own), rtol=1e-12, atol=0)
    assert (built.faces - alone.faces)[own][-1].max() < -2 * THOU
    (note,) = [note for note in built.notes if "flats measured of" in note]
    assert note.startswith(f"the flats measured of {butt.name} lie under what its strips gave by 6.0 thou") or (
        note.startswith(f"the flats measured of {butt.name} lie under what its strips gave by 0.152 mm")
    )
    assert note.endswith(f"they put right {butt.name} alone")


def test_a_section_put_right_alone_takes_nothing_from_flats_of_others(thrimble):
    """Flats of the tip half a thou under, within doubt, leave a butt that its own flats contradict as those left it."""
    rod, doubt = thrimble, usual(thrimble)
    tip, butt = rod.assembled()
    wrong = on_size(rod, butt, flats=promised(rod, butt, -6 * THOU, butt.stations[-1:]))
    without = built_of(rod, {tip.name: on_size(rod, tip), butt.name: wrong}, doubt)
    parts = {tip.name: on_size(rod, tip, flats=promised(rod, tip, -0.5 * THOU)), butt.name: wrong}
    built = built_of(rod, parts, doubt)
    own = built.owner == 1
    assert np.abs(built.faces - without.faces)[~own].min() > 0.1 * THOU
    assert built.faces[own] == pytest.approx(without.faces[own], abs=1e-15)
    assert np.allclose(_of(built, own), _of(without, own), rtol=1e-9, atol=0)


def _of(built, nodes):
    places = np.repeat(nodes, built.faces.shape[1])
    return built.covariance[np.ix_(places, places)]


def test_flats_that_agree_speak_of_the_gauge_to_all(thrimble):
    """Half a thou under, well within doubt: the tip follows by what gauge and hand have in common, and no more.

    By hand: ``cov(tip, butt's flats) = 2 (gauge^2 + finish_rod^2)`` (k = 1, two faces); the gain of a mean of flats
    alike is that over its variance.
    """
    rod, doubt = thrimble, usual(thrimble)
    tip, butt = rod.assembled()
    alone = built_of(rod, {tip.name: on_size(rod, tip), butt.name: on_size(rod, butt)}, doubt)
    station = butt.stations[-1]
    flats = {(station, 1): target(rod, butt, station).finished_across - 2 * rod.varnish.m - 0.5 * THOU}
    parts = {tip.name: on_size(rod, tip), butt.name: on_size(rod, butt, flats=flats)}
    built = built_of(rod, parts, doubt)
    each = doubt.reading**2 + doubt.finish_each**2
    of_all = doubt.gauge**2 + doubt.finish_rod**2
    common = of_all + doubt.finish**2 + doubt.glue**2  # g/(2 sin 30 deg) is g
    gain = 2 * of_all / (2 * each + 4 * common + doubt.flat**2 + doubt.caliper**2)
    moved = (built.faces - alone.faces)[built.owner == 0]
    assert moved == pytest.approx(np.full(moved.shape, -0.5 * THOU * gain), rel=1e-6)


@pytest.mark.parametrize("off", [0.0, -6 * THOU])
@pytest.mark.parametrize("which", ["thrimble-beck", "pellamere-brook"])
def test_draws_keep_the_covariance_stated(which, off):
    """Of faces and scraping, with flats that agree and that do not, even sides and crowned odd ones.

    Six standard errors of 20 000 draws, ``sqrt((C_ij^2 + C_ii C_jj)/N)``.
    """
    rod = rod_from_text(rod_text(which))
    first, *_, last = rod.assembled()
    parts = {
        first.name: on_size(rod, first, flats=promised(rod, first)),
        last.name: on_size(rod, last, flats=promised(rod, last, off, last.stations[::3])),
    }
    built = built_of(rod, parts, usual(rod))
    assert bool([note for note in built.notes if f"they put right {last.name} alone" in note]) is bool(off)
    count, told, C = 20_000, built.told, built.covariance
    shifts = np.hstack(told.draw(np.random.default_rng(4), count))
    stated, found = np.block([[C, told.mixed.T], [told.mixed, told.F]]), np.cov(shifts.T)
    v = np.diag(stated)
    assert np.all(np.abs(found - stated) <= 6 * np.sqrt((stated**2 + np.outer(v, v)) / count) + 1e-30)
    assert np.array_equal(
        built.draw(np.random.default_rng(4), count).reshape(count, -1) - built.faces.ravel(),
        (built.faces.ravel() + shifts[:, : len(C)]) - built.faces.ravel(),
    )
    assert np.linalg.eigvalsh(C).min() > -1e-18
    assert np.array_equal(C, C.T)


def test_flats_are_let_in_about_what_a_caliper_is_to_read(tmp_path):
    """Within 30 % of 7.846 mm (7.988 as flats alone would have it): 5.54 mm is, 10.3 mm is not; by hand as above."""
    (tmp_path / "rod.toml").write_text(FIVE.format(finish=0, sides=5))
    with create_shop(tmp_path / "shop.sqlite") as shop:
        begun, spot = begin(shop, str(tmp_path / "rod.toml")), Spot.parse("B@2250mm")
        assert check_flats(begun, spot, ["5.54"] * 5)[2][0].m == pytest.approx(5.54 * MM)
        with pytest.raises(BadInput, match=r"far from the 7\.846 mm bare that B@2250mm should come to"):
            check_flats(begun, spot, ["10.3"] * 5)

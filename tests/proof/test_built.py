"""Faces as built and their doubt: the way back from height to face, strips and flats put together, sampling.

Outside: ``StripForm.height`` (held to plane figures elsewhere) undone; weighted least squares by numpy over all
readings at once, with full covariances, for the update; sample moments for the draws; shapely for where strips seat.
What flats do to sections they were not taken of, and crowned corners, are in ``test_flats_and_sections.py``.
"""

from __future__ import annotations

from dataclasses import replace
from math import cos, pi, radians, sin, tan

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from shapely import Polygon
from shapely.affinity import rotate, translate

from culmwright.bench.targets import target
from culmwright.design import polygon
from culmwright.design.strip import StripForm, glue_offset
from culmwright.measure.errors import AnswerIsNo, BadInput
from culmwright.measure.lengths import Length
from culmwright.proof.built import built_of, over, waviness
from culmwright.proof.doubt import usual
from culmwright.proof.evidence import strips_read
from culmwright.proof.seat import face_of, seated

THOU = 25.4e-6


def on_size(rod, section, *, shift=0.0, flats=None, leave=()):
    cells = {
        (station, strip): target(rod, section, station).height + shift
        for station in section.stations
        for strip in range(1, rod.sides + 1)
        if (station, strip) not in leave
    }
    return strips_read(rod, section, cells, flats=flats)


def whole(rod, **given):
    return {section.name: on_size(rod, section, **given) for section in rod.assembled()}


@given(
    st.sampled_from([4, 5, 6]),
    st.floats(-2.0, 2.0),
    st.floats(0.5e-3, 4e-3),
    st.one_of(st.none(), st.floats(20e-3, 40e-3)),
)
def test_seating_undoes_the_strip_height(n, degrees, glued, culm):
    form = StripForm(n, 2 * pi / n + radians(degrees), culm)
    assert seated(form, form.height(glued)) == pytest.approx(glued, rel=1e-9)


def test_a_strip_of_61_degrees_as_a_drawing_has_it():
    """shapely: six strips of 61 deg pushed in until corners touch stand 0.3061 in across flats at h = 0.150 in."""
    h, half = 0.150, radians(61) / 2
    a = seated(StripForm(6, radians(61)), h)
    strip = Polygon([(a - h, 0.0), (a, h * tan(half)), (a, -h * tan(half))])
    ring = [rotate(strip, 60 * i, origin=(0, 0)) for i in range(6)]
    assert ring[0].intersection(ring[1]).area < 1e-12
    assert translate(ring[0], -1e-3).intersection(rotate(translate(strip, -1e-3), 60, origin=(0, 0))).area > 1e-7
    assert 2 * a == pytest.approx(0.3061, abs=5e-5)


def test_strips_on_the_number_make_the_drawn_rod(each_rod):
    built = built_of(each_rod, whole(each_rod), usual(each_rod))
    assert built.faces == pytest.approx(np.repeat(built.drawn[:, None], each_rod.sides, 1), abs=1e-12)
    assert [note for note in built.notes if "a caliper reads up to" not in note] == []
    assert bool(built.notes) is (each_rod.sides % 2 == 1)  # its drawing leaves crowns, and corners that lie lower


def test_doubt_of_strips_by_hand(thrimble):
    """k = 1: own ``sqrt(reading^2 + finish_each^2)``; in common gauge, scraping and ``g/(2 sin 30 deg)`` of glue."""
    doubt = usual(thrimble)
    C = built_of(thrimble, whole(thrimble), doubt).covariance
    of_all = doubt.gauge**2 + doubt.finish_rod**2
    common = of_all + doubt.finish**2 + (doubt.glue / (2 * sin(pi / 6))) ** 2
    assert C[0, 0] == pytest.approx(doubt.reading**2 + doubt.finish_each**2 + common)
    assert C[0, 57] == pytest.approx(common)  # the same tip, another station
    assert C[0, 77] == pytest.approx(of_all)  # the butt is glued by itself, and scraped so but for the hand
    half = thrimble.making.finish.m / 2  # even between half of the file's and half as much again
    assert doubt.finish**2 + doubt.finish_rod**2 == pytest.approx(half**2 / 3)


def test_flats_put_in_as_least_squares_over_everything(each_rod):
    """The enamel and the scraping that make strips and flats together least off, weighed by their full covariances
    (numpy's solve). A corner under a crown is the enamel's own: scraping the flats does not reach it.
    """
    rod, doubt = each_rod, usual(each_rod)
    section = rod.assembled()[0]
    n, rng, form, f = rod.sides, np.random.default_rng(3), rod.form, rod.making.finish.m
    ways = n // 2 if n % 2 == 0 else n
    heights = [target(rod, section, station).height for station in section.stations]
    flats = {
        (station, way): one.finished_across - polygon.across(n, rod.varnish.m) + 8e-6 * rng.standard_normal()
        for station in section.stations
        for way in range(1, ways + 1)
        for one in (target(rod, section, station),)
    }
    with_flats = built_of(rod, {section.name: on_size(rod, section, flats=flats)}, doubt)
    used = len(section.stations) * n
    k, seam = max(form.closing, 1.0), doubt.glue / (2 * sin(pi / n))
    E = np.diag(np.full(used, (doubt.reading * k) ** 2)) + (doubt.gauge * k) ** 2 + seam**2
    F = np.diag(np.full(used, doubt.finish_each**2)) + doubt.finish**2 + doubt.finish_rod**2
    e0 = np.repeat([rod.bare_apothem(section.taper.at(station.m)) + f for station in section.stations], n)
    on_enamel, on_scraped, y = [], [], []
    for j, station in enumerate(section.stations):
        s = form.crown(heights[j]) or 0.0
        for way in range(1, ways + 1):
            by_e, by_f, wanted = np.zeros(used), np.zeros(used), flats[station, way]
            by_e[j * n + way - 1], by_f[j * n + way - 1] = 1.0, -1.0
            far = [(way - 1 + n // 2) % n] if n % 2 == 0 else [(way - 1 + n // 2) % n, (way + n // 2) % n]
            for one in far:
                by_e[j * n + one] = 1.0 if n % 2 == 0 else 0.5 / cos(pi / n)
                crowned = n % 2 == 1 and s > f
                by_f[j * n + one] = 0.0 if crowned else -by_e[j * n + one]
                wanted += s * by_e[j * n + one] if crowned else 0.0
            on_enamel.append(by_e)
            on_scraped.append(by_f)
            y.append(wanted)
    H, y = np.hstack([on_enamel, on_scraped]), np.array(y)
    z0 = np.concatenate([e0, np.full(used, f)])
    Z = np.block([[np.linalg.inv(E), np.zeros((used, used))], [np.zeros((used, used)), np.linalg.inv(F)]])
    W = np.linalg.inv(doubt.flat**2 * np.eye(len(y)) + doubt.caliper**2)
    information = Z + H.T @ W @ H
    best = np.linalg.solve(information, Z @ z0 + H.T @ W @ y)
    face = np.hstack([np.eye(used), -np.eye(used)])
    assert with_flats.faces.ravel()[:used] == pytest.approx(face @ best, abs=1e-10)
    covariance = face @ np.linalg.inv(information) @ face.T
    assert with_flats.covariance[:used, :used] == pytest.approx(covariance, rel=1e-6, abs=1e-15)
    alone = built_of(rod, {section.name: on_size(rod, section)}, doubt).covariance
    assert np.diag(with_flats.covariance)[:used].max() < np.diag(alone)[:used].max()


def test_over_five_sides_is_flat_to_corner():
    """A regular pentagon of apothem 1 reads ``1 + 1/cos 36 deg``; a square and a hexagon 2."""
    assert over(5, 3) @ np.ones(5) == pytest.approx(1 + 1 / cos(pi / 5))
    assert over(5, 1).tolist().index(0.0) == 1 and over(5, 1)[2] == over(5, 1)[3] > 0
    assert over(4, 2).tolist() == [0, 1, 0, 1]
    assert over(6, 3).tolist() == [0, 0, 1, 0, 0, 1]


@pytest.mark.parametrize("flats", [False, True])
def test_draws_have_the_covariance_stated(thrimble, flats):
    """Sample covariance of 20 000: its standard error is ``sqrt((C_ij^2 + C_ii C_jj)/N)``; six of them."""
    section = thrimble.assembled()[0]
    read = {(station, 1): 2 * thrimble.bare_apothem(section.taper.at(station.m)) for station in section.stations}
    built = built_of(
        thrimble, {section.name: on_size(thrimble, section, flats=read if flats else None)}, usual(thrimble)
    )
    count = 20_000
    shifts = (built.draw(np.random.default_rng(1), count) - built.faces).reshape(count, -1)
    C, found = built.covariance, np.cov(shifts.T)
    v = np.diag(C)
    assert np.all(np.abs(found - C) <= 6 * np.sqrt((C**2 + np.outer(v, v)) / count) + 1e-30)
    assert np.all(np.abs(shifts.mean(0)) <= 6 * np.sqrt(v / count) + 1e-30)


def test_waviness_is_found_from_second_differences(thrimble):
    """Heights with an independent 15 µm at every station, read without scatter: found to 10 % from 400 differences."""
    rod, section, rng = thrimble, thrimble.assembled()[0], np.random.default_rng(9)
    doubt = replace(usual(rod), reading=1e-9)
    found = []
    for _ in range(10):
        cells = {
            (station, strip): target(rod, section, station).height + 15e-6 * rng.standard_normal()
            for station in section.stations
            for strip in range(1, 7)
        }
        found.append(waviness(strips_read(rod, section, cells), doubt) ** 2)
    assert np.sqrt(np.mean(found)) == pytest.approx(15e-6, rel=0.1)
    assert waviness(on_size(rod, section), usual(rod)) == 0.0


def test_a_cell_left_out_goes_straight_between_its_neighbours(thrimble):
    section = thrimble.assembled()[0]
    hole = (section.stations[4], 3)
    cells = {
        (station, strip): target(thrimble, section, station).height + (2 * THOU if j in (3, 5) and strip == 3 else 0.0)
        for j, station in enumerate(section.stations)
        for strip in range(1, 7)
        if (station, strip) != hole
    }
    read = strips_read(thrimble, section, cells)
    assert read.filled.sum() == 1 and read.filled[4, 2]
    assert read.heights[4, 2] - read.targets[4] == pytest.approx(2 * THOU)
    built = built_of(thrimble, {"T1": read}, replace(usual(thrimble), uneven=10e-6))
    v = np.diag(built.covariance).reshape(-1, 6)
    assert v[4, 2] - v[4, 1] == pytest.approx((20e-6) ** 2)
    assert any("1 of 60 places of T1" in note for note in built.notes)


def test_flats_that_contradict_are_said(thrimble):
    section = thrimble.assembled()[0]
    for off, said in ((0.0, False), (6 * THOU, True)):
        read = {
            (station, way): 2 * thrimble.bare_apothem(section.taper.at(station.m)) - off
            for station in section.stations
            for way in (1, 2, 3)
        }
        built = built_of(thrimble, {"T1": on_size(thrimble, section, flats=read)}, usual(thrimble))
        assert any("of T1 lie under what its strips gave by 6.0 thou" in note for note in built.notes) is said


def test_flats_that_scatter_are_said(thrimble):
    """Every other station three thou over, the others as much under: no mean offset, far too much scatter."""
    section = thrimble.assembled()[0]
    read = {
        (station, way): 2 * thrimble.bare_apothem(section.taper.at(station.m)) + (3 if j % 2 else -3) * THOU
        for j, station in enumerate(section.stations)
        for way in (1, 2, 3)
    }
    built = built_of(thrimble, {"T1": on_size(thrimble, section, flats=read)}, usual(thrimble))
    assert any("the flats measured of T1 scatter" in note for note in built.notes)


def test_a_section_not_read_stands_as_drawn(thrimble):
    section = thrimble.assembled()[0]
    built = built_of(thrimble, {"T1": on_size(thrimble, section, shift=THOU)}, usual(thrimble))
    below = ~built.measured
    assert built.faces[below] == pytest.approx(np.repeat(built.drawn[below][:, None], 6, 1))
    assert any(note.startswith("B is taken as drawn") for note in built.notes)


def test_refusals(thrimble):
    section = thrimble.assembled()[0]
    with pytest.raises(AnswerIsNo, match="no strip of T1 or B was read"):
        built_of(thrimble, {}, usual(thrimble))
    with pytest.raises(BadInput, match="not a tip 3"):
        built_of(thrimble, whole(thrimble), usual(thrimble), tip=3)
    few = {(station, 2) for station in section.stations[:6]}
    with pytest.raises(AnswerIsNo, match="strip S2 of T1 was read at 4 of 10 stations"):
        on_size(thrimble, section, leave=few)
    with pytest.raises(BadInput, match="is no ring of 6 strips"):
        strips_read(thrimble, section, {}, ring=(1, 2, 3, 4, 5, 5))
    with pytest.raises(BadInput, match="not over a pair 4"):
        on_size(thrimble, section, flats={(section.stations[0], 4): 1e-3})


def test_glue_and_scraping_as_the_file_says(thrimble):
    """``a = h + g/(2 sin t) - f`` for 60 deg strips."""
    assert face_of(thrimble, 1e-3) == pytest.approx(
        1e-3 + glue_offset(6, thrimble.making.glue_line.m) - thrimble.making.finish.m, abs=1e-15
    )
    assert Length.parse("0.5 thou").m == pytest.approx(thrimble.making.glue_line.m)

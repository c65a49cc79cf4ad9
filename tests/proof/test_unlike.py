"""Strips of unlike cane: from tests of single strips to shares, to the section as built, to every figure's spread.

Outside: invented strips whose moduli are known, drawn over and over, and Student's and the normal distribution; least
squares over all unknowns at once (numpy's solve); shapely's polygons and the textbook's moments over their edges.
"""

from __future__ import annotations

from dataclasses import replace
from math import hypot, pi, sqrt

import numpy as np
import pytest
from simulated import Ring
from test_comparison import LOAD, THOU, made, sure
from test_section import moments

from culmwright.bench.targets import target
from culmwright.design.grading import Grading
from culmwright.design.hollow import Hollow
from culmwright.design.rod import CaneAlong, Stated
from culmwright.measure.lengths import Length
from culmwright.measure.record import to_json
from culmwright.mechanics.graded import Graded
from culmwright.mechanics.modes import first_modes
from culmwright.mechanics.rod_beam import rod_beam
from culmwright.mechanics.statics import Load, bend_beam
from culmwright.proof.as_built import rod_as_built
from culmwright.proof.built import built_of
from culmwright.proof.comparison import compare
from culmwright.proof.doubt import usual
from culmwright.proof.evidence import strips_read
from culmwright.proof.measures import CAUSES, WHOLE
from culmwright.proof.modulus import Measured
from culmwright.proof.sentence import spine_words
from culmwright.proof.spread import covariance_of, spreads
from culmwright.proof.unlike import Unlike, strips_of_culm, unlike
from culmwright.proof.yard import yardstick

RINGS = {"T1": (1, 2, 3, 4, 5, 6), "B": (3, 1, 2, 4, 5, 6)}
GRADED = Grading(5.0, Length.parse("8 mm"))


def bent_alone(values, own=0.2e9, alike=0.5e9):
    """Tests of strips [Pa], each with a doubt of its own and one that all have in common."""
    return {strip: (Measured(E, hypot(own, alike), alike, f"{strip}", "bend test 1"),) for strip, E in values.items()}


def with_cane(rod, shares, covariance=None, grading=None, **more):
    """The rod on the number, of strips whose shares [-] are given by section in ring order."""
    rod = replace(rod, cane=replace(rod.cane, grading=grading))
    strips = [(name, i + 1) for name, row in shares.items() for i in range(len(row))]
    each = np.concatenate([np.array(row, float) for row in shares.values()])
    C = np.zeros((len(each),) * 2) if covariance is None else covariance
    found = Unlike(
        tuple(strips), each, C, np.ones(len(each), bool), Measured(30e9, 1e9, 0.0), 0.03, ("a test",) * len(each)
    )
    built = made(rod, **more)
    again = built_of(rod, built.parts, more.get("doubt") or usual(rod), 1, found)
    return again


# --- from tests to shares


def test_every_strip_tested_is_its_own_value():
    values = {
        (name, strip): 30e9 + 1e9 * strip + (2e9 if name == "B" else 0) for name in RINGS for strip in range(1, 7)
    }
    found = unlike(bent_alone(values), RINGS)
    mean = np.mean(list(values.values()))
    assert found.strips[6] == ("B", 3)
    assert found.shares == pytest.approx([values[strip] / mean for strip in found.strips])
    assert found.level.value == pytest.approx(mean)
    # the mean of twelve: each own doubt over the root of twelve; what all have in common stays
    assert found.level.spread == pytest.approx(
        hypot(0.2e9 / sqrt(12), 0.5e9 * np.mean([1 / e for e in values.values()]) * mean)
    )
    assert found.scatter * mean == pytest.approx(sqrt(np.var([1, 2, 3, 4, 5, 6], ddof=1) * 1e18 - 0.2e9**2))


def test_a_strip_not_tested_is_the_mean_of_its_section():
    values = {("T1", 1): 30e9, ("T1", 4): 32e9, ("T1", 7): 34e9, ("B", 2): 27e9, ("B", 6): 29e9}
    found = unlike(bent_alone(values), RINGS)
    E = dict(zip(found.strips, found.shares * found.level.value, strict=True))
    assert E["T1", 1] == pytest.approx(30e9) and E["T1", 2] == pytest.approx(32e9)  # the spare strip 7 counts to it
    assert E["B", 1] == pytest.approx(28e9)
    assert found.sources[1] == "mean of the strips tested of T1" and found.sources[0] == "bend test 1"
    assert found.tested.tolist() == [strip in values for strip in found.strips]
    other = unlike(bent_alone({k: v for k, v in values.items() if k[0] == "T1"}), RINGS)
    assert other.shares[6:] * other.level.value == pytest.approx([32e9] * 6)
    assert other.sources[6] == "mean of the strips tested"


@pytest.mark.parametrize("values", [{}, {("T1", 1): 30e9}, {("T1", 1): 30e9, ("B", 1): 31e9},
                                    {("T1", 7): 30e9, ("T1", 8): 31e9}])  # fmt: skip
def test_too_few_tests_say_nothing_of_how_strips_differ(values):
    assert unlike(bent_alone(values), RINGS) is None


def test_strips_that_differ_by_no_more_than_their_tests_have_no_scatter():
    found = unlike(bent_alone({("T1", i): 30e9 + 1e6 * i for i in range(1, 7)}), RINGS)
    assert found.scatter == 0.0


@pytest.mark.parametrize("count", [3, 5])
def test_the_doubt_of_tested_and_untested_strips_holds_what_is_true(count):
    """1 000 culms of strips that scatter by a twentieth: of each, ``count`` of T1 and three of B tested to 2 %. The
    stated 95 % hold the truth in 93 to 98.5 of 100 shares of tested strips; in 94 to 99 where a strip was not tested,
    whose doubt counts measuring in, and so is rather too wide.
    """
    rng = np.random.default_rng(11)
    held = {True: 0, False: 0, "level": 0}
    total = {True: 0, False: 0, "level": 0}
    for _ in range(1000):
        truth = {(name, i): 30e9 * (1 + 0.05 * rng.standard_normal()) for name in RINGS for i in range(1, 7)}
        common = 1 + 0.01 * rng.standard_normal()
        chosen = [("T1", i) for i in range(1, count + 1)] + [("B", i) for i in (1, 2, 3)]
        tests = {
            strip: (
                Measured(truth[strip] * common * (1 + 0.02 * rng.standard_normal()), 30e9 * hypot(0.02, 0.01), 0.3e9),
            )
            for strip in chosen
        }
        found = unlike(tests, RINGS)
        mean = np.mean(list(truth.values()))
        off = found.shares - [truth[strip] / mean for strip in found.strips]
        for is_tested, one, square in zip(found.tested, off, np.diag(found.covariance), strict=True):
            held[bool(is_tested)] += abs(one) < 1.96 * sqrt(square)
            total[bool(is_tested)] += 1
        held["level"] += abs(found.level.value - mean) < 1.96 * found.level.spread
        total["level"] += 1
    share = {key: held[key] / total[key] for key in held}
    assert 0.93 <= share[True] <= 0.985
    assert 0.94 <= share[False] <= 0.99
    assert 0.93 <= share["level"] <= 0.99


def test_strips_of_a_culm_are_one_measurement_of_it():
    """Four strips that scatter by 1 GPa: their mean, in doubt by a half of that, widened by Student's factor for three
    degrees of freedom (3.182/1.960, any table); what tests have in common on top.
    """
    values = np.array([29e9, 30e9, 31e9, 30e9])
    found = strips_of_culm([Measured(E, hypot(1e6, 0.5e9), 0.5e9, str(E), "bar") for E in values])
    assert found.value == pytest.approx(30e9)
    assert found.spread == pytest.approx(hypot(values.std(ddof=1) / 2 * 3.1824 / 1.95996, 0.5e9), rel=1e-3)
    assert strips_of_culm([found]) is found


# --- into the section and the rod as built


def test_the_planes_of_a_section_of_unlike_strips(thrimble):
    """The wedges' moments over their edges, weighed by each strip's share."""
    rng = np.random.default_rng(3)
    shares = {"T1": rng.uniform(0.85, 1.15, 6), "B": rng.uniform(0.85, 1.15, 6)}
    built = with_cane(thrimble, shares, off=lambda section, x, strip: 1.5 * THOU * rng.standard_normal())
    yard = yardstick(built, LOAD)
    at = yard.at_nodes(built.faces)
    for j in (3, 14):
        row = shares["T1" if built.owner[j] == 0 else "B"]
        ring = Ring(tuple(built.faces[j]), tuple(row))
        total = sum(E * moments(wedge) for wedge, E in zip(ring.outline, row, strict=True))
        EA, x, y = total[0], total[1] / total[0], total[2] / total[0]
        xx, xy, yy = total[3] - EA * x * x, total[5] - EA * x * y, total[4] - EA * y * y
        assert float(at.u[j]) == pytest.approx((xx - yy) / (xx + yy), abs=1e-12)
        assert float(at.v[j]) == pytest.approx(2 * xy / (xx + yy), abs=1e-12)
        drawn = sum(moments(w) for w in replace(ring, faces=(float(built.drawn[j]),) * 6).outline)
        assert float(at.EI[j]) == pytest.approx((xx + yy) / (drawn[3] + drawn[4]), rel=1e-12)


def test_a_spine_of_cane_by_hand(thrimble):
    """Opposite strips 1 and 4 a tenth stiffer on the number: their plane is the stiffest; u is the tenth times what a
    sixth of the hexagon has along itself less across, over the mean of all six, and rates split by its root.
    """
    built = with_cane(thrimble, {"T1": [1.1, 1, 1, 1.1, 1, 1], "B": [1.1, 1, 1, 1.1, 1, 1]}, doubt=sure(thrimble))
    proof = compare(built, LOAD, draws=0)
    wedge = moments(Ring((1.0,) * 6, (1.0,) * 6).outline[0])
    u = 0.1 * (wedge[3] - wedge[4]) / ((6 + 0.2) / 2 * (wedge[3] + wedge[4]))
    assert proof.spine.told and proof.spine.size == pytest.approx(2 * u, rel=1e-9)
    assert min(proof.spine.direction, pi - proof.spine.direction) == pytest.approx(0.0, abs=1e-9)
    assert proof.rates[0] / proof.rates[1] == pytest.approx(((1 + u) / (1 - u)) ** 0.5, rel=1e-6)
    assert proof.spine.of_cane == pytest.approx(1.0)
    assert "uneven cane makes it, not uneven strips" in spine_words(proof)


def test_what_makes_a_spine_is_said(thrimble):
    def spine(cane, high):
        off = lambda section, x, strip: high * THOU * (strip in (1, 4))  # noqa: E731
        shares = [1 + cane, 1, 1, 1 + cane, 1, 1]
        return compare(with_cane(thrimble, {"T1": shares, "B": shares}, off=off, doubt=sure(thrimble)), LOAD, draws=0)

    sizes = spine(0.0, 2.0)
    assert sizes.spine.of_cane == pytest.approx(0.0, abs=1e-9)
    assert "uneven strips make it, not uneven cane" in spine_words(sizes)
    cane = spine(0.1, 0.0)
    both = spine(0.1, 2.0 * cane.spine.size / sizes.spine.size)
    assert both.spine.of_cane == pytest.approx(0.5, abs=0.05)
    assert "uneven cane and uneven strips make it together" in spine_words(both)
    for part, words in ((0.65, "make it together"), (0.68, "uneven cane makes it"), (0.32, "uneven strips make it")):
        other = replace(both, spine=replace(both.spine, of_cane=part))  # two thirds of it are told as all of it
        assert words in spine_words(other)
    plain = compare(
        made(thrimble, lambda section, x, strip: 2 * THOU * (strip in (1, 4)), sure(thrimble)), LOAD, draws=0
    )
    assert plain.spine.of_cane is None and spine_words(plain).endswith(" Hz")


def test_strips_of_a_culm_that_differ_leave_the_stiffness_in_the_mean(each_rod):
    """Shares 1 in the mean of every ring, strips on the number: EI is the drawn one's less what the centroid moves."""
    n = each_rod.sides
    row = 1 + 0.1 * np.cos(2 * pi * np.arange(n) / n)
    built = with_cane(each_rod, {one.name: row for one in each_rod.assembled()}, doubt=sure(each_rod))
    wedges = Ring((1.0,) * n, (1.0,) * n).outline
    total = sum(E * moments(wedge) for wedge, E in zip(wedges, row, strict=True))
    plain = sum(moments(wedge) for wedge in wedges)
    wanted = (total[3] + total[4] - total[1] ** 2 / total[0] - total[2] ** 2 / total[0]) / (plain[3] + plain[4])
    assert wanted < 1
    assert pytest.approx(np.full(len(built.x), wanted), rel=1e-9) == yardstick(built, LOAD).at_nodes(built.faces).EI


def test_a_stiffer_tip_is_a_rod_of_two_moduli(thrimble):
    """Tip strips a tenth stiffer all round, butt's a tenth softer: drop and rate are those of a beam whose EI is so."""
    built = with_cane(thrimble, {"T1": [1.1] * 6, "B": [0.9] * 6}, doubt=sure(thrimble))
    proof = compare(built, LOAD, draws=0)
    assert proof.figure("tip half").built == pytest.approx(1.1, rel=1e-3)  # the joint lies in the middle of the rod
    assert proof.rod.along == (
        CaneAlong("T1", built.sections[0].stations, (pytest.approx(1.1),) * 10),
        CaneAlong("B", built.sections[1].stations, (pytest.approx(0.9),) * 10),
    )
    beam = rod_beam(thrimble)
    middle = (beam.s[1:] + beam.s[:-1]) / 2
    tip = thrimble.length.m - thrimble.grip.m - middle < thrimble.assembled()[0].end.m
    EI = beam.stiffness * np.where(tip, 1.1, 0.9)[:, None]
    other = replace(beam, stiffness=EI, fibre=beam.fibre * np.where(tip, 1.1, 0.9)[:, None])
    assert proof.figure("drop").built == pytest.approx(bend_beam(other, Load(LOAD)).tip_drop, rel=1e-7)
    assert proof.figure("rate").built == pytest.approx(first_modes(other)[0].frequency, rel=1e-7)
    assert rod_beam(proof.rod).fibre == pytest.approx(other.fibre, rel=1e-7)
    assert proof.figure("cane").built == pytest.approx(proof.figure("cane").drawn, rel=1e-9)


def test_the_cane_between_stations_goes_straight():
    along = CaneAlong("B", tuple(Length.parse(f"{x} m") for x in (1, 2, 4)), (1.0, 1.2, 0.8))
    assert [along.at(x) for x in (0.5, 1, 1.5, 2, 3, 5)] == pytest.approx([1.0, 1.0, 1.1, 1.2, 1.0, 0.8])


def test_a_hollow_takes_the_inside_of_unlike_graded_strips(thrimble):
    """Quadrature over each strip between its hollow and its face, by distance from its face."""
    wall = Length.parse("60 thou")
    rod = replace(thrimble, hollow=Hollow((Length.parse("55 in"), Length.parse("78 in")), (wall, wall)))
    row = [1.1, 0.95, 1.0, 0.9, 1.05, 1.0]
    built = with_cane(rod, {"T1": [1] * 6, "B": row}, grading=GRADED, off=lambda *_: 2 * THOU, doubt=sure(rod))
    j = next(i for i, x in enumerate(built.x) if abs(x - 70 * 0.0254) < 1e-9)
    f, t, w = rod.making.finish.m, np.tan(pi / 6), wall.m
    points, weights = np.polynomial.legendre.leggauss(8)

    def tensor(faces, shares, law):
        total, first, EA = np.zeros((2, 2)), np.zeros(2), 0.0
        for i, (a, r) in enumerate(zip(faces, shares, strict=True)):
            u = a - w + (points + 1) * w / 2
            E = r * (1 - 0.8 * (f + a - u) / GRADED.wall.m if law else 1.0)
            sums = [
                (weights * w / 2 * E * g).sum() for g in (2 * t * u**3, 2 / 3 * t**3 * u**3, 2 * t * u**2, 2 * t * u)
            ]
            c, s = np.cos(i * pi / 3), np.sin(i * pi / 3)
            total += sums[0] * np.outer((c, s), (c, s)) + sums[1] * np.outer((-s, c), (-s, c))
            first, EA = first + sums[2] * np.array((c, s)), EA + sums[3]
        return total - np.outer(first, first) / EA

    drawn = [built.drawn[j]] * 6
    found = tensor(built.faces[j], row, True)
    at = yardstick(built, LOAD).at_nodes(built.faces)
    assert float(at.EI[j]) == pytest.approx(np.trace(found) / np.trace(tensor(drawn, [1] * 6, True)), rel=1e-9)
    assert float(at.u[j]) == pytest.approx((found[0, 0] - found[1, 1]) / np.trace(found), abs=1e-9)
    assert float(at.v[j]) == pytest.approx(2 * found[0, 1] / np.trace(found), abs=1e-9)


# --- graded cane


def hollow_too(rod):
    """A rod hollow in its butt, a dam between."""
    wall, places = Length.parse("60 thou"), tuple(Length.parse(one) for one in ("57 in", "78 in"))
    return replace(rod, hollow=Hollow(places, (wall, wall), (Length.parse("70 in"),), Length.parse("1 in")))


@pytest.mark.parametrize("hollow", [False, True])
def test_a_graded_rod_on_the_number_is_the_drawn_rod(each_rod, hollow):
    """The same beam, element by element, and so every figure; both as graded as each other."""
    graded = replace(each_rod, cane=replace(each_rod.cane, grading=GRADED))
    graded = hollow_too(graded) if hollow else graded
    again = compare(made(graded), LOAD, draws=0)
    for name in ("tip half", "butt half", "drop", "rate", "cane"):
        assert again.figure(name).built == pytest.approx(again.figure(name).drawn, rel=1e-8)
    assert [one.stiffness.built for one in again.stations] == pytest.approx([1.0] * len(again.stations), abs=1e-9)
    whole = dict(zip(WHOLE, yardstick(again.built, LOAD).whole(again.built.faces), strict=True))
    assert [whole[name] for name in CAUSES] == pytest.approx([1.0] * 4, abs=1e-9)
    drawn, built = rod_beam(graded), rod_beam(again.rod)
    assert built.s == pytest.approx(drawn.s, abs=1e-12)
    assert built.compliance == pytest.approx(drawn.compliance, rel=1e-8)
    assert any("5 times as stiff under the enamel" in note for note in again.notes)
    assert again.strips == () and again.spine.of_cane is None


def test_the_halves_of_a_graded_rod_against_an_even_one(thrimble):
    """Strips two thou over: each half of the graded rod is stiffer as the mean of its own sections is, and less than
    that of even cane, since what it is over lies deep in the wall.
    """
    graded = replace(thrimble, cane=replace(thrimble.cane, grading=Grading(5.0, Length.parse("3 mm"))))
    one, even = (compare(made(rod, lambda *_: 2 * THOU, sure(rod)), LOAD, draws=0) for rod in (graded, thrimble))
    for half in ("tip half", "butt half"):
        assert 1.02 < one.figure(half).built < even.figure(half).built
    beams = rod_beam(graded), rod_beam(one.rod)
    drop = one.figure("drop")
    assert (drop.drawn, drop.built) == pytest.approx([bend_beam(beam, Load(LOAD)).tip_drop for beam in beams], rel=1e-9)
    assert [share for cane in one.rod.along for share in cane.shares] == pytest.approx([1.0] * 20, abs=1e-9)


def test_graded_strips_planed_thin_keep_their_enamel(thrimble):
    """All strips two thou under: EI at a station is ``a'^4 (1 - c (f + a'/5)/T)`` to the drawn one's."""
    rod = replace(thrimble, cane=replace(thrimble.cane, grading=GRADED))
    built = made(rod, lambda *_: -2 * THOU, sure(rod))
    proof = compare(built, LOAD, draws=0)
    f, c = rod.making.finish.m, 0.8 / GRADED.wall.m
    for one, a in zip(proof.stations, built.drawn, strict=True):
        low = a - 2 * THOU
        wanted = (low / a) ** 4 * (1 - c * (f + low / 5)) / (1 - c * (f + a / 5))
        assert one.stiffness.built == pytest.approx(wanted, rel=1e-9)
        assert one.stiffness.built > (low / a) ** 4
        law = Graded(6, low + f, GRADED.wall.m, 5.0)
        assert law.share(f) == pytest.approx(1 - c * f)


def test_scraping_found_by_flats_takes_the_enamel(thrimble):
    """Flats read as if three thou more had been scraped, strips surely on the number: that is what was scraped; the
    rod is softer than planing as thin would make it.
    """
    rod = replace(thrimble, cane=replace(thrimble.cane, grading=GRADED))
    doubt = replace(sure(rod), finish=2 * THOU, flat=1e-9, caliper=1e-9)
    section = rod.assembled()[0]
    flats = {
        (station, way): 2 * (rod.bare_apothem(section.taper.at(station.m)) - 3 * THOU)
        for station in section.stations
        for way in (1, 2, 3)
    }
    heights = {
        (station, strip): target(rod, section, station).height for station in section.stations for strip in range(1, 7)
    }
    parts = {"T1": strips_read(rod, section, heights, flats=flats)}
    built = built_of(rod, parts, doubt)
    own = built.owner == 0
    assert built.cane.at.scraped[own] == pytest.approx(rod.making.finish.m + 3 * THOU, abs=1e-8)
    assert built.cane.at.scraped[~own] == pytest.approx(rod.making.finish.m)
    share = yardstick(built, LOAD).at_nodes(built.faces).EI[own]
    a, f, c = built.drawn[own], rod.making.finish.m, 0.8 / GRADED.wall.m
    low = a - 3 * THOU
    wanted = (low / a) ** 4 * (1 - c * (f + 3 * THOU + low / 5)) / (1 - c * (f + a / 5))
    assert share == pytest.approx(wanted, rel=1e-6)
    assert np.all(share < (low / a) ** 4)


def test_faces_and_scraping_put_together_as_least_squares_over_everything(thrimble):
    """Enamel and scraping of every place as unknowns of their own, weighed by full covariances (numpy's solve)."""
    rod = replace(thrimble, cane=replace(thrimble.cane, grading=GRADED))
    doubt, rng = usual(rod), np.random.default_rng(5)
    section = rod.assembled()[0]
    flats = {
        (station, way): 2 * rod.bare_apothem(section.taper.at(station.m)) + 9e-6 * rng.standard_normal()
        for station in section.stations
        for way in (1, 2, 3)
    }
    heights = {
        (station, strip): target(rod, section, station).height for station in section.stations for strip in range(1, 7)
    }
    built = built_of(rod, {"T1": strips_read(rod, section, heights, flats=flats)}, doubt)
    N = 6 * len(section.stations)
    ones = np.ones((N, N))
    enamel = doubt.reading**2 * np.eye(N) + (doubt.gauge**2 + doubt.glue**2) * ones  # k is 1, 2 sin 30 deg too
    scraping = doubt.finish_each**2 * np.eye(N) + (doubt.finish**2 + doubt.finish_rod**2) * ones
    prior = np.block([[enamel, np.zeros((N, N))], [np.zeros((N, N)), scraping]])
    rows, y = [], []
    for j, station in enumerate(section.stations):
        for way in (1, 2, 3):
            face = np.zeros((len(section.stations), 6))
            face[j, [way - 1, way + 2]] = 1.0
            rows.append(np.concatenate([face.ravel(), -face.ravel()]))
            y.append(flats[station, way])
    H, y = np.array(rows), np.array(y)
    R = doubt.flat**2 * np.eye(len(y)) + doubt.caliper**2
    f = np.full(N, rod.making.finish.m)
    drawn = np.repeat([rod.bare_apothem(section.taper.at(station.m)) for station in section.stations], 6)
    start = np.concatenate([drawn + f, f])
    W0, W1 = np.linalg.inv(prior), np.linalg.inv(R)
    information = W0 + H.T @ W1 @ H
    best, left = np.linalg.solve(information, W0 @ start + H.T @ W1 @ y), np.linalg.inv(information)
    to_state = np.block([[np.eye(N), -np.eye(N)], [np.zeros((N, N)), np.eye(N)]])  # faces, then scraping
    best, left = to_state @ best, to_state @ left @ to_state.T
    assert built.faces.ravel()[:N] == pytest.approx(best[:N], abs=1e-10)
    assert built.cane.at.scraped.ravel()[:N] == pytest.approx(best[N:], abs=1e-10)
    whole = covariance_of(built)
    state = np.r_[0:N, len(whole) - built.faces.size : len(whole) - built.faces.size + N]
    assert whole[np.ix_(state, state)] == pytest.approx(left, rel=1e-5, abs=1e-16)


# --- spread


def uneven_covariance(n=12, u=0.02):
    rng = np.random.default_rng(9)
    root = rng.standard_normal((n, n)) * u / sqrt(n)
    return root @ root.T


@pytest.mark.parametrize("flats", [False, True])
def test_first_order_and_draws_agree_with_cane_in_doubt(thrimble, flats):
    """As for faces alone (``test_comparison``), with shares in doubt by some per cent and scraping that is graded."""
    rng = np.random.default_rng(4)
    rod = replace(thrimble, cane=replace(thrimble.cane, grading=Grading(20.0, Length.parse("2 mm"))))
    parts = dict(made(rod, lambda section, x, strip: THOU * rng.standard_normal()).parts)
    if flats:
        seen = {(station, 1): 2 * rod.bare_apothem(rod.taper.at(station.m)) for station in parts["T1"].section.stations}
        read = parts["T1"]
        cells = {
            (station, i + 1): float(read.heights[j, i])
            for j, station in enumerate(read.section.stations)
            for i in range(6)
        }
        parts["T1"] = strips_read(rod, read.section, cells, flats=seen)
    strips = tuple((name, i) for name in parts for i in parts[name].ring)
    shares = 1 + 0.05 * rng.standard_normal(12)
    found = Unlike(strips, shares, uneven_covariance(), np.ones(12, bool), Measured(30e9, 1e9, 0.0), 0.05, ("",) * 12)
    built = built_of(rod, parts, usual(rod), 1, found)
    told = spreads(built, yardstick(built, LOAD))
    whole, nodes = told.whole, told.nodes
    assert whole.drawn == pytest.approx(whole.first, rel=0.03)
    known = nodes.first > 1e-12
    assert nodes.drawn[known] == pytest.approx(nodes.first[known], rel=0.05)
    reach = 1.96 * whole.first
    assert np.all(np.abs(whole.low - (whole.value - reach)) < 0.15 * reach)
    without = spreads(built_of(rod, parts, usual(rod), 1), yardstick(built, LOAD), draws=0).whole
    for name in ("u", "v", "drop", "rate"):  # cane in doubt widens what hangs on it, and by draws as by first order
        assert whole.first[WHOLE.index(name)] > 1.01 * without.first[WHOLE.index(name)]


@pytest.mark.parametrize("flats", [False, True])
def test_draws_have_the_covariance_stated(thrimble, flats):
    """Sample covariance of 20 000 rods: its standard error is ``sqrt((C_ij^2 + C_ii C_jj)/N)``; six of them."""
    rod = replace(thrimble, cane=replace(thrimble.cane, grading=GRADED))
    section = rod.assembled()[0]
    seen = {(station, 1): 2 * rod.bare_apothem(section.taper.at(station.m)) for station in section.stations}
    heights = {
        (station, strip): target(rod, section, station).height for station in section.stations for strip in range(1, 7)
    }
    parts = {"T1": strips_read(rod, section, heights, flats=seen if flats else None)}
    strips = tuple(("T1", i) for i in range(1, 7))
    found = Unlike(
        strips, np.ones(6), uneven_covariance(6), np.ones(6, bool), Measured(30e9, 1e9, 0.0), 0.05, ("",) * 6
    )
    built = built_of(rod, parts, usual(rod), 1, found)
    count = 20_000
    faces, at = built.draw_both(np.random.default_rng(1), count)
    first = np.searchsorted(built.owner, [0, 1])
    every = np.concatenate(
        [faces.reshape(count, -1), at.share[:, first].reshape(count, -1), at.scraped.reshape(count, -1)], axis=1
    )
    C = covariance_of(built)
    sample = np.cov(every.T)
    error = np.sqrt((C**2 + np.outer(np.diag(C), np.diag(C))) / count)
    assert np.all(np.abs(sample - C) <= 6 * error + 1e-18)


# --- what is told


def test_a_proof_tells_each_strip_s_cane(thrimble):
    built = with_cane(thrimble, {"T1": [1.1, 1, 1, 1, 1, 0.9], "B": [1] * 6}, covariance=np.eye(12) * 0.02**2)
    proof = compare(built, LOAD, Stated(32e9, "measured: strips", 0.64e9), draws=0)
    one = proof.strips[0]
    assert (one.section, one.strip, one.tested, one.source) == ("T1", 1, True, "a test")
    assert one.modulus == pytest.approx(35.2e9)
    assert one.spread == pytest.approx(32e9 * hypot(0.02, 1.1 * 0.02))
    assert len(proof.strips) == 12
    text = to_json(proof)
    assert text["strips"][5]["modulus_pa"] == pytest.approx(28.8e9) and text["strips"][5]["strip"] == 6
    assert any("scatter by 3.0%" in note for note in proof.notes)


def test_what_was_not_tested_is_noted(thrimble):
    found = unlike(bent_alone({("T1", 1): 30e9, ("T1", 3): 31e9}), {"T1": tuple(range(1, 7)), "B": tuple(range(1, 7))})
    built = made(thrimble)
    proof = compare(built_of(thrimble, built.parts, usual(thrimble), 1, found), LOAD, draws=0)
    said = "; ".join(proof.notes)
    assert "2 of 6 strips of T1 were bent by themselves; the others are taken as their mean" in said
    assert "no strip of B was bent by itself: each is taken as the mean of all that were" in said


def test_a_section_not_read_is_of_the_rods_own_cane(thrimble):
    found = unlike(bent_alone({("T1", 1): 30e9, ("T1", 3): 36e9, ("B", 1): 20e9, ("B", 2): 21e9}), RINGS)
    parts = {"T1": made(thrimble).parts["T1"]}
    built = built_of(thrimble, parts, usual(thrimble), 1, found)
    assert built.cane.section_shares[1].tolist() == [1.0] * 6
    assert not built.cane.shares[6:].any() and built.cane.shares[:6, :6].any()
    assert rod_as_built(built).along[1].shares == pytest.approx((1.0,) * 10)
    assert len(compare(built, LOAD, draws=0).strips) == 6

"""Misread stations: against scipy's spline and normal law, and by simulated rods of many seeds.

The rods are invented; how they are read (2 directions, 0.02 mm scatter, a caliper in hundredths) is common practice, no
source.
"""

from __future__ import annotations

import numpy as np
import pytest
from scipy.interpolate import make_smoothing_spline
from scipy.linalg import null_space
from scipy.stats import multivariate_normal

from culmwright.proof import existing_rod, misread
from culmwright.proof.existing_rod import Stretch, smooth
from culmwright.proof.misread import look

MM = 1e-3
SCATTER, DIRECTIONS = 0.02 * MM, 2
SEEDS = 120


def even(x):
    return (1.75 + 3.1 * x - 0.35 * x**2) * MM


def hollow_back(x):
    return (1.70 + 2.2 * np.sqrt(0.8 * x + 0.05)) * MM


def two_tapers(x):
    return (1.75 + 2.0 * x + 1.5 * np.maximum(x - 0.55, 0)) * MM


RODS = (even, hollow_back, two_tapers)


def read(taper, count, seed, slip=0.0, at=None, uneven=0.0):
    """Means and their doubt of a piece of ``count`` stations, one of which is off by ``slip`` either way."""
    random = np.random.default_rng(seed)
    x = np.linspace(0, 1, count)
    truth = taper(x) + random.normal(0, uneven, count) if uneven else taper(x)
    readings = truth[:, None] + random.normal(0, SCATTER, (count, DIRECTIONS))
    where = int(random.integers(2, count - 2)) if at is None else at % count
    readings[where] += slip * random.choice([-1, 1])
    readings = np.round(readings / (0.01 * MM)) * 0.01 * MM
    return x, readings, where


def looked(x, readings):
    u = max(np.sqrt(readings.var(axis=1, ddof=1).mean() / readings.shape[1]), 0.01 * MM / np.sqrt(12))
    return look(x, readings.mean(axis=1), u)


def test_off_the_others_is_off_scipys_spline_through_the_others(monkeypatch):
    """At one bend and doubt the mean is the smoothing spline of weight (u / b)^2 (Wahba 1978), fitted without it."""
    x, readings, _ = read(hollow_back, 9, 4)
    y, u, bend = readings.mean(axis=1), 14e-6, 3.0
    monkeypatch.setattr(misread, "BENDS", np.array([bend]))
    monkeypatch.setattr(misread, "DOUBTS", np.array([1.0]))
    each = misread._Each(x, y, u)
    weight = 2 / 3 / 8**3 / bend**2
    for i in range(9):
        others = np.arange(9) != i
        spline = make_smoothing_spline(x[others], y[others], lam=weight)
        end = min(max(x[i], x[others][0]), x[others][-1])  # a natural spline goes on straight beyond its ends
        there = float(spline(end)) + float(spline(end, 1)) * (x[i] - end)
        assert each.seen((i,)).off[0] == pytest.approx(y[i] - there, abs=1e-6 * u)


def test_how_far_it_is_to_be_expected_is_scipys_normal_law(monkeypatch):
    """By contrasts that no line changes: the law of all readings over that of the others, bends and doubts averaged."""
    x, readings, _ = read(even, 7, 5, slip=0.1 * MM)
    y, u = readings.mean(axis=1) / MM, 0.014
    bends, doubts = np.array([0.5, 20.0]), np.array([1.0, 3.0])
    monkeypatch.setattr(misread, "BENDS", bends)
    monkeypatch.setattr(misread, "DOUBTS", doubts)
    each = misread._Each(x, y, u)

    def likely(kept):
        """The restricted likelihood, but for what depends on the stations alone."""
        line = np.column_stack((np.ones(len(kept)), x[kept]))
        free = null_space(line.T)
        total = 0.0
        for bend in bends:
            for doubt in doubts:
                low, high = np.minimum.outer(x[kept], x[kept]), np.maximum.outer(x[kept], x[kept])
                walk = low**2 * (3 * high - low) / 6 * bend**2 / (2 / 3 / 6**3)
                law = multivariate_normal(cov=free.T @ (walk + doubt**2 * np.eye(len(kept))) @ free * u**2)
                total += law.pdf(free.T @ y[kept])
        return np.log(total), np.linalg.slogdet(line.T @ line)[1] / 2

    (every, of_all) = likely(list(range(7)))
    for out in ((0,), (3,), (2, 5)):
        rest, of_rest = likely([i for i in range(7) if i not in out])
        assert each.ordinate(out) == pytest.approx(every - of_all - rest + of_rest, abs=1e-6)


@pytest.mark.parametrize(("count", "free", "one_in_a_hundred"), [(20, 1, 0.480), (10, 1, 0.718), (10, 2, 0.536)])
def test_readings_that_differ_too_much_are_cochrans(count, free, one_in_a_hundred):
    """ISO 5725-2:1994, table 4 (from memory): p laboratories, n = 2 and 3 results, 1 %."""
    assert existing_rod._outlying(count, free) == pytest.approx(one_in_a_hundred, abs=0.0006)  # three digits there


@pytest.mark.parametrize(("count", "seeds"), [(7, SEEDS), (9, SEEDS), (18, SEEDS // 2)])
def test_a_rod_read_without_a_slip_is_seldom_accused(count, seeds):
    """Less than 3 in 1000 stations for smooth rods; as few where 0.03 mm of unevenness comes on top of the scatter."""
    for uneven in (0.0, 0.03 * MM):
        accused = sum(
            len(looked(*read(rod, count, seed, uneven=uneven)[:2]).misread) for rod in RODS for seed in range(seeds)
        )
        of = count * seeds * len(RODS)
        assert accused <= 0.003 * of + 3 * np.sqrt(0.003 * of)  # three deviations of such a count


@pytest.mark.parametrize(
    ("count", "slip", "least"),
    [(7, 0.5, 0.95), (9, 0.5, 0.99), (18, 0.5, 0.99), (9, 0.2, 0.6), (18, 0.2, 0.99), (18, 0.1, 0.7)],
)
def test_a_slip_is_found_and_its_neighbour_is_not_accused(count, slip, least):
    found = neighbour = 0
    for rod in RODS:
        for seed in range(SEEDS // 3):
            x, readings, where = read(rod, count, seed, slip=slip * MM)
            misread_ones = looked(x, readings).misread
            found += any(where == one.station or where in one.rivals for one in misread_ones)
            neighbour += any(abs(one.station - where) == 1 and where not in one.rivals for one in misread_ones)
    assert found >= least * len(RODS) * (SEEDS // 3)
    assert neighbour <= 1  # in 150 pieces


@pytest.mark.parametrize(("at", "count", "least"), [(0, 9, 0.6), (-1, 9, 0.4), (0, 18, 0.98), (1, 9, 0.95)])
def test_the_first_and_last_stations_are_judged_too(at, count, least):
    """Half a millimetre there; no other station is accused in its stead, unless both are named."""
    found = instead = 0
    for rod in RODS:
        for seed in range(SEEDS // 3):
            x, readings, where = read(rod, count, seed, slip=0.5 * MM, at=at)
            seen = looked(x, readings).misread
            found += any(where == one.station or where in one.rivals for one in seen)
            instead += bool(seen) and not any(where == one.station or where in one.rivals for one in seen)
    assert found >= least * len(RODS) * (SEEDS // 3)
    assert instead <= 1


@pytest.mark.parametrize(("at", "count"), [(0, 18), (1, 9)])
def test_where_the_neighbour_may_as_well_be_the_one_both_are_named(at, count):
    """0.2 mm at the first two stations, where a taper may bend as well: never the wrong one alone."""
    alone = both = 0
    for rod in RODS:
        for seed in range(50):
            x, readings, where = read(rod, count, 9000 + seed, slip=0.2 * MM, at=at)
            seen = looked(x, readings).misread
            both += any(one.rivals for one in seen)
            alone += any(abs(one.station - where) == 1 and where not in one.rivals for one in seen)
    assert alone == 0
    assert both > 10


def test_the_slip_said_to_be_found_nine_times_in_ten_is():
    """Of a piece as read, one station is read again with a slip of the size told for it; 120 of them: deviation 4."""
    found = told = 0
    for seed in range(SEEDS):
        rod = RODS[seed % 3]
        x, readings, _ = read(rod, 9 + seed % 6, seed)
        slip = looked(x, readings).least.get(4)
        if slip is None:
            continue
        random = np.random.default_rng(1000 + seed)
        again = rod(x[4]) + slip * random.choice([-1, 1]) + random.normal(0, SCATTER, DIRECTIONS)
        readings[4] = np.round(again / (0.01 * MM)) * 0.01 * MM
        told += 1
        found += any(one.station == 4 or 4 in one.rivals for one in looked(x, readings).misread)
    assert 0.82 * told < found < 0.99 * told


def test_two_slips_that_hide_each_other_are_both_found():
    found = 0
    for seed in range(30):
        x, readings, _ = read(even, 14, seed)
        readings[5] += 0.4 * MM
        readings[6] += 0.4 * MM
        found += {one.station for one in looked(x, readings).misread} >= {5, 6}
    assert found >= 28


def test_a_slip_in_one_direction_does_not_raise_the_doubt_of_all():
    x, readings, _ = read(even, 16, 11)
    plain = smooth((Stretch(x, readings),), 0.0)
    readings[4, 1] += 0.5 * MM
    found = smooth((Stretch(x, readings),), 0.0)
    assert [i for i, one in enumerate(found) if one.ragged] == [4]
    assert found[9].doubt < 1.3 * plain[9].doubt  # pooled with the slip it is four times that
    assert found[4].far == pytest.approx(0.25 * MM, abs=0.05 * MM)  # half of it is in the mean


def test_the_curve_goes_by_without_a_misread_station_unless_it_is_trusted():
    x, readings, _ = read(even, 7, 3)
    readings[3] += 0.5 * MM
    piece = (Stretch(x, readings),)
    found = smooth(piece, 0.0)
    assert [one.left_out for one in found] == [False, False, False, True, False, False, False]
    assert [one.across for one in found] == pytest.approx(list(even(x)), abs=0.06 * MM)  # four doubts of a mean
    kept = smooth(piece, 0.0, (float(x[3]),))
    assert kept[3].far is None
    assert kept[3].across > even(x)[3] + 0.3 * MM

"""An existing rod: the smoothing against scipy's own choice of weight, against the truth, and by simulation.

All readings are drawn from known tapers by a seeded generator.
"""

from __future__ import annotations

import numpy as np
import pytest
from scipy.interpolate import make_smoothing_spline

from culmwright.measure.errors import BadInput
from culmwright.proof.existing_rod import Stretch, _hat, smooth

THOU = 25.4e-6
X = np.arange(0, 95, 5) * 0.0254 / 2


def swelling(x):
    """A taper with a swell in it, in the manner of a real one (invented)."""
    return (70 + 3.0 * x / 0.0254 - 0.02 * (x / 0.0254) ** 2 + 4 * np.sin(x / 0.0254 / 7)) * THOU


def readings(truth, scatter, directions=3, seed=7):
    random = np.random.default_rng(seed)
    return truth[:, None] + random.normal(0, scatter, (len(truth), directions))


def test_a_straight_taper_stays_as_it_is():
    truth = (70 + 2.5 * X / 0.0254) * THOU
    found = smooth((Stretch(X, np.column_stack([truth + 0.1 * THOU, truth - 0.1 * THOU])),), 0.0)
    assert [one.across for one in found] == pytest.approx(list(truth), abs=1e-15)
    assert not any(one.far for one in found)


def test_it_lies_where_scipy_smooths_by_cross_validation():
    """scipy chooses its weight by generalised cross-validation where none is given: another rule for the same wish."""
    read = readings(swelling(X), 1.0 * THOU)
    found = smooth((Stretch(X, read),), 0.0)
    u = np.sqrt(read.var(axis=1, ddof=1).mean() / 3)
    apart = np.array([one.across for one in found]) - make_smoothing_spline(X, read.mean(axis=1))(X)
    assert np.abs(apart).max() < 2 * u  # two rules for the weight: within their readings' own doubt


def test_its_doubt_is_what_a_thousand_repetitions_scatter_by():
    """JCGM 101:2008: the standard deviation of what comes out when the readings are drawn again."""
    u = 0.6 * THOU
    hat = _hat(X, swelling(X) + u * np.random.default_rng(3).normal(size=len(X)), u, X)
    random = np.random.default_rng(4)
    curves = (hat @ (swelling(X)[:, None] + random.normal(0, u, (len(X), 4000)))).std(axis=1)
    told = u * np.sqrt((hat**2).sum(axis=1))
    assert curves == pytest.approx(told, rel=0.06)  # 4000 draws: a standard deviation is good to 1.1 %, five times that


def test_the_curve_lies_nearer_the_truth_than_the_readings_do():
    of_curve = of_means = 0.0
    for seed in range(20):
        read = readings(swelling(X), 1.0 * THOU, seed=seed)
        found = smooth((Stretch(X, read),), 0.0)
        of_curve += sum((one.across - true) ** 2 for one, true in zip(found, swelling(X), strict=True))
        of_means += sum((one.read - true) ** 2 for one, true in zip(found, swelling(X), strict=True))
    assert of_curve < 0.75 * of_means  # a swell in 19 stations needs some ten numbers: about half the scatter goes


def test_a_misread_station_is_pointed_out():
    read = readings(swelling(X), 0.5 * THOU)
    read[9] += 6 * THOU
    found = smooth((Stretch(X, read),), 0.0)
    assert [i for i, one in enumerate(found) if one.far] == [9]
    assert found[9].far == pytest.approx(6 * THOU, abs=1.5 * THOU)  # by the curve of the others: two doubts of theirs


KINKED = np.array([70, 77.5, 95, 107.5, 118.5, 129, 141, 153.5, 166.5, 179]) * THOU
"""The demo's own tip every 5 in: it has a kink at 5 in, as many tapers have."""


@pytest.mark.parametrize("scatter", [0.1, 0.3, 1.0])
def test_a_kink_of_the_taper_is_not_smoothed_away(scatter):
    """No station of a rod read without a slip comes out farther off than its own readings could be."""
    for seed in range(20):
        read = readings(KINKED, scatter * THOU, seed=seed)
        read = np.round(read / (0.5 * THOU)) * 0.5 * THOU
        found = smooth((Stretch(X[:10], read),), 0.0)
        off = max(abs(one.across - true) for one, true in zip(found, KINKED, strict=True))
        assert off < 5 * np.hypot(scatter, 0.5 / np.sqrt(12)) * THOU / np.sqrt(3) + 0.25 * THOU  # five means, a digit


def test_readings_that_agree_to_the_digit_are_as_good_as_the_digit():
    """A caliper in whole thou shows a smooth taper with no scatter: rounding alone is no slip and no certainty."""
    truth = np.round(swelling(X) / THOU) * THOU
    found = smooth((Stretch(X, np.column_stack([truth] * 3)),), 0.0)
    assert max(abs(one.across - each) for one, each in zip(found, truth, strict=True)) < 1.0 * THOU
    assert all(0.05 * THOU < one.doubt < 0.4 * THOU for one in found)  # a thou's digit is 1/sqrt 12 of it, or less
    assert not any(one.far for one in found)


def test_what_the_gauge_is_out_by_is_not_smoothed_away():
    read = readings(swelling(X), 0.5 * THOU)
    told = [one.doubt for one in smooth((Stretch(X, read),), 0.0)]
    with_gauge = [one.doubt for one in smooth((Stretch(X, read),), 0.4 * THOU)]
    assert with_gauge == pytest.approx([np.hypot(one, 0.4 * THOU) for one in told])


def test_a_ferrule_is_a_step_that_is_kept():
    truth = np.where(X < 0.5, swelling(X), swelling(X) + 20 * THOU)
    read = readings(truth, 0.3 * THOU)
    parts = tuple(Stretch(X[part], read[part]) for part in (X < 0.5, X >= 0.5))
    found = smooth(parts, 0.0)
    errors = [abs(one.across - true) for one, true in zip(found, truth, strict=True)]
    assert max(errors) < 1.0 * THOU
    assert max(abs(a.across - b) for a, b in zip(smooth((Stretch(X, read),), 0.0), truth, strict=True)) < 20 * THOU


def test_few_stations_stay_as_read():
    read = readings(swelling(X[:4]), 0.5 * THOU)
    assert [one.across for one in smooth((Stretch(X[:4], read),), 0.0)] == pytest.approx(list(read.mean(axis=1)))


@pytest.mark.parametrize(
    ("x", "columns", "words"),
    [(X, 1, "one direction only"), (X[::-1], 3, "further from the tip"), (X[:1], 3, "two stations or more")],
)
def test_what_cannot_be_smoothed_is_said(x, columns, words):
    with pytest.raises(BadInput, match=words):
        smooth((Stretch(x, readings(swelling(x), THOU, columns)),), 0.0)

"""The gauge study, against the published example and against an analysis of variance of made-up readings.

Source: AIAG, *Measurement Systems Analysis*, 4th ed. (2010), the study of ten parts by three appraisers in three
trials; readings and results from memory. The handbook goes on with means and constants rounded to four digits (its
largest difference of hands is 0.4446 for 0.44467), which moves what it prints by up to 0.0001.
"""

from __future__ import annotations

from math import sqrt

import numpy as np
import pytest

from culmwright.bench.gauge_study import d2_star, study
from culmwright.bench.study_working import study_working
from culmwright.measure.errors import BadInput

READINGS = (
    (
        (0.29, -0.56, 1.34, 0.47, -0.80, 0.02, 0.59, -0.31, 2.26, -1.36),
        (0.41, -0.68, 1.17, 0.50, -0.92, -0.11, 0.75, -0.20, 1.99, -1.25),
        (0.64, -0.58, 1.27, 0.64, -0.84, -0.21, 0.66, -0.17, 2.01, -1.31),
    ),
    (
        (0.08, -0.47, 1.19, 0.01, -0.56, -0.20, 0.47, -0.63, 1.80, -1.68),
        (0.25, -1.22, 0.94, 1.03, -1.20, 0.22, 0.55, 0.08, 2.12, -1.62),
        (0.07, -0.68, 1.34, 0.20, -1.28, 0.06, 0.83, -0.34, 2.19, -1.50),
    ),
    (
        (0.04, -1.38, 0.88, 0.14, -1.46, -0.29, 0.02, -0.46, 1.77, -1.49),
        (-0.11, -1.13, 1.09, 0.20, -1.07, -0.67, 0.01, -0.56, 1.45, -1.77),
        (-0.15, -0.96, 0.67, 0.11, -1.45, -0.49, 0.21, -0.49, 1.87, -2.16),
    ),
)


def test_the_handbooks_study():
    found = study(READINGS)
    assert found.repeatability == pytest.approx(0.20188, abs=1e-4)
    assert found.reproducibility == pytest.approx(0.22963, abs=1e-4)
    assert found.gauge == pytest.approx(0.30575, abs=1e-4)
    assert found.parts == pytest.approx(1.10456, rel=2e-4)  # its K3 is 0.3146 for 0.31456
    assert found.total == pytest.approx(1.14610, rel=2e-4)
    assert found.categories == 5
    assert found.share == pytest.approx(0.2668, abs=5e-5)
    assert (found.hands, found.trials, found.strips, found.freedom) == (3, 3, 10, 60)
    assert "5 sizes" in found.words


def test_the_handbooks_study_rung_by_rung():
    """Its ladder holds the printed figures, and every rung follows from those below it."""
    found = study(READINGS)
    ladders = study_working(found)
    rung = {one.step: one.value for one in ladders["share"].ladder()}
    EV, AV, GRR, PV = (ladders[name].value for name in ("repeatability", "reproducibility", "gauge", "parts"))
    for figure, printed in ((EV, 0.20188), (AV, 0.22963), (GRR, 0.30575)):
        assert figure == pytest.approx(printed, abs=1e-4)
    assert ladders["sizes"].value == 5
    within, between = (rung[name] for name in ("mean range of one hand on one strip", "range of the hands' means"))
    assert [within, between] == [pytest.approx(0.3417, abs=5e-5), pytest.approx(0.4446, abs=1e-4)]  # as printed
    assert pytest.approx(EV) == within / rung["d2* of 3 values, 30 ranges"]
    assert pytest.approx(AV) == sqrt((between / rung["d2* of 3 values, 1 range"]) ** 2 - EV**2 / 30)
    assert pytest.approx(PV) == rung["range of the strips' means"] / rung["d2* of 10 values, 1 range"]
    assert pytest.approx(GRR) == sqrt(EV**2 + AV**2)
    assert ladders["share"].value == found.share == pytest.approx(GRR / sqrt(GRR**2 + PV**2))


@pytest.mark.parametrize(
    ("m", "g", "k"),
    [(2, 30, 0.8862), (3, 30, 0.5908), (2, 1, 0.7071), (3, 1, 0.5231), (5, 1, 0.4030), (10, 1, 0.3146)],
)
def test_the_handbooks_constants(m, g, k):
    """K1, K2 and K3 as printed are one over d2*."""
    assert 1 / d2_star(m, g) == pytest.approx(k, abs=5e-5)


def test_d2_star_is_what_it_is_said_to_be():
    """The root mean square of the mean of g ranges, in a million drawn samples (to three of their standard errors)."""
    random = np.random.default_rng(11)
    means = np.ptp(random.normal(size=(250_000, 4, 3)), axis=2).mean(axis=1)
    square = means**2
    assert d2_star(3, 4) ** 2 == pytest.approx(square.mean(), abs=3 * square.std() / sqrt(len(square)))


def variances(y: np.ndarray) -> tuple[float, float, float]:
    """Sigmas of trial, hand and part of ``y[hand, trial, part]``, by analysis of variance without interaction."""
    k, r, n = y.shape
    mean = y.mean()
    hands, parts = y.mean(axis=(1, 2)), y.mean(axis=(0, 1))
    ms_hand = n * r * ((hands - mean) ** 2).sum() / (k - 1)
    ms_part = k * r * ((parts - mean) ** 2).sum() / (n - 1)
    rest = y - hands[:, None, None] - parts[None, None, :] + mean
    ms_rest = (rest**2).sum() / (k * r * n - k - n + 1)
    return sqrt(ms_rest), sqrt(max((ms_hand - ms_rest) / (n * r), 0.0)), sqrt(max((ms_part - ms_rest) / (k * r), 0.0))


def test_it_agrees_with_an_analysis_of_variance_in_the_mean():
    """400 studies of known scatter: both methods find it; the mean of so many is known to some per cent."""
    random = np.random.default_rng(5)
    found, other = [], []
    for _ in range(400):
        y = (
            random.normal(0.0, 1.0, (3, 3, 10))
            + random.normal(0.0, 1.5, (3, 1, 1))
            + random.normal(0.0, 4.0, (1, 1, 10))
        )
        one = study(y.tolist())
        found.append((one.repeatability**2, one.reproducibility**2, one.parts**2))
        other.append(tuple(sigma**2 for sigma in variances(y)))
    # 60, 2 and 9 degrees of freedom a study: over 400 the hands' sigma is known to 2.5 per cent, the others better;
    # three times that is allowed.
    assert np.sqrt(np.mean(other, axis=0)) == pytest.approx([1.0, 1.5, 4.0], rel=0.08)
    assert np.sqrt(np.mean(found, axis=0)) == pytest.approx([1.0, 1.5, 4.0], rel=0.08)


def test_a_good_gauge_and_a_coarse_one():
    sizes = [float(i) for i in range(5)]
    good = study([[sizes, [s + 0.01 for s in sizes]], [sizes, sizes]])
    coarse = study([[sizes, sizes[::-1]], [sizes[::-1], sizes]])
    assert good.share < 0.1 and good.words.startswith("the gauge is good")
    assert coarse.share > 0.3 and "too coarse" in coarse.words


def test_a_reading_beyond_its_range_is_named():
    sizes = [float(i) for i in range(10)]
    near = [s + 0.05 for s in sizes]
    # 19 ranges of 0.05 and one of 0.40 have the mean 0.0675, and D4 for two readings is 3.2665: limit 0.220.
    odd, less_odd = ([*sizes[:4], value, *sizes[5:]] for value in (4.45, 4.20))
    assert study([[sizes, near], [odd, near]]).unsteady == ((2, 5),)
    assert study([[sizes, near], [less_odd, near]]).unsteady == ()


@pytest.mark.parametrize("readings", [[], [[[1.0, 2.0]] * 2], [[[1.0], [2.0]]] * 2, [[[1.0, 2.0]]] * 2])
def test_too_little_is_no_study(readings):
    with pytest.raises(BadInput, match="make no study"):
        study(readings)


def test_a_missing_reading_is_no_study():
    with pytest.raises(BadInput, match="a reading is missing"):
        study([[[1.0, 2.0], [1.0, 2.0]], [[1.0, 2.0], [1.0]]])

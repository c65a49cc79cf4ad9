"""What the shop's rods say, against scipy's tests and known truths drawn again and again by a seeded generator."""

from __future__ import annotations

import numpy as np
import pytest
from scipy import stats

from culmwright.proof.learning import QUARTERS, StripRun, lessons, scatter

THOU = 25.4e-6


def a_run(random, *, bias=0.0, setting=0.3, between=1.2, within=0.6, strips=7, stations=9, rig="form", rod="R1"):
    """Strips of one setting: a known bias, the setting's own error, strips and readings that scatter [thou]."""
    over = (
        bias
        + random.normal(0, setting)
        + random.normal(0, between, (strips, 1))
        + random.normal(0, within, (strips, stations))
    )
    return StripRun(rod, "T1", rig, np.linspace(0, 1, stations), over * THOU)


def test_scatter_is_unbiased():
    random = np.random.default_rng(2)
    found = [scatter([a_run(random), a_run(random, strips=6)]) for _ in range(400)]
    between = np.array([one[0] for one in found]) ** 2 / THOU**2
    within = np.array([one[1] for one in found]) ** 2 / THOU**2
    # variances are estimated without bias; 400 draws put their mean within 3 standard errors of the truth
    for estimates, truth in ((between, 1.2**2), (within, 0.6**2)):
        assert abs(estimates.mean() - truth) < 3 * estimates.std() / 20


def test_the_ratio_of_mean_squares_is_scipys_f():
    """With the stations' means taken out, strips as groups: f_oneway's F, but for its degrees of freedom."""
    run = a_run(np.random.default_rng(9))
    left = run.over - run.over.mean(axis=0)
    strips, stations = left.shape
    between, within = scatter([run])
    ours = (stations * between**2 + within**2) / within**2
    theirs = stats.f_oneway(*left).statistic * (strips - 1) * (stations - 1) / (strips * (stations - 1))
    assert ours == pytest.approx(theirs)


def test_a_bias_is_told_when_enough_settings_agree_and_the_aim_is_the_other_way():
    random = np.random.default_rng(4)
    (lesson,) = lessons([a_run(random, bias=1.5, rod=f"R{i}") for i in range(6)])
    assert lesson.runs == 6
    assert len(lesson.rods) == 6
    assert lesson.strips == 42
    for quarter in lesson.quarters:
        assert quarter.told
        assert quarter.aim == -quarter.bias
        assert quarter.bias == pytest.approx(1.5 * THOU, abs=4 * quarter.doubt)


def test_it_is_students_t_on_the_means_of_the_settings():
    runs = [a_run(np.random.default_rng(seed), bias=0.6) for seed in range(5)]
    (lesson,) = lessons(runs)
    for quarter in lesson.quarters:
        here = (runs[0].places >= quarter.start) & (
            (runs[0].places < quarter.end) | ((runs[0].places <= quarter.end) & (quarter.end == QUARTERS[-1]))
        )
        peer = stats.ttest_1samp([run.over[:, here].mean() for run in runs], 0.0)
        assert quarter.bias / quarter.doubt == pytest.approx(peer.statistic)
        assert quarter.told == (peer.pvalue < 0.05)


def test_no_bias_is_told_of_an_honest_rig_more_often_than_once_in_twenty():
    """The strips of a run share its setting: they are one piece of evidence. 400 shops, each with 4 runs."""
    random = np.random.default_rng(8)
    told = sum(lessons([a_run(random) for _ in range(4)])[0].quarters[1].told for _ in range(400))
    assert told <= 20 + 3 * np.sqrt(400 * 0.05 * 0.95)
    assert told >= 20 - 3 * np.sqrt(400 * 0.05 * 0.95)


@pytest.mark.parametrize("runs", [1, 2])
def test_of_few_settings_nothing_is_told(runs):
    random = np.random.default_rng(1)
    (lesson,) = lessons([a_run(random, bias=20.0, setting=0.0) for _ in range(runs)])
    assert not any(quarter.told for quarter in lesson.quarters)
    assert [quarter.doubt is None for quarter in lesson.quarters] == [runs == 1] * 4


def test_each_rig_has_its_own_lesson():
    random = np.random.default_rng(3)
    found = lessons([a_run(random, rig=rig, bias=bias) for rig, bias in (("form", 2), ("bed", -2)) for _ in range(4)])
    assert [one.rig for one in found] == ["form", "bed"]
    assert all(quarter.bias > 0 for quarter in found[0].quarters)
    assert all(quarter.bias < 0 for quarter in found[1].quarters)


def test_one_strip_says_nothing_of_scatter():
    assert scatter([a_run(np.random.default_rng(1), strips=1)]) == (None, None)
    assert lessons([]) == ()

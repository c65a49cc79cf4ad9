"""Charts of one stop: run rules at their stated rates, a creeping stop said with its size and since when."""

from __future__ import annotations

import random
from itertools import permutations
from math import comb, erfc, sqrt

import pytest

from culmwright.bench.control import Chart, individuals, means_and_ranges
from culmwright.bench.creep import FALSE_ALARM, Change, creep
from culmwright.bench.factors import MOST, d2
from culmwright.bench.run_rules import RULES, signals
from culmwright.measure.display import INCH_DISPLAY, METRIC_DISPLAY
from culmwright.measure.errors import BadInput

THOU = 25.4e-6
BEYOND, ONE_SIDE, TREND, TWO_OF_3, FOUR_OF_5 = (rule.words for rule in RULES)


def chart(*z):
    """A chart with centre 10 and deviation 2 whose points lie so many deviations out."""
    return Chart(tuple(10 + 2 * value for value in z), 10, 4, 16, 2)


def told(*z):
    return [(signal.first, signal.last, signal.words) for signal in signals(chart(*z))]


@pytest.mark.parametrize(
    ("z", "expected"),
    [
        ((0, 3.1, 0), [(1, 1, BEYOND)]),
        ((0, -3.1, 0), [(1, 1, BEYOND)]),
        ((0, 3.0, 0), []),
        ((0.1, 0.2) * 4 + (0.1,), [(0, 8, ONE_SIDE)]),
        ((-0.2, -0.1) * 4 + (-0.2,), [(0, 8, ONE_SIDE)]),
        ((0.1, 0.2) * 4, []),
        ((0.1, 0.2) * 4 + (0,), []),
        ((-0.5, -0.3, -0.1, 0.1, 0.3, 0.5), [(0, 5, TREND)]),
        ((0.5, 0.3, 0.1, -0.1, -0.3, -0.5), [(0, 5, TREND)]),
        ((-0.5, -0.3, -0.1, -0.1, 0.3, 0.5), []),
        ((-0.5, -0.3, -0.1, 0.1, 0.3), []),
        ((2.1, 0, 2.1), [(0, 2, TWO_OF_3)]),
        ((0, -2.1, -2.1), [(0, 2, TWO_OF_3)]),
        ((2.1, 0, -2.1), []),
        ((2.1, 2.1, 0.1), []),  # the last point completes a rule, or none does
        ((2.0, 0, 2.1), []),
        ((1.1, 1.1, 0, 1.1, 1.1), [(0, 4, FOUR_OF_5)]),
        ((-1.1, -1.1, -1.1, 0.5, -1.1), [(0, 4, FOUR_OF_5)]),
        ((1.1, 1.1, 0, -1.1, 1.1), []),
    ],
)
def test_run_rules(z, expected):
    assert told(*z) == expected


def test_a_chart_without_scatter_tells_nothing():
    assert signals(individuals("abc", [1.0, 1.0, 1.0]).place) == ()


def test_stated_rates_in_closed_form():
    """2 Q(3); 2/2^9; the two monotone orders among 6!, counted; binomial sums with the last point among those out."""

    def Q(z):
        return erfc(z / sqrt(2)) / 2

    monotone = sum(list(p) in (sorted(p), sorted(p, reverse=True)) for p in permutations(range(6)))
    four = sum(comb(4, k) * Q(1) ** k * (1 - Q(1)) ** (4 - k) for k in (3, 4))
    expected = [2 * Q(3), 2 / 512, monotone / 720, 2 * Q(2) * (1 - (1 - Q(2)) ** 2), 2 * Q(1) * four]
    assert [rule.false_alarm for rule in RULES] == pytest.approx(expected, rel=1e-12)
    assert [f"{100 * rule.false_alarm:.2f}" for rule in RULES] == ["0.27", "0.39", "0.28", "0.20", "0.45"]


def test_a_steady_process_raises_false_alarms_at_the_stated_rates():
    """100 000 normal points, known centre and deviation; four standard errors of a count, runs being correlated
    taken twice over.
    """
    chance = random.Random(7)
    count = 100_000
    found = signals(Chart(tuple(chance.gauss(0, 1) for _ in range(count)), 0, -3, 3, 1))
    for rule in RULES:
        seen = sum(signal.words == rule.words for signal in found)
        expected = rule.false_alarm * count
        assert abs(seen - expected) < 8 * sqrt(expected)
    points = len({signal.last for signal in found}) / count
    assert 0.011 < points < sum(rule.false_alarm for rule in RULES)  # less than the sum: rules often speak together


@pytest.mark.parametrize("n", [2, 5, 12])
def test_factors_by_simulation(n):
    """40 000 samples with a seed: within four standard errors of the mean range."""
    chance = random.Random(n)
    ranges = 0.0
    for _ in range(40_000):
        sample = [chance.gauss(0, 1) for _ in range(n)]
        ranges += max(sample) - min(sample)
    assert ranges / 40_000 == pytest.approx(d2(n), abs=4 * 0.86 / 200)


def test_few_strips_make_provisional_limits():
    assert individuals([str(i) for i in range(19)], [i % 3 for i in range(19)]).provisional
    assert not individuals([str(i) for i in range(20)], [i % 3 for i in range(20)]).provisional


def labels(values):
    return [f"S{i + 1}" for i in range(len(values))]


def scatter(count, seed, sigma=0.2):
    chance = random.Random(seed)
    return [chance.gauss(0, sigma) * THOU for _ in range(count)]


def test_a_creeping_stop_is_told_with_its_size_and_since_when():
    """20 strips of 0.2 thou scatter, rising 0.11 thou a strip from strip 7 on: 1.43 thou by strip 20."""
    values = [noise + 0.11 * THOU * max(i - 6, 0) for i, noise in enumerate(scatter(20, 3))]
    found = creep(labels(values), values, INCH_DISPLAY)
    assert found.change is Change.CREPT
    assert found.size == pytest.approx(1.43 * THOU, abs=3 * found.standard_error)
    assert found.standard_error < 0.25 * THOU
    assert abs(int(found.since[1:]) - 7) <= 2
    size, give = found.size / THOU, found.standard_error / THOU
    assert found.words == (
        f"the stop has crept up {size:.1f} thou (give or take {give:.1f}) since strip {found.since}, "
        "or the iron has dulled"
    )


def test_the_stated_error_is_that_of_the_size():
    """100 runs with a slow creep: about 95 of them within two stated errors of the true size, 99 within three."""
    off = []
    for seed in range(100):
        values = [noise + 0.08 * THOU * max(i - 6, 0) for i, noise in enumerate(scatter(20, seed))]
        found = creep(labels(values), values, INCH_DISPLAY)
        off.append(abs(found.size - 1.04 * THOU) / found.standard_error)
    assert sum(error > 2 for error in off) <= 12  # binomial, 5 of 100 expected: 12 or more in one of 250 trials
    assert sum(error < 0.67 for error in off) <= 68  # half expected within 0.67, three and a half sigma above
    assert sum(error > 3 for error in off) <= 3


def test_without_scatter_the_story_is_exact():
    values = [0.0] * 7 + [0.2 * THOU * k for k in range(1, 8)]
    found = creep(labels(values), values, INCH_DISPLAY)
    assert (found.size, found.since, found.change) == (pytest.approx(1.4 * THOU), "S7", Change.CREPT)
    assert found.words.startswith("the stop has crept up 1.4 thou (give or take 0.0) since strip S7")
    values = [-value for value in values]
    down = creep(labels(values), values, METRIC_DISPLAY)
    assert down.words == "the stop has crept down 0.036 mm (give or take 0.000) since strip S7"  # no iron does that


def test_a_stop_that_slipped_is_told_from_one_that_crept():
    values = [noise - 1.5 * THOU * (i >= 9) for i, noise in enumerate(scatter(18, 5))]
    found = creep(labels(values), values, INCH_DISPLAY)
    assert (found.change, found.since) == (Change.SLIPPED, "S10")
    assert found.size == pytest.approx(-1.5 * THOU, abs=3 * found.standard_error)
    assert found.words.startswith("the stop has slipped down by 1.")
    assert found.words.endswith("at strip S10")


def test_nothing_is_told_of_few_strips_or_of_none_that_changed():
    rising = [i * THOU for i in range(6)]
    assert creep(labels(rising[:5]), rising[:5], INCH_DISPLAY) is None
    assert creep(labels(rising), rising, INCH_DISPLAY) is not None
    assert creep(list("abcdefgh"), [0.0123456789] * 8, INCH_DISPLAY) is None


@pytest.mark.parametrize("odd_one", [0, -1])
def test_one_strip_far_out_is_no_story(odd_one):
    """It is a point beyond the limits, not a stop that crept or slipped: told of few in 100 runs."""
    told = 0
    for seed in range(100):
        values = scatter(12, seed)
        values[odd_one] += 3 * THOU
        told += creep(labels(values), values, INCH_DISPLAY) is not None
    assert told <= 10  # now and then the strip beside it lies out on the same side


def test_a_change_of_one_step_of_the_gauge_is_not_told():
    """Four zeros and two ones fit a slip without any scatter; a gauge that shows whole ones cannot know that."""
    values = [0, 0, 0, 0, THOU, THOU]
    assert creep(labels(values), values, INCH_DISPLAY) is not None
    assert creep(labels(values), values, INCH_DISPLAY, resolution=THOU) is None


@pytest.mark.parametrize("count", [6, 12, 25])
def test_a_steady_run_is_rarely_told_a_story(count):
    """1 000 steady runs: no more than the stated share, with three standard errors of it."""
    told = sum(
        creep(labels(range(count)), scatter(count, 1000 * count + run), INCH_DISPLAY) is not None for run in range(1000)
    )
    assert told <= 1000 * FALSE_ALARM + 3 * sqrt(1000 * FALSE_ALARM)


@pytest.mark.parametrize(
    ("make", "fault"),
    [
        (lambda: individuals(["a"], [1.0]), "one strip makes no control chart"),
        (lambda: individuals(["a"], [1.0, 2.0]), "1 labels for 2 strips"),
        (lambda: means_and_ranges("ab", [[1, 2], [1]]), "not read at the same number of stations"),
        (lambda: means_and_ranges("ab", [[1], [1]]), "1 readings are not a sample"),
        (lambda: creep(["a"], [1.0, 2.0], INCH_DISPLAY), "1 labels for 2 strips"),
        (lambda: d2(MOST + 1), "not a sample"),
    ],
)
def test_what_makes_no_chart_is_refused(make, fault):
    with pytest.raises(BadInput, match=fault):
        make()

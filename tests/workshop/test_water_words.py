"""What is said of a bundle whose weighings tell next to nothing, and of one that they tell all of."""

from math import exp

from culmwright.book.water_words import drying_words
from culmwright.cane.drying import Aim, fit_drying
from culmwright.cane.weighing import Weighing
from culmwright.measure.band import Band
from culmwright.measure.display import METRIC_DISPLAY

DAY = 86_400.0


def told(masses):
    weighed = tuple(Weighing(i * DAY, mass / 1000, f"{mass:.1f} g") for i, mass in enumerate(masses))
    fit = fit_drying(weighed, Aim(0.10, Band(0.065, 0.105)))
    return fit, " ".join(drying_words(fit, weighed, 0.10, METRIC_DISPLAY))


def test_no_day_and_no_wide_bounds_where_some_curves_never_come_to_it():
    fit, words = told([212.4, 201.0, 195.1, 190.1])
    assert fit.ready.high is None
    assert "not at 10% yet" in words
    assert "some never" in words
    assert "settle" not in words
    assert "moisture now" not in words


def test_bounds_that_tell_are_told():
    _, words = told([round(160 + 50 * exp(-i / 2), 1) for i in range(9)])
    assert "It will settle at 159." in words or "It will settle at 160." in words

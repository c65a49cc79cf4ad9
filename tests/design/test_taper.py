"""The taper as a function along the rod: straight lines between stations, end values beyond."""

from __future__ import annotations

import pytest

from culmwright.design.taper import Taper
from culmwright.measure.lengths import Length

INCH = 0.0254


def inches(*values: str) -> tuple[Length, ...]:
    return tuple(Length.parse(f"{value} in") for value in values)


@pytest.fixture
def taper() -> Taper:
    return Taper(inches("0", "5", "15", "90"), inches("0.070", "0.080", "0.110", "0.330"))


BETWEEN = [(0.0, 0.070), (2.5, 0.075), (5.0, 0.080), (10.0, 0.095), (15.0, 0.110), (52.5, 0.220), (90.0, 0.330)]


@pytest.mark.parametrize(("x", "across"), BETWEEN)
def test_straight_lines_between_stations(taper, x, across):
    assert taper.at(x * INCH) == pytest.approx(across * INCH, rel=1e-14)


@pytest.mark.parametrize(("x", "across"), [(-1.0, 0.070), (91.0, 0.330)])
def test_the_end_value_holds_beyond_the_ends(taper, x, across):
    assert taper.at(x * INCH) == pytest.approx(across * INCH)


def test_at_a_station_the_number_drawn_comes_back_untouched(taper):
    for station, across in zip(taper.stations, taper.across, strict=True):
        assert taper.at(station.m) == across.m


def test_neighbours_of_a_place_between_stations(taper):
    assert taper.neighbours(Length.parse("7 in")) == inches("5", "15")
    assert taper.neighbours(Length.parse("5 in")) is None
    assert taper.neighbours(Length.parse("127 mm")) is None  # 5 in
    assert taper.neighbours(Length.parse("95 in")) is None


def test_how_it_goes_between_stations_is_said_in_words(taper):
    assert taper.between == "straight lines between stations"

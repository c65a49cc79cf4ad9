"""Ferrule seats and proposed guides."""

from __future__ import annotations

from fractions import Fraction
from itertools import pairwise

import pytest

from culmwright.design.fittings import Ferrule, propose_guides, seat
from culmwright.measure.lengths import Length

INCH = 0.0254
SIXTY_FOURTH = INCH / 64
NANO_INCH = 25_400_000  # [nm] in an inch


def ferrule(station: str) -> Ferrule:
    return Ferrule(Length.parse(station), 13)


def test_the_bore_is_the_size_in_64ths():
    assert ferrule("45 in").bore == pytest.approx(13 / 64 * INCH)


def test_a_bore_between_flats_and_corners_turns_the_corners_only():
    # Six sides, 0.200 in across flats, corners at 0.2309 in, bore 13/64 = 0.2031 in.
    found = seat(6, 0.1 * INCH, 13)
    assert found.corner_cut / INCH == pytest.approx((0.2 / 0.8660254 - 13 / 64) / 2, abs=1e-8)
    assert (found.flat_cut, found.slack) == (0.0, 0.0)


def test_a_bore_below_the_flats_takes_power_fibres():
    found = seat(6, 0.1 * INCH, 12)
    assert found.flat_cut / INCH == pytest.approx((0.2 - 12 / 64) / 2)
    assert found.slack == 0.0


def test_a_bore_beyond_the_corners_leaves_slack():
    found = seat(6, 0.1 * INCH, 16)
    assert (found.corner_cut, found.flat_cut) == (0.0, 0.0)
    assert found.slack / INCH == pytest.approx(0.25 - 0.2 / 0.8660254, abs=1e-8)


@pytest.mark.parametrize(("flats", "size"), [(12.5, 13), (13.0, 13), (13.01, 14), (12.99, 13)])
def test_the_size_that_fits_leaves_the_flats_whole(flats, size):
    assert seat(6, flats * SIXTY_FOURTH / 2, 13).fitting_size == size


def test_five_sides_measure_flats_and_corners_by_their_circles():
    found = seat(5, 0.1 * INCH, 13)
    assert found.flats / INCH == pytest.approx(0.2)
    assert found.corners / INCH == pytest.approx(0.2 / 0.80901699437, abs=1e-10)  # cos 36 deg


@pytest.mark.parametrize("inches", range(60, 121, 3))
def test_proposed_guides_are_about_one_a_foot_plus_one_in_order_and_on_the_rod(inches):
    """Common practice, no source."""
    places = propose_guides(Length.parse(f"{inches} in"), (ferrule(f"{inches / 2} in"),))
    stations = [place.nanometres / NANO_INCH for place in places]
    assert stations[0] == 0
    assert abs(len(stations) - 1 - (inches / 12 + 1)) <= 0.5
    assert stations == sorted(set(stations))
    assert stations[-1] <= max(inches - 28, Fraction(7, 10) * inches) + Fraction(1, 8)
    assert all((station * 8).denominator == 1 for station in stations)
    assert all(abs(station - Fraction(inches, 2)) >= 2 - Fraction(1, 16) for station in stations)


def test_half_a_foot_counts_upwards_on_every_length():
    assert [len(propose_guides(Length.parse(f"{inches} in"), ())) - 1 for inches in (78, 90, 102)] == [8, 9, 10]


def test_spaces_widen_towards_the_butt_where_no_ferrule_is_near():
    places = propose_guides(Length.parse("90 in"), ())
    inches = [float(place.nanometres / NANO_INCH) for place in places]
    spaces = [after - before for before, after in pairwise(inches)]
    assert spaces[0] == 4
    assert all(wider > space - 1 / 8 for space, wider in pairwise(spaces))
    assert inches[-1] == pytest.approx(63, abs=0.125)


@pytest.mark.parametrize("inches", [24, 66, 90, 110])
@pytest.mark.parametrize("bare", [4, 8.5, 12, 30, 60])
def test_no_guide_is_proposed_under_a_long_grip(inches, bare):
    """However little of the rod is bare: in order, and two inches clear of the grip even beside a ferrule."""
    bare = min(bare, inches)
    for joint in (inches / 2, bare - 5.9, bare - 4.1):
        ferrules = (ferrule(f"{joint} in"),) if joint > 0 else ()
        places = propose_guides(Length.parse(f"{inches} in"), ferrules, Length.parse(f"{inches - bare} in"))
        stations = [place.nanometres / NANO_INCH for place in places]
        assert stations[0] == 0
        assert stations == sorted(set(stations))
        assert stations[-1] <= max(bare - 2 + 1 / 16, 0)


def test_a_usual_grip_changes_no_proposal():
    for inches in range(60, 121, 6):
        length = Length.parse(f"{inches} in")
        assert propose_guides(length, (), Length.parse("12 in")) == propose_guides(length, ())


def test_a_guide_moves_off_a_ferrule():
    free = propose_guides(Length.parse("90 in"), ())
    third = free[3]
    moved = propose_guides(Length.parse("90 in"), (Ferrule(third, 13),))
    assert abs(moved[3].nanometres - third.nanometres) == 2 * NANO_INCH

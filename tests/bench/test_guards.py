"""Questions before a reading is kept, over a whole table of targets and both ways round."""

from __future__ import annotations

import pytest

from culmwright.bench.guards import HeldFor, Reach, far_off, other_unit, repeat
from culmwright.measure.display import INCH_DISPLAY, METRIC_DISPLAY
from culmwright.measure.lengths import Length

THOU = 25.4e-6
TARGETS = [Length.of(tenths, "thou").m / 10 for tenths in range(300, 4500, 7)]  # strips from 0.030 to 0.450 in
TOLERANCE = 5 * THOU


def inches(text):
    return Length.parse(f"{text} in")


def in_gauge_digits(metres, unit):
    """A length as a gauge in ``unit`` shows it, four places of an inch or three of a millimetre."""
    return f"{metres / 0.0254:.4f}" if unit == "in" else f"{metres * 1000:.3f}"


def test_a_mixed_up_unit_is_asked_about_both_ways_and_never_converted():
    for target in TARGETS:
        for sent, declared, guess in (
            ("mm", "in", "millimetres on an inch gauge"),
            ("in", "mm", "inches on a millimetre gauge"),
        ):
            value = Length.parse(in_gauge_digits(target + THOU, sent), declared)
            before = value.nanometres
            held = other_unit(value, target, TOLERANCE, INCH_DISPLAY)
            assert held is not None and held.reason is HeldFor.OTHER_UNIT
            assert guess in held.question
            assert str(value) in held.question and INCH_DISPLAY.height(target) in held.question
            assert value.nanometres == before


def test_a_value_in_range_raises_no_alarm():
    for target in TARGETS:
        for over in (-19.9, -5, -1, -0.5, 0, 0.5, 1, 5, 20, 50, 100, 119.9):
            value = Length.parse(in_gauge_digits(target + over * THOU, "in"), "in")
            assert other_unit(value, target, TOLERANCE, INCH_DISPLAY) is None
            assert far_off(value, target, INCH_DISPLAY) is None


def test_the_whole_question():
    held = other_unit(inches("9.19"), 0.3620 * 0.0254, TOLERANCE, INCH_DISPLAY)
    assert held.question == (
        "9.19 in came where 0.3620 in is wanted. That looks like millimetres on an inch gauge. "
        "Read again in the right unit, or keep it as it is?"
    )
    held = other_unit(Length.parse("0.362 mm"), 9.19e-3, 0.1e-3, METRIC_DISPLAY)
    assert held.question.startswith("0.362 mm came where 9.190 mm is wanted. That looks like inches on a millimetre")


def test_a_ratio_of_25_4_that_no_gauge_explains_is_asked_about_plainly():
    assert "25.4 times too large" in other_unit(Length.parse("233.4 mm"), 9.19e-3, 0.1e-3, METRIC_DISPLAY).question
    assert "25.4 times too small" in other_unit(inches("0.01425"), 0.362 * 0.0254, TOLERANCE, INCH_DISPLAY).question


def test_the_25_4_guard_ends_where_its_tolerance_ends():
    target = 0.1 * 0.0254
    assert other_unit(inches("2.541"), target, 1.01e-3 * 0.0254, INCH_DISPLAY) is not None
    assert other_unit(inches("2.5"), target, 1e-3 * 0.0254, INCH_DISPLAY) is None
    assert other_unit(inches("2.58"), target, 1e-3 * 0.0254, INCH_DISPLAY) is None


def test_within_three_times_the_target_nothing_is_taken_for_another_unit():
    """A tolerance as wide as the target would make every reading look like the other unit."""
    wide = 0.1 * 0.0254
    for value in ("0.034", "0.1", "0.299"):
        assert other_unit(inches(value), wide, wide, INCH_DISPLAY) is None
    for value in ("0.033", "0.301"):
        assert other_unit(inches(value), wide, wide, INCH_DISPLAY) is not None


@pytest.mark.parametrize(("elapsed", "held"), [(0.0, True), (0.3, True), (0.7, True), (0.701, False), (60, False)])
def test_the_same_value_within_seven_tenths_of_a_second_is_held(elapsed, held):
    asked = repeat(inches("0.362"), Length.parse("9.1948 mm"), elapsed)  # the same length, written otherwise
    assert (asked is not None) is held


def test_a_repeat_asks_in_words_and_another_value_does_not():
    asked = repeat(inches("0.362"), inches("0.362"), 0.2)
    assert asked.reason is HeldFor.REPEAT
    assert asked.question == "0.362 in came twice within 0.7 s: was the gauge pressed twice? Keep it, or read again?"
    assert repeat(inches("0.362"), inches("0.3625"), 0.1) is None


@pytest.mark.parametrize(
    ("value", "said"),
    [
        ("1.2350", None),
        ("0.2350", "0.235 in came where 1.2350 in is wanted: has a leading 1 been dropped? Keep it, or read again?"),
        ("0.8", "0.8 in is 435.0 thou under the 1.2350 in wanted here. Keep it, or read again?"),
        ("1.4", "1.4 in is 165.0 thou over the 1.2350 in wanted here. Keep it, or read again?"),
        ("-0.01", "-0.01 in came where 1.2350 in is wanted: was the gauge zeroed in another place? "
                  "Keep it, or read again?"),
        ("0", "0 in came where 1.2350 in is wanted: was the gauge zeroed in another place? Keep it, or read again?"),
    ],
)  # fmt: skip
def test_a_value_that_cannot_be_is_asked_about(value, said):
    held = far_off(inches(value), 1.235 * 0.0254, INCH_DISPLAY)
    assert (held and held.question) == said
    assert held is None or held.reason is HeldFor.FAR_OFF


def test_a_dropped_digit_may_stand_for_tens_of_millimetres():
    held = far_off(Length.parse("6.234 mm"), 16.23e-3, METRIC_DISPLAY)
    assert "has a leading 1 been dropped" in held.question
    held = far_off(Length.parse("16.234 mm"), 36.23e-3, METRIC_DISPLAY)  # no leading digit: 16 has its tens already
    assert "dropped" not in held.question


def test_nothing_and_less_than_nothing_is_held_within_reach_too():
    """A tip of 15 thou is within reach of zero, but no strip reads zero."""
    for value in ("0", "-0.001"):
        assert "zeroed in another place" in far_off(inches(value), 15 * THOU, INCH_DISPLAY).question
    assert far_off(inches("0.001"), 15 * THOU, INCH_DISPLAY) is None


def test_exactly_at_the_reach_is_no_question():
    reach = Reach(under=1e-3, over=2e-3)
    target = 5e-3
    for value, held in (("4 mm", False), ("3.999 mm", True), ("7 mm", False), ("7.001 mm", True)):
        assert (far_off(Length.parse(value), target, METRIC_DISPLAY, reach) is not None) is held

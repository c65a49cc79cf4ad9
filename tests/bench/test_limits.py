"""Two limits on each side: what is in, what warns, what stops; exactly on a limit is in."""

from __future__ import annotations

import pytest

from culmwright.bench.limits import FINISH_LIMITS, ROUGH_LIMITS, Level, Limits, Size, Verdict
from culmwright.measure.errors import BadInput

THOU = 25.4e-6
BOTH = Limits.typed("-0.5", "-1", "+1", "+2", bare="thou")
HAIR = 1e-9  # [m] a nanometre: far below any gauge, far above float noise


@pytest.mark.parametrize(
    ("thou", "hair", "size", "level"),
    [
        (0, 0, Size.ON_SIZE, Level.IN),
        (1, 0, Size.ON_SIZE, Level.IN),
        (1, HAIR, Size.OVER, Level.WARN),
        (2, 0, Size.OVER, Level.WARN),
        (2, HAIR, Size.OVER, Level.STOP),
        (-0.5, 0, Size.ON_SIZE, Level.IN),
        (-0.5, -HAIR, Size.UNDER, Level.WARN),
        (-1, 0, Size.UNDER, Level.WARN),
        (-1, -HAIR, Size.UNDER, Level.STOP),
    ],
)
def test_exactly_on_a_limit_is_in(thou, hair, size, level):
    for target in (0.0, 0.0885 * 0.0254, 0.45 * 0.0254):
        deviation = (target + thou * THOU + hair) - target  # as a reading less its target comes, with its float noise
        assert BOTH.verdict(deviation) == Verdict(size, level)


def test_a_side_without_limits_never_warns_and_is_never_silent():
    one_sided = Limits.typed(stop_under="-1 thou")
    assert one_sided.verdict(50 * THOU) == Verdict(Size.OVER, Level.IN)
    assert one_sided.verdict(0.0) == Verdict(Size.ON_SIZE, Level.IN)
    assert one_sided.verdict(-0.9 * THOU) == Verdict(Size.ON_SIZE, Level.IN)
    assert one_sided.verdict(-1.1 * THOU) == Verdict(Size.UNDER, Level.STOP)
    assert Limits.typed(warn_over="1 thou").verdict(-5 * THOU) == Verdict(Size.UNDER, Level.IN)


def test_over_can_be_cut_and_under_cannot_be_put_back():
    """The ready limits stop under and never over."""
    for limits in (FINISH_LIMITS, ROUGH_LIMITS):
        assert limits.verdict(90 * THOU).level is Level.WARN
        assert limits.verdict(-90 * THOU).level is Level.STOP


def test_every_verdict_is_told_without_colour():
    kinds = [Verdict(Size.ON_SIZE, Level.IN)]
    kinds += [Verdict(size, level) for size in (Size.UNDER, Size.OVER) for level in Level]
    assert len({kind.shape for kind in kinds}) == len({kind.sound for kind in kinds}) == len(kinds)
    assert [kind.sign for kind in kinds] == ["=", "-", "-", "-", "+", "+", "+"]
    assert Verdict(Size.OVER, Level.WARN).shape == "triangle up"
    assert Verdict(Size.UNDER, Level.STOP).shape == "barred triangle down"
    assert Verdict(Size.UNDER, Level.STOP).sound == "three notes falling"


@pytest.mark.parametrize(
    ("limits", "fault"),
    [
        ({"stop_under": "1 thou"}, "limits: a limit under lies on the wrong side of the target. "
         "Write limits under with a minus and limits over with a plus."),
        ({"warn_over": "-1 thou"}, "a limit over lies on the wrong side"),
        ({"warn_under": "-2 thou", "stop_under": "-1 thou"}, "limits: the warn limit under lies beyond"),
        ({"warn_over": "2 thou", "stop_over": "1 thou"}, "the warn limit over lies beyond"),
        ({"warn_over": "1 furlong"}, "furlong is not a unit"),
    ],
)  # fmt: skip
def test_limits_that_cannot_be_are_refused(limits, fault):
    with pytest.raises(BadInput) as refusal:
        Limits.typed(**limits)
    assert fault in str(refusal.value)


def test_limits_of_no_number_are_refused():
    for number in (float("nan"), float("inf")):
        with pytest.raises(BadInput):
            Limits(number, None, None, None)

"""One reading and one strip judged: the words to the last digit, the next pass, the move of the stop."""

from __future__ import annotations

from math import radians

import pytest

from culmwright.bench.cuts import Cutting, groove_move, next_cut, stop_move
from culmwright.bench.judge import Aim, Stage, aim, judge
from culmwright.bench.judge_strip import judge_strip
from culmwright.bench.limits import FINISH_LIMITS, Level, Limits, Size
from culmwright.bench.passes import DRY, DRY_METRIC, WET
from culmwright.bench.targets import StripTarget
from culmwright.design.rod import Cutter
from culmwright.design.strip import StripForm
from culmwright.measure.display import INCH_DISPLAY, METRIC_DISPLAY
from culmwright.measure.errors import BadInput
from culmwright.measure.lengths import Length

INCH, THOU = 0.0254, 25.4e-6
SIX = StripForm(6, radians(60))
FLAT = Cutting(SIX, Cutter.FLAT, DRY)
TWO_EDGED = Cutting(SIX, Cutter.TWO_EDGED, DRY)


def at(station, height=0.0885 * INCH, stage=Stage.FINISH):
    place = Length.parse(f"{station} in")
    return Aim(stage=stage, station=place.m, height=height, reading=height, place=place)


def read(over, station=25, cutting=FLAT, limits=FINISH_LIMITS, display=INCH_DISPLAY):
    one = at(station)
    return judge(one.reading + over * THOU, one, limits, cutting, display)


@pytest.mark.parametrize(
    ("over", "words"),
    [
        (1.2, "1.2 thou over at station 25: one pair of passes of 0.6"),
        (8.0, "8.0 thou over at station 25: one pair of passes of 4.0"),
        (24.0, "24.0 thou over at station 25: a pair of passes of 4.0, the first of 3 pairs"),
        (1.0, "on size at station 25, 1.0 thou over"),
        (0.0, "on size at station 25"),
        (0.04, "on size at station 25"),
        (-0.3, "on size at station 25, 0.3 thou under"),
        (-0.8, "0.8 thou under at station 25: no more passes here"),
        (-1.2, "1.2 thou under at station 25: stop, no pass can put cane back"),
    ],
)
def test_the_words(over, words):
    assert read(over).words == words


def test_the_words_for_a_two_edged_cutter():
    assert read(1.2, cutting=TWO_EDGED).words == "1.2 thou over at station 25: one pass of 1.2"
    assert read(9, cutting=TWO_EDGED).words == "9.0 thou over at station 25: a pass of 4.0, the first of 3 passes"


def test_the_words_in_millimetres():
    place = Length.parse("635 mm")
    one = Aim(stage=Stage.FINISH, station=place.m, height=2.25e-3, reading=2.25e-3, place=place)
    cutting = Cutting(SIX, Cutter.FLAT, DRY_METRIC)
    judgement = judge(2.28e-3, one, FINISH_LIMITS, cutting, METRIC_DISPLAY)
    assert judgement.words == "0.030 mm over at station 635: one pair of passes of 0.015"


def test_what_is_too_thin_to_cut_is_said():
    tight = Limits(None, None, None, None)
    assert read(0.7, limits=tight).words == "0.7 thou over at station 25: too thin to cut"
    assert read(0.04, limits=tight).words == "less than 0.1 thou over at station 25: too thin to cut"
    assert read(0.7, limits=tight).next_cut is None
    assert read(1.0, limits=tight).next_cut.depth == pytest.approx(0.5 * THOU)  # exactly the thinnest is cut
    assert read(1.2).note == "passes under 1.0 thou are thin: an iron that is not keen rubs instead of cutting"
    assert read(2.0).note == ""


def test_the_rest_of_a_judgement():
    over, under, on = read(3), read(-3), read(0.2)
    assert (over.size, over.level, over.sign, over.shape, over.sound) == (
        Size.OVER, Level.WARN, "+", "triangle up", "two notes rising",
    )  # fmt: skip
    assert (under.size, under.level, under.sign, under.shape) == (Size.UNDER, Level.STOP, "-", "barred triangle down")
    assert under.deviation == pytest.approx(-3 * THOU)
    assert (under.next_cut, on.next_cut, on.move) == (None, None, None)
    assert [one.needs_reason for one in (over, under, on)] == [False, True, False]


@pytest.mark.parametrize(("sides", "fall"), [(6, 1.0), (5, 0.8507), (4, 0.7071)])
def test_a_pair_takes_off_what_is_over(sides, fall):
    """Fall of a flat pass square to the flank, h/h_f: 1.0000, 0.8507, 0.7071 (plane geometry of the triangle)."""
    cut = next_cut(4 * THOU, Cutting(StripForm(sides, radians(360 / sides)), Cutter.FLAT, WET))
    assert cut.depth * 2 * fall == pytest.approx(4 * THOU, rel=1e-4)
    assert (cut.fall, cut.strokes, cut.rounds) == (pytest.approx(4 * THOU), 2, 1)


def test_no_round_goes_deeper_than_the_cane_allows():
    for over in (2, 5, 9, 30, 77.7):
        for depths, deepest in ((DRY, 4), (WET, 10)):
            cut = next_cut(over * THOU, Cutting(SIX, Cutter.FLAT, depths))
            assert cut.depth <= deepest * THOU * (1 + 1e-9)
            assert cut.fall <= over * THOU * (1 + 1e-9)


def test_the_move_of_the_stop():
    """new stop = stop - (reading - target): a strip 1.2 over wants the stop 1.2 lower."""
    assert (read(1.2, cutting=TWO_EDGED).move.change, read(1.2, cutting=TWO_EDGED).move.words) == (
        pytest.approx(-1.2 * THOU), "stop down by 1.2 thou",
    )  # fmt: skip
    assert stop_move(-1.2 * THOU, INCH_DISPLAY).words == "stop up by 1.2 thou"


@pytest.mark.parametrize(("sides", "ratio"), [(6, 1.0), (5, 1.1756), (4, 1.4142)])
def test_the_move_of_a_groove(sides, ratio):
    """A reading e over wants the groove e h_f/h shallower; h_f/h of the ideal triangle 1.0000, 1.1756, 1.4142."""
    move = groove_move(1e-3, StripForm(sides, radians(360 / sides)), INCH_DISPLAY)
    assert move.change == pytest.approx(-ratio * 1e-3, rel=1e-4)
    assert groove_move(2 * THOU, SIX, INCH_DISPLAY).words == "groove shallower by 2.0 thou"
    assert groove_move(-2 * THOU, SIX, INCH_DISPLAY).words == "groove deeper by 2.0 thou"
    assert read(2).move.words == "groove shallower by 2.0 thou"


TARGET = StripTarget(
    station=25 * INCH, across=0.18 * INCH, height=0.09 * INCH, rough_height=0.19 * INCH, face_width=0.1 * INCH,
    crown=None, groove_depth=0.09 * INCH, glued_across=0.18 * INCH, finished_across=0.18 * INCH, reading=None,
    rough_reading=None, place=Length.parse("25 in"),
)  # fmt: skip


def test_the_aim_of_a_stage():
    rough, finish = aim(TARGET, Stage.ROUGH), aim(TARGET, Stage.FINISH)
    assert (rough.height, finish.height) == (pytest.approx(0.19 * INCH), pytest.approx(0.09 * INCH))
    over_block = aim(TARGET, Stage.FINISH, zero=0.5 * INCH)
    assert (over_block.reading, over_block.height) == (pytest.approx(0.59 * INCH), pytest.approx(0.09 * INCH))
    assert over_block.place == TARGET.place


def strip(*overs, cutting=FLAT):
    return judge_strip([read(over, station=5 * i) for i, over in enumerate(overs)], cutting, INCH_DISPLAY)


@pytest.mark.parametrize(
    ("overs", "words", "depth", "level"),
    [
        ((6, 4, 5), "6.0 thou over at station 0, the least 4.0 thou over at station 5: one pair of passes of 2.0",
         2, Level.WARN),
        ((6,), "6.0 thou over at station 0: one pair of passes of 3.0", 3, Level.WARN),
        ((6, 0.3, 5), "6.0 thou over at station 0, but 0.3 thou over at station 5: cut only where it is over",
         None, Level.WARN),
        ((0.5, -0.2), "on size at every station read, from 0.2 thou under to 0.5 thou over", None, Level.IN),
        ((0.5, -0.2, -3), "3.0 thou under at station 10, the worst: take nothing more off along the whole strip",
         None, Level.STOP),
        ((5, -0.7), "0.7 thou under at station 5, the worst; 5.0 thou over at station 0: "
         "take nothing more off along the whole strip",
         None, Level.WARN),
    ],
)  # fmt: skip
def test_a_strip_is_limited_by_its_thinnest_station(overs, words, depth, level):
    judged = strip(*overs)
    assert judged.words == words
    assert (judged.next_cut and judged.next_cut.depth) == (depth and pytest.approx(depth * THOU))
    assert judged.level is level
    assert judged.allowance == pytest.approx(min(overs) * THOU)
    assert judged.most_over.deviation == pytest.approx(max(overs) * THOU)
    assert judged.least_over.deviation == pytest.approx(min(overs) * THOU)


def test_no_station_goes_under_by_the_next_pass():
    for least in (1.0, 1.3, 7.9, 12.5, 33.3):
        for cutting in (FLAT, TWO_EDGED):
            judged = strip(60, least, 41, cutting=cutting)
            assert judged.next_cut.fall <= judged.allowance * (1 + 1e-9)


def test_a_strip_needs_readings_of_one_stage():
    with pytest.raises(BadInput, match="no readings yet"):
        judge_strip([], FLAT, INCH_DISPLAY)
    rough = judge(0.1 * INCH, at(5, stage=Stage.ROUGH), FINISH_LIMITS, FLAT, INCH_DISPLAY)
    with pytest.raises(BadInput, match="more than one stage"):
        judge_strip([read(2), rough], FLAT, INCH_DISPLAY)

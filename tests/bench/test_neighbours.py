"""A reading beside others of its strip: slips are asked about, strips as they are made are not.

The strips are played: every scatter in them is invented, with no source, and told in the docstring of ASTRAY.
"""

from __future__ import annotations

import math
from random import Random

import pytest

from culmwright.bench.guards import Beside, HeldFor, astray, exchanged
from culmwright.bench.judge import Aim, Stage
from culmwright.bench.targets import schedule
from culmwright.design.rod_file import rod_from_text
from culmwright.measure.display import INCH_DISPLAY
from culmwright.measure.lengths import Length
from culmwright.workshop.starting import rod_text

THOU = 25.4e-6
AIMS = (0.106, 0.116, 0.126, 0.136, 0.146)  # [in] at stations 15, 20, 25, 30, 35


def aim(inches, station, stage=Stage.FINISH):
    place = Length.parse(f"{station} in")
    return Aim(stage, place.m, inches * 0.0254, inches * 0.0254, place)


def read(inches):
    return Length.parse(f"{inches:.4f} in")


def around(over, cells=(0, 1), stage=Stage.FINISH):
    """Readings of the strip whose aims are AIMS, ``over`` [thou] at the ``cells``."""
    every = over if isinstance(over, tuple) else (over,) * len(cells)
    known = zip(cells, every, strict=True)
    return [Beside(aim(AIMS[i], 15 + 5 * i, stage), read(AIMS[i] + thou / 1000)) for i, thou in known]


def held(over, others, at=2, stage=Stage.FINISH):
    here = aim(AIMS[at], 15 + 5 * at, stage)
    return astray(read(AIMS[at] + over / 1000), here, others, INCH_DISPLAY)


def test_a_slip_of_a_tenth_of_an_inch_is_asked_about_at_either_stage():
    asked = held(100, around(0))
    assert asked.reason is HeldFor.ASTRAY
    assert asked.question == (
        "0.226 in is 100.0 thou more than goes with 0.1160 in at station 20 of this strip. Keep it, or read again?"
    )
    assert held(100, around(0, stage=Stage.ROUGH), stage=Stage.ROUGH).reason is HeldFor.ASTRAY
    assert (
        "is 90.0 thou less than goes with" in held(-100, around(0)).question
    )  # 10 of them the strip may not taper yet


@pytest.mark.parametrize(
    ("stage", "over", "limit"),
    [(Stage.FINISH, 0, 8), (Stage.FINISH, 40, 18), (Stage.FINISH, -2, 8), (Stage.ROUGH, 0, 30), (Stage.ROUGH, 60, 45)],
)
def test_the_limit_is_of_the_stage_and_a_quarter_of_what_is_over(stage, over, limit):
    for sign, taper in ((1, 0), (-1, 10)):  # the strip rises 10 thou to the next station, if it is tapered there
        beside = around(over, (1,), stage=stage)
        assert held(over + sign * (limit + taper), beside, stage=stage) is None
        assert held(over + sign * (limit + taper + 0.1), beside, stage=stage) is not None


def test_a_strip_not_tapered_yet_is_not_asked_about():
    """All along 0.190 in: over by 84, 74, 64 thou. The same height against the taper the other way is asked about."""
    assert held(64, around((84, 74))) is None
    assert held(64, around((44, 54), (3, 4))) is None


def test_a_slip_that_was_kept_is_not_asked_about_again_at_its_neighbours():
    assert held(0, around((0, 100))) is None
    assert held(0, around((100,), (1,))).question.startswith("0.126 in is 90.0 thou less than goes with 0.2160 in")
    assert held(0, around((0, 100), (1, 3))) is None
    assert held(0, []) is None


def test_the_neighbour_towards_the_tip_is_named_else_the_next_towards_the_butt():
    assert "0.1160 in at station 20 of" in held(30, around(0, (0, 1, 3, 4))).question
    assert "0.1360 in at station 30 of" in held(30, around(0, (4, 3))).question


def test_what_was_read_there_before_is_no_neighbour():
    """A cell read anew is weighed against the others only."""
    assert held(50, [*around(0), *around(50, (2,))]) is not None
    assert held(50, around(50, (2,))) is None


def test_no_more_than_two_on_either_side_are_beside():
    """Three stations away it was right; the two between are not, and this one goes with neither."""
    assert held(50, around((50, 0, 0), (0, 1, 2)), at=3) is not None
    assert held(50, around((50, 0), (0, 2)), at=3) is None


@pytest.mark.parametrize(("over", "far"), [(0, 0), (20, 20)])
def test_two_readings_exchanged_are_asked_about_when_the_second_is_typed(over, far):
    """0.136 and 0.126 in where 0.126 and 0.136 are wanted, on size and 20 thou over; from the tip and from the butt."""
    asked = exchanged(read(0.126 + over / 1000), aim(AIMS[3], 30), around((over, far + 10), (1, 2)), INCH_DISPLAY)
    assert asked.reason is HeldFor.EXCHANGED
    first, second = read(0.136 + over / 1000), read(0.126 + over / 1000)
    assert asked.question == (
        f"{second} here and {first.m / 0.0254:.4f} in at station 25 of this strip look exchanged: each fits the "
        "other's place. Keep it, or read both again?"
    )
    back = exchanged(first, aim(AIMS[2], 25), around((over - 10, over), (3, 4)), INCH_DISPLAY)
    assert f"{second.m / 0.0254:.4f} in at station 30 of this strip look exchanged" in back.question


@pytest.mark.parametrize(
    ("why", "value", "others"),
    [
        ("in order", 0.136, around((0, 0), (1, 2))),
        ("not tapered yet", 0.150, around((34, 24), (1, 2))),
        ("no third that says which is right", 0.126, around((10,), (2,))),
        ("the third stands elsewhere", 0.126, around((10, 10), (1, 2))),
        ("only one of them is off", 0.136, around((0, 10), (1, 2))),
    ],
)
def test_what_is_not_exchanged_is_not_asked_about(why, value, others):
    assert exchanged(read(value), aim(AIMS[3], 30), others, INCH_DISPLAY) is None, why


def test_two_that_differ_by_less_than_half_the_limit_are_not_exchanged():
    """A taper of 2 thou a station, the first 2.2 or 2.3 thou over: half of 8 thou and a quarter of that, by hand."""
    first, second, third = aim(0.100, 5), aim(0.102, 10), aim(0.104, 15)

    def asked(second_read, third_read):
        return exchanged(read(third_read), third, [Beside(first, read(0.100)), Beside(second, read(second_read))],
                         INCH_DISPLAY)  # fmt: skip

    assert asked(0.1042, 0.102) is None
    assert asked(0.1043, 0.102) is not None


def played(aims, stage, over, shape, random):
    """What a gauge shows along an invented strip: tapered, not tapered yet, or tapered towards its tip only."""
    scatter, node = (1.0, 4.0) if stage is Stage.FINISH else (5.0, 9.0)
    flat, x, nodes = aims[-1].reading + over * THOU * (shape != "half"), aims[0].station, []
    while x < aims[-1].station:
        x += random.uniform(6, 12) * 0.0254
        nodes.append((x, random.uniform(0, node) * THOU))
    for one in aims:
        level = over * THOU if shape == "tapered" else flat - one.reading
        if shape == "half":
            level = min(over * THOU, level + over * THOU / 4)
        bump = sum(high * math.exp(-(((one.station - x) / 0.019) ** 2) / 2) for x, high in nodes)
        yield Length.parse(f"{(one.reading + level + bump + random.gauss(0, math.hypot(scatter * THOU, 0.03 * level))) / 0.0254:.4f} in")  # fmt: skip # noqa: E501


def asked_along(aims, values):
    known, said = [], []
    for here, value in zip(aims, values, strict=True):
        said.append(bool(exchanged(value, here, known, INCH_DISPLAY) or astray(value, here, known, INCH_DISPLAY)))
        known.append(Beside(here, value))
    return said


def test_good_strips_are_hardly_ever_asked_about_and_slips_nearly_always():
    random, questions, readings, slips, found, swaps, caught = Random(5), 0, 0, 0, 0, 0, 0
    for name in ("thrimble-beck", "pellamere-brook"):
        for section in schedule(rod_from_text(rod_text(name))).sections:
            for stage in Stage:
                aims = [
                    Aim(stage, one.station, one.height, one.height + 0.1 * 0.0254 * (stage is Stage.ROUGH), one.place)
                    for one in section.stations
                ]
                for shape, over in (
                    (shape, over) for shape in ("tapered", "flat", "half") for over in (0, 5, 20, 50, 100)
                ):
                    for _ in range(40):
                        values = list(played(aims, stage, over, shape, random))
                        said = asked_along(aims, values)
                        questions, readings = questions + sum(said), readings + len(said)
                        at = random.randrange(1, len(aims))
                        wrong = [*values[:at], Length.parse(f"{values[at].m / 0.0254 + 0.1:.4f} in"), *values[at + 1 :]]
                        slips, found = slips + 1, found + asked_along(aims, wrong)[at]
                        if at > 1 and stage is Stage.FINISH and shape == "tapered" and over <= 20:
                            wrong = [*values[: at - 1], values[at], values[at - 1], *values[at + 1 :]]
                            swaps, caught = swaps + 1, caught + any(asked_along(aims, wrong)[at - 1 : at + 1])
    assert readings > 40_000
    assert questions / readings < 1e-3
    assert found / slips > 0.98
    assert caught / swaps > 0.7

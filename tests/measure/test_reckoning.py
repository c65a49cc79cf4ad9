"""Ladders: every reckoning behind a number, each once, causes before effects."""

from __future__ import annotations

from culmwright.measure.reckoning import ROD_FILE, Reckoning, Rung, rungs


def number(step: str, *of: Reckoning) -> Reckoning:
    return Reckoning(step, 1.0, "m", "given", ROD_FILE, of)


def test_causes_come_first_and_each_once():
    across, varnish = number("across"), number("varnish")
    bare = number("bare", across, varnish)
    glue = number("glue")
    height = number("height", number("seated", bare, glue), glue)
    assert [one.step for one in height.ladder()] == ["across", "varnish", "bare", "glue", "seated", "height"]


def test_a_number_that_comes_from_nothing_is_its_own_ladder():
    alone = number("across")
    assert alone.ladder() == (alone,)


def test_equal_numbers_are_still_two_steps():
    first, second = number("wall"), number("wall")
    assert len(number("sum", first, second).ladder()) == 3


def test_rungs_are_the_plain_steps():
    asked = Reckoning("height", 0.004, "m", "half of it", "plane geometry", (number("across"),))
    assert rungs(asked) == (
        Rung("across", "given", 1.0, "m", ROD_FILE),
        Rung("height", "half of it", 0.004, "m", "plane geometry"),
    )

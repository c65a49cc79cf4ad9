"""Screws: what a turn moves, and how it is said."""

from __future__ import annotations

import pytest

from culmwright.rigs.rig import Dial, DialWay
from culmwright.rigs.screw import Hands, Screw, Turning

INCH = 0.0254
PLAIN = Screw(INCH / 20, opens=Turning.COUNTER)
DIALLED = Screw(INCH / 20, opens=Turning.CLOCKWISE, divisions=50)


def test_a_turn_moves_the_pitch():
    assert PLAIN.travel == pytest.approx(0.050 * INCH)


@pytest.mark.parametrize(("hands", "moves"), [(Hands.SAME, 1 / 20 - 1 / 28), (Hands.OPPOSITE, 1 / 20 + 1 / 28)])
def test_a_differential_screw(hands, moves):
    assert Screw(INCH / 20, INCH / 28, hands).travel == pytest.approx(moves * INCH)
    assert Screw(INCH / 28, INCH / 20, hands).travel == pytest.approx(moves * INCH)


@pytest.mark.parametrize(
    ("turn", "words"),
    [
        (0.0, "0 deg"),
        (0.25, "90 deg"),
        (1.0, "1 turn"),
        (2.5, "2 turns 180 deg"),
        (-0.75, "270 deg"),
        (0.9995, "1 turn"),
        (1.9999, "2 turns"),
    ],
)
def test_a_turn_in_degrees(turn, words):
    assert PLAIN.words(turn) == words


@pytest.mark.parametrize(
    ("turn", "words"), [(0.5, "25.0 divisions"), (1.012, "1 turn 0.6 divisions"), (3.0, "3 turns")]
)
def test_a_turn_in_divisions(turn, words):
    assert DIALLED.words(turn) == words


@pytest.mark.parametrize(
    ("screw", "turn", "words"),
    [
        (PLAIN, 0.25, "open 90 deg, counter-clockwise"),
        (PLAIN, -0.25, "close 90 deg, clockwise"),
        (DIALLED, 0.25, "open 12.5 divisions, clockwise"),
        (DIALLED, -1.0, "close 1 turn, counter-clockwise"),
        (Screw(INCH / 20), -0.25, "close 90 deg"),
        (PLAIN, 0.001, "leave"),
    ],
)
def test_a_move_says_which_way(screw, turn, words):
    assert screw.move(turn) == words


def test_it_is_set_to_a_mark():
    assert PLAIN.settable(0.3333) == pytest.approx(120 / 360)
    assert DIALLED.settable(0.3333) == pytest.approx(16.7 / 50)


@pytest.mark.parametrize(
    ("way", "change", "words"),
    [
        (DialWay.DOWN, -0.100 * INCH, "down by 100"),
        (DialWay.DOWN, 0.100 * INCH, "up by 100"),
        (DialWay.UP, -0.0012 * INCH, "up by 1.2"),
        (DialWay.UP, 0.0012 * INCH, "down by 1.2"),
        (DialWay.UP, 0.00001 * INCH, "leave"),
    ],
)
def test_the_dial_of_a_stop_in_its_own_words(way, change, words):
    assert Dial(way, 0.001 * INCH).words(change) == words


@pytest.mark.parametrize(
    ("screw", "turn", "words"),
    [(PLAIN, 2.25, "2 + 90°"), (PLAIN, 0.9999, "1 + 0°"), (DIALLED, 1.5, "1 + 25.0"), (DIALLED, -0.5, "0 + 25.0")],
)
def test_a_turn_in_a_table(screw, turn, words):
    assert screw.brief(turn) == words


def test_what_a_table_means():
    assert PLAIN.brief_words == "whole turns + degrees"
    assert DIALLED.brief_words == "whole turns + divisions of 50"

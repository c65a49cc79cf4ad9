"""Pot life at another temperature: van 't Hoff's rule by hand, its reach, and what is no pot life."""

from __future__ import annotations

import pytest

from culmwright.bench.glue_clock import REACH, pot_life
from culmwright.measure.errors import BadInput

ROOM = 296.15


@pytest.mark.parametrize(
    ("warmer", "low", "high"),
    [  # two to three times as fast for every 10 K (van 't Hoff 1884; from memory), worked by hand for 60 min
        (0.0, 60.0, 60.0),
        (10.0, 20.0, 30.0),
        (-10.0, 120.0, 180.0),
        (5.0, 60 / 3**0.5, 60 / 2**0.5),
    ],
)
def test_it_halves_or_thirds_for_ten_degrees(warmer, low, high):
    found = pot_life(3600.0, ROOM, ROOM + warmer)
    assert (found.low / 60, found.high / 60) == (pytest.approx(low), pytest.approx(high))


@pytest.mark.parametrize("warmer", [REACH + 0.1, -REACH - 0.1, 40.0])
def test_beyond_its_reach_there_is_no_figure(warmer):
    with pytest.raises(BadInput, match="no rule of thumb reaches that far"):
        pot_life(3600.0, ROOM, ROOM + warmer)
    assert pot_life(3600.0, ROOM, ROOM + REACH * (1 if warmer > 0 else -1)).low > 0


@pytest.mark.parametrize("stated", [0.0, -60.0, 1e9])
def test_a_pot_life_that_is_none_is_refused(stated):
    with pytest.raises(BadInput, match="no pot life"):
        pot_life(stated, ROOM, ROOM)

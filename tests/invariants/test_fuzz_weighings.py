"""Fuzzed lists of weighings and typed steps: weighings in order, a step, or one of our refusals; never a crash."""

from __future__ import annotations

from itertools import pairwise
from math import isfinite
from random import Random

from culmwright.cane.heating import parse_step
from culmwright.cane.weighing import read_weighings, resolution
from culmwright.measure.errors import BadInput

CASES = 6_000

TIMES = ("0 days", "1 day", "2 days", "36 h", "2026-11-01", "2026-11-02 08:00", "2026-11-03T08:00Z", "time", "", "-1 h")
MASSES = ("412.3 g", "391 g", "0.9 lb", "391,0 g", "14 1/2 oz", "412.3", "mass g", "mass [g]", "[]", "", "nan g", "0 g")
MARKS = (",", ", ", ";", "\t", " , ", ",,", "")
ENDS = ("\n", "\r\n", "\n\n", "\n# said\n", "", "\x00\n", "\u2028")


def some_list(draw: Random) -> str:
    text = draw.choice(("", "", "\ufeff", "time,mass g\n", "time,\n", "a;b;c\n"))
    for _ in range(draw.randint(0, 5)):
        text += draw.choice(TIMES) + draw.choice(MARKS) + draw.choice(MASSES) + draw.choice(ENDS)
    if text and draw.random() < 0.3:
        i = draw.randrange(len(text))
        text = text[:i] + draw.choice("0.,;\t-+/ g°½\"'#") + text[i:]
    return text


def test_weighings_or_a_refusal(draw, depth, bounded):
    read = 0
    for _ in range(CASES * depth):
        text = some_list(draw)
        with bounded():
            try:
                found = read_weighings(text, "list.csv")
            except BadInput as refusal:
                assert str(refusal).startswith("list.csv"), (text, str(refusal))
                continue
        read += 1
        assert found and found[0].time == 0.0
        assert all(isfinite(one.mass) and one.mass > 0 for one in found)
        assert all(before.time < after.time for before, after in pairwise(found))
        assert resolution(found) > 0
    assert read > CASES / 50  # the search finds lists that can be read, too


def test_a_step_or_a_refusal(draw, depth, bounded):
    words = ("250 F", "120 C", "30 min", "1 h", " for ", ",", "@", "for", "-", "", "1e400 K", "½ h", " ")
    for _ in range(CASES * depth):
        text = "".join(draw.choice(words) for _ in range(draw.randint(0, 5)))
        with bounded():
            try:
                step = parse_step(text)
            except BadInput:
                continue
        assert isfinite(step.temperature) and isfinite(step.hold) and step.temperature >= 0, text

"""Fuzzed rig files: each gives a rig, set for a strip, or one of our refusals; never anything else."""

from __future__ import annotations

import json
from math import pi

import pytest

from culmwright.design.strip import StripForm
from culmwright.measure.errors import CulmwrightError
from culmwright.measure.record import to_json
from culmwright.rigs.curve import Curve
from culmwright.rigs.rig_file import rig_from_text
from culmwright.rigs.setting_records import Wanted
from culmwright.rigs.settings import settings_for
from culmwright.workshop.starting import shop_rig_text

CASES = 2_000
VALUES = (
    "0",
    "-1",
    "1",
    "60",
    "1e-9",
    "1e9",
    "nan",
    '""',
    '"x"',
    "[]",
    "[1, 2]",
    "true",
    '"1/20 in"',
    '"60 deg"',
    "{}",
)
WANTED = Wanted("T1", StripForm(6, pi / 3), Curve((0.0, 0.4, 0.8), (0.0010, 0.0016, 0.0022)))


@pytest.mark.parametrize("name", ["long-form", "pair-form", "quiet-bed", "starter-bed"])
def test_a_rig_or_a_refusal(name, draw, depth):
    lines = [line for line in shop_rig_text(name).splitlines() if line.strip() and not line.startswith("#")]
    rigs = 0
    for _ in range(CASES * depth // 4):
        text = list(lines)
        for _ in range(draw.randint(1, 2)):
            at = draw.randrange(len(text))
            kind = draw.random()
            if kind < 0.55 and "=" in text[at]:
                text[at] = f"{text[at].split('=')[0]}= {draw.choice(VALUES)}"
            elif kind < 0.75:
                del text[at]
            elif kind < 0.9:
                text.insert(at, draw.choice(lines))
            else:
                cut = draw.randrange(len(text[at]) + 1)
                text[at] = text[at][:cut] + draw.choice("=[]\"'#.,x0") + text[at][cut:]
        try:
            rig = rig_from_text("\n".join(text))
            rigs += 1
            if draw.random() < 0.1:
                json.dumps(to_json(settings_for(rig, WANTED)), allow_nan=False)
        except CulmwrightError as refused:
            assert str(refused).endswith(".")
    assert rigs > 20  # the fuzz is not so wild that nothing is ever set

"""Results in JSON: the unit of a field becomes the ending of its key, and no number is nan."""

from __future__ import annotations

import json
from dataclasses import dataclass, field
from fractions import Fraction

import pytest

from culmwright.design.rod import Cutter
from culmwright.measure.record import si, to_json


@dataclass(frozen=True)
class Inner:
    height: float = si("m")
    angle: float = si("rad")


@dataclass(frozen=True)
class Result:
    name: str
    mass: float = si("kg")
    moment: float = si("N m")
    stress: float = si("Pa")
    load: float = si("N")
    modulus: float = si("m^3")
    count: int = si("-")
    crown: float | None = si("m", required=False)
    inner: tuple[Inner, ...] = ()
    secret: str = field(default="hidden", metadata={"hidden": True})


def test_keys_carry_their_unit():
    result = Result("a", 1.0, 2.0, 3.0, 4.0, 5.0, 6, inner=(Inner(0.1, 0.2),))
    assert to_json(result) == {
        "name": "a",
        "mass_kg": 1.0,
        "moment_n_m": 2.0,
        "stress_pa": 3.0,
        "load_n": 4.0,
        "modulus_m3": 5.0,
        "count": 6,
        "crown_m": None,
        "inner": [{"height_m": 0.1, "angle_rad": 0.2}],
    }


def test_plain_things_stay_plain():
    value = {"list": [1, 2.5, None, True], 3: Cutter.FLAT, "ratio": Fraction(1, 3)}
    assert to_json(value) == {"list": [1, 2.5, None, True], "3": "flat", "ratio": "1/3"}
    assert json.loads(json.dumps(to_json(value)))


@pytest.mark.parametrize("number", [float("nan"), float("inf"), -float("inf")])
def test_a_number_that_is_not_finite_never_gets_out(number):
    with pytest.raises(ValueError, match="not finite"):
        to_json({"deep": [Inner(number, 0.0)]})


def test_a_default_of_a_unit_field():
    @dataclass(frozen=True)
    class WithDefault:
        drop: float = si("m", default=0.25, required=False)

    assert to_json(WithDefault()) == {"drop_m": 0.25}

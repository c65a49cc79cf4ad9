"""The uncertainty budget, against the worked example of an end gauge.

Source: JCGM 100:2008 (GUM), annex H.1, tables and text as printed (from memory): standard uncertainties 25 nm of the
standard with 18 degrees of freedom, 9.7 nm of the measured difference with 25.6 (13 nm over five readings with 24; the
comparator's 3.9 nm with 5 and 6.7 nm with 8), 0.58e-6 /K with 50 and 0.029 K with 2; combined 32 nm with 16 effective
degrees of freedom, and 93 nm for 99 in 100. Printed to two digits: half a unit of the last is allowed.
"""

from __future__ import annotations

from math import inf, sqrt

import pytest
from scipy.stats import t as student

from culmwright.measure.errors import BadInput
from culmwright.rigs.budget import Budget, Part

NM = 1e-9
LENGTH, EXPANSION, COOLER = 0.05, 11.5e-6, -0.1  # [m], [1/K], [K]


def difference() -> Budget:
    return Budget(
        (
            Part.repeated("five comparisons", 13 * NM, 5, 24),
            Part("comparator, random", 3.9 * NM, 1.0, 5),
            Part("comparator, systematic", 6.7 * NM, 1.0, 8),
        )
    )


def end_gauge() -> Budget:
    return Budget(
        (
            Part("standard", 25 * NM, 1.0, 18),
            Part("difference", difference().combined, freedom=difference().freedom),
            Part("difference of expansions", 0.58e-6, -LENGTH * COOLER, 50),
            Part("difference of temperatures", 0.029, -LENGTH * EXPANSION, 2),
        )
    )


def test_the_difference():
    assert difference().combined / NM == pytest.approx(9.7, abs=0.05)
    assert difference().freedom == pytest.approx(25.6, abs=0.15)  # printed from rounded parts


def test_the_end_gauge():
    found = end_gauge()
    assert found.combined / NM == pytest.approx(32, abs=0.5)
    assert int(found.freedom) == 16
    assert found.coverage(0.99) == pytest.approx(2.92, abs=0.005)
    assert found.expanded(0.99) / NM == pytest.approx(93, abs=0.5)


def test_shares_make_the_whole():
    found = end_gauge().shares()
    assert sum(one.share for one in found) == pytest.approx(1.0)
    assert [one.name for one in found][:2] == ["standard", "difference of temperatures"]


def test_known_limits_need_no_student():
    """A limit known for certain has infinite freedom, and 95 in 100 are 1.96 sigma; a step is a limit of its half."""
    found = Budget((Part.within("limit", 20e-6), Part.rounded("step", 12e-6)))
    assert found.freedom == inf
    assert found.combined == pytest.approx(sqrt(20e-6**2 / 3 + 12e-6**2 / 12))
    assert found.coverage() == pytest.approx(1.959964, abs=1e-6)


@pytest.mark.parametrize("freedom", [1, 4, 30])
def test_few_readings_need_student(freedom):
    assert Budget((Part("few", 1e-6, 1.0, freedom),)).coverage(0.9) == pytest.approx(student.ppf(0.95, freedom))


@pytest.mark.parametrize("part", [Part("x", -1.0), Part("x", float("nan")), Part("x", 1.0, 1.0, 0)])
def test_no_doubt_is_below_zero(part):
    with pytest.raises(BadInput):
        Budget((part,))

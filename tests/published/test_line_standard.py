"""Fly lines by number. Source: the fly-fishing trade association's published line weights, first 30 ft, in grains."""

from __future__ import annotations

import pytest

from culmwright.design.line_standard import line_density, line_mass, line_tolerance

GRAIN = 0.06479891e-3  # [kg], exact (international pound, 1959)

TABLE = [
    (1, 60, 6), (2, 80, 6), (3, 100, 6), (4, 120, 6), (5, 140, 6),
    (6, 160, 8), (7, 185, 8), (8, 210, 8),
    (9, 240, 10), (10, 280, 10),
    (11, 330, 12), (12, 380, 12),
    (13, 450, 15), (14, 500, 15), (15, 550, 15),
]  # fmt: skip


@pytest.mark.parametrize(("number", "grains", "either_way"), TABLE)
def test_the_table(number, grains, either_way):
    assert line_mass(number) == pytest.approx(grains * GRAIN, rel=1e-12)
    assert line_tolerance(number) == pytest.approx(either_way * GRAIN, rel=1e-12)
    assert line_density(number) * 30 * 0.3048 == pytest.approx(grains * GRAIN, rel=1e-12)


def test_no_two_numbers_overlap():
    for number in range(1, 15):
        assert line_mass(number) + line_tolerance(number) < line_mass(number + 1) - line_tolerance(number + 1)

"""Fly lines by number. Source: the fly-fishing trade association's published line weights, first 30 ft, in grains."""

from __future__ import annotations

import pytest

from culmwright.design.line_standard import line_density, line_mass

GRAIN = 0.06479891e-3  # [kg], exact (international pound, 1959)

TABLE = [
    (1, 60), (2, 80), (3, 100), (4, 120), (5, 140),
    (6, 160), (7, 185), (8, 210),
    (9, 240), (10, 280),
    (11, 330), (12, 380),
    (13, 450), (14, 500), (15, 550),
]  # fmt: skip


@pytest.mark.parametrize(("number", "grains"), TABLE)
def test_the_table(number, grains):
    assert line_mass(number) == pytest.approx(grains * GRAIN, rel=1e-12)
    assert line_density(number) * 30 * 0.3048 == pytest.approx(grains * GRAIN, rel=1e-12)

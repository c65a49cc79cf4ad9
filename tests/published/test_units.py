"""Units of the trade against published conversion factors.

Source: A. Thompson, B. N. Taylor, *Guide for the Use of the International System of Units*, NIST Special Publication
811 (2008), appendix B.8. Each figure as printed there, to half a unit of its last digit (bold factors are exact); typed
from memory.
"""

from __future__ import annotations

import pytest

from culmwright.measure.lengths import Length
from culmwright.measure.quantities import Kind, parse_quantity

QUANTITIES = [
    ("1 oz", Kind.MASS, 2.834952e-2, 5e-9),  # ounce (avoirdupois)
    ("1 lb", Kind.MASS, 4.535924e-1, 5e-8),  # pound (avoirdupois)
    ("1 grain", Kind.MASS, 6.479891e-5, 0),  # grain, exact
    ("1 oz", Kind.LOAD, 2.780139e-1, 5e-8),  # ounce (avoirdupois)-force
    ("1 lb", Kind.LOAD, 4.448222, 5e-7),  # pound-force
    ("1 kg", Kind.LOAD, 9.80665, 0),  # kilogram-force, exact
    ("1 psi", Kind.STRESS, 6.894757e3, 5e-4),
    ("1 ksi", Kind.STRESS, 6.894757e6, 0.5),
    ("1 kg/mm^2", Kind.STRESS, 9.80665e6, 0),  # kilogram-force per square millimetre, exact
    ("1 oz/in^3", Kind.DENSITY, 1.729994e3, 5e-4),
    ("1 lb/in^3", Kind.DENSITY, 2.767990e4, 5e-3),
    ("1 lb/ft^3", Kind.DENSITY, 1.601846e1, 5e-6),
    ("1 deg", Kind.ANGLE, 1.745329e-2, 5e-9),
    ("1 arcmin", Kind.ANGLE, 2.908882e-4, 5e-11),
]


@pytest.mark.parametrize(("text", "kind", "si", "half_digit"), QUANTITIES)
def test_quantities(text, kind, si, half_digit):
    assert parse_quantity(text, kind) == pytest.approx(si, rel=1e-14, abs=half_digit)


LENGTHS = [("1 in", 0.0254), ("1 ft", 0.3048), ("1 thou", 2.54e-5), ("1 µm", 1e-6)]  # all exact; thou there as mil


@pytest.mark.parametrize(("text", "metres"), LENGTHS)
def test_lengths(text, metres):
    assert Length.parse(text).m == metres


def test_the_trades_density_of_cane_is_that_of_cane():
    # The trade's 0.668 oz/in^3 (E. E. Garrison, H. B. Carmichael, 1977, from memory); bamboo culm wall measured at
    # 1.15 to 1.156 g/cm^3 (the upper figure is this very constant).
    assert parse_quantity("0.668 oz/in^3", Kind.DENSITY) == pytest.approx(1156, abs=0.5)

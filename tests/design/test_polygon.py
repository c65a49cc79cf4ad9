"""Section functions: floats and arrays alike, and each the inverse of its partner."""

from __future__ import annotations

import numpy as np
import pytest

from culmwright.design import polygon

SIDES = [4, 5, 6]


@pytest.mark.parametrize("n", SIDES)
def test_across_and_apothem_undo_each_other(n):
    assert polygon.across(n, polygon.apothem(n, 8.4e-3)) == pytest.approx(8.4e-3, rel=1e-15)


@pytest.mark.parametrize("n", SIDES)
@pytest.mark.parametrize(
    "function",
    [polygon.area, polygon.second_moment, polygon.modulus_to_flat, polygon.modulus_to_corner, polygon.bending_modulus,
     polygon.corner_radius, polygon.across, polygon.apothem],
)  # fmt: skip
def test_arrays_give_what_floats_give(n, function):
    values = np.array([1e-3, 2e-3, 4e-3])
    assert function(n, values) == pytest.approx([function(n, float(value)) for value in values], rel=1e-15)


@pytest.mark.parametrize("n", SIDES)
def test_the_outermost_fibre_is_a_flat_on_an_even_number_of_sides_and_a_corner_on_an_odd_one(n):
    expected = polygon.modulus_to_corner if n == 5 else polygon.modulus_to_flat
    assert polygon.bending_modulus(n, 4e-3) == expected(n, 4e-3)
    assert polygon.modulus_to_corner(n, 4e-3) < polygon.modulus_to_flat(n, 4e-3)

"""The rod file of the contract, and ways to change one thing in it."""

from __future__ import annotations

from collections.abc import Callable
from textwrap import dedent

import pytest

EXAMPLE = dedent(
    """\
    culmwright = 1                 # version of this format
    units = "inch"

    [rod]
    name = "Quillet Water 7 ft 6 in"
    sides = 6
    length = "7 ft 6 in"
    pieces = 2
    tips = 2
    line = 5
    grip = "10 in"

    [taper]
    stations = [0, 5, 10, 90]
    across   = [0.070, 0.084, 0.100, 0.330]
    varnish  = 0.002

    [cane]
    modulus = "30 GPa"
    modulus_spread = "6 GPa"
    density = "0.668 oz/in^3"
    stress_limit = "14000 psi"

    [[ferrule]]
    station = 45
    size = 13
    mass = "0.22 oz"

    [guides]
    stations = [0, 4, 9]
    masses = ["0.2 g", "0.1 g", "0.1 g"]

    [strips]
    apex_angle = "60 deg"
    glue_line = 0.0005
    finish = 0.001
    rough_over = 0.100
    culm_diameter = "2 1/8 in"
    """
)


@pytest.fixture
def example() -> str:
    return EXAMPLE


@pytest.fixture
def changed() -> Callable[..., str]:
    """The example with pieces of its text replaced; each must be there exactly once."""

    def change(*pairs: tuple[str, str]) -> str:
        text = EXAMPLE
        for old, new in pairs:
            assert text.count(old) == 1, f"{old!r} is in the example {text.count(old)} times"
            text = text.replace(old, new)
        return text

    return change

"""What the notes say that cane of another stiffness does to the figures: by similarity, and on the demo's rods.

Lengths given, a shape at rest depends only on loads over EI, the rod's own weight among them; the square of a rate
goes with EI (dimensional analysis; P. W. Bridgman, 1922). Small bends have stresses that know no modulus.
"""

from __future__ import annotations

from dataclasses import replace

import pytest

from culmwright.design.rod_file import rod_from_text
from culmwright.mechanics.rod_beam import modulus_notes
from culmwright.workshop.bending import bend
from culmwright.workshop.bouncing import bounce
from culmwright.workshop.starting import rod_text

RODS = ("thrimble-beck", "ossel-burn", "pellamere-brook", "quernmoss-water", "starter")


def with_modulus(name, times):
    rod = rod_from_text(rod_text(name))
    modulus = replace(rod.cane.modulus, value=rod.cane.modulus.value * times)
    return replace(rod, cane=replace(rod.cane, modulus=modulus))


@pytest.mark.parametrize("name", RODS)
@pytest.mark.parametrize("times", [0.8, 1.2])
def test_figures_go_with_the_modulus_as_the_note_says(name, times):
    drawn, other = with_modulus(name, 1.0), with_modulus(name, times)
    bare, bare_other = (bend(one, 0.1, weight=False) for one in (drawn, other))
    assert bare_other.quarter_load == pytest.approx(times * bare.quarter_load, rel=1e-6)
    whole, whole_other = (bend(one, 0.1) for one in (drawn, other))
    goes = (whole_other.quarter_load / whole.quarter_load - 1) / (times - 1)
    assert 0.5 < goes < 0.99  # "less where own weight bends the rod"
    at_limit = (whole_other.limit_load / whole.limit_load - 1) / (times - 1)
    assert at_limit < -0.1  # "the other way"
    for one, one_other in zip(bounce(drawn).modes, bounce(other).modes, strict=True):
        assert one_other.frequency == pytest.approx(times**0.5 * one.frequency, rel=1e-6)  # "by half as much"


def test_a_stout_rod_s_load_at_the_limit_does_not_know_its_modulus():
    """So short and stout that it hardly bends before it breaks: "if at all"."""
    found = []
    for modulus in (24, 36):
        text = rod_text("starter").replace("[cane]", f'[cane]\nmodulus = "{modulus * 1000} GPa"')
        found.append(bend(rod_from_text(text), 0.1).limit_load)
    assert found[1] == pytest.approx(found[0], rel=1e-4)


def test_the_note_says_so():
    for name in RODS:
        _, doubt = modulus_notes(with_modulus(name, 1.0))
        assert doubt == (
            "cane of other culms may be 20% stiffer or softer: the load for the same bend goes with it, less where own "
            "weight bends the rod; a rate by half as much; the load at the stress limit the other way, if at all"
        )

"""The stress check: what it takes, what it lists, what it refuses and what it notes."""

from __future__ import annotations

import pytest

from culmwright.design.rod_file import rod_from_text
from culmwright.measure.errors import BadInput
from culmwright.measure.record import to_json
from culmwright.mechanics.stress import EXACT, ROUNDED, stress_check

INCH = 0.0254

TEXT = """
culmwright = 1
units = "inch"
[rod]
sides = 6
length = 90
pieces = 2
tips = 2
line = 5
grip = 10
[taper]
stations = [0, 5, 20, 45, 70, 90]
across = [0.07, 0.085, 0.125, 0.20, 0.27, 0.33]
varnish = 0.002
[cane]
stress_limit = "14000 psi"
[[ferrule]]
station = 45
size = 13
mass = "6 g"
[guides]
stations = [0, 4, 60]
masses = ["0.5 g", "0.1 g", "0.2 g"]
"""


@pytest.fixture
def rod():
    return rod_from_text(TEXT)


def test_the_contract_keys(rod):
    result = to_json(stress_check(rod))
    assert {"mass_kg", "stations"} <= set(result)
    assert {"station_m", "across_m", "moment_n_m", "stress_pa"} <= set(result["stations"][0])
    assert [round(one["station_m"] / INCH, 9) for one in result["stations"]] == [0, 5, 20, 45, 70, 90]
    assert [round(one["across_m"] / INCH, 9) for one in result["stations"]] == [0.07, 0.085, 0.125, 0.2, 0.27, 0.33]


def test_every_moment_is_the_sum_of_its_listed_parts(rod):
    check = stress_check(rod)
    assert [one.load for one in check.loads] == [
        "line beyond the tip", "line in the guides", "cane", "varnish", "ferrule", "tip-top", "guide 1", "guide 2",
    ]  # fmt: skip
    for one in check.stations:
        assert len(one.parts) == len(check.loads)
        assert sum(one.parts) == pytest.approx(one.moment, rel=1e-14)
        assert one.stress * one.modulus == pytest.approx(one.moment, rel=1e-14)


def test_the_mass_leaves_out_the_line(rod):
    check = stress_check(rod)
    listed = {one.load: one.mass for one in check.loads}
    assert check.mass == pytest.approx(sum(mass for name, mass in listed.items() if not name.startswith("line")))


def test_the_load_factor_multiplies_every_moment(rod):
    once, thrice = stress_check(rod, 1.0), stress_check(rod, 3.0)
    assert [one.moment for one in thrice.stations] == pytest.approx([3 * one.moment for one in once.stations])
    assert [one.stress for one in thrice.stations] == pytest.approx([3 * one.stress for one in once.stations])
    assert thrice.mass == once.mass


def test_the_usual_load_factor_is_four(rod):
    assert stress_check(rod).load_factor == 4.0
    assert stress_check(rod).stations[-1].moment == pytest.approx(4 * stress_check(rod, 1.0).stations[-1].moment)


def test_there_is_no_moment_at_the_tip(rod):
    assert stress_check(rod).stations[0].moment == 0.0


def test_rounded_constants_stand_a_little_off_the_exact_ones(rod):
    # 0.120/0.1202813 of the section modulus, 0.866/0.8660254 of the area.
    exact, rounded = stress_check(rod), stress_check(rod, rule=ROUNDED)
    assert rounded.section_rule == "the trade's rounded constants"
    assert exact.section_rule == EXACT.name == "exact polygon"
    ratio = rounded.stations[3].modulus / exact.stations[3].modulus
    assert ratio == pytest.approx(0.120 / 0.1202813, rel=1e-6)
    cane = [next(one.mass for one in check.loads if one.load == "cane") for check in (rounded, exact)]
    assert cane[0] / cane[1] == pytest.approx(0.866 / 0.8660254, rel=1e-7)


def test_stations_under_the_grip_are_marked(rod):
    assert [one.in_grip for one in stress_check(rod).stations] == [False] * 5 + [True]


def test_the_greatest_stress_is_at_least_that_of_every_station_in_front_of_the_grip(rod):
    check = stress_check(rod)
    assert check.greatest is not None
    assert check.greatest.stress >= max(one.stress for one in check.stations if not one.in_grip)
    assert not check.greatest.in_grip


def test_a_thin_spot_at_a_station_is_the_greatest():
    text = TEXT.replace("stations = [0, 5, 20, 45, 70, 90]", "stations = [0, 5, 20, 33.1, 33.123, 33.146, 45, 70, 90]")
    text = text.replace("0.125, 0.20", "0.125, 0.16, 0.10, 0.16, 0.20")
    check = stress_check(rod_from_text(text))
    assert check.greatest is not None
    assert check.greatest.station == pytest.approx(33.123 * INCH)


def test_each_tip_has_its_own_check():
    thin = "[[tip]]\nstations = [0, 45]\nacross = [0.06, 0.20]\n"
    thick = "[[tip]]\nstations = [0, 45]\nacross = [0.08, 0.20]\n"
    two = rod_from_text(TEXT + thin + thick)
    first, second = stress_check(two, tip=1), stress_check(two, tip=2)
    assert (first.tip, second.tip) == (1, 2)
    assert first.stations[0].across == pytest.approx(0.06 * INCH)
    assert second.stations[0].across == pytest.approx(0.08 * INCH)
    assert first.mass < second.mass


REFUSED = [
    ({"load_factor": 0.0}, "a load factor of 0 makes no stress. Give one above 0, usually 4."),
    ({"load_factor": -4.0}, "a load factor of -4 makes no stress. Give one above 0, usually 4."),
    ({"load_factor": float("nan")}, "a load factor of nan makes no stress. Give one above 0, usually 4."),
    ({"load_factor": float("inf")}, "a load factor of inf makes no stress. Give one above 0, usually 4."),
    ({"tip": 3}, "this rod has 2 tips, not a tip 3. Give a tip it has."),
    ({"tip": 0}, "this rod has 2 tips, not a tip 0. Give a tip it has."),
]


@pytest.mark.parametrize(("arguments", "sentence"), REFUSED)
def test_what_makes_no_stress_is_refused(rod, arguments, sentence):
    with pytest.raises(BadInput) as refusal:
        stress_check(rod, **arguments)
    assert str(refusal.value) == sentence


@pytest.mark.parametrize("sides", [4, 5])
def test_the_rounded_constants_are_for_six_sides(sides):
    other = rod_from_text(TEXT.replace("sides = 6", f"sides = {sides}"))
    with pytest.raises(BadInput) as refusal:
        stress_check(other, rule=ROUNDED)
    assert str(refusal.value) == (
        f"the rounded constants are for six sides and this rod has {sides}. Leave the exact section moduli on."
    )


NOTES = [
    ("line = 5\n", "", "no line is hung: the file gives no line number"),
    ('[guides]\nstations = [0, 4, 60]\nmasses = ["0.5 g", "0.1 g", "0.2 g"]\n', "",
     "the drawing has no guides yet: none are carried, and no line lies in them"),
    ('masses = ["0.5 g", "0.1 g", "0.2 g"]\n', "", "guides without a mass add none"),
    ('mass = "6 g"\n', "", "a ferrule without a mass adds none"),
]  # fmt: skip


@pytest.mark.parametrize(("old", "new", "note"), NOTES)
def test_what_is_left_out_is_noted(rod, old, new, note):
    assert note not in stress_check(rod).notes
    assert TEXT.count(old) == 1
    assert note in stress_check(rod_from_text(TEXT.replace(old, new))).notes


def test_over_the_limit_is_noted_with_place_and_share(rod):
    low = rod_from_text(TEXT.replace("14000 psi", "1000 psi"))
    check = stress_check(low)
    assert check.greatest is not None
    share = check.greatest.stress / (1000 * 6894.757293168361)
    (note,) = [note for note in check.notes if "limit" in note]
    assert f"{share:.0%} of the stress limit" in note
    assert low.display.near(check.greatest.station) in note
    assert not [note for note in stress_check(rod).notes if "limit" in note]

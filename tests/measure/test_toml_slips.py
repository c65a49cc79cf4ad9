"""Slips of the pen are told by the line they stand in, with what to do about them."""

from __future__ import annotations

import pytest

from culmwright.design.rod_file import rod_from_text
from culmwright.measure.errors import BadInput
from culmwright.workshop.starting import rod_text

SLIPS = [
    (
        "0.074",
        "0,074",
        "line 20 cannot be read",
        "Write the decimal point as a point, 0.068; a comma only parts two numbers",
    ),
    ("0.074", ".074", "line 20 cannot be read", "Write a nought before the point: 0.124, not .124"),
    ("0.074", "5 1/16", "line 20 cannot be read", 'Put a length with a unit or fraction in quotes: "5 1/16 in"'),
    ('"7 ft"', "7 ft 9 in", "line 12 cannot be read", 'Put a length with a unit or fraction in quotes: "5 1/16 in"'),
    ('"7 ft"', '"7 ft', "line 12 cannot be read", 'Close the quotation: a text begins and ends with "'),
    (
        '"My rod"',
        "\u201cMy rod\u201d",
        "line 7 cannot be read",
        'Use the plain quotation mark ": the curly ones are for letters',
    ),
    (
        "[strips]",
        "[strips",
        "this is not TOML at line 40",
        "Look for a comma, bracket or quotation mark that is missing",
    ),
]


@pytest.mark.parametrize(("was", "typed", "what", "remedy"), SLIPS, ids=[one[1] for one in SLIPS])
def test_a_slip_names_its_line_and_its_remedy(was, typed, what, remedy):
    with pytest.raises(BadInput) as fault:
        rod_from_text(rod_text("starter").replace(was, typed, 1))
    assert fault.value.what.startswith(what)
    assert fault.value.remedy.startswith(remedy)


ODD = [
    ("0.103", "103", ["[taper] across is 103 in at station 18 in, between 0.09 in and 0.115 in: is that a slip?"]),
    (
        "station = 42",
        'station = "310 mm"',
        ["[[ferrule]] station 310 mm leaves section T1 1 ft 0.2 in long: is its unit right?"],
    ),
    ("rough_over = 0.100", 'rough_over = "0.1 mm"', ["[strips] rough_over is 0.1 mm: is its unit right?"]),
    ('# culm_diameter = "2 1/8 in"', "culm_diameter = 54", ["[strips] culm_diameter is 54 in: is its unit right?"]),
    (
        "size = 10",
        "size = 7",
        ["[[ferrule]] size 7 at 42 in takes 20.3 thou off every flat; 10 would leave them whole"],
    ),
    (
        '# block_angle = "61 deg"',
        'block_angle = "59 deg"',
        [
            "[bench] block_angle is sharper than the strips: they wedge on their flanks and every reading is wrong; "
            "take a block one degree open"
        ],
    ),
    (
        '# block_angle = "61 deg"',
        'block_angle = "73 deg"',
        [
            "[bench] block_angle is 73 deg, 13 deg more open than the strips: they lean in it; is it the right block? "
            "61 deg is usual for 6 sides"
        ],
    ),
    (
        "varnish = 0.002",
        "varnish = 0.02",
        [
            "[taper] varnish is 0.02 in: is its unit right?",
            "[[ferrule]] size 10 at 42 in is 24.6 thou wider than the corners: it would be loose; 8 is the smallest "
            "that leaves the flats whole",
        ],
    ),
    ("varnish = 0.002", "varnish = 0.0002", ["[taper] varnish is 0.0002 in: is its unit right?"]),
    ("glue_line = 0.0005", "glue_line = 0.005", ["[strips] glue_line is 0.005 in: is its unit right?"]),
    ("finish = 0.001", "finish = 0.010", ["[strips] finish is 0.01 in: is its unit right?"]),
    ('grip = "9 1/2 in"', 'grip = "0.95 in"', ["[rod] grip is 0.95 in: is its unit right?"]),
]


@pytest.mark.parametrize(("was", "typed", "warnings"), ODD, ids=[one[1] for one in ODD])
def test_what_is_possible_but_odd_is_asked_about_once(was, typed, warnings):
    rod = rod_from_text(rod_text("starter").replace(was, typed, 1))
    assert [one for one in rod.warnings if "size 10 at 310" not in one] == warnings


@pytest.mark.parametrize(
    "typed",
    [
        'block_angle = "60 deg"',  # true to the strips
        'block_angle = "62.5 deg"',  # two and a half open: its strips lean, and mid-face still reads right
    ],
)
def test_a_block_near_the_strips_is_not_asked_about(typed):
    assert rod_from_text(rod_text("starter").replace('# block_angle = "61 deg"', typed, 1)).warnings == ()


@pytest.mark.parametrize("name", ["starter", "thrimble-beck", "ossel-burn", "pellamere-brook", "quernmoss-water"])
def test_a_plain_rod_is_not_asked_about(name):
    assert rod_from_text(rod_text(name)).warnings == ()


@pytest.mark.parametrize(
    ("key", "value", "size"),
    [
        ("modulus", "4.4 mpsi", "small"),
        ("modulus", "30 mPa", "small"),
        ("stress_limit", "14000 mpsi", "small"),
        ("density", "668 oz/in^3", "large"),
    ],
)
def test_a_slip_of_the_prefix_is_asked_about(key, value, size):
    """mPa is a thousandth of a pascal, a billion times less than MPa."""
    head = rod_text("starter").split("[cane]")
    rest = head[1].split("\n", 3)[3]
    rod = rod_from_text(f'{head[0]}[cane]\n{key} = "{value}"\n{rest}')
    (warning,) = rod.warnings
    assert warning.startswith(f"[cane] {key} is {value}, far too {size} for a ")

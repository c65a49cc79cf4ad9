"""The rod file that must stay readable: every key lands where it should, and what is absent is absent."""

from __future__ import annotations

from math import pi, radians

import pytest

import culmwright
from culmwright.design.rod import Cutter
from culmwright.design.rod_file import read_rod, read_text, rod_from_text
from culmwright.measure.display import INCH_DISPLAY, METRIC_DISPLAY
from culmwright.measure.lengths import Length

PSI = 0.45359237 * 9.80665 / 0.0254**2  # [Pa]
OZ = 0.45359237 / 16  # [kg]

SHORTEST = """
culmwright = 1
units = "inch"
[rod]
sides = 6
length = 90
[taper]
stations = [0, 90]
across = [0.070, 0.330]
"""


def inches(*values: str) -> tuple[Length, ...]:
    return tuple(Length.parse(f"{value} in") for value in values)


def test_the_example_reads_key_by_key(example):
    rod = rod_from_text(example)
    assert rod.name == "Quillet Water 7 ft 6 in"
    assert rod.display is INCH_DISPLAY
    assert (rod.sides, rod.pieces, rod.tips, rod.line, rod.revision) == (6, 2, 2, 5, 1)
    assert (rod.length, rod.grip) == inches("90", "10")
    assert rod.taper.stations == inches("0", "5", "10", "90")
    assert rod.taper.across == inches("0.070", "0.084", "0.100", "0.330")
    assert rod.varnish == Length.parse("2 thou")
    assert rod.cane.modulus.value == 30e9
    assert rod.cane.modulus.spread == 6e9
    assert rod.cane.density.value == pytest.approx(0.668 * OZ / 0.0254**3, rel=1e-12)
    assert rod.cane.stress_limit is not None
    assert rod.cane.stress_limit.value == pytest.approx(14000 * PSI, rel=1e-12)
    (ferrule,) = rod.ferrules
    assert (ferrule.station, ferrule.size) == (Length.parse("45 in"), 13)
    assert ferrule.mass == pytest.approx(0.22 * OZ, rel=1e-12)
    assert (ferrule.length, ferrule.stiffness) == (None, None)
    assert [guide.station for guide in rod.guides] == list(inches("0", "4", "9"))
    assert [guide.mass for guide in rod.guides] == pytest.approx([0.0002, 0.0001, 0.0001])
    assert rod.making.apex_angle == pytest.approx(pi / 3)
    assert rod.making.glue_line == Length.parse("0.5 thou")
    assert rod.making.finish == Length.parse("1 thou")
    assert rod.making.rough_over == Length.parse("100 thou")
    assert rod.making.culm_diameter == Length.parse("2 1/8 in")
    assert rod.warnings == ()


def test_what_is_absent_is_absent():
    rod = rod_from_text(SHORTEST)
    assert (rod.pieces, rod.tips, rod.line, rod.revision) == (1, 1, None, 1)
    assert (rod.maker, rod.wish) == ("", "")
    assert rod.grip.m == 0
    assert rod.varnish.m == 0
    assert rod.ferrules == ()
    assert rod.guides == ()
    assert rod.tip_tapers == ()
    assert rod.cane.stress_limit is None
    assert rod.making.glue_line.m == 0
    assert rod.making.finish.m == 0
    assert rod.making.culm_diameter is None
    assert rod.bench.block_zero is None
    assert rod.bench.split_height is None
    assert rod.bench.spares == 0


def test_what_is_not_given_has_a_default_that_says_so():
    rod = rod_from_text(SHORTEST)
    assert rod.cane.modulus.source.startswith("default")
    assert "from memory" in rod.cane.density.source
    assert "from memory" in rod.varnish_density.source
    assert rod.making.apex_angle == pytest.approx(radians(60))


def test_what_is_given_is_sourced_to_the_file(example):
    cane = rod_from_text(example).cane
    assert cane.stress_limit is not None
    assert {cane.modulus.source, cane.density.source, cane.stress_limit.source} == {"rod file"}


@pytest.mark.parametrize(("sides", "apex", "block"), [(4, 90, 91), (5, 72, 73), (6, 60, 61)])
def test_the_apex_and_the_block_follow_the_sides(sides, apex, block):
    rod = rod_from_text(SHORTEST.replace("sides = 6", f"sides = {sides}"))
    assert rod.making.apex_angle == pytest.approx(radians(apex))
    assert rod.bench.block_angle == pytest.approx(radians(block))


def test_the_bench_table(example):
    bench = rod_from_text(
        example
        + '[bench]\nblock_angle = "60.5 deg"\nblock_zero = 0.371\ncutter = "two-edged"\nwet = false\n'
        + "split_height = 0.3\nstrip_over = 2\nspares = 3\n"
    ).bench
    assert bench.block_angle == pytest.approx(radians(60.5))
    assert bench.block_zero == Length.parse("0.371 in")
    assert bench.cutter is Cutter.TWO_EDGED
    assert bench.wet is False
    assert (bench.split_height, bench.strip_over, bench.spares) == (*inches("0.3", "2"), 3)


def test_bare_numbers_are_millimetres_in_a_metric_file():
    rod = rod_from_text(
        'culmwright = 1\nunits = "metric"\n[rod]\nsides = 5\nlength = 2286\n'
        '[taper]\nstations = [0, "45 in", 2286]\nacross = [1.8, "0.2 in", 8.4]\n'
    )
    assert rod.display is METRIC_DISPLAY
    assert rod.length == Length.parse("90 in")
    assert rod.taper.across == (Length.parse("1.8 mm"), Length.parse("0.2 in"), Length.parse("8.4 mm"))


def test_lengths_in_texts_take_every_form(changed):
    rod = rod_from_text(
        changed(
            ("stations = [0, 5, 10, 90]", "stations = ['0', '5\"', '0 ft 10 in', \"7' 6\\\"\"]"),
            ("[0.070, 0.084, 0.100, 0.330]", '["70 thou", "2,1336 mm", "1/10 in", 0.330]'),
        )
    )
    assert rod.taper.stations == inches("0", "5", "10", "90")
    assert rod.taper.across == inches("0.070", "0.084", "0.100", "0.330")


def test_bare_numbers_are_exact_to_their_last_digit(changed):
    rod = rod_from_text(changed(("0.084,", "0.0841234567890123,")))
    assert rod.taper.across[1] == Length.parse("0.0841234567890123 in")


def test_from_a_file(tmp_path, example):
    path = tmp_path / "rod.toml"
    path.write_text(example, encoding="utf-8")
    rod = culmwright.read_rod(path)
    assert rod == read_rod(str(path)) == rod_from_text(example)
    assert read_text(path) == example


def test_a_byte_order_mark_and_windows_line_ends_do_not_matter(tmp_path, example):
    path = tmp_path / "rod.toml"
    path.write_bytes(b"\xef\xbb\xbf" + example.replace("\n", "\r\n").encode())
    assert read_rod(path) == rod_from_text(example)


def test_the_digest_is_of_what_the_file_says(example, changed):
    rod = rod_from_text(example)
    same = rod_from_text("# another comment\n" + example.replace("varnish  = 0.002", "varnish=0.002 # thin"))
    other = rod_from_text(changed(("varnish  = 0.002", "varnish  = 0.0021")))
    assert same.digest == rod.digest
    assert other.digest != rod.digest
    assert rod.code == f"D{rod.digest[:6].upper()}"


def test_an_across_of_0_7_between_0_06_and_0_08_is_warned_of_by_name(changed):
    rod = rod_from_text(
        changed(
            ("stations = [0, 5, 10, 90]", "stations = [0, 5, 10, 15, 90]"),
            ("[0.070, 0.084, 0.100, 0.330]", "[0.055, 0.06, 0.7, 0.08, 0.330]"),
        )
    )
    assert "[taper] across is 0.7 in at station 10 in, between 0.06 in and 0.08 in: is that a slip?" in rod.warnings


def test_digits_that_changed_places_are_asked_about_and_a_swelled_butt_is_not(changed):
    """0.116 typed 0.161, between 0.106 and 0.126; a butt that swells from 0.220 to 0.330 in one step."""
    stations = ("stations = [0, 5, 10, 90]", "stations = [0, 20, 25, 30, 75, 80, 85, 90]")
    typed = "[0.062, 0.106, 0.161, 0.126, 0.220, 0.220, 0.330, 0.330]"
    slipped = rod_from_text(changed(stations, ("[0.070, 0.084, 0.100, 0.330]", typed)))
    asked = [one for one in slipped.warnings if "slip" in one]
    assert asked == ["[taper] across is 0.161 in at station 25 in, between 0.106 in and 0.126 in: is that a slip?"]
    right = rod_from_text(changed(stations, ("[0.070, 0.084, 0.100, 0.330]", typed.replace("161", "116"))))
    assert not any("slip" in one for one in right.warnings)


WARNED = [
    (
        "[0.070, 0.084, 0.100, 0.330]",
        "[0.700, 0.084, 0.100, 0.330]",
        "[taper] across is 0.7 in at station 0 in, beside 0.084 in: is that a slip?",
    ),
    ("[0.070, 0.084, 0.100, 0.330]", "[1.8, 2.1, 2.5, 8.4]", "[taper] across reaches 8.4 in: is units set right?"),
    (
        "[0.070, 0.084, 0.100, 0.330]",
        "[0.0028, 0.0033, 0.0039, 0.013]",
        "[taper] across is nowhere over 1 mm: is units set right?",
    ),
    ("station = 45", "station = 85", "[[ferrule]] 1 station 85 in lies under the grip"),
    ("size = 13", "size = 13\nlength = 20", "[[ferrule]] 1 length is 20 in: is its unit right?"),
]


@pytest.mark.parametrize(("old", "new", "warning"), WARNED)
def test_the_possible_but_odd_is_warned_of(changed, old, new, warning):
    text = changed(
        (old, new),
        ("glue_line = 0.0005", "glue_line = 0"),
        ("varnish  = 0.002", "varnish  = 0"),
        ('culm_diameter = "2 1/8 in"', ""),
    )
    assert warning in rod_from_text(text).warnings


def test_a_plain_taper_is_not_warned_of(example):
    assert rod_from_text(example).warnings == ()


def test_graded_cane_is_what_the_file_says(example):
    """Both keys of [cane], whole or not; none for a file without them, and the fingerprint tells them apart."""
    assert rod_from_text(example).cane.grading is None
    said = example.replace("[cane]", '[cane]\nouter_over_inner = 4.5\nculm_wall = "5/16 in"')
    rod = rod_from_text(said)
    assert rod.cane.grading.ratio == 4.5 and rod.cane.grading.wall == Length.parse("5/16 in")
    assert rod.digest != rod_from_text(example).digest

"""What a rod file cannot say: each refusal is one sentence with the place, the fault and the remedy."""

from __future__ import annotations

import pytest

from culmwright.design.rod_file import read_rod, read_text, rod_from_text
from culmwright.measure.errors import BadInput
from culmwright.measure.toml_file import LARGEST_FILE, LONGEST_LINE

HOW = "Write it like 7 ft 6 in, 3 1/16 in, 62.5 thou or 9.19 mm."
HOW_BARE = 'Write a number, or a text with its unit such as "3 1/16 in".'
STATIONS = "stations = [0, 5, 10, 90]"
ACROSS = "[0.070, 0.084, 0.100, 0.330]"
FERRULE = '[[ferrule]]\nstation = 45\nsize = 13\nmass = "0.22 oz"\n'

CASES = {
    # the version and the units
    "no version": ("culmwright = 1                 # version of this format\n", "",
        "culmwright: this key is missing. Add a line such as culmwright = 1."),
    "a version from the future": ("culmwright = 1 ", "culmwright = 2 ",
        "culmwright: this file is of format 2, newer than this program reads (1). Update culmwright."),
    "a version that is a text": ("culmwright = 1 ", 'culmwright = "1" ',
        'culmwright: "1" is not a whole number from 1 to 1000000. Write culmwright = 1.'),
    "other units": ('units = "inch"', 'units = "inches"',
        'units: "inches" is not one of the choices. Write "inch" or "metric".'),
    "no units": ('units = "inch"', "", 'units: this key is missing. Add a line such as units = "inch".'),
    # the rod
    "no rod": ("[rod]", "[rot]",
        "[rod]: this table is missing. Add [rod] on a line of its own with its keys below it, "
        "or did you mean it where rot stands."),
    "7 sides": ("sides = 6", "sides = 7", "[rod] sides: 7 is not a whole number from 4 to 6. Write sides = 4 … 6."),
    "sides in words": ("sides = 6", 'sides = "six"',
        '[rod] sides: "six" is not a whole number from 4 to 6. Write sides = 4 … 6.'),
    "sides true": ("sides = 6", "sides = true",
        "[rod] sides: true is not a whole number from 4 to 6. Write sides = 4 … 6."),
    "sides 6.0": ("sides = 6", "sides = 6.0",
        "[rod] sides: 6.0 is not a whole number from 4 to 6. Write sides = 4 … 6."),
    "sides of thousands of digits": ("sides = 6", "sides = 0x" + "F" * 1900,
        "[rod] sides: a number this large is not a whole number from 4 to 6. Write sides = 4 … 6."),
    "no length": ('length = "7 ft 6 in"', "",
        '[rod] length: this key is missing. Add a line such as length = "7 ft 6 in".'),
    "a wrong unit": ('length = "7 ft 6 in"', 'length = "7.5 parsecs"',
        '[rod] length: "7.5 parsecs" cannot be read as a length: parsecs is not a unit of length known here '
        f"(in, thou, ft, mm, cm, m, µm). {HOW}"),
    "a weight for a length": ('length = "7 ft 6 in"', 'length = "5 oz"',
        '[rod] length: "5 oz" cannot be read as a length: oz is not a unit of length known here '
        f"(in, thou, ft, mm, cm, m, µm). {HOW}"),
    "a length of nothing": ('length = "7 ft 6 in"', "length = 0",
        "[rod] length: 0 in is not a length above zero. Give it as measured, above zero."),
    "a rod of a mile": ('length = "7 ft 6 in"', "length = 63360",
        "[rod] length: 63360 in is longer than any rod. Check the unit: it should be at most 30 ft."),
    "a length that is nan": ('length = "7 ft 6 in"', "length = nan", f"[rod] length: NaN is not a length. {HOW_BARE}"),
    "a length that is infinite": ('length = "7 ft 6 in"', "length = -inf",
        f"[rod] length: -Infinity is not a length. {HOW_BARE}"),
    "a length that is a date": ('length = "7 ft 6 in"', "length = 2026-11-24",
        f"[rod] length: 2026-11-24 is a date or time, not a length. {HOW_BARE}"),
    "a length that is a list": ('length = "7 ft 6 in"', "length = [90]",
        f"[rod] length: this is a list, not a length. {HOW_BARE}"),
    "a length that is true": ('length = "7 ft 6 in"', "length = true",
        f"[rod] length: true is true or false, not a length. {HOW_BARE}"),
    "a length with a huge exponent": ('length = "7 ft 6 in"', "length = 1e999999999",
        f"[rod] length: 1E+999999999 is not a length. {HOW_BARE}"),
    "four pieces": ("pieces = 2", "pieces = 4",
        "[rod] pieces: 4 is not a whole number from 1 to 3. Write pieces = 1 … 3."),
    "two tips in one piece": ("pieces = 2", "pieces = 1",
        "[rod] tips: a rod in one piece has one tip. Write tips = 1, or give it a ferrule and pieces = 2."),
    "a grip longer than the rod": ('grip = "10 in"', 'grip = "8 ft"',
        "[rod] grip: 8 ft does not fit on a rod of 90 in. Give the clamped length from the butt end."),
    "line 0": ("line = 5", "line = 0", "[rod] line: 0 is not a whole number from 1 to 15. Write line = 1 … 15."),
    "line 5.5": ("line = 5", "line = 5.5", "[rod] line: 5.5 is not a whole number from 1 to 15. Write line = 1 … 15."),
    "a name of two lines": ('name = "Quillet Water 7 ft 6 in"', 'name = "Quillet\\nWater"',
        "[rod] name: the text is too long or holds line breaks. Keep it to one line of 60 characters."),
    "a name that is a number": ('name = "Quillet Water 7 ft 6 in"', "name = 7",
        "[rod] name: 7 is a number, not a text. Put it in quotes."),
    "a slip in a key": ("sides = 6", "sides = 6\ngripp = 3",
        "[rod] gripp: this key is not known here. Did you mean grip? If not, take it out."),
    "an unknown key": ("sides = 6", "sides = 6\nzyxq = 3", "[rod] zyxq: this key is not known here. Take it out."),
    "an unknown table": ("[strips]", "[strip]",
        "strip: this key is not known here. Did you mean strips? If not, take it out."),
    # the taper
    "stations out of order": (STATIONS, "stations = [0, 10, 5, 90]",
        "[taper] stations: station 5 in comes after 10 in. Put the stations in order from the tip."),
    "a station twice": (STATIONS, "stations = [0, 5, 5, 90]",
        "[taper] stations: station 5 in comes after 5 in. Put the stations in order from the tip."),
    "one station": (STATIONS, "stations = [0]",
        "[taper] stations: a taper needs two stations or more. Give the tip, 0, and the butt end at least."),
    "no stations": (STATIONS, "stations = []",
        "[taper] stations: a taper needs two stations or more. Give the tip, 0, and the butt end at least."),
    "stations that are no list": (STATIONS, "stations = 90",
        "[taper] stations: 90 is a number, not a list. Write stations = [0, 5, 10]."),
    "a missing across": (ACROSS, "[0.070, 0.084, 0.330]",
        "[taper] across: there are 4 stations and 3 across. Give one across for each station."),
    "a tip that is not at 0": (STATIONS, "stations = [1, 5, 10, 90]",
        "[taper] stations: the first station is 1 in. Begin at 0, the tip."),
    "a taper that stops short": (STATIONS, "stations = [0, 5, 10, 85]",
        "[taper] stations: the last station is 85 in on a rod of 90 in. End at the rod's length."),
    "an across of zero": (ACROSS, "[0.070, 0, 0.100, 0.330]",
        "[taper] across: across is 0 in at station 5 in. Give the caliper's reading, above zero."),
    "an across below zero": (ACROSS, "[0.070, -0.084, 0.100, 0.330]",
        "[taper] across: across is -0.084 in at station 5 in. Give the caliper's reading, above zero."),
    "an across that is nan": (ACROSS, "[0.070, nan, 0.100, 0.330]", f"[taper] across: NaN is not a length. {HOW_BARE}"),
    "an across that is a text": (ACROSS, '[0.070, "thin", 0.100, 0.330]',
        f'[taper] across: "thin" cannot be read as a length: it is no number. {HOW}'),
    "varnish below zero": ("varnish  = 0.002", "varnish  = -0.002",
        "[taper] varnish: -0.002 in is below zero. Write 0 or leave the key out if there is none."),
    "varnish as thick as the tip": ("varnish  = 0.002", "varnish  = 0.035",
        "[taper] across: at station 0 in nothing is left of 0.07 in under the varnish and beside the glue. "
        "Check varnish and glue_line: they are thicknesses of a few thou at most."),
    "no taper": ("[taper]", "[[taper]]", "taper: this is a list, not a table. Write [taper] on a line of its own."),
    # the cane
    "a bare modulus": ('modulus = "30 GPa"', "modulus = 30",
        '[cane] modulus: "30" cannot be read as a modulus: a modulus needs its unit. Write it like 4.4 Mpsi.'),
    "a modulus in ounces": ('modulus = "30 GPa"', 'modulus = "30 oz"',
        '[cane] modulus: "30 oz" cannot be read as a modulus: oz does not measure a modulus. Write it like 4.4 Mpsi.'),
    "a modulus of zero": ('modulus = "30 GPa"', 'modulus = "0 GPa"',
        "[cane] modulus: a modulus of zero or less cannot be. Write it like 4.4 Mpsi."),
    "a spread alone": ('modulus = "30 GPa"\n', "",
        '[cane] modulus_spread: there is a spread without a modulus. Add modulus = "30 GPa", or take it out.'),
    "a density below zero": ('density = "0.668 oz/in^3"', 'density = "-1 g/cm^3"',
        "[cane] density: a density of zero or less cannot be. Write it like 0.668 oz/in^3."),
    "a density no matter has": ('density = "0.668 oz/in^3"', 'density = "1e300 g/cm^3"',
        '[cane] density: "1e300 g/cm^3" cannot be read as a density: the value is too large. '
        "Write it like 0.668 oz/in^3."),
    "a bare stress": ('stress_limit = "14000 psi"', "stress_limit = 14000",
        '[cane] stress_limit: "14000" cannot be read as a stress: a stress needs its unit. Write it like 14000 psi.'),
    "a grading without its wall": ('stress_limit = "14000 psi"', "outer_over_inner = 5",
        "[cane] outer_over_inner: there is no culm_wall with it: how stiffness falls through the cane is told by both. "
        'Add culm_wall = "5/16 in", or take outer_over_inner out.'),
    "a wall without its grading": ('stress_limit = "14000 psi"', 'culm_wall = "8 mm"',
        "[cane] culm_wall: there is no outer_over_inner with it: how stiffness falls through the cane is told by both. "
        "Add outer_over_inner = 5, or take culm_wall out."),
    "cane softest outside": ('stress_limit = "14000 psi"', 'culm_wall = "8 mm"\nouter_over_inner = 0.5',
        "[cane] outer_over_inner: 0.5 is not a number from 1 to 50. Write outer_over_inner = 1 … 50."),
    "a ratio that is no number": ('stress_limit = "14000 psi"', 'culm_wall = "8 mm"\nouter_over_inner = nan',
        "[cane] outer_over_inner: NaN is not a number from 1 to 50. Write outer_over_inner = 1 … 50."),
    "a ratio that is a text": ('stress_limit = "14000 psi"', 'culm_wall = "8 mm"\nouter_over_inner = "5"',
        '[cane] outer_over_inner: "5" is not a number from 1 to 50. Write outer_over_inner = 1 … 50.'),
    "a ratio that is true": ('stress_limit = "14000 psi"', 'culm_wall = "8 mm"\nouter_over_inner = true',
        "[cane] outer_over_inner: true is not a number from 1 to 50. Write outer_over_inner = 1 … 50."),
    "a wall of no culm": ('stress_limit = "14000 psi"', 'culm_wall = "3 in"\nouter_over_inner = 5',
        "[cane] culm_wall: 3 in is no wall of a culm. Give it as measured, above zero and at most 2 in."),
    "no wall": ('stress_limit = "14000 psi"', "culm_wall = 0\nouter_over_inner = 5",
        "[cane] culm_wall: 0 in is no wall of a culm. Give it as measured, above zero and at most 2 in."),
    # ferrules
    "a ferrule off the rod": ("station = 45", "station = 95",
        "[[ferrule]] 1 station: 95 in is not on the rod. "
        "Give a place between the tip and 90 in, from the tip, in order."),
    "a ferrule at the tip": ("station = 45", "station = 0",
        "[[ferrule]] 1 station: 0 in is not on the rod. "
        "Give a place between the tip and 90 in, from the tip, in order."),
    "a ferrule longer than the rod": ("size = 13", "size = 13\nlength = 100",
        "[[ferrule]] 1 length: a ferrule of 100 in at 45 in reaches beyond the end of the rod. "
        "Half of it lies on either side of its station: check its unit."),
    "a hollow without a wall": (FERRULE, FERRULE + "[hollow]\nstations = [50, 70]\n",
        "[hollow] wall: this key is missing. Add a line such as wall = 0.060."),
    "dams without a length": (FERRULE, FERRULE + "[hollow]\nstations = [50, 70]\nwall = 0.06\ndams = [60]\n",
        "[hollow] dam_length: this key is missing. Add a line such as dam_length = 2."),
    "a missing ferrule": (FERRULE, "",
        "[[ferrule]]: a rod in 2 pieces has 1 ferrule and the file lists 0. "
        "Give one [[ferrule]] with station and size for each joint."),
    "a ferrule too many": (FERRULE, FERRULE + FERRULE,
        "[[ferrule]]: a rod in 2 pieces has 1 ferrule and the file lists 2. "
        "Give one [[ferrule]] with station and size for each joint."),
    "a ferrule of one bracket": ("[[ferrule]]", "[ferrule]",
        "ferrule: ferrule is not a list of tables. Write [[ferrule]], with two brackets, before each one."),
    "a ferrule without a size": ("size = 13\n", "",
        "[[ferrule]] 1 size: this key is missing. Add a line such as size = 13."),
    "a ferrule size in inches": ("size = 13", "size = 0.203",
        "[[ferrule]] 1 size: 0.203 is not a whole number from 3 to 64: it counts 64ths of an inch. "
        "Write size = 3 … 64."),
    "a bare mass": ('mass = "0.22 oz"', "mass = 0.22",
        '[[ferrule]] 1 mass: "0.22" cannot be read as a mass: a mass needs its unit. Write it like 0.22 oz.'),
    # guides
    "guides out of order": ("stations = [0, 4, 9]", "stations = [0, 9, 4]",
        "[guides] stations: station 4 in comes after 9 in. Put the stations in order from the tip."),
    "a guide under the grip": ("stations = [0, 4, 9]", "stations = [0, 4, 85]",
        "[guides] stations: a guide at 85 in is off the rod or under the grip. Count from the tip, 0."),
    "a guide mass missing": ('masses = ["0.2 g", "0.1 g", "0.1 g"]', 'masses = ["0.2 g"]',
        "[guides] masses: there are 3 guides and 1 masses. Give one mass a guide."),
    "a guide mass below zero": ('masses = ["0.2 g", "0.1 g", "0.1 g"]', 'masses = ["0.2 g", "-0.1 g", "0.1 g"]',
        "[guides] masses: a mass is below zero. Give each guide's mass, such as 0.1 g."),
    # strips
    "a bare apex angle": ('apex_angle = "60 deg"', "apex_angle = 60",
        '[strips] apex_angle: "60" cannot be read as an angle: an angle needs its unit. Write it like 60 deg.'),
    "an apex angle of another rod": ('apex_angle = "60 deg"', 'apex_angle = "72 deg"',
        "[strips] apex_angle: 72 deg is far from the 60 deg of 6 sides. "
        "Give the angle between a strip's two flanks, within 5 deg of it."),
    "an apex angle in percent": ('apex_angle = "60 deg"', 'apex_angle = "105 percent"',
        '[strips] apex_angle: "105 percent" cannot be read as an angle: percent does not measure an angle. '
        "Write it like 60 deg."),
    "a glue line below zero": ("glue_line = 0.0005", "glue_line = -0.0005",
        "[strips] glue_line: -0.0005 in is below zero. Write 0 or leave the key out if there is none."),
    "a glue line as thick as the tip": ("glue_line = 0.0005", "glue_line = 0.05",
        "[taper] across: at station 0 in nothing is left of 0.07 in under the varnish and beside the glue. "
        "Check varnish and glue_line: they are thicknesses of a few thou at most."),
    "rough_over below zero": ("rough_over = 0.100", "rough_over = -0.1",
        "[strips] rough_over: -0.1 in is below zero. Give what roughing leaves over, usually 0.100 in."),
    "a culm as thin as the rod": ('culm_diameter = "2 1/8 in"', 'culm_diameter = "1/2 in"',
        "[taper] across: at station 90 in a rod of 0.33 in cannot come from a culm of 0.5 in. "
        "Check the number's point and unit; if they are right, check [strips] culm_diameter."),
    # the bench
    "another cutter": ("[strips]", '[bench]\ncutter = "laser"\n[strips]',
        '[bench] cutter: "laser" is not one of the choices. Write "flat" or "two-edged".'),
    "wet in words": ("[strips]", '[bench]\nwet = "yes"\n[strips]',
        '[bench] wet: "yes" is neither true nor false. Write true or false, without quotes.'),
    "no V block": ("[strips]", '[bench]\nblock_angle = "10 deg"\n[strips]',
        "[bench] block_angle: 10 deg is no V block for strips. Usually 61, 73 or 91 deg."),
}  # fmt: skip


@pytest.mark.parametrize("case", CASES)
def test_refusals_name_the_place_the_fault_and_the_remedy(changed, case):
    old, new, sentence = CASES[case]
    with pytest.raises(BadInput) as refusal:
        rod_from_text(changed((old, new)))
    assert str(refusal.value) == sentence
    assert refusal.value.exit_code == 2


def test_the_file_is_named_first(tmp_path, changed):
    path = tmp_path / "rod.toml"
    path.write_text(changed(("sides = 6", "sides = 7")), encoding="utf-8")
    with pytest.raises(BadInput) as refusal:
        read_rod(path)
    assert str(refusal.value) == f"{path}, [rod] sides: 7 is not a whole number from 4 to 6. Write sides = 4 … 6."


def refusal_of(path) -> str:
    with pytest.raises(BadInput) as refusal:
        read_rod(path)
    return str(refusal.value)


def test_no_such_file(tmp_path):
    path = tmp_path / "none.toml"
    sentence = f"{path}: there is no such file. Check the name, or make one with: culmwright new FILE."
    assert refusal_of(path) == sentence
    with pytest.raises(BadInput) as refusal:
        read_text(path)
    assert str(refusal.value) == sentence


def test_a_folder(tmp_path):
    assert refusal_of(tmp_path) == f"{tmp_path}: this is a folder. Give the rod file inside it."


def test_a_name_longer_than_the_system_takes(tmp_path):
    path = tmp_path / ("x" * 5000)
    sentence = refusal_of(path)
    assert sentence.startswith(f"{path}: it cannot be read (")  # the reason is the system's own
    assert sentence.endswith("). Check the file's rights and its disk.")


def test_not_toml(tmp_path):
    path = tmp_path / "rod.txt"
    path.write_text("Dear Sir,\nmy rod is seven foot six.\n")
    assert refusal_of(path) == (
        f"{path}: this is not TOML at line 1, or just above it (expected '=' after a key in a key/value pair): "
        "Dear Sir,. Look for a comma, bracket or quotation mark that is missing, or compare with: culmwright new FILE."
    )


@pytest.mark.parametrize("content", [b"\xff\xfec\x00u\x00", b"%PDF-1.7\n\x93\xe0", b"PK\x03\x04\xff"])
def test_not_text(tmp_path, content):
    path = tmp_path / "rod.toml"
    path.write_bytes(content)
    assert refusal_of(path) == f"{path}: this is not a text file. Give a TOML file saved as UTF-8."


def test_an_empty_file(tmp_path):
    path = tmp_path / "rod.toml"
    path.touch()
    assert refusal_of(path) == f"{path}, culmwright: this key is missing. Add a line such as culmwright = 1."


def test_a_file_too_large(tmp_path):
    path = tmp_path / "rod.toml"
    path.write_bytes(b"#" * (LARGEST_FILE + 1))
    assert refusal_of(path) == f"{path}: this is too large to be a rod file. Give the TOML file of one rod."


def test_a_line_too_long(example):
    with pytest.raises(BadInput) as refusal:
        rod_from_text(f"{example}#{'=' * LONGEST_LINE}\n")
    lines = example.count("\n") + 1
    assert str(refusal.value) == f"line {lines} is too long. Break it: a line has 2000 characters at most."


def test_a_number_too_large_to_be_held():
    with pytest.raises(BadInput) as refusal:
        rod_from_text("culmwright = 1e99999999999999999999999\n")
    assert str(refusal.value) == "a number in it is too large for any measurement. Look for a slip of the key."


def test_brackets_nested_too_deep():
    with pytest.raises(BadInput) as refusal:
        rod_from_text("x = " + "[\n" * 5000 + "]\n" * 5000)
    assert str(refusal.value) == "its brackets are nested too deep. Start from: culmwright new FILE."


def test_tables_nested_by_dots(changed):
    deep = ".a" * 900
    with pytest.raises(BadInput, match=r"^\[taper\] stations: this is a table, not a list"):
        rod_from_text(changed(("stations = [0, 5, 10, 90]", f"stations{deep} = 1")))


def test_too_many_stations(changed):
    many = ",\n".join(str(i) for i in range(1001))
    with pytest.raises(BadInput) as refusal:
        rod_from_text(changed(("stations = [0, 5, 10, 90]", f"stations = [{many}]")))
    assert str(refusal.value) == "[taper] stations: 1001 values are more than this list takes. Keep it to 400."

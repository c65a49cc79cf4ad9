"""Fuzzed rod files: 20 000 of them give a rod with all its results, or one of our refusals; never anything else.

A rod that is taken has its butt strip held to the text of the file by a second, plainer reckoning; and every 64th goes
the whole way: strip schedule, stress check, JSON, and every format of both displays.
"""

from __future__ import annotations

import json
import tomllib
from dataclasses import fields
from fractions import Fraction
from random import Random
from time import process_time

import pytest

from culmwright.bench.targets import schedule, target
from culmwright.design.rod import Rod
from culmwright.design.rod_file import read_rod, rod_from_text
from culmwright.measure.display import DISPLAYS, Display, FeetAndInches, Format
from culmwright.measure.errors import BadInput
from culmwright.measure.record import to_json
from culmwright.measure.toml_file import LARGEST_FILE, LONGEST_LINE
from culmwright.mechanics.stress import stress_check

CASES = 20_000

SEED = """culmwright = 1
units = "inch"
[rod]
name = "Fuzz"
sides = 6
length = "7 ft 6 in"
pieces = 2
tips = 2
line = 5
grip = 10
[taper]
stations = [0, 5, 10, 45, "60 in", 90]
across = [0.070, 0.084, 0.100, 0.2, 0.25, 0.330]
varnish = 0.002
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
stations = [0, 4, 9, "1 ft 3 in"]
masses = ["0.2 g", "0.1 g", "0.1 g", "0.1 g"]
[strips]
apex_angle = "60.5 deg"
glue_line = 0.0005
finish = 0.001
rough_over = 0.100
culm_diameter = "2 1/8 in"
[bench]
block_zero = 0.25
cutter = "flat"
wet = true
spares = 1
"""
LINES = SEED.splitlines()
KEYS = [line.split(" = ")[0] for line in LINES if " = " in line]
NAMES = [*KEYS, "x", "rod.x", '""', "a.b.c", "taper.across"]
VALUES = [
    *(
        "0",
        "1",
        "-1",
        "6",
        "7",
        "90",
        "0.07",
        "-0.07",
        "1e-9",
        "1e12",
        "1e13",
        "1e999999999",
        "-1e999999999",
        "1e-999999999",
    ),
    *("nan", "-nan", "inf", "-inf", "true", "false", '""', '"nan"', '"1e400 kg"', '"0 in"', '"-5 in"', '"7 ft 13 in"'),
    *(
        "1_000",
        "0b11",
        "0o17",
        "0x5A",
        "9" * 1500,
        "0x" + "F" * 1500,
        "0." + "1" * 1500,
        "1e" + "9" * 30,
        "0e0",
        "-0.0",
    ),
    *("2026-11-24", "2026-11-24T10:00:00Z", "07:30:00", "2026-13-45", "[]", "[[]]", "{}", "{a = 1}", "[1, 'a', 2.5]"),
    *("[0, 90]", "[0.07, 0.33]", "[0, nan, 90]", "[[0], [90]]", "[" * 300 + "]" * 300, "{a.b.c.d.e = [{}]}"),
    *('"⅜ in"', '"6,5 mm"', '"1e3 in"', '"30 GPa"', '"4 blobs"', '"60 percent"', '"1 dB"', '"1e300 g"', '"1e-300 Pa"'),
    *('"""a\nb"""', "'''x'''", '"\\u0000"', '"\\u202e"', '"' + "x" * 1500 + '"', '"flat"', '"metric"', "'inch'"),
]
TABLES = ["[rod]", "[taper]", "[cane]", "[[ferrule]]", "[ferrule]", "[[tip]]", "[guides]", "[strips]", "[bench]",
          "[[rod]]", "[rod.taper]", "[taper.stations]", "[" + "a." * 400 + "b]", "[]", "[[", "]", "[x]"]  # fmt: skip


def by_values(draw: Random) -> str:
    """One to three keys given another value."""
    lines = list(LINES)
    for _ in range(draw.randint(1, 3)):
        i = draw.choice([i for i, line in enumerate(lines) if " = " in line])
        lines[i] = f"{lines[i].split(' = ')[0]} = {draw.choice(VALUES)}"
    return "\n".join(lines)


def by_numbers(draw: Random) -> str:
    """Numbers changed a little or a lot: most of these are rods, odd ones."""
    lines = list(LINES)
    for _ in range(draw.randint(1, 4)):
        i = draw.choice([i for i, line in enumerate(lines) if any(c.isdigit() for c in line)])
        digits = [j for j, character in enumerate(lines[i]) if character.isdigit()]
        j = draw.choice(digits)
        lines[i] = lines[i][:j] + draw.choice("0123456789") + lines[i][j + 1 :]
    return "\n".join(lines)


def by_lines(draw: Random) -> str:
    """Lines and tables dropped, doubled, moved, renamed or made up."""
    lines = list(LINES)
    for _ in range(draw.randint(1, 4)):
        i = draw.randrange(len(lines))
        what = draw.randrange(5)
        if what == 0:
            del lines[i]
        elif what == 1:
            lines.insert(draw.randrange(len(lines)), lines[i])
        elif what == 2:
            lines.insert(i, draw.choice(TABLES))
        elif what == 3:
            lines.insert(i, f"{draw.choice(NAMES)} = {draw.choice(VALUES)}")
        else:
            j = draw.randrange(len(lines))
            lines[i], lines[j] = lines[j], lines[i]
    return "\n".join(lines)


def by_characters(draw: Random) -> str:
    """Characters taken, doubled or put in anywhere."""
    text = SEED
    for _ in range(draw.randint(1, 6)):
        i = draw.randrange(len(text))
        put = draw.choice(("", "", text[i] * 2, draw.choice("[]{}=.,\"'#\n\r\t\x00-+eE_0579 aλ½\u2028")))
        text = text[:i] + put + text[i + draw.randint(0, 3) :]
    return text


def second_reckoning(text: str, rod: Rod) -> None:
    """The butt end's strip of a rod whose file gives plain numbers, from the file by other means."""
    said = tomllib.loads(text, parse_float=Fraction)
    if rod.sides != 6 or said["units"] != "inch" or not all(
        isinstance(one, int | Fraction)
        for one in (said["taper"]["across"][-1], said["taper"].get("varnish", 0), *(
            said.get("strips", {}).get(key, 0) for key in ("glue_line", "finish")))
    ):  # fmt: skip
        return
    strips = said.get("strips", {})
    glued = said["taper"]["across"][-1] / Fraction(2) - said["taper"].get("varnish", 0) + strips.get("finish", 0)
    seated = float(glued - strips.get("glue_line", 0)) * 0.0254  # g/(2 sin 30 deg) = g
    butt = rod.sections()[-1]
    strip = target(rod, butt, butt.end)
    crown = strip.crown or 0.0
    assert (strip.height - crown) * max(rod.form.closing, 1) + crown == pytest.approx(seated, rel=1e-9)


def all_results(rod: Rod) -> str:
    """Everything a rod's pages are made from, as JSON; every number shown in every format must stay plain digits."""
    results = [schedule(rod), *(stress_check(rod, tip=tip) for tip in range(1, rod.tips + 1))]
    for display in DISPLAYS.values():
        for one in fields(Display):
            shown = getattr(display, one.name)
            if isinstance(shown, Format | FeetAndInches):
                for value in (rod.length.m, rod.cane.density.value, results[1].stations[-1].stress):
                    assert "E" not in shown(value).removesuffix(getattr(shown, "unit", ""))
    return json.dumps(to_json(results), allow_nan=False)


@pytest.mark.parametrize("mutate", [by_values, by_numbers, by_lines, by_characters], ids=lambda mutate: mutate.__name__)
def test_a_rod_or_a_refusal(mutate, draw, depth, bounded):
    taken = 0
    for _ in range(CASES // 4 * depth):
        text = mutate(draw)
        with bounded():
            try:
                rod = rod_from_text(text)
            except BadInput as refusal:
                assert refusal.what and refusal.remedy and "\n" not in str(refusal), refusal
                continue
            taken += 1
            if taken % 64 == 1:  # the whole way costs a hundred times the reading
                all_results(rod)
            second_reckoning(text, rod)
    assert taken > CASES // 4 // 50  # or the fuzz would be all noise


def test_bytes(tmp_path, draw, depth, bounded):
    """Files with bytes flipped, cut off or put in, read from the disk."""
    path = tmp_path / "rod.toml"
    for _ in range(1_000 * depth):
        content = bytearray(SEED.encode())
        for _ in range(draw.randint(1, 5)):
            i = draw.randrange(len(content))
            what = draw.randrange(3)
            if what == 0:
                content[i] ^= 1 << draw.randrange(8)
            elif what == 1:
                del content[i : i + draw.randint(1, 40)]
            else:
                content[i:i] = draw.randbytes(draw.randint(1, 4))
        path.write_bytes(content)
        with bounded():
            try:
                rod = read_rod(path)
            except BadInput as refusal:
                assert str(refusal).startswith(f"{path}")
                continue
            assert rod.taper.stations


def long_lines(piece: str, start: str = "", end: str = " = 1\n") -> str:
    """As many lines as a file may have, each as long as a line may be, each with another beginning."""
    lines: list[str] = []
    while sum(map(len, lines)) < LARGEST_FILE - LONGEST_LINE:
        head = f"{start}k{len(lines)}"
        lines.append(head + piece * ((LONGEST_LINE - len(head) - len(end)) // len(piece)) + end)
    return "".join(lines)


WORST = {
    "dotted keys": long_lines(".a"),
    "deep tables": long_lines(".a", "[", "]\n"),
    "keys in a deep table": "[a"
    + ".a" * (LONGEST_LINE // 2 - 2)
    + "]\n"
    + "".join(f"k{i} = 1\n" for i in range(9_000)),
    "many keys": "".join(f"k{i} = 1\n" for i in range(9_000)),
    "many tables": "[[tip]]\n" * 12_000,
    "quotes": long_lines('"', "x = ", "\n"),
    "brackets": "x = [\n" + "[\n" * 45_000,
    "comments": long_lines("#", "#", "\n"),
    "blanks": " \n" * 49_000,
}


@pytest.mark.parametrize("case", WORST)
def test_the_slowest_file_ends(case, tmp_path):
    """Two seconds on a quiet machine: the time TOML takes for dotted keys grows with the square of a line's length."""
    path = tmp_path / "rod.toml"
    path.write_text(WORST[case])
    assert path.stat().st_size <= LARGEST_FILE
    start = process_time()
    with pytest.raises(BadInput):
        read_rod(path)
    assert process_time() - start < 5

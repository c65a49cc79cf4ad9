"""The command keeps its word: verbs, JSON keys, exit codes, and a sentence for everything it cannot use."""

from __future__ import annotations

import json
import subprocess
import sys
import tomllib
from pathlib import Path

import pytest

from culmwright.cli.main import build_parser
from culmwright.ledger.frozen import rods
from culmwright.ledger.shop import open_shop
from culmwright.workshop.starting import rod_text

VERBS = {"demo", "new", "check", "strips", "passes", "explain", "book"}


@pytest.fixture
def rod_file(tmp_path):
    path = tmp_path / "rod.toml"
    path.write_text(rod_text("thrimble-beck"))
    return path


def test_the_verbs_are_there():
    parser = build_parser()
    actions = next(one for one in parser._actions if one.dest == "run" or (hasattr(one, "choices") and one.choices))
    assert set(actions.choices) >= VERBS


def test_check_keeps_its_keys(rod_file, document):
    found = document("check", rod_file)
    assert found["mass_kg"] == pytest.approx(0.0617, abs=0.0002)
    assert len(found["stations"]) == 19
    for station in found["stations"]:
        assert {"station_m", "across_m", "moment_n_m", "stress_pa"} <= set(station)
    assert found["stations"][5]["station_m"] == pytest.approx(25 * 0.0254)
    assert found["stations"][5]["across_m"] == pytest.approx(0.129 * 0.0254)


def test_the_load_factor_multiplies_every_moment(rod_file, document):
    four = document("check", rod_file)["stations"]
    two = document("check", rod_file, "--load-factor", 2)["stations"]
    for a, b in zip(four, two, strict=True):
        assert a["moment_n_m"] == pytest.approx(2 * b["moment_n_m"], rel=1e-12)
        assert a["stress_pa"] == pytest.approx(2 * b["stress_pa"], rel=1e-12)


def test_strips_keeps_its_keys(rod_file, document):
    found = document("strips", rod_file)
    assert [one["section"] for one in found["sections"]] == ["T1", "T2", "B"]
    for section in found["sections"]:
        for station in section["stations"]:
            assert {"station_m", "height_m", "rough_height_m", "face_width_m", "crown_m"} <= set(station)
            assert station["rough_height_m"] - station["height_m"] == pytest.approx(0.1 * 0.0254)


def test_passes_keeps_its_keys(document):
    found = document("passes", "--now", "0.1900 in", "--target", "0.0885 in", "--wet")
    assert found["distance_walked_m"] is None
    assert len(found["passes_m"]) == len(found["heights_m"])
    assert found["heights_m"][-1] == pytest.approx(0.0885 * 0.0254, abs=1e-12)
    with_length = document("passes", "--now", "0.19", "--target", "0.0885", "--strips", 18, "--length", "4 ft")
    walked = len(with_length["passes_m"]) * 18 * 4 * 0.3048
    assert with_length["distance_walked_m"] == pytest.approx(walked)


@pytest.mark.parametrize(("cutter", "ratio"), [("flat", 1 / 1.4142135623730951), ("two-edged", 1.0)])
def test_passes_for_four_sides(document, cutter, ratio):
    found = document("passes", "--now", "4 mm", "--target", "2 mm", "--sides", 4, "--cutter", cutter)
    assert sum(found["passes_m"]) * ratio == pytest.approx(0.002, rel=1e-12)


def test_passes_say_for_how_many_sides_they_are(run):
    """Whoever forgets --sides 4 sees it: a pair lowers a six-sided strip by twice its depth, a four-sided by 1.414."""
    for more, sides in (((), 6), (("--sides", 4), 4)):
        _, out, _ = run("passes", "--now", "0.25", "--target", "0.13", *more)
        assert f"of passes of a flat iron, on a rod of {sides} sides. " in out


def test_an_under_size_strip_is_answered_with_no(run):
    code, out, err = run("passes", "--now", "0.0871", "--target", "0.0885")
    assert code == 1
    assert out.startswith("From 0.0871 in to 0.0885 in: under size by 1.4 thou, no pass.")
    assert err == ""


def test_explain_keeps_its_keys(rod_file, document):
    found = document("explain", rod_file, "T1/S3@25in:rough")
    assert found["spot"] == "T1/S3@25in:rough"
    for rung in found["ladder"]:
        assert set(rung) == {"step", "rule", "value", "unit", "source", "within"}


def test_new_and_book_and_demo(tmp_path, document):
    mine = tmp_path / "mine.toml"
    assert document("new", mine) == {"rod_file": str(mine)}
    made = document("book", mine, "-o", tmp_path / "mine.pdf")
    assert made["pages"] > 10
    assert (tmp_path / "mine.pdf").read_bytes().startswith(b"%PDF-")
    shop = document("demo", tmp_path / "shop")
    assert {"book", "rod_file"} <= set(shop)
    assert len(shop["books"]) == 4
    suffixes = sorted(one.suffix for one in (tmp_path / "shop").iterdir())
    assert suffixes == [".pdf"] * 4 + [".sqlite"] + [".toml"] * 4
    with open_shop(tmp_path / "shop" / "shop.sqlite", write=False) as opened:
        kept = [one.name for one in rods(opened)]
    assert kept == [tomllib.loads(Path(one).read_text())["rod"]["name"] for one in shop["rod_files"]]


def test_what_is_odd_is_warned_of_on_standard_error_and_in_the_result(rod_file, run):
    rod_file.write_text(rod_text("thrimble-beck").replace("0.0775,", "0.7,"))
    code, out, err = run("strips", rod_file, "--json")
    assert code == 0
    warning = "[taper] across is 0.7 in at station 5 in, between 0.07 in and 0.095 in: is that a slip?"
    assert warning in json.loads(out)["warnings"]
    assert f"warning: {rod_file}: {warning}\n" in err


REFUSALS = [
    (
        ("check", "none.toml"),
        "none.toml: there is no such file. Check the name, or make one with: culmwright new FILE.",
    ),
    (("check", "ROD", "--load-factor", "0"), "a load factor of 0 makes no stress. Give one above 0, usually 4."),
    (("check", "ROD", "--load-factor", "nan"), "a load factor of nan makes no stress. Give one above 0, usually 4."),
    (("check", "ROD", "--tip", "3"), "this rod has 2 tips, not a tip 3. Give a tip it has."),
    (
        ("passes", "--now", "3 stone", "--target", "1"),
        '--now: "3 stone" cannot be read as a length: stone is not a unit of length known here '
        "(in, thou, ft, mm, cm, m, µm). Write it like 7 ft 6 in, 3 1/16 in, 62.5 thou or 9.19 mm.",
    ),
    (("passes", "--now", "1", "--target", "0.5", "--sides", "7"), "sides: 7 sides are not made here. Give 4, 5 or 6."),
    (("passes", "--now", "0", "--target", "1"), "--now: 0 in is not a length above zero. Give it as measured."),
    (
        ("explain", "ROD", "T1@50in"),
        "spot T1@50in: station 50 in is not on section T1. It runs from 0 in to 45 in.",
    ),
    (("explain", "ROD", "T9@5in"), "spot T9@5in: this rod has no section T9. Its sections are T1, T2, B."),
    (("explain", "ROD", "T1/S9@5in"), "spot T1/S9@5in: section T1 has 7 strips. Give a strip from S1 to S7."),
    (("book", "ROD", "-o", "book.txt"), "book.txt: a book is a PDF. Name it book.pdf."),
    (("book", "ROD", "-o", "none/book.pdf"), "none/book.pdf: its folder does not exist. Make the folder none first."),
    (
        ("book", "ROD", "-o", "book.pdf", "--date", "24.11.26"),
        '--date: "24.11.26" is not a date. Write it like 2026-11-24.',
    ),
]


@pytest.mark.parametrize(
    ("argv", "sentence"), REFUSALS, ids=lambda one: " ".join(one) if isinstance(one, tuple) else ""
)
def test_what_it_cannot_use_gets_one_sentence_and_exit_code_2(argv, sentence, rod_file, tmp_path, run, monkeypatch):
    monkeypatch.chdir(tmp_path)
    before = sorted(tmp_path.iterdir())
    code, out, err = run(*(rod_file if one == "ROD" else one for one in argv))
    assert (code, out, err) == (2, "", f"culmwright: {sentence}\n")
    assert sorted(tmp_path.iterdir()) == before

    code, out, err = run(*(rod_file if one == "ROD" else one for one in argv), "--json")
    problem = json.loads(out)["error"]
    assert code == 2
    assert set(problem) == {"what", "where", "remedy"}


@pytest.mark.parametrize(
    "argv", [(), ("fly",), ("check",), ("passes", "--now", "1"), ("check", "a", "--load-factor", "x")]
)
def test_wrong_usage_is_exit_code_2_without_a_traceback(argv, run):
    code, out, err = run(*argv)
    assert code == 2
    assert out == ""
    assert err.count("\n") == 1
    assert "--help" in err


def test_an_unwritable_folder_gets_a_sentence(rod_file, tmp_path, run):
    """A folder that cannot be written even by root: one under a file's name does not exist, /proc takes no files."""
    code, _, err = run("demo", "/proc/shop")
    assert code == 2
    assert err.startswith("culmwright: /proc/shop: the folder cannot be made (")


def test_a_fault_of_the_program_is_said_without_a_traceback(rod_file, run, monkeypatch):
    from culmwright.workshop import scheduling

    def broken(rod):
        raise ZeroDivisionError("division by zero")

    monkeypatch.delenv("CULMWRIGHT_TRACE", raising=False)
    monkeypatch.setattr(scheduling, "strips", broken)
    code, _, err = run("strips", rod_file)
    assert code == 1
    assert "this is a mistake of the program, not yours (ZeroDivisionError: division by zero)" in err
    assert "Traceback" not in err


def test_the_command_runs_as_a_module_and_nothing_heavy_is_loaded_for_passes():
    code = (
        "import sys; from culmwright.cli.main import main; "
        "main(['passes', '--now', '0.19', '--target', '0.0885']); "
        "print(sorted(m for m in sys.modules if m in ('numpy', 'pint', 'sqlalchemy', 'typst', 'vl_convert')))"
    )
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert done.stdout.endswith("[]\n")
    helped = subprocess.run([sys.executable, "-m", "culmwright", "--help"], capture_output=True, text=True, check=True)
    assert all(verb in helped.stdout for verb in VERBS)

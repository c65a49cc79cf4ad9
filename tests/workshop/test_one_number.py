"""One number followed from the rod file through screen, JSON, ladder and book: the same digits everywhere."""

from __future__ import annotations

import io
import json
import re
import subprocess

import pypdf
import pytest

from culmwright.cli.main import main
from culmwright.workshop.starting import rod_text


@pytest.fixture
def rod_file(tmp_path):
    path = tmp_path / "rod.toml"
    path.write_text(rod_text("thrimble-beck"))
    return path


def said(capsys, *argv):
    assert main([str(one) for one in argv]) == 0
    return capsys.readouterr().out


def by_hand() -> float:
    """Strip height at station 25 of the demo rod [in]: 0.129/2 - 0.002 + 0.001 - 0.0005/(2 sin 30 deg), apex 60 deg."""
    return 0.129 / 2 - 0.002 + 0.001 - 0.0005


def test_the_digits_of_a_strip_height_are_the_same_everywhere(rod_file, tmp_path, capsys):
    digits = f"{by_hand():.4f}"
    assert digits == "0.0630"

    table = said(capsys, "strips", rod_file)
    tip = table.split("\nT1,")[1].split("\nT2,")[0]
    assert re.search(rf"^ +25 +{digits} ", tip, re.MULTILINE)

    document = json.loads(said(capsys, "strips", rod_file, "--json"))
    station = next(s for s in document["sections"][0]["stations"] if abs(s["station_m"] - 0.635) < 1e-12)
    assert f"{station['height_m'] / 0.0254:.4f}" == digits

    ladder = json.loads(said(capsys, "explain", rod_file, "T1/S3@25in", "--json"))["ladder"]
    assert ladder[-1]["value"] == station["height_m"]
    assert ladder[-1]["unit"] == "m"
    assert f"is {digits} in." in said(capsys, "explain", rod_file, "T1/S3@25in")

    book = tmp_path / "book.pdf"
    said(capsys, "book", rod_file, "-o", book, "--date", "2026-11-24")
    pages = [page.extract_text() for page in pypdf.PdfReader(io.BytesIO(book.read_bytes())).pages]
    schedule = next(page for page in pages if page.split("\n")[1].startswith("Strips, tips T1 and T2"))
    assert re.search(rf"^25 {digits} ", schedule, re.MULTILINE)
    working = next(page for page in pages if page.split("\n")[1].startswith("Working, tips T1 and T2"))
    row = re.search(r"^T1@25in .*$", working, re.MULTILINE)[0].split()
    assert row == ["T1@25in", "0.1290", "0.0625", "0.0635", "0.0630", digits, "0.1630", "0.0720", "0.0006", "0.3195"]


@pytest.mark.needs_poppler
def test_a_second_reader_of_the_book_finds_them_too(rod_file, tmp_path, capsys):
    book = tmp_path / "book.pdf"
    said(capsys, "book", rod_file, "-o", book)
    text = subprocess.run(["pdftotext", "-layout", book, "-"], check=True, capture_output=True, text=True).stdout
    assert re.search(rf"^\s*25\s+{by_hand():.4f}\s", text, re.MULTILINE)


def test_every_number_of_the_schedule_has_a_ladder_that_ends_in_it(rod_file, capsys):
    document = json.loads(said(capsys, "strips", rod_file, "--json"))
    names = {
        "height": "height_m",
        "rough": "rough_height_m",
        "face": "face_width_m",
        "crown": "crown_m",
        "groove": "groove_depth_m",
        "glued": "glued_across_m",
        "finished": "finished_across_m",
        "reading": "reading_m",
        "rough_reading": "rough_reading_m",
    }
    for section in document["sections"]:
        for station in section["stations"]:
            for quantity, key in names.items():
                spot = f"{section['section']}@{station['station_m'] * 1000:g}mm:{quantity}"
                found = json.loads(said(capsys, "explain", rod_file, spot, "--json"))
                assert found["ladder"][-1]["value"] == station[key], spot
                keys = {"step", "rule", "value", "unit", "source", "within"}
                assert all(set(rung) == keys for rung in found["ladder"])

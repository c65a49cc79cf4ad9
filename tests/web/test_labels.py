"""Labels that scanners read, and where a scanned one leads.

Sizes: at most 20 characters, modules of 0.4 mm and more, a quiet zone of 4 modules (ISO/IEC 18004, 9.1, from memory).
They are read back by zbar from the printed page at 300 dots an inch.
"""

from __future__ import annotations

import re
import subprocess

import pytest

from culmwright.book.labels import LONGEST, MODULE, label
from culmwright.measure.errors import BadInput

WANTED = [f"R1/{section}{strip}" for section in ("T1", "T2", "B") for strip in ("", *(f"/S{n}" for n in range(1, 8)))]


def test_there_is_a_label_for_every_bundle_and_strip(client):
    shown = re.findall(r'aria-label="QR code of ([^"]+)"', client.get("/R1/labels").text)
    assert shown == WANTED


def test_a_label_is_short_and_its_modules_are_large():
    assert MODULE >= 0.4e-3
    assert max(len(one) for one in WANTED) <= LONGEST == 20
    longest = label("R999999999/T99/S9999", "")  # 20 characters, the most a spot can be
    assert longest.width == pytest.approx((25 + 8) * MODULE) or longest.width == pytest.approx((29 + 8) * MODULE)
    with pytest.raises(BadInput, match="too long for a label"):
        label("R1/T1/S3@25in:rough/more", "")


def test_error_level_is_q_or_better():
    import segno

    assert segno.make("R1/T1/S3", error="q", micro=False).error in ("Q", "H")


def scanned(picture):
    done = subprocess.run(["zbarimg", "-q", "--raw", str(picture)], capture_output=True, text=True, check=False)
    return done.stdout.split()


@pytest.mark.needs_poppler
@pytest.mark.needs_zbar
@pytest.mark.parametrize("paper", ["a4", "letter"])
def test_every_printed_label_scans(client, tmp_path, paper):
    (tmp_path / "labels.pdf").write_bytes(client.get(f"/R1/labels.pdf?paper={paper}").content)
    found = set()
    for dots in ("300", "260", "340"):  # a whole sheet at once is more than a scanner sees: it may miss one at one size
        command = [
            "pdftoppm",
            "-r",
            dots,
            "-gray",
            "-png",
            str(tmp_path / "labels.pdf"),
            str(tmp_path / f"sheet{dots}"),
        ]
        subprocess.run(command, check=True)
        found |= {text for page in tmp_path.glob(f"sheet{dots}*.png") for text in scanned(page)}
    assert sorted(found) == sorted(WANTED)


def test_the_check_bar_is_100_mm(client, tmp_path):
    """From the middle of one end mark to the middle of the other, within the 0.1 mm that printers keep."""
    from pypdf import PdfReader

    (tmp_path / "labels.pdf").write_bytes(client.get("/R1/labels.pdf").content)
    page = PdfReader(tmp_path / "labels.pdf").pages[0]
    assert [round(float(one) / 72 * 25.4) for one in page.mediabox[2:]] == [210, 297]
    assert "100 mm" in page.extract_text()
    drawn = page.get_contents().get_data().decode("latin-1")
    (bar,) = re.findall(r"cm/c0 cs 0 scn ((?:[-.\d]+ [-.\d]+ [ml] ?){8})\s*h", drawn)
    marks = sorted({float(x) for x, _ in re.findall(r"([-.\d]+) ([-.\d]+) [ml]", bar)})
    assert ((marks[-1] + marks[-2]) / 2 - (marks[0] + marks[1]) / 2) / 72 * 25.4 == pytest.approx(100, abs=0.1)


@pytest.mark.parametrize("text", ["R1/T1/S3", "r1/t1/s3", "R1/T1/S3@25in", "R1.1/T1/S3", " R1/T1/S3 "])
def test_a_scanned_label_lands_on_its_strip(client, text):
    asked = client.get("/scan", params={"text": text}, follow_redirects=False)
    assert asked.status_code == 303
    page = client.get(asked.headers["location"])
    assert page.status_code == 200
    assert "<h1>R1/T1/S3</h1>" in page.text
    assert 'href="/R1/bench/read?section=T1&amp;strips=3"' in page.text
    assert 'name="text"' in page.text  # and back to scanning


def test_the_bench_opens_on_the_strip(client):
    assert client.get("/R1/bench/read?section=T1&strips=3").status_code == 200


@pytest.mark.parametrize("text", ["R9/T1", "R1/T9", "R1/T1/S99", "4006381333931", "http://evil.example/", "R1//"])
def test_what_is_no_label_of_the_shop_is_said_and_scanning_goes_on(client, text):
    answer = client.get(f"/scan?text={text}")
    assert answer.status_code in (200, 404)
    if answer.status_code == 404:
        assert 'role="alert"' in answer.text
    assert "R1/T1/S" not in re.sub(r"such as R1/T1/S3|like R1/T1/S3", "", answer.text) or text == "R1/T9"
    assert 'name="text"' in answer.text or "There is no such page" in answer.text

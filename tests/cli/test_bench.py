"""The bench and the shop's data on the command line: sessions played through pipes, two at once, out, in and back."""

from __future__ import annotations

import io
import json
import sqlite3
import subprocess
import sys
from contextlib import closing

import pytest

from culmwright.cli.big import big
from culmwright.cli.main import main
from culmwright.workshop.starting import rod_text


@pytest.fixture
def bench(tmp_path):
    path = tmp_path / "rod.toml"
    path.write_text(rod_text("thrimble-beck"))
    return path, tmp_path / "shop.sqlite"


class Terminal(io.StringIO):
    """Somebody sits at it."""

    def isatty(self):
        return True


def run(capsys, monkeypatch, *argv, typed=""):
    monkeypatch.setattr(sys, "stdin", typed if isinstance(typed, Terminal) else io.StringIO(typed))
    try:
        code = main([str(one) for one in argv])
    except SystemExit as stop:
        code = stop.code
    done = capsys.readouterr()
    return code, done.out, done.err


def test_a_session_through_a_pipe(bench, capsys, monkeypatch):
    path, shop = bench
    typed = "0.3908\nu\n0.3904\n10.2\nu\n0.3941\ns a node\nq\n"
    code, out, err = run(
        capsys, monkeypatch, "read", path, "--shop", shop, "--section", "T1", "--strip", 1, typed=typed
    )
    lines = out.splitlines()
    assert code == 0
    assert lines[0] == "= T1/S1@0in: on size at station 0, 0.8 thou over"
    assert lines[1] == "T1/S1@0in taken back; read it again"
    assert lines[2] == "= T1/S1@0in: on size at station 0, 0.4 thou over"
    assert lines[3].startswith("? 10.2 in came where 0.3938 in is wanted. That looks like millimetres")
    assert lines[4] == "dropped; still at T1/S1@5in"
    assert lines[5].startswith("= T1/S1@5in: on size at station 5")
    assert lines[6] == "T1/S1@10in left out: a node"
    assert "R1.1 Thrimble Beck 7 ft 6 in" in out
    assert "the drawing is frozen in this shop as R1.1" in err


def test_a_session_tells_of_the_sections_it_read(bench, capsys, monkeypatch):
    """Who reads the butt is not told of both tips again each time; the log has all of them."""
    path, shop = bench
    run(capsys, monkeypatch, "read", path, "--shop", shop, "--section", "T1", typed="0.3904\nq\n")
    _, out, _ = run(capsys, monkeypatch, "read", "R1", "--shop", shop, "--section", "B", typed="q\n")
    assert "nothing is read of B yet" in out and "T1" not in out
    _, out, _ = run(capsys, monkeypatch, "read", "R1", "--shop", shop, "--section", "T1", typed="q\n")
    assert "= T1/S1" in out
    _, out, _ = run(capsys, monkeypatch, "read", "R1", "--shop", shop, typed="q\n")
    assert "= T1/S1" in out
    assert "T1/S1" in run(capsys, monkeypatch, "log", "R1", "--shop", shop)[1]


def test_a_pipe_stops_where_it_would_have_to_be_asked(bench, capsys, monkeypatch):
    """Otherwise the next strip's readings would be booked in this one's cells."""
    path, shop = bench
    code, out, _ = run(capsys, monkeypatch, "read", path, "--shop", shop, typed="0.3904\n0.2900\n0.4025\n0.4088\n")
    assert code == 1
    lines = out.splitlines()
    assert lines[1].startswith("? ")
    assert lines[2] == "! T1/S1@5in waits for an answer (k REASON keeps it, u drops it): stopped here."
    assert "1 of 10 stations read" in out


def test_a_name_mistyped_begins_no_shop(bench, capsys, monkeypatch, tmp_path):
    path, shop = bench
    for argv in (("read", "nothing.toml"), ("read", "R7"), ("read", path, "--section", "M"), ("import", tmp_path)):
        code, _, err = run(capsys, monkeypatch, *argv, "--shop", shop)
        assert code == 2, err
        assert not shop.exists()


def test_what_is_no_reading_is_said_and_the_session_goes_on(bench, capsys, monkeypatch):
    path, shop = bench
    code, out, _ = run(capsys, monkeypatch, "read", path, "--shop", shop, typed="ten\n\n0.3904\n")
    assert code == 0
    assert out.splitlines()[0].startswith("! ")
    assert out.splitlines()[1].startswith("= T1/S1@0in")


def test_json_is_one_document_and_the_talk_goes_to_standard_error(bench, capsys, monkeypatch):
    path, shop = bench
    code, out, err = run(capsys, monkeypatch, "read", path, "--shop", shop, "--json", typed="0.3904\n0.3940\n")
    found = json.loads(out)
    assert code == 0
    assert found["code"] == "R1.1"
    assert found["strips"][0]["judgement"]["allowance_m"] == pytest.approx(
        0.00025 * 0.0254, rel=1e-6
    )  # 0.3940 against 0.39375
    assert "= T1/S1@0in" in err

    code, out, _ = run(capsys, monkeypatch, "log", "R1", "--shop", shop, "--json")
    assert code == 0
    assert json.loads(out)["lines"][0]["words"] == "drawing frozen as R1.1"


def test_two_processes_at_once(bench):
    """Two hands on one shop, each on its own tip: every reading that was answered is there, once."""
    path, shop = bench
    command = [sys.executable, "-m", "culmwright", "read", str(path), "--shop", str(shop), "--strip", "1", "--section"]
    subprocess.run([*command, "B"], input="q\n", text=True, check=True, capture_output=True)  # the shop is there
    typed = "0.3905\n0.3940\n0.4027\n0.4090\n0.4145\n0.4197\n"
    piped = {"stdin": subprocess.PIPE, "stdout": subprocess.PIPE, "stderr": subprocess.DEVNULL, "text": True}
    hands = [subprocess.Popen([*command, tip], **piped) for tip in ("T1", "T2")]
    said = [hand.communicate(typed, timeout=120)[0] for hand in hands]
    assert [hand.returncode for hand in hands] == [0, 0]
    answered = [sum("@" in line and line[0] in "=+-" for line in text.splitlines()) for text in said]
    assert answered == [6, 6]
    asked = [sys.executable, "-m", "culmwright", "log", "R1", "--shop", str(shop), "--json"]
    told = subprocess.run(asked, capture_output=True, text=True, check=True)
    assert [len(one["judgement"]["stations"]) for one in json.loads(told.stdout)["strips"]] == [6, 6]


def test_data_out_in_and_back(bench, tmp_path, capsys, monkeypatch):
    path, shop = bench
    run(capsys, monkeypatch, "read", path, "--shop", shop, typed="0.3904\n0.3940\n")
    code, out, _ = run(capsys, monkeypatch, "backup", "--shop", shop, "--to", tmp_path / "kept", "--json")
    saved = json.loads(out)
    assert code == 0
    run(capsys, monkeypatch, "read", path, "--shop", shop, typed="0.4027\n")

    code, out, _ = run(capsys, monkeypatch, "restore", "--shop", shop)
    assert (code, out) == (0, "There is no backup of this shop yet.\n")
    beside = json.loads(run(capsys, monkeypatch, "backup", "--shop", shop, "--json")[1])["path"]
    code, out, _ = run(capsys, monkeypatch, "restore", "--shop", shop)
    assert code == 0 and beside in out and out.endswith("Put one back with: culmwright restore FILE\n")

    code, _, err = run(capsys, monkeypatch, "restore", saved["path"], "--shop", shop)
    assert code == 2
    assert "the shop holds 1 row that this backup does not (1 in reading)" in err
    code, out, _ = run(capsys, monkeypatch, "restore", saved["path"], "--shop", shop, "--yes", "--json")
    assert code == 0
    assert json.loads(out)["digest"] == saved["digest"]
    code, out, _ = run(capsys, monkeypatch, "restore", saved["path"], "--shop", shop, "--json")
    assert code == 0  # nothing newer is lost, so nobody is asked

    for target in (tmp_path / "sheets", tmp_path / "sheets.xlsx"):
        code, out, _ = run(capsys, monkeypatch, "export", target, "--shop", shop, "--json")
        exported = json.loads(out)
        fresh = tmp_path / f"{target.name}-fresh.sqlite"
        code, out, _ = run(capsys, monkeypatch, "import", target, "--shop", fresh, "--json")
        assert code == 0
        assert json.loads(out)["as_exported"] is True
        assert not fresh.exists()  # a preview writes nothing
        code, out, _ = run(capsys, monkeypatch, "import", target, "--shop", fresh, "--write", "--json")
        assert json.loads(out)["digest"] == exported["digest"] == saved["digest"]


@pytest.mark.parametrize(("typed", "wanted"), [("restore\n", 0), ("Restore \n", 0), ("yes\n", 1), ("\n", 1), ("", 1)])
def test_on_a_terminal_restoring_over_newer_rows_is_typed_out(bench, tmp_path, capsys, monkeypatch, typed, wanted):
    path, shop = bench
    run(capsys, monkeypatch, "read", path, "--shop", shop, typed="0.3904\n")
    code, out, _ = run(capsys, monkeypatch, "backup", "--shop", shop, "--to", tmp_path / "kept", "--json")
    saved = json.loads(out)
    run(capsys, monkeypatch, "read", path, "--shop", shop, typed="0.4027\n")
    before = shop.read_bytes()
    code, _, err = run(capsys, monkeypatch, "restore", saved["path"], "--shop", shop, typed=Terminal(typed))
    assert code == wanted
    assert "Type restore to go on" in err
    assert (shop.read_bytes() == before) is bool(wanted)


def test_events_and_the_book_of_a_rod_of_the_shop(bench, tmp_path, capsys, monkeypatch):
    path, shop = bench
    run(capsys, monkeypatch, "read", path, "--shop", shop, typed="0.3904\n0.3940\n")
    code, out, _ = run(
        capsys, monkeypatch, "log", path, "--shop", shop, "--add", "soak started", "--ready", "2099-01-01T08:00"
    )
    assert code == 0
    assert "In soak since " in out
    code, out, _ = run(capsys, monkeypatch, "book", "R1", "--shop", shop, "-o", tmp_path / "r1.pdf", "--json")
    assert code == 0
    assert (tmp_path / "r1.pdf").read_bytes().startswith(b"%PDF-")


def test_a_damaged_shop_is_left_as_it_is_and_what_can_be_read_is_saved(bench, tmp_path, capsys, monkeypatch):
    path, shop = bench
    run(capsys, monkeypatch, "read", path, "--shop", shop, typed="0.3904\n0.3940\n")
    with closing(sqlite3.connect(shop)) as opened:
        (size,) = opened.execute("PRAGMA page_size").fetchone()
        (page,) = opened.execute("SELECT rootpage FROM sqlite_master WHERE name = 'event'").fetchone()
    content = bytearray(shop.read_bytes())
    content[(page - 1) * size : (page - 1) * size + 8] = b"\xff" * 8  # the head of the page that holds the events
    shop.write_bytes(content)
    code, out, err = run(capsys, monkeypatch, "read", path, "--shop", shop, typed="0.4027\n")
    assert code == 2
    assert "is damaged" in err
    assert shop.read_bytes() == content
    code, out, _ = run(capsys, monkeypatch, "export", tmp_path / "saved", "--shop", shop)
    assert code == 1
    assert out.startswith("The shop is damaged. What could still be read, ")
    assert (tmp_path / "saved").is_dir()
    assert shop.read_bytes() == content


REFUSED = [
    (("log", "R1"), "there is no shop here"),
    (("log", "R9"), "there is no shop here"),
    (("backup",), "there is no shop here"),
    (("export", "out"), "there is no shop here"),
    (("restore", "none.sqlite"), "there is no backup here"),
    (("log", "rod.toml", "--add", "drunk"), '"drunk" is no event known here'),
    (("log", "rod.toml", "--add", "soak started", "--ready", "soon"), '"soon" is not a time'),
    (("read", "rod.toml", "--pass", "0"), "0 is not a number of a pass"),
    (("read", "rod.toml", "--gauge", "G1"), "gauge G1 is new here"),
    (("read", "rod.toml", "--from", "T1/S9@5in"), "T1/S9@5in is not on this walk"),
]


@pytest.mark.parametrize(("argv", "what"), REFUSED, ids=[" ".join(argv) for argv, _ in REFUSED])
def test_what_cannot_be_done_is_said(argv, what, bench, tmp_path, capsys, monkeypatch):
    monkeypatch.chdir(tmp_path)
    code, _, err = run(capsys, monkeypatch, *argv, "--shop", tmp_path / "shop.sqlite", typed="")
    assert code == 2
    assert what in err
    assert "Traceback" not in err


def test_big_digits_stand_seven_rows_high():
    drawn = big("0.3145")
    assert len(drawn.splitlines()) == 7
    assert len({big(digit) for digit in "0123456789"}) == 10

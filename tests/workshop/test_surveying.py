"""An existing rod from a sheet of readings to a rod file. The rod and its readings are invented."""

from __future__ import annotations

import csv
import io
import json
import random
import re

import pytest

from culmwright.cli.main import main
from culmwright.design.rod_file import rod_from_text
from culmwright.measure.display import INCH_DISPLAY, METRIC_DISPLAY
from culmwright.measure.errors import BadInput
from culmwright.workshop.starting import rod_text
from culmwright.workshop.surveying import rod_file, survey

JOINT = 45


def taper(station):
    return 0.070 + 0.0031 * station - 0.000008 * station**2


def sheet(mark=",", comma=False, seed=5, step=0.0, scatter=0.0004):
    """A sheet of a rod in two pieces, each written by the standard library's csv."""
    draws, out = random.Random(seed), io.StringIO()
    writer = csv.writer(out, delimiter=mark, lineterminator="\n")
    writer.writerow(["station", "a", "b", "c"])
    for piece in (range(0, JOINT + 1, 5), range(JOINT, 91, 5)):
        for station in piece:
            extra = step if piece.start else 0.0
            row = [f"{taper(station) + extra + draws.gauss(0, scatter):.4f}" for _ in range(3)]
            writer.writerow([station, *row])
        out.write("\n")
    text = out.getvalue()
    return text.replace(".", ",") if comma else text


@pytest.mark.parametrize(("mark", "comma"), [(",", False), (";", True), ("\t", True), ("\t", False)])
def test_a_sheet_is_read_however_the_spreadsheet_wrote_it(mark, comma):
    assert survey(sheet(mark, comma), INCH_DISPLAY) == survey(sheet(), INCH_DISPLAY)


def test_columns_parted_by_spaces_may_leave_out_the_nought():
    """As tapers stand in books: .0642 for 0.0642."""
    lines = sheet().replace(",", " ").splitlines()[1:]
    bare = "\n".join(line.replace(" 0.", " .") for line in lines)
    assert " ." in bare and " 0." not in bare
    assert survey(bare, INCH_DISPLAY) == survey(sheet(), INCH_DISPLAY)


def test_the_taper_comes_back_within_its_doubt():
    found = survey(sheet(), INCH_DISPLAY)
    assert found.directions == 3
    assert len(found.stations) == 20
    inside = [abs(one.across - 0.0254 * taper(one.station / 0.0254)) < 2 * one.doubt for one in found.stations]
    assert sum(inside) >= 18  # twice the standard uncertainty covers about 95 %
    # the caliper's 0.02 mm (DIN 862) over sqrt(3) is in every doubt and is never smoothed away
    assert all(one.doubt >= 20e-6 / 3**0.5 for one in found.stations)


def test_the_rod_file_reads_back_as_the_smooth_taper():
    found = survey(sheet(step=0.004), INCH_DISPLAY)
    rod = rod_from_text(rod_file(found, "Old  rod", 6, INCH_DISPLAY))
    assert (rod.name, rod.pieces, len(rod.ferrules)) == ("Old rod", 2, 1)
    assert rod.ferrules[0].station.m == pytest.approx(JOINT * 0.0254)
    for one in found.stations:
        if one.station != pytest.approx(JOINT * 0.0254):
            assert rod.taper.at(one.station) == pytest.approx(one.across, abs=0.5001e-4 * 0.0254)
    tip_side, butt_side = (one.across for one in found.stations if one.station == pytest.approx(JOINT * 0.0254))
    assert rod.taper.at(JOINT * 0.0254) == pytest.approx((tip_side + butt_side) / 2, abs=0.5001e-4 * 0.0254)
    metric = rod_from_text(rod_file(found, "Old rod", 6, METRIC_DISPLAY))
    assert metric.taper.at(0.5) == pytest.approx(rod.taper.at(0.5), abs=8e-6)  # a hundredth of a mm, and a tenth thou


def test_beside_a_drawn_rod_only_what_is_beyond_doubt_is_told():
    drawn = rod_from_text(
        'culmwright = 1\nunits = "inch"\n[rod]\nname = "Drawn"\nsides = 6\nlength = 90\npieces = 1\n[taper]\n'
        f"stations = {list(range(0, 91, 5))}\nacross = {[round(taper(x), 6) for x in range(0, 91, 5)]}\n"
    )
    same = survey(sheet(), INCH_DISPLAY, drawn)
    assert sum(one.told for one in same.beside) <= 2
    thick = survey(sheet(), INCH_DISPLAY, drawn)
    assert thick.beside[0].drawn == pytest.approx(0.0254 * 0.070)
    swollen = survey(sheet(step=0.006), INCH_DISPLAY, drawn)
    butt = [one for one in swollen.beside if one.station > 0.0254 * (JOINT + 1)]
    assert all(one.told and one.over == pytest.approx(0.006 * 0.0254, abs=4e-5) for one in butt)


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("", "no readings are here"),
        ("0, 0.070\n5, 0.080\n", "line 1: one reading, or none"),
        ("0, 0.070, 0.071\n5, 0.080\n", "line 2: 2 of 3 cells stand here"),
        ("0, 0.070, 0.071\nfive, 0.080, 0.081\n", "line 2"),
        ("0, 0.070, 0.071\n5, -0.08, 0.081\n", "above zero"),
        ("5, 0.070, 0.071\n0, 0.08, 0.081\n", "further from the tip"),
        ("x" * 100_001, "too many"),
    ],
)
def test_what_cannot_be_read_is_said_with_its_line(text, words):
    with pytest.raises(BadInput) as fault:
        survey(text, INCH_DISPLAY)
    assert words in str(fault.value)


def test_the_command_writes_a_rod_file_and_says_where(tmp_path, capsys):
    (tmp_path / "old.csv").write_text(sheet())
    (tmp_path / "drawn.toml").write_text(rod_text("thrimble-beck"))
    goal = tmp_path / "old.toml"
    told = ["survey", str(tmp_path / "old.csv"), "--beside", str(tmp_path / "drawn.toml")]
    assert main([*told, "-o", str(goal)]) == 0
    said = capsys.readouterr().out
    assert "complete it, then check it" in said
    assert "more than twice its doubt at" in said
    assert main(["check", str(goal), "--json"]) == 0
    capsys.readouterr()
    assert main([*told, "-o", str(goal)]) == 2  # what is there is left as it is
    capsys.readouterr()
    assert main([*told, "--json"]) == 0
    found = json.loads(capsys.readouterr().out)
    assert set(found["stations"][0]) == {
        *("station_m", "read_m", "across_m", "doubt_m", "uneven_m", "far_m", "rivals_m", "least_m"),
        *("left_out", "ragged"),
    }
    assert main(["survey", str(tmp_path / "none.csv")]) == 2
    assert "cannot be read" in capsys.readouterr().err


def test_the_file_it_writes_has_the_sides_of_the_rod_it_stands_beside(tmp_path, capsys):
    """Four-sided cane of the same flats bends otherwise: a file of six sides would be checked as another rod."""
    (tmp_path / "old.csv").write_text(sheet())
    (tmp_path / "four.toml").write_text(
        re.sub("(?m)^(apex|block)_.*$", "", rod_text("thrimble-beck").replace("sides = 6", "sides = 4"))
    )
    for more, sides in ((["--beside", "four.toml"], 4), (["--beside", "four.toml", "--sides", "5"], 5), ([], 6)):
        goal = tmp_path / f"{sides}.toml"
        there = [str(tmp_path / one) if one.endswith("toml") else one for one in more]
        assert main(["survey", str(tmp_path / "old.csv"), *there, "-o", str(goal)]) == 0  # a column "c" is not °C
        assert f"as that of a rod of {sides} sides: complete it" in capsys.readouterr().out
        assert f"\nsides = {sides}\n" in goal.read_text()


def test_it_stands_beside_the_first_tip_where_tips_are_not_alike():
    """Tips drawn by hand: 5 thou over the rod's taper in tip 1, 9 in tip 2, along their whole length."""
    stations = range(0, JOINT + 1, 5)
    tips = "".join(
        f"\n[[tip]]\nstations = {list(stations)}\nacross = {[round(taper(one) + more, 6) for one in stations]}\n"
        for more in (0.005, 0.009)
    )
    rod = (
        'culmwright = 1\nunits = "inch"\n[rod]\nname = "Hallow Sike"\nsides = 6\nlength = 90\npieces = 2\ntips = 2\n'
        f"[taper]\nstations = {list(range(0, 91, 5))}\n"
        f"across = {[round(taper(one), 6) for one in range(0, 91, 5)]}\n[[ferrule]]\nstation = 45\nsize = 13\n{tips}"
    )
    found = survey(sheet(scatter=0), INCH_DISPLAY, rod_from_text(rod))
    over = [round(one.over / 25.4e-6, 1) for one in found.beside]
    assert over == pytest.approx([-5.0] * 10 + [0.0] * 10, abs=0.3)  # smoothing bends a piece's ends by 0.2 thou
    assert any("tip 1" in note for note in found.notes)


def misread(station, over):
    """The sheet with all readings of a station ``over`` by so many thou."""
    lines = sheet().splitlines()
    for i, line in enumerate(lines):
        if line.startswith(f"{station},"):
            lines[i] = ",".join([str(station), *(f"{float(one) + over / 1000:.4f}" for one in line.split(",")[1:])])
            return "\n".join(lines)
    raise AssertionError(station)


def test_a_gross_slip_is_marked_where_it_stands_and_nowhere_else(tmp_path, capsys):
    """20 thou is half a millimetre: what a caliper misread by a whole small division is off by (common practice)."""
    (tmp_path / "old.csv").write_text(misread(20, 20))
    goal = tmp_path / "old.toml"
    assert main(["survey", str(tmp_path / "old.csv"), "--units", "inch", "-o", str(goal)]) == 0
    said = capsys.readouterr().out.splitlines()
    starred = [line.split()[0] for line in said if "*" in line]
    assert starred == ["20", "*"]  # its line of the table, and the sentence about it
    assert any(line.startswith("* Station 20 in was read ") and "goes by without it" in line for line in said)
    assert sum("nine times in ten" in line for line in said) == 2  # a piece each, and no star on them
    assert "# station 20 in was read" in goal.read_text()
    found = survey(misread(20, 20), INCH_DISPLAY)
    there = next(one for one in found.stations if one.station == pytest.approx(20 * 0.0254))
    assert there.across == pytest.approx(0.0254 * taper(20), abs=2 * 0.0004 * 0.0254)
    kept = survey(misread(20, 20), INCH_DISPLAY, None, ("20",))
    assert not kept.odd
    assert next(one for one in kept.stations if one.station == there.station).across > there.across + 0.010 * 0.0254
    with pytest.raises(BadInput, match="no station 21"):
        survey(sheet(), INCH_DISPLAY, None, ("21",))


@pytest.mark.parametrize("station", [0, 90])
def test_the_first_and_last_station_are_marked_and_stay_in(station):
    found = survey(misread(station, 20), INCH_DISPLAY)
    (words,) = found.odd
    assert words.startswith(f"station {INCH_DISPLAY.station(station * 0.0254)} was read")
    there = next(one for one in found.stations if one.station == pytest.approx(station * 0.0254))
    assert not there.left_out
    assert abs(there.across - there.read) < abs(there.far) / 2


def test_a_reading_that_differs_from_its_own_others_is_pointed_out():
    lines = sheet().splitlines()
    station, first, *rest = lines[4].split(",")
    lines[4] = ",".join([station, f"{float(first) + 0.008:.4f}", *rest])
    found = survey("\n".join(lines), INCH_DISPLAY)
    (words,) = found.odd
    assert words.startswith("the readings of station 15")
    assert [round(one.station / 0.0254) for one in found.stations if found.asks(one)] == [15]


def test_too_few_stations_to_be_judged_is_said():
    found = survey("0, 1.70, 1.71\n400, 2.80, 2.81\n800, 3.90, 3.91\n", METRIC_DISPLAY)
    assert "too few stations" in found.least[0]

"""Slips of a maker's key at every door of cane, rigs and proof: a sentence, nothing kept, and no number made of them.

All rods and readings are invented.
"""

from __future__ import annotations

import json
from datetime import timedelta

import numpy as np
import pytest

from culmwright.bench.targets import target
from culmwright.cli.main import main
from culmwright.design.rod_file import rod_from_text
from culmwright.ledger.dockets import dockets, keep_docket
from culmwright.ledger.readings import append, current
from culmwright.ledger.records import Cell, Entry, now
from culmwright.ledger.register import add_culm, add_gauge, gauge_checks
from culmwright.measure.display import INCH_DISPLAY
from culmwright.measure.errors import AnswerIsNo, BadInput
from culmwright.measure.lengths import Length
from culmwright.rigs.rig_file import rig_from_text
from culmwright.workshop import flexing
from culmwright.workshop.flexing import Bar, Held, keep_drops, modulus
from culmwright.workshop.gauging import Instrument, OverPin, block_angle, zero
from culmwright.workshop.gluing import Glue, glue, glued
from culmwright.workshop.learning import learn, words_of
from culmwright.workshop.opening import begin, find, the_shop
from culmwright.workshop.proving import proof
from culmwright.workshop.setting import settings
from culmwright.workshop.setting_kept import keep_rig, rig_named, set_rig
from culmwright.workshop.starting import rod_text, shop_rig_text
from culmwright.workshop.surveying import rod_file, survey

OUNCES = (("1 oz", "0.1 in"), ("2 oz", "0.2 in"))


def finish(shop, begun, over=0.0):
    """Every strip of the rod finished, ``over`` [m] its target."""
    zero_at = begun.rod.bench.block_zero.m
    for section in begun.rod.sections():
        for station in section.stations:
            for strip in range(1, begun.rod.sides + 1):
                at = target(begun.rod, section, station).height + zero_at + over
                cell = Cell(begun.revision.id, section.name, station, "finish", 1, strip)
                append(shop, Entry.measured(cell, Length.parse(f"{at * 1e3:.6f} mm"), wet=False))


@pytest.fixture
def at_the_door(tmp_path, monkeypatch, rod_path, capsys):
    """A shop at the command line with the demo's main rod as R1: runs a command, gives its code and its error."""
    monkeypatch.setenv("CULMWRIGHT_SHOP", str(tmp_path / "door.sqlite"))
    with the_shop(start=True) as shop:
        begin(shop, str(rod_path))

    def run(*argv):
        code = main(list(argv))
        return code, capsys.readouterr()

    return run


def test_one_weight_hung_three_times_is_one_weight(shop, begun):
    """Three drops under one weight say nothing of the rule's zero: as good as one weight, and no mistake of ours."""
    keep_drops(shop, begun, [("1 oz", "22.0 in"), ("1 oz", "22.1 in"), ("1 oz", "22.2 in")], "1/16 in")
    keep_drops(shop, begun, [("1 oz", "22.1 in")], "1/16 in")
    thrice, once = (one.measured for one in flexing.tried(shop, begun))
    assert thrice.value == pytest.approx(once.value, rel=0.002)  # the mean of the three is the one
    assert np.isfinite(thrice.spread)


@pytest.mark.parametrize(
    "section",
    [
        {"height": "-0.2 in", "apex": "60 deg"},
        {"width": "-0.25 in", "depth": "-0.2 in"},
        {"across": "-0.2 in", "sides": "6"},
        {"width": "0.25 in", "depth": "0 in"},
    ],
)
def test_a_bar_has_sizes_above_zero(shop, begun, section):
    with pytest.raises(BadInput, match="above zero"):
        keep_drops(shop, begun, OUNCES, "1/64 in", bar=Bar("20 in", section, Held.BOTH_ENDS))
    assert dockets(shop, "bend test") == ()


def test_a_bar_is_named_in_words_and_one_of_another_culm_is_not_this_rods(shop, begun):
    add_culm(shop, "K7")
    mine = Bar("20 in", {"width": "0.25 in", "depth": "0.1 in"}, Held.BOTH_ENDS)
    theirs = Bar("20 in", {"height": "0.12 in", "apex": "60 deg"}, Held.BOTH_ENDS, "K7")
    keep_drops(shop, begun, [("0.5 lb", "0.913 in"), ("1 lb", "1.826 in")], "1/64 in", bar=mine)
    keep_drops(shop, begun, [("0.5 lb", "1.5 in"), ("1 lb", "3.0 in")], "1/64 in", bar=theirs)
    (found,) = modulus(shop, begun).tests
    assert found.of == "bar 0.25 in wide, 0.1 in deep"


def test_flats_are_all_looked_at_before_the_first_is_kept(at_the_door):
    good, bad = "T1@25in = 0.1253 0.1255 0.1250", "T1@30in = 9 9 9"
    code, said = at_the_door("proof", "R1", "--flats", good, "--flats", bad)
    assert code == 2 and "far from" in said.err
    with the_shop(write=False) as shop:
        assert current(shop, find(shop, "R1").revision.id) == ()


def test_work_is_all_looked_at_before_the_first_is_kept(at_the_door):
    code, said = at_the_door("finish", "R1", "--straight", "true to 10 thou", "--coat", " ")
    assert code == 2 and "write down" in said.err
    with the_shop(write=False) as shop:
        assert dockets(shop, "straightness") == ()


def test_sections_are_named_in_either_case(at_the_door):
    assert at_the_door("glue", "R1", "--section", "b", "--glue", "slow epoxy")[0] == 0
    assert at_the_door("finish", "R1", "--section", "t1", "--coat", "first")[0] == 0
    assert "no strip of T1" in at_the_door("match", "R1", "--section", "t1")[1].err


def test_glue_bound_now_took_from_its_mixing_until_now(shop, begun):
    """The verb says bound is now where it is not given: the time that took, and whether it was too long, follow."""
    used = Glue("slow epoxy", "", 600.0, 296.15)
    made = glue(shop, begun, "B", used, bench=296.15, mixed=now() - timedelta(minutes=20))
    assert made.took == pytest.approx(1200, abs=60) and made.late


@pytest.mark.parametrize(("words", "cure"), [("no time to cure", -3600.0), ("no time to cure", 1e12)])
def test_a_cure_that_is_none_leaves_no_glue_up(shop, begun, words, cure):
    with pytest.raises(BadInput, match=words):
        glue(shop, begun, "B", Glue("slow epoxy", cure=cure))
    assert glued(shop, begun) == ()


def test_nothing_is_bound_at_a_time_to_come(at_the_door):
    code, said = at_the_door("glue", "R1", "--section", "B", "--glue", "x", "--bound", "2999-01-01T00:00")
    assert code == 2 and "still to come" in said.err


@pytest.mark.parametrize("mass", ["-3 g", "0 g", "3000 g", "100 g"])
def test_a_dry_mass_is_no_more_than_the_lightest_weighing(tmp_path, capsys, mass):
    """Of 349 g at the lightest: at more it would hold less than no water, at 100 g more water than any cane."""
    path = tmp_path / "bundle.csv"
    path.write_text("0 days, 412.3 g\n1 day, 391.0 g\n2 days, 376.2 g\n4 days, 359.9 g\n7 days, 349.0 g\n")
    assert main(["dry", str(path), "--dry-mass", mass, "--target", "6%"]) == 2
    assert "without its water" in capsys.readouterr().err
    assert main(["dry", str(path), "--dry-mass", "330 g", "--target", "6%"]) == 0


def test_no_bundle_holds_less_than_no_water(tmp_path, capsys):
    path = tmp_path / "bundle.csv"
    path.write_text("0 days, 100 g\n1 day, 93 g\n2 days, 99 g\n3 days, 92 g\n4 days, 98 g\n5 days, 92 g\n")
    assert main(["dry", str(path), "--room", "70 F", "--humidity", "30%", "--oven", "150 F", "--json"]) == 0
    (one,) = json.loads(capsys.readouterr().out)["bundles"]
    assert one["fit"]["moisture"]["low"] >= 0


def test_a_rig_file_says_all_of_its_insert(tmp_path, capsys):
    rig = tmp_path / "bed.toml"
    rig.write_text(shop_rig_text("quiet-bed"))
    assert main(["fit", str(rig), "--now", "50 F", "--length", "3 in"]) == 2
    assert "not both" in capsys.readouterr().err
    rig.write_text(shop_rig_text("quiet-bed").replace('fitted = "70 degF"\n', ""))
    assert main(["fit", str(rig), "--now", "50 F"]) == 2
    assert 'fitted = "68 F"' in capsys.readouterr().err


def test_a_pin_in_the_wrong_unit_is_no_pin():
    """6.35 is a quarter inch in mm: as inches it is thicker than any block is wide."""
    with pytest.raises(BadInput, match=r"no pin in a block for strips is 6\.35 in across"):
        pins = [OverPin(6.35 / 2 * 0.0254, 15.9 * 0.0254)]
        zero(block_angle(6), pins, None, Instrument.CALIPER, INCH_DISPLAY)


def test_a_trial_in_the_wrong_unit_is_not_noted(at_the_door):
    with the_shop() as shop:
        gauge = add_gauge(shop, "G1", "in")
    code, said = at_the_door("gauge", "try", "--gauge", "G1", "--reference", "0.25", "--shown", "6.35")
    assert code == 2 and "no gauge's error" in said.err
    with the_shop(write=False) as shop:
        assert gauge_checks(shop, gauge.id) == ()
    assert at_the_door("gauge", "try", "--gauge", "G1", "--reference", "0.25", "--shown", "0.252")[0] == 1
    assert at_the_door("gauge", "doubt", "--step", "0")[0] == 2


def test_pieces_of_a_surveyed_rod_meet_at_their_ferrule():
    apart = "0,0.070,0.0705\n15,0.080,0.081\n44,0.170,0.171\n\n46,0.190,0.191\n60,0.22,0.221\n90,0.275,0.276\n"
    found = survey(apart, INCH_DISPLAY)
    assert found.pieces == 2
    with pytest.raises(BadInput, match="no station for its ferrule"):
        rod_file(found, "Old rod", 6, INCH_DISPLAY)
    again = "0,0.070,0.0705\n15,0.080,0.081\n45,0.170,0.171\n\n0,0.190,0.191\n20,0.22,0.221\n45,0.275,0.276\n"
    with pytest.raises(BadInput, match="from the tip of the whole rod"):
        survey(again, INCH_DISPLAY)


def test_one_setting_for_two_sections_is_one_piece_of_evidence(shop, begun):
    """Both tips are cut at one setting: their screws stand alike. The butt's is another."""
    rig = keep_rig(shop, shop_rig_text("long-form"))
    for section in ("T1", "T2", "B"):
        set_rig(shop, begun, rig, section)
        rig = rig_named(shop, rig.rig.name)
    finish(shop, begun)
    (lesson,) = learn(shop).lessons
    assert (lesson.runs, lesson.strips) == (2, 18)
    assert "18 strips at 2 settings" in " ".join(words_of(learn(shop), INCH_DISPLAY))


def test_a_redrawn_rod_keeps_what_was_read_to_its_older_drawing(shop, begun, rod_path):
    finish(shop, begun)
    rod_path.write_text(rod_text("thrimble-beck").replace("0.1535", "0.1545"))
    newer = begin(shop, str(rod_path))
    assert newer.code == "R1.2"
    with pytest.raises(AnswerIsNo, match=r"they were read to R1\.1") as said:
        proof(shop, newer)
    assert "culmwright proof R1.1" in said.value.remedy
    assert [one.rods for one in learn(shop).lessons] == [("R1",)]


def test_a_setting_speaks_one_unit_whichever_the_rigs_file_is_in(tmp_path):
    found = settings(rod_from_text(rod_text("pellamere-brook")), rig_from_text(shop_rig_text("pair-form")), "M")
    said = " ".join((*found.notes, *found.warnings))
    assert " mm down" in said and " in down" not in said


def test_a_correction_is_of_a_thou_or_two_not_of_inches(tmp_path, rod_path, capsys):
    """``--over 5`` on an inch rod is 5 in: a slip for 5 thou, and no number of turns."""
    rig = tmp_path / "form.toml"
    rig.write_text(shop_rig_text("long-form"))
    asked = ["settings", str(rod_path), "--rig", str(rig), "--section", "T1", "--over"]
    assert main([*asked, "5"]) == 2
    assert "no strip reads so far off" in capsys.readouterr().err
    assert main([*asked, "0"]) == 0
    assert "read on size: leave it" in capsys.readouterr().out
    assert main([*asked, "2 thou"]) == 0
    # by hand: 0.002 in of depth at 0.8660 a unit of opening, a turn of 1/20 - 1/28 in, 20 divisions: 3.23
    assert "close 3.2 divisions, clockwise; the groove comes 2.0 thou shallower" in capsys.readouterr().out


DROP = ("--drop", "1 oz = 22.0 in", "--to", "1/16 in")


def bend_tests():
    with the_shop(write=False) as shop:
        return dockets(shop, "bend test")


def test_a_wrong_bend_test_is_taken_back_by_its_number(at_the_door):
    at_the_door("modulus", "R1", *DROP)
    at_the_door("modulus", "R1", "--drop", "1 oz = 18 in", "--to", "1/16 in")
    right, wrong = 1, 2
    code, said = at_the_door("modulus", "R1", "--take-back", "99")
    assert code == 2 and f"its tests are {right}, {wrong}" in said.err and len(bend_tests()) == 2
    code, said = at_the_door("modulus", "R1", "--take-back", str(wrong), "--why", "the wrong weight")
    assert code == 0 and f"bend test {wrong} is taken back" in said.err
    assert len(bend_tests()) == 1 and "\n   1  " in at_the_door("modulus", "R1")[1].out
    assert any(line.split()[:1] == [str(right)] for line in said.out.splitlines())


def test_a_paper_that_is_no_bend_test_of_the_rod_is_not_taken_back(at_the_door):
    at_the_door("glue", "R1", "--section", "b", "--glue", "slow epoxy")
    with the_shop(write=False) as shop:
        (other,) = dockets(shop)
    assert at_the_door("modulus", "R1", "--take-back", str(other.seq))[0] == 2
    with the_shop(write=False) as shop:
        assert dockets(shop) == (other,)


def test_a_good_drop_with_a_bad_count_keeps_neither(at_the_door):
    for count in (("--swings", "30", "--seconds", "0"), ("--swings", "1", "--seconds", "3000")):
        assert at_the_door("modulus", "R1", *DROP, *count)[0] != 0
        assert bend_tests() == ()


def test_a_kept_test_that_cannot_be_worked_is_left_out_and_named(shop, begun):
    """As earlier versions kept them: a bar of no size."""
    finish(shop, begun)
    keep_drops(shop, begun, [("1 oz", "22.0 in")], "1/16 in")
    good = modulus(shop, begun)
    told = {"of": "bar", "drops": [list(one) for one in OUNCES], "reading": "1/64 in", "tip": 1, "span": "20 in",
            "section": {"width": "-0.25 in", "depth": "0.2 in"}, "held": "BOTH_ENDS", "culm": None}  # fmt: skip
    keep_docket(shop, "bend test", json.dumps(told), rod=begun.revision.rod)
    found = modulus(shop, begun)
    assert found.value == good.value and found.numbers == good.numbers
    words = "bend test 2 cannot be worked and is left out"
    assert any(note.startswith(words) for note in found.notes)
    assert any(note.startswith(words) for note in proof(shop, begun, draws=100).proof.notes)


def test_rigs_nobody_noted_have_scatter_and_no_bias(shop, begun):
    """Three sections a thou over, of rigs unknown: told of one rig, it would be a bias."""
    finish(shop, begun, over=25.4e-6)
    (lesson,) = learn(shop).lessons
    assert lesson.runs == 3 and lesson.between is not None and lesson.quarters == ()
    said = " ".join(words_of(learn(shop), INCH_DISPLAY))
    assert "No bias is told" in said and "settings --done" in said and "aim" not in said


@pytest.mark.parametrize("room", ["250 F", "51 C"])
def test_an_oven_is_no_room(at_the_door, room):
    code, said = at_the_door("heat", "R1", "--step", "250 F for 30 min", "--room", room, "--humidity", "50%", "--keep")
    assert code == 2 and "a room is not at" in said.err
    with the_shop(write=False) as shop:
        assert dockets(shop, "oven plan") == ()
    assert at_the_door("heat", "--step", "250 F for 30 min", "--room", "50 C")[0] == 0


def test_a_weighing_a_generation_early_is_not_kept(at_the_door):
    weigh = ("dry", "R1", "--bundle", "T1", "--weigh", "412 g", "--at")
    assert at_the_door(*weigh, "2026-11-01T08:00")[0] == 0
    code, said = at_the_door(*weigh, "1999-11-01T08:00")
    assert code == 2 and "27 years lie between" in said.err and "at most 3 years" in said.err
    assert at_the_door(*weigh, "2023-12-01T08:00")[0] == 0
    with the_shop(write=False) as shop:
        assert len(dockets(shop, "weighing")) == 2


def test_a_file_of_weighings_a_generation_apart_is_refused(tmp_path, capsys):
    path = tmp_path / "bundle.csv"
    path.write_text("1999-11-01 08:00, 412 g\n2026-11-01 08:00, 400 g\n")
    assert main(["dry", str(path)]) == 2
    assert "line 2" in (said := capsys.readouterr().err) and "27 years" in said

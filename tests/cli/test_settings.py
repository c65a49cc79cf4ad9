"""``settings``, ``gauge`` and ``new --of``: keys, exit codes and sentences."""

from __future__ import annotations

import json

import numpy as np
import pytest
from scipy.interpolate import CubicSpline

from culmwright.ledger.dockets import dockets
from culmwright.workshop.opening import the_shop
from culmwright.workshop.starting import rod_text, shop_rig_text

INCH = 0.0254


@pytest.fixture
def here(tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    for name in ("thrimble-beck", "ossel-burn", "pellamere-brook"):
        (tmp_path / f"{name}.toml").write_text(rod_text(name))
    for name in ("long-form", "pair-form", "quiet-bed", "starter-form", "starter-bed"):
        (tmp_path / f"{name}.toml").write_text(shop_rig_text(name))
    return tmp_path


def settings(rig, section, rod="thrimble-beck"):
    return "settings", f"{rod}.toml", "--rig", f"{rig}.toml", "--section", section


def test_settings_keep_their_keys(here, document):
    found = document(*settings("starter-form", "T1"))
    assert {"adjusters", "worst_departure_m"} <= set(found)
    assert all({"position_m", "depth_m", "turn"} <= set(one) for one in found["adjusters"])
    strips = document("strips", "thrimble-beck.toml")["sections"][0]["stations"]
    u = [one["depth_m"] for one in found["adjusters"]]
    graded = (2.5 * INCH, 57.5 * INCH), (0.014 * INCH, 0.060 * INCH)  # the starter's zero
    zero = [np.interp(one["place_m"], *graded) for one in found["adjusters"]]
    opening = [(depth - at) / 0.8660254 for depth, at in zip(u, zero, strict=True)]
    spline = CubicSpline([one["position_m"] for one in found["adjusters"]], opening, bc_type="natural")
    stations = [one["station_m"] for one in strips]
    x = np.linspace(0, stations[-1], 3000)
    wanted = np.interp(x, stations, [one["groove_depth_m"] for one in strips])
    walls = np.interp(x + found["tip_end_m"], *graded)
    assert np.abs(walls + 0.8660254 * spline(x) - wanted).max() == pytest.approx(found["worst_departure_m"], rel=2e-3)
    assert found["plain_departure_m"] > found["worst_departure_m"]
    turns = [one["turn"] for one in found["adjusters"]]
    assert turns == pytest.approx([one / (0.05 * INCH) for one in opening], rel=1e-6, abs=1e-9)


def test_a_beds_depth_is_its_lift(here, document):
    found = document(*settings("starter-bed", "B"))
    one = next(one for one in found["adjusters"] if one["under_strip"])
    assert one["depth_m"] == pytest.approx(one["turn"] * INCH / 24)
    assert found["stop_m"] == pytest.approx(0.250 * INCH)


@pytest.mark.parametrize(
    ("rig", "rod", "section"),
    [
        ("pair-form", "ossel-burn", "T1"),
        ("pair-form", "ossel-burn", "B"),
        ("pair-form", "pellamere-brook", "T1"),
        ("pair-form", "pellamere-brook", "M"),
        ("pair-form", "pellamere-brook", "B"),
        ("long-form", "thrimble-beck", "T2"),
        ("long-form", "thrimble-beck", "b"),
    ],
)
def test_every_demo_section_can_be_set(here, run, rig, rod, section):
    code, out, err = run(*settings(rig, section, rod))
    assert (code, err) == (0, "")
    assert "Lay every strip so that its section's tip end is" in out
    assert ", clockwise" in out or ", counter-clockwise" in out


def test_a_limit_that_binds_is_a_no(here, run, document):
    text = (here / "starter-form.toml").read_text().replace("# most = 0.25 ", "most = 0.02 ")
    (here / "starter-form.toml").write_text(text)
    code, out, err = run(*settings("starter-form", "T1"))
    assert code == 1
    assert "This rig cannot cut this taper within a thou" in out
    assert "at its most" in out
    assert "warning: the rig's limits cost " in err
    assert document(*settings("starter-form", "T1"), code=1)["met"] is False


def test_roughed_heights_and_a_given_place(here, document):
    found = document(*settings("starter-form", "T1"), "--rough", "--at", "5 in")
    plain = document(*settings("starter-form", "T1"), "--at", "5")
    assert found["tip_end_m"] == pytest.approx(5 * INCH)
    deeper = [one["depth_m"] - two["depth_m"] for one, two in zip(found["adjusters"], plain["adjusters"], strict=True)]
    assert deeper[4] == pytest.approx(0.100 * INCH, abs=1e-6)
    assert found["what"] == "roughed"


def test_the_working_of_one_adjuster(here, run, document):
    found = document(*settings("starter-form", "T1"), "--adjuster", "5")
    assert found["ladder"][-1]["step"] == "turns from zero"
    code, out, _ = run(*settings("starter-form", "T1"), "--adjuster", "5")
    assert code == 0 and "My form, adjuster 5, for T1:" in out
    assert run(*settings("starter-form", "T1"), "--adjuster", "13")[0] == 2


def test_what_to_turn_for_strips_over(here, run, document):
    code, out, _ = run(*settings("long-form", "B"), "--over", "1.2 thou")
    assert code == 0 and "Strips of B read 1.2 thou over: every screw: close" in out
    code, out, _ = run(*settings("quiet-bed", "B"), "--over", "-1.2 thou")
    assert "1.2 thou under: set the stop to 0.2312 in, the dial up by 1.2." in out
    found = document(*settings("quiet-bed", "B"), "--over", "0.001")
    assert found["stop_m"] == pytest.approx(0.229 * INCH)


@pytest.mark.parametrize(
    ("argv", "sentence"),
    [
        (settings("gone", "B"), "gone.toml: there is no such file. Check the name, or make one with: "),
        (settings("long-form", "M"), '--section: this rod has no section "M". Its sections are T1, T2, B.'),
        (settings("starter-form", "B", "ossel-burn"), "[[groove]] sides: My form has no groove for 4 sides."),
        ((*settings("long-form", "B"), "--groove", "x"), "x: Long form has no groove of this name."),
        ((*settings("long-form", "B"), "--at", "x"), '--at: "x" cannot be read as a length'),
        ((*settings("long-form", "B"), "--at", "30"), "does not lie on the rig. Give a place from 0 to 17 in."),
        ((*settings("long-form", "B"), "--over", "x"), '--over: "x" cannot be read as a length'),
    ],
)
def test_bad_input_is_a_sentence(here, run, argv, sentence):
    code, out, err = run(*argv)
    assert code == 2
    assert sentence in err and out == ""


def test_a_rig_of_the_shop(here, run, document):
    shop = ("--shop", here / "shop.sqlite")
    first = document(*settings("long-form", "T1"), "--done", *shop)
    assert first["adjusters"][6]["from_now"] == pytest.approx(first["adjusters"][6]["turn"] - 2)
    _, out, _ = run(*settings("long-form", "T1"), "--done", *shop)
    assert out.endswith("Noted in the shop: the screws stand so now.\n")
    again = document("settings", "R1", "--rig", "long form", "--section", "T2", *shop)
    assert all(abs(one["from_now"]) < 0.006 for one in again["adjusters"])  # a tenth of a division is 0.005 turns
    code, _, err = run("settings", "R1", "--rig", "Short form", "--section", "T2", *shop)
    assert code == 2
    assert 'there is no file and no rig of this shop called "Short form". Its rigs are Long form.' in err


@pytest.mark.parametrize(("of", "key"), [("form", "rig_file"), ("bed", "rig_file"), ("rod", "rod_file")])
def test_a_starter_can_be_used_at_once(here, run, document, of, key):
    made = document("new", "mine.toml", "--of", of)
    assert made == {key: "mine.toml"}
    if of != "rod":
        assert run(*settings("mine", "T1"))[0] == 0
        assert run("new", "mine.toml", "--of", of)[0] == 2


def test_the_zero_of_a_block(here, run, document):
    pins = ("--pin", "0.125=0.4421", "--pin", "0.1875=0.5350", "--pin", "1/4 in = 0.6278 in")
    found = document("gauge", "zero", *pins, "--kind", "micrometer")
    assert found["zero_m"] == pytest.approx(0.2565 * INCH, abs=2e-6)
    assert found["pins"]["angle_rad"] == pytest.approx(61 * np.pi / 180, abs=0.003)
    code, out, err = run("gauge", "zero", *pins, "--master", "0.150=0.4080", "--angle", "73 deg")
    assert code == 0
    assert "From the master strip: 0.2580 in" in out
    assert "not 73: is it the right block" in err
    assert run("gauge", "zero", *pins, "--keep", "--shop", here / "new.sqlite")[0] == 0  # it begins a shop
    document(*settings("long-form", "T1"), "--done", "--shop", here / "shop.sqlite")
    assert run("gauge", "zero", *pins, "--keep", "--shop", here / "shop.sqlite")[0] == 0
    with the_shop(here / "shop.sqlite") as shop:
        (kept,) = dockets(shop, "block zero")
    assert json.loads(kept.text)["zero"] == pytest.approx(found["zero_m"], abs=2e-6)


def test_a_study_from_a_file(here, run, document):
    lines = ["hand,strip,trial,reading"]
    for hand, off in (("Wren", 0.0), ("Teal", 0.2)):
        for trial in (1, 2):
            lines += [f"{hand},{i},{trial},{120 + 5 * i + off + 0.1 * trial} thou" for i in range(6)]
    (here / "study.csv").write_text("\n".join(lines))
    found = document("gauge", "study", "--file", "study.csv")
    assert (found["hands"], found["strips"], found["trials"]) == (2, 6, 2)
    assert found["repeatability_m"] == pytest.approx(0.1 * 25.4e-6 / 1.1630, rel=0.02)  # d2* of 12 ranges of 2, about
    code, out, _ = run("gauge", "study", "--file", "study.csv")
    assert code == 0 and out.startswith("The gauge is good")
    code, out, _ = run("gauge", "doubt", "--step", "0.0005", "--file", "study.csv", "--times", "2")
    assert code == 0 and "one hand reading again (study)" in out and "The doubt of the block's zero is left out" in out


def test_the_doubt_of_a_reading_over_a_block(here, run, document):
    plain = document("gauge", "doubt", "--step", "0.0005")
    over = document("gauge", "doubt", "--step", "0.0005", "--master", "0.1500=0.4065")
    zero = document("gauge", "zero", "--master", "0.1500=0.4065")
    assert over["combined_m"] == pytest.approx((plain["combined_m"] ** 2 + zero["uncertainty_m"] ** 2) ** 0.5)
    _, out, _ = run("gauge", "doubt", "--step", "0.0005", "--master", "0.1500=0.4065")
    assert "zero of the block" in out and "is left out: give one with --file" in out


@pytest.mark.parametrize(
    ("text", "sentence"),
    [
        ("a,b\n1,2\n", "this is no table of a gauge study. Its first line is hand,strip,trial,reading"),
        ("hand,strip,trial,reading\nW,1,1,x\n", 'line 2: "x" cannot be read as a length'),
        ("hand,strip,trial,reading\nW,1,1,0.1\nW,1,1,0.1\n", "line 3: this strip was read already"),
        ("hand,strip,trial,reading\nW,1,1,0.1\nT,2,1,0.1\n", "W did not read strip 2 in trial 1"),
        ("hand,strip,trial,reading\nW,1,1,0.1\n", "1 hands, 1 trials and 1 strips make no study"),
        ("hand,strip,trial,reading\nW,1,1\n", "line 2: a cell is missing"),
    ],
)
def test_a_study_that_is_none(here, run, text, sentence):
    (here / "study.csv").write_text(text)
    code, _, err = run("gauge", "study", "--file", "study.csv")
    assert code == 2
    assert sentence in err


@pytest.mark.parametrize(
    ("argv", "sentence"),
    [
        (("zero",), "nothing was read in the block"),
        (("zero", "--pin", "0.25"), '--pin: "0.25" has no reading. Write it like 0.250=0.6278.'),
        (("zero", "--pin", "x=1"), '--pin: "x" cannot be read as a length'),
        (("zero", "--pin", "0=1"), "a pin has no size"),
        (("zero", "--pin", "0.25=0.6", "--angle", "10 deg"), "--angle: 10 deg is no V block for strips"),
        (("study",), "--file: this option is missing. Give the readings as a CSV file."),
        (("study", "--file", "gone.csv"), "gone.csv: it cannot be read"),
        (("try",), "--gauge: this option is missing"),
        (("doubt",), "--step: this option is missing"),
        (("doubt", "--step", "-1"), "step: a gauge's step is above zero"),
    ],
)
def test_a_gauge_question_that_is_none(here, run, argv, sentence):
    code, _, err = run("gauge", *argv)
    assert code == 2
    assert sentence in err

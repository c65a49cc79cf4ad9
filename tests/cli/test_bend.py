"""``bend`` and ``bounce`` keep their word: JSON keys, axes, exit codes and sentences."""

from __future__ import annotations

import json
from math import pi, radians, sin

import pytest

from culmwright.measure.display import INCH_DISPLAY
from culmwright.workshop.starting import rod_text

OUNCE = 0.45359237 / 16 * 9.80665  # [N]
FREE = 80 * 0.0254  # [m] free length of the demo rod


@pytest.fixture
def rod_file(tmp_path):
    path = tmp_path / "rod.toml"
    path.write_text(rod_text("thrimble-beck"))
    return path


def test_bend_keeps_its_keys_and_axes(rod_file, document):
    found = document("bend", rod_file, "--load", "1 oz")
    assert found["converged"] is True
    assert found["load_n"] == pytest.approx(OUNCE)
    shape = found["shape"]
    assert set(shape) == {"s_m", "x_m", "y_m", "angle_rad", "stress_pa"}
    assert shape["s_m"][0] == shape["x_m"][0] == shape["y_m"][0] == shape["angle_rad"][0] == 0.0
    assert shape["s_m"][-1] == pytest.approx(FREE)
    assert found["tip_drop_m"] == pytest.approx(-shape["y_m"][-1])
    assert found["tip_shortening_m"] == pytest.approx(FREE - shape["x_m"][-1])
    assert found["tip_angle_rad"] == pytest.approx(-shape["angle_rad"][-1])
    assert found["tip_drop_m"] > 0
    assert shape["stress_pa"][-1] == pytest.approx(0, abs=1)
    assert found["greatest_stress_pa"] == max(shape["stress_pa"])


def test_axes_with_the_grip_raised(rod_file, document):
    found = document("bend", rod_file, "--load", "1 oz", "--attitude", 30)
    shape, up = found["shape"], radians(30)
    assert shape["angle_rad"][0] == pytest.approx(up)
    assert found["tip_drop_m"] == pytest.approx(FREE * sin(up) - shape["y_m"][-1])
    along = shape["x_m"][-1] * sin(pi / 2 - up) + shape["y_m"][-1] * sin(up)
    assert found["tip_shortening_m"] == pytest.approx(FREE - along)
    assert found["tip_angle_rad"] == pytest.approx(up - shape["angle_rad"][-1])


@pytest.mark.parametrize("weight", [(), ("--no-weight",)])
def test_the_quarter_load_is_what_it_says(rod_file, document, weight):
    quarter = document("bend", rod_file, "--load", "0.1 N", "--attitude", 20, *weight)["quarter_load_n"]
    rest = document("bend", rod_file, "--load", "0 N", *weight)["tip_drop_m"]
    bent = document("bend", rod_file, "--load", f"{quarter!r} N", *weight)["tip_drop_m"]
    assert bent - rest == pytest.approx(FREE / 4, abs=2e-6 * FREE)  # two grids, each good to 1e-6 of the length
    if weight:
        assert rest == pytest.approx(0, abs=1e-12)


def test_the_curve_ends_where_the_cane_meets_its_limit(rod_file, document):
    found = document("bend", rod_file, "--load", "1 oz")
    limit = found["stress_limit_pa"]
    loads = [one["load_n"] for one in found["curve"]]
    assert loads == sorted(loads)
    assert loads[0] == 0
    assert loads[-1] == found["limit_load_n"]
    at_limit = document("bend", rod_file, "--load", f"{found['limit_load_n']!r} N")
    assert at_limit["greatest_stress_pa"] == pytest.approx(limit, rel=1e-4)
    assert at_limit["greatest_station_m"] == found["limit_station_m"]
    assert at_limit["tip_drop_m"] == pytest.approx(found["curve"][-1]["drop_m"], abs=1e-5)


def test_shares_are_of_the_whole_bend(rod_file, document):
    found = document("bend", rod_file, "--load", "1 oz")
    shares = found["shares"]
    assert sum(one["share"] for one in shares) == pytest.approx(1)
    assert sum(one["turn_rad"] for one in shares) == pytest.approx(found["tip_angle_rad"])
    assert shares[0]["station_m"] == pytest.approx(FREE)
    assert shares[-1]["to_station_m"] == 0


def test_a_straight_rod_has_no_share_and_no_half(rod_file, run, document):
    """Held upright and pulled straight up it does not bend: what rounding leaves is nothing to share."""
    upright = ("bend", rod_file, "--attitude", 90, "--direction", 90)
    code, out, _ = run(*upright, "--load", "1 oz")
    assert code == 0
    assert "Half of" not in out
    assert "greatest stress" not in out
    found = document(*upright, "--load", "1 oz")
    assert {one["share"] for one in found["shares"]} == {0.0}
    assert (found["half_station_m"], found["greatest_station_m"]) == (None, None)


def test_a_rod_held_the_other_way_shares_its_bend_alike(rod_file, document):
    """Its mirror image: left and right change places and nothing else."""
    ahead, behind = (document("bend", rod_file, "--load", "1 oz", "--attitude", one) for one in (0, 180))
    assert behind["half_station_m"] == pytest.approx(ahead["half_station_m"], abs=1e-6)
    for one, other in zip(ahead["shares"], behind["shares"], strict=True):
        assert other["share"] == pytest.approx(one["share"], abs=1e-6)
        assert other["turn_rad"] == pytest.approx(-one["turn_rad"], abs=1e-6)


def test_shares_of_a_rod_that_bends_both_ways_are_of_all_its_turns(rod_file, document):
    """Its weight bends it down and the pull up: the turn that is left over would be no measure of either."""
    found = document("bend", rod_file, "--load", "0.35 oz", "--direction", 90)
    turns = [one["turn_rad"] for one in found["shares"]]
    assert min(turns) < 0 < max(turns)
    whole = sum(abs(one) for one in turns)
    more = 1 if sum(turns) > 0 else -1
    assert [one["share"] for one in found["shares"]] == pytest.approx([more * one / whole for one in turns])
    assert found["half_station_m"] is None


def test_a_load_that_breaks_the_rod_is_answered_with_a_warning(rod_file, run):
    code, out, err = run("bend", rod_file, "--load", "2 lb", "--json")
    assert code == 0
    (warning,) = json.loads(out)["warnings"]
    assert warning.endswith("of the limit: this load may break the rod")
    assert err.endswith(f"warning: {rod_file}: {warning}\n")


def test_no_rest_is_said_in_words_without_figures(rod_file, run, document):
    found = document("bend", rod_file, "--load", "1 lb", "--attitude", 90, code=1)
    assert found["converged"] is False
    assert found["reason"].startswith("held exactly upright the rod does not stand under this load")
    for key in ("tip_drop_m", "tip_shortening_m", "tip_angle_rad", "shape", "greatest_stress_pa"):
        assert found[key] is None
    code, out, _ = run("bend", rod_file, "--load", "1 lb", "--attitude", 90)
    assert code == 1
    assert "Held exactly upright the rod does not stand" in out


def test_through_the_guides_bends_less_than_a_weight_on_the_tip(rod_file, document):
    line = document("bend", rod_file, "--load", "1 N", "--through-guides", "--no-weight")
    hung = document("bend", rod_file, "--load", "1 N", "--no-weight")
    assert line["tip_drop_m"] != pytest.approx(hung["tip_drop_m"], rel=1e-4)
    assert line["tip_drop_m"] == pytest.approx(hung["tip_drop_m"], rel=0.05)  # ten guides are nearly a line all along


def test_without_a_stress_limit(rod_file, document):
    rod_file.write_text(rod_text("thrimble-beck").replace('stress_limit = "14000 psi"', ""))
    found = document("bend", rod_file, "--load", "1 oz")
    assert found["limit_load_n"] is None
    assert found["curve"][-1]["drop_m"] == pytest.approx(0.75 * FREE, rel=1e-6)


def test_bounce_keeps_its_keys(rod_file, document):
    alone = document("bounce", rod_file)["modes"]
    assert len(alone) == 4
    for mode in alone:
        assert mode["cycles_per_minute"] == pytest.approx(60 * mode["frequency_hz"])
    assert [one["frequency_hz"] for one in alone] == sorted(one["frequency_hz"] for one in alone)
    loaded = document("bounce", rod_file, "--tip-mass", "5 g")["modes"]
    lined = document("bounce", rod_file, "--line")["modes"]
    for slow in (loaded, lined):
        assert all(a["frequency_hz"] < b["frequency_hz"] for a, b in zip(slow, alone, strict=True))


def test_the_longest_and_limpest_rod_there_can_be(tmp_path, document):
    path = tmp_path / "long.toml"
    text = "culmwright = 1\nunits = 'inch'\n[rod]\nsides = 6\nlength = '30 ft'\n[taper]\nstations = [0, 360]\n"
    path.write_text(text + "across = [0.05, 0.3]\n")
    found = document("bend", path, "--load", "1 oz")
    assert found["quarter_load_n"] is None
    assert any("hangs too low" in note for note in found["notes"])
    assert len(document("bounce", path)["modes"]) == 4


WORDS = [
    (("bend", "ROD", "--load", "1 oz"), "How far the tip comes down under a hanging load, the rod held level:"),
    (("bend", "ROD", "--load", "1 oz"), "share of the bend to the next"),
    (("bend", "ROD", "--load", "1 oz"), "The rod is held as in a vice up to the grip's front; a hand is softer."),
    (("bend", "ROD", "--load", "1 N", "--direction", "-45", "--units", "metric"), "pulling -45 deg above"),
    (("bounce", "ROD"), "mode      Hz  a minute\n"),
]


@pytest.mark.parametrize(("argv", "words"), WORDS)
def test_words(argv, words, rod_file, run):
    code, out, _ = run(*(rod_file if one == "ROD" else one for one in argv))
    assert code == 0
    assert words in out


@pytest.mark.parametrize(
    ("option", "typed", "radians"),
    [
        ("--attitude", "4,5", pi * 4.5 / 180),
        ("--attitude", "4.5", pi * 4.5 / 180),
        ("--attitude", "45 deg", pi / 4),
        ("--attitude", "45°", pi / 4),
        ("--attitude=-0.5 rad", None, -0.5),
        ("--attitude=22 1/2", None, pi / 8),
        ("--direction", "-45 deg", -pi / 4),
        ("--direction=-67,5", None, -pi * 67.5 / 180),
    ],
)
def test_an_angle_is_typed_as_in_a_file_or_bare_in_degrees(option, typed, radians, rod_file, document):
    asked = [option] if typed is None else [option, typed]
    found = document("guides", rod_file, "--load", "0.5 oz", *asked)
    assert found["attitude_rad" if "attitude" in option else "direction_rad"] == pytest.approx(radians, rel=1e-12)


def test_two_rods_side_by_side_may_be_told_to_lie_level(rod_file, tmp_path, run):
    other = tmp_path / "other.toml"
    other.write_text(rod_text("pellamere-brook"))
    code, *_ = run("bend", rod_file, "--load", "1 oz", "--beside", other, "--attitude", "0 deg")
    assert code == 0


def test_where_no_way_was_found_nothing_is_said_of_turns():
    from culmwright.cli.bend_render import guides
    from culmwright.mechanics.guide_plan import GuidePlan

    none = guides(GuidePlan("Rod", 1, 0.5, 0.0, -pi / 2, (), "the rod finds no rest"), INCH_DISPLAY)
    assert none.endswith("the grip level.\n\nThe rod finds no rest.")


def test_the_words_of_bend_hold_no_index(rod_file, run):
    """The whole curve comes first; no counted rate stands beside a load for a fixed drop."""
    _, out, _ = run("bend", rod_file, "--load", "1 oz")
    assert out.index("How far") < out.index("lowers the tip by a quarter") < out.index("slope, deg")
    assert "minute" not in out
    assert "Hz" not in out


REFUSALS = [
    (
        ("bend", "ROD", "--load", "1"),
        '--load: "1" cannot be read as a load: a load needs its unit. Write it like 4 oz or 100 g.',
    ),
    (("bend", "ROD", "--load", "-1 oz"), '--load: "-1 oz" is below zero. Say where it pulls with --direction.'),
    (("bend", "ROD", "--load", "1 oz", "--tip", "3"), "this rod has 2 tips, not a tip 3. Give a tip it has."),
    (
        ("bend", "ROD", "--load", "1 oz", "--attitude", "270"),
        "--attitude: 270 deg is no angle of a rod. Give degrees from -180 to 180.",
    ),
    (
        ("bend", "ROD", "--load", "1 oz", "--direction", "nan"),
        '--direction: "nan" cannot be read as an angle: this is not an angle. Write it like 60 deg.',
    ),
    (
        ("guides", "ROD", "--attitude", "4 rad"),
        "--attitude: 229.183 deg is no angle of a rod. Give degrees from -180 to 180.",
    ),
    (
        ("guides", "ROD", "--direction", "4 in"),
        '--direction: "4 in" cannot be read as an angle: in does not measure an angle. Write it like 60 deg.',
    ),
    (("guides", "ROD", "--load=-1oz"), "--load: a line at -1oz does not bend a rod. Give a load above zero."),
    (("guides", "ROD", "--load", "0 g"), "--load: a line at 0 g does not bend a rod. Give a load above zero."),
    (
        ("bend", "ROD", "--load", "1 oz", "--beside", "BARE", "--attitude", "5 deg"),
        "--beside: two rods are set side by side level, under a hanging load. Leave --attitude, --direction, "
        "--no-weight and --through-guides out.",
    ),
    (
        ("bend", "BARE", "--load", "1 oz", "--through-guides"),
        "[guides]: there are no guides for the line to run through. List their stations; culmwright guides ROD proposes"
        " some.",
    ),
    (("bounce", "ROD", "--tip-mass", "-5 g"), '--tip-mass: "-5 g" is below zero. Give one from zero up.'),
    (("bounce", "BARE", "--line"), "[guides]: no line lies in the guides: the drawing has none yet. List them."),
]


@pytest.mark.parametrize(("argv", "sentence"), REFUSALS)
def test_what_it_cannot_use_gets_one_sentence(argv, sentence, rod_file, tmp_path, run):
    bare = tmp_path / "bare.toml"
    text = rod_text("thrimble-beck")
    bare.write_text(text[: text.index("[guides]")] + text[text.index("[strips]") :])
    places = {"ROD": rod_file, "BARE": bare}
    code, out, err = run(*(places.get(one, one) for one in argv))
    assert (code, out) == (2, "")
    assert err.splitlines()[-1] == f"culmwright: {sentence}"

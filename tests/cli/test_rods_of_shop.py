"""A rod of the shop in every verb of the mechanics: as drawn, with its cane as measured, as built; words and JSON.

Outside: the scaling of a rate with the root of the modulus (any text on vibration), the verbs' own answers for a file.
"""

from __future__ import annotations

import json

import pytest

from culmwright.cli.main import main
from culmwright.ledger.shop import create_shop
from culmwright.workshop.opening import begin
from culmwright.workshop.playing_on import play_on
from culmwright.workshop.starting import rod_text

NAME = "Thrimble Beck 7 ft 6 in"


@pytest.fixture(scope="module")
def made(tmp_path_factory):
    """A shop with R1, finished, glued and bent, and R2, of which nothing was read; and the file of R1."""
    folder = tmp_path_factory.mktemp("shop")
    rod, other = folder / "rod.toml", folder / "other.toml"
    rod.write_text(rod_text("thrimble-beck"))
    other.write_text(rod_text("ossel-burn"))
    with create_shop(folder / "shop.sqlite") as shop:
        play_on(shop, begin(shop, str(rod)))
        begin(shop, str(other))
    return folder


@pytest.fixture
def run(made, capsys, monkeypatch):
    monkeypatch.setenv("CULMWRIGHT_SHOP", str(made / "shop.sqlite"))

    def said(*argv, code=0):
        got = main([str(one).replace("FILE", str(made / "rod.toml")) for one in argv])
        done = capsys.readouterr()
        assert got == code, done.err
        return done

    return said


@pytest.fixture
def document(run):
    return lambda *argv: json.loads(run(*argv, "--json").out)


@pytest.mark.parametrize(
    "verb",
    [("check",), ("bend", "--load", "1 oz"), ("bounce",), ("guides",), ("strips",), ("explain", "T1@25in:stress")],
    ids=lambda verb: verb[0],
)
def test_a_rod_of_the_shop_as_drawn_is_its_file(document, verb):
    name, *more = verb
    assert document(name, "R1", *more) == document(name, "R1.1", *more) == document(name, "FILE", *more)


def test_cane_as_measured_swings_as_the_root_of_its_modulus(document):
    """f ~ sqrt(E) with the same mass: the demo's ferrules have no stiffness of their own."""
    cane = document("modulus", "R1")
    drawn, measured = document("bounce", "R1"), document("bounce", "R1", "--as", "measured")
    assert measured["modulus_pa"] == cane["value_pa"]
    assert measured["modulus_source"] == (
        "measured: the finished rod's drop and the rate it swings at and strips bent as bars under known weights"
    )
    assert (drawn["modulus_pa"], drawn["modulus_source"]) == (30e9, "rod file")
    for slow, quick in zip(drawn["modes"], measured["modes"], strict=True):
        times = (cane["value_pa"] / 30e9) ** 0.5
        assert quick["frequency_hz"] / slow["frequency_hz"] == pytest.approx(times, rel=1e-9)
    assert measured["name"] == f"{NAME}, with its cane as measured"


@pytest.mark.parametrize("tip", [1, 2])
def test_as_built_is_the_rod_of_the_proof(document, tip):
    proof = document("proof", "R1", "--tip", tip)["proof"]
    whole = {one["name"]: one for one in proof["whole"]}
    bent = document("bend", "R1", "--as", "built", "--tip", tip, "--load", f"{proof['load_n']!r} N")
    assert bent["tip_drop_m"] == pytest.approx(whole["drop"]["built"], rel=1e-6)  # two grids, each good to 1e-6
    assert bent["modulus_pa"] == proof["modulus_pa"] == document("modulus", "R1")["value_pa"]
    swung = document("bounce", "R1", "--as", "built", "--tip", tip)
    assert swung["modes"][0]["frequency_hz"] == pytest.approx(whole["rate"]["built"], rel=1e-9)
    planes = swung["planes"]
    assert [planes["stiffest_hz"], planes["softest_hz"]] == proof["rates_hz"]
    assert planes["split_hz"] == pytest.approx(planes["stiffest_hz"] - planes["softest_hz"])
    assert planes["split_spread_hz"] == proof["split_spread_hz"]


def test_as_built_is_checked_at_the_proofs_own_sizes(document):
    """To a micrometre: a proof gives the mean of all directions, and a check the size of the same mean EI; strips that
    differ by a share e of the size part the two by a share of the order of e^2.
    """
    proof = document("proof", "R1")["proof"]
    check = document("check", "R1", "--as", "built")["stations"]
    assert len(check) == len(proof["stations"])  # the joint twice
    for one, other in zip(check, proof["stations"], strict=True):
        assert one["station_m"] == other["station_m"]
        assert one["across_m"] == pytest.approx(other["across"]["built"], abs=1e-6)


def test_the_two_planes_are_told_in_words(run, document):
    out = run("bounce", "R1", "--as", "built").out
    planes = document("bounce", "R1", "--as", "built")["planes"]
    if planes["told"]:
        assert f"Its two planes: {planes['stiffest_hz']:.3f} Hz in the stiffest" in out
    else:
        assert "Its two planes: within doubt. The readings have them " in out
    assert f"{planes['split_hz']:.3f} ± {2 * planes['split_spread_hz']:.3f} Hz (95 of 100)" in out
    with_mass = document("bounce", "R1", "--as", "built", "--tip-mass", "5 g")
    assert with_mass["planes"] is None
    assert with_mass["notes"][-1].startswith("its two planes are told of the rod by itself only")
    assert document("bounce", "R1")["planes"] is None


WORDS = [
    (("bend", "R1", "--load", "1 oz"), f"{NAME}, tip 1.\n"),
    (("bend", "R1", "--load", "1 oz"), "The modulus of the cane is 4.35 Mpsi, as the rod file says.\n"),
    (("bend", "R1", "--load", "1 oz"), "Cane of other culms may be 20% stiffer or softer"),
    (("bend", "R1", "--load", "1 oz", "--as", "measured"), "Mpsi, measured: the finished rod's drop and the rate it"),
    (
        ("bend", "R1", "--load", "1 oz", "--as", "measured"),
        "% of it in doubt (95 of 100): the load for the same bend goes with it, less where own weight bends the rod; ",
    ),
    (("bend", "R1", "--load", "1 oz", "--as", "built"), f"{NAME}, as built, tip 1.\n"),
    (("check", "R1", "--as", "built"), "As built, a section counts as the regular one with the same mean stiffness."),
    (("guides", "R1", "--as", "built"), f"{NAME}, as built, tip 1: guides under a line"),
    (("bend", "FILE", "--load", "1 oz", "--as", "built"), f"{NAME}, as built, tip 1.\n"),
    (("strips", "R1", "--units", "metric"), "T1, 1143 mm, 7 strips with spares"),
]


@pytest.mark.parametrize(("argv", "words"), WORDS)
def test_words(run, argv, words):
    assert words in run(*argv).out


@pytest.mark.parametrize(
    ("typed", "names"),
    [
        ("built", ["the rod as drawn", "the rod as built"]),
        ("as measured", ["the rod as drawn", "the rod with its cane as measured"]),
        ("R1 as built", ["the rod as drawn", "the rod as built"]),
        ("R2", [NAME, "Ossel Burn 7 ft"]),
    ],
)
def test_beside(run, document, typed, names):
    found = document("bend", "R1", "--load", "2 oz", "--beside", typed)
    assert found["names"] == names
    ways = {"the rod as built": "built", "the rod with its cane as measured": "measured"}
    alone = document("bend", "R1" if names[1] in ways else "R2", "--load", "2 oz", "--as", ways.get(names[1], "drawn"))
    assert found["bends"][1]["tip_drop_m"] == alone["tip_drop_m"]
    out = run("bend", "R1", "--load", "2 oz", "--beside", typed).out
    assert f"Under 2 oz the tip of {names[0]} comes down by" in out
    if typed != "R2":
        assert "Their cane is taken at two different moduli, 4.35 Mpsi (rod file) and " in out
        assert f"Of {names[1]}: the modulus of the cane is" in out


def test_log_alone_lists_the_rods_of_the_shop(run, document):
    lines = run("log").out.splitlines()
    assert [line.split(":")[0].split(None, 1) for line in lines] == [["R1", NAME], ["R2", "Ossel Burn 7 ft"]]
    assert lines[1].endswith("Culm and nodes is next")
    assert [one["code"] for one in document("log")["rods"]] == ["R1", "R2"]
    assert "log alone lists" in run("log", "--add", "noted", code=2).err


def test_two_tips_of_one_rod_and_two_drawings_of_one_name_are_told_apart(run, document, made, monkeypatch, capsys):
    told = run("bend", "FILE", "--tip", 2, "--load", "2 oz", "--beside", "FILE").out
    assert "the tip of the rod with tip 2 comes down by" in told and "that of the rod with tip 1 by" in told
    (made / "thicker.toml").write_text(rod_text("thrimble-beck").replace("0.070", "0.072", 1))
    with create_shop(made / "two.sqlite") as shop:
        begin(shop, str(made / "rod.toml"))
        begin(shop, str(made / "thicker.toml"))
    monkeypatch.setenv("CULMWRIGHT_SHOP", str(made / "two.sqlite"))
    assert document("bend", "R1", "--load", "2 oz", "--beside", "R1.1")["names"] == ["R1.2", "R1.1"]
    named = document("bend", made / "thicker.toml", "--load", "2 oz", "--beside", "R1.1")["names"]
    assert named == [f"{NAME} in its file", "R1.1"]


def test_beside_the_other_tip_and_the_other_way(document):
    found = document("bend", "R1", "--as", "built", "--tip", 2, "--load", "2 oz", "--beside", "drawn")
    assert [one["tip"] for one in found["bends"]] == [2, 2]
    assert found["names"] == ["the rod as built", "the rod as drawn"]


REFUSALS = [
    (("bend", "R9", "--load", "1 oz"), 2, "there is no rod R9 in this shop. Its rods are R1, R2."),
    (("check", "R2", "--as", "built"), 1, "no strip of T1 or B was read when finished: there is no rod as built yet."),
    (("bounce", "R2", "--as", "measured"), 1, "R2.1: no bend test of this rod or its cane is kept."),
    (("check", "R1", "--as", "built", "--tip", "3"), 2, "this rod has 2 tips, not a tip 3. Give a tip it has."),
    (("bend", "R1", "--load", "1 oz", "--beside", "R1"), 2, "--beside: both are the same rod. Give another rod,"),
    (("bend", "R1", "--load", "1 oz", "--beside", "drawn"), 2, "--beside: both are the same rod. Give another rod,"),
    (("explain", "R1", "R2/modulus"), 2, "spot R2/modulus: this drawing is D"),
]


@pytest.mark.parametrize(("argv", "code", "sentence"), REFUSALS)
def test_what_is_not_there_gets_one_sentence(run, argv, code, sentence):
    done = run(*argv, code=code)
    assert done.out == ""
    assert sentence in done.err.splitlines()[-1]


def test_the_modulus_has_its_ladder(run, document):
    """Two tests on one rod share the smaller section's doubt c: their mean is ``(E1 (u2^2 - c) + E2 (u1^2 - c))/(u1^2 +
    u2^2 - 2c)``, the best linear one (Aitken 1935; written out by hand for two). Strips are a third, of its own doubt.
    """
    cane = document("modulus", "R1")
    found = document("explain", "R1", "modulus")
    ladder = {one["step"]: one for one in found["ladder"]}
    one, two = cane["tests"][-2:]
    for test in (one, two):
        assert ladder[f"by {test['how']}, rod, tip 1"]["value"] == test["value_pa"]
    c = min(one["alike_pa"], two["alike_pa"]) ** 2
    a, b = one["spread_pa"] ** 2 - c, two["spread_pa"] ** 2 - c
    rod, of_rod = (one["value_pa"] * b + two["value_pa"] * a) / (a + b), c + a * b / (a + b)
    strips = ladder["mean of the rod's strips"]["value"]
    of_strips = [one["value"] for one in found["ladder"] if one["step"] == "its doubt, one standard deviation"][-1] ** 2
    by_hand = (rod * of_strips + strips * of_rod) / (of_rod + of_strips)
    assert found["value"] == found["ladder"][-1]["value"] == pytest.approx(by_hand, rel=1e-9)
    together = of_rod * of_strips / (of_rod + of_strips)
    assert ladder["doubt of all together"]["value"] == pytest.approx(together**0.5, rel=1e-9)
    assert ladder["modulus in the rod file, until measured"]["value"] == 30e9
    assert [found["spot"], found["quantity"], found["unit"]] == ["modulus", "modulus", "Pa"]
    out = run("explain", "R1", "R1/modulus").out
    assert out.startswith(f"modulus: modulus of the cane is {cane['value_pa'] / 6894757293.168:.2f} Mpsi.\n")
    assert "in under 1/2 oz, " in out and "the rod swings 40 times in" in out and "bend test kept 2026-" in out


@pytest.mark.parametrize("rod", ["FILE", "R2"])
def test_a_modulus_nobody_measured_says_where_it_is_from(document, rod):
    found = document("explain", rod, ":modulus")
    source = "rod file" if rod == "FILE" else "default: "
    assert found["value"] == 30e9
    assert all(one["source"].startswith(source) for one in found["ladder"])
    assert [one["value"] for one in found["ladder"]] == [6e9, 30e9]
    assert found["ladder"][-1]["rule"] == ("[cane] modulus" if rod == "FILE" else "taken where the file gives none")

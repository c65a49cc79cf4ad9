"""Strips of a rod bent by themselves: kept with their names, and one rule for how tests make one modulus.

Outside: the straight bar's formula by hand, means and standard deviations of numbers given here, Student's table.
"""

from __future__ import annotations

import json
from dataclasses import replace
from math import hypot, radians, tan
from shutil import copytree

import numpy as np
import pytest

from culmwright.book.leaf import Rows, Words
from culmwright.book.ruler import Ruler
from culmwright.cli.main import main
from culmwright.design.rod_file import rod_from_text
from culmwright.ledger.dockets import dockets
from culmwright.ledger.register import add_culm, add_strip
from culmwright.ledger.shop import create_shop, open_shop
from culmwright.measure.errors import AnswerIsNo, BadInput
from culmwright.measure.spot import Spot
from culmwright.mechanics.graded import Graded
from culmwright.proof.modulus import together
from culmwright.workshop import proving, vouching
from culmwright.workshop.bars import Bar, Held, bar_measured, told_bar
from culmwright.workshop.explaining_kept import explain_kept
from culmwright.workshop.flattening import flatten
from culmwright.workshop.flexing import (
    check_test,
    keep_drops,
    keep_rate,
    kept_tests,
    modulus,
    modulus_of,
    own_tests,
    take_back,
    told_drops,
    tried,
)
from culmwright.workshop.looking_work import cane_measured
from culmwright.workshop.opening import begin, find
from culmwright.workshop.playing_on import play_on
from culmwright.workshop.proving import as_read, leaves_of, proof, rods_read
from culmwright.workshop.rod_asked import Way, rod_as
from culmwright.workshop.starting import rod_text
from culmwright.workshop.strip_tests import by_level, strip_named, strips_unlike

HEIGHT, SPAN = 0.0625, 10  # [in]
INERTIA = 2 * HEIGHT**4 * tan(radians(30)) / 36  # [in^4] a strip on its enamel
PSI = 6894.757293168


def drop(modulus, weight):
    """How far a strip of ``modulus`` [Pa] comes down in its middle under ``weight`` [lb], in inches: P L^3/(48 E I)."""
    return weight * SPAN**3 / (48 * modulus / PSI * INERTIA)


def bend(shop, begun, strip, E, id=None):
    """Keep a bend test of a strip of modulus ``E`` [Pa], drops to the ten-thousandth of an inch."""
    bar = Bar(f"{SPAN} in", {"height": f"{HEIGHT} in", "apex": "60 deg"}, Held.BOTH_ENDS, strip=strip)
    drops = [(f"{weight} lb", f"{drop(E, weight):.6f} in") for weight in (0.005, 0.01, 0.02)]
    return keep_drops(shop, begun, drops, "0.001 in", bar=bar, id=id)


MODULI = {1: 31e9, 2: 29e9, 3: 33e9, 4: 30e9, 5: 28e9, 6: 32e9}


@pytest.fixture(scope="module")
def played(tmp_path_factory):
    """A shop with a rod finished and read, its rod bent and plucked too (30.3 GPa)."""
    folder = tmp_path_factory.mktemp("played")
    (folder / "rod.toml").write_text(rod_text("thrimble-beck"))
    with create_shop(folder / "shop.sqlite") as shop:
        begun = begin(shop, str(folder / "rod.toml"))
        play_on(shop, begun)
        for number, docket in own_tests(shop, begun).items():
            if docket.strip is not None:
                take_back(shop, begun, number, "the tests here keep their own")
    return folder


@pytest.fixture
def finished(played, tmp_path):
    """A copy of it for each test."""
    copytree(played, tmp_path / "again")
    with open_shop(tmp_path / "again" / "shop.sqlite") as shop:
        yield shop, find(shop, "R1")


def test_each_strip_has_its_modulus_by_hand(shop, begun):
    for name in ("T1", "T2", "B"):
        for strip, E in MODULI.items():
            bend(shop, begun, (name, strip), E)
    found = modulus(shop, begun)
    assert [one.value for one in found.tests] == pytest.approx(3 * list(MODULI.values()), rel=1e-5)
    assert found.tests[0].of == f"T1/S1, strip {HEIGHT} in high, 60 deg"
    kept = dockets(shop, "bend test", rod=begun.revision.rod)
    assert [(one.section, one.strip) for one in kept[:6]] == [("T1", strip) for strip in MODULI]
    assert found.value == pytest.approx(np.mean(list(MODULI.values())), rel=1e-5)
    rows = {(one.section, one.strip): one for one in found.strips}
    assert len(rows) == 18
    assert rows["B", 3].modulus == pytest.approx(33e9, rel=1e-5) and rows["B", 3].tested
    hand = 4 * 0.3e-3 / HEIGHT  # 0.3 thou of its height in the fourth power, and drops read to a thou
    assert hand * (17 / 18) ** 0.5 < rows["B", 3].share_spread / (33 / 30.5) < 1.1 * hand


def test_strips_and_rod_are_two_measurements_of_one_level(finished):
    """Six strips of each section in the rings: their mean, one number, put together with the rod's own tests, each by
    its doubt; not seven, and not the rod's tests again through every strip.
    """
    shop, begun = finished
    alone = modulus(shop, begun, *rods_read(shop, begun))
    rings = {name: as_read(shop, begun, tip).parts[name].ring for tip in (1, 2) for name in (f"T{tip}", "B")}
    for name, ring in rings.items():
        for place, strip in enumerate(ring):
            bend(shop, begun, (name, strip), 1.02 * list(MODULI.values())[place])
    builts = rods_read(shop, begun)
    every = tried(shop, begun, *builts)
    level = by_level(shop, begun, every)
    assert [one.of for one in level] == ["rod, tip 1", "rod, tip 1", "the strips tested"]
    strips = level[-1]
    assert strips.value == pytest.approx(1.02 * 30.5e9, rel=1e-4)
    found = modulus(shop, begun, *builts)
    rod = together(level[:2])
    # two of independent doubt: the mean by one over the squares
    weights = np.array([rod.spread, strips.spread]) ** -2.0
    assert found.value == pytest.approx(weights @ [rod.value, strips.value] / weights.sum(), rel=1e-6)
    assert found.spread == pytest.approx(weights.sum() ** -0.5, rel=1e-6)
    assert min(rod.spread, strips.spread) * 0.5 < found.spread < min(rod.spread, strips.spread)
    # strips that differ say nothing of the level: through them the rod's own tests give what they gave before
    assert rod.value == pytest.approx(alone.value, rel=2e-3)
    assert modulus_of(shop, begun, *builts).value == found.value


def test_tests_of_strips_go_into_the_section(finished):
    """The tip's strips 1 and 4 of the ring a fifth stiffer than the rest: the proof has its spine there, of cane."""
    shop, begun = finished
    before = proof(shop, begun, draws=0)
    assert before.proof.strips == () and before.proof.spine.of_cane is None
    for name in ("T1", "B"):
        ring = as_read(shop, begun).parts[name].ring
        for place, strip in enumerate(ring):
            bend(shop, begun, (name, strip), 36e9 if place in (0, 3) else 30e9)
    after = proof(shop, begun, draws=0)
    one = after.proof
    assert one.spine.told and "uneven cane makes it" in after.spine
    turned = min(one.spine.direction, np.pi - one.spine.direction)
    assert turned < 0.15
    assert [row.strip for row in one.strips[:6]] == list(as_read(shop, begun).parts["T1"].ring)
    assert [row.share for row in one.strips[:6]] == pytest.approx([36 / 32, 30 / 32, 30 / 32] * 2, rel=1e-4)
    rod = rod_as(shop, begun, Way.BUILT).rod
    assert rod.along and rod.along[0].section == "T1"
    # the stiff strips change places with the next ones: level, scatter and notes stay, the spine turns by 60 degrees
    for number, docket in own_tests(shop, begun).items():
        if docket.strip is not None:
            take_back(shop, begun, number, "another strip")
    for name in ("T1", "B"):
        for place, strip in enumerate(as_read(shop, begun).parts[name].ring):
            bend(shop, begun, (name, strip), 36e9 if place in (1, 4) else 30e9)
    turned = proof(shop, begun, draws=0).proof.spine.direction
    assert turned == pytest.approx(np.pi / 3, abs=0.15)
    built = as_read(shop, begun)  # a proof remembered is of the very cane it was asked of
    at = built.cane.with_shares(np.roll(built.cane.section_shares, 1, axis=1))
    other = replace(built, cane=replace(built.cane, at=at))
    again, shifted = (proving._compared(one, 0.278, None, 0, None) for one in (built, other))
    assert shifted.spine.direction != pytest.approx(again.spine.direction, abs=0.1)


def test_strips_in_doubt_leave_the_rod_s_own_tests_in_doubt(finished):
    """Two strips of a section far apart say little of the others: what hangs on the rod's drop is in more doubt then,
    as it is worked out through them; with all strips known to be alike it is hardly more.
    """
    shop, begun = finished
    before = modulus(shop, begun, *rods_read(shop, begun)).tests[0].spread
    ring = as_read(shop, begun).parts["T1"].ring
    bend(shop, begun, ("T1", ring[0]), 26e9)
    bend(shop, begun, ("T1", ring[1]), 34e9)
    few = modulus(shop, begun, *rods_read(shop, begun)).tests[0].spread
    assert few > 2 * before


def test_a_strip_tested_twice_is_one_strip(shop, begun):
    for strip in (1, 2, 3):
        bend(shop, begun, ("T1", strip), 30e9)
    bend(shop, begun, ("T1", 3), 30.2e9)
    found = modulus(shop, begun)
    rows = {(one.section, one.strip): one for one in found.strips}
    assert rows["T1", 3].modulus == pytest.approx(30.1e9, rel=1e-4)
    assert rows["T1", 3].source == "bend test 3 and bend test 4"
    take_back(shop, begun, 4, "slipped")
    again = {(one.section, one.strip): one for one in modulus(shop, begun).strips}
    assert again["T1", 3].source == "bend test 3"


def test_one_strip_is_a_bar(shop, begun):
    bend(shop, begun, ("T1", 2), 31e9)
    found = modulus(shop, begun)
    assert found.strips == () and found.value == pytest.approx(31e9, rel=1e-5)
    assert any("one strip of a section does not tell how strips differ" in note for note in found.notes)
    assert strips_unlike(shop, begun, tried(shop, begun)) is None


def test_strips_of_another_rod_of_the_culm_are_one_measurement(shop, begun, tmp_path):
    """Four strips of a first rod, of culm K9; a second rod of that culm takes them as one: their mean, with their
    scatter over the root of four, widened by Student's factor for three degrees of freedom (3.182/1.960).
    """
    culm = add_culm(shop, "K9")
    for number in range(1, 7):
        add_strip(shop, f"K9-{number}", begun.revision.rod, "T1", number, culm=culm.id)
    add_strip(shop, "K8-1", begun.revision.rod, "B", 1, culm=add_culm(shop, "K8").id)  # its butt is of another culm
    values = [29e9, 30e9, 31e9, 30e9]
    for number, E in enumerate(values, 1):
        assert bend(shop, begun, ("T1", number), E).culm == culm.id
    path = tmp_path / "other.toml"
    path.write_text(rod_text("thrimble-beck").replace("Thrimble Beck", "Second Beck"))
    other = begin(shop, str(path))
    add_strip(shop, "K9-11", other.revision.rod, "T1", 1, culm=culm.id)
    found = modulus(shop, other)
    assert len(found.tests) == 4 and found.strips == ()
    assert found.value == pytest.approx(30e9, rel=1e-5)
    alike = together([found.tests[0]]).alike / found.tests[0].value
    wanted = hypot(np.std(values, ddof=1) / 2 * 3.1824 / 1.95996, alike * 30e9)
    assert found.spread == pytest.approx(wanted, rel=1e-2)


def test_a_strip_of_graded_cane_is_told_as_the_file_tells_it(shop, begun):
    """The file says five to one through 8 mm: a strip by itself bends softer than the section of such strips, and its
    modulus is told of one section for all, a third of the wall from centre to flat: ``1 - c a/(5 T)``, a = T/3.
    """
    bar = Bar(f"{SPAN} in", {"height": f"{HEIGHT} in", "apex": "60 deg"}, Held.BOTH_ENDS)
    told = told_drops([(f"{w} lb", f"{drop(30e9, w):.6f} in") for w in (0.01, 0.02)], "0.001 in", bar=bar)
    rod = rod_from_text(rod_text("thrimble-beck").replace("[cane]", '[cane]\nouter_over_inner = 5\nculm_wall = "8 mm"'))
    graded, even = bar_measured(told, rod.cane.grading), bar_measured(told)
    law = Graded(6, HEIGHT * 0.0254, 0.008, 5.0)
    assert even.value == pytest.approx(30e9, rel=1e-5)
    assert graded.value * law.strip_over_section * law.mean_over_outer / (1 - 0.8 / 15) == pytest.approx(even.value)
    assert law.strip_over_section < 0.99
    assert told_bar(bar)["held"] == "BOTH_ENDS" and "strip" not in told_bar(bar)


def test_a_node_costs_by_the_grading_of_the_file():
    """As with the same wall and ratio given by hand; those given stand above the file's."""
    rod = rod_from_text(rod_text("thrimble-beck").replace("[cane]", '[cane]\nouter_over_inner = 3\nculm_wall = "7 mm"'))
    plain = rod_from_text(rod_text("thrimble-beck"))
    found = flatten(0.254, deep=0.0001, rod=rod, station=0.75)
    assert found.cost == flatten(0.254, deep=0.0001, rod=plain, station=0.75, wall=0.007, ratio=3.0).cost
    assert "how stiffness falls through the wall: rod file" in found.notes
    given = flatten(0.254, deep=0.0001, rod=rod, station=0.75, wall=0.005)
    assert given.cost == flatten(0.254, deep=0.0001, rod=plain, station=0.75, wall=0.005).cost != found.cost
    with pytest.raises(BadInput, match="the culm's wall"):
        flatten(0.254, deep=0.0001, rod=plain, station=0.75)


@pytest.mark.parametrize("named", ["T1", "S3", "T1/S3@25in", "T1/S3:height", "R9/T1/S3", "three", ""])
def test_what_names_no_strip(begun, named):
    with pytest.raises(BadInput, match="names no strip of R1"):
        strip_named(begun, named)


def test_strips_the_rod_does_not_have(shop, begun):
    assert strip_named(begun, "t1/s3") == ("T1", 3)
    for named, words in (("T3/S1", "no section T3"), ("T1/S9", "strip")):
        with pytest.raises(BadInput, match=words):
            strip_named(begun, named)
    strip = {"height": "0.12 in", "apex": "60 deg"}
    drops = [("1 lb", "1 in"), ("2 lb", "2 in")]
    bar = Bar("20 in", {"width": "0.2 in", "depth": "0.1 in"}, Held.ONE_END, strip=("T1", 1))
    with pytest.raises(BadInput, match="a strip is bent as a strip"):
        check_test(shop, begun, told_drops(drops, "1/64 in", bar=bar))
    add_culm(shop, "K9")
    bar = Bar("20 in", strip, Held.ONE_END, "K9", ("T1", 1))
    with pytest.raises(BadInput, match="of the rod's culm"):
        check_test(shop, begun, told_drops(drops, "1/64 in", bar=bar))
    with pytest.raises(BadInput, match="strip"):
        check_test(shop, begun, told_drops(drops, "1/64 in", bar=Bar("20 in", strip, Held.ONE_END, None, ("T1", 99))))


def test_the_working_of_a_strip_s_modulus(finished):
    shop, begun = finished
    with pytest.raises(BadInput, match="T1/S3 by itself is not known"):
        explain_kept(shop, begun, Spot.parse("T1/S3:modulus"))
    ring = as_read(shop, begun).parts["T1"].ring
    for place, strip in enumerate(ring[:3]):
        bend(shop, begun, ("T1", strip), list(MODULI.values())[place])
    found = explain_kept(shop, begun, Spot("T1", strip=ring[2], quantity="modulus"))
    builts = rods_read(shop, begun)
    cane = modulus(shop, begun, *builts)
    row = next(one for one in cane.strips if (one.section, one.strip) == ("T1", ring[2]))
    assert found.value == pytest.approx(row.modulus) and found.unit == "Pa"
    rungs = {one.step: one for one in found.ladder}
    assert rungs["its share of the rod's"].source == f"bend test {max(own_tests(shop, begun))}"
    assert rungs["its share of the rod's"].value == pytest.approx(33 / 31, rel=1e-4)
    assert rungs["modulus of the cane"].value == pytest.approx(cane.value)
    assert any(f"T1/S{ring[2]}, strip" in step for step in rungs)
    spare = next(one for one in range(1, 8) if one not in ring)
    with pytest.raises(BadInput, match="not known") as fault:
        explain_kept(shop, begun, Spot("T1", strip=spare, quantity="modulus"))
    assert "a spare" in fault.value.remedy
    whole = explain_kept(shop, begun, Spot.parse("modulus"))
    rungs = {one.step: one for one in whole.ladder}
    assert rungs["mean of the rod's strips"].value == pytest.approx(31e9, rel=1e-4)
    assert whole.value == pytest.approx(cane.value)


def test_certificate_leaves_and_page_tell_every_strip(finished):
    shop, begun = finished
    ruler = Ruler(begun.rod.length.m, 493)

    def tables(leaves):
        return [
            one for leaf in leaves for one in leaf.blocks if isinstance(one, Rows) and "strip by strip" in one.title
        ]

    assert tables(vouching.leaves_of(shop, begun, ruler)) == []
    ring = as_read(shop, begun).parts["T1"].ring
    for strip in ring[:2]:
        bend(shop, begun, ("T1", strip), MODULI.get(strip, 30e9))
    (certificate,) = tables(vouching.leaves_of(shop, begun, ruler))
    assert len(certificate.rows) == 18
    first = next(row for row in certificate.rows if row[0] == f"T1/S{ring[0]}")
    assert first[1].startswith("bend test ") and first[3].startswith(("+", "-"))
    assert next(row for row in certificate.rows if row[0] == f"T1/S{ring[5]}")[1] == "mean of the strips tested of T1"
    proofs = tables(leaves_of(shop, begun, ruler))
    assert [len(one.rows) for one in proofs] == [12, 12]


def test_the_verb_names_the_strip(finished, capsys):
    shop, begun = finished
    there = ("--shop", str(shop.file))
    drops = [one for w in (0.01, 0.02) for one in ("--drop", f"{w} lb = {drop(31e9, w):.6f} in")]
    bar = ("--bar", "10 in", "--strip", f"{HEIGHT} in", "--to", "0.001 in", *drops, *there)
    assert main(["modulus", "R1", "--of", "T1/S2", *bar]) == 0
    assert "one strip of a section does not tell" in capsys.readouterr().out.lower()
    assert main(["modulus", "R1", "--of", "T1/S3", *bar, "--json"]) == 0
    told = json.loads(capsys.readouterr().out)
    assert told["strips"][0]["section"] == "T1" and len(told["strips"]) == 18
    assert main(["modulus", "R1", *there]) == 0
    out = capsys.readouterr().out
    assert "The cane, strip by strip: " in out and "T1/S3, strip 0.0625 in high" in out
    assert main(["proof", "R1", "--draws", "200", *there]) == 0
    out = capsys.readouterr().out
    assert "The cane, strip by strip: " in out and "of 6 strips of T1 were bent by themselves" in out
    assert main(["explain", "R1", "T1/S3:modulus", *there]) == 0
    assert "its share of the rod's" in capsys.readouterr().out
    before = len(kept_tests(shop, begun))
    for wrong, words in (
        (("--of", "T1/S99", *bar), "strip"),
        (("--of", "nowhere", *bar), "names no strip of R1"),
        (("--of", "T1/S3", "--drop", "1 oz = 3 in", "--to", "1/16 in", *there), "is not told of"),
        (("--of", "T1/S3", "--culm", "K1", *bar), "culm"),
    ):
        assert main(["modulus", "R1", *wrong]) == 2
        assert words in capsys.readouterr().err
    assert len(kept_tests(shop, begun)) == before


def test_swings_and_strips_without_readings(shop, begun):
    """No strip read yet: the rod is taken as drawn, strips and swings still come together."""
    keep_rate(shop, begun, 30, 17.6)
    for strip, E in MODULI.items():
        bend(shop, begun, ("B", strip), E)
    found = modulus(shop, begun)
    assert len(found.tests) == 7 and len(found.strips) == 18
    assert any("taken as drawn" in note for note in found.notes)


def test_tests_are_called_by_the_order_they_were_kept(shop, begun, tmp_path):
    """1, 2, 3 as kept; one taken back keeps its number; another rod's has its own, with its rod's code."""
    culm = add_culm(shop, "K9")
    add_strip(shop, "K9-1", begun.revision.rod, "T1", 1, culm=culm.id)
    for strip in (1, 2, 3):
        bend(shop, begun, ("T1", strip), 30e9)
    take_back(shop, begun, 2, "slipped")
    keep_rate(shop, begun, 30, 17.6)
    assert list(own_tests(shop, begun)) == [1, 3, 4]
    assert modulus(shop, begun).numbers == ("1", "3", "4")
    with pytest.raises(BadInput, match="no bend test 2 of R1") as fault:
        take_back(shop, begun, 2, "again")
    assert "its tests are 1, 3, 4" in fault.value.remedy
    path = tmp_path / "other.toml"
    path.write_text(rod_text("thrimble-beck").replace("Thrimble Beck", "Second Beck"))
    other = begin(shop, str(path))
    add_strip(shop, "K9-2", other.revision.rod, "T1", 1, culm=culm.id)
    keep_rate(shop, other, 30, 17.6)
    assert modulus(shop, other).numbers == ("1", "1 of R1", "3 of R1")
    take_back(shop, other, 1, "slipped")
    assert list(own_tests(shop, other)) == [] and list(own_tests(shop, begun)) == [1, 3, 4]


def test_tests_that_contradict_tell_no_stiffness(finished, capsys):
    """A count with half its swings forgotten says a quarter of the modulus: neither is believed, nor a mean of both."""
    shop, begun = finished
    builts = rods_read(shop, begun)
    before, said = modulus(shop, begun, *builts), proof(shop, begun, draws=0).sentence
    keep_rate(shop, begun, 20, 23.3)  # it was 40
    wrong = max(own_tests(shop, begun))
    found = modulus(shop, begun, *builts)
    assert found.value is None and found.spread is None and len(found.tests) == 3
    assert f"test {wrong}" in found.contradiction and " against " in found.contradiction
    assert any("no stiffness is told from them until one is taken back" in note for note in found.notes)
    assert modulus_of(shop, begun, *builts) is None
    torn = proof(shop, begun, draws=0)
    assert torn.sentence.startswith("the bend tests contradict one another (")
    assert "with the cane the drawing takes, the strips came out" in torn.sentence
    assert "it bends" not in torn.sentence and "its cane" not in torn.sentence
    assert torn.proof.modulus == begun.rod.cane.modulus.value
    assert any("no stiffness is told from them" in note for note in torn.proof.notes)
    (certificate,) = vouching.leaves_of(shop, begun, Ruler(begun.rod.length.m, 493))
    said_there = [one.text for one in certificate.blocks if isinstance(one, Words)]
    assert sum("With tip" in one and "the bend tests contradict one another (" in one for one in said_there) == 2
    with pytest.raises(AnswerIsNo, match="the bend tests contradict one another"):
        rod_as(shop, begun, Way.MEASURED)
    assert any("contradict" in note for note in rod_as(shop, begun, Way.BUILT).notes)
    explained = explain_kept(shop, begun, Spot.parse("modulus"))
    assert explained.value == begun.rod.cane.modulus.value and any("contradict" in note for note in explained.notes)
    assert main(["modulus", "R1", "--shop", str(shop.file)]) == 0
    out = capsys.readouterr().out
    assert (
        "R1.1: the bend tests contradict one another (" in out and "taken back, with --take-back TEST --why WHY" in out
    )
    assert any("contradict one another" in str(one) for one in cane_measured(shop, begun))
    ring = as_read(shop, begun).parts["T1"].ring
    for strip in ring[:2]:
        bend(shop, begun, ("T1", strip), 31e9)
    both = modulus(shop, begun, *builts)
    assert both.value is None and len(both.strips) == 18
    for one in (*both.strips, *proof(shop, begun, draws=0).proof.strips):
        assert one.modulus == pytest.approx(31e9, rel=1e-4)
    kept = [one for one in own_tests(shop, begun) if one > wrong]
    for number in (wrong, *kept):
        take_back(shop, begun, number, "counted half")
    assert modulus(shop, begun, *builts).value == before.value and proof(shop, begun, draws=0).sentence == said


def test_a_rod_not_read_is_not_said_to_contradict_itself_for_its_section(shop, begun):
    """Drop and count of the finished rod through the drawing of it: a few per cent apart, as its strips are off."""
    keep_rate(shop, begun, 40, 23.3)
    keep_rate(shop, begun, 40, 24.4)  # 9 % of the modulus: more than a count to half a swing explains
    found = modulus(shop, begun)
    assert found.value is not None and found.contradiction == ""
    assert any("the measurements contradict one another" in note for note in found.notes)
    keep_rate(shop, begun, 20, 23.3)
    assert modulus(shop, begun).value is None


def test_a_strip_whose_tests_contradict_counts_as_not_bent(shop, begun):
    for strip in (1, 2, 3):
        bend(shop, begun, ("T1", strip), 30e9)
    bend(shop, begun, ("T1", 3), 45e9)
    found = modulus(shop, begun)
    rows = {(one.section, one.strip): one for one in found.strips}
    assert not rows["T1", 3].tested and rows["T1", 3].modulus == pytest.approx(30e9, rel=1e-4)
    assert found.value == pytest.approx(30e9, rel=1e-4) and found.contradiction == ""
    assert any(note.startswith("T1/S3 counts as not bent") and "bend test 4" in note for note in found.notes)
    take_back(shop, begun, 1, "x")
    take_back(shop, begun, 2, "x")
    assert modulus(shop, begun).value is None  # nothing but a strip that says two things is left


def test_bars_of_a_culm_that_differ_are_one_measurement(shop, begun):
    """Two bars a sixth apart are two pieces of cane, not a mistake: their mean, in doubt by how they differ."""
    for E, depth in ((28e9, 0.1), (33e9, 0.11)):
        bar = Bar("20 in", {"width": "0.25 in", "depth": f"{depth} in"}, Held.BOTH_ENDS)
        down = [w * 20**3 / (48 * E / PSI * 0.25 * depth**3 / 12) for w in (0.5, 1.0)]
        keep_drops(shop, begun, [("0.5 lb", f"{down[0]:.6f} in"), ("1 lb", f"{down[1]:.6f} in")], "0.001 in", bar=bar)
    found = modulus(shop, begun)
    assert found.value == pytest.approx(30.5e9, rel=1e-4) and found.contradiction == ""
    # JCGM 100, 4.2: s over the root of two, by Student's factor for one degree of freedom (12.71/1.96)
    assert found.spread == pytest.approx(5e9 / 2 * 12.706 / 1.95996, rel=0.01)

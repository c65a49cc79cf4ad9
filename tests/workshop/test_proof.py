"""The proof of a rod played on a simulated bench: what was put into strips, scraper and cane is what it says."""

from __future__ import annotations

import json

import pytest

from culmwright.book.leaf import Figure, Rows, Words
from culmwright.book.proof_leaves import figures_table
from culmwright.book.ruler import Ruler
from culmwright.cli.main import main
from culmwright.ledger.readings import current
from culmwright.ledger.records import Cell, Entry
from culmwright.ledger.shop import create_shop
from culmwright.measure.errors import AnswerIsNo, BadInput
from culmwright.measure.lengths import Length
from culmwright.measure.spot import Spot
from culmwright.mechanics.rod_beam import rod_beam
from culmwright.mechanics.statics import Load, bend_beam
from culmwright.proof.comparison import Verdict
from culmwright.workshop.checking import check
from culmwright.workshop.flats import flats_words, keep_flats
from culmwright.workshop.flexing import Bar, Held, as_measured, keep_drops, keep_rate, modulus, modulus_of
from culmwright.workshop.opening import begin, find, the_shop
from culmwright.workshop.playing_on import MODULUS, play_on
from culmwright.workshop.proving import as_read, leaves_of, proof, state_of, tips_read
from culmwright.workshop.starting import rod_text


@pytest.fixture(scope="module")
def played(tmp_path_factory):
    """A shop in which the demo's main rod was finished, glued, measured and bent; and what it really is."""
    folder = tmp_path_factory.mktemp("played")
    file, rod = folder / "shop.sqlite", folder / "rod.toml"
    rod.write_text(rod_text("thrimble-beck"))
    with create_shop(file) as shop:
        begun = begin(shop, str(rod))
        truth = play_on(shop, begun)
    return file, truth


@pytest.fixture
def bench(played):
    with the_shop(played[0], write=False) as shop:
        yield shop, find(shop, "R1"), played[1]


@pytest.mark.parametrize("tip", [1, 2])
def test_the_proof_says_what_was_put_in(bench, tip):
    """Truth within the stated 95 % for the whole rod; single stations within three spreads, one in 400 beyond."""
    shop, begun, truth = bench
    found = proof(shop, begun, tip, draws=2000).proof
    true = truth.rods[tip]
    beam, drop = rod_beam(true, tip), found.figure("drop")
    assert drop.low <= bend_beam(beam, Load(found.load)).tip_drop <= drop.high
    stiff = true.cane.modulus.value / begun.rod.cane.modulus.value
    butt = found.figure("butt half")
    near = [one for one in found.stations if one.section == "B" and one.ahead]
    sections = {section.name: section for section in true.assembled(tip)}
    cane = {one.section: one for one in true.along}["B"]
    shares = dict(zip((round(one.m, 6) for one in cane.stations), cane.shares, strict=True))
    mean = sum(
        shares[round(one.station, 6)] * (sections["B"].taper.at(one.station) / one.across.drawn) ** 4 for one in near
    ) / len(near)
    assert butt.low <= stiff * mean <= butt.high  # the mean of the stations, near enough the bend's own: spread 2 %
    put_in = dict(zip(truth.cane.strips, truth.cane.shares, strict=True))
    assert {(one.section, one.strip) for one in found.strips} <= set(put_in)
    for one in found.strips:
        assert abs(one.modulus - MODULUS * put_in[one.section, one.strip]) < 3 * one.spread
    for one in found.stations:
        there = sections[one.section].taper.at(one.station)
        assert abs(one.across.built - there) < 3 * one.across.spread + 1e-6


def mean_cane(truth, section):
    """What was put into the strips of a section's ring, in the mean, to the drawing's 30 GPa."""
    put_in = zip(truth.cane.strips, truth.cane.shares, strict=True)
    shares = [share for (name, _), share in put_in if name == section]
    return sum(shares) / len(shares) * MODULUS / 30e9


def test_the_sentence_names_what_was_done_to_it(bench):
    shop, begun, truth = bench
    said = proof(shop, begun).sentence
    assert "stiffer in the lower half" in said  # the butt's strips were left over
    assert "station 25 is " in said and " thou thin" in said  # the form lay too shallow there
    cane = proof(shop, begun).proof.figure("butt cane")  # 30.3 GPa were put in, strips unlike
    assert "; its cane is " in said and " the 4.35 Mpsi the drawing says" in said
    assert cane.low <= mean_cane(truth, "B") <= cane.high
    assert proof(shop, begun).proof.figure("lines").verdict is Verdict.SAME


def test_the_modulus_is_that_of_the_invented_cane(bench):
    shop, begun, _ = bench
    found = modulus(shop, begun, as_read(shop, begun))
    assert abs(found.value - MODULUS) < 1.96 * found.spread
    assert found.spread < 0.04 * MODULUS
    assert [one.how for one in found.tests[-2:]] == ["the finished rod's drop", "the rate it swings at"]
    assert len(found.tests) == 14 and found.contradiction == ""
    assert not any("contradict" in note or "farther from" in note for note in found.notes)
    stated = modulus_of(shop, begun)
    assert stated.source.startswith("measured: ")
    assert as_measured(shop, begun).cane.modulus == stated


def test_leaves_for_book_and_page(bench):
    shop, begun, _ = bench
    leaves = leaves_of(shop, begun, Ruler(begun.rod.length.m, 493))
    assert [leaf.title for leaf in leaves] == [
        "Proof, tip 1",
        "Proof, tip 1, by station",
        "Proof, tip 2",
        "Proof, tip 2, by station",
    ]
    first = leaves[0].blocks
    assert isinstance(first[0], Words) and first[0].strong and first[0].text.endswith(".")
    pictures = [one for one in first if isinstance(one, Figure)]
    assert len(pictures) == 2 and all(one.svg.startswith("<svg") and one.alt for one in pictures)
    across = next(one for one in leaves[1].blocks if isinstance(one, Rows))
    assert [row[0] for row in across.rows] == [str(5 * i) for i in (*range(10), *range(9, 19))]
    assert all(len(row) == len(across.heads) == 9 for row in across.rows)
    assert tips_read(shop, begun) == (1, 2) and state_of(shop, begun) == "done"


def test_the_verbs(played, capsys, monkeypatch):
    monkeypatch.setenv("CULMWRIGHT_SHOP", str(played[0]))
    assert main(["proof", "R1", "--draws", "500"]) == 0
    words = capsys.readouterr().out
    assert "stiffer in the lower half" in words and "500 rods were drawn" in words
    assert main(["proof", "R1", "--draws", "500", "--tip", "2", "--json"]) == 0
    told = json.loads(capsys.readouterr().out)
    assert told["code"] == "R1.1" and told["proof"]["tip"] == 2
    assert told["proof"]["stations"][5]["across"]["unit"] == "m"
    assert main(["modulus", "R1", "--json"]) == 0
    assert json.loads(capsys.readouterr().out)["value_pa"] == pytest.approx(MODULUS, rel=0.04)
    assert main(["modulus", "R1"]) == 0
    assert "Mpsi (95 of 100); the rod file takes 4.35 Mpsi" in capsys.readouterr().out
    assert main(["proof", "R1", "--tip", "3"]) == 2
    assert main(["proof", "R1", "--draws", "5"]) == 2
    assert main(["modulus", "R1", "--drop", "1 oz = 3 in"]) == 2
    assert "how finely" in capsys.readouterr().err


def test_nothing_finished_is_no_proof(shop, begun):
    with pytest.raises(AnswerIsNo, match="no strip of T1 or B was read when finished"):
        proof(shop, begun)
    with pytest.raises(AnswerIsNo, match="no bend test"):
        modulus(shop, begun)
    assert leaves_of(shop, begun, Ruler(begun.rod.length.m, 493)) == ()
    assert state_of(shop, begun) == "none"
    assert modulus_of(shop, begun) is None and as_measured(shop, begun) is begun.rod


def test_half_a_rod_is_half_a_proof(shop, begun):
    """Only the butt read, in its second pass; the first pass does not count any more."""
    butt = begun.rod.assembled()[-1]
    zero = begun.rod.bench.block_zero.m
    from culmwright.bench.targets import target
    from culmwright.ledger.readings import append

    for cut, over in ((1, 4e-6), (2, 1e-6)):
        for station in butt.stations:
            for strip in range(1, 7):
                value = Length.parse(f"{(target(begun.rod, butt, station).height + over + zero) * 1e3:.6f} mm")
                cell = Cell(begun.revision.id, "B", station, "finish", cut, strip)
                append(shop, Entry.measured(cell, value, wet=False))
    built = as_read(shop, begun)
    assert built.faces[built.measured] - built.drawn[built.measured][:, None] == pytest.approx(1e-6, abs=2e-9)
    assert any("T1 is taken as drawn" in note for note in built.notes)
    assert proof(shop, begun, draws=0).sentence.endswith("; T1 is taken as drawn, not read")
    assert tips_read(shop, begun) == (1,) and state_of(shop, begun) == "half"
    tip = begun.rod.assembled()[0]
    cell = Cell(begun.revision.id, "T1", tip.stations[0], "finish", 1, 1)
    append(shop, Entry.measured(cell, Length.parse("0.29 in"), wet=False))
    assert any("strip S1 of T1 was read at 1 of 10 stations" in note for note in as_read(shop, begun).notes)


@pytest.mark.parametrize("thin", ["nowhere", "butt", "grip"])
@pytest.mark.parametrize("name", ["T1", "B"])
def test_a_greatest_stress_where_nothing_was_read_is_told_as_drawn(shop, rod_path, name, thin):
    """Where it is, the trade's own stress check says: the same method, by another way. In the grip none is told."""
    other = {"nowhere": ("0.231,", "0.231,"), "butt": ("0.231,", "0.211,"), "grip": ("0.275, 0.275,", "0.275, 0.200,")}
    rod_path.write_text(rod_path.read_text().replace(*other[thin]))
    begun = begin(shop, str(rod_path))
    from culmwright.bench.targets import target
    from culmwright.ledger.readings import append

    rod, zero = begun.rod, begun.rod.bench.block_zero.m
    section = next(one for one in rod.assembled() if one.name == name)
    for station in section.stations:
        for strip in range(1, 7):
            value = Length.parse(f"{(target(rod, section, station).height + zero) * 1e3:.6f} mm")
            append(shop, Entry.measured(Cell(begun.revision.id, name, station, "finish", 1, strip), value, wet=False))
    ahead = [one for one in check(rod).stations if one.station <= rod.length.m - rod.grip.m]
    most = max(ahead, key=lambda one: one.stress).station
    there = next(one.name for one in rod.assembled() if one.stations[0].m <= most <= one.stations[-1].m)
    rows = {row[0]: row for row in figures_table(proof(shop, begun, draws=200).proof, rod.display).rows}
    drawn, built, doubt, said = rows["greatest stress at a station"][1:]
    assert abs(float(drawn.split()[0]) - float(built.split()[0])) <= 0.02 * float(drawn.split()[0])
    assert there == ("B" if thin == "butt" else "T1")
    if name == there:
        assert doubt != "–" and said in ("within doubt", "higher", "lower")
    else:
        assert (doubt, said) == ("–", f"in {there}, not read: as drawn there")


def test_flats_are_kept_and_replaced(shop, begun):
    spot = Spot.parse("T1@25in")
    keep_flats(shop, begun, spot, ("0.1251", "0.1252", "0.1253"))
    keep_flats(shop, begun, spot, ("0.1249", "0.1252", "0.1253"))
    stand = [one.entry for one in current(shop, begun.revision.id)]
    assert [(one.cell.face, str(one.value)) for one in stand] == [
        (1, "0.1249 in"),
        (2, "0.1252 in"),
        (3, "0.1253 in"),
    ]
    mean = 0.12513  # of the three; 0.1290 over varnish is drawn there, 0.0020 over each flat: 0.1250 before it
    told = flats_words(begun, spot, ("0.1249", "0.1252", "0.1253"))
    by = f"{(mean - 0.125) * 1e3:.1f} thou over the 0.1250 in"
    assert told == f"T1@25in: flats 0.1249, 0.1252, 0.1253, in the mean {by} of the drawing before varnish"
    assert "in the mean 4.0 thou over" in flats_words(begun, spot, ("0.1290",) * 3)  # read over varnish: seen at once
    for where, values, words in (
        ("T1@26in", ("0.125",) * 3, "no station of a section"),
        ("T1/S1@25in", ("0.125",) * 3, "no station of a section"),
        ("T1@25in", ("0.125",) * 2, "is read 3 ways"),
        ("T1@25in", ("0.125", "0.125", "1.25"), "far from the 0.1250 in bare"),
    ):
        with pytest.raises(BadInput, match=words):
            keep_flats(shop, begun, Spot.parse(where), values)
    assert len(current(shop, begun.revision.id)) == 3


def test_bend_tests_are_kept_as_typed(shop, begun):
    """A bar of 0.25 by 0.1 in on supports 20 in apart: ``E = P L^3/(48 I d)``, worked out by hand in inches."""
    bar = Bar("20 in", {"width": "0.25 in", "depth": "0.1 in"}, Held.BOTH_ENDS)
    keep_drops(shop, begun, [("0.5 lb", "0.913 in"), ("1 lb", "1.826 in")], "1/64 in", bar=bar)
    inertia = 0.25 * 0.1**3 / 12
    by_hand = 0.5 * 20**3 / (48 * inertia * 0.913)  # psi
    (found,) = modulus(shop, begun).tests
    assert found.value / 6894.757293168 == pytest.approx(by_hand, rel=1e-6)
    strip = Bar("20 in", {"height": "0.12 in", "apex": "60 deg"}, Held.ONE_END)
    with pytest.raises(BadInput, match="no cane has"):
        keep_drops(shop, begun, [("0.5 lb", "0.001 in"), ("1 lb", "0.002 in")], "1/64 in", bar=strip)
    with pytest.raises(BadInput, match="no culm K99"):
        keep_drops(
            shop, begun, [("1 lb", "1 in"), ("2 lb", "2 in")], "1/64 in", bar=Bar("20 in", {}, Held.ONE_END, "K99")
        )
    with pytest.raises(BadInput, match="swings and seconds"):
        keep_rate(shop, begun, 0, 10)
    assert len(modulus(shop, begun).tests) == 1

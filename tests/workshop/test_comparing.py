"""Two rods side by side: figures are those of each alone, and the words say what the figures do."""

from __future__ import annotations

import json
import re
from dataclasses import replace

import pytest

from culmwright.book.ruler import Ruler
from culmwright.cli.main import main
from culmwright.design.rod_file import rod_from_text
from culmwright.measure.display import INCH_DISPLAY, METRIC_DISPLAY
from culmwright.workshop.behaving import rod_leaves
from culmwright.workshop.bending import bend
from culmwright.workshop.bouncing import bounce
from culmwright.workshop.checking import check
from culmwright.workshop.comparing import beside, beside_of
from culmwright.workshop.starting import rod_text

OUNCE = INCH_DISPLAY.load.si
THRIMBLE = rod_text("thrimble-beck")


def rod(text=THRIMBLE):
    return rod_from_text(text)


def softer():
    """The same rod of cane a tenth softer: every drop and every rate known from the stiffer one's."""
    return rod(THRIMBLE.replace('modulus = "30 GPa"', 'modulus = "27 GPa"').replace("revision = 3", "revision = 4"))


def tips_that_differ():
    text = rod_text("pellamere-brook").replace("tips = 1", "tips = 2")
    for more in (0.0, 0.25):
        across = ", ".join(f"{one + more:.2f}" for one in (1.9, 2.24, 2.76, 3.12, 3.44, 3.76, 4.12))
        text += f"[[tip]]\nstations = [0, 125, 250, 375, 500, 625, 750]\nacross = [{across}]\n"
    return rod(text)


def test_figures_are_those_of_each_alone():
    one, other = rod(), rod(rod_text("ossel-burn"))
    found = beside(one, other, 2 * OUNCE)
    assert found.bends == (bend(one, 2 * OUNCE), bend(other, 2 * OUNCE))
    assert found.bounces == (bounce(one), bounce(other))
    for row in found.drops:
        for got, of, limit in ((row.drop, one, found.bends[0]), (row.other_drop, other, found.bends[1])):
            if row.load > limit.limit_load:
                assert got is None
            else:
                assert got == pytest.approx(bend(of, row.load).tip_drop, abs=1e-6)
    assert found.drops[-1].load == pytest.approx(max(each.limit_load for each in found.bends))


def test_softer_cane_swings_as_the_root_of_its_modulus():
    """f ~ sqrt(E) with the same mass: sqrt(1/0.9) = 1.054, in words 5% quicker."""
    found = beside(rod(), softer(), 2 * OUNCE)
    rates = [each.modes[0].frequency for each in found.bounces]
    assert rates[0] / rates[1] == pytest.approx((1 / 0.9) ** 0.5, rel=1e-9)
    said = " ".join(found.words)
    assert "revision 3 is 5% quicker" in said
    assert "revision 4 gives" in said
    assert "two different moduli" in said
    assert "common practice, no source" in said


def test_alike_is_called_alike():
    twin = rod(THRIMBLE.replace("revision = 3", "revision = 4"))
    found = beside(rod(), twin, 2 * OUNCE)
    assert sum("alike" in word for word in found.words) == 4  # drop, half-way place, stress, rate
    assert not any("quicker hand" in word for word in found.words)
    assert not any("moduli" in word for word in found.words)


def test_the_rod_that_bends_in_its_tip_is_named():
    """A thin tip and a thick butt against the reverse: the half-way place says which is which, and so do the words."""
    stations = "[0, 45, 90]"
    bodies = {"a": "[0.05, 0.14, 0.34]", "b": "[0.09, 0.15, 0.22]"}
    plain = (
        'culmwright = 1\nunits = "inch"\n[rod]\nname = "{0}"\nsides = 6\nlength = 90\npieces = 1\ntips = 1\n'
        "[taper]\nstations = {1}\nacross = {2}\n"
    )
    one, other = (rod(plain.format(name, stations, across)) for name, across in bodies.items())
    found = beside(one, other, OUNCE)
    assert found.bends[0].half_station < found.bends[1].half_station
    assert any("a bends more in its tip, b works farther down" in word for word in found.words)


def test_masses_and_lengths_are_said():
    one, other = rod(), rod(rod_text("ossel-burn"))
    found = beside(one, other, OUNCE)
    assert found.free_lengths == (one.length.m - one.grip.m, other.length.m - other.grip.m)
    assert any("the longer one" in word for word in found.words)
    for mass in found.masses:
        assert any(INCH_DISPLAY.mass(mass) in word for word in found.words)


def test_without_a_grip_they_weigh_what_check_says():
    one = rod(THRIMBLE.replace('grip = "10 in"', 'grip = "0 in"'))
    assert one.grip.m == 0
    assert beside(one, softer(), OUNCE).masses[0] == pytest.approx(check(one).mass, rel=1e-12)


def test_leaves_hold_what_the_figures_say_at_any_width():
    one, other = rod(), rod(rod_text("ossel-burn"))
    for width in (358, 493, 952):
        shapes, more = beside_of(one, other, one.display, Ruler(one.length.m, width))
        assert shapes.title == f"How this rod behaves beside {other.name}"
        pictures = [each.svg for leaf in (shapes, more) for each in leaf.blocks if hasattr(each, "svg")]
        assert len(pictures) == 3
        for picture in pictures:
            assert float(re.search(r'width="([\d.]+)"', picture).group(1)) == pytest.approx(width, abs=1)
        assert 'stroke-dasharray="6 3"' in pictures[0]
        drops, modes = (block for block in more.blocks if hasattr(block, "heads"))
        assert drops.rows[1][1:] == tuple(INCH_DISPLAY.near(bend(each, OUNCE).tip_drop) for each in (one, other))
        assert modes.rows[0][1:] == tuple(f"{bounce(each).modes[0].frequency:.2f}" for each in (one, other))


def test_tips_that_differ_have_leaves_of_their_own():
    one = tips_that_differ()
    ruler = Ruler(one.length.m, 493)
    titles = [leaf.title for leaf in rod_leaves(one, METRIC_DISPLAY, ruler)]
    assert titles == [
        f"{title}, tip T{tip}" for tip in (1, 2) for title in ("How it bends", "How the cane works, and how it swings")
    ]
    rates = []
    for leaf in rod_leaves(one, METRIC_DISPLAY, ruler)[1::2]:
        rates.append(next(block.rows[0][1] for block in leaf.blocks if hasattr(block, "heads")))
    assert rates == [f"{bounce(one, tip=tip).modes[0].frequency:.2f}" for tip in (1, 2)]
    assert rates[0] != rates[1]
    assert rod_leaves(rod(), INCH_DISPLAY, ruler)[0].title == "How it bends"
    beside_titles = [leaf.title for leaf in beside_of(one, rod(), METRIC_DISPLAY, ruler)]
    assert len(beside_titles) == 4
    assert beside_titles[2].endswith("tip T2")


def test_a_load_that_eases_the_tip_is_said():
    """Under 4 oz the stress near the tip is less than under 2 oz, as ``bend`` itself finds."""
    one = rod()
    (leaf, _) = rod_leaves(one, INCH_DISPLAY, Ruler(one.length.m, 493))
    said = leaf.blocks[-1].text
    within = float(
        re.search(r"Within ([\d.]+) in of the tip the cane works less under 4 oz than under 2 oz", said).group(1)
    )
    four, two = (bend(one, load * OUNCE).shape for load in (4, 2))
    eased = [four.s[-1] - s for s, a, b in zip(four.s, four.stress, two.stress, strict=True) if a < b]
    assert max(eased) / 0.0254 == pytest.approx(within, abs=0.05)
    assert 10 < within < 40


def test_the_command(tmp_path, capsys):
    a, b = tmp_path / "a.toml", tmp_path / "b.toml"
    a.write_text(THRIMBLE)
    b.write_text(rod_text("ossel-burn"))
    assert main(["bend", str(a), "--load", "2 oz", "--beside", str(b), "--json"]) == 0
    found = json.loads(capsys.readouterr().out)
    assert [each["name"] for each in found["bends"]] == [rod().name, rod(rod_text("ossel-burn")).name]
    assert found["drops"][0]["load_n"] == 0
    assert main(["bend", str(a), "--load", "2 oz", "--beside", str(b)]) == 0
    assert "swings" in capsys.readouterr().out
    assert main(["bend", str(a), "--load", "2 oz", "--beside", str(a)]) == 2
    assert "the same rod" in capsys.readouterr().err
    assert main(["bend", str(a), "--load", "2 oz", "--beside", str(b), "--attitude", "30"]) == 2
    assert "side by side level" in capsys.readouterr().err


def test_guides_from_the_command(tmp_path, capsys):
    a = tmp_path / "a.toml"
    a.write_text(THRIMBLE)
    assert main(["guides", str(a), "--load", "0.5 N", "--json"]) == 0
    found = json.loads(capsys.readouterr().out)
    assert [way["way"] for way in found["ways"]] == [
        "as listed",
        "common practice",
        "even turn",
        "even turn, to mark out",
    ]
    assert len(found["ways"][0]["stations_m"]) == len(found["ways"][0]["turns_rad"]) == 10
    assert main(["guides", str(a)]) == 0
    assert "common practice" in capsys.readouterr().out
    assert main(["guides", str(a), "--load", "40 N"]) == 1
    assert main(["guides", str(a), "--load", "0 N"]) == 2


def test_rods_of_one_name_are_told_apart():
    one = rod()
    assert beside(one, replace(softer(), revision=3), OUNCE).words[0].count(one.code) == 1

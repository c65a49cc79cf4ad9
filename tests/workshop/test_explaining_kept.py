"""``explain`` of what a shop keeps: the ladder ends in the figure its page shows. All of it is invented."""

from __future__ import annotations

import json
from dataclasses import replace
from datetime import UTC, datetime, timedelta

import pytest

from culmwright.book.leaf import Ladder, for_press
from culmwright.book.ruler import Ruler
from culmwright.book.water_leaves import cold_day
from culmwright.cli.main import main
from culmwright.ledger.dockets import dockets, keep_docket
from culmwright.ledger.shop import create_shop
from culmwright.measure.errors import BadInput
from culmwright.measure.quantities import CELSIUS
from culmwright.measure.spot import Spot
from culmwright.rigs.rig_file import rig_from_text
from culmwright.rigs.thermal import joint_of
from culmwright.workshop import fit_kept, gauging, gluing, layouts_kept, setting_kept, water_kept
from culmwright.workshop.drying_play import show_drying
from culmwright.workshop.explaining_kept import explain_kept
from culmwright.workshop.flats import check_flats
from culmwright.workshop.gauging import show_gauges
from culmwright.workshop.gluing import Glue, glue
from culmwright.workshop.heating import OvenAsked, keep_plan, plan_kept
from culmwright.workshop.layouts_kept import culms_of, show_layout
from culmwright.workshop.opening import begin
from culmwright.workshop.setting_kept import settings_kept, show_rigs
from culmwright.workshop.starting import rod_text, shop_rig_text

AT = datetime(2026, 11, 19, 8, tzinfo=UTC)
EPOXY = Glue("slow epoxy", "B7", 3600.0, 296.15, 86_400.0)
OVEN = OvenAsked(("250 F for 30 min", "330 F for 8 min"), 0.006, 6, True, False, 463.0, 294.0, 0.5, 0.0)


@pytest.fixture(scope="module")
def full(tmp_path_factory):
    """A shop that keeps something of every kind, a rod of it, and its file."""
    from culmwright.ledger.register import add_gauge

    folder = tmp_path_factory.mktemp("full")
    (folder / "rod.toml").write_text(rod_text("thrimble-beck"))
    with create_shop(folder / "shop.sqlite") as shop:
        begun = begin(shop, str(folder / "rod.toml"))
        show_layout(shop, begun, AT)
        show_drying(shop, begun, AT + timedelta(days=3))
        keep_plan(shop, begun, OVEN)
        show_rigs(shop, begun, AT)
        add_gauge(shop, "G1", "in")
        show_gauges(shop, AT, begun.rod.display)
        glue(shop, begun, "T1", EPOXY, bench=296.15, bound=AT - timedelta(days=1))  # that went wrong
        bound = AT + timedelta(minutes=25)
        glue(shop, begun, "T1", EPOXY, bench=306.15, mixed=AT, bound=bound, again="opened with heat")
        glue(shop, begun, "B", replace(EPOXY, pot_life=None), bound=AT + timedelta(hours=2))
        yield shop, begun, folder / "shop.sqlite"


@pytest.fixture
def asked(full):
    shop, begun, _ = full
    return lambda spot: explain_kept(shop, begun, Spot.parse(spot))


def ends(found):
    """Both ends of what an explanation ends in, which has to be its last rung."""
    last = found.ladder[-1]
    assert (last.value, last.unit, last.within) == (found.value, found.unit, found.within)
    return (found.value, found.value) if found.within is None else (found.within.low, found.within.high)


def test_when_a_bundle_is_dry(full, asked):
    shop, begun, _ = full
    for one in water_kept.drying_kept(shop, begun):
        fit, name = one.fit, one.bundle
        assert ends(asked(f"{name}:rest")) == (one.settled.spread.low, one.settled.spread.high)
        assert ends(asked(f"{name}:settles")) == (fit.settles.low, fit.settles.high)
        assert ends(asked(f"{name}:weigh_for")) == (fit.target_mass.low, fit.target_mass.high)
        assert ends(asked(f"{name}:moisture")) == (fit.moisture.low, fit.moisture.high)
        assert ends(asked(f"{name}:ready")) == (fit.ready.low, fit.ready.high)
        assert ends(asked(f"R1/{name}:dry_in"))[0] == max(fit.likely - one.weighings[-1].time, 0.0)
    assert asked("T1:moisture").also == ("rest", "settles", "weigh_for", "ready", "dry_in")


def test_masses_are_shown_as_the_scale_showed_them(full, asked):
    _, begun, _ = full
    found = asked("T1:weigh_for")
    shown = dict(zip((one.step for one in found.ladder), found.figures(begun.rod.display), strict=True))
    assert (
        shown["mass at last"]
        == next(one.rule for one in found.ladder if one.step == "mass at last").split("weighed ")[1]
    )


def test_the_oven_plan(full, asked):
    shop, begun, _ = full
    plan = plan_kept(shop, begun)
    assert ends(asked("heat")) == (plan.whole.low, plan.whole.high)
    for number, step in enumerate(plan.steps, 1):
        assert ends(asked(f"heat/{number}")) == (step.in_oven.low, step.in_oven.high)
        assert ends(asked(f"heat/{number}:lag")) == (step.behind.low, step.behind.high)
        assert ends(asked(f"heat/{number}:rest")) == (step.settled.spread.low, step.settled.spread.high)
    assert asked("heat/2").ladder[1].value == pytest.approx(CELSIUS[1] + (250 - 32) / 1.8)  # from the step before


def test_the_fit_of_an_insert_as_its_sheet_has_it(full, asked):
    _, begun, _ = full
    fit = cold_day(joint_of(rig_from_text(shop_rig_text("quiet-bed"))), begun.rod.display)
    assert fit.joint.made_at - fit.now == pytest.approx(10 / 1.8)
    for number, screw in enumerate(fit.screws, 1):
        assert ends(asked(f"fit/quiet bed/A{number}")) == (screw.error.low, screw.error.high)
    assert ends(asked("fit/Quiet bed")) == (fit.furthest.error.low, fit.furthest.error.high)
    assert ends(asked("fit/Quiet bed:bring_to")) == (fit.bring_to.low, fit.bring_to.high)


def test_cut_list_and_culm(full, asked):
    shop, begun, _ = full
    _, parted = culms_of(shop, begun)
    for laid in layouts_kept.layouts_kept(shop, begun):
        for line, number in enumerate(laid.ring, 1):
            cut = laid.cuts[number]
            spot = f"{laid.section}/C{line}"
            assert [ends(asked(f"{spot}:{name}"))[0] for name in ("off_butt", "off_tip", "long")] == [
                cut.from_butt,
                cut.from_tip,
                cut.length,
            ]
    for need in parted.needs:
        assert ends(asked(f"{need.section}:width"))[0] == need.width
    assert {asked(f"{need.section}:strips").value for need in parted.needs} <= {one.strips for one in parted.lengths}
    figures = asked("T1/C1:off_tip").figures(begun.rod.display)
    assert all(one.partition(".")[2].endswith(" in") and len(one.partition(".")[2]) == 5 for one in figures)  # 4.25 in


def test_every_adjuster(full, asked):
    shop, begun, _ = full
    for found, _ in settings_kept(shop, begun):
        for one in found.adjusters:
            told = asked(f"{found.section}/A{one.number}")
            assert ends(told)[0] == one.turn
            assert found.turned(one.turn) in told.notes[0]


def test_a_study_and_the_glue(full, asked):
    shop, _, _ = full
    kept = json.loads(dockets(shop, gauging.STUDY)[-1].text)
    for name in ("share", "repeatability", "reproducibility"):
        assert ends(asked(f"study/g1:{name}"))[0] == kept[name]
    assert ends(asked("T1:workable")) == (pytest.approx(1200.0), pytest.approx(1800.0))  # 60 min, 10 K warmer, by hand
    assert asked("T1@25in").quantity == "height"
    assert asked("modulus").ladder[-1].value == 30e9


REFUSED = [
    ("T9:dry_in", "this rod has no section T9"),
    ("T1:nothing", "no station is named"),
    ("T1/C7", "its cut list has 6 lines"),
    ("T1/A99", "Long form has 13 adjusters"),
    ("T2:workable", "T2 is not glued yet"),
    ("B:workable", "this glue-up does not say its pot life"),
    ("heat/3", "the oven plan has 2 steps, no step 3"),
    ("heat/x", "the oven plan has 2 steps, no step x"),
    ("heat/1:nothing", 'there is no "nothing" here'),
    ("fit", "there is no such bed with an insert"),
    ("fit/Long form", "there is no such bed with an insert"),
    ("fit/Quiet bed/A99", "this bed has"),
    ("study/G9", "there is no study of such a gauge"),
    ("R9/heat", "this drawing is"),
]


@pytest.mark.parametrize(("spot", "sentence"), REFUSED)
def test_what_is_not_there_is_said(asked, spot, sentence):
    with pytest.raises(BadInput) as refused:
        asked(spot)
    assert sentence in refused.value.what
    assert refused.value.remedy


EMPTY = ("T1:dry_in", "T1:width", "T1/C1", "T1/A1", "T1:workable", "heat", "fit/Quiet bed", "study/G1")


@pytest.mark.parametrize("spot", EMPTY)
def test_an_empty_shop_says_how_to_come_by_it(shop, begun, rod_path, spot):
    with pytest.raises(BadInput) as refused:
        explain_kept(shop, begun, Spot.parse(spot))
    assert refused.value.remedy
    assert main(["explain", str(rod_path), spot]) == 2


def test_a_study_kept_before_its_ranges_were_has_none(shop, begun):
    from culmwright.ledger.register import add_gauge

    gauge = add_gauge(shop, "G1", "in")
    said = {
        "gauge": gauge.id,
        "words": "the gauge is good",
        "repeatability": 1e-6,
        "reproducibility": 1e-6,
        "share": 0.1,
    }
    keep_docket(shop, gauging.STUDY, json.dumps(said))
    with pytest.raises(BadInput, match="no study of such a gauge"):
        explain_kept(shop, begun, Spot.parse("study/G1"))
    leaf = gauging.leaves_of(shop, begun, Ruler(begun.rod.length.m, 493.0))[0]
    assert not [one for one in leaf.blocks if isinstance(one, Ladder)]


ROOMS = [
    (water_kept, ("the time to go", "step 2, time in the oven", "its moisture now", "the moisture it settles at")),
    (layouts_kept, ("strips out of K12-butt, and how wide", "; the others alike")),
    (setting_kept, ("the others alike",)),
    (fit_kept, ("the hole furthest off", "what to bring the insert to")),
    (gauging, ("the share of G1",)),
    (gluing, ("how long the glue of T1 stays workable",)),
]


@pytest.mark.parametrize(("room", "titles"), ROOMS, ids=[room.__name__.rpartition(".")[2] for room, _ in ROOMS])
def test_every_sheet_folds_its_working_away_and_paper_leaves_it_out(full, room, titles):
    shop, begun, _ = full
    leaves = room.leaves_of(shop, begun, Ruler(begun.rod.length.m, 493.0))
    folds = [one for leaf in leaves for one in leaf.blocks if isinstance(one, Ladder)]
    for title in titles:
        assert any(one.of.endswith(title) for one in folds), title
    assert all(len(rung) == 4 and all(rung) for one in folds for rung in one.rungs)
    for leaf in leaves:
        printed = for_press(leaf)["blocks"]
        assert len(printed) == len([one for one in leaf.blocks if not isinstance(one, Ladder)])


def test_a_fold_ends_in_the_figure_its_sheet_shows(full):
    shop, begun, _ = full
    ruler = Ruler(begun.rod.length.m, 493.0)
    for room in (water_kept, layouts_kept, fit_kept, gluing):
        for leaf in room.leaves_of(shop, begun, ruler):
            text = json.dumps(for_press(leaf)["blocks"], ensure_ascii=False)
            for fold in (one for one in leaf.blocks if isinstance(one, Ladder)):
                figure = fold.rungs[-1][1]
                if fold.of in ("the time to go", "the hole furthest off"):
                    continue  # shown as a day once it is past; shown as so much short
                assert figure.split()[0].lstrip("-") in text, (leaf.title, fold.of, figure)


def test_the_command_says_it_in_words_and_json(full, capsys):
    *_, file = full
    assert main(["explain", "R1", "T1:workable", "--shop", str(file)]) == 0
    out = capsys.readouterr().out
    assert out.startswith("T1:workable: pot life at the bench is 20 min to 30 min.\n")
    assert "van 't Hoff's rule, 1884 (from memory)" in out
    assert main(["explain", "R1", "heat/2:lag", "--shop", str(file), "--json"]) == 0
    found = json.loads(capsys.readouterr().out)
    assert found["spot"] == "heat/2:lag"
    assert found["within"] == found["ladder"][-1]["within"]
    assert set(found["within"]) == {"low", "high"}
    assert found["value"] == found["within"]["low"]
    assert main(["explain", "R1", "T1/C1:long", "--shop", str(file), "--units", "metric"]) == 0
    assert capsys.readouterr().out.startswith("T1/C1:long: strip as it is cut is 1295.4 mm.\n")  # 45 + 6 in


@pytest.fixture(scope="module")
def pages(full):
    from fastapi.testclient import TestClient

    from culmwright.web.app import create_app, hosts_of

    with TestClient(create_app(full[2], (*hosts_of(80), "127.0.0.1")), base_url="http://127.0.0.1") as opened:
        yield opened


ADDRESSES = [
    ("T1:workable", "20 min to 30 min", '<span class="aside">T1</span>'),
    ("heat/2:lag", "lag of the cane", "step 2 of the oven plan"),
    ("fit/Quiet bed/A3", "below zero: short", "Quiet bed, screw 3"),
    ("study/G1", "GRR/TV", "G1"),
    ("T1/C2:off_tip", "what can be slid", "T1, line 2"),
    ("T1/A3", "opening of the bars", "T1, adjuster 3"),
]


@pytest.mark.parametrize(("spot", "said", "place"), ADDRESSES)
def test_the_address_of_a_number_is_its_page_and_the_api_tells_the_same(full, pages, asked, spot, said, place):
    page = pages.get(f"/R1/{spot}")
    assert page.status_code == 200
    assert said in page.text and place in page.text
    found = asked(spot)
    last = found.figures(full[1].rod.display)[-1]
    assert f'<p class="big">{last}</p>' in page.text
    assert page.text.count('<span class="step">') == len(found.ladder)
    for note in found.notes:
        assert note[1:] in page.text
    sent = pages.get("/api/rods/R1/explain", params={"spot": spot}).json()
    assert sent["value"] == found.value
    assert [one["step"] for one in sent["ladder"]] == [one.step for one in found.ladder]


@pytest.mark.parametrize("path", ["water", "culm", "settings", "glue"])
def test_a_page_folds_its_working_away(pages, path):
    page = pages.get(f"/R1/{path}").text
    assert page.count('<details class="folded"><summary>How it is worked out: ') >= 1
    assert "<details open" not in page.split('<details class="folded">', 1)[1].split("</details>", 1)[0]
    assert page.count('<ol class="ladder">') == page.count("How it is worked out: ")


@pytest.mark.parametrize("spot", ["T1/A3@25in", "T1/C2@25in", "T1/S1@25in"])
def test_flats_are_kept_at_a_station_not_at_an_adjuster_or_a_line(begun, spot):
    with pytest.raises(BadInput, match="is no station of a section"):
        check_flats(begun, Spot.parse(spot), ("0.129", "0.129", "0.129"))

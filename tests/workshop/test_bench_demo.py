"""The simulated bench of the demo: what was put into its strips is what the log, the charts and the verdicts say."""

from __future__ import annotations

import shutil

import pytest

from culmwright.bench.judge import Stage
from culmwright.bench.salvage import WayKind
from culmwright.book.ruler import Ruler
from culmwright.ledger.happenings import passes
from culmwright.ledger.register import gauges
from culmwright.ledger.shop import create_shop, open_shop
from culmwright.measure.display import METRIC_DISPLAY
from culmwright.measure.lengths import Length
from culmwright.rigs.instruments import Instrument
from culmwright.workshop import playing
from culmwright.workshop.gauging import try_gauge
from culmwright.workshop.gluing import Glue, glue
from culmwright.workshop.judging import bench_state
from culmwright.workshop.kept import kept_of, run_words
from culmwright.workshop.noting import walked
from culmwright.workshop.opening import begin, find
from culmwright.workshop.playing import CREEP, play
from culmwright.workshop.starting import rod_text
from culmwright.workshop.telling import log


@pytest.fixture(scope="module")
def day(tmp_path_factory):
    """The file of a shop in which the demo's bench was played once."""
    folder = tmp_path_factory.mktemp("day")
    (folder / "rod.toml").write_text(rod_text("thrimble-beck"))
    with create_shop(folder / "shop.sqlite") as shop:
        play(shop, begin(shop, str(folder / "rod.toml")))
    return folder / "shop.sqlite"


@pytest.fixture
def shop(day, tmp_path):
    shutil.copyfile(day, tmp_path / "shop.sqlite")
    with open_shop(tmp_path / "shop.sqlite") as opened:
        yield opened


@pytest.fixture
def played(shop):
    return find(shop, "R1")


def test_the_bench_finds_what_was_put_into_the_strips(shop, played):
    state = bench_state(shop, played)
    assert len(state.strips) == 21
    assert {one.stage for one in state.strips} == {Stage.ROUGH}

    spoiled = next(one for one in state.strips if (one.section, one.strip) == playing.SPOILED)
    assert spoiled.judgement.sign == "-"
    # 104 thou below the roughed height is about 3 under the finished one: it serves slid, within the 3 in spare
    assert spoiled.ways[0].kind is WayKind.SLID
    assert 0 < spoiled.ways[0].slide <= 3 * 0.0254 + 1e-9
    assert spoiled.ways[-1].kind is WayKind.SCRAPPED
    assert all(not one.ways for one in state.strips if one.judgement.sign != "-")

    runs = {run.section: run for run in state.runs}
    story = runs["B"].story
    assert story is not None
    assert story.since in ("S2", "S3", "S4")
    assert story.size == pytest.approx(CREEP * 4, abs=3 * story.standard_error)
    assert runs["T1"].story is None


def test_a_stop_that_crept_is_told_after_gluing_without_what_to_do(shop, played):
    run = next(run for run in bench_state(shop, played).runs if run.section == "B")
    assert any("Reset it before the next strip" in one for one in run_words(run, played.rod.display))
    glue(shop, played, "B", Glue("two-part glue"))
    run = next(run for run in bench_state(shop, played).runs if run.section == "B")
    assert not run.open
    said = run_words(run, played.rod.display)
    assert any(run.story.words in one for one in said) and not any("Reset" in one for one in said)


def test_the_log_tells_the_day(shop, played):
    story = log(shop, played)
    words = [line.words for line in story.lines]
    assert "drawing frozen as R1.1" in words
    assert next(line for line in words if "frozen" not in line).startswith("soak started, planned ready ")
    assert sum(line.startswith("T1/S3 read at 10 stations, roughing, after pass 10: ") for line in words) == 1
    assert any("taken back (undone at the bench)" in line for line in words)
    assert any("left out (a node lies here)" in line for line in words)
    assert any(line.startswith("drying since ") for line in story.now)
    assert not any("in soak" in line for line in story.now)


def test_the_distance_is_that_of_the_passes_kept(shop, played):
    """Ten pairs for either tip and seven for the butt, as the book plans them, over seven strips of 51 in each."""
    assert walked(shop, played) == pytest.approx((10 + 10 + 7) * 2 * 7 * 51 * 0.0254)


def test_the_passes_of_the_log_bring_the_split_strip_to_its_roughed_height(shop, played):
    """A pair of a flat iron on six sides takes twice its depth; each depth is set down to a tenth of a thou."""
    kept = passes(shop, played.revision.id, section="T1")
    fall = sum(2 * one.entry.depth.m for one in kept)
    assert (0.290 - 0.1335) * 0.0254 - fall == pytest.approx(0, abs=len(kept) * 2 * 2.54e-6)


def test_a_spoiled_strip_stands_apart_from_the_run(shop, played):
    run = next(run for run in bench_state(shop, played).runs if run.section == "T2")
    assert run.apart == ("S5",)
    assert "S5" not in run.labels
    assert run.chart.place.sigma < 3 * playing.STRIP_SCATTER


def test_the_same_seed_plays_the_same_day(shop, played, tmp_path, rod_path):
    with create_shop(tmp_path / "other.sqlite") as other:
        again = begin(other, str(rod_path))
        play(other, again)
        assert [one.judgement.words for one in bench_state(other, again).strips] == [
            one.judgement.words for one in bench_state(shop, played).strips
        ]


def test_the_book_gets_what_was_read(shop, played):
    kept = kept_of(shop, played)
    assert kept.code == "R1"
    assert [one.section for one in kept.bench] == ["T1", "T2", "B"]
    assert any("In B the stop has crept up" in words for words in kept.bench[2].process)


def test_the_leaves_of_a_book_are_in_the_units_asked_for(shop, played):
    """The same trial of a gauge in both: an inch is 25.4 mm exactly (international yard and pound agreement, 1959)."""
    gauge = next(iter(gauges(shop))).name
    try_gauge(shop, gauge, Instrument.CALIPER, Length.parse("0.2500 in"), Length.parse("0.2502 in"))
    ruler = Ruler(played.rod.length.m, 493)
    shown = []
    for show in (None, METRIC_DISPLAY, None):
        leaf = next(one for one in kept_of(shop, played, show).early(ruler) if one.title == "Gauge checks")
        shown.append(next(block.rows[0][4] for block in leaf.blocks if getattr(block, "title", "") == "Tried"))
    assert shown == ["0.2502 in", f"{0.2502 * 25.4:.3f} mm", "0.2502 in"]

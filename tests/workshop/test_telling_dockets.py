"""The log tells what was kept beside readings, passes and events: settings, plans, layouts, orders and tests."""

from __future__ import annotations

import json
from datetime import UTC, datetime, timedelta

import pytest

from culmwright.ledger.dockets import dockets, keep_docket
from culmwright.measure.lengths import Length
from culmwright.workshop import (
    bundles,
    flexing,
    gluing,
    heating,
    judging,
    layouts_kept,
    matching,
    setting_kept,
    strips_laid,
    telling_dockets,
)
from culmwright.workshop.heating import OvenAsked, keep_plan, tallest
from culmwright.workshop.noting import note
from culmwright.workshop.setting_kept import keep_rig, rig_named, set_rig
from culmwright.workshop.starting import Starter
from culmwright.workshop.telling import EventKind, log

DAY = datetime(2026, 10, 5, 9, 0, tzinfo=UTC)


def words(shop, begun, **asked):
    return [line.words for line in log(shop, begun, **asked).lines if "frozen" not in line.words]


def test_settings_are_told_with_rig_section_and_time(shop, begun):
    keep_rig(shop, Starter.FORM.text)
    (name,) = setting_kept.rig_files(shop)
    note(shop, begun, EventKind.HEATED, section="T1", at=DAY + timedelta(days=2))
    tip_end = Length.parse("6.75 in").m
    found = set_rig(shop, begun, rig_named(shop, name), "T1", tip_end=tip_end, at=DAY + timedelta(days=1))
    groove = f", groove {found.grooves[0]}" if found.grooves else ""
    told = [line for line in log(shop, begun).lines if "frozen" not in line.words]
    assert [line.words for line in told] == [
        f"{name} set for finished strips of T1{groove}, its tip end at 6.75 in",
        "heated T1",
    ]
    assert told[0].at.startswith("2026-10-06")
    assert words(shop, begun, section="B") == []
    assert words(shop, begun, section="T1", strip=2) == [line.words for line in told]  # what is done to a section is
    # done to its strips


def test_an_oven_plan_is_told_and_what_was_taken_back_too(shop, begun):
    plan = OvenAsked(
        ("240 F for 45 min", "335 F for 8 min"), tallest(begun.rod), 6, True, False, 463.7, 293.15, 0.45, 0
    )
    keep_plan(shop, begun, plan, at=DAY)
    bundles.keep_weighing(shop, begun, "T1", "104.5 g", at=DAY + timedelta(hours=1))
    bundles.keep_weighing(shop, begun, "T1", "103.5 g", at=DAY + timedelta(hours=12))
    bundles.take_back(shop, begun, "T1", "the scale stood on a shaving")
    assert words(shop, begun) == [
        "oven planned: 240 F for 45 min, then 335 F for 8 min",
        "bundle T1 weighed 104.5 g",
        "bundle T1 weighed 103.5 g (withdrawn later)",
        "bundle T1 weighed 103.5 g: taken back (the scale stood on a shaving)",
    ]


KEPT = [
    ("strip order", {"revision": 1, "ring": [1, 4, 7, 3, 5, 6]}, "strips of T1 to be glued in the order 1 4 7 3 5 6"),
    ("layout", {"culms": [Starter.CULM.text]}, "nodes of T1 laid out, from culm "),
    ("bend test", {"of": "rate", "swings": 40, "seconds": 23.3, "tip": 1}, "swings counted of T1: 40 in 23.3 s"),
    (
        "bend test",
        {"of": "drop", "drops": [["1 oz", "22 5/8 in"], ["2 oz", "31 in"]]},
        "bend test of T1: 1 oz brings it down 22 5/8 in, 2 oz brings it down 31 in",
    ),
    ("coat", {"words": "first, thinned 10%"}, "coat, T1: first, thinned 10%"),
    ("strip order", {"ring": "nonsense"}, "strip order of T1 kept"),  # a program may send in what it likes
    ("oven plan", {}, "oven plan of T1 kept"),
    ("glue-up", {"ring": [1]}, ""),  # its event tells it
]


@pytest.mark.parametrize(("kind", "said", "told"), KEPT)
def test_every_kind_has_its_words(shop, begun, kind, said, told):
    keep_docket(shop, kind, json.dumps(said), rod=begun.revision.rod, section="T1", at=DAY)
    found = words(shop, begun)
    assert (found[0].startswith(told) if told else not found) and len(found) <= 1


def test_a_kind_of_somebodys_own_is_told_by_its_name(shop, begun):
    keep_docket(shop, "silk", "claret, 3 yards", rod=begun.revision.rod, section="B", at=DAY)
    keep_docket(shop, "silk", "of no rod", at=DAY)
    assert words(shop, begun) == ["silk of B kept: claret, 3 yards"]


def test_every_docket_a_rod_has_is_of_a_kind_with_words():
    kinds = {bundles.KIND, flexing.KIND, heating.PLAN, layouts_kept.LAYOUT, matching.KIND, setting_kept.KIND}
    kinds |= {strips_laid.CUT_TO, *(work.kind for work in gluing.Work)}
    assert kinds == set(telling_dockets.WORDS)
    assert {judging.GLUE_UP} == telling_dockets.IN_THE_EVENT


def test_what_is_replaced_is_told_so(shop, begun):
    keep = {"rod": begun.revision.rod, "section": "T1", "at": DAY}
    first = keep_docket(shop, "strip order", json.dumps({"ring": [1, 2, 3, 4, 5, 6]}), **keep)
    keep_docket(
        shop, "strip order", json.dumps({"ring": [2, 1, 3, 4, 5, 6]}), **keep, supersedes=first.seq, why="again"
    )
    assert [one.endswith("(replaced later)") for one in words(shop, begun)] == [True, False]
    assert len(dockets(shop, "strip order")) == 1

"""The stages of the rail: their makers are there; what was seen once is looked up anew when the shop has changed."""

from __future__ import annotations

from importlib import import_module

import pytest

from culmwright.book.ruler import Ruler
from culmwright.ledger.shop import create_shop
from culmwright.workshop.gluing import Glue, glue
from culmwright.workshop.opening import begin
from culmwright.workshop.stages import STAGES, early, late, stage_at
from culmwright.workshop.starting import rod_text

RULER = Ruler(2.286, 493.0)


@pytest.fixture
def shop(tmp_path):
    (tmp_path / "rod.toml").write_text(rod_text("thrimble-beck"))
    with create_shop(tmp_path / "shop.sqlite") as shop:
        yield shop, begin(shop, str(tmp_path / "rod.toml"))


@pytest.mark.parametrize("name", [name for stage in STAGES for name in stage.makers])
def test_every_maker_makes_leaves(name):
    assert callable(import_module(f"culmwright.workshop.{name}").leaves_of)


def test_a_stage_is_seen_anew_when_something_was_added(shop):
    stage = stage_at("glue")
    assert (stage.state(*shop), stage.leaves(*shop, RULER)) == ("none", ())
    glue(*shop, "T1", Glue("slow epoxy"))
    assert stage.state(*shop) == "half"
    (leaf,) = stage.leaves(*shop, RULER)
    glue(*shop, "B", Glue("other glue"))
    (after,) = stage.leaves(*shop, RULER)
    assert len(after.blocks[0].rows) == len(leaf.blocks[0].rows) + 1
    assert stage.leaves(*shop, RULER) is stage.leaves(*shop, RULER)


def test_leaves_are_printed_before_and_after_the_bench(shop):
    glue(*shop, "T1", Glue("slow epoxy"))
    assert [leaf.title for leaf in late(*shop)(RULER)] == ["Glue-up and finish"]
    assert early(*shop)(RULER) == ()
    assert stage_at("nowhere") is None

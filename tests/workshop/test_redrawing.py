"""Keeping what was drawn: revisions in order, reasons in the log, and readings left with what they were made to."""

from __future__ import annotations

from dataclasses import replace

import pytest

from culmwright.ledger.faults import Conflict
from culmwright.ledger.frozen import revisions, rods
from culmwright.measure.errors import BadInput
from culmwright.mechanics.stress import stress_check
from culmwright.workshop.bending import bend
from culmwright.workshop.drafting import draft_of, drafted
from culmwright.workshop.opening import find
from culmwright.workshop.redrawing import compare, keep_new, keep_redrawn, revision_lines
from culmwright.workshop.telling import log
from culmwright.workshop.trying import load_typed, try_rod


def thinner(begun, by="0.128"):
    """The rod with station 25 at ``by`` instead of 0.129 in."""
    draft = draft_of(begun.revision.text)
    return drafted(replace(draft, across=tuple(by if one == "0.129" else one for one in draft.across)))


def test_a_redrawn_taper_is_the_next_revision_with_its_reason(shop, begun):
    kept = keep_redrawn(shop, begun, thinner(begun), "  too stiff   in the hand ")
    assert (begun.code, kept.code) == ("R1.1", "R1.2")
    assert [(one.code, one.why) for one in revision_lines(shop, begun)] == [
        ("R1.2", "too stiff in the hand"),
        ("R1.1", ""),
    ]
    assert any("drawing frozen as R1.2: too stiff in the hand" in one.words for one in log(shop, kept).lines)
    assert find(shop, "R1.1").revision.text == begun.revision.text  # nothing is overwritten
    assert "R1.2 exists" in find(shop, "R1.1").notes[0]


@pytest.mark.parametrize("why", ["", "   ", "x" * 201, "bell\a"])
def test_it_needs_a_reason(shop, begun, why):
    with pytest.raises(BadInput, match="needs a reason"):
        keep_redrawn(shop, begun, thinner(begun), why)
    assert len(revisions(shop, 1)) == 1


def test_nothing_changed_is_no_revision(shop, begun):
    with pytest.raises(BadInput, match="nothing was changed"):
        keep_redrawn(shop, begun, drafted(draft_of(begun.revision.text)), "no reason")
    assert len(revisions(shop, 1)) == 1


def test_two_hands_on_one_taper(shop, begun):
    """Whoever comes second drew from a revision that is no longer the newest: refused, and nothing is lost."""
    keep_redrawn(shop, begun, thinner(begun), "one hand")
    with pytest.raises(Conflict, match=r"R1\.2 exists"):
        keep_redrawn(shop, begun, thinner(begun, "0.127"), "the other hand")
    assert len(revisions(shop, 1)) == 2


def test_the_very_same_new_rod_kept_twice_is_one_rod(shop, begun):
    draft = draft_of(begun.revision.text)
    made = drafted(replace(draft, fields={**draft.fields, "name": "Ossel Burn again"}))
    assert keep_new(shop, made).code == keep_new(shop, made).code == "R2.1"
    assert len(rods(shop)) == 2


def test_two_revisions_are_compared_in_either_order(shop, begun):
    keep_redrawn(shop, begun, thinner(begun), "why")
    for pair in (("R1.1", "R1.2"), ("R1.2", "R1.1")):
        found = compare(shop, *pair)
        assert (found.older.code, found.newer.code) == ("R1.1", "R1.2")
        changed = [one for one in found.steps if abs(one.wider) > 1e-12]
        assert len(found.steps) == 19 and len(changed) == 1
        assert changed[0].station == pytest.approx(25 * 0.0254)
        assert changed[0].wider == pytest.approx(-0.001 * 0.0254)  # 0.128 in less 0.129 in
        assert found.words == ("1 of 19 stations differ, most at station 25 in: 1.0 thou narrower",)


def test_two_rods_are_not_compared(shop, begun):
    draft = draft_of(begun.revision.text)
    keep_new(shop, drafted(replace(draft, fields={**draft.fields, "name": "Another"})))
    with pytest.raises(BadInput, match="another rod"):
        compare(shop, "R1", "R2")


def test_a_trial_says_what_the_checks_say(begun):
    """One number: the page's stress, mass and drop are those of ``check`` and ``bend``."""
    load = load_typed("2 oz")
    tried, check, bent = try_rod(begun.rod, load), stress_check(begun.rod), bend(begun.rod, load)
    assert [(one.station, one.stress) for one in tried.stations] == [
        (one.station, one.stress) for one in check.stations
    ]
    assert tried.mass == check.mass
    assert tried.bend.y[-1] == pytest.approx(-bent.tip_drop)
    assert tried.heights[0].sections == "T1, T2"


@pytest.mark.parametrize("text", ["-1 oz", "400 oz", "21 N", "2", "2 GPa", "nan oz", "1e300 oz"])
def test_a_load_nobody_tries(text):
    with pytest.raises(BadInput):
        load_typed(text)

"""The page of the bench once sections are glued: what stands first, what was read before folded away; and glue-ups."""

from __future__ import annotations


def test_what_was_read_of_a_glued_section_is_folded_away(rooms):
    assert "What was read before" not in rooms.page("/R1/bench")
    rooms.kept("/R1/glue", "glue", section="T1", glue="slow epoxy")
    page = rooms.page("/R1/bench")
    top, fold, rest = page.partition("<summary>What was read before</summary>")
    assert fold
    assert "T1 is glued from S" in top
    assert "<b>T1/S" not in top and "<b>T1/S" in rest.partition("</details>")[0]
    assert "<svg" in rest.partition("</details>")[0]


def test_a_section_is_not_glued_twice_without_saying_why(rooms):
    rooms.kept("/R1/glue", "glue", section="T1", glue="slow epoxy")
    rooms.refused("/R1/glue", "glue", section="T1", glue="hide glue")
    rooms.kept("/R1/glue", "glue", section="T1", glue="hide glue", again="a seam stood open")
    assert "hide glue" in rooms.page("/R1/glue")


def test_glue_takes_strips_that_were_not_read_and_says_what_that_leads_to(rooms):
    assert "; not all read" in rooms.page("/R1/glue")
    page = rooms.kept("/R1/glue", "glue", section="T2", glue="slow epoxy")
    assert page.count("T2 counts as drawn in the proof, and the rod gets no certificate") == 1

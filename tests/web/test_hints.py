"""Examples beside the fields follow the units of the rod or the shop, and can be typed as they stand."""

from __future__ import annotations

import re

import pytest

from culmwright.measure.lengths import Length
from culmwright.measure.quantities import Kind, parse_quantity
from culmwright.web.rooms_examples import EXAMPLES
from culmwright.web.rooms_stores import culm_slips, gauge_slip
from culmwright.workshop.draft_fields import FIELDS, METRIC, Kept

INCHES = re.compile(r"\d (in|ft|lb|oz)\b|psi|°F")
KINDS = {"density": Kind.DENSITY, "stress_limit": Kind.STRESS}


@pytest.mark.parametrize("field", [one for one in FIELDS if one.name in METRIC and one.name != "name"])
def test_both_examples_of_the_rod_form_say_about_the_same(field):
    """One inch is 25.4 mm exactly (international yard, 1959); both are round figures, so within a thirtieth."""
    if field.kept is Kept.LENGTH:
        inch, metric = Length.parse(field.hint, "in").m, Length.parse(field.metric, "mm").m
    else:
        inch, metric = (parse_quantity(one, KINDS[field.name]) for one in (field.hint, field.metric))
    assert metric == pytest.approx(inch, rel=1 / 30)
    assert not INCHES.search(field.metric) and not INCHES.search(field.empty_metric)


def test_every_length_of_the_rod_form_has_its_metric_example():
    assert {one.name for one in FIELDS if one.kept is Kept.LENGTH} <= set(METRIC)


@pytest.mark.parametrize("bare", ["in", "mm"])
def test_examples_of_culms_and_gauges_can_be_typed_as_they_stand(bare):
    like = EXAMPLES[bare]
    for one in (
        like.length,
        *like.diameters,
        *like.walls,
        like.over,
        like.wander,
        like.reference,
        like.shown,
        like.step,
    ):
        assert Length.parse(one, "in" if bare == "mm" else "mm").m > 0
        assert one.endswith(("in", "ft") if bare == "in" else "mm")
    places = [Length.parse(one, bare).m for one in like.nodes.split()]
    assert places == sorted(places) and places[-1] < Length.parse(like.length, bare).m
    assert 0.5 < parse_quantity(like.mass, Kind.MASS) < 5


def test_a_shop_in_millimetres_is_asked_for_millimetres():
    asked = culm_slips({}, bare="mm")[0].fields
    assert next(one.first for one in asked if one.name == "units") == "metric"
    for one in (*asked, *gauge_slip(("G1",), bare="mm").fields):
        assert not INCHES.search(one.hint), one.name


def test_the_rod_form_shows_the_example_of_the_unit_that_is_picked(client):
    page = client.get("/new").text
    assert '<span class="by-inch">7 ft 6 in</span><span class="by-metric">2300 mm</span>' in page
    assert '<span class="by-inch">0.20 oz</span><span class="by-metric">6 g</span>' in page

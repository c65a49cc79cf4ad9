"""Ladders of water, heat, fit, glue, gauges, cut lists: every rung again by its equation, the last the figure itself.

The equations are worked here by mpmath, from the rungs below alone, so that a ladder that left a step out or told
another rule than it went by is found. Beside them stand values from outside:

- *Wood Handbook*, FPL-GTR-282 (2021), table 4-2: wood at 70 °F and 50 % settles at 9.2 %;
- IAPWS-IF97 (2007 release), table 35: vapour saturates at 3 536.58941 Pa (300 K) and 2.63889776 MPa (500 K);
- W. D. Callister, *Materials Science and Engineering*, app. B: aluminium 6061 grows 23.6e-6 a kelvin, steel 11.7e-6;
- J. J. van 't Hoff's rule (from memory): two to three times as fast for 10 K.
"""

from __future__ import annotations

from math import inf
from random import Random

import pytest
from hypothesis import given
from hypothesis import strategies as st
from mpmath import asin, exp, log, mpf, nsum
from mpmath import pi as half_turn

from culmwright.bench.cut_working import cut_working, strips_working
from culmwright.bench.gauge_study import study, study_again
from culmwright.bench.glue_working import pot_working
from culmwright.bench.study_working import study_working
from culmwright.cane.air import Air
from culmwright.cane.culm_file import culm_from_text
from culmwright.cane.drying import Aim, BundleDrying, Shape, fit_drying
from culmwright.cane.heat_working import plan_working, step_working
from culmwright.cane.heating import Step, plan_heat
from culmwright.cane.lag import bundle, one_strip
from culmwright.cane.moisture import settle
from culmwright.cane.water_working import bundle_working, settled_working
from culmwright.cane.weighing import Weighing
from culmwright.design.rod_file import rod_from_text
from culmwright.measure.band import Band
from culmwright.measure.reckoning import Reckoning
from culmwright.rigs.expansion import ALUMINIUM, BRASS, HDPE, STEEL
from culmwright.rigs.thermal import Joint, fit_at
from culmwright.rigs.thermal_working import fit_working
from culmwright.workshop.laying import layout
from culmwright.workshop.parting import culm as parted_for
from culmwright.workshop.starting import culm_text, rod_text

NEAR = 1e-9
"""Relative: the same equation in doubles and in mpmath's digits."""
temperatures = st.floats(280.0, 315.0)
humidities = st.floats(0.05, 0.95)


def rungs_of(asked: Reckoning) -> dict[str, Reckoning]:
    """The rungs of a ladder by name; two of one name must be the same number."""
    found: dict[str, Reckoning] = {}
    for one in asked.ladder():
        assert one.rule and one.source
        assert found.setdefault(one.step, one).value == one.value
    return found


def ends(one: Reckoning) -> tuple[float, float]:
    """Both ends of a number."""
    return (one.value, one.value) if one.within is None else (one.within.low, one.within.top)


def near(one: Reckoning, low: object, high: object | None = None) -> None:
    wanted = (float(low), float(low if high is None else high))
    assert ends(one) == pytest.approx(wanted, rel=NEAR, abs=1e-15), one.step


@given(temperatures, humidities, st.one_of(st.none(), st.floats(320.0, 400.0)), st.floats(-0.02, 0.02))
def test_where_cane_settles(warmth, damp, oven, offset):
    room = Air(warmth, damp)
    settled = settle(room if oven is None else room.warmed(oven), offset)
    asked = settled_working(settled, None if oven is None else room)
    rung = rungs_of(asked)
    assert ends(asked) == (settled.spread.low, settled.spread.top)
    if oven is not None:
        share = rung["vapour the room's air can hold, by what the oven's can"]
        near(rung["humidity h in the oven"], mpf(rung["humidity of the room"].value) * mpf(share.value))
    W, K, K1, K2 = (mpf(rung[name].value) for name in ("W", "K", "K1", "K2"))
    h = mpf(rung["humidity h of the air" if oven is None else "humidity h in the oven"].value)
    dry = (
        18
        / W
        * (K * h / (1 - K * h) + (K1 * K * h + 2 * K1 * K2 * (K * h) ** 2) / (1 + K1 * K * h + K1 * K2 * (K * h) ** 2))
    )
    near(rung["wood settles at"], max(dry, 0))
    near(rung["middle for cane"], max(max(dry, 0) + mpf(offset), 0))
    middle = mpf(rung["middle for cane"].value)
    near(asked, max(middle - mpf("0.02"), 0), middle + mpf("0.02"))


def test_where_cane_settles_against_tables():
    rung = rungs_of(settled_working(settle(Air(294.261, 0.50))))
    assert 100 * rung["wood settles at"].value == pytest.approx(9.2, abs=0.05)  # the table prints a tenth
    room = Air(300.0, 0.6)
    rung = rungs_of(settled_working(settle(room.warmed(500.0)), room))
    share = rung["vapour the room's air can hold, by what the oven's can"].value
    assert share == pytest.approx(3536.58941 / 2.63889776e6, rel=5e-4)  # two equations within 0.025 % each


@given(
    st.lists(st.tuples(st.floats(330.0, 460.0), st.floats(60.0, 7200.0)), min_size=1, max_size=4),
    st.floats(0.001, 0.012),
    st.booleans(),
    st.booleans(),
)
def test_the_time_in_an_oven(steps, height, bound, fan):
    room = Air(294.0, 0.5)
    body = bundle(height, 6) if bound else one_strip(height, float(half_turn / 3))
    plan = plan_heat([Step(t, hold) for t, hold in steps], body, room, fan=fan)
    total = [mpf(0), mpf(0)]
    before = 294.0
    for number, ((oven, hold), planned) in enumerate(zip(steps, plan.steps, strict=True), 1):
        found = step_working(planned, room, number)
        rung = rungs_of(found["in_oven"])
        assert ends(found["in_oven"]) == (planned.in_oven.low, planned.in_oven.top)
        assert ends(found["lag"]) == (planned.behind.low, planned.behind.top)
        c = mpf("103.1") + mpf("3.867") * (mpf(before) + mpf(oven)) / 2
        near(rung["heat capacity"], c)
        depth, give = mpf(rung["volume by surface"].value), ends(rung["what the air gives"])
        assert rung["what the air gives"].rule == ("h, with a fan" if fan else "h, without a fan")
        rho, a = ends(rung["density of cane"]), ends(rung["diffusivity of heat"])
        near(rung["lag at the surface"], rho[0] * c * depth / give[1], rho[1] * c * depth / give[0])
        near(rung["a round bar as thick has the radius"], 2 * depth)
        near(
            rung["lag of the core"], (2 * depth) ** 2 / (mpf("5.783") * a[1]), (2 * depth) ** 2 / (mpf("5.783") * a[0])
        )
        surface, core = ends(rung["lag at the surface"]), ends(rung["lag of the core"])
        near(rung["time constant"], surface[0] + core[0], surface[1] + core[1])
        many = max(log(max(abs(mpf(oven) - mpf(before)), mpf("1e-30")) / 3), 0)
        near(rung["time constants until there"], many)
        constant = ends(rung["time constant"])
        near(rung["lag of the cane"], constant[0] * many, constant[1] * many)
        near(found["in_oven"], constant[0] * many + hold, constant[1] * many + hold)
        total = [had + more for had, more in zip(total, ends(found["in_oven"]), strict=True)]
        before = oven
    whole = plan_working(plan)
    assert ends(whole) == (plan.whole.low, plan.whole.top)
    near(whole, *total)


def test_the_size_of_what_lies_in_the_oven():
    """V/S of an equilateral strip is h/6: area h^2/sqrt 3, sides 2 h/sqrt 3; of a hexagonal bar, half its apothem."""
    for body, depth in ((one_strip(0.006, float(half_turn / 3)), 0.001), (bundle(0.006, 6), 0.003)):
        plan = plan_heat([Step(400.0, 600.0)], body, Air(294.0, 0.5))
        rung = rungs_of(step_working(plan.steps[0], plan.room, 1)["core"])
        assert rung["volume by surface"].value == pytest.approx(depth, rel=NEAR)


@given(
    st.sampled_from((ALUMINIUM, BRASS, HDPE, STEEL)),
    st.sampled_from((ALUMINIUM, BRASS, STEEL)),
    st.floats(285.0, 300.0),
    st.floats(270.0, 320.0),
    st.one_of(st.none(), st.floats(1e-5, 2e-3)),
    st.integers(0, 4),
)
def test_an_insert_on_its_bed(insert, bed, made, now, clearance, number):
    joint = Joint(insert, bed, (0.0, 0.3, 0.6, 0.9, 1.2), 0.1, made, clearance)
    fit = fit_at(joint, now)
    found = fit_working(fit, fit.screws[number])
    rung = rungs_of(found["error"])
    screw = fit.screws[number]
    assert ends(found["error"]) == (screw.error.low, screw.error.top)
    i, b = ends(rung["insert grows"]), ends(rung["bed grows"])
    assert (i, b) == ((insert.expansion.low, insert.expansion.top), (bed.expansion.low, bed.expansion.top))
    near(rung["the insert grows more by"], mpf(i[0]) - mpf(b[1]), mpf(i[1]) - mpf(b[0]))
    apart, change = ends(rung["the insert grows more by"]), mpf(now) - mpf(made)
    arm = abs(mpf(screw.place) - mpf(0.1))
    near(rung["warmer by"], change)
    near(rung["from the held end to the screw"], arm)
    every = [mpf(one) * change * arm for one in apart]
    near(found["error"], min(every), max(every))
    warm = [mpf(made) + mpf(x) / mpf(y) * change for x in b for y in i]
    near(found["bring_to"], min(warm), max(warm))
    assert ends(found["bring_to"]) == (fit.bring_to.low, fit.bring_to.top)
    assert ("room" in found) == (fit.room is not None)
    if fit.room is not None:
        reach = mpf(clearance) / (max(abs(mpf(one)) for one in apart) * mpf("1.1"))
        near(found["room"], mpf(made) - reach, mpf(made) + reach)
        assert ends(found["room"]) == (fit.room.low, fit.room.top)


def test_aluminium_on_steel_by_hand():
    """1 m of it, 10 K warmer, goes (23.6 - 11.7) x 10 = 119 millionths of a metre too far (Callister's figures)."""
    fit = fit_at(Joint(ALUMINIUM, STEEL, (0.0, 1.0), 0.0, 293.0, None), 303.0)
    assert ends(fit_working(fit, fit.furthest)["error"]) == (pytest.approx(119e-6), pytest.approx(119e-6))


@given(st.floats(60.0, 86400.0), st.floats(290.0, 300.0), st.floats(-14.9, 14.9))
def test_how_long_glue_stays_workable(stated, at, cooler):
    asked = pot_working(stated, at, at - cooler)
    rung = rungs_of(asked)
    tenths = mpf(rung["bench cooler by"].value) / 10
    every = [mpf(rung["pot life of the data sheet"].value) * mpf(times) ** tenths for times in (2, 3)]
    near(asked, min(every), max(every))
    assert ends(pot_working(3600.0, 296.15, 306.15)) == (pytest.approx(1200.0), pytest.approx(1800.0))  # by hand


@given(st.integers(2, 4), st.integers(2, 4), st.integers(2, 10), st.integers(0, 10**6))
def test_every_study_ends_in_its_figures_and_comes_back_from_its_ranges(hands, trials, strips, seed):
    random = Random(seed)
    table = [[[random.gauss(0.003, 1e-4) for _ in range(strips)] for _ in range(trials)] for _ in range(hands)]
    found = study(table)
    ladders = study_working(found)
    for name in ("share", "repeatability", "reproducibility", "gauge", "parts", "total"):
        assert ladders[name].value == getattr(found, name)
    assert ladders["sizes"].value == found.categories
    kept = {"asked": [hands, strips, trials], "ranges": [found.mean_range, found.hand_range, found.part_range]}
    again = study_again(kept)
    assert again is not None
    assert study_working(again)["share"].value == found.share


def test_a_study_kept_without_its_ranges_is_none():
    assert study_again({"words": "the gauge is good"}) is None


def left(shape: Shape, x: mpf) -> mpf:
    """What is left of the water; the series as Crank has it for the sphere (eq. 6.20)."""
    if shape is Shape.TAIL:
        return exp(-x)
    return 6 / half_turn**2 * nsum(lambda k: exp(-(k**2) * x) / k**2, [1, inf])


def weighed(masses: list[float], days: list[float]) -> tuple[Weighing, ...]:
    return tuple(Weighing(day * 86400.0, mass / 1000, f"{mass:.1f} g") for day, mass in zip(days, masses, strict=True))


def test_a_bundle_that_dries_by_a_known_curve():
    """Mass 100 + 20 exp(-t/2 days) grams, to a tenth, over five days: at 101 g after 2 ln 20 = 5.99 days, by hand."""
    days = [0.0, 0.5, 1.0, 1.5, 2.0, 2.5, 3.0, 3.5, 4.0, 4.5, 5.0]
    every = weighed([round(100 + 20 * 2.718281828459045 ** (-day / 2), 1) for day in days], days)
    dry = 0.101 / 1.05
    one = BundleDrying("T1", every, None, 0.05, fit_drying(every, Aim(0.05, None, dry)))
    fit, found = one.fit, bundle_working(one)
    assert fit is not None and fit.likely is not None
    rung = rungs_of(found["dry_in"])
    near(found["weigh_for"], 0.101)
    assert rung["m, of the likeliest curve"].value == pytest.approx(0.100, rel=0.01)
    assert rung["A, what it has to lose"].value == pytest.approx(0.020, rel=0.05)
    m, A, T = (mpf(getattr(fit, name)) for name in ("rest", "loss", "constant"))
    assert (rung["m, of the likeliest curve"].value, rung["T, its time constant"].value) == (float(m), float(T))
    for time, likeliest, _, _ in fit.curve[1:]:
        if fit.shape is not Shape.BETWEEN:
            assert likeliest == pytest.approx(float(m + A * left(fit.shape, mpf(time) / T)), rel=1e-6)
    assert fit.likely == pytest.approx(2 * 2.995732 * 86400, rel=0.05)
    near(found["dry_in"], mpf(fit.likely) - 5 * 86400)
    assert ends(found["ready"]) == (fit.ready.low, fit.ready.top)
    near(found["moisture"], mpf(every[-1].mass) / mpf(dry) - 1)


def test_a_bundle_in_air_goes_by_where_that_lets_it_settle():
    days = [0.0, 1.0, 2.0, 3.0, 5.0, 8.0]
    every = weighed([round(100 + 20 * 2.718281828459045 ** (-day / 2), 1) for day in days], days)
    room = Air(293.15, 0.5)
    settled = settle(room)
    fit = fit_drying(every, Aim(0.12, settled.spread, None))
    found = bundle_working(BundleDrying("B", every, settled, 0.12, fit))
    assert list(found) == ["rest", "settles", "weigh_for", "moisture", "ready", "dry_in"]
    for name, band in (("settles", fit.settles), ("weigh_for", fit.target_mass), ("moisture", fit.moisture)):
        assert found[name].within == band
    rung = rungs_of(found["weigh_for"])
    corners = [
        mpf(m) * mpf("1.12") / (1 + mpf(s))
        for m in ends(rung["mass it settles at"])
        for s in ends(rung["moisture cane settles at"])
    ]
    assert float(min(corners)) <= fit.target_mass.low <= fit.target_mass.top <= float(max(corners))
    rested = fit_drying(every, Aim())
    goal = bundle_working(BundleDrying("B", every, None, None, rested))["weigh_for"]
    near(goal, *(mpf(one) * mpf("1.005") for one in ends(rungs_of(goal)["mass it settles at"])))


def test_a_bundle_with_too_few_weighings_says_where_it_would_settle():
    settled = settle(Air(293.15, 0.5))
    one = BundleDrying("B", weighed([120.0], [0.0]), settled, None, None, "weighed once")
    assert list(bundle_working(one)) == ["rest"]
    assert bundle_working(BundleDrying("B", one.weighings, None, None, None, "weighed once")) == {}


def test_an_end_that_is_not_to_be_seen_has_no_bound_and_no_time_to_go():
    every = weighed([120.0, 119.0, 117.9], [0.0, 1.0, 2.0])
    fit = fit_drying(every, Aim(0.05, None, 0.080))
    found = bundle_working(BundleDrying("B", every, None, 0.05, fit))
    assert found["ready"].within == Band(fit.ready.low, None)
    assert ("dry_in" in found) == (fit.likely is not None)


@pytest.fixture(scope="module")
def laid():
    rod, culm = rod_from_text(rod_text("thrimble-beck")), culm_from_text(culm_text("k12"))
    return rod, culm, parted_for(rod, (culm,)), layout(rod, (culm,))


def test_how_wide_strips_are_and_how_many_a_length_holds(laid):
    rod, culm, found, _ = laid
    for need in found.needs:
        ladders = strips_working(rod, (culm,), found, need.section)
        rung = rungs_of(ladders["width"])
        assert ladders["width"].value == need.width
        parts = [
            mpf(rung[name].value) for name in ("width of the enamel face", "for roughing", "for what the split wanders")
        ]
        near(ladders["width"], sum(parts))
        source = next(one for one in found.lengths for taken in one.taken if taken.section == need.section)
        assert ladders["strips"].value == source.strips
        rung = rungs_of(ladders["strips"])
        width = mpf(rung[next(name for name in rung if name.startswith("raw width"))].value)
        diameter = mpf(rung[f"narrow end of {source.name}"].value)
        near(rung["a strip takes of the ring"], 2 * asin((width + mpf(rung["kerf of the saw"].value)) / diameter))
        assert around(float(diameter), float(width)) == source.strips


def test_strips_that_share_a_length_are_as_wide_as_its_widest():
    rod = rod_from_text(rod_text("thrimble-beck"))
    lengths = '[[length]]\nname = "K12"\nstart = 0\nend = 144\n\n'
    before, _, after = culm_text("k12").partition("[[length]]")
    culm = culm_from_text(before + lengths + after[after.index("[splitting]") :])
    found = parted_for(rod, (culm,))
    tip, butt = (next(one for one in found.needs if one.section == name) for name in ("T1", "B"))
    assert tip.width < butt.width == found.lengths[0].width
    ladders = strips_working(rod, (culm,), found, "T1")
    assert ladders["width"].value == tip.width
    assert rungs_of(ladders["strips"])["raw width of a strip of B"].value == butt.width
    assert ladders["strips"].value == found.lengths[0].strips == around(found.lengths[0].diameter, butt.width)


def around(diameter: float, width: float) -> int:
    """How many chords of a ``width`` step round a circle before it closes: corner by corner, each cut by a circle about
    the last, without the formula.
    """
    x, y, count, turned = diameter / 2, 0.0, 0, 0.0
    c = 1 - 2 * (width / diameter) ** 2
    s = (1 - c * c) ** 0.5
    while True:
        to = (x * c - y * s, x * s + y * c)
        assert ((to[0] - x) ** 2 + (to[1] - y) ** 2) ** 0.5 == pytest.approx(width)
        passed = turned > 3 and y < 0 <= to[1]
        if passed:
            return count + (abs(to[1]) < 1e-12)
        (x, y), count, turned = to, count + 1, turned + 2 * s
        turned = turned if y > 0 else max(turned, 4.0)


def test_what_comes_off_every_strip(laid):
    rod, culm, _, found = laid
    for section in found.sections:
        for cut in section.cuts:
            length = next(one for one in culm.lengths if one.name == cut.source)
            ladders = cut_working(section, cut, length)
            for name, figure in (("off_butt", cut.from_butt), ("off_tip", cut.from_tip), ("long", cut.length)):
                assert ladders[name].value == figure
            rung = rungs_of(ladders["off_tip"])
            near(
                rung[f"{cut.strip} as it comes"],
                mpf(rung["and ends"].value) - mpf(rung["its length begins along the culm"].value),
            )
            near(ladders["long"], mpf(section.length) + mpf(rod.bench.strip_over.m))
            slack = mpf(rung[f"{cut.strip} as it comes"].value) - mpf(ladders["long"].value)
            near(rung["it can be slid by"], slack)
            near(ladders["off_tip"], slack - mpf(cut.from_butt))
            steps = cut.from_butt / section.step
            assert steps == pytest.approx(round(steps), abs=1e-6)

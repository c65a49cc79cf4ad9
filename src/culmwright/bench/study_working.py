"""The working behind a study of a gauge."""

from __future__ import annotations

from culmwright.bench.gauge_study import TOLD_APART, GaugeStudy, d2_star
from culmwright.measure.reckoning import MEASURED, Reckoning

HANDBOOK = "AIAG, Measurement Systems Analysis, 4th ed., 2010 (from memory)"
DUNCAN = "A. J. Duncan, Quality Control and Industrial Statistics (from memory)"


def study_working(found: GaugeStudy) -> dict[str, Reckoning]:
    """What a study rests on: ``repeatability``, ``reproducibility``, ``gauge``, ``parts`` and ``total`` [m], ``share``
    [-], and ``sizes`` where the gauge has a scatter.
    """
    k, n, r = found.hands, found.strips, found.trials
    asked = f"{k} hands, {n} strips, {r} trials"
    within = Reckoning(
        "mean range of one hand on one strip", found.mean_range, "m apart", f"mean of {k * n} ranges", MEASURED
    )
    EV = Reckoning(
        "EV, one hand reading again",
        found.repeatability,
        "m apart",
        "mean range/d2*",
        HANDBOOK,
        (within, _factor(r, k * n)),
    )
    hands = Reckoning("range of the hands' means", found.hand_range, "m apart", f"over {k} hands", MEASURED)
    AV = Reckoning(
        "AV, hand to hand",
        found.reproducibility,
        "m apart",
        f"sqrt((range/d2*)^2 - EV^2/({n} x {r})), not below 0",
        HANDBOOK,
        (hands, _factor(k, 1), EV),
    )
    gauge = Reckoning("GRR, gauge and hands", found.gauge, "m apart", "sqrt(EV^2 + AV^2)", HANDBOOK, (EV, AV))
    strips = Reckoning("range of the strips' means", found.part_range, "m apart", f"over {n} strips; {asked}", MEASURED)
    PV = Reckoning("PV, strip to strip", found.parts, "m apart", "range/d2*", HANDBOOK, (strips, _factor(n, 1)))
    total = Reckoning("TV, all that is seen", found.total, "m apart", "sqrt(GRR^2 + PV^2)", HANDBOOK, (gauge, PV))
    share = Reckoning("share of the gauge", found.share, "m/m", "GRR/TV", HANDBOOK, (gauge, total))
    made = {
        "share": share,
        "repeatability": EV,
        "reproducibility": AV,
        "gauge": gauge,
        "parts": PV,
        "total": total,
    }
    if found.gauge:
        rule = f"{TOLD_APART:g} PV/GRR, whole ones"
        made["sizes"] = Reckoning("what it tells apart", found.categories, "sizes", rule, HANDBOOK, (PV, gauge))
    return made


def _factor(m: int, g: int) -> Reckoning:
    return Reckoning(
        f"d2* of {m} values, {g} range{'' if g == 1 else 's'}",
        d2_star(m, g),
        "-",
        "sqrt(d2^2 + d3^2/ranges); d2 alone beyond 15",
        DUNCAN,
    )

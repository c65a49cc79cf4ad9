"""The working behind how long a glue stays workable."""

from __future__ import annotations

from culmwright.bench.glue_clock import FASTER, SLOWER, pot_life
from culmwright.measure.reckoning import Reckoning, span

SHEET = "data sheet of the glue"
HOFF = "van 't Hoff's rule, 1884 (from memory)"


def pot_working(stated: float, stated_at: float, now_at: float) -> Reckoning:
    """The pot life [s] at ``now_at`` [K] of a glue whose sheet says ``stated`` [s] at ``stated_at`` [K]."""
    life = Reckoning("pot life of the data sheet", stated, "s", "as it says", SHEET)
    at = Reckoning("which holds at", stated_at, "K", "as it says", SHEET)
    bench = Reckoning("temperature at the bench", now_at, "K", "read off", "as given")
    cooler = Reckoning("bench cooler by", stated_at - now_at, "K apart", "sheet - bench", HOFF, (at, bench))
    rule = f"sheet's x {SLOWER:g}^(cooler/10 K) to x {FASTER:g}^(cooler/10 K); 10 K are 18 °F"
    return span("pot life at the bench", pot_life(stated, stated_at, now_at), "s", rule, HOFF, (life, cooler))

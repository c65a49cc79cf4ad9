"""The drying curve against other people's fits and against drying that obeys no curve of ours.

- ``scipy.optimize.curve_fit`` (SciPy 1.x) fits the same two shapes by another method.
- A plane sheet with a film of air that holds the water back (J. Crank, *The Mathematics of Diffusion*, 4.3.6, from
  memory: roots of ``b tan b = L``, share ``2 L^2/(b^2 (b^2 + L^2 + L))``) is neither of them: it stands for a bundle.
- A bundle is dry when it changes by less than 0.1 % (EN 13183-1, from memory).
"""

from __future__ import annotations

from math import exp, pi, tan

import numpy as np
import pytest
from scipy.optimize import brentq, curve_fit

from culmwright.cane.drying import Aim, Shape, fit_drying, has_stopped
from culmwright.cane.weighing import Weighing

DAY = 86_400.0


def weighings(times, grams, digits=1):
    return tuple(
        Weighing(float(at), float(f"{mass:.{digits}f}") / 1000, f"{mass:.{digits}f} g")
        for at, mass in zip(times, grams, strict=True)
    )


def sphere(x):
    return 6 / pi**2 * sum(np.exp(-(n**2) * x) / n**2 for n in range(1, 300))


TIMES = np.array([0, 0.5, 1, 2, 3, 5, 7, 10, 14]) * DAY


@pytest.mark.parametrize(("left", "shape"), [(lambda x: np.exp(-x), Shape.TAIL), (sphere, Shape.SERIES)])
def test_the_likeliest_curve_is_scipy_s(left, shape):
    grams = 310 + 95 * left(TIMES / (2.6 * DAY))
    found = fit_drying(weighings(TIMES, grams, 3), Aim())
    (m, A, T), _ = curve_fit(lambda t, m, A, T: m + A * left(t / T), TIMES, grams, p0=(300, 100, 2 * DAY))
    assert found.shape is shape
    assert found.constant == pytest.approx(T, rel=0.02)  # the ladder's last step is about that
    assert found.curve[0][1] * 1000 == pytest.approx(m + A, abs=0.3)
    assert found.settles.low * 1000 - 0.6 < m < found.settles.high * 1000 + 0.6


def test_weighings_on_a_curve_to_the_milligram_are_still_not_trusted_to_it():
    """A room's air moves a bundle (own choice: 0.05 % of its mass), so that no bounds are closer than that allows."""
    grams = 310 + 95 * np.exp(-TIMES / (2.6 * DAY))
    found = fit_drying(weighings(TIMES, grams, 3), Aim())
    assert found.scatter > 0.0005 * grams[-1] / 1000
    assert found.settles.high - found.settles.low > 0.0005 * grams[-1] / 1000


def held_back(biot, tail):
    """Share left in a sheet with a film, in its slowest time constants."""
    roots = [brentq(lambda b: b * tan(b) - biot, n * pi + 1e-9, n * pi + pi / 2 - 1e-9) for n in range(40)]
    shares = [2 * biot**2 / (b**2 * (b**2 + biot**2 + biot)) for b in roots]
    return sum(share * exp(-tail * (b / roots[0]) ** 2) for share, b in zip(shares, roots, strict=True))


def test_the_bounds_hold_the_truth_as_often_as_they_say():
    """Sheets with films from thin to thick, scales with 0.15 g of scatter: nine in ten, less what chance allows.

    Of 60 bundles at least 46 have to be held: with nine in ten true, fewer come up once in a thousand (binomial).
    """
    random = np.random.default_rng(11)
    held = 0
    for _ in range(60):
        biot, T = random.choice([0.3, 1.0, 4.0, 30.0]), random.uniform(1, 5) * DAY
        settled, loss = random.uniform(200, 400), random.uniform(20, 200)
        times = np.concatenate([[0.0], random.uniform(0.3, 1.2, 5).cumsum() * T])
        grams = [settled + loss * held_back(biot, t / T) + random.normal(0, 0.15) for t in times]
        found = fit_drying(weighings(times, grams), Aim())
        truth = brentq(lambda t, b=biot, T=T: loss * held_back(b, t / T) - 0.005 * settled, 1.0, 40 * T)  # noqa: B023
        held += found.ready.low <= truth <= found.ready.top
    assert held >= 46


def test_a_target_by_moisture_is_met_where_the_water_says():
    """A dry mass of 280 g wants 313.6 g at 12 %: on 300 + 100 exp(-t/T) that is at T ln(100/13.6), by hand."""
    T = 2 * DAY
    grams = 300 + 100 * np.exp(-TIMES / T)
    found = fit_drying(weighings(TIMES, grams, 2), Aim(target=0.12, dry_mass=0.280))
    assert found.target_mass.low * 1000 == pytest.approx(313.6)
    exact = T * np.log(100 / 13.6)
    assert found.ready.low - 0.02 * DAY <= exact <= found.ready.top + 0.02 * DAY
    assert found.ready.top - found.ready.low < 0.5 * DAY
    last = 300 + 100 * exp(-TIMES[-1] / T)
    assert (found.moisture.low + found.moisture.top) / 2 == pytest.approx(last / 280 - 1, abs=1e-3)
    assert found.reached


@pytest.mark.parametrize(
    ("last", "stopped"),
    [((300.0, 299.8), True), ((300.0, 299.2), False), ((303.0, 300.0, 299.9), False)],
)
def test_when_it_has_stopped(last, stopped):
    """Over a pause of a day, 0.1 % of 300 g is 0.3 g; the last three look back further than the pause."""
    times = [0.0, DAY, 2 * DAY] if len(last) == 2 else [0.0, 0.4 * DAY, 1.2 * DAY, 1.6 * DAY]
    masses = [320.0, *last]
    assert has_stopped(weighings(times, masses), DAY) is stopped


def test_too_short_a_time_tells_nothing():
    assert not has_stopped(weighings([0.0, 3600.0], [300.0, 300.0]), DAY)
    assert has_stopped(weighings([0.0, DAY], [300.0, 300.0]), DAY)

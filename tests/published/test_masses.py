"""Masses and moments of whole rods against quadrature by scipy, and against the closed form of a frustum."""

from __future__ import annotations

from itertools import pairwise
from math import cos, pi, sqrt, tan

import pytest
from scipy.integrate import quad

from culmwright.design.rod_file import rod_from_text
from culmwright.measure.quantities import Kind, parse_quantity
from culmwright.mechanics.stress import stress_check

INCH = 0.0254
GRAVITY = 9.80665
GRAIN = 0.06479891e-3  # [kg]
CANE = parse_quantity("0.668 oz/in^3", Kind.DENSITY)
VARNISH = 1050.0

STATIONS = [0, 3, 5, 11, 20, 31, 44, 47, 60, 77, 90]
ACROSS = [0.070, 0.078, 0.085, 0.103, 0.131, 0.160, 0.199, 0.215, 0.245, 0.250, 0.331]
JOINT = 45.5  # between two stations
TIP = ([0, 7, 30, 50], [0.064, 0.088, 0.150, 0.215])
GUIDES = [(0, 0.5), (4, 0.1), (9.25, 0.1), (33, 0.12), (62.5, 0.6)]  # [in], [g]

ROD = f"""
culmwright = 1
units = "inch"
[rod]
sides = {{n}}
length = 90
pieces = 2
line = 5
[taper]
stations = {STATIONS}
across = {ACROSS}
varnish = 0.0025
varnish_density = "1050 kg/m^3"
[[tip]]
stations = {TIP[0]}
across = {TIP[1]}
[[ferrule]]
station = {JOINT}
size = 13
mass = "6.3 g"
[guides]
stations = {[place for place, _ in GUIDES]}
masses = {[f"{mass} g" for _, mass in GUIDES]}
"""


def on_the_line(x: float, stations: list[float], values: list[float]) -> float:
    """Straight line between stations, in inches."""
    i = max(k for k, station in enumerate(stations[:-1]) if station <= x)
    return values[i] + (values[i + 1] - values[i]) * (x - stations[i]) / (stations[i + 1] - stations[i])


def across(x: float) -> float:
    return on_the_line(x, *TIP) if x < JOINT else on_the_line(x, STATIONS, ACROSS)


def polygon_area(n: int, across: float, under: float = 0.0) -> float:
    """Area [m^2] of a section read as ``across`` [in], ``under`` [in] below the surface."""
    a = (across / (2 if n % 2 == 0 else 1 + 1 / cos(pi / n)) - under) * INCH
    return n * a**2 * tan(pi / n)


BREAKS = sorted({*STATIONS, JOINT, *TIP[0]})


def integrated(f, end: float) -> float:
    """Integral [.. m] of f over 0..end [in], piece by piece, to scipy's own 1e-13 or so."""
    ends = [*(place for place in BREAKS if place < end), end]
    return sum(quad(f, low, high, epsabs=0, epsrel=1e-13)[0] for low, high in pairwise(ends)) * INCH


def spread(n: int, x: float) -> dict[str, float]:
    """Mass per length [kg/m] at x [in] of all that is spread along the rod."""
    cane = CANE * polygon_area(n, across(x), 0.0025)
    varnish = VARNISH * (polygon_area(n, across(x)) - polygon_area(n, across(x), 0.0025))
    line = 140 * GRAIN / (360 * INCH) if x <= GUIDES[-1][0] else 0.0
    return {"cane": cane, "varnish": varnish, "line in the guides": line}


@pytest.fixture(scope="module", params=[4, 5, 6])
def checked(request):
    return request.param, stress_check(rod_from_text(ROD.format(n=request.param)), load_factor=3.5)


def test_masses(checked):
    n, check = checked
    found = {one.load: one.mass for one in check.loads}
    for name in ("cane", "varnish"):
        assert found[name] == pytest.approx(integrated(lambda x, name=name: spread(n, x)[name], 90), rel=1e-12)
    assert found["line in the guides"] == pytest.approx(140 * GRAIN * 62.5 / 360, rel=1e-12)
    assert found["line beyond the tip"] == pytest.approx(140 * GRAIN, rel=1e-12)
    listed = 6.3e-3 + sum(mass for _, mass in GUIDES) * 1e-3
    assert check.mass == pytest.approx(found["cane"] + found["varnish"] + listed, rel=1e-12)


def test_moments(checked):
    n, check = checked
    points = [(0.0, 140 * GRAIN), (JOINT, 6.3e-3), *((place, mass * 1e-3) for place, mass in GUIDES)]
    for station in check.stations[1:]:
        x = station.station / INCH
        total = sum(mass * (x - place) * INCH for place, mass in points if place < x)
        for name in ("cane", "varnish"):
            total += integrated(lambda y, x=x, name=name: spread(n, y)[name] * (x - y) * INCH, x)
        inside = min(x, 62.5)
        total += 140 * GRAIN / (360 * INCH) * inside * INCH * (x - inside / 2) * INCH
        assert station.moment == pytest.approx(3.5 * GRAVITY * total, rel=1e-11)


@pytest.mark.parametrize("n", [4, 5, 6])
def test_a_straight_taper_is_a_frustum(n):
    # Volume L (A1 + A2 + sqrt(A1 A2))/3: any text on solid geometry.
    rod = rod_from_text(
        f'culmwright = 1\nunits = "inch"\n[rod]\nsides = {n}\nlength = 90\n'
        '[taper]\nstations = [0, 37, 90]\nacross = [0.07, 0.177, 0.33026]\n[cane]\ndensity = "1 g/cm^3"\n'
    )
    ends = [(0, 0.07), (37, 0.177), (90, 0.33026)]
    volume = 0.0
    for (x1, d1), (x2, d2) in pairwise(ends):
        a1, a2 = polygon_area(n, d1), polygon_area(n, d2)
        volume += (x2 - x1) * INCH * (a1 + a2 + sqrt(a1 * a2)) / 3
    assert stress_check(rod).mass == pytest.approx(1000 * volume, rel=1e-12)


def test_a_prism_bends_under_its_own_weight_as_the_books_say():
    # Uniform cantilever: root moment w L^2/2 (any text on strength of materials).
    rod = rod_from_text(
        'culmwright = 1\nunits = "metric"\n[rod]\nsides = 4\nlength = 2000\n'
        '[taper]\nstations = [0, 2000]\nacross = [10, 10]\n[cane]\ndensity = "1 g/cm^3"\n'
    )
    check = stress_check(rod, load_factor=1.0)
    assert check.mass == pytest.approx(0.2, rel=1e-12)  # 1 cm x 1 cm x 2 m of water's density
    assert check.stations[-1].moment == pytest.approx(0.2 * GRAVITY * 1.0, rel=1e-12)
    assert check.stations[-1].stress == pytest.approx(0.2 * GRAVITY / (0.01**3 / 6), rel=1e-12)

"""The demo's drying: invented bundles that lose their water in a simulated room, weighed as a maker weighs them.

The cane is a stack of thin layers from the heart to the face of a sheet, each passing water to the next, the last
through a film of air to a room whose moisture swings; the scale shows tenths of a gram. None of it is the fitted curve.
"""

from __future__ import annotations

from collections.abc import Iterator
from datetime import datetime, timedelta
from itertools import pairwise
from math import pi, sin, tan
from random import Random

from culmwright.bench.targets import SectionTargets, schedule
from culmwright.cane.air import CELSIUS
from culmwright.cane.heating import LIMIT
from culmwright.ledger.shop import Shop
from culmwright.workshop.bundles import keep_weighing
from culmwright.workshop.heating import OvenAsked, keep_heat, keep_plan, tallest
from culmwright.workshop.opening import Begun

SEED = 20261125
SAID = {"room": "68 F", "humidity": "45%", "target": "11%"}
WET, ROOM = 0.42, 0.088  # [-] of dry mass: soaked through, and where this invented cane settles in the room
SWING = 0.0003  # [-] of the room about that, over some days
LAYERS, STEP = 16, 900.0  # and [s]
DRIES_IN = 1.5 * 86_400.0  # [s] the slowest time of the thinner bundles, about
FILM = 1.5  # [-] how much of the holding back is the air's
DAYS = (0.0, 0.5, 1.0, 2.0, 3.0, 4.0, 6.0, 8.0, 10.0, 12.0, 13.0)
THICKER = 1.4  # [-] times as long for the butt's
STEPS = ("240 F for 45 min", "335 F for 8 min")


def show_drying(shop: Shop, begun: Begun, at: datetime) -> None:
    """Weigh the bundles of the demo's rod on their rack from ``at`` on, plan the oven, heat the tips; all invented."""
    random = Random(SEED)
    sections = schedule(begun.rod).sections
    for section in sections:
        moisture = _moisture(DRIES_IN * (THICKER if section.section == "B" else 1.0), random)
        dry = _dry_mass(begun, section)
        reached, now = 0.0, WET
        for day in DAYS:
            while reached < day * 86_400.0:
                now, reached = next(moisture), reached + STEP
            grams = 1000 * dry * (1 + now) + random.gauss(0.0, 0.08)
            said = SAID if day == 0 else {}
            keep_weighing(shop, begun, section.section, f"{grams:.1f} g", at=at + timedelta(days=day), said=said)
    height, sides = tallest(begun.rod), begun.rod.sides
    asked = OvenAsked(STEPS, height, sides, True, True, LIMIT, CELSIUS + 20, 0.45, 0.0)
    keep_plan(shop, begun, asked, at)
    done = at + timedelta(days=DAYS[-1], hours=36)
    for section in sections:
        if section.section != "B":
            for i, step in enumerate(STEPS):
                words = "straw brown at the ends" if i else "no smell yet"
                keep_heat(shop, begun, step, section=section.section, words=words, at=done + timedelta(minutes=75 * i))
            done += timedelta(hours=3)


def _dry_mass(begun: Begun, section: SectionTargets) -> float:
    """Mass [kg] of the roughed strips of a section without water, from their triangles and the rod's density."""
    slope = tan(begun.rod.making.apex_angle / 2)
    mean = sum(one.rough_height**2 for one in section.stations) / len(section.stations)
    return mean * slope * section.length * section.strips * begun.rod.cane.density.value / 1.1


def _moisture(slowest: float, random: Random) -> Iterator[float]:
    """Mean moisture of a bundle [-] after every step of time."""
    layers = [WET] * LAYERS
    passes = STEP / slowest * LAYERS**2 * (pi / 2) ** -2 * (1 + 2 / FILM)
    cuts = int(passes * 2.5) + 1
    phase, time = random.uniform(0, 2 * pi), 0.0
    while True:
        time += STEP
        room = ROOM + SWING * sin(phase + time / (0.9 * 86_400.0))
        for _ in range(cuts):
            part = passes / cuts
            flow = [part * (one - other) for one, other in pairwise(layers)]
            flow.append(part * (layers[-1] - room) / (0.5 + LAYERS / FILM))
            for i, moved in enumerate(flow):
                layers[i] -= moved
                if i + 1 < LAYERS:
                    layers[i + 1] += moved
        yield sum(layers) / LAYERS

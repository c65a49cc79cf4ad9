"""Strips of the simulated rod bent by themselves before they are glued: their unlike cane, and what a bench sees of it.

All invented. The strips of the main tip and of the butt are bent, each over a short span at one place; those of the
other tip are not, so that a proof has both kinds.
"""

from __future__ import annotations

from collections.abc import Mapping
from fractions import Fraction
from math import degrees, tan
from random import Random

import numpy as np

from culmwright.bench.passes import THOU
from culmwright.ledger.shop import Shop
from culmwright.measure.lengths import Length
from culmwright.measure.quantities import Kind, parse_quantity
from culmwright.proof.modulus import Measured
from culmwright.proof.unlike import Strip, Unlike
from culmwright.workshop.bars import Bar, Held
from culmwright.workshop.flexing import keep_drops
from culmwright.workshop.opening import Begun
from culmwright.workshop.playing import Clock

MODULUS = 30.3e9  # [Pa] of the invented cane, in the mean of all rings
SCATTER = 0.05  # one strip's against the next, of it
CALIPER, HAND = -0.2 * THOU, 0.3 * THOU  # [m] of a strip's height
BENT = {"T1": (40, "6 in", ("2 oz", "4 oz", "8 oz")), "B": (85, "8 in", ("8 oz", "1 lb", "2 lb"))}
"""By section the station strips are bent at, the span, and the weights."""
DIAL = 2540  # [nm] what the gauges show: a tenth of a thou


def cane_played(rings: Mapping[str, tuple[int, ...]], random: Random) -> dict[Strip, float]:
    """The true modulus [Pa] of every strip of the ``rings``; in the mean of all of them that of the cane."""
    strips = [(section, strip) for section, ring in rings.items() for strip in ring]
    shares = np.array([random.gauss(1.0, SCATTER) for _ in strips])
    return dict(zip(strips, (MODULUS * shares / shares.mean()).tolist(), strict=True))


def true_cane(cane: Mapping[Strip, float]) -> Unlike:
    """The same as tests without any doubt would have it [Pa]."""
    shares = np.array(list(cane.values())) / MODULUS
    level = Measured(MODULUS, 0.0, 0.0)
    doubtless, all_of_them = np.zeros((len(shares), len(shares))), np.ones(len(shares), bool)
    return Unlike(tuple(cane), shares, doubtless, all_of_them, level, 0.0, ("put in",) * len(shares))


def bend_strips(
    shop: Shop,
    begun: Begun,
    heights: Mapping[str, Mapping[tuple[Length, int], float]],
    rings: Mapping[str, tuple[int, ...]],
    cane: Mapping[Strip, float],
    clock: Clock,
    random: Random,
) -> None:
    """Strips of true ``heights`` [m] and ``cane`` [Pa] bent on their enamel over two supports, and kept as typed."""
    apex = begun.rod.making.apex_angle
    for section, (station, span, weights) in BENT.items():
        place = next(one for one, _ in heights[section] if abs(one.m - station * 0.0254) < 1e-6)
        for strip in rings[section]:
            height = heights[section][place, strip]
            stiffness = cane[section, strip] * 2 * tan(apex / 2) * height**4 / 36
            drops = [
                (weight, ruled(parse_quantity(weight, Kind.LOAD) * Length.parse(span).m ** 3 / (48 * stiffness), 64))
                for weight in weights
            ]
            read = {"height": dialled(height + CALIPER + random.gauss(0.0, HAND)), "apex": f"{degrees(apex):g} deg"}
            bar = Bar(span, read, Held.BOTH_ENDS, strip=(section, strip))
            keep_drops(shop, begun, drops, "1/64 in", bar=bar, at=clock.pause(minutes=4))


def dialled(value: float) -> str:
    """A length [m] as a gauge that shows tenths of a thou has it."""
    return str(Length(Fraction(round(value * 1e9 / DIAL) * DIAL), unit="in"))


def ruled(value: float, parts: int = 16) -> str:
    """A length [m] as a rule has it, to the nearest of so many ``parts`` of an inch."""
    whole, rest = divmod(round(value / 0.0254 * parts), parts)
    return f"{whole} {Fraction(rest, parts)} in" if whole and rest else f"{Fraction(rest, parts) or whole} in"

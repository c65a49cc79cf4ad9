"""The simulated bench goes on: finished strips, glued sections, flats, bend tests. All invented, the truth handed back.

What the strips really are is drawn first; gauge, hand, glue and scraper then do to it what they do at a bench, and only
what they show goes into the shop, through the verbs a maker uses. Who plays can so compare what the proof says with
what was put in.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from datetime import timedelta
from random import Random

import numpy as np

from culmwright.bench.judge import Stage
from culmwright.bench.passes import THOU
from culmwright.bench.targets import schedule
from culmwright.design.rod import Rod
from culmwright.design.strip import glue_offset
from culmwright.ledger.shop import Shop
from culmwright.measure.lengths import Length
from culmwright.measure.quantities import Kind, parse_quantity
from culmwright.measure.spot import Spot
from culmwright.mechanics.beam import Array
from culmwright.mechanics.modes import first_modes
from culmwright.mechanics.rod_beam import rod_beam
from culmwright.mechanics.statics import Load, bend_beam
from culmwright.proof.as_built import rod_as_built
from culmwright.proof.built import Built, built_of, caliper_over
from culmwright.proof.doubt import usual
from culmwright.proof.evidence import strips_read
from culmwright.proof.measures import pairs
from culmwright.proof.seat import seated
from culmwright.proof.unlike import Strip, Unlike
from culmwright.workshop.flats import keep_flats
from culmwright.workshop.flexing import keep_drops, keep_rate
from culmwright.workshop.gluing import Glue, glue
from culmwright.workshop.layouts_kept import layout_kept
from culmwright.workshop.matching import keep_order, match
from culmwright.workshop.noting import EventKind, note
from culmwright.workshop.opening import Begun
from culmwright.workshop.playing import SEED, SPOILED, START, Clock
from culmwright.workshop.playing_strips import MODULUS, bend_strips, cane_played, dialled, ruled, true_cane
from culmwright.workshop.reading import read
from culmwright.workshop.session import Said
from culmwright.workshop.strips_laid import Lines

STRIP = 0.4 * THOU  # [m] one finished strip against the next
WAVE = 0.3 * THOU  # [m] one station against the next
LEFT_OVER = {"T1": 0.5 * THOU, "B": 1.3 * THOU}  # [m] strips were left by this
THIN = ("T1", 25 * 0.0254, -1.5 * THOU)  # a place of the tip where the form lay too shallow
KEPT_THIN = "kept all the same: a thou thin at station 25"
GAUGE = 0.3 * THOU  # [m] the dial gauge shows too much by this
HAND = 0.3 * THOU  # [m] one reading against the next
CALIPER = -0.2 * THOU
SCRAPED = 1.15  # of what the file says
SCRAPED_EACH = 0.25 * THOU
SEAM = 0.8  # of what the file says
GLUE_USED = Glue("two-part glue", "A7", pot_life=3600.0, stated_at=296.15, cure=86400.0)
BENCH = 293.15  # [K]
WEIGHTS = ("1/2 oz", "1 oz", "1 1/2 oz", "2 oz")
RULE = "1/8 in"
SWINGS = 40
SPARE_CUT_TO = SPOILED[1]
"""The line of the cut list that spares are cut to: it so happens that of the strip that is spoiled."""


@dataclass(frozen=True, slots=True, eq=False)
class Truth:
    """What the invented rod really is: its rods with the true tapers and modulus, by tip, the faces behind them, what
    is left [m] of the crowns of each, and the cane of its strips.
    """

    rods: Mapping[int, Rod]
    built: Mapping[int, Built]
    crown: Mapping[int, Array]
    cane: Unlike


def play_on(shop: Shop, begun: Begun) -> Truth:
    """Play the finishing of a rod whose roughing was played: strips read, matched, glued, flats measured, bent."""
    random = Random(SEED + 1)
    clock = Clock(START + timedelta(days=16), random)
    note(shop, begun, EventKind.DRYING_ENDED, words="no lighter for two days", at=clock())
    note(shop, begun, EventKind.HEATED, words="in the oven, bound", at=clock.pause(hours=5))
    clock.pause(hours=20)
    rod = begun.rod
    heights: dict[str, dict[tuple[Length, int], float]] = {}
    for section in schedule(rod).sections:
        heights[section.section] = _heights(section.section, rod, random)
        _read_strips(shop, begun, section.section, heights[section.section], random, clock)
    rings = {}
    for section in schedule(rod).sections:
        cut_to = _cut_to(rod) if layout_kept(shop, begun, section.section) else None
        matched = match(shop, begun, section.section, cut_to=cut_to)
        keep_order(shop, begun, matched, cut_to=cut_to, at=clock.pause(minutes=10))
        rings[section.section] = matched.ring
    of_cane = Random(SEED + 2)
    cane = cane_played(rings, of_cane)
    bend_strips(shop, begun, heights, rings, cane, clock, of_cane)
    note(shop, begun, EventKind.NOTED, section=THIN[0], words=KEPT_THIN, at=clock.pause(minutes=20))
    for name in rings:
        mixed = clock.pause(hours=2)
        glue(shop, begun, name, GLUE_USED, bench=BENCH, mixed=mixed, bound=clock.pause(minutes=17))
    note(shop, begun, EventKind.GLUE_SET, words="unbound", at=clock.pause(days=3))
    truth = _truth(rod, heights, rings, cane, random)
    _measure(shop, begun, truth, random, clock)
    return truth


def _cut_to(rod: Rod) -> Lines:
    """Every strip to its own line of the cut list, the spares to one that is told."""
    return (*range(1, rod.sides + 1), *(SPARE_CUT_TO for _ in range(rod.bench.spares)))


def _heights(section: str, rod: Rod, random: Random) -> dict[tuple[Length, int], float]:
    """True heights [m] of a section's strips after finishing; the strip spoiled at roughing is left out."""
    targets = next(one for one in schedule(rod).sections if one.section == section)
    found = {}
    for strip in range(1, targets.strips + 1):
        if (section, strip) == SPOILED:
            continue
        own = random.gauss(0.0, STRIP) + LEFT_OVER.get(section, 0.0)
        for one in targets.stations:
            thin = THIN[2] if section == THIN[0] and abs(one.station - THIN[1]) < 1e-6 else 0.0
            found[one.place, strip] = one.height + own + thin + random.gauss(0.0, WAVE)
    return found


def _read_strips(
    shop: Shop, begun: Begun, section: str, heights: Mapping[tuple[Length, int], float], random: Random, clock: Clock
) -> None:
    strips = tuple(sorted({strip for _, strip in heights}))
    session = read(shop, begun, Stage.FINISH, (section,), strips, cut=1, gauge="G1", gauge_unit="in", person="Wren")
    session.wall = clock
    seconds = 0.0
    while (armed := session.armed) is not None:
        seconds += 9.0
        true = heights[armed.place.station, armed.place.strip] - armed.aim.height
        shown = armed.aim.reading + true + GAUGE + random.gauss(0.0, HAND)
        if session.take(dialled(shown), seconds).said is Said.HELD:
            session.keep("read twice, it stays", seconds + 3.0)


def _truth(
    rod: Rod,
    heights: Mapping[str, Mapping[tuple[Length, int], float]],
    rings: Mapping[str, tuple[int, ...]],
    cane: Mapping[Strip, float],
    random: Random,
) -> Truth:
    """The rods that come of the true strips and their cane, with what glue and scraper really did."""
    unlike = true_cane(cane)
    finish = SCRAPED * rod.making.finish.m
    seam = glue_offset(rod.sides, SEAM * rod.making.glue_line.m)
    scraped: dict[tuple[str, Length], list[float]] = {
        (name, station): [finish + random.gauss(0.0, SCRAPED_EACH) for _ in range(rod.sides)]
        for name, cells in heights.items()
        for station in dict.fromkeys(station for station, _ in cells)
    }
    rods, builts, crowns = {}, {}, {}
    for tip in range(1, rod.tips + 1):
        parts = {one.name: strips_read(rod, one, heights[one.name], rings[one.name]) for one in rod.assembled(tip)}
        built = built_of(rod, parts, usual(rod), tip, unlike)
        faces = np.array(
            [
                [
                    seated(rod.form, heights[one.name][station, strip]) + seam - off
                    for strip, off in zip(rings[one.name], scraped[one.name, station], strict=True)
                ]
                for one in rod.assembled(tip)
                for station in one.stations
            ]
        )
        crowns[tip] = np.array(
            [
                [
                    rod.form.crown_left(heights[one.name][station, strip], off)
                    for strip, off in zip(rings[one.name], scraped[one.name, station], strict=True)
                ]
                for one in rod.assembled(tip)
                for station in one.stations
            ]
        )
        builts[tip] = replace(built, faces=faces)
        rods[tip] = rod_as_built(builts[tip], replace(rod.cane.modulus, value=MODULUS, spread=None))
    return Truth(rods, builts, crowns, unlike)


def _measure(shop: Shop, begun: Begun, truth: Truth, random: Random, clock: Clock) -> None:
    """Flats of the glued sections over every station, then the first tip's drops and swings."""
    rod = begun.rod
    done = set()
    for tip, built in truth.built.items():
        node = 0
        for one in built.sections:
            for station in one.stations:
                if one.name not in done:
                    values = [
                        dialled(
                            caliper_over(built.faces[node], truth.crown[tip][node], way)
                            + CALIPER
                            + random.gauss(0.0, HAND)
                        )
                        for way in range(1, pairs(rod.sides) + 1)
                    ]
                    keep_flats(shop, begun, Spot(one.name, None, station), values, at=clock())
                node += 1
            done.add(one.name)
    beam = rod_beam(truth.rods[1], 1)
    rest = bend_beam(beam, Load()).tip_drop
    drops = []
    for weight in WEIGHTS:
        drop = bend_beam(beam, Load(parse_quantity(weight, Kind.LOAD))).tip_drop - rest
        drops.append((weight, ruled(drop, 8)))
    keep_drops(shop, begun, drops, RULE, at=clock.pause(days=2))
    seconds = SWINGS / first_modes(beam)[0].frequency + random.uniform(-0.15, 0.15)
    keep_rate(shop, begun, SWINGS, round(seconds, 1), at=clock())

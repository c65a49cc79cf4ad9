"""``learn``: what the finished strips of all rods of the shop say, rig by rig, and what to aim for next time."""

from __future__ import annotations

import json
from dataclasses import dataclass

import numpy as np

from culmwright.bench.judge import Stage
from culmwright.book.leaf import Block, Leaf, Rows, Words
from culmwright.book.ruler import Ruler
from culmwright.ledger.dockets import dockets
from culmwright.ledger.frozen import rods
from culmwright.ledger.shop import Shop
from culmwright.measure.display import Display
from culmwright.proof.learning import QUARTERS, QuarterBias, RigLesson, StripRun, lessons
from culmwright.workshop.judging import StripState, bench_state
from culmwright.workshop.opening import Begun, find
from culmwright.workshop.setting_kept import KIND as SETTINGS

UNNAMED = "no rig noted"
QUARTER_NAMES = ("the tip-end quarter", "the second quarter", "the third quarter", "the butt-end quarter")


@dataclass(frozen=True, slots=True)
class Learnt:
    """What the shop's rods say: a lesson for every rig, and words."""

    lessons: tuple[RigLesson, ...]
    notes: tuple[str, ...] = ()


def learn(shop: Shop) -> Learnt:
    """The lessons of every section of the shop whose strips were finished and read through."""
    runs = [run for one in rods(shop) for run in _runs(shop, find(shop, one.code))]
    notes = () if runs else ("no section is finished and read through yet",)
    return Learnt(lessons(runs), notes)


def _runs(shop: Shop, begun: Begun) -> list[StripRun]:
    rigs = _rigs(shop, begun)
    found = []
    for section in begun.rod.sections():
        strips = [
            one
            for one in bench_state(shop, begun).strips
            if one.stage is Stage.FINISH and one.section == section.name and len(one.judgement.stations) == one.stations
        ]
        if strips:
            over = np.array([_row(one) for one in strips])
            places = np.array([(place.m - section.start.m) / section.length for place in section.stations])
            found.append(StripRun(begun.revision.code, section.name, rigs.get(section.name, UNNAMED), places, over))
    return found


def _row(strip: StripState) -> list[float]:
    return [one.deviation for one in sorted(strip.judgement.stations, key=lambda one: one.aim.station)]


def _rigs(shop: Shop, begun: Begun) -> dict[str, str]:
    """The rig last set for the finished taper of each section."""
    found: dict[str, str] = {}
    for one in dockets(shop, SETTINGS, rod=begun.revision.rod):
        said = json.loads(one.text)
        if one.section is not None and not said["rough"]:
            found[one.section] = said["rig"]
    return found


def words_of(learnt: Learnt, show: Display) -> tuple[str, ...]:
    """The lessons in sentences."""
    said = [f"{note[0].upper()}{note[1:]}." for note in learnt.notes]
    for one in learnt.lessons:
        said.append(
            f"{one.rig[0].upper()}{one.rig[1:]}: {one.strips} strips at {one.runs} "
            f"setting{'s' if one.runs > 1 else ''}, of {', '.join(one.rods)}."
        )
        if one.between is not None and one.within is not None:
            said.append(
                f"Strips differ by {show.small(one.between)} from each other and by {show.small(one.within)} along "
                "themselves (standard deviations)."
            )
        told = [quarter for quarter in one.quarters if quarter.told]
        for quarter in told:
            side = "over" if quarter.bias > 0 else "under"
            aim = "below" if quarter.aim < 0 else "above"
            said.append(
                f"In {_part(quarter)} they come out {show.small(abs(quarter.bias))} {side} "
                f"(± {show.small(quarter.doubt or 0.0)}): aim {show.small(abs(quarter.aim))} {aim} the target there."
            )
        if not told:
            enough = "no bias stands out of the scatter" if one.runs > 2 else "too few settings to tell a bias"
            said.append(f"{enough[0].upper()}{enough[1:]}: aim at the target.")
    return tuple(said)


def _part(quarter: QuarterBias) -> str:
    return QUARTER_NAMES[QUARTERS.index(quarter.start)]


def leaves_of(shop: Shop, begun: Begun, ruler: Ruler) -> tuple[Leaf, ...]:
    """What the shop has learnt, once this rod has a finished section to add to it."""
    return (lessons_leaf(learn(shop), begun.rod.display),) if _runs(shop, begun) else ()


def lessons_leaf(learnt: Learnt, show: Display) -> Leaf:
    """What the shop's rods say, rig by rig."""
    blocks: list[Block] = [Words(one) for one in words_of(learnt, show)]
    rows = tuple(
        (
            one.rig,
            _part(quarter),
            str(quarter.runs),
            show.small.number(quarter.bias),
            "–" if quarter.doubt is None else show.small.number(quarter.doubt),
            show.small.number(quarter.aim) if quarter.told else "as drawn",
        )
        for one in learnt.lessons
        for quarter in one.quarters
    )
    if not rows:
        return Leaf("What the shop's rods say", tuple(blocks))
    unit = show.small.unit
    heads = ("rig", "part of the section", "settings", f"built less drawn, {unit}", f"doubt, {unit}", f"aim, {unit}")
    blocks.append(Rows(heads, rows, "Bias by part of the section", lead=2))
    return Leaf("What the shop's rods say", tuple(blocks))

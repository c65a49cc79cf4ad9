"""``learn``: what the finished strips of all rods of the shop say, rig by rig, and what to aim for next time."""

from __future__ import annotations

import json
from dataclasses import dataclass, replace

import numpy as np

from culmwright.bench.judge import Stage
from culmwright.book.leaf import Block, Leaf, Rows, Words
from culmwright.book.ruler import Ruler
from culmwright.ledger.dockets import dockets
from culmwright.ledger.frozen import revisions, rods
from culmwright.ledger.shop import Shop
from culmwright.measure.display import INCH_DISPLAY, METRIC_DISPLAY, Display
from culmwright.mechanics.beam import Array
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


def usual_display(shop: Shop) -> Display:
    """The display most rods of the shop are drawn in, the newest rod's where they are even; inches in an empty shop."""
    every = [find(shop, one.code).rod.display for one in rods(shop)]
    metric = 2 * sum(one.bare == "mm" for one in every) - len(every)
    if metric:
        return METRIC_DISPLAY if metric > 0 else INCH_DISPLAY
    return every[-1] if every else INCH_DISPLAY


def learn(shop: Shop) -> Learnt:
    """The lessons of every section of the shop whose strips were finished and read through."""
    every = [find(shop, f"{rod.code}.{one.revision}") for rod in rods(shop) for one in revisions(shop, rod.rod)]
    runs = [run for begun in every for run in _runs(shop, begun)]
    notes = () if runs else ("no section is finished and read through yet",)
    found = (replace(one, quarters=()) if one.rig == UNNAMED else one for one in lessons(runs))
    return Learnt(tuple(found), notes)  # of rigs unknown, perhaps several, a bias would be nobody's


def _runs(shop: Shop, begun: Begun) -> list[StripRun]:
    """The runs of a rod as frozen; sections for which the screws were left as they stood are one run."""
    settings = _settings(shop, begun)
    found: dict[object, StripRun] = {}
    for section in begun.rod.sections():
        strips = [
            one
            for one in bench_state(shop, begun).strips
            if one.stage is Stage.FINISH and one.section == section.name and len(one.judgement.stations) == one.stations
        ]
        if not strips:
            continue
        over = np.array([_row(one) for one in strips])
        places = np.array([(place.m - section.start.m) / section.length for place in section.stations])
        rig, setting = settings.get(section.name, (UNNAMED, section.name))
        same = found.get((rig, setting))
        if same is not None and _alike(same.places, places):
            name, over = f"{same.section} {section.name}", np.vstack([same.over, over])
        else:
            name = section.name
            setting = setting if same is None else section.name
        found[rig, setting] = StripRun(begun.revision.code, name, rig, places, over)
    return list(found.values())


def _alike(these: Array, those: Array) -> bool:
    """True where two sections were read at the same shares of their length."""
    return these.shape == those.shape and bool(np.allclose(these, those))


def _row(strip: StripState) -> list[float]:
    return [one.deviation for one in sorted(strip.judgement.stations, key=lambda one: one.aim.station)]


def _settings(shop: Shop, begun: Begun) -> dict[str, tuple[str, object]]:
    """The rig last set for the finished taper of each section, and which setting of its screws that was."""
    found: dict[str, tuple[str, object]] = {}
    stands: dict[str, tuple[list[float], float, int]] = {}
    for one in dockets(shop, SETTINGS):
        said = json.loads(one.text)
        turns, tip_end, setting = stands.get(said["rig"], ([], 0.0, 0))
        if (turns, tip_end) != (said["turns"], said["tip_end"]):
            setting = one.seq
        stands[said["rig"]] = (said["turns"], said["tip_end"], setting)
        if one.rod == begun.revision.rod and one.section is not None and not said["rough"]:
            found[one.section] = (said["rig"], setting)
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
        if one.rig == UNNAMED:
            said.append("No bias is told: they may be of several rigs. Note the rig with settings --done.")
            continue
        told = [quarter for quarter in one.quarters if quarter.told]
        for quarter in told:
            side = "over" if quarter.bias > 0 else "under"
            aim = "below" if quarter.aim < 0 else "above"
            said.append(
                f"In {_part(quarter)} they come out {show.small(abs(quarter.bias))} {side} "
                f"in the mean, known to {show.small(quarter.doubt or 0.0)} (one sigma): "
                f"aim {show.small(abs(quarter.aim))} {aim} the target there."
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

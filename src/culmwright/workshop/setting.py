"""``settings``: how a rig's screws stand for a section of a rod."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from functools import lru_cache
from os import PathLike

from culmwright.bench.targets import SectionTargets, schedule
from culmwright.design.rod import Rod as Rod
from culmwright.measure.errors import BadInput
from culmwright.measure.reckoning import Explanation, rungs
from culmwright.rigs.correction import Correction as Correction
from culmwright.rigs.correction import correction as correction
from culmwright.rigs.curve import Curve
from culmwright.rigs.rig import Rig
from culmwright.rigs.rig_file import read_rig
from culmwright.rigs.setting_records import AdjusterSetting as AdjusterSetting
from culmwright.rigs.setting_records import Settings as Settings
from culmwright.rigs.setting_records import Wanted
from culmwright.rigs.settings import settings_for


def settings(
    rod: Rod,
    rig: Rig | str | PathLike[str],
    section: str,
    *,
    groove: str | None = None,
    tip_end: float | None = None,
    rough: bool = False,
    now: Sequence[float] | None = None,
) -> Settings:
    """How the screws of ``rig``, a rig or its file, stand for the strips of a ``section`` of ``rod``.

    Lengths in metres. ``groove`` names one where the first that fits is not meant; ``tip_end`` [m] fixes where the
    section's tip end lies along the rig, else the place that fits best is found; ``rough`` takes the roughed heights;
    ``now`` is where each screw stands, in turns [-], else the rig file's. Raises :class:`BadInput` where rod and rig do
    not go together.
    """
    if not isinstance(rig, Rig):
        rig = read_rig(rig)
    shown = replace(rig, display=rod.display)  # one unit in all its words, whichever the rig's file is in
    return _set(shown, wanted(rod, section, rough=rough), groove, tip_end, None if now is None else tuple(now))


@lru_cache(maxsize=64)
def _set(rig: Rig, asked: Wanted, groove: str | None, tip_end: float | None, now: tuple[float, ...] | None) -> Settings:
    """The same rig and strip stand the same way every time: a page and its book ask again and again."""
    return settings_for(rig, asked, groove=groove, tip_end=tip_end, now=now)


def wanted(rod: Rod, section: str, *, rough: bool = False) -> Wanted:
    """The strip heights [m] of a section, counted from its tip end."""
    targets = _section(rod, section)
    start = targets.stations[0].station
    heights = tuple(one.rough_height if rough else one.height for one in targets.stations)
    places = tuple(one.station - start for one in targets.stations)
    what, over = ("roughed", rod.making.rough_over.m) if rough else ("finished, dry", 0.0)
    return Wanted(targets.section, rod.form, Curve(places, heights), what, over)


def turns_of(found: Settings, number: int) -> Explanation:
    """The working behind the turn of adjuster ``number``."""
    asked = found.adjusters[number - 1].working
    spot = f"{found.rig}, adjuster {number}, for {found.section}"
    return Explanation(spot, asked.step, asked.value, asked.unit, rungs(asked), (), found.warnings)


def _section(rod: Rod, name: str) -> SectionTargets:
    every = schedule(rod).sections
    found = next((one for one in every if one.section == name.upper()), None)
    if found is None:
        names = ", ".join(one.section for one in every)
        raise BadInput(f'this rod has no section "{name}"', where="--section", remedy=f"Its sections are {names}")
    return found

"""``bend``: how a rod bends under a load, how the bend is shared, and how far loads can go."""

from __future__ import annotations

from dataclasses import dataclass
from itertools import pairwise
from math import degrees, isfinite, pi
from typing import Any

import numpy as np

from culmwright.design.rod import Rod
from culmwright.measure.errors import AnswerIsNo, BadInput
from culmwright.measure.record import si
from culmwright.mechanics.beam import Beam
from culmwright.mechanics.load_curve import LoadCurve, load_curve, nearest, quarter_load
from culmwright.mechanics.rod_beam import beam_notes, rod_beam
from culmwright.mechanics.statics import DOWN, Bent, Load, bend_surely
from culmwright.mechanics.statics import first_bend as first_bend

STRAIGHT = 1e-9
"""A rod that turns by less than this [rad] in all is straight: what is left is rounding, and has no shares."""


@dataclass(frozen=True, slots=True)
class BentShape:
    """The rod at rest from clamp to tip, node by node: arc length [m], place [m], angle [rad] and stress [Pa].

    World axes: origin at the clamp, x horizontal, y up; ``angle`` above the horizontal; ``stress`` that of the
    outermost cane fibre.
    """

    s: tuple[float, ...] = si("m")
    x: tuple[float, ...] = si("m")
    y: tuple[float, ...] = si("m")
    angle: tuple[float, ...] = si("rad")
    stress: tuple[float, ...] = si("Pa")


@dataclass(frozen=True, slots=True)
class BendShare:
    """The rod between two stations [m from the tip]: how far it turns there [rad], and which share of all that is.

    Of a rod that bends both ways all its turns count, either way; a share below zero bends against the most.
    """

    station: float = si("m")
    to_station: float = si("m")
    turn: float = si("rad")
    share: float = si("-")


@dataclass(frozen=True, slots=True)
class LoadDrop:
    """A hanging load [N] on the level rod and how far its tip comes down [m], below the straight rod's."""

    load: float = si("N")
    drop: float = si("m")


@dataclass(frozen=True, slots=True)
class Bend:
    """A rod bent by a load. Where it did not ``converge`` the figures are None and ``reason`` says why.

    ``curve`` runs from no load to the one at which the cane first meets its stress limit, ``limit_load``, near
    ``limit_station``. The curve and ``quarter_load`` are of the rod held level with a hanging load, whatever was asked.
    ``modulus`` is that of the cane, and ``modulus_source`` says who says so.
    """

    name: str
    tip: int
    load: float = si("N")
    attitude: float = si("rad")
    direction: float = si("rad")
    weight: bool = True
    through_guides: bool = False
    converged: bool = True
    reason: str = ""
    tip_drop: float | None = si("m", required=False)
    tip_shortening: float | None = si("m", required=False)
    tip_angle: float | None = si("rad", required=False)
    shape: BentShape | None = None
    shares: tuple[BendShare, ...] = ()
    half_station: float | None = si("m", required=False)
    greatest_stress: float | None = si("Pa", required=False)
    greatest_station: float | None = si("m", required=False)
    stress_limit: float | None = si("Pa", required=False)
    quarter_load: float | None = si("N", required=False)
    curve: tuple[LoadDrop, ...] = ()
    limit_load: float | None = si("N", required=False)
    limit_station: float | None = si("m", required=False)
    modulus: float | None = si("Pa", required=False)
    modulus_source: str = ""
    notes: tuple[str, ...] = ()
    warnings: tuple[str, ...] = ()


def bend(
    rod: Rod,
    load: float,
    attitude: float = 0.0,
    *,
    weight: bool = True,
    through_guides: bool = False,
    direction: float = DOWN,
    tip: int = 1,
) -> Bend:
    """How ``rod`` rests under ``load`` [N], held fast up to its grip's front at ``attitude`` [rad].

    Angles count from the horizontal, up. The load hangs at the tip, or pulls in ``direction`` [rad];
    ``through_guides`` makes it the tension of a line that runs through the guides listed. ``weight`` counts the rod's
    own. Raises :class:`BadInput` for what cannot be a load, an attitude, a tip; where no rest is found the
    answer says so.
    """
    _check(load, attitude, direction)
    asked = Load(load, direction, attitude, weight, through_guides)
    beam = rod_beam(rod, tip)
    limit = rod.cane.stress_limit.value if rod.cane.stress_limit else None
    reason, bent = "", None
    try:
        bent = bend_surely(beam, asked)
    except AnswerIsNo as none:
        reason = f"{none.what}. {none.remedy}"
    curve, curve_notes = _curve(beam, limit, weight)
    quarter, quarter_notes = _quarter(beam, weight)
    stations = _stations(rod, tip)
    found = _figures(bent, stations) if bent else {}
    warnings = list(rod.warnings)
    if bent and limit is not None and found["greatest_stress"] > limit:
        at = rod.display.near(found["greatest_station"])
        warnings.append(
            f"the stress near {at} is {found['greatest_stress'] / limit:.0%} of the limit: this load may break the rod"
        )
    place = curve.limit_place
    return Bend(
        name=rod.name,
        tip=tip,
        load=load,
        attitude=attitude,
        direction=direction,
        weight=weight,
        through_guides=through_guides,
        converged=bent is not None,
        reason=reason,
        stress_limit=limit,
        quarter_load=quarter,
        curve=tuple(LoadDrop(*pair) for pair in zip(curve.loads, curve.drops, strict=True)),
        limit_load=curve.limit_load,
        limit_station=None if place is None else nearest(stations, beam.length - place),
        modulus=rod.cane.modulus.value,
        modulus_source=rod.cane.modulus.source,
        notes=(*beam_notes(rod), *curve_notes, *quarter_notes),
        warnings=tuple(warnings),
        **found,
    )


def _check(load: float, attitude: float, direction: float) -> None:
    if not (isfinite(load) and load >= 0):
        raise BadInput(
            f"a load of {load:g} N does not pull", remedy="Give one from zero up, and with a direction where it pulls"
        )
    for name, angle in (("attitude", attitude), ("direction", direction)):
        if not (isfinite(angle) and abs(angle) <= pi):
            raise BadInput(
                f"{degrees(angle):g} deg is no {name}", remedy="Give degrees above the horizontal, -180 to 180"
            )


def _stations(rod: Rod, tip: int) -> list[float]:
    """The grip's front and every drawn station forward of it [m from the tip], grip first, each once."""
    free = rod.length.m - rod.grip.m
    drawn = {station.m for station, _ in rod.drawn_stations(tip)}
    return [free, *sorted((one for one in drawn if one < free - 1e-9), reverse=True)]


def _figures(bent: Bent, stations: list[float]) -> dict[str, Any]:
    stress = bent.stress()
    length = bent.beam.length
    turns = bent.turn_between(np.array([length - one for one in stations]))
    whole, way = float(np.abs(turns).sum()), 1.0 if turns.sum() >= 0 else -1.0
    bends = whole > STRAIGHT
    shares = tuple(
        BendShare(low, high, float(turn), way * float(turn) / whole if bends else 0.0)
        for (low, high), turn in zip(pairwise(stations), turns, strict=True)
    )
    half = (bent.angle[0] + bent.angle[-1]) / 2
    one_way = bends and bool(np.all(way * np.diff(bent.angle) <= 0))
    return {
        "tip_drop": bent.tip_drop,
        "tip_shortening": bent.tip_shortening,
        "tip_angle": bent.tip_angle,
        "shape": BentShape(*(tuple(one.tolist()) for one in (bent.s, bent.x, bent.y, bent.angle, stress))),
        "shares": shares,
        "half_station": length - float(np.interp(-way * half, -way * bent.angle, bent.s)) if one_way else None,
        "greatest_stress": float(stress.max()),
        "greatest_station": nearest(stations, length - float(bent.s[int(np.argmax(stress))])) if bends else None,
    }


def _curve(beam: Beam, limit: float | None, weight: bool) -> tuple[LoadCurve, tuple[str, ...]]:
    try:
        curve = load_curve(beam, limit, weight)
    except AnswerIsNo as none:
        return LoadCurve((), ()), (f"there is no curve of load and drop: {none.what}",)
    if limit is None:
        return curve, ("the file gives no stress limit: the curve ends where the tip hangs far down",)
    if curve.limit_load is None:
        return curve, ("under its own weight the rod is already beyond its stress limit",)
    return curve, ()


def _quarter(beam: Beam, weight: bool) -> tuple[float | None, tuple[str, ...]]:
    try:
        return quarter_load(beam, weight).load.pull, ()
    except AnswerIsNo as none:
        return None, (f"there is no quarter load: {none.what}",)

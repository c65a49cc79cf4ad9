"""The working behind one adjuster's turn."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Protocol

from culmwright.design.strip import StripForm
from culmwright.measure.reckoning import GEOMETRY, Reckoning
from culmwright.rigs.curve import Curve
from culmwright.rigs.rig import Groove, GroovedForm, Rig

RIG_FILE = "rig file"
PROGRAMME = "least greatest departure, linear programme"


class Cut(Protocol):
    """What is to be cut: the strip's form and its heights [m] from the section's tip end."""

    @property
    def form(self) -> StripForm:
        """The strip's form."""

    @property
    def over(self) -> float:
        """How much higher than finished they are [m]."""

    @property
    def heights(self) -> Curve:
        """Heights [m] from the section's tip end."""


def working(rig: Rig, grooves: Sequence[Groove], cut: Cut, place: float, start: float, u: float) -> Reckoning:
    """The turn [-] of the screw at ``place`` [m] that opens or lifts by ``u`` [m], down from the strip's height.

    ``start`` [m] is where the section's tip end lies. Beyond the strip there is nothing wanted: the bar's own run.
    """
    here = place - start
    on_strip = 0 <= here <= cut.heights.places[-1]
    height = Reckoning(
        "strip height wanted here", cut.heights.at(here), "m", "strip schedule, straight between stations", GEOMETRY
    )
    travel = Reckoning("one turn moves", rig.adjusters.screw.travel, "m", _turn_rule(rig), RIG_FILE)
    if isinstance(rig.moved, GroovedForm):
        groove = grooves[0]
        zero = Reckoning("groove's depth with the screws at zero", groove.zero.at(place), "m", "zero", RIG_FILE)
        depth = zero.value + groove.depth_per_opening * u
        wanted = Reckoning(
            "depth wanted, onto a flank",
            height.value * cut.form.flank_altitude,
            "m",
            "2 height sin(apex/2)",
            GEOMETRY,
            (height,),
        )
        set_to = _set(depth, wanted, "groove's depth here", on_strip)
        per = Reckoning(
            "depth gained per opening", groove.depth_per_opening, "-", "1/(cot p + cot q), walls p and q", GEOMETRY
        )
        opening = Reckoning(
            "opening of the bars", u, "m", "(depth - zero)/gained per opening", GEOMETRY, (set_to, zero, per)
        )
    else:
        stop = Reckoning(
            "stop above the bed's zero plane",
            rig.moved.stop + cut.over,
            "m",
            "stop" + (" + rough_over" if cut.over else ""),
            RIG_FILE,
        )
        zero = Reckoning("bed's height with the screws at zero", rig.moved.zero.at(place), "m", "zero", RIG_FILE)
        set_to = _set(stop.value - zero.value - u, height, "height cut here", on_strip)
        opening = Reckoning("lift", u, "m", "stop - zero - height", GEOMETRY, (stop, zero, set_to))
    return Reckoning("turns from zero", u / travel.value, "-", f"{opening.step}/one turn", GEOMETRY, (opening, travel))


def _set(value: float, wanted: Reckoning, step: str, on_strip: bool) -> Reckoning:
    if not on_strip:
        return Reckoning(step, value, "m", "beyond the strip: the bar bent least", PROGRAMME)
    off = Reckoning(
        "departure taken here", value - wanted.value, "m", "so that the greatest anywhere is least", PROGRAMME
    )
    return Reckoning(step, value, "m", "wanted + departure", PROGRAMME, (wanted, off))


def _turn_rule(rig: Rig) -> str:
    screw = rig.adjusters.screw
    if screw.second is None:
        return "pitch"
    return "pitch and second pitch, their difference" if screw.hands.value == "same" else "pitch + second pitch"

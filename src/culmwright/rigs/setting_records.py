"""What a rig is to cut, and how it is set for it: the records of adjuster settings.

``departure`` is what the rig gives beyond what is wanted: on a form depth against depth onto a flank, on a bed strip
height against strip height; above zero the strip comes out over.
"""

from __future__ import annotations

from dataclasses import dataclass, field

from culmwright.design.strip import StripForm
from culmwright.measure.reckoning import Reckoning
from culmwright.measure.record import si
from culmwright.rigs.curve import Curve
from culmwright.rigs.rig import Dial, Groove
from culmwright.rigs.screw import Screw


@dataclass(frozen=True, slots=True)
class Wanted:
    """What a rig is to cut: the ``heights`` [m] of a strip of ``form`` at places from its ``section``'s tip end.

    ``what`` says which height, finished or roughed; ``over`` how much higher than finished that is [m].
    """

    section: str
    form: StripForm
    heights: Curve
    what: str = "finished, dry"
    over: float = 0.0

    @property
    def length(self) -> float:
        """Shoulder to shoulder [m]."""
        return self.heights.places[-1]


@dataclass(frozen=True, slots=True)
class AdjusterSetting:
    """One adjuster: its ``number`` from the rig's tip end, its ``place`` along the rig, and how it is to stand.

    ``position`` counts from the section's tip end; ``depth`` is the groove's depth or the bed's lift there; ``turn``
    from closed or zero, opening positive; ``shown`` what the depth gauge shows; ``from_now`` the turn from where it
    stands; ``plain_turn`` the turn of the plain way; ``limit`` what holds it, empty where nothing does.
    """

    number: int = si("-")
    place: float = si("m")
    position: float = si("m")
    under_strip: bool = si("")
    depth: float = si("m")
    shown: float | None = si("m")
    opening: float = si("m")
    turn: float = si("-")
    from_now: float | None = si("-")
    plain_depth: float = si("m")
    plain_turn: float = si("-")
    limit: str = si("")
    working: Reckoning = field(metadata={"hidden": True}, kw_only=True)


@dataclass(frozen=True, slots=True)
class Miss:
    """A stretch of the strip, from ``start`` to ``end`` of it, off by more than a thou, ``most`` of all by that."""

    start: float = si("m")
    end: float = si("m")
    most: float = si("m")


@dataclass(frozen=True, slots=True)
class Along:
    """Departures along the strip, counted from its section's tip end: as set, and the plain way."""

    position: tuple[float, ...] = si("m")
    departure: tuple[float, ...] = si("m")
    plain_departure: tuple[float, ...] = si("m")


@dataclass(frozen=True, slots=True)
class Settings:
    """How a rig is set for a section.

    ``tip_end`` is where the section's tip end lies along the rig, ``hole`` the hole or stop that fixes it there;
    ``worst_places`` every place where the worst departure stands; ``least_departure`` the worst there would be with
    screws beyond the strip used as levers; ``as_set_departure`` the worst with screws set to the steps they have;
    ``plain_departure`` the worst of setting the adjusters exactly, at ``plain_place``; ``met`` False where limits of
    the rig keep the taper from being cut. ``stop`` is a bed's, for these heights; ``least`` and ``most`` how far its
    adjusters open or lift [m].
    """

    section: str
    rig: str
    kind: str
    grooves: tuple[str, ...]
    what: str
    tip_end: float = si("m")
    hole: float | None = si("m")
    length: float = si("m")
    stop: float | None = si("m")
    adjusters: tuple[AdjusterSetting, ...] = si("")
    worst_departure: float = si("m")
    worst_places: tuple[float, ...] = si("m")
    least_departure: float = si("m")
    worst_height: float = si("m")
    as_set_departure: float = si("m")
    mean_departure: float = si("m")
    plain_departure: float = si("m")
    plain_place: float = si("m")
    met: bool = si("")
    misses: tuple[Miss, ...] = si("")
    along: Along = si("")
    notes: tuple[str, ...] = si("")
    warnings: tuple[str, ...] = si("")
    screw: Screw = field(metadata={"hidden": True}, kw_only=True)
    form: StripForm = field(metadata={"hidden": True}, kw_only=True)
    lies: tuple[Groove, ...] = field(metadata={"hidden": True}, kw_only=True)
    dial: Dial | None = field(metadata={"hidden": True}, kw_only=True)
    least: float = field(metadata={"hidden": True}, kw_only=True)
    most: float | None = field(metadata={"hidden": True}, kw_only=True)

    def turned(self, turn: float) -> str:
        """A turn [-] from closed or zero in words; below zero with a minus."""
        words = self.screw.words(turn)
        return f"-{words}" if turn < -self.screw.step / 2 else words

    def brief(self, turn: float) -> str:
        """A turn [-] from closed or zero for a table; below zero with its word."""
        return f"{self.ways[1]} {self.screw.brief(turn)}" if turn < -self.screw.step / 2 else self.screw.brief(turn)

    def brief_move(self, turn: float) -> str:
        """A turn [-] from where a screw stands, for a table: ``open 1 + 40°``."""
        if not round(turn / self.screw.step):
            return "leave"
        return f"{self.ways[0] if turn > 0 else self.ways[1]} {self.screw.brief(turn)}"

    @property
    def ways(self) -> tuple[str, str]:
        """What a screw does turned either way: ``open`` and ``close`` of a form, ``lift`` and ``lower`` of a bed."""
        return ("open", "close") if self.kind == "form" else ("lift", "lower")

    def move(self, turn: float) -> str:
        """A turn [-] of a screw from where it stands, in words: ``open 1 turn 40 deg, clockwise``."""
        return self.screw.move(turn, *self.ways)

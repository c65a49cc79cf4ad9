"""The rig: any device that bevels strips; a steel form with an adjustable groove, or a guided bed.

Places along a rig count from its tip end, the end where the tip of a strip comes to lie.
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import Enum
from math import degrees, pi, tan

from culmwright.measure.display import Display, Format
from culmwright.rigs.curve import Curve
from culmwright.rigs.depth_gauge import Point
from culmwright.rigs.screw import Screw


class End(Enum):
    """An end of a strip."""

    TIP = "tip"
    BUTT = "butt"


@dataclass(frozen=True, slots=True)
class Adjusters:
    """The adjusters of a rig: their ``places`` [m], their ``screw``, and how far they go.

    ``least`` and ``most`` opening or lift [m], ``most`` None where the file gives no limit; ``neighbour`` the greatest
    difference [m] between two neighbours, None without one; ``now`` the turns [-] each stands at, None if not known.
    """

    places: tuple[float, ...]
    screw: Screw
    least: float = 0.0
    most: float | None = None
    neighbour: float | None = None
    now: tuple[float, ...] | None = None


@dataclass(frozen=True, slots=True)
class Lay:
    """Where a strip can be fixed: ``holes`` [m] along the rig, which ``end`` of the section is fixed there, and how
    far the hole lies beyond that end, ``gap`` [m].
    """

    holes: tuple[float, ...]
    end: End
    gap: float


@dataclass(frozen=True, slots=True)
class Groove:
    """A groove between two bars: its walls [rad] from the horizontal, and its depth with every screw at zero [m].

    The strip's enamel lies on ``enamel_wall``, a flank on ``flank_wall``, the other flank up and level. In a
    ``mirrored`` groove the two walls have changed sides.
    """

    name: str
    sides: int
    mirrored: bool
    enamel_wall: float
    flank_wall: float
    zero: Curve

    @property
    def angle(self) -> float:
        """Angle of the groove [rad]: what the walls leave of 180 deg; a strip's base angle gamma fits it."""
        return pi - self.enamel_wall - self.flank_wall

    @property
    def depth_per_opening(self) -> float:
        """Depth a groove gains when the bars part by one [-]: ``1/(cot p + cot q)``.

        0.8660, 0.9511 and 1.0000 for 60/60, 54/72 and 45/90 deg.
        """
        return 1 / (1 / tan(self.enamel_wall) + 1 / tan(self.flank_wall))

    @property
    def apex(self) -> float:
        """Apex angle [rad] of a strip whose both flanks were cut with the enamel on this wall: 180 deg less twice it.

        Walls delta too steep put delta on both base angles and take 2 delta off the apex.
        """
        return pi - 2 * self.enamel_wall


@dataclass(frozen=True, slots=True)
class GroovedForm:
    """A steel form with adjustable grooves, all opened by the same screws; the ``point`` of its depth gauge or None."""

    grooves: tuple[Groove, ...]
    point: Point | None = None

    def for_sides(self, sides: int) -> tuple[Groove, ...]:
        """The grooves that strips of a rod with so many sides fit."""
        return tuple(one for one in self.grooves if one.sides == sides)


class DialWay(Enum):
    """Which way the figures of a stop's dial go when the cutter comes down."""

    UP = "up"
    DOWN = "down"


@dataclass(frozen=True, slots=True)
class Dial:
    """The dial of a stop: which ``way`` it counts when the cutter comes down, and what one ``division`` is [m]."""

    way: DialWay
    division: float

    def words(self, change: float) -> str:
        """A ``change`` [m] of the stop in words of the dial; below zero the cutter comes down.

        >>> Dial(DialWay.DOWN, 0.0000254).words(-0.00254)
        'down by 100'
        """
        count = Format("", self.division, 1, trimmed=True).number(abs(change))
        if count == "0":
            return "leave"
        falls = change < 0
        way = self.way if falls else DialWay.UP if self.way is DialWay.DOWN else DialWay.DOWN
        return f"{way.value} by {count}"


@dataclass(frozen=True, slots=True)
class Insert:
    """A bed insert of another ``material`` than its ``bed``, fixed at the place ``fixed`` [m].

    ``fitted`` is the temperature [K] it was fitted at, ``clearance`` [m] half of what its holes are wider than their
    screws; None where the file does not give them.
    """

    material: str
    bed: str
    fixed: float
    fitted: float | None
    clearance: float | None = None


@dataclass(frozen=True, slots=True)
class GuidedBed:
    """A bed that adjusters lift under a guided two-edged cutter at a ``stop`` [m] above the bed's zero plane.

    ``zero`` is how high the bed lies with every screw at zero [m].
    """

    stop: float
    dial: Dial | None
    zero: Curve
    insert: Insert | None = None


def new_stop(stop: float, reading: float, target: float) -> float:
    """Where the stop has to stand [m] so that a strip read at ``reading`` [m] comes to ``target`` [m].

    ``new stop = stop - (reading - target)``.
    """
    return stop - (reading - target)


def shallower(reading: float, target: float, flank_altitude: float) -> float:
    """How much shallower [m] a groove has to be for a strip that reads over its target [m]: ``e h_f/h``.

    ``flank_altitude`` is h_f/h [-]; below zero, deeper.
    """
    return (reading - target) * flank_altitude


@dataclass(frozen=True, slots=True)
class Rig:
    """A rig as its file says: ``name``, ``length`` [m], its adjusters, and what they move, a form or a bed."""

    name: str
    display: Display
    length: float
    adjusters: Adjusters
    moved: GroovedForm | GuidedBed
    lay: Lay | None = None
    warnings: tuple[str, ...] = ()

    @property
    def kind(self) -> str:
        """``form`` or ``bed``."""
        return "form" if isinstance(self.moved, GroovedForm) else "bed"


def wall_words(groove: Groove) -> str:
    """The walls of a groove in words: ``60/60 deg``."""
    return f"{degrees(groove.enamel_wall):.4g}/{degrees(groove.flank_wall):.4g} deg"

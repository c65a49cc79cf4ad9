"""What is scooped from the strips of a hollow rod: how deep below the apex, and what is left to glue."""

from __future__ import annotations

from dataclasses import dataclass
from math import cos

from culmwright.design.rod import Rod
from culmwright.measure.lengths import Length
from culmwright.measure.reckoning import GEOMETRY, ROD_FILE, Reckoning
from culmwright.measure.record import si


@dataclass(frozen=True, slots=True)
class Scoop:
    """One strip of a hollow rod at one station; every length in metres.

    ``wall`` is left in the finished rod under the bare enamel; ``left`` of the strip as planed, from the crown's top to
    the flat floor of the scoop; ``depth`` what the scoop takes, from the virtual apex; ``glue_width`` of each flank
    beside it as planed, up to where the crown begins. Just inside an end or a dam's edge: beyond it the strip stays
    whole.
    """

    station: float = si("m")
    wall: float = si("m")
    height: float = si("m")
    left: float = si("m")
    depth: float = si("m")
    glue_width: float = si("m")


def reckon_scoop(rod: Rod, station: Length, height: Reckoning) -> dict[str, Reckoning]:
    """``wall``, ``left``, ``scoop`` and ``glue_width`` [m] of a strip of ``height`` at ``station``; empty if solid.

    A flat floor at ``left = wall + finishing`` under the crown's top: ``scoop = height - left``. A flank ends where the
    enamel's arc begins, a crown below its top, so that from the floor it is ``(left - crown)/cos(apex/2)`` long.
    """
    wall = rod.hollow.wall(station.m) if rod.hollow else None
    if wall is None:
        return {}
    drawn = Reckoning("wall left in the finished rod", wall, "m", "[hollow] wall", ROD_FILE)
    finish = Reckoning("finishing takes off a flat", rod.making.finish.m, "m", "finish", ROD_FILE)
    left = Reckoning(
        "strip left over the scoop", wall + finish.value, "m", "wall + finishing", GEOMETRY, (drawn, finish)
    )
    depth = Reckoning(
        "depth of the scoop", max(height.value - left.value, 0.0), "m", "height - left", GEOMETRY, (height, left)
    )
    apex = Reckoning("apex angle of the strip", rod.form.apex_angle, "rad", "apex_angle", ROD_FILE)
    crowned = rod.form.crown(height.value)
    crown = () if crowned is None else (Reckoning("its crown", crowned, "m", "R - sqrt(R^2 - face^2/4)", GEOMETRY),)
    glue = Reckoning(
        "glue surface of a flank",
        max(left.value - (crowned or 0.0), 0.0) / cos(apex.value / 2),
        "m",
        "(left - crown)/cos(apex/2)" if crown else "left/cos(apex/2)",
        GEOMETRY,
        (left, *crown, apex),
    )
    return {"wall": drawn, "left": left, "scoop": depth, "glue_width": glue}

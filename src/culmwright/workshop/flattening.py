"""``flatten``: a node sanded flat, from the length of its spot to its depth or back, and what the depth costs."""

from __future__ import annotations

from dataclasses import dataclass

from culmwright.cane.flattening import Flattened, depth_of_spot, flattened, spot_of_depth
from culmwright.cane.gradient import OUTER_OVER_INNER, SOURCE
from culmwright.design.rod import Rod
from culmwright.measure.errors import BadInput
from culmwright.measure.reckoning import ROD_FILE
from culmwright.measure.record import si
from culmwright.mechanics.graded import Cost, Graded, cost_of


@dataclass(frozen=True, slots=True)
class NodeSpot:
    """A flattened node: its geometry, what it costs the section of a rod (None without one), and notes.

    ``for_spot`` and ``for_depth`` are the same spot told from either side.
    """

    node: Flattened
    spot: float = si("m")
    deep: float = si("m")
    cost: Cost | None = si("-")
    station: float | None = si("m")
    notes: tuple[str, ...] = si("-")


def flatten(
    bend: float,
    *,
    spot: float | None = None,
    deep: float | None = None,
    ridge: float = 0.0,
    proud: float | None = None,
    rod: Rod | None = None,
    station: float | None = None,
    wall: float | None = None,
    ratio: float = OUTER_OVER_INNER,
) -> NodeSpot:
    """A node on a strip bent to radius ``bend`` [m], sanded to a ``spot`` [m] long or ``deep`` [m].

    With a ``rod``, a ``station`` [m] and the culm's ``wall`` [m], what that depth on one flat costs in bending
    stiffness where cane is ``ratio`` [-] times as stiff under the enamel as inside; without a wall both are the rod
    file's, if it states them. Raises :class:`BadInput` where neither or both of spot and depth are given.
    """
    if (spot is None) == (deep is None):
        raise BadInput("a node has a spot or a depth", where="flatten", remedy="Give one of the two")
    long = spot_of_depth(bend, deep) if spot is None and deep is not None else spot or 0.0
    node = flattened(bend, long, ridge, proud)
    notes = []
    if node.deep is None:
        notes.append("the spot is no longer than the ridge: only ridge was taken, and it says nothing of a depth")
    cost = None
    if rod is not None and node.deep is not None:
        grading, source = rod.cane.grading, SOURCE
        if wall is None and grading is not None:
            wall, ratio, source = grading.wall.m, grading.ratio, ROD_FILE
        if station is None or wall is None:
            raise BadInput(
                "a station and the culm's wall are wanted with a rod", where="flatten", remedy="Give --at and --wall"
            )
        section = next((one for one in rod.assembled() if one.start.m <= station <= one.end.m), None)
        if section is None:
            raise BadInput("the rod has no such station", where="--at", remedy="Count from the tip")
        apothem = rod.bare_apothem(section.taper.at(station))
        cost = cost_of(Graded(rod.sides, apothem, wall, ratio), node.deep)
        notes.append(f"how stiffness falls through the wall: {source}")
        notes.append(
            "the cost is that of the section at the node, bent in the plane of this flat; along the rod it reaches as "
            "far as the spot"
        )
    return NodeSpot(node, long, depth_of_spot(bend, long), cost, station, tuple(notes))

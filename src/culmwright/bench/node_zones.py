"""Where on a section no node should fall: ferrules, the tip end, the grip's front, and guide feet if that is wanted."""

from __future__ import annotations

from dataclasses import dataclass

from culmwright.cane.task import Forbidden, Zone
from culmwright.design.rod import Rod, Section
from culmwright.measure.lengths import Length


@dataclass(frozen=True, slots=True)
class Margins:
    """How far nodes are kept from a rod's tender places.

    ``ferrule`` from a joint, or half the ferrule's length where the rod file gives more; ``tip_end`` from the tip;
    ``grip_end`` to either side of the grip's front; ``guide_foot`` to either side of a guide, None if it may be.
    """

    ferrule: Length
    tip_end: Length
    grip_end: Length
    guide_foot: Length | None = None


HALF_NODE = Length.parse("3/8 in")
"""A node whose middle is cut off by less than this still reaches onto the section: half of three quarters of an inch,
what a sanded node takes at most (common practice, no source)."""
USUAL = Margins(ferrule=Length.parse("2 in"), tip_end=Length.parse("4 in"), grip_end=Length.parse("1 in"))
"""What is usual where nothing is said (common practice, no source)."""


def zones(rod: Rod, section: Section, margins: Margins) -> tuple[Zone, ...]:
    """The forbidden zones of a section of ``rod``, from its tip end; a margin of nothing makes none.

    A zone that runs to an end of the section runs on beyond it by half a node.
    """
    start, length = _nano(section.start), _nano(section.end) - _nano(section.start)

    def zone(why: Forbidden, station: Length, before: int, behind: int) -> Zone | None:
        at, beyond = _nano(station) - start, _nano(HALF_NODE)
        low, high = at - before, at + behind
        if low > length or high < 0 or before + behind == 0:
            return None
        return Zone(why, low if low > 0 else -beyond, high if high < length else length + beyond)

    found: list[Zone | None] = []
    for ferrule in rod.ferrules:
        half = 0 if ferrule.length is None else _nano(ferrule.length) // 2
        reach = max(_nano(margins.ferrule), half)
        found.append(zone(Forbidden.FERRULE, ferrule.station, reach, reach))
    if section.start.nanometres == 0:
        found.append(zone(Forbidden.TIP_END, section.start, 0, _nano(margins.tip_end)))
    if rod.grip.nanometres:
        front = Length(rod.length.nanometres - rod.grip.nanometres)
        found.append(zone(Forbidden.GRIP_END, front, _nano(margins.grip_end), _nano(margins.grip_end)))
    if margins.guide_foot is not None:
        foot = _nano(margins.guide_foot)
        found += [zone(Forbidden.GUIDE_FOOT, guide.station, foot, foot) for guide in rod.guides]
    return tuple(one for one in found if one is not None)


def _nano(length: Length) -> int:
    return round(length.nanometres)

"""From a drawn rod to the beam it is: cane, varnish, ferrules, guides, and the line if it lies in them.

Only what the rod file lists is carried. Places here are arc length [m] from the grip's front; what lies under the
grip is in the clamp and bends nothing.
"""

from __future__ import annotations

from itertools import pairwise

import numpy as np

from culmwright.design.fittings import Ferrule
from culmwright.design.grading import TOLD_AT
from culmwright.design.line_standard import line_density
from culmwright.design.polygon import across as across_of
from culmwright.design.polygon import apothem, area, bending_modulus, second_moment
from culmwright.design.rod import Rod, Section
from culmwright.measure.errors import BadInput
from culmwright.measure.reckoning import MEASURED, ROD_FILE
from culmwright.mechanics.beam import SAME_PLACE, Beam, Stretch, beam_of
from culmwright.mechanics.graded import cane_shares
from culmwright.mechanics.loads import across_at
from culmwright.mechanics.stress import HOLLOW_NOTE

GOES_WITH_IT = (
    "the load for the same bend goes with it, less where own weight bends the rod; a rate by half as much; the load at "
    "the stress limit the other way, if at all"
)
"""What a modulus in doubt does to the figures [words]: a shape depends on loads over EI, own weight among them, the
square of a rate on EI; a softer rod bends farther out of the way of a load before its cane meets its limit."""
CUTS = 4
"""Pieces between two stations of graded cane [-]: EI is straight enough within each for five digits."""


def rod_beam(rod: Rod, tip: int = 1, *, line_in_guides: bool = False) -> Beam:
    """The beam of ``rod`` with tip number ``tip``, cut finely enough for seven digits.

    ``EI = E I(a)``, ``m = rho A(a) + rho_v (A(a + v) - A(a))`` with the bare apothem a and varnish v, less I and A of
    the hollow's polygon where there is one; E times its share where the cane is graded (``mechanics/graded.py``) and
    where a section's cane differs (``Rod.along``). A ferrule
    with a length [m] in the file spreads its mass over it, and its stiffness [N m^2], if given, adds to the cane's
    there; without a length its mass is a point. ``line_in_guides`` adds the line that lies between the guides. Raises
    :class:`BadInput` for a tip the rod does not have, or a line where it has no number or no guides.
    """
    if not 1 <= tip <= rod.tips:
        raise BadInput(
            f"this rod has {rod.tips} tip{'s' if rod.tips > 1 else ''}, not a tip {tip}", remedy="Give a tip it has"
        )
    free = free_length(rod)
    masses = [(free - guide.station.m, guide.mass) for guide in rod.guides if guide.mass is not None]
    masses += [(free - one.station.m, one.mass) for one in rod.ferrules if one.mass is not None and one.length is None]
    line = _line(rod, free) if line_in_guides else (free, 0.0)
    return beam_of(
        _stretches(rod, tip, line),
        [(max(place, 0.0), mass) for place, mass in masses if place >= -SAME_PLACE],
        [free - guide.station.m for guide in rod.guides],
    )


def free_length(rod: Rod) -> float:
    """From the grip's front to the tip [m]."""
    return rod.length.m - rod.grip.m


def beam_notes(rod: Rod) -> tuple[str, ...]:
    """What of the rod could not be taken into account, or was taken by default, each a sentence without its stop."""
    notes = []
    if rod.grip.nanometres:
        notes.append("the rod is held as in a vice up to the grip's front; a hand is softer")
    else:
        notes.append("the file gives no grip: the rod is held as in a vice at its butt end")
    notes += (*modulus_notes(rod), *grading_notes(rod))
    if rod.cane.density.source != ROD_FILE:
        notes.append(f"the density of the cane is a default ({rod.cane.density.source})")
    if rod.hollow:
        notes.append(HOLLOW_NOTE)
    if any(one.mass is None for one in rod.ferrules):
        notes.append("a ferrule without a mass adds none")
    if any(one.stiffness is None or one.length is None for one in rod.ferrules):
        notes.append("a ferrule without a length and a stiffness bends as the cane does that it covers")
    if not rod.guides:
        notes.append("the drawing has no guides yet: none are carried")
    elif any(guide.mass is None for guide in rod.guides):
        notes.append("guides without a mass add none")
    return tuple(notes)


def modulus_notes(rod: Rod) -> tuple[str, ...]:
    """Which modulus the cane is taken to have, who says so, and what that leaves in doubt."""
    stated, show = rod.cane.modulus, rod.display
    value = show.modulus(stated.value)
    measured = stated.source.startswith(MEASURED)
    if measured or stated.source == ROD_FILE:
        said = f"the modulus of the cane is {value}, {stated.source if measured else 'as the rod file says'}"
    else:
        said = f"the modulus of the cane is a default, {value} ({stated.source.removeprefix('default: ')})"
    if not stated.spread:
        return (said,)
    share = stated.spread / stated.value
    if measured:
        return said, f"the tests leave {2 * share:.1%} of it in doubt (95 of 100): {GOES_WITH_IT}"
    return said, f"cane of other culms may be {share:.0%} stiffer or softer: {GOES_WITH_IT}"


def grading_notes(rod: Rod) -> tuple[str, ...]:
    """How graded cane is taken to be, and what that makes of the finest and the stoutest sections; none for even."""
    grading, show = rod.cane.grading, rod.display
    if grading is None:
        return ()
    places = [(x.m, one.taper.at(x.m)) for one in rod.sections() for x in one.stations]
    shares = [
        float(cane_shares(rod, rod.bare_apothem(across), rod.void_apothem(x, across))[2]) - 1 for x, across in places
    ]
    most, least = (f"{abs(one):.1%} {'stiffer' if one > 0 else 'softer'}" for one in (max(shares), min(shares)))
    return (
        f"cane is taken to be {grading.ratio:g} times as stiff under the enamel as at the inside of a wall of "
        f"{show.across(grading.wall.m)}, straight between, as the file says, and its modulus to be that of a solid "
        f"section {show.across(across_of(rod.sides, TOLD_AT * grading.wall.m))} across: for their size, sections of "
        f"this rod bend from {most} to {least}; stress is told as of even cane",
    )


def _line(rod: Rod, free: float) -> tuple[float, float]:
    """Where the line in the guides begins [m] and its mass per length [kg/m]."""
    if rod.line is None:
        raise BadInput("the file gives no line number", where="[rod] line", remedy="Give one from 1 to 15")
    if not rod.guides:
        raise BadInput("no line lies in the guides: the drawing has none yet", where="[guides]", remedy="List them")
    return free - rod.guides[-1].station.m, line_density(rod.line)


def _stretches(rod: Rod, tip: int, line: tuple[float, float]) -> list[Stretch]:
    """The rod between all its kinks and steps, from the clamp on."""
    free = free_length(rod)
    sections = rod.assembled(tip)
    sleeves = [(*_sleeve(one, free), one) for one in rod.ferrules if one.length is not None]
    cuts = [free - station.m for section in sections for station in section.stations]
    cuts += [place for low, high, _ in sleeves for place in (low, high)]
    cuts += [free - station.m for station in rod.hollow.breaks()] if rod.hollow else []
    if rod.cane.grading is not None:
        cuts += [free - x for section in sections for x in _between(section)]
    inside = sorted(place for place in (*cuts, line[0]) if SAME_PLACE < place < free - SAME_PLACE)
    places = [0.0]
    for place in inside:
        if place - places[-1] > SAME_PLACE:
            places.append(place)
    n, v, E = rod.sides, rod.varnish.m, rod.cane.modulus.value
    along = {one.section: one for one in rod.along}
    stretches = []
    for low, high in pairwise([*places, free]):
        middle = (low + high) / 2
        section = next(one for one in reversed(sections) if one.start.m <= free - middle)
        across = [section.taper.at(free - s) for s in (low, middle, high)]
        if section.start.m > free - high + SAME_PLACE or section.end.m < free - low - SAME_PLACE:
            across = [across_at(sections, free - s) for s in (low, middle, high)]
        bare = [rod.bare_apothem(one) for one in across]
        hollow = rod.hollow if rod.hollow and rod.hollow.wall(free - middle) is not None else None
        void = [
            a - hollow.thickness(free - s) if hollow else 0.0 for a, s in zip(bare, (low, middle, high), strict=True)
        ]
        density = [
            rod.cane.density.value * (area(n, a) - area(n, i))
            + rod.varnish_density.value * (area(n, apothem(n, d)) - area(n, apothem(n, d) - v))
            for a, i, d in zip(bare, void, across, strict=True)
        ]
        cane = along.get(section.name)
        E_low, E_high = (E if cane is None else E * cane.at(free - s) for s in (low, high))
        a, i = np.array(bare[::2]), np.array(void[::2])
        k, gone, net = cane_shares(rod, a, i)
        over = [one for start, end, one in sleeves if start < middle < end]
        spread = sum(one.mass / one.length.m for one in over if one.mass is not None and one.length is not None)
        spread += line[1] if middle > line[0] else 0.0
        stretches.append(
            Stretch(
                low,
                high,
                (E_low * k[0] * second_moment(n, bare[0]), E_high * k[1] * second_moment(n, bare[2])),
                (density[0] + spread, density[1] + spread, density[2] + spread),
                (E_low * net[0] * _fibre(n, bare[0]), E_high * net[1] * _fibre(n, bare[2])),
                sum(one.stiffness for one in over if one.stiffness is not None),
                (E_low * gone[0] * second_moment(n, void[0]), E_high * gone[1] * second_moment(n, void[2])),
            )
        )
    return stretches


def _between(section: Section) -> list[float]:
    """Places [m] from the tip between the stations of a ``section``: graded cane's EI has no straight fourth root."""
    return [a.m + (b.m - a.m) * i / CUTS for a, b in pairwise(section.stations) for i in range(1, CUTS)]


def _fibre(n: int, bare: float) -> float:
    """Distance [m] of the outermost fibre of the trade's method, I/Z: a flat, or a corner of an odd section."""
    return second_moment(n, bare) / bending_modulus(n, bare)


def _sleeve(ferrule: Ferrule, free: float) -> tuple[float, float]:
    """Both ends [m] of a ferrule, half its length on either side of the joint."""
    half = ferrule.length.m / 2 if ferrule.length else 0.0
    return free - ferrule.station.m - half, free - ferrule.station.m + half

"""The rod as built is a rod: the same type, through the same mechanics as the drawn one.

Its across at every station is that of the regular section with the same mean EI, so that ``stress_check``, ``bend`` and
``bounce`` take it as it is. Faces unlike by a share e of the apothem then give an area short by a share of the order of
e^2, a twentieth of a per cent where strips differ by two thou in sixty. What a regular section has not, its two planes,
goes beside it: the same beam with its EI turned to a plane. So does what its cane is to the rod's, section by section,
where strips of it were tested or more or less of graded cane was scraped off (``Rod.along``).
"""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction
from math import cos, sin

import numpy as np

from culmwright.design.polygon import caliper_ratio, second_moment
from culmwright.design.rod import CaneAlong, Rod, Stated
from culmwright.design.taper import Taper
from culmwright.measure.lengths import Length
from culmwright.mechanics.beam import Array, Beam
from culmwright.mechanics.graded import cane_shares
from culmwright.mechanics.rod_beam import free_length
from culmwright.proof.built import Built
from culmwright.proof.built_cane import BuiltCane, CaneAt, net, walls_of
from culmwright.proof.section import stiffness


def even_face(faces: Array) -> Array:
    """Apothem [m] of the regular section whose EI is the mean of that of ``faces`` [m] over all planes."""
    return np.asarray((stiffness(faces).mean / second_moment(faces.shape[-1], 1.0)) ** 0.25)


def regular(rod: Rod, even: Array, walls: Array) -> Array:
    """Stiffness of regular sections with faces ``even`` [m], less what ``walls`` [m] leave hollow, of the rod's own
    cane and finished as its file says; over its modulus and the second moment of a face at 1 [m^4].
    """
    void = np.maximum(even - walls, 0.0)
    _, _, net = cane_shares(rod, even, void)
    return np.asarray(net * (even**4 - void**4))


def cane_share(rod: Rod, cane: BuiltCane, at: CaneAt, faces: Array, walls: Array) -> Array:
    """How the cane of each section bends to the rod's own [-]: EI of its ``faces`` [m] over that of a regular one."""
    of_regular = second_moment(rod.sides, 1.0) * regular(rod, even_face(faces), walls)
    return np.asarray(net(faces, walls, cane.grading, at).mean / of_regular)


def _along(built: Built) -> tuple[CaneAlong, ...]:
    """The same along each section of a rod as built; empty where it is all of one cane."""
    if built.cane is None:
        return ()
    shares = cane_share(built.rod, built.cane, built.cane.at, built.faces, walls_of(built.rod, built.x))
    return tuple(
        CaneAlong(one.name, one.stations, tuple(shares[built.owner == number].tolist()))
        for number, one in enumerate(built.sections)
    )


def rod_as_built(built: Built, modulus: Stated | None = None) -> Rod:
    """The rod with the tapers it came to; ``modulus`` [Pa] of its cane where that was measured, else as drawn."""
    rod = built.rod
    across = (even_face(built.faces) + rod.varnish.m) * caliper_ratio(rod.sides)
    tapers = [
        Taper(section.stations, tuple(_length(float(one)) for one in across[built.owner == number]))
        for number, section in enumerate(built.sections)
    ]
    cane, along = replace(rod.cane, modulus=modulus) if modulus else rod.cane, _along(built)
    if len(tapers) == 1:
        return replace(rod, taper=tapers[0], cane=cane, along=along)
    tips = list(rod.tip_tapers or (rod.taper,) * rod.tips)
    tips[built.tip - 1] = tapers[0]
    return replace(rod, tip_tapers=tuple(tips), section_tapers=tuple(tapers[1:]), cane=cane, along=along)


def _length(value: float) -> Length:
    """A length [m] kept to a thousandth of a nanometre."""
    return Length(Fraction(round(value * 1e12), 1000), unit="mm")


def hats_at(built: Built, places: Array, number: int) -> Array:
    """What each node has of a value at ``places`` [m] from the tip that goes straight between the nodes of section
    ``number`` [-]; by place and node.
    """
    nodes = np.flatnonzero(built.owner == number)
    found = np.zeros((len(places), len(built.x)))
    found[:, nodes] = np.stack([np.interp(places, built.x[nodes], one) for one in np.eye(len(nodes))], axis=1)
    return found


def hats(built: Built, beam: Beam) -> tuple[Array, Array]:
    """The same on the elements of ``beam`` [-]: at both ends of each, and at its start, middle and end."""
    free = free_length(built.rod)
    places = free - np.stack([beam.s[:-1], (beam.s[:-1] + beam.s[1:]) / 2, beam.s[1:]], axis=1)
    starts = [section.start.m for section in built.sections]
    numbers = np.searchsorted(starts, places[:, 1], side="right") - 1
    found = np.stack([hats_at(built, three, int(number)) for three, number in zip(places, numbers, strict=True)])
    return found[:, [0, 2]], found


def in_plane(beam: Beam, ends: Array, u: Array, v: Array, angle: float) -> Beam:
    """The beam that bends in the plane at ``angle`` [rad]: EI times ``1 + u cos 2 phi + v sin 2 phi`` at nodes [-].

    The values step at a joint: ``ends`` as of :func:`hats`. Beyond the first order in u and v (u^2, a ten-thousandth
    for a rod one hundredth uneven) the two planes of a rod are not quite apart, and what is left out is as small.
    """
    times = ends @ (1 + u * cos(2 * angle) + v * sin(2 * angle))
    void = None if beam.void is None else beam.void * times
    return replace(beam, stiffness=beam.stiffness * times, void=void)

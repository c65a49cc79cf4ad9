"""A node sanded flat: how long the spot, how deep it went.

A strip bent to radius Rb with the node outward and sanded flat keeps a spot of length L; its middle then lies
``b = Rb - sqrt(Rb^2 - L^2/4)`` below the enamel beside it. A ridge that stood c proud loses b + c. A spot no longer
than the ridge has taken ridge only: b says nothing. Plane geometry: the spot is a chord.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import sqrt

from culmwright.measure.errors import BadInput
from culmwright.measure.record import si


@dataclass(frozen=True, slots=True)
class Flattened:
    """A node's flat spot on a strip bent to ``bend``: its length ``spot``, how ``deep`` below the enamel it went.

    ``deep`` is None where the spot is no longer than the ``ridge``: then only ridge was taken. ``removed`` is what the
    ridge lost with it, None where it is not known.
    """

    bend: float = si("m")
    spot: float = si("m")
    deep: float | None = si("m")
    ridge: float = si("m")
    removed: float | None = si("m")


def depth_of_spot(bend: float, spot: float) -> float:
    """Depth [m] below the enamel of a spot of length ``spot`` [m] on a strip bent to radius ``bend`` [m].

    ``b = Rb - sqrt(Rb^2 - L^2/4)``, written so that no digits are lost.

    >>> [round(depth_of_spot(10.0, spot) * 1000, 1) for spot in (0.5, 0.625, 0.75)]
    [3.1, 4.9, 7.0]
    """
    _must_be(bend > 0, "the bend has a radius above zero", "bend")
    _must_be(0 <= spot <= 2 * bend, "the spot is longer than the bent strip is wide", "spot")
    quarter = spot**2 / 4
    return quarter / (bend + sqrt(bend**2 - quarter))


def spot_of_depth(bend: float, deep: float) -> float:
    """Length [m] of the spot that goes ``deep`` [m] below the enamel on a strip bent to radius ``bend`` [m].

    ``L = 2 sqrt(b (2 Rb - b))``.
    """
    _must_be(bend > 0, "the bend has a radius above zero", "bend")
    _must_be(0 <= deep <= bend, "the depth is more than the radius of the bend", "depth")
    return 2 * sqrt(deep * (2 * bend - deep))


def flattened(bend: float, spot: float, ridge: float = 0.0, proud: float | None = None) -> Flattened:
    """A spot of length ``spot`` [m] on a strip bent to ``bend`` [m], over a node's ridge ``ridge`` [m] long.

    ``proud`` [m] is how far the ridge stood over the enamel, None if that was not measured.
    """
    _must_be(ridge >= 0, "a ridge is not shorter than nothing", "ridge")
    _must_be(proud is None or proud >= 0, "a ridge does not stand below the enamel", "proud")
    deep = depth_of_spot(bend, spot)
    if spot <= ridge:
        return Flattened(bend, spot, None, ridge, None)
    return Flattened(bend, spot, deep, ridge, None if proud is None else deep + proud)


def _must_be(fits: bool, what: str, where: str) -> None:
    if not fits:
        raise BadInput(what, where=where, remedy="Give it as measured")

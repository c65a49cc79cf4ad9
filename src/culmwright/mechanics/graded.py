"""A section whose cane is stiffest under the enamel: what a lost crown or a deep node costs.

``E(d) = E_o (1 - c d/T)`` at depth d below the enamel of a strip, T the culm's wall, ``c = 1 - 1/ratio``; beyond the
wall it stays what it is inside. Each strip of the section is a triangle from the centre to its flat, so with u the
distance from the centre square to the flat, a the apothem and t = pi/n the bending stiffness about any axis is

    EI = n tan t (3 + tan^2 t)/3  integral of E(a - u) u^3 du  from 0 to a,

which for an even E is the polygon's E I (Roark, see design/polygon). The *flexural mean*, EI over I, is what a bending
test measures. A whole rod is of one E_o, so its flexural mean falls from a fine tip to a stout butt.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import tan

import numpy as np

from culmwright.design.grading import Grading
from culmwright.design.polygon import half_angle
from culmwright.design.rod import Rod
from culmwright.measure.errors import BadInput
from culmwright.measure.record import si
from culmwright.mechanics.beam import Array

NO_APOTHEM = 1e-9
"""A hollow this small [m] is none."""


def share_moment(power: int, height: Array | float, scraped: Array | float, grading: Grading) -> Array:
    """Integral of ``share v^power dv`` [m^(power + 1)] from a strip's apex to its face, ``height`` [m] from it and
    ``scraped`` [m] under the enamel, parted where the wall ends.

    ``share = 1/r + (1 - 1/r)(1 - d/T)`` at depth ``d = scraped + height - v`` up to the wall's T, ``1/r`` beyond.
    """
    inner, wall = 1 / grading.ratio, grading.wall.m
    start = np.clip(scraped + height - wall, 0.0, height)
    rising = [(height**k - start**k) / k for k in (power + 1, power + 2)]
    deep = 1 - (scraped + height) / wall
    return np.asarray(inner * height ** (power + 1) / (power + 1) + (1 - inner) * (deep * rising[0] + rising[1] / wall))


def cane_shares(rod: Rod, bare: Array | float, void: Array | float) -> tuple[Array, Array, Array]:
    """Flexural mean over the rod's modulus [-]: of solid sections of ``bare`` apothem [m], finished as the file says,
    of their inside of ``void`` apothem [m] that a hollow takes, and of what it leaves; 1 for even cane.

    ``E_o/E`` times ``4/a^4`` times the integral of ``share u^3`` from 0 to a, the hollow's flats lying a wall deeper;
    what is left ``(k_a a^4 - k_i i^4)/(a^4 - i^4)``.
    """
    grading, finish = rod.cane.grading, rod.making.finish.m
    if grading is None:
        ones = np.ones_like(bare)
        return ones, ones, ones
    inside = np.maximum(void, NO_APOTHEM)
    solid, gone = (
        grading.outer * 4 * share_moment(3, a, finish + bare - a, grading) / a**4 for a in (np.asarray(bare), inside)
    )
    return solid, gone, np.asarray((solid * bare**4 - gone * void**4) / (bare**4 - void**4))


@dataclass(frozen=True, slots=True)
class Graded:
    """A regular section of ``sides``, ``apothem`` [m], out of a culm's ``wall`` [m]; outer over inner ``ratio`` [-]."""

    sides: int
    apothem: float
    wall: float
    ratio: float

    def __post_init__(self) -> None:
        """Refuse a section or a wall that cannot be."""
        if self.sides < 3 or not self.apothem > 0 or not self.wall > 0 or not self.ratio >= 1:
            raise BadInput(
                "a graded section has three sides or more, an apothem and a wall above zero, and cane stiffest outside",
                where="graded section",
                remedy="Give the wall as measured and a ratio of 1 or more",
            )

    def share(self, depth: float) -> float:
        """Stiffness at ``depth`` [m] below the enamel over that under the enamel [-]."""
        return 1 - (1 - 1 / self.ratio) * min(depth / self.wall, 1.0)

    @property
    def mean_over_outer(self) -> float:
        """Flexural mean over the stiffness under the enamel [-]: ``4/a^4`` times the integral of ``share u^3``."""
        return 4 * self._moment(3, 0.0, self.apothem) / self.apothem**4

    @property
    def strip_over_section(self) -> float:
        """What a strip as high as the apothem, bent by itself, is measured as over the section of such strips [-].

        It bends about its own axis, deeper in its cane: ``36 (M3 - M2^2/M1)/h^4`` over ``4 M3/h^4``, with ``M_k`` the
        integral of ``share v^k`` from its apex to its face; 1 for even cane.
        """
        first, second, third = (self._moment(power, 0.0, self.apothem) for power in (1, 2, 3))
        return 9 * (third - second**2 / first) / third

    def outer(self, bending_modulus: float) -> float:
        """Modulus under the enamel [Pa] of cane whose section bends like ``bending_modulus`` [Pa] throughout."""
        return bending_modulus / self.mean_over_outer

    def without_all_round(self, lost: float) -> float:
        """Bending stiffness that is left [-] where every flat is ``lost`` [m] lower: a crown scraped off all round."""
        self._must_hold(lost)
        return self._moment(3, 0.0, self.apothem - lost) / self._moment(3, 0.0, self.apothem)

    def without_one(self, lost: float) -> float:
        """Bending stiffness that is left [-] in the plane through a flat that is ``lost`` [m] lower than the others.

        The worst plane. The layer between ``a - lost`` and a goes from one strip; the axis that does not stretch moves
        to what is left: ``EI - (ES)^2/EA`` about the centre less the layer.
        """
        self._must_hold(lost)
        t = tan(half_angle(self.sides))
        low, high = self.apothem - lost, self.apothem
        layer_i = 2 * t * self._moment(3, low, high)
        layer_s = 2 * t * self._moment(2, low, high)
        layer_a = 2 * t * self._moment(1, low, high)
        whole_i = self.sides * t * (3 + t**2) / 3 * self._moment(3, 0.0, high)
        whole_a = 2 * self.sides * t * self._moment(1, 0.0, high)
        return (whole_i - layer_i - layer_s**2 / (whole_a - layer_a)) / whole_i

    def _must_hold(self, lost: float) -> None:
        if not 0 <= lost < self.apothem:
            raise BadInput(
                "what is lost is below zero or all of a strip", where="graded section", remedy="Give it as measured"
            )

    def _moment(self, power: int, low: float, high: float) -> float:
        """Integral of ``share(a - u) u^power du`` from ``low`` to ``high`` [m], parted where the wall ends."""
        a, c = self.apothem, (1 - 1 / self.ratio) / self.wall

        def even(start: float, end: float) -> float:
            return (end ** (power + 1) - start ** (power + 1)) / (power + 1)

        def rising(start: float, end: float) -> float:
            return (1 - c * a) * even(start, end) + c * (end ** (power + 2) - start ** (power + 2)) / (power + 2)

        inside = min(max(a - self.wall, low), high)
        return even(low, inside) / self.ratio + rising(inside, high)


@dataclass(frozen=True, slots=True)
class Cost:
    """What ``lost`` cane costs a section in bending stiffness [-], with the gradient and as if the cane were even.

    ``one`` is a single flat in the plane of bending, the worst; ``all_round`` every flat. ``outer`` over the modulus in
    bending is how much stiffer the cane is under the enamel.
    """

    lost: float = si("m")
    apothem: float = si("m")
    wall: float = si("m")
    one: float = si("-")
    all_round: float = si("-")
    even_one: float = si("-")
    even_all_round: float = si("-")
    outer: float = si("-")


def cost_of(section: Graded, lost: float) -> Cost:
    """What a layer ``lost`` [m] off one flat, or off all, costs a graded section."""
    even = Graded(section.sides, section.apothem, section.wall, 1.0)
    return Cost(
        lost,
        section.apothem,
        section.wall,
        1 - section.without_one(lost),
        1 - section.without_all_round(lost),
        1 - even.without_one(lost),
        1 - even.without_all_round(lost),
        1 / section.mean_over_outer,
    )

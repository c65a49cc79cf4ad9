"""Regular polygon sections of a rod: what a caliper reads, area and stiffness.

``n`` is the number of sides, ``a`` the apothem (centre to flat). Every function takes floats or NumPy
arrays alike and is exact for the figure. Source of the section formulas: W. C. Young, R. G. Budynas,
*Roark's Formulas for Stress and Strain*, 7th ed. (2002), appendix A, regular polygon with n sides.
"""

from __future__ import annotations

from math import cos, pi, tan


def half_angle(n: int) -> float:
    """Half the angle one side subtends at the centre [rad]: ``t = pi/n``."""
    return pi / n


def caliper_ratio(n: int) -> float:
    """What a caliper reads over the apothem [-]: 2 flat to flat, or ``1 + 1/cos t`` flat to corner.

    >>> caliper_ratio(6), round(caliper_ratio(5), 6)
    (2.0, 2.236068)
    """
    return 2.0 if n % 2 == 0 else 1 + 1 / cos(half_angle(n))


def apothem(n: int, across: float) -> float:
    """Apothem [m] of the section a caliper reads as ``across`` [m]."""
    return across / caliper_ratio(n)


def across(n: int, a: float) -> float:
    """What a caliper reads [m] over a section of apothem ``a`` [m]."""
    return a * caliper_ratio(n)


def corner_drop(n: int, crown: float) -> float:
    """How much less a caliper reads [m] where every flat keeps a ``crown`` [m]: ``crown/cos t``, nothing on even sides.

    Flats are counted to the top of their crown, which is what even sides read. On odd ones the other jaw stands on a
    corner, and that lies where the faces' chords meet, a crown lower.

    >>> corner_drop(6, 0.005), round(corner_drop(5, 0.005), 6)
    (0.0, 0.00618)
    """
    return 0.0 if n % 2 == 0 else crown / cos(half_angle(n))


def corner_radius(n: int, a: float) -> float:
    """Centre to corner [m] for apothem ``a`` [m]: ``a/cos t``."""
    return a / cos(half_angle(n))


def area(n: int, a: float) -> float:
    """Area [m^2] for apothem ``a`` [m]: ``A = n a^2 tan t``."""
    return n * a**2 * tan(half_angle(n))


def second_moment(n: int, a: float) -> float:
    """Second moment of area [m^4] about any axis through the centre, apothem ``a`` [m].

    ``I = n a^4 tan t (3 + tan^2 t) / 12``; six sides: 0.0601407 d^4 with d = 2 a.

    >>> round(second_moment(6, 0.5), 10)
    0.060140653
    """
    t = half_angle(n)
    return n * a**4 * tan(t) * (3 + tan(t) ** 2) / 12


def modulus_to_flat(n: int, a: float) -> float:
    """Section modulus [m^3] with a flat as the outermost fibre, apothem ``a`` [m]: ``Z = I/a``."""
    return second_moment(n, a) / a


def modulus_to_corner(n: int, a: float) -> float:
    """Section modulus [m^3] with a corner as the outermost fibre, apothem ``a`` [m]: ``Z = I cos t/a``."""
    return second_moment(n, a) / corner_radius(n, a)


def bending_modulus(n: int, a: float) -> float:
    """Section modulus [m^3] of the trade's stress method, apothem ``a`` [m].

    The outermost fibre is a flat on an even number of sides and a corner on an odd one.
    """
    return modulus_to_flat(n, a) if n % 2 == 0 else modulus_to_corner(n, a)

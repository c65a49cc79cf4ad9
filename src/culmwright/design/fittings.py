"""Ferrules and guides: which ferrule fits a station, and where guides usually stand."""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction
from math import ceil

from culmwright.design.polygon import corner_radius
from culmwright.measure.lengths import NANOMETRES, Length

SIXTY_FOURTH = NANOMETRES["in"] / 64 * 1e-9
"""One 64th of an inch [m]: ferrules are numbered by their bore in these (common practice, no source)."""


@dataclass(frozen=True, slots=True)
class Ferrule:
    """A ferrule as the rod file lists it: ``station`` of the shoulder, ``size`` in 64ths, mass [kg] or None.

    ``length`` and ``stiffness`` [N m^2] are for the bending of the rod; None where they are not known.
    """

    station: Length
    size: int
    mass: float | None = None
    length: Length | None = None
    stiffness: float | None = None

    @property
    def bore(self) -> float:
        """Inside diameter [m]: ``size/64`` inch."""
        return self.size * SIXTY_FOURTH


@dataclass(frozen=True, slots=True)
class FerruleSeat:
    """How a ferrule sits on the bare cane of one side of a joint. All lengths [m].

    ``flats`` and ``corners`` are the circles inside and around the section; the seat is turned round to the
    ``bore``. ``corner_cut`` comes off every corner; ``flat_cut`` off every flat where the bore is smaller than the
    flats (power fibres lost); ``slack`` is how far the corners fall short of a bore that is too large.
    ``fitting_size`` is the smallest size whose bore leaves the flats whole (common practice, no source).
    """

    size: int
    bore: float
    flats: float
    corners: float
    corner_cut: float
    flat_cut: float
    slack: float
    fitting_size: int


def seat(sides: int, bare_apothem: float, size: int) -> FerruleSeat:
    """Seat of a ferrule of ``size`` 64ths on a section of ``bare_apothem`` [m].

    >>> round(seat(6, 0.1 * 0.0254, 13).corner_cut / 0.0254, 4)
    0.0139
    """
    bore = size * SIXTY_FOURTH
    flats, corners = 2 * bare_apothem, 2 * corner_radius(sides, bare_apothem)
    return FerruleSeat(
        size=size,
        bore=bore,
        flats=flats,
        corners=corners,
        corner_cut=max(corners - bore, 0.0) / 2,
        flat_cut=max(flats - bore, 0.0) / 2,
        slack=max(bore - corners, 0.0),
        fitting_size=ceil(round(flats / SIXTY_FOURTH, 9)),
    )


@dataclass(frozen=True, slots=True)
class Guide:
    """A guide, or the tip-top at station 0: its ``station`` and ``mass`` [kg], None where it is not known."""

    station: Length
    mass: float | None = None


FIRST_SPACING = 4  # [in] tip-top to first guide
LINE_HAND = 28  # [in] butt end to the guide that the line hand feeds
CLEAR_OF_FERRULE = 2  # [in] a guide's feet from a ferrule's shoulder
CLEAR_OF_GRIP = 4  # [in] the last guide from the front of a long grip: own choice
NO_GRIP = Length.of(0, "in")


def propose_guides(
    length: Length, ferrules: tuple[Ferrule, ...], grip: Length = NO_GRIP, *, metric: bool = False
) -> tuple[Length, ...]:
    """Places usual for guides on a rod of this length, tip-top first: one a foot plus one, wider towards the butt.

    The first stands 4 in from the tip-top, each space is wider than the one before by the same amount, the last
    stands 28 in from the butt end (or three tenths of a rod shorter than 7 ft 9 in), to the nearest 1/8 in, or 5 mm
    if ``metric``; a guide within 2 in of a ferrule moves off it. All of this is common practice, no source: a proposal.
    Ahead of a long ``grip`` the last keeps 4 in from its front, and there are no more guides than spaces of 4 in.
    """
    inches = length.nanometres / NANOMETRES["in"]
    ahead = inches - grip.nanometres / NANOMETRES["in"] - CLEAR_OF_GRIP
    last = min(inches - min(Fraction(LINE_HAND), inches * 3 / 10), ahead)
    count = min(max(int(inches / 12 + Fraction(1, 2)) + 1, 2), int(max(last, Fraction(0)) / FIRST_SPACING))
    growth = (last - count * FIRST_SPACING) * 2 / max(count * (count - 1), 1)
    places = [Length.of(0, "in")]
    for k in range(1, count + 1):
        place = k * FIRST_SPACING + growth * k * (k - 1) / 2
        places.append(guide_place(place, ferrules, metric=metric))
    return tuple(places)


def guide_place(inches: Fraction, ferrules: tuple[Ferrule, ...], *, metric: bool = False) -> Length:
    """A place for a guide near ``inches`` [in] from the tip: to 1/8 in (5 mm if ``metric``), 2 in clear of ferrules."""
    for ferrule in ferrules:
        joint = ferrule.station.nanometres / NANOMETRES["in"]
        if abs(inches - joint) < CLEAR_OF_FERRULE:
            inches = joint + (CLEAR_OF_FERRULE if inches > joint else -CLEAR_OF_FERRULE)
    if metric:
        return Length.of(5 * round(inches * Fraction("25.4") / 5), "mm")
    return Length.of(Fraction(round(inches * 8), 8), "in")

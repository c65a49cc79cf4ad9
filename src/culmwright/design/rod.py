"""The rod: one frozen object that every later stage reads."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from enum import Enum
from math import pi

from culmwright.design.fittings import Ferrule, Guide
from culmwright.design.grading import Grading
from culmwright.design.hollow import Hollow
from culmwright.design.polygon import apothem
from culmwright.design.strip import StripForm
from culmwright.design.taper import Taper
from culmwright.measure.display import Display
from culmwright.measure.lengths import Length


@dataclass(frozen=True, slots=True)
class Stated:
    """A value of a material with who says so: ``value`` [SI], ``spread`` [SI] or None, ``source``."""

    value: float
    source: str
    spread: float | None = None


@dataclass(frozen=True, slots=True)
class Cane:
    """What the cane is taken to be: modulus [Pa], density [kg/m^3], stress limit [Pa] or None.

    ``grading`` is how stiffness falls through its depth, None for cane alike throughout; it says which section's
    ``modulus`` is told.
    """

    modulus: Stated
    density: Stated
    stress_limit: Stated | None
    grading: Grading | None = None


@dataclass(frozen=True, slots=True)
class CaneAlong:
    """How the cane of a ``section`` bends to ``Cane.modulus`` [-] at ``stations`` along it, straight between them."""

    section: str
    stations: tuple[Length, ...]
    shares: tuple[float, ...]

    def at(self, x: float) -> float:
        """Its share [-] at ``x`` [m] from the tip; beyond the ends as there."""
        places = [station.m for station in self.stations]
        if x <= places[0]:
            return self.shares[0]
        for i in range(1, len(places)):
            if x <= places[i]:
                part = (x - places[i - 1]) / (places[i] - places[i - 1])
                return self.shares[i - 1] + part * (self.shares[i] - self.shares[i - 1])
        return self.shares[-1]


@dataclass(frozen=True, slots=True)
class Making:
    """How strips are made for this rod: apex angle [rad], glue line, finish, roughing allowance, culm.

    ``defaults`` names the keys the file does not give.
    """

    apex_angle: float
    glue_line: Length
    finish: Length
    rough_over: Length
    culm_diameter: Length | None
    defaults: frozenset[str] = frozenset()


class Cutter(Enum):
    """The kind of edge that cuts a flank."""

    FLAT = "flat"
    TWO_EDGED = "two-edged"


BLOCK_DEGREES = {4: 91, 5: 73, 6: 61}
"""V block angle by sides [deg], one degree open (common practice, no source)."""


@dataclass(frozen=True, slots=True)
class BenchSetup:
    """What this rod is read and cut with: the V block, the cutter, how strips start and how many there are.

    ``block_angle`` [rad]; ``block_zero`` the reading with no height in the block, None if not measured yet;
    ``split_height`` of a strip before its first pass, None if not known; ``strip_over`` is the length of a strip
    beyond its section; ``spares`` a section.
    """

    block_angle: float
    block_zero: Length | None
    cutter: Cutter
    wet: bool
    split_height: Length | None
    strip_over: Length
    spares: int


@dataclass(frozen=True, slots=True)
class Section:
    """One piece of a rod between two ends: ``name`` B, M or T1 …, from ``start`` to ``end`` from the tip."""

    name: str
    start: Length
    end: Length
    taper: Taper

    @property
    def length(self) -> float:
        """Shoulder to shoulder [m]."""
        return self.end.m - self.start.m

    @property
    def stations(self) -> tuple[Length, ...]:
        """Both ends and every station of the taper between them."""
        low, high = self.start.nanometres, self.end.nanometres
        inside = (station for station in self.taper.stations if low < station.nanometres < high)
        return (self.start, *inside, self.end)

    def holds(self, station: Length) -> bool:
        """True if ``station`` lies on this section, ends included."""
        return self.start.nanometres <= station.nanometres <= self.end.nanometres


@dataclass(frozen=True, slots=True)
class Rod:
    """A drawn rod, exactly as its file says; what the file does not say is None or empty, never guessed.

    ``taper`` runs tip to butt; ``tip_tapers`` holds an own taper for each tip that has one (all or none), and
    ``section_tapers`` one for each section below the tips, and ``along`` how its sections' cane differs from the whole
    rod's, both of which only a rod as built has.
    ``warnings`` name what is possible but odd; ``digest`` is a fingerprint of what the file says.
    """

    name: str
    maker: str
    wish: str
    revision: int
    display: Display
    sides: int
    length: Length
    pieces: int
    tips: int
    line: int | None
    grip: Length
    taper: Taper
    tip_tapers: tuple[Taper, ...]
    varnish: Length
    varnish_density: Stated
    cane: Cane
    ferrules: tuple[Ferrule, ...]
    guides: tuple[Guide, ...]
    making: Making
    bench: BenchSetup
    warnings: tuple[str, ...]
    digest: str
    hollow: Hollow | None = None
    section_tapers: tuple[Taper, ...] = ()
    along: tuple[CaneAlong, ...] = ()

    @property
    def form(self) -> StripForm:
        """The shape its strips are cut to."""
        culm = self.making.culm_diameter
        return StripForm(self.sides, self.making.apex_angle, culm.m / 2 if culm else None)

    @property
    def code(self) -> str:
        """Short name of this drawing for labels, e.g. ``D4F9C21``: D and the first digits of its digest."""
        return f"D{self.digest[:6].upper()}"

    def bare_apothem(self, across: float) -> float:
        """Apothem of the cane alone [m] where a caliper reads ``across`` [m] over varnish."""
        return apothem(self.sides, across) - self.varnish.m

    def void_apothem(self, x: float, across: float) -> float:
        """Apothem [m] of the hollow at ``x`` [m] from the tip, where a caliper reads ``across`` [m]; 0 where solid."""
        wall = self.hollow.wall(x) if self.hollow else None
        return 0.0 if wall is None else self.bare_apothem(across) - wall

    def assembled(self, tip: int = 1) -> tuple[Section, ...]:
        """The sections of the rod with tip number ``tip``, from tip to butt."""
        joints = [ferrule.station for ferrule in self.ferrules]
        ends = [self.taper.stations[0], *joints, self.length]
        names = [f"T{tip}", "M", "B"] if self.pieces == 3 else [f"T{tip}", "B"] if self.pieces == 2 else ["B"]
        tip_taper = self.tip_tapers[tip - 1] if self.tip_tapers else self.taper
        tapers = (tip_taper, *(self.section_tapers or (self.taper,) * (len(names) - 1)))
        return tuple(Section(name, ends[i], ends[i + 1], tapers[i]) for i, name in enumerate(names))

    def sections(self) -> tuple[Section, ...]:
        """Every section to be made: the tips, then the middle, then the butt."""
        tips = [self.assembled(tip)[0] for tip in range(1, self.tips + 1)] if self.pieces > 1 else []
        return (*tips, *self.assembled()[1 if self.pieces > 1 else 0 :])

    def drawn_stations(self, tip: int = 1) -> Iterator[tuple[Length, float]]:
        """Every station as drawn with its across [m], tip to butt, with tip number ``tip``.

        A joint whose two sides differ stands twice, first as the side nearer the tip.
        """
        for section in self.assembled(tip):
            last = section.end == self.length
            for station in section.taper.stations:
                if section.holds(station) and (last or station != section.end or self._steps(section, tip)):
                    yield station, section.taper.at(station.m)

    def _steps(self, section: Section, tip: int) -> bool:
        """True if the next section begins with another across than this one ends with."""
        x = section.end.m
        return any(one.start == section.end and one.taper.at(x) != section.taper.at(x) for one in self.assembled(tip))


def default_apex(sides: int) -> float:
    """Apex angle [rad] of strips that close without gap or void: ``2 pi/n``."""
    return 2 * pi / sides

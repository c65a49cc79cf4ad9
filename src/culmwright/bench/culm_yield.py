"""What a culm gives a rod: strips a ring yields, which lengths give butts and which tips, spares, and what is left."""

from __future__ import annotations

from dataclasses import dataclass, field
from enum import Enum

from culmwright.bench.targets import SectionTargets, schedule
from culmwright.cane.culm import Culm, CulmLength, spacing
from culmwright.cane.gradient import HALF_STIFF
from culmwright.cane.ring import RawStrip, ring_of, strips_in_ring
from culmwright.cane.task import both
from culmwright.design.rod import Rod
from culmwright.measure.lengths import Length
from culmwright.measure.record import si


@dataclass(frozen=True, slots=True)
class Need:
    """What one section asks of the cane.

    ``strips`` that are glued and ``spares`` beside them; ``length`` of a strip as it is laid; ``face`` the widest
    finished enamel face; ``width`` of a raw strip.
    """

    section: str
    strips: int
    spares: int
    length: float = si("m")
    face: float = si("m")
    width: float = si("m")


class Reach(Enum):
    """How deep a finished strip reaches into the wall of its culm."""

    SOUND = "in sound wall"
    WEAK = "into weak inner wall"
    THROUGH = "through the wall"


@dataclass(frozen=True, slots=True)
class WallCheck:
    """The station at which a section's strips reach deepest into the wall of a culm length.

    ``height`` of the finished strip, the ``wall`` there, None where it was not measured.
    """

    section: str
    length: str
    reach: Reach | None
    station: float = si("m")
    height: float = si("m")
    wall: float | None = si("m")


@dataclass(frozen=True, slots=True)
class Taken:
    """Strips of one culm length for one section: how many, their numbers around the ring in order."""

    section: str
    numbers: tuple[int, ...]


@dataclass(frozen=True, slots=True)
class LengthYield:
    """What one culm length yields: ``diameter`` at its narrow end, so many ``strips`` of ``width``, who takes them.

    ``width`` is that of the widest section it serves; None, with no strips, where it serves none. ``left`` are strips
    nobody takes.
    """

    name: str
    culm: str
    length: float = si("m")
    diameter: float = si("m")
    width: float | None = si("m")
    strips: int = si("-", default=0, required=False)
    taken: tuple[Taken, ...] = ()
    left: int = 0
    raw: tuple[RawStrip, ...] = field(metadata={"hidden": True}, default=())


@dataclass(frozen=True, slots=True)
class Shortfall:
    """What a section lacks: so many ``strips`` of those it needs, and why in words."""

    section: str
    strips: int
    why: str


@dataclass(frozen=True, slots=True)
class CulmYield:
    """Strips for a rod out of one or several culms; ``enough`` where every section has the strips it is glued from."""

    name: str
    needs: tuple[Need, ...]
    lengths: tuple[LengthYield, ...]
    walls: tuple[WallCheck, ...]
    short: tuple[Shortfall, ...]
    notes: tuple[str, ...] = ()
    warnings: tuple[str, ...] = ()

    @property
    def enough(self) -> bool:
        """True if no section is short."""
        return not self.short


def _needs(rod: Rod, culm: Culm, trim: Length | None, sections: tuple[SectionTargets, ...]) -> tuple[Need, ...]:
    over = (rod.bench.strip_over if trim is None else trim).m
    return tuple(
        Need(
            one.section,
            rod.sides,
            one.strips - rod.sides,
            one.length + over,
            face := max(station.face_width for station in one.stations),
            face + culm.splitting.allowance,
        )
        for one in sections
    )


def culm_yield(rod: Rod, culms: tuple[Culm, ...], trim: Length | None = None) -> CulmYield:
    """How the lengths of ``culms`` serve the sections of ``rod``; ``trim`` in place of what its strips stand over.

    Wide sections come first. The butt takes the first length from the butt end that holds all of its strips and spares,
    a tip the last that does; where none holds them, one that holds them without spares; else several share.
    """
    shelf = [_Shelf(culm, length) for culm in culms for length in culm.lengths]
    sections = schedule(rod).sections
    targets = {one.section: one for one in sections}
    needs = {one.section: one for one in _needs(rod, culms[0], trim, sections)}
    walls: list[WallCheck] = []
    short: list[Shortfall] = []
    for section in sorted(needs, key=lambda name: (-needs[name].width, name)):
        need = needs[section]
        order = shelf if section in ("B", "M") else shelf[::-1]
        fit = [one for one in order if one.serves(need)]
        checks = {id(one): wall_check(targets[section], one.culm, one.length) for one in fit}
        sound = [one for one in fit if checks[id(one)].reach is not Reach.THROUGH]
        missing = _share_out(need, sound)
        walls += [checks[id(one)] for one in fit if section in one.wanted or not sound]
        if missing:
            short.append(Shortfall(section, missing, _why(need, order, fit, sound)))
    return CulmYield(
        rod.name,
        tuple(needs.values()),
        tuple(one.result() for one in shelf),
        tuple(walls),
        tuple(short),
        _notes(culms, needs, shelf),
        tuple(warning for culm in culms for warning in culm.warnings),
    )


@dataclass
class _Shelf:
    """A culm length while its strips are shared out: how many each section wants of it."""

    culm: Culm
    length: CulmLength
    wanted: dict[str, int] = field(default_factory=dict)
    width: float = 0.0

    def serves(self, need: Need) -> bool:
        """True if it is long enough for a section and not kept for others."""
        kept = not self.length.sections or need.section in self.length.sections
        return kept and self.length.length >= need.length - 1e-9

    def room(self, width: float) -> int:
        """Strips still free if it is parted into strips at least ``width`` [m] wide."""
        widest = max(self.width, width)
        diameter = self.culm.narrowest(self.length)
        if widest + self.culm.splitting.kerf.m >= diameter:
            return 0
        return strips_in_ring(diameter, widest, self.culm.splitting.kerf.m) - sum(self.wanted.values())

    def take(self, need: Need, strips: int) -> None:
        self.wanted[need.section] = strips
        self.width = max(self.width, need.width)

    def result(self) -> LengthYield:
        """Its strips by number: sound ones first, in the order they lie around the culm."""
        diameter = self.culm.narrowest(self.length)
        if not self.wanted:
            return LengthYield(self.length.name, self.culm.label, self.length.length, diameter, None)
        count = strips_in_ring(diameter, self.width, self.culm.splitting.kerf.m)
        raw = ring_of(self.culm, self.length, count)
        order = sorted(raw, key=lambda one: (bool(one.faults), one.number))
        taken, at = [], 0
        for section, strips in self.wanted.items():
            numbers = sorted(one.number for one in order[at : at + strips])
            taken.append(Taken(section, tuple(numbers)))
            at += strips
        return LengthYield(
            self.length.name,
            self.culm.label,
            self.length.length,
            diameter,
            self.width,
            count,
            tuple(taken),
            count - at,
            raw,
        )


def _share_out(need: Need, sound: list[_Shelf]) -> int:
    """Give a section its strips; how many of those it is glued from are missing."""
    for wanted in (need.strips + need.spares, need.strips):
        for one in sound:
            if (room := one.room(need.width)) >= wanted:
                one.take(need, min(room, need.strips + need.spares))
                return 0
    missing = need.strips
    for one in sound:
        if missing and (room := min(one.room(need.width), missing)) > 0:
            one.take(need, room)
            missing -= room
    return missing


def _why(need: Need, every: list[_Shelf], fit: list[_Shelf], sound: list[_Shelf]) -> str:
    if not fit:
        kept = [one for one in every if not one.length.sections or need.section in one.length.sections]
        if not kept:
            return f"no length is kept for it (put {need.section} among the sections of one)"
        longest = max(one.length.length for one in kept)
        return f"its strips are {both(need.length)} long, the longest length {both(longest)}"
    if not sound:
        return "the wall is thinner than its strips are high"
    return "the rings hold no more of its width"


def wall_check(targets: SectionTargets, culm: Culm, length: CulmLength) -> WallCheck:
    """Where the strips of a section reach deepest into the wall of a culm length, laid in its middle [m].

    ``WEAK`` is deeper than where cane is half as stiff as under the enamel; ``THROUGH`` is deeper than the wall.
    """
    slack = length.length - targets.length
    tip = rod_start(targets)
    worst = None
    for one in targets.stations:
        place = length.end.m - slack / 2 - (one.station - tip)
        wall = culm.wall_at(place)
        if wall is None:
            return WallCheck(targets.section, length.name, None, one.station, one.height, None)
        if worst is None or one.height / wall > worst[0]:
            worst = (one.height / wall, one, wall)
    assert worst is not None
    depth, station, wall = worst
    reach = Reach.THROUGH if depth > 1 else Reach.WEAK if depth > HALF_STIFF else Reach.SOUND
    return WallCheck(targets.section, length.name, reach, station.station, station.height, wall)


def rod_start(targets: SectionTargets) -> float:
    """Station of a section's tip end [m]."""
    return targets.stations[0].station


def _notes(culms: tuple[Culm, ...], needs: dict[str, Need], shelf: list[_Shelf]) -> tuple[str, ...]:
    said = []
    for culm in culms:
        if not culm.splitting.given:
            said.append(
                f"{culm.label} has no [splitting]: raw strips are taken as wide as the widest finished face, with "
                "nothing for roughing or for what the split wanders"
            )
        if culm.wall_at(0.0) is None:
            said.append(f"no wall of {culm.label} was measured: how deep strips reach into it is not known")
    for section, need in needs.items():
        got = sum(one.wanted.get(section, 0) for one in shelf)
        if need.strips <= got < need.strips + need.spares:
            said.append(f"{section} gets {got - need.strips} of its {need.spares} spares")
        if sum(section in one.wanted for one in shelf) > 1:
            said.append(f"the strips of {section} come from more than one length")
    for one in shelf:
        if not one.wanted:
            gaps = spacing(one.culm.nodes_in(one.length))
            said.append(f"{one.length.name} is left whole" + ("" if gaps else ", with fewer than two nodes"))
    return tuple(said)

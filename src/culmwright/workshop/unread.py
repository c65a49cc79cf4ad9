"""What the finished strips of a ring were not read at, and what that leads to: said when they are glued."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from culmwright.bench.judge import Stage
from culmwright.book.words import listed
from culmwright.ledger.readings import current
from culmwright.ledger.shop import Shop
from culmwright.proof.evidence import enough
from culmwright.workshop.opening import Begun


@dataclass(frozen=True, slots=True)
class Unread:
    """The strips of a section of ``stations`` that were not read through: by number, at how many each was read."""

    section: str
    stations: int
    read: dict[int, int]

    @property
    def short(self) -> tuple[int, ...]:
        """The strips that were read at too few stations to say what they came to."""
        return tuple(strip for strip, count in self.read.items() if not enough(count, self.stations))

    @property
    def words(self) -> str:
        """It in a sentence without its stop, with what the proof makes of it; empty where all was read."""
        if not self.read:
            return ""
        never = [f"S{strip}" for strip, count in self.read.items() if not count]
        said = [f"{listed(never)} {'was' if len(never) == 1 else 'were'} not read when finished"] if never else []
        some = {f"S{strip}": count for strip, count in self.read.items() if count}
        said += [f"{name} was read at {count} of {self.stations} stations" for name, count in some.items()]
        if self.short:
            leads = f"{self.section} counts as drawn in the proof, and the rod gets no certificate, until they are read"
            return f"of {self.section}, {'; '.join(said)}: {leads}. Readings on paper can still be typed in"
        return f"of {self.section}, {'; '.join(said)}: between those the proof goes straight"


def unread(shop: Shop, begun: Begun, section: str, ring: Sequence[int]) -> Unread:
    """Which strips of a ``ring`` have stations that were neither read nor left out after their newest pass."""
    stations = next(one.stations for one in begun.rod.sections() if one.name == section)
    read: dict[tuple[int | None, int], set[object]] = {}
    left: dict[tuple[int | None, int], set[object]] = {}
    for one in current(shop, begun.revision.id, section=section, stage=Stage.FINISH.value):
        cell = one.entry.cell
        into = left if one.entry.value is None else read
        into.setdefault((cell.strip, cell.pass_number), set()).add(cell.station)
    found = {}
    for strip in sorted(ring):
        newest = max((cut for number, cut in read if number == strip), default=0)
        known, out = read.get((strip, newest), set()), left.get((strip, newest), set())
        if not set(stations) <= known | out or not enough(len(known), len(stations)):
            found[strip] = len(known)
    return Unread(section, len(stations), found)

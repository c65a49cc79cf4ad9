"""What a node layout is asked: strips with their nodes, a section to lay them in, and where no node may fall.

Everything is a whole number of nanometres; slides go in steps of half a millimetre, which a rule can still set.
Places on a strip run from its butt end, places on the section from its tip end. A strip slid by t, that is with t
taken off its butt end, carries a node at p of its own at ``length + trim/2 + t - p`` of the section.
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import Enum

from culmwright.measure.errors import AnswerIsNo, BadInput

STEP = 500_000
"""Half a millimetre [nm]: slides are whole numbers of it."""

LONGEST = 10 * 10**9  # [nm]
MOST_STRIPS = 60
MOST_SLIDE = 1_500_000_000
"""A metre and a half [nm], five nodes of most culms: sliding further gains next to nothing and takes long to search."""
UNNAMED = "section"
"""What a section is called that is given by its length alone."""


class Forbidden(Enum):
    """Why no node should fall in a zone, the gravest first; the value weighs one node in it [-].

    A step up outweighs every node of all strips on the step below, so that what has to give gives in this order.
    """

    FAULT = 10**12
    FERRULE = 10**9
    TIP_END = 10**6
    GRIP_END = 10**3
    GUIDE_FOOT = 1

    @property
    def words(self) -> str:
        """The zone in a sentence."""
        return {
            "FAULT": "a defect",
            "FERRULE": "a ferrule",
            "TIP_END": "the tip end",
            "GRIP_END": "the grip's front",
            "GUIDE_FOOT": "a guide foot",
        }[self.name]


@dataclass(frozen=True, slots=True)
class Zone:
    """Where no node should fall, ``start`` to ``end`` [nm] from the section's tip end, ends included.

    It may run on beyond an end of the section, where a node cut through would still reach onto it.
    """

    why: Forbidden
    start: int
    end: int


@dataclass(frozen=True, slots=True)
class Fault:
    """A defect on a strip, ``start`` to ``end`` [nm] from its butt end: no part of it should come on the section."""

    start: int
    end: int
    note: str = ""


@dataclass(frozen=True, slots=True)
class Candidate:
    """A strip that may be laid in the section: its ``length`` and ``nodes`` [nm] from the butt end, its ``faults``.

    ``source`` is the culm length it was parted from.
    """

    label: str
    source: str
    length: int
    nodes: tuple[int, ...]
    faults: tuple[Fault, ...] = ()


@dataclass(frozen=True, slots=True)
class Task:
    """Lay ``strips`` of the ``candidates`` in a section ``length`` [nm] long, ``trim`` [nm] staying on for both ends.

    Up to ``share`` strips may carry their nodes at one place.
    """

    section: str
    length: int
    trim: int
    strips: int
    candidates: tuple[Candidate, ...]
    zones: tuple[Zone, ...] = ()
    share: int = 1

    def __post_init__(self) -> None:
        """Refuse what cannot be laid out, with the shortfall."""
        if self.share not in (1, 2, 3):
            _refuse("one, two or three strips may share a place", "Give 1, 2 or 3")
        must_be_section(self.strips)
        if not 0 < self.length < LONGEST or self.trim < 0:
            _refuse("the section has no length, or its trim is below zero", "Give the section's length as drawn")
        if len(self.candidates) > MOST_STRIPS:
            _refuse(f"{len(self.candidates)} strips are too many to choose from", f"Offer {MOST_STRIPS} at most")
        if len(self.candidates) < self.strips:
            short = self.strips - len(self.candidates)
            raise AnswerIsNo(
                f"the section needs {self.strips} strips and there are {len(self.candidates)}: {short} short",
                where=self.where,
                remedy="Split another length, or narrower strips",
            )
        for zone in self.zones:
            if zone.end < zone.start:
                _refuse("a zone ends before it begins", "Give its start nearer the tip")

    @property
    def where(self) -> str:
        """The section in a sentence's place."""
        return UNNAMED if self.section == UNNAMED else f"section {self.section}"

    def slack(self, strip: Candidate) -> int:
        """What may be cut off a strip in all [nm]: below zero it is too short."""
        return strip.length - self.length - self.trim

    def steps(self, strip: Candidate) -> int:
        """The greatest slide of a strip in steps; none longer than ``MOST_SLIDE`` is tried."""
        return min(self.slack(strip), MOST_SLIDE) // STEP

    def anchors(self, strip: Candidate) -> tuple[int, ...]:
        """Places [nm] of its nodes on the section where nothing is taken off its butt end."""
        return tuple(self.length + self.trim // 2 - node for node in strip.nodes)

    def places(self, strip: Candidate, slide: int) -> tuple[int, ...]:
        """Places [nm] of the nodes that come on the section where it is slid by so many steps, from the tip end."""
        return tuple(sorted(x for node in self.anchors(strip) if 0 <= (x := node + slide * STEP) <= self.length))

    def long_enough(self) -> Task:
        """The same task with the strips that are long enough. Raises :class:`AnswerIsNo` where too few are."""
        fit = tuple(one for one in self.candidates if self.slack(one) >= 0)
        if len(fit) == len(self.candidates):
            return self
        if len(fit) < self.strips:
            best = sorted((self.slack(one) for one in self.candidates), reverse=True)[self.strips - 1]
            raise AnswerIsNo(
                f"there is no slack: with its trim the section needs {both(-best / 1e9)} more than its strips have",
                where=self.where,
                remedy="Cut the culm into longer lengths, or let the strips stand over by less",
            )
        return Task(self.section, self.length, self.trim, self.strips, fit, self.zones, self.share)


def must_be_section(strips: int) -> None:
    """Refuse a number of strips that no section is glued from."""
    if not 2 <= strips <= 12:
        _refuse(f"{strips} strips are no section", "A section has four, five or six")


def both(length: float) -> str:
    """A length [m] in a sentence that does not know which unit its reader thinks in.

    >>> both(0.1524)
    '6.00 in (152.4 mm)'
    """
    return f"{length / 0.0254:.2f} in ({length * 1000:.1f} mm)"


def _refuse(what: str, remedy: str) -> None:
    raise BadInput(what, where="layout", remedy=remedy)

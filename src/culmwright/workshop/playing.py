"""A simulated bench for the demo: invented strips with scatter, read through the very verbs a maker uses.

Everything here is invented: a seeded generator stands for cane, rig and hands. The strips of a section are cut at one
locked stop; the butt's stop creeps, one tip strip is spoiled, a reading is taken back, one cell is left out.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from fractions import Fraction
from random import Random

from culmwright.bench.judge import Stage
from culmwright.bench.passes import THOU
from culmwright.bench.targets import schedule
from culmwright.ledger.shop import Shop
from culmwright.measure.lengths import Length
from culmwright.workshop.noting import EventKind, cut, note
from culmwright.workshop.opening import Begun
from culmwright.workshop.printing import roughing_rounds
from culmwright.workshop.reading import read
from culmwright.workshop.session import Said, Session

SEED = 20261124
START = datetime(2026, 10, 5, 8, 5, tzinfo=UTC)
STRIP_SCATTER = 1.2 * THOU  # [m] one strip against the next
PLACE_SCATTER = 0.6 * THOU  # [m] one station against the next
CREEP = 1.7 * THOU  # [m] what the butt's stop rises from one strip to the next
CREEPS_FROM = 3
SPOILED = ("T2", 5)
SPOILED_BY = 104 * THOU  # [m] below the roughed height all along: the stop was not locked
DIAL = 12_700  # [nm] what the gauge resolves: half a thou


class Clock:
    """A wall clock that goes on by some seconds at every look, so that the log reads like a day at the bench."""

    def __init__(self, start: datetime, random: Random) -> None:
        self.now = start
        self._random = random

    def __call__(self) -> datetime:
        """The time now, a few seconds after the last look."""
        self.now += timedelta(seconds=self._random.randint(6, 14))
        return self.now

    def pause(self, **length: float) -> datetime:
        """Go on by a longer while."""
        self.now += timedelta(**length)
        return self.now


@dataclass(frozen=True, slots=True)
class _Strip:
    """An invented strip: how far it stands over its roughed height [m]."""

    over: float
    spoiled: bool

    def read(self, random: Random) -> float:
        return self.over - (SPOILED_BY if self.spoiled else 0.0) + random.gauss(0.0, PLACE_SCATTER)


def play(shop: Shop, begun: Begun) -> None:
    """Play the rough bevelling of a whole rod into the shop, in readings, passes and events."""
    random = Random(SEED)
    clock = Clock(START, random)
    _prepare(shop, begun, clock)
    sections = schedule(begun.rod).sections
    for section in sections:
        note(
            shop, begun, EventKind.STOP_SET, section=section.section, words="crept down on S1, then locked", at=clock()
        )
        rounds = roughing_rounds(begun.rod, section)
        for number, depth in enumerate(rounds, 1):
            cut(shop, begun, section.section, Stage.ROUGH, number, _dial(depth), at=clock.pause(minutes=24))
        session = read(
            shop,
            begun,
            Stage.ROUGH,
            (section.section,),
            cut=len(rounds),
            gauge="G1",
            gauge_unit="in",
            person="Wren",
        )
        session.wall = clock
        _read_all(session, section.section, random)
        clock.pause(minutes=40)
    note(
        shop,
        begun,
        EventKind.DRYING_STARTED,
        words="bound in bundles on the rack",
        at=clock.pause(hours=1),
        ready_at=clock.now + timedelta(days=10),
    )


def _prepare(shop: Shop, begun: Begun, clock: Clock) -> None:
    """A night in the water. Strips are entered where the rod is laid out, by the numbers of the cut list."""
    ready = clock.now + timedelta(hours=20)
    note(shop, begun, EventKind.SOAK_STARTED, words="all strips, rain water", at=clock(), ready_at=ready)
    note(shop, begun, EventKind.SOAK_ENDED, at=clock.pause(hours=22))


def _strips(section: str, count: int, random: Random) -> Iterator[_Strip]:
    for number in range(1, count + 1):
        crept = CREEP * max(number - CREEPS_FROM, 0) if section == "B" else 0.0
        yield _Strip(1.0 * THOU + crept + random.gauss(0.0, STRIP_SCATTER), (section, number) == SPOILED)


def _read_all(session: Session, section: str, random: Random) -> None:
    rod = session.rod
    strips = list(_strips(section, rod.sides + rod.bench.spares, random))
    ends = [place.station.m for place in session.aims]
    low, high = min(ends), max(ends)
    seconds, slip, left_out = 0.0, section == "T1", section == "T1"
    while (armed := session.armed) is not None:
        seconds += 9.0
        share = (armed.aim.station - low) / (high - low)
        if left_out and armed.place.strip == 4 and 0.5 < share < 0.6:
            left_out = False
            session.skip("a node lies here")
            continue
        value = armed.aim.reading + strips[armed.place.strip - 1].read(random)
        if slip and armed.place.strip == 2 and share > 0.7:
            slip = False  # a digit misread: taken back at once and read again
            session.take(_dialled(value - 3 * THOU), seconds)
            session.undo()
            seconds += 6.0
        if session.take(_dialled(value), seconds).said is Said.HELD:
            session.keep("planed with the stop unlocked, read twice", seconds + 3.0)


def _dial(depth: float) -> Length:
    """A depth of a pass [m] as a stop is set to it, to a tenth of a thou and never deeper."""
    tenths = int(depth * 1e9 / 2540 + 1e-6)
    return Length(Fraction(tenths * 2540), f"{tenths // 10}.{tenths % 10} thou", "thou")


def _dialled(value: float) -> str:
    """A height [m] as a gauge that resolves half a thou shows it."""
    steps = round(value * 1e9 / DIAL)
    return str(Length(Fraction(steps * DIAL), unit="in"))

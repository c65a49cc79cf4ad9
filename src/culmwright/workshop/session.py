"""A session at the bench: the armed cell, readings as they come, judged and kept, one by one.

The ledger is the memory: after every step the walk is laid anew over what counts there, so that two sessions on
one shop see each other and nothing depends on a program that is still running.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field, replace
from datetime import datetime
from enum import Enum

from culmwright.bench.gauge import read_typed
from culmwright.bench.guards import ALIKE, READ_TWICE, REPEAT_WITHIN
from culmwright.bench.judge import Aim, Judgement, Stage, aim
from culmwright.bench.targets import StripTarget, block_of, schedule
from culmwright.bench.walk import Cell as Place
from culmwright.bench.walk import Filled, Order, Skipped, Stretch, Walk
from culmwright.design.rod import Rod
from culmwright.ledger.readings import append, current
from culmwright.ledger.records import Cell, Entry, Reading, State
from culmwright.ledger.records import now as this_moment
from culmwright.ledger.shop import Shop
from culmwright.measure.errors import BadInput
from culmwright.measure.lengths import Length
from culmwright.measure.spot import Spot
from culmwright.workshop.noting import cut, pass_of_round
from culmwright.workshop.opening import Begun
from culmwright.workshop.taking import Yardstick, beside, depth_typed, entry_of, round_words
from culmwright.workshop.taking import cutting_of as cutting_of
from culmwright.workshop.taking import limits_of as limits_of


@dataclass(frozen=True, slots=True)
class Task:
    """What is read in a session: the ``stage``, after which pass, over which places, in which order."""

    stage: Stage
    cut: int
    plan: tuple[Stretch, ...]
    order: Order = field(default_factory=Order)


class Said(Enum):
    """What came of something typed: a reading was kept, it waits for an answer, or the walk moved."""

    KEPT = "kept"
    HELD = "held"
    MOVED = "moved"


@dataclass(frozen=True, slots=True)
class Answer:
    """What the bench says to an input: in ``words``, with the ``judgement`` and the ``reading`` where one was kept."""

    said: Said
    words: str
    judgement: Judgement | None = None
    reading: Reading | None = None


@dataclass(frozen=True, slots=True)
class Armed:
    """The cell that waits for a reading: its place, what the gauge should show, and how many are done of all."""

    place: Place
    aim: Aim
    done: int
    of: int

    @property
    def spot(self) -> Spot:
        """Its address."""
        return self.place.spot


class Session:
    """One hand at the bench, on one frozen rod and one :class:`Task`.

    ``bare`` is the unit the gauge is declared to show; ``gauge`` and ``person`` are ids of the ledger; ``wall`` is
    the clock on the wall.
    """

    def __init__(
        self,
        shop: Shop,
        begun: Begun,
        task: Task,
        *,
        bare: str | None = None,
        gauge: int | None = None,
        person: int | None = None,
        start: Place | None = None,
        wall: Callable[[], datetime] = this_moment,
    ) -> None:
        self.shop = shop
        self.begun = begun
        self.task = task
        self.bare = bare or begun.rod.display.bare
        self.gauge = gauge
        self.person = person
        self.wall = wall
        self.aims = aims(begun.rod, task)
        self.yardstick = Yardstick(begun.rod, task.stage)
        self.pending: Length | None = None
        self._doubt = False
        self._astray: float | None = None
        self._mine: list[int] = []
        self._kept: tuple[Length, float] | None = None
        self._readings: dict[Place, Reading] = {}
        self.walk = self._laid(start)

    @property
    def rod(self) -> Rod:
        """The rod as it was frozen."""
        return self.begun.rod

    @property
    def wet(self) -> bool:
        """True if strips are read wet at this stage."""
        return self.yardstick.wet

    @property
    def armed(self) -> Armed | None:
        """The cell that waits for a reading, None once all are done."""
        place = self.walk.armed
        if place is None:
            return None
        return Armed(place, self.aims[place], len(self.walk.cells) - len(self.walk.open), len(self.walk.cells))

    def take(self, typed: str, clock: float) -> Answer:
        """Take a reading as ``typed`` or as the gauge sent it, at ``clock`` [s]; kept, or held and asked about.

        Raises :class:`BadInput` for text that is no reading; nothing is kept then.
        """
        armed, held, asked_at = self._must_be_armed(), self.pending, self._astray
        value = read_typed(typed, self.bare).length
        before = self._readings.get(armed.place)
        self._refresh(armed.place)
        now = self._readings.get(armed.place)
        if now is not None and now != before:
            self.pending, self._doubt, self._astray = value, False, None
            read = "left out" if now.entry.value is None else f"read {now.entry.value}"
            return Answer(
                Said.HELD, f"another hand has {read} here meanwhile. Keep yours in its place, or go on with n?"
            )
        last = (self._kept[0], clock - self._kept[1]) if self._kept else None
        others = beside(self._cell(armed.place), self._readings.values(), lambda one: self.aims[self._place(one)])
        question = self.yardstick.question(value, armed.aim, last, others)
        again = held is not None and abs(value.m - held.m) <= ALIKE
        twice = again and asked_at is not None and clock - asked_at > REPEAT_WITHIN
        gone = f"{held}, asked about before, was let go" if held is not None and not again else ""
        if question is not None and not (question.astray and twice):
            self.pending, self._doubt, self._astray = value, question.doubt, clock if question.astray else None
            words = f"{gone}. {question.words}" if gone else question.words
            return Answer(Said.HELD, words, question.judgement)
        judgement = self.yardstick.judged(value, armed.aim)
        kept = self._keep(value, judgement, READ_TWICE if question else "", clock)
        return replace(kept, words=f"{kept.words}. {gone}") if gone else kept

    def keep(self, reason: str, clock: float) -> Answer:
        """Keep the value that was held; out of tolerance it needs a ``reason``."""
        armed = self._must_be_armed()
        if self.pending is None:
            raise BadInput("nothing is waiting for an answer", remedy="Read the armed cell")
        judgement = self.yardstick.judged(self.pending, armed.aim)
        if (self._doubt or judgement.needs_reason) and not reason.strip():
            raise BadInput("this is out of tolerance: it is kept with a reason", remedy="Say why, as in: k torn there")
        return self._keep(self.pending, judgement, reason.strip(), clock)

    def skip(self, reason: str) -> Answer:
        """Leave the armed cell out, for a ``reason``."""
        armed = self._must_be_armed()
        self.walk.skip(reason)  # refuses an empty reason before anything is written
        append(
            self.shop,
            Entry.skipped(self._cell(armed.place), reason.strip(), wet=self.wet, person=self.person, at=self.wall()),
        )
        return self._moved_on(f"{armed.spot} left out: {reason.strip()}")

    def undo(self) -> Answer:
        """Drop what is held; or take back the newest reading or skip of this walk, one's own before another hand's.

        What is taken back stays in the ledger, and its cell is armed again.
        """
        if self.pending is not None:
            self.pending = None
            return Answer(Said.MOVED, f"dropped; still at {self._must_be_armed().spot}")
        self._refresh(self.walk.armed)
        if not self._readings:
            raise BadInput("there is nothing to undo", remedy="Read the armed cell")
        own = [one for one in self._readings.values() if one.seq in self._mine]
        newest = max(own or self._readings.values(), key=lambda one: one.seq)
        append(self.shop, newest.withdrawn("undone at the bench", person=self.person, at=self.wall()))
        place = self._place(newest)
        self._kept = None
        self._refresh(place)
        return Answer(Said.MOVED, f"{place.spot} taken back; read it again")

    def onward(self) -> Answer:
        """Arm the next cell without an entry in this one."""
        return self._arm(self.walk.onward().armed)

    def back(self) -> Answer:
        """Arm the cell before."""
        return self._arm(self.walk.back().armed)

    def go(self, spot: Spot) -> Answer:
        """Arm the cell at ``spot``: to start there, or to read it again."""
        place = next((cell for cell in self.walk.cells if cell.spot == replace(spot, quantity="", rod="")), None)
        if place is None:
            like = self.walk.armed or self.walk.cells[0]
            raise BadInput(f"{spot} is not on this walk", remedy=f"Name a cell of it, such as {like.spot}")
        return self._arm(place)

    def cut(self, depth: str, *, every: bool = False) -> Answer:
        """Put a round of passes of ``depth``, as typed, into the log: over the armed strip, or ``every`` strip of it.

        Cut after it was read, a strip is read after the next pass, and so is all that follows. A depth left empty is
        not known. Raises :class:`BadInput` for a depth no pass has.
        """
        place = self.walk.armed or self.walk.cells[-1]
        taken, strip, stage = depth_typed(depth, self.bare), None if every else place.strip, self.task.stage
        number = pass_of_round(self.shop, self.begun, place.section, stage, place.cut, strip)
        cut(self.shop, self.begun, place.section, stage, number, taken, strip=strip, at=self.wall())
        words = round_words(place.section, strip, taken, self.rod.display)
        if number == self.task.cut:
            return Answer(Said.MOVED, words)
        self.task = replace(self.task, cut=number)
        self.aims = aims(self.rod, self.task)
        there = [one for one in self.task.order.cells(self.task.plan) if one.section == place.section]
        first = next(one for one in there if strip in (None, one.strip))
        self._refresh(replace(first, cut=number))
        return Answer(Said.MOVED, f"{words}; from here you read after pass {number}, first {first.spot}")

    def _arm(self, place: Place | None) -> Answer:
        self.pending = None
        self._refresh(place)
        armed = self._must_be_armed()
        return Answer(Said.MOVED, f"at {armed.spot}")

    def _keep(self, value: Length, judgement: Judgement, reason: str, clock: float) -> Answer:
        armed = self._must_be_armed()
        old = self._readings.get(armed.place)
        cell, at = self._cell(armed.place), self.wall()
        entry = entry_of(cell, value, old, reason, at, wet=self.wet, gauge=self.gauge, person=self.person)
        kept = append(self.shop, entry)
        self._mine.append(kept.seq)
        self._kept = (value, clock)
        self._refresh(None, after=armed.place)
        return Answer(Said.KEPT, judgement.words, judgement, kept)

    def _moved_on(self, words: str) -> Answer:
        self._refresh(None, after=self.walk.armed)
        return Answer(Said.MOVED, words)

    def _cell(self, place: Place) -> Cell:
        stage = self.task.stage.value
        return Cell(self.begun.revision.id, place.section, place.station, stage, place.cut, place.strip)

    def _place(self, reading: Reading) -> Place:
        cell = reading.entry.cell
        return Place(cell.section, cell.strip or 0, cell.station, cell.pass_number)

    def _laid(self, start: Place | None) -> Walk:
        """The walk over what counts in the ledger now."""
        cells = [replace(cell, cut=self.task.cut) for cell in self.task.order.cells(self.task.plan)]
        known = set(cells)
        self._readings = {place: one for one in self._current() if (place := self._place(one)) in known}
        entries = [
            Skipped(place, one.entry.why or "")
            if one.entry.state is State.SKIPPED or one.entry.value is None
            else Filled(place, one.entry.value)
            for place, one in self._readings.items()
        ]
        return Walk.begin(cells, entries, start)

    def _current(self) -> tuple[Reading, ...]:
        """What counts in the ledger at this stage, in this section if the walk is of one."""
        names = {stretch.section for stretch in self.task.plan}
        section = names.pop() if len(names) == 1 else None
        return current(self.shop, self.begun.revision.id, section=section, stage=self.task.stage.value)

    def _refresh(self, place: Place | None, after: Place | None = None) -> None:
        """Lay the walk anew, armed at ``place``, or at the first open cell ``after`` another."""
        self.pending = None
        self.walk = self._laid(place)
        if place is None and after is not None:
            at = self.walk.cells.index(after)
            onward = (*self.walk.cells[at + 1 :], *self.walk.cells[: at + 1])
            free = set(self.walk.open)
            following = next((cell for cell in onward if cell in free), None)
            self.walk = replace(self.walk, armed=following)

    def _must_be_armed(self) -> Armed:
        armed = self.armed
        if armed is None:
            raise BadInput("every cell of this walk is done", remedy="Go back to one to read it again, or leave")
        return armed


def aims(rod: Rod, task: Task) -> dict[Place, Aim]:
    """What the gauge should show at every place of a task."""
    block = block_of(rod)
    if block.wedges(rod.form):
        raise BadInput(block.warnings(rod.form)[0], remedy="Put the right block into [bench] block_angle")
    zero = block.zero or 0.0
    targets: dict[tuple[str, Length], StripTarget] = {
        (section.section, one.place): one for section in schedule(rod).sections for one in section.stations
    }
    return {
        replace(cell, cut=task.cut): aim(targets[cell.section, cell.station], task.stage, zero)
        for cell in task.order.cells(task.plan)
    }

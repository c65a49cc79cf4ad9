"""A session at the bench: the armed cell, readings as they come, judged and kept, one by one.

The ledger is the memory: after every step the walk is laid anew over what counts there, so that two sessions on
one shop see each other and nothing depends on a program that is still running.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field, replace
from datetime import datetime
from enum import Enum

from culmwright.bench.cuts import Cutting
from culmwright.bench.gauge import read_typed
from culmwright.bench.guards import Held, HeldFor, Reach, far_off, other_unit, repeat
from culmwright.bench.judge import Aim, Judgement, Stage, aim, judge
from culmwright.bench.limits import FINISH_LIMITS, ROUGH_LIMITS, Limits
from culmwright.bench.passes import THOU, depths_for
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
from culmwright.workshop.noting import cut
from culmwright.workshop.opening import Begun

GUARD_WITHIN = 20 * THOU  # [m] how near its target a value is once a mixed-up unit is put right
DEEPEST_PASS = 60 * THOU  # [m] more is a slip of the unit
SPARE_REACH = 40 * THOU  # [m] above a split strip's height, before a reading is thought too high to be one


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
        self.limits = limits_of(task.stage)
        self.cutting = cutting_of(begun.rod, task.stage)
        self.pending: Length | None = None
        self._doubt = False
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
        return self.task.stage is Stage.ROUGH and self.rod.bench.wet

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
        armed = self._must_be_armed()
        value = read_typed(typed, self.bare).length
        before = self._readings.get(armed.place)
        self._refresh(armed.place)
        now = self._readings.get(armed.place)
        if now is not None and now != before:
            self.pending, self._doubt = value, False
            read = "left out" if now.entry.value is None else f"read {now.entry.value}"
            return Answer(
                Said.HELD, f"another hand has {read} here meanwhile. Keep yours in its place, or go on with n?"
            )
        held = self._held(value, armed.aim, clock)
        if held is not None:
            self.pending, self._doubt = value, held.reason is not HeldFor.REPEAT
            return Answer(Said.HELD, held.question)
        judgement = self._judged(value, armed.aim)
        if judgement.needs_reason:
            self.pending, self._doubt = value, True
            return Answer(Said.HELD, f"{judgement.words}. Read again, or keep it and say why", judgement)
        return self._keep(value, judgement, None, clock)

    def keep(self, reason: str, clock: float) -> Answer:
        """Keep the value that was held; out of tolerance it needs a ``reason``."""
        armed = self._must_be_armed()
        if self.pending is None:
            raise BadInput("nothing is waiting for an answer", remedy="Read the armed cell")
        judgement = self._judged(self.pending, armed.aim)
        if (self._doubt or judgement.needs_reason) and not reason.strip():
            raise BadInput("this is out of tolerance: it is kept with a reason", remedy="Say why, as in: k torn there")
        return self._keep(self.pending, judgement, reason.strip() or None, clock)

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

        A depth left empty is not known. Raises :class:`BadInput` for a depth no pass has.
        """
        place = self._must_be_armed().place
        taken = Length.parse(depth, self.bare) if depth.strip() else None
        if taken is not None and not 0 < taken.m <= DEEPEST_PASS:
            raise BadInput(f"{taken} is no depth of a pass", remedy="Give it like 8 thou or 0.2 mm")
        strip = None if every else place.strip
        cut(self.shop, self.begun, place.section, self.task.stage, place.cut, taken, strip=strip, at=self.wall())
        over = f"every strip of {place.section}" if every else f"{place.section}/S{place.strip}"
        shown = f" of {self.rod.display.small(taken.m)}" if taken is not None else ""
        return Answer(Said.MOVED, f"a round{shown} over {over} is in the log")

    def _arm(self, place: Place | None) -> Answer:
        self.pending = None
        self._refresh(place)
        armed = self._must_be_armed()
        return Answer(Said.MOVED, f"at {armed.spot}")

    def _keep(self, value: Length, judgement: Judgement, reason: str | None, clock: float) -> Answer:
        armed = self._must_be_armed()
        entry = Entry.measured(
            self._cell(armed.place), value, wet=self.wet, gauge=self.gauge, person=self.person, at=self.wall()
        )
        old = self._readings.get(armed.place)
        if old is not None:
            entry = replace(entry, supersedes=old.seq, why=reason or "read again")
        elif reason:
            entry = replace(entry, why=reason)
        kept = append(self.shop, entry)
        self._mine.append(kept.seq)
        self._kept = (value, clock)
        self._refresh(None, after=armed.place)
        return Answer(Said.KEPT, judgement.words, judgement, kept)

    def _moved_on(self, words: str) -> Answer:
        self._refresh(None, after=self.walk.armed)
        return Answer(Said.MOVED, words)

    def _held(self, value: Length, aimed: Aim, clock: float) -> Held | None:
        show = self.rod.display
        held = repeat(value, self._kept[0], clock - self._kept[1]) if self._kept else None
        held = held or other_unit(value, aimed.reading, GUARD_WITHIN, show)
        return held or far_off(value, aimed.reading, show, self._reach(aimed))

    def _reach(self, aimed: Aim) -> Reach:
        split = self.rod.bench.split_height
        over = 120 * THOU if split is None else max(split.m - aimed.height, 0.0) + SPARE_REACH
        return Reach(under=20 * THOU, over=over)

    def _judged(self, value: Length, aimed: Aim) -> Judgement:
        return judge(value.m, aimed, self.limits, self.cutting, self.rod.display)

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


def limits_of(stage: Stage) -> Limits:
    """The limits a stage is judged by."""
    return ROUGH_LIMITS if stage is Stage.ROUGH else FINISH_LIMITS


def cutting_of(rod: Rod, stage: Stage) -> Cutting:
    """What strips of ``rod`` are cut with at a stage."""
    wet = stage is Stage.ROUGH and rod.bench.wet
    return Cutting(rod.form, rod.bench.cutter, depths_for(wet=wet, metric=rod.display.bare == "mm"))
